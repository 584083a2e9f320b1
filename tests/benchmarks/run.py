"""How fast the program is, printed in one run: ``python tests/benchmarks/run.py [--quick]``.

- the solver in layer, frequency and angle points per second, against what numpy needs for one complex
  exponential a point, and against `tmm_fast`, a solver of the same equations for light
  (``pip install tmm_fast``, which brings torch along; without it that column says so);
- that time grows with the size of the problem and no faster;
- what a draw costs in a batch against an evaluation by itself, and the memory of 100,000 draws;
- the start of each command in multiples of ``python -c "import numpy"``.

Times are processor times on one thread, the least of several, so that what else the machine does matters
little; run it alone all the same. ``--quick`` takes fewer draws and does not ask the commands anything,
``--smallest`` does the solver's part alone on a small problem, to see that it runs.
"""

from __future__ import annotations

import datetime
import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
AS_FOUND = dict(os.environ)
ONE = {f"{library}_NUM_THREADS": "1" for library in ("OPENBLAS", "MKL")}  # thread, as the program has it
os.environ.update(ONE)

import numpy as np  # noqa: E402

from isolate.bands import Array  # noqa: E402
from isolate.physics import layers  # noqa: E402
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED  # noqa: E402
from isolate.store import PLACE  # noqa: E402

F = np.geomspace(25.0, 10_000.0, 324)
ANGLES = 32
COUNTS = (1, 2, 4, 8, 16, 32)
OCTAVES = (125, 250, 500, 1000, 2000)  # Hz, of a spectrum that is rated
DRAWN = 1000  # draws of a construction
COMPARED = """\
Both get refractive indices or wavenumbers (324 frequencies, complex, another for each layer), depths of 20 mm
and 32 angles, and give the power let through at each frequency and angle; they agree to 1e-6 dB, which is
checked. tmm_fast does one polarisation, s, which obeys the equations of sound; it also gives what is
reflected, which comes out of its matrices at next to no cost. Each has had a call before the clock runs, each
one thread, complex numbers of 128 bits. A point is a layer at a frequency and an angle. The exponentials are
numpy's exp(-j k d) of as many complex numbers."""
CONSTRUCTIONS = (
    "glass 4 mm",
    "two panes 6-100-8 mm",
    "brick wall 225 mm, plastered",
    "wood stud wall 2x4 16 in, empty",
    "two separate leaves, 200 mm, empty",
)


def least(call: Callable[[], object], times: int = 15) -> float:
    """Least processor time [s] of several calls."""
    call()
    found = []
    for _ in range(times):
        start = time.process_time()
        call()
        found.append(time.process_time() - start)
    return min(found)


def indices(count: int, f: Array = F) -> Array:
    """Made-up refractive indices (count, F), a little lossy, the same for sound and light."""
    rng = np.random.default_rng(count)
    return (1.0 + rng.random((count, 1))) * (1.0 + 0.001j) * np.ones(f.size)


def theta(angles: int) -> Array:
    return (np.arange(angles) + 0.5) / angles * np.pi / 2 * 0.98


def solve(count: int, f: Array = F, angles: int = ANGLES, draws: int = 1) -> Array:
    """tau of fluid layers of 20 mm, everything from density and wavenumber on."""
    cosine = np.cos(theta(angles))[:, None]
    trace = 2 * np.pi * f / SPEED * np.sqrt(1 - cosine**2)
    depth = np.full((draws, 1, 1), 0.02) if draws > 1 else 0.02
    k = 2 * np.pi * f / SPEED * indices(count, f).conj()
    parts = [layers.Fluid(f, trace, DENSITY, one, depth) for one in k]
    return layers.transmission(parts, outer=IMPEDANCE / cosine)


def exponentials(count: int) -> list[Array]:
    """One complex exponential a point, and nothing else."""
    phase = -1j * 2 * np.pi * F / SPEED * 0.02 * np.cos(theta(ANGLES))[:, None] * (1 - 0.001j)
    return [np.exp(phase) for _ in range(count)]


def light(count: int) -> Callable[[], object] | None:
    """The same layers by the optical library, None when it is not installed."""
    try:
        import torch
        from tmm_fast import coh_tmm
    except ImportError:
        return None
    torch.set_num_threads(1)
    n = np.ones((1, count + 2, F.size), complex)
    n[0, 1:-1] = indices(count)
    depth = np.full((1, count + 2), 0.02)
    depth[0, 0] = depth[0, -1] = np.inf
    return lambda: coh_tmm("s", n, depth, theta(ANGLES), SPEED / F)["T"]


def solver(counts: Sequence[int] = (3, 9, 21), times: int = 15) -> None:
    print(f"\nSolver: fluid layers\n{COMPARED}")
    print("aim: at most 3 times the exponentials, at least 10 times as fast as tmm_fast")
    print("layers  ns a point  million points/s  times the exponentials  times as fast as tmm_fast")
    for count in counts:
        points = count * F.size * ANGLES
        own, bare = least(lambda n=count: solve(n), times), least(lambda n=count: exponentials(n), times)
        optical, against = light(count), "not installed"
        if optical is not None:
            got, wanted = solve(count), np.asarray(optical())[0]
            assert np.allclose(10 * np.log10(got / wanted), 0.0, atol=1e-6), "not the same problem"
            against = f"{least(optical, min(times, 5)) / own:.1f}"
        speed = points / own / 1e6
        print(f"{count:6}{own / points * 1e9:12.1f}{speed:18.1f}{own / bare:24.2f}{against:>27}")


def exponent(sizes: Sequence[int], spent: Sequence[float]) -> float:
    """The power of the size that time grows with, by least squares in logarithms."""
    return float(np.polyfit(np.log(sizes), np.log(spent), 1)[0])


def scaling(largest: int = 5, times: int = 7) -> None:
    print("\nScaling: ns a point, and the power of the size that time grows with; aim: 1, or less")
    grids = {count: np.geomspace(25.0, 1e4, count) for count in (81, 162, 324, 648, 1296)}
    rows = {
        "layers": [(n, lambda n=n: solve(n), n * F.size * ANGLES) for n in COUNTS],
        "draws": [(n, lambda n=n: solve(3, draws=n), 3 * n * F.size * ANGLES) for n in COUNTS],
        "frequencies": [(n, lambda f=f: solve(3, f), 3 * n * ANGLES) for n, f in grids.items()],
        "angles": [(n, lambda n=n: solve(3, angles=n), 3 * n * F.size) for n in (8, 16, 32, 64, 128)],
    }
    for name, cases in rows.items():
        sizes, calls, points = zip(*cases[:largest], strict=True)
        spent = [least(call, times) for call in calls]
        told = [f"{n}: {t / p * 1e9:.0f}" for n, t, p in zip(sizes, spent, points, strict=True)]
        print(f"{name:13}{', '.join(told):50}power {exponent(sizes, spent):.2f}")


def drawn() -> None:
    from isolate.describe import constructions
    from isolate.physics.kept import forget
    from isolate.physics.responses import responses
    from isolate.physics.transmission import transmission

    def curve(built: object) -> None:
        forget()
        transmission(built)  # type: ignore[arg-type]

    print(
        "\nConstructions: a curve by itself; a draw of all that varies of its materials and workmanship, in a"
    )
    print(f"batch of {DRAWN}, as the program draws (isolate/physics/responses.py, finding the responses")
    print("included); a draw in a batch of 256 all through the physics. Aim: at most 1/20")
    for name in CONSTRUCTIONS:
        built, count = constructions.load(name), 256
        rng = np.random.default_rng(1)

        def pick(key: str, r: object, rng: np.random.Generator = rng, count: int = count) -> Array:
            return rng.uniform(r.low, r.high, (count, 1, 1))  # type: ignore[attr-defined]

        def draw(built: object = built, rng: np.random.Generator = rng) -> Array:
            found = responses(built, size=built.size or (2.0, 2.5))  # type: ignore[attr-defined, arg-type]
            return sum((one.at(rng.standard_normal(DRAWN)) for one in found), np.zeros(27))

        one = least(lambda built=built: curve(built), 5)
        usual = least(draw, 3) / DRAWN
        many = least(lambda built=built, pick=pick: transmission(built, pick=pick), 1) / count
        told = f"{usual * 1e3:8.3f} ms   1/{one / usual:<6.0f}{many * 1e3:8.2f} ms   1/{one / many:.0f}"
        print(f"{name:38}{one * 1e3:8.1f} ms{told}")


DRAWS = """
import time
from pathlib import Path
from isolate.answers.room import room
from isolate.physics.kept import forget
took = []
for count in ({few}, {many}):
    room(draws=0).options
    start = time.process_time()
    room(draws=count).options
    took.append(time.process_time() - start)
forget()
start = time.process_time()
room(draws=0).options
print(time.process_time() - start, (took[1] - took[0]) / ({many} - {few}))
about = Path("/proc/self/status")  # of this process alone: what getrusage tells starts with its parent's
lines = about.read_text().split("\\n") if about.exists() else ["VmHWM: nan"]
print(sum(float(line.split()[1]) for line in lines if line.startswith("VmHWM")) / 1024)
"""


def rooms(many: int) -> None:
    print(f"\nThe bundled room, all noises, neighbours and options; {many} draws")
    code = DRAWS.format(few=500, many=many)
    one, draw, memory = map(float, _python("-c", code).split())
    print(
        f"without draws {one * 1e3:.0f} ms; a draw {draw * 1e3:.2f} ms, 1/{one / draw:.0f} of it; aim: 1/20"
    )
    print(f"memory at most {memory:.0f} MB; aim: below 1000 MB")


def _python(*arguments: str) -> str:
    paths = [str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
    found = {name: AS_FOUND[name] for name in ONE if name in AS_FOUND}
    here = {name: value for name, value in os.environ.items() if name not in ONE}
    environment = here | found | {"PYTHONPATH": os.pathsep.join(paths)}
    told = subprocess.run(
        [sys.executable, *arguments], capture_output=True, text=True, env=environment, check=True
    )
    return told.stdout


def _spent(*arguments: str, times: int = 3) -> float:
    """Least processor time [s] of a Python process."""
    found = []
    for _ in range(times):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        _python(*arguments)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(found)


def starts(answers: bool) -> None:
    from isolate.cli import COMMANDS

    unit = _spent("-c", "import numpy", times=7)
    print(f'\nStart of each command, in times of python -c "import numpy" ({unit * 1e3:.0f} ms)')
    print("                 --help   answer    again")
    for name in COMMANDS:
        told = f"{name:15}{_spent('-m', 'isolate', name, '--help') / unit:8.1f}"
        with tempfile.TemporaryDirectory() as folder:
            os.environ[PLACE] = folder  # with an empty store, then with what the first run left in it
            for turn in ("first", "again") if answers else ():
                (Path(folder) / turn).mkdir()
                example = _example(name, Path(folder) / turn)
                told += f"{_spent('-m', 'isolate', *example, times=1) / unit:9.1f}" if example else ""
        print(f"{told}   isolate {' '.join(map(_short, example))}" if answers and example else told)


def _short(argument: str) -> str:
    """A path by its last part, words in quotes."""
    name = Path(argument).name
    return f'"{name}"' if " " in name else name


def _example(name: str, folder: Path) -> Sequence[str]:
    """What a command is asked in the simplest way; none where it needs recordings."""
    spectrum = folder / "spectrum.csv"
    spectrum.write_text("band_hz,tl_db\n" + "\n".join(f"{b},{30 + i}" for i, b in enumerate(OCTAVES)))
    asked = {
        "new": ["new", str(folder / "new.toml")],
        "curve": ["curve", "glass 4 mm"],
        "compare": ["compare", "glass 4 mm", "glass 6 mm"],
        "rate": ["rate", str(spectrum)],
        "test-signal": ["test-signal", str(folder / "signal.wav")],
        "page": ["page", "--out", str(folder / "page.html")],
        "listen": ["listen", "--out", str(folder / "sounds")],
        "desk": [],
        "measure": [],
        "survey": [],
    }
    return asked.get(name, [name])


def processor() -> str:
    """What the system calls its processor."""
    about = Path("/proc/cpuinfo")
    lines = about.read_text().splitlines() if about.exists() else []
    names = [line.split(":")[1].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.machine()


def main() -> None:
    quick = "--quick" in sys.argv[1:]
    os.environ[PLACE] = ""  # nothing is known from before
    if "--smallest" in sys.argv[1:]:
        solver((3,), 1)
        scaling(2, 1)
        rooms(1000)
        return
    print(f"{datetime.date.today()}, {platform.system()}, {os.cpu_count()} processors: {processor()}")
    print(f"Python {platform.python_version()}, numpy {np.__version__}")
    solver()
    scaling()
    drawn()
    rooms(5_000 if quick else 100_000)
    starts(answers=not quick)


if __name__ == "__main__":
    main()
