"""WAV files: every coding read back by us and by SciPy's reader, and the many ways a file is bad."""

import io
import struct
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile
from scipy.io import wavfile

from isolate.describe.wav import blocks, encode, inspect, read
from isolate.errors import InputError

RATE = 16_000


def tone(channels: int = 1, count: int = 4000) -> np.ndarray:
    t = np.arange(count) / RATE
    return np.stack([0.5 * np.sin(2 * np.pi * (440 + 30 * c) * t) for c in range(channels)], axis=1)


def header(*, coding=1, channels=1, rate=RATE, width=2, bits=16, extra=b"") -> bytes:
    body = struct.pack("<HHIIHH", coding, channels, rate, rate * width, width, bits) + extra
    return b"fmt " + struct.pack("<I", len(body)) + body


def riff(*chunks: bytes, magic: bytes = b"RIFF") -> bytes:
    body = b"WAVE" + b"".join(chunks)
    return magic + struct.pack("<I", len(body) & 0xFFFFFFFF) + body


def data(payload: bytes, size: int | None = None) -> bytes:
    return b"data" + struct.pack("<I", len(payload) if size is None else size) + payload


def put(tmp_path: Path, content: bytes, name: str = "x.wav") -> Path:
    path = tmp_path / name
    path.write_bytes(content)
    return path


@pytest.mark.parametrize("bits", [16, 24, 32])
@pytest.mark.parametrize("channels", [1, 2, 5])
def test_what_is_written_is_read_back(tmp_path: Path, bits: int, channels: int) -> None:
    wav = inspect(put(tmp_path, encode(tone(channels), rate=RATE, bits=bits)))
    assert (wav.rate, wav.channels, wav.bits, wav.frames) == (RATE, channels, bits, 4000)
    assert np.abs(read(wav) - tone(channels)).max() <= 2.0**-bits


@pytest.mark.parametrize("bits", [16, 24, 32])
def test_scipy_and_the_standard_library_read_what_we_write(tmp_path: Path, bits: int) -> None:
    path = put(tmp_path, encode(tone(2), rate=RATE, bits=bits))
    rate, theirs = wavfile.read(path)
    full = 2.0 ** (15 if bits == 16 else 31)  # SciPy holds 24 bit in the upper bytes of 32
    assert rate == RATE
    assert np.array_equal(theirs / full, read(inspect(path)))
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getnframes()) == (2, bits // 8, 4000)


@pytest.mark.parametrize("kind", [np.int16, np.int32, np.float32, np.float64])
def test_we_read_what_scipy_writes(tmp_path: Path, kind: type) -> None:
    full = 1.0 if kind in (np.float32, np.float64) else float(np.iinfo(kind).max) + 1
    path = tmp_path / "s.wav"
    wavfile.write(path, RATE, (tone(2) * full).astype(kind))
    assert np.abs(read(inspect(path)) - tone(2)).max() < 4e-5


def test_extensible_headers_and_chunks_before_the_samples(tmp_path: Path) -> None:
    whole = (tone(2)[:, 0] * 2**31).astype("<i4").tobytes()
    guid = struct.pack("<H", 1) + bytes.fromhex("000000001000800000aa00389b71")
    form = header(coding=0xFFFE, width=4, bits=32, extra=struct.pack("<HHI", 22, 24, 4) + guid)
    before, after = b"bext" + struct.pack("<I", 3) + b"abc\0", b"LIST\x04\0\0\0abcd"
    path = put(tmp_path, riff(before, form, data(whole), after))
    assert np.abs(read(inspect(path))[:, 0] - tone()[:, 0]).max() < 1e-9


def test_long_files_with_64_bit_sizes(tmp_path: Path) -> None:
    raw = np.zeros(100, "<i2").tobytes()
    ds64 = b"ds64" + struct.pack("<I", 28) + struct.pack("<QQQI", 0, len(raw), 100, 0)
    wav = inspect(put(tmp_path, riff(ds64, header(), data(raw, 0xFFFFFFFF), magic=b"RF64")))
    assert wav.frames == 100 and not wav.notes


def test_blocks_are_the_file_in_order_and_bounded(tmp_path: Path) -> None:
    wav = inspect(put(tmp_path, encode(tone(2), rate=RATE, bits=24)))
    parts = list(blocks(wav, size=999))
    assert max(len(p) for p in parts) == 999
    assert np.array_equal(np.concatenate(parts), read(wav))
    assert np.array_equal(read(wav, skip=100, count=50), read(wav)[100:150])


@pytest.mark.parametrize("size", [0, 0xFFFFFFFF, 8_000_000])
def test_an_unfinished_or_cut_recording_is_read_as_far_as_it_goes(tmp_path: Path, size: int) -> None:
    raw = (tone() * 2**15).astype("<i2").tobytes()
    wav = inspect(put(tmp_path, riff(header(), data(raw, size)) + b"\x01"))
    assert wav.frames == 4000
    assert len(wav.notes) == 1
    assert ("promises 250.0 s but it holds 0.3 s" in wav.notes[0]) == (size == 8_000_000)


HALF = encode(tone(), rate=RATE)
BAD = {
    "empty": (b"", "an empty file"),
    "text": (b"room,level\n1,2\n" * 20, "got text"),
    "zeros": (bytes(5000), "got zeros"),
    "mp3": (b"ID3\x04" + bytes(500), "cannot be decoded"),
    "flac": (b"fLaC" + bytes(500), "cannot be decoded"),
    "m4a": (b"\0\0\0\x20ftypM4A " + bytes(500), "(got M4A or MP4); share or export it as WAV"),
    "cut in the header": (HALF[:30], "ends before any samples"),
    "only a header": (HALF[:44], "promises"),
    "no format": (riff(data(bytes(100))), "does not say how the sound is coded"),
    "compressed": (riff(header(coding=0x11, bits=4, width=256), data(bytes(512))), "got ADPCM"),
    "8 bit": (riff(header(bits=8, width=1), data(bytes(512))), "got 8 bit"),
    "no channels": (riff(header(channels=0), data(bytes(512))), "header.channels"),
    "rate of zero": (riff(header(rate=0), data(bytes(512))), "header.rate"),
    "telephone rate": (riff(header(rate=8000), data(bytes(512))), "got 8000 Hz"),
    "contradiction": (riff(header(channels=2, width=2), data(bytes(512))), "header"),
    "no samples": (riff(header(), data(b""), b"LIST\x04\0\0\0abcd"), "there are none"),
    "chunk beyond the end": (riff(b"junk\xff\xff\xff\x7f", header(), data(bytes(9))), "ends before any"),
    "endless chunks": (riff(b"abcd\0\0\0\0" * 100_000), "ends before any samples"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_gets_one_clear_message(tmp_path: Path, name: str) -> None:
    content, expected = BAD[name]
    path = put(tmp_path, content)
    if name == "only a header":
        expected = "there are none"
    with pytest.raises(InputError) as caught:
        inspect(path)
    assert expected in str(caught.value)
    assert str(caught.value).startswith(f"{path}: ")


@pytest.mark.parametrize(
    ("kind", "subtype", "loss"),
    [("FLAC", "PCM_24", 2.0**-23), ("AIFF", "PCM_24", 2.0**-23), ("OGG", "VORBIS", 1.0),
     ("MP3", "MPEG_LAYER_III", 1.0)],
)  # fmt: skip
def test_others_are_read_through_the_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, subtype: str, loss: float
) -> None:
    """A tone, as written by the file library: sample for sample, or its level to 0.2 dB where that loses. An
    MP3's decoder goes by what it read before: in pieces it is the same to 80 dB below full scale."""
    monkeypatch.setitem(soundfile._formats, "MP3", 0x230000)  # as in sndfile.h; old wrappers lack the names
    monkeypatch.setitem(soundfile._subtypes, "MPEG_LAYER_III", 0x0082)
    path, x = tmp_path / f"x.{kind.lower()}", tone(2, count=2 * RATE)
    soundfile.write(str(path), x, RATE, format=kind, subtype=subtype)
    wav = inspect(path)
    assert (wav.rate, wav.channels) == (RATE, 2) and wav.coded == kind
    assert bool(wav.notes) is (loss == 1.0)
    y = read(wav)
    within = 1e-4 if kind == "MP3" else 0.0
    assert np.abs(read(wav, skip=1000, count=500) - y[1000:1500]).max() <= within
    assert np.abs(np.concatenate(list(blocks(wav, size=999))) - y).max() <= within
    assert np.abs(y - x).max() < loss
    assert 10 * np.log10(np.mean(y**2) / np.mean(x**2)) == pytest.approx(0.0, abs=0.2)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is not there"):
        inspect(tmp_path / "none.wav")
    with pytest.raises(InputError, match="is a folder; give the path of a WAV file"):
        inspect(tmp_path)


@pytest.mark.parametrize("value", [np.nan, np.inf, 1e30])
def test_a_header_that_lies_about_floats_is_found_out(tmp_path: Path, value: float) -> None:
    raw = np.array([0.1, value, 0.1], "<f4").tobytes()
    wav = inspect(put(tmp_path, riff(header(coding=3, bits=32, width=4), data(raw))))
    with pytest.raises(InputError, match="not to be believed"):
        read(wav)


def test_odd_lengths_are_padded(tmp_path: Path) -> None:
    content = encode(tone(count=3)[:, 0], rate=RATE, bits=24)
    assert len(content) % 2 == 0
    with wave.open(io.BytesIO(content)) as file:
        assert file.getnframes() == 3


@pytest.mark.parametrize("seed", range(4))
def test_damaged_headers_end_in_a_file_or_a_message(tmp_path: Path, seed: int) -> None:
    """500 headers each with one to four bytes changed: read, or refused with one message; nothing else."""
    rng = np.random.default_rng(seed)
    guid = (
        struct.pack("<HHI", 22, 24, 4) + struct.pack("<H", 1) + bytes.fromhex("000000001000800000aa00389b71")
    )
    whole = [HALF, riff(header(coding=0xFFFE, width=4, bits=32, extra=guid), data(bytes(range(256)) * 8))][
        seed % 2
    ]
    refused = 0
    for _ in range(500):
        content = bytearray(whole[:2000])
        for at in rng.integers(0, 60, rng.integers(1, 5)):
            content[at] = rng.integers(0, 256)
        path = put(tmp_path, bytes(content))
        try:
            wav = inspect(path)
            assert sum(len(block) for block in blocks(wav, size=1 << 12)) == wav.frames
        except InputError as error:
            refused += 1
            assert str(error).startswith(str(path))
    assert refused > 100
