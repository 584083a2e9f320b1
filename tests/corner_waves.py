"""Boards across corners against the wave equation: a room in two dimensions with the board in it, by finite
differences. Run it by itself (a minute): ``python tests/corner_waves.py``.

The only thing in the room that takes power is the board, so that what a source gives is what the board takes;
over the mean energy density in the room that is its absorption. In a plane, c w/pi falls on each metre of a
boundary (Kuttruff, Room Acoustics, from memory: c w/4 in space). Bands have so few modes that one room says
little: means of five are good to 0.1 or 0.2. Pieces of an endless strip in a plane draw less than pieces in
space; told by the same steps for a plane (`in_a_plane`), a board takes 0.76 to 1 of what waves say from 40 to
250 Hz.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csc_matrix, diags
from scipy.sparse.linalg import splu
from scipy.special import hankel2, j0

from isolate import bands
from isolate.describe.materials import material
from isolate.physics import absorbers, air, porous
from isolate.physics.absorption import Absorber, diffuse_alpha, surface_admittance

ROOMS, STEP = ((4.1, 3.2), (5.3, 3.7), (3.6, 4.7), (6.2, 4.4), (4.8, 5.5)), 1 / 30  # m
WIDTH, THICK = 0.6, 0.1  # m, of the board
PER_BAND = 9
SOURCES = ((0.4, 0.3), (1.0, 1.0), (1.8, 0.3))  # m from the corner opposite


def solved(
    f: float, flow: float, porosity: float, room: tuple[float, float]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Pressures of each source (sources, cells), the cells of the sources, and which cells hold air."""
    nx, ny = (round(side / STEP) for side in room)
    x, y = np.meshgrid((np.arange(nx) + 0.5) * STEP, (np.arange(ny) + 0.5) * STEP, indexing="ij")
    back = WIDTH / np.sqrt(2.0)
    wool = (x + y > back) & (x + y < back + THICK * np.sqrt(2.0))
    w = 2 * np.pi * f
    rho, k = porous.equivalent_fluid(np.array([f]), flow_resistivity=flow, porosity=porosity)
    density = np.where(wool, rho[0], air.DENSITY)
    compliance = np.where(wool, k[0] ** 2 / (rho[0] * w**2), 1 / (air.DENSITY * air.SPEED**2))
    cell = np.arange(nx * ny).reshape(nx, ny)
    main, rows, columns, values = w**2 * compliance.ravel(), [], [], []
    for one, other in ((cell[:-1], cell[1:]), (cell[:, :-1], cell[:, 1:])):
        a, b = one.ravel(), other.ravel()
        link = 2 / (density.ravel()[a] + density.ravel()[b]) / STEP**2
        np.subtract.at(main, a, link)
        np.subtract.at(main, b, link)
        rows += [a, b]
        columns += [b, a]
        values += [link, link]
    matrix = csc_matrix((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))))
    at = np.array([cell[int((room[0] - u) / STEP), int((room[1] - v) / STEP)] for u, v in SOURCES])
    drive = np.zeros((nx * ny, len(SOURCES)), complex)
    drive[at, np.arange(len(SOURCES))] = -1j * w / STEP**2  # a unit volume velocity per metre
    pressure = splu(csc_matrix(matrix + diags(main))).solve(drive)
    far = ((x + y) > back + 1.0).ravel()
    return pressure.T, at, far


def absorbed(f: float, flow: float, porosity: float, room: tuple[float, float]) -> tuple[float, float]:
    """Power [W/m] that the board takes and the mean energy density [J/m3] over the room, all sources."""
    pressure, at, far = solved(f, flow, porosity, room)
    power = 0.5 * np.abs(np.real(pressure[np.arange(len(at)), at])).sum()
    density = (np.abs(pressure[:, far]) ** 2).mean(1).sum() / (2 * air.DENSITY * air.SPEED**2)
    return float(power), float(density)


def coefficient(band_hz: float, flow: float, porosity: float, room: tuple[float, float]) -> float:
    """Absorption per width of the board in a third octave, in one room."""
    middle = bands.exact(np.array([band_hz]))[0]
    several = middle * 2.0 ** (np.linspace(-1, 1, PER_BAND) / 6)
    power, density = np.array([absorbed(float(f), flow, porosity, room) for f in several]).T
    return float((power / density).mean() / (air.SPEED / np.pi * WIDTH))


def in_a_plane(f: np.ndarray, board: Absorber) -> np.ndarray:
    """The program's coefficient, each step for a plane: the radiation of an endless strip, an even field over
    angles of a half circle, and J0 for sin x/x in the gain at the edge."""
    theta = (np.arange(60) + 0.5) / 60 * np.pi / 2
    y = np.mean([surface_admittance(f, stack=one, angle=theta) for one in board.stacks], axis=0)
    k, n = 2 * np.pi * f / air.SPEED, 400
    along, up = (np.arange(n) + 0.5) / n * WIDTH, (np.arange(16) + 0.5) / 16 * WIDTH / np.sqrt(2)
    pairs = k[:, None] / n * (WIDTH - along) * hankel2(0, k[:, None] * along)
    radiation = (pairs * np.cos(k[:, None] * along * np.sin(theta)[:, None, None])).sum(-1)
    gain = 1 + j0(2 * k[:, None] * up).mean(-1)
    loaded = np.abs(1 + y * (gain * radiation.real + 1j * radiation.imag)) ** 2
    return np.asarray(4 * gain * (y.real / loaded).mean(0) * np.pi / 2)


def main() -> None:
    """Print both beside each other."""
    wool = material("glass-fibre board")
    assert wool.flow_resistivity is not None
    board = absorbers.corner_board(wool, thickness=THICK, size=(WIDTH, 1.2))
    for band in (40.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0):
        f = np.array([band])
        told, plane = float(diffuse_alpha(f, absorber=board)[0]), float(in_a_plane(f, board)[0])
        flow = wool.flow_resistivity.typical
        waves = np.array([coefficient(band, flow, wool.porosity, room) for room in ROOMS])
        spread = f"{waves.mean():4.2f}, s.d. {waves.std(ddof=1):4.2f}"
        print(f"{band:5g} Hz  told {told:4.2f}, in a plane {plane:4.2f}, by waves {spread}")


if __name__ == "__main__":
    main()
