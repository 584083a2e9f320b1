"""Boards across corners against the wave equation: a room in two dimensions with the board in it, by finite
differences. Run it by itself (half a minute): ``python tests/corner_waves.py``.

The only thing in the room that takes power is the board, so that what a source gives is what the board takes;
over the mean energy density in the room that is its absorption. In a plane, c w/pi falls on each metre of a
boundary (Kuttruff, Room Acoustics, from memory: c w/4 in space). The lowest bands have so few modes that they
are means over what there is.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csc_matrix, diags
from scipy.sparse.linalg import splu

from isolate import bands
from isolate.describe.materials import material
from isolate.physics import absorbers, air, porous
from isolate.physics.absorption import diffuse_alpha

ROOM, STEP = (4.1, 3.2), 0.025  # m
WIDTH, THICK = 0.6, 0.1  # m, of the board
PER_BAND = 9
SOURCES = ((3.7, 2.9), (3.1, 2.2), (2.3, 2.9))  # m


def solved(f: float, flow: float, porosity: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Pressures of each source (sources, cells), the cells of the sources, and which cells hold air."""
    nx, ny = (round(side / STEP) for side in ROOM)
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
    at = np.array([cell[int(u / STEP), int(v / STEP)] for u, v in SOURCES])
    drive = np.zeros((nx * ny, len(SOURCES)), complex)
    drive[at, np.arange(len(SOURCES))] = -1j * w / STEP**2  # a unit volume velocity per metre
    pressure = splu(csc_matrix(matrix + diags(main))).solve(drive)
    far = ((x + y) > back + 1.0).ravel()
    return pressure.T, at, far


def absorbed(f: float, flow: float, porosity: float) -> tuple[float, float]:
    """Power [W/m] that the board takes and the mean energy density [J/m3] over the room, all sources."""
    pressure, at, far = solved(f, flow, porosity)
    power = 0.5 * np.abs(np.real(pressure[np.arange(len(at)), at])).sum()
    density = (np.abs(pressure[:, far]) ** 2).mean(1).sum() / (2 * air.DENSITY * air.SPEED**2)
    return float(power), float(density)


def coefficient(band_hz: float, flow: float, porosity: float) -> float:
    """Absorption per width of the board in a third octave."""
    middle = bands.exact(np.array([band_hz]))[0]
    several = middle * 2.0 ** (np.linspace(-1, 1, PER_BAND) / 6)
    power, density = np.array([absorbed(float(f), flow, porosity) for f in several]).T
    return float((power / density).mean() / (air.SPEED / np.pi * WIDTH))


def main() -> None:
    """Print both beside each other."""
    wool = material("glass-fibre board")
    assert wool.flow_resistivity is not None
    board = absorbers.corner_board(wool, thickness=THICK, size=(WIDTH, 1.2))
    for band in (40.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0):
        told = float(diffuse_alpha(np.array([band]), absorber=board)[0])
        waves = coefficient(band, wool.flow_resistivity.typical, wool.porosity)
        print(f"{band:5g} Hz  told {told:4.2f}  by waves {waves:4.2f}")


if __name__ == "__main__":
    main()
