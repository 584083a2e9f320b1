"""Sound files: WAV in 16, 24 or 32 bit integers or floats, read in blocks, and written; FLAC, OGG, MP3 and
AIFF through the file library.

Samples are floats with full scale at 1. WAV is read here, since long recordings (RF64 and BW64, as recorders
write them beyond 4 GB) and those whose recorder died before the header was finished are read as far as they
go.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from isolate.bands import Array
from isolate.describe.reading import note_opened
from isolate.errors import InputError

LOWEST_RATE, HIGHEST_RATE = 16_000, 768_000
MOST_CHANNELS = 64
MOST_CHUNKS = 4096
ABSURD = 1000.0
"""A float sample 60 dB above full scale is no sound: the header lies about the coding."""

_UNKNOWN_SIZES = (0, 0xFFFFFFFF, 0x7FFFFFFF)
_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
_CODINGS = {2: "ADPCM", 6: "A-law", 7: "mu-law", 0x11: "ADPCM", 0x31: "GSM", 0x50: "MPEG audio", 0x55: "MP3"}
_SIGNATURES = (
    (0, b"OggS", "OGG"), (0, b"fLaC", "FLAC"), (0, b"ID3", "MP3"), (0, b"\xff\xfb", "MP3"),
    (0, b"\xff\xf3", "MP3"), (0, b"\xff\xfa", "MP3"), (0, b"\xff\xf2", "MP3"),
    (4, b"ftyp", "M4A or MP4"), (0, b"FORM", "AIFF"), (0, b"caff", "CAF"),
    (0, b"RIFX", "big-endian RIFX"), (0, b"PK", "ZIP"), (0, b"\x1a\x45\xdf\xa3", "WebM"),
)  # fmt: skip
_CODED = {"OGG": True, "FLAC": False, "MP3": True, "AIFF": False}
"""What the file library reads, and whether it is coded with loss."""

_MP3_LEAD = 32 * 1152
"""Samples read before those of an MP3 that are wanted: a frame borrows bits of the frames before it, which
the library forgets whenever it seeks, and it seeks after every read."""

_CONVERT = (
    "share or export it as WAV from the telephone's recorder, or open it in a sound editor and export WAV; "
    "next time choose WAV, lossless or uncompressed in the recorder's settings"
)
WANTED = "record or export as WAV (PCM, 16, 24 or 32 bit, 16 kHz or more)"

SUFFIXES = (".wav", ".wave", ".flac", ".ogg", ".oga", ".mp3", ".aiff", ".aif", ".m4a")
"""What a sound file is called by; m4a is refused with what to do."""


@dataclass(frozen=True)
class Wav:
    """What a file holds: `rate` [Hz], `bits` of a sample's container, `floating` coding, `frames` (samples
    of each channel), `start` of the samples [bytes], and `notes` on what was odd about the header; `coded`:
    the kind of file ("FLAC", ...) where it is no WAV."""

    path: Path
    rate: int
    channels: int
    bits: int
    floating: bool
    start: int
    frames: int
    notes: tuple[str, ...] = ()
    coded: str = ""

    @property
    def duration(self) -> float:
        """Length [s]."""
        return self.frames / self.rate


def inspect(path: str | Path) -> Wav:
    """Read the header of a sound file.

    Raises
    ------
    InputError
        When the file is missing, is of no kind that can be read, or its header contradicts itself.
    """
    path = Path(path)
    if not path.exists():
        raise InputError(f"{path}: file: is not there; give the path of a WAV file")
    if not path.is_file():
        what = "is a folder" if path.is_dir() else "is not an ordinary file"
        raise InputError(f"{path}: file: {what}; give the path of a WAV file")
    try:
        with path.open("rb") as stream:
            note_opened(path)
            return _header(path, stream, path.stat().st_size)
    except OSError as error:
        reason = error.strerror
        raise InputError(f"{path}: file: cannot be read ({reason}); check its permissions") from None


def blocks(wav: Wav, *, size: int = 1 << 18, skip: int = 0, count: int | None = None) -> Iterator[Array]:
    """Samples in blocks of shape (at most `size`, channels), from frame `skip` on, `count` frames in all.

    Raises
    ------
    InputError
        When float samples are no numbers, or so large that the header must be wrong.
    """
    width = wav.channels * wav.bits // 8
    left = wav.frames - skip if count is None else min(count, wav.frames - skip)
    if wav.coded:
        yield from _decoded(wav, size, skip, left)
        return
    with wav.path.open("rb") as stream:
        stream.seek(wav.start + skip * width)
        while left > 0:
            raw = stream.read(min(size, left) * width)
            got = len(raw) // width
            if got == 0:
                return
            left -= got
            sounds = np.frombuffer(raw, np.uint8).any()
            yield _decode(wav, raw[: got * width]) if sounds else np.zeros((got, wav.channels))


def read(wav: Wav, *, skip: int = 0, count: int | None = None) -> Array:
    """All samples (or `count` from frame `skip` on) at once, shape (frames, channels)."""
    parts = list(blocks(wav, skip=skip, count=count))
    return np.concatenate(parts) if parts else np.empty((0, wav.channels))


def encode(samples: Array, *, rate: int, bits: int = 24) -> bytes:
    """The bytes of a PCM WAV file; samples (frames,) or (frames, channels) within -1..1.

    Values are rounded to the nearest step and held within the scale.
    """
    if bits not in (16, 24, 32):
        raise ValueError(f"bits: {bits}; choose 16, 24 or 32")
    table = samples.reshape(len(samples), -1)
    top = 2.0 ** (bits - 1)
    scaled = table * top
    whole = np.clip(np.round(scaled, out=scaled), -top, top - 1, out=scaled).astype("<i4")
    del scaled
    data = whole.astype("<i2").tobytes() if bits == 16 else whole.tobytes()
    if bits == 24:
        data = np.frombuffer(data, np.uint8).reshape(-1, 4)[:, :3].tobytes()
    width = table.shape[1] * bits // 8
    form = struct.pack("<HHIIHH", _PCM, table.shape[1], rate, rate * width, width, bits)
    body = b"WAVEfmt " + struct.pack("<I", 16) + form + b"data" + struct.pack("<I", len(data)) + data
    pad = b"\0" * (len(data) % 2)
    return b"RIFF" + struct.pack("<I", len(body) + len(pad)) + body + pad


@lru_cache(maxsize=1)  # an MP3 is looked through from end to end when it is opened
def _opened(path: Path, changed: int) -> Any:
    import soundfile

    return soundfile.SoundFile(str(path))


def _decoded(wav: Wav, size: int, skip: int, left: int) -> Iterator[Array]:
    """Blocks of a file that the library decodes."""
    with _readable(wav.path):
        file = _opened(wav.path, wav.path.stat().st_mtime_ns)
        while left > 0:
            lead = min(skip, _MP3_LEAD) if wav.coded == "MP3" else 0
            file.seek(skip - lead)
            block = file.read(min(size, left) + lead, dtype="float64", always_2d=True)[lead:]
            if not len(block):
                return
            skip, left = skip + len(block), left - len(block)
            yield block


@contextmanager
def _readable(path: Path) -> Iterator[None]:
    """Faults of the file library as one message; it raises RuntimeError for whatever it cannot decode."""
    try:
        yield
    except (RuntimeError, OSError):
        raise InputError(f"{path}: file: cannot be decoded, whatever its name says; {_CONVERT}") from None


def _of_library(path: Path, kind: str) -> Wav:
    """The header of a FLAC, OGG, MP3 or AIFF file."""
    with _readable(path):
        file = _opened(path, path.stat().st_mtime_ns)
        rate, channels, frames = file.samplerate, file.channels, len(file)
    faults = _faults(path, _FLOAT, channels, rate, 4 * channels, 32, 32)
    if faults:
        raise InputError(faults)
    if not frames:
        raise InputError(f"{path}: samples: there are none; record again")
    loss = f"is {kind}, coded with loss: levels are right to a decibel at best; better record WAV or FLAC"
    return Wav(path, rate, channels, 32, True, 0, frames, (loss,) if _CODED[kind] else (), kind)


def _decode(wav: Wav, raw: bytes) -> Array:
    if wav.floating:
        samples = np.frombuffer(raw, f"<f{wav.bits // 8}").astype(float)
        with np.errstate(invalid="ignore"):
            sound = bool(np.all(np.abs(samples) < ABSURD))
        if not sound:
            raise InputError(
                f"{wav.path}: samples: are no sound (not numbers, or 60 dB over full scale): the header says "
                f"{wav.bits} bit float and is not to be believed; {WANTED}"
            )
    elif wav.bits == 24:
        padded = np.zeros((len(raw) // 3, 4), np.uint8)
        padded[:, 1:] = np.frombuffer(raw, np.uint8).reshape(-1, 3)
        samples = padded.view("<i4").ravel() * 2.0**-31
    else:
        samples = np.frombuffer(raw, f"<i{wav.bits // 8}") * 2.0 ** (1 - wav.bits)
    return samples.reshape(-1, wav.channels)


def _header(path: Path, stream: BinaryIO, length: int) -> Wav:
    head = stream.read(12)
    if head[:4] not in (b"RIFF", b"RF64", b"BW64") or head[8:] != b"WAVE":
        kind = _guess(head, stream)
        if kind in _CODED:
            return _of_library(path, kind)
        instead = _CONVERT if kind == "M4A or MP4" else WANTED
        raise InputError(f"{path}: file: is not WAV (got {kind}); {instead}")
    form, long_size = b"", None
    for _ in range(MOST_CHUNKS):
        chunk = stream.read(8)
        if len(chunk) < 8:
            break
        name, size = chunk[:4], struct.unpack("<I", chunk[4:])[0]
        if name == b"data":
            return _wav(path, form, stream.tell(), _sizes(size, long_size), length, stream)
        here = stream.tell()
        if name == b"fmt ":
            form = stream.read(min(size, 40))
        elif name == b"ds64":
            longs = stream.read(min(size, 24))
            long_size = struct.unpack("<Q", longs[8:16])[0] if len(longs) >= 16 else None
        stream.seek(here + size + size % 2)
    fault = "ends before any samples (cut short or damaged); copy the file again, or"
    raise InputError(f"{path}: header: {fault} {WANTED}")


def _sizes(size: int, long_size: int | None) -> int:
    return long_size if size == 0xFFFFFFFF and long_size else size


def _guess(head: bytes, stream: BinaryIO) -> str:
    head += stream.read(500)
    if not head:
        return "an empty file"
    for at, mark, kind in _SIGNATURES:
        if head[at : at + len(mark)] == mark:
            return kind
    if not any(head):
        return "zeros"
    printable = sum(32 <= byte < 127 or byte in b"\t\r\n" for byte in head)
    return "text" if printable > 0.9 * len(head) else "unknown data"


def _wav(path: Path, form: bytes, start: int, size: int, length: int, stream: BinaryIO) -> Wav:
    if len(form) < 16:
        raise InputError(f"{path}: header: does not say how the sound is coded; {WANTED}")
    coding, channels, rate, _, width, bits = struct.unpack("<HHIIHH", form[:16])
    if coding == _EXTENSIBLE and len(form) >= 26:
        coding = struct.unpack("<H", form[24:26])[0]
    container = width // channels * 8 if channels else 0
    faults = _faults(path, coding, channels, rate, width, bits, container)
    if faults:
        raise InputError(faults)
    there = length - start
    size, notes = _believed(size, there, rate * width, stream)
    if size < width:
        raise InputError(f"{path}: samples: there are none; record again")
    return Wav(path, rate, channels, container, coding == _FLOAT, start, size // width, notes)


def _faults(
    path: Path, coding: int, channels: int, rate: int, width: int, bits: int, container: int
) -> list[str]:
    faults = []
    allowed = {_PCM: (16, 24, 32), _FLOAT: (32, 64)}.get(coding)
    if allowed is None:
        kind = _CODINGS.get(coding, f"number {coding}")
        faults.append(f"{path}: header.coding: is compressed or unknown (got {kind}); {WANTED}")
    elif container not in allowed:
        faults.append(f"{path}: header.bits: cannot be used (got {container or bits} bit); {WANTED}")
    if not 1 <= channels <= MOST_CHANNELS:
        faults.append(f"{path}: header.channels: cannot be (got {channels}); {WANTED}")
    elif width % channels or not bits <= container <= bits + 16:
        faults.append(
            f"{path}: header: contradicts itself (got {channels} channels of {bits} bit in {width} bytes); "
            + WANTED
        )
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        faults.append(
            f"{path}: header.rate: is outside {LOWEST_RATE // 1000} to {HIGHEST_RATE // 1000} kHz "
            f"(got {rate} Hz); record at 44.1 or 48 kHz"
        )
    return faults


def _believed(size: int, there: int, per_second: int, stream: BinaryIO) -> tuple[int, tuple[str, ...]]:
    """The size of the samples [bytes] that can be believed, and a note when it is not the header's."""
    if size in _UNKNOWN_SIZES and there > 0 and not (size == 0 and _next_is_chunk(stream, there)):
        return there, ("its header does not say how long it is (recording not finished): read to the end",)
    if size > there:
        said, got = size / per_second, there / per_second
        return there, (
            f"its header promises {said:.1f} s but it holds {got:.1f} s: cut short, used what is there",
        )
    return size, ()


def _next_is_chunk(stream: BinaryIO, there: int) -> bool:
    chunk = stream.read(8)
    return (
        len(chunk) == 8
        and chunk[:4].isascii()
        and chunk[:4].strip().isalnum()
        and (struct.unpack("<I", chunk[4:])[0] <= there - 8)
    )
