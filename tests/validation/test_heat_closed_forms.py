"""The heat kernel against closed forms: slab, half-space, layers, and its measured orders.

Carslaw & Jaeger, Conduction of Heat in Solids (2nd ed., 1959), from memory: the slab cooled at
both faces (3.3), the half-space that takes up heat through a film (2.7). Orders of convergence
are measured on a manufactured solution and on an exact exponential.
"""

import math

import numpy as np
import pytest
from scipy.special import erfc

from rimwright.bending.kernels import heat
from rimwright.bending.kernels.heat_step import SCHEDULE

CARSLAW = "Carslaw & Jaeger, Conduction of Heat in Solids (from memory)"
#: A film so good that the face has the room's temperature. [W/(m² K)]
HELD = 1e9


def conduct(
    width, k, c, start, *, lower=0.0, upper=0.0, room=0.0, source=None, power=0.0, contact=None,
    end_s, fixed_s=0.0, tolerance_k=1e-4, longest_s=1e9, wood=None, rows=200_000, radiating=0.0,
):  # fmt: skip
    """Plain layers (or wood without escape of water) through time, by the kernel itself."""
    n = len(width)
    gravity, moisture, first, last = (0.5, 0.0, 0, 0) if wood is None else wood
    stack = (
        np.asarray(width, float), np.asarray(k, float), np.asarray(c, float),
        np.zeros(n) if source is None else np.asarray(source, float),
        np.zeros(n + 1) if contact is None else np.asarray(contact, float),
        first, last, np.array([gravity, 1.0]), np.zeros(3),
        np.array([[0.0, radiating, lower], [0.0, radiating, upper]]), float(room),
    )  # fmt: skip
    out = (
        np.zeros(rows), np.zeros((rows, n)), np.zeros((rows, n)), np.zeros(rows), np.zeros(rows),
        np.zeros(heat.BOOKS),
    )  # fmt: skip
    ended, taken, _, _ = heat.run(
        stack, np.asarray(start, float), np.full(n, moisture), np.array([0.0]),
        np.array([float(power)]), np.array([SCHEDULE, 0.0, 0.0, 0.0, 1.0]), 0,
        np.array([0.5, 0.0]), np.array([0.0, 0.0, float(end_s)]),
        np.array([tolerance_k, fixed_s, longest_s, longest_s]), out,
    )  # fmt: skip
    assert ended == heat.ENDED
    return out[0][: taken + 1], out[1][: taken + 1], out[5]


def order(sizes, errors):
    """Slope of the errors over the sizes in logarithms."""
    return float(np.polyfit(np.log(sizes), np.log(errors), 1)[0])


def slab(x, t, a, thickness):
    """Start 1, faces held at 0."""
    n = 2 * np.arange(200) + 1
    terms = 4 / (n * math.pi) * np.exp(-((n * math.pi / thickness) ** 2) * a * t)
    return float(np.sum(terms * np.sin(n * math.pi * x / thickness)))


@pytest.mark.parametrize("seconds", [2.0, 8.0, 30.0])
def test_slab_between_cold_plates(held_against, seconds):
    # 2.1 mm of wood-like stuff, a = 1.6e-7 m²/s, 42 cells: middle cells straddle the middle.
    thickness, a, n = 2.1e-3, 1.6e-7, 42
    width = np.full(n, thickness / n)
    _, T, _ = conduct(
        width, np.full(n, 0.2), np.full(n, 0.2 / a), np.full(n, 100.0), lower=HELD, upper=HELD,
        end_s=seconds,
    )  # fmt: skip
    x = thickness / 2 + thickness / n / 2
    held_against(
        f"slab of 2.1 mm, 100 K above its faces, after {seconds:g} s: near its middle",
        source=CARSLAW,
        printed=100.0 * slab(x, seconds, a, thickness),
        ours=T[-1][n // 2],
        tolerance=0.05,
        unit="K",
        why="42 cells, second order: some 0.02 K",
    )


@pytest.mark.parametrize("depth_mm", [0.5, 3.0, 8.0])
def test_half_space_behind_a_film(held_against, depth_mm):
    # 60 mm is deep enough for 300 s: the wave has reached some 14 mm.
    k, a, h, seconds, n = 0.2, 1.6e-7, 50.0, 300.0, 600
    width = np.full(n, 0.06 / n)
    _, T, _ = conduct(
        width, np.full(n, k), np.full(n, k / a), np.full(n, 20.0), lower=h, room=120.0,
        end_s=seconds,
    )  # fmt: skip
    x = (np.floor(depth_mm * 1e-3 / width[0]) + 0.5) * width[0]
    spread = 2 * math.sqrt(a * seconds)
    film = h / k
    share = erfc(x / spread) - math.exp(film * x + film**2 * a * seconds) * erfc(
        x / spread + film * math.sqrt(a * seconds)
    )
    held_against(
        f"half-space behind a film of 50 W/(m² K), 300 s, {depth_mm:g} mm deep",
        source=CARSLAW,
        printed=20.0 + 100.0 * share,
        ours=T[-1][int(x / width[0])],
        tolerance=0.02,
        unit="°C",
        why="cells of 0.1 mm, steps to 1e-4 K",
    )


def test_layers_in_steady_state(held_against):
    # Slat, paper, wood, paper, slat, heated cell, slat: resistances in series, by hand below.
    width = np.array([0.25, 0.1, 1.0, 1.1, 0.1, 0.25, 1.6, 0.25]) * 1e-3
    k = np.array([50.0, 0.1, 0.2, 0.2, 0.1, 50.0, 0.25, 50.0])
    contact = np.zeros(9)
    contact[[1, 2, 4, 5, 6, 7]] = 4e-4
    source = np.zeros(8)
    source[6] = 1.0 / width[6]
    power, lower, upper, room = 3000.0, 14.0, 18.0, 21.0
    _, T, books = conduct(
        width, k, np.full(8, 1.5e6), np.full(8, room), lower=lower, upper=upper, room=room,
        source=source, power=power, contact=contact, end_s=30_000.0,
    )  # fmt: skip
    halves = 0.5 * width / k
    down = 1 / lower + 2 * np.sum(halves[:6]) + np.sum(contact[1:7]) + halves[6]
    up = halves[6] + contact[7] + 2 * halves[7] + 1 / upper
    hot = room + power / (1 / down + 1 / up)
    flow = (hot - room) / down
    wood = room + flow * (1 / lower + 2 * np.sum(halves[:2]) + np.sum(contact[1:3]) + halves[2])
    for name, printed, ours in (("blanket", hot, T[-1][6]), ("wood", wood, T[-1][2])):
        held_against(
            f"steady layers with contact: {name}",
            source="Fourier's law, resistances in series by hand",
            printed=printed,
            ours=ours,
            tolerance=1e-4,
            unit="°C",
            why="finite volumes are exact for steady layers; Newton's tolerance is left",
        )
    assert abs(books[0] - books[1] - books[2] - (books[5] - books[4])) < 1e-6 * books[0]


def test_second_order_in_space(held_against):
    # Manufactured: T = 20 + 70 sin(pi x / L) in wood whose conductivity follows T; the source
    # that needs is steady, and the run is carried on until it is.
    length, gravity, moisture = 2.0e-3, 0.5, 0.10
    at_24 = gravity * (0.1941 + 0.4064 * moisture) + 0.01864

    def exact(x):
        return 20.0 + 70.0 * np.sin(math.pi * x / length)

    def heating(x):
        w = math.pi / length
        slope, second = 70.0 * w * np.cos(w * x), -70.0 * w * w * np.sin(w * x)
        k = at_24 * (1.0 + 0.0027 * (exact(x) - 24.0))
        return -(at_24 * 0.0027 * slope**2 + k * second)

    sizes, errors = [], []
    for n in (8, 16, 32, 64):
        x = (np.arange(n) + 0.5) * length / n
        _, T, _ = conduct(
            np.full(n, length / n), np.ones(n), np.ones(n), exact(x), lower=HELD, upper=HELD,
            room=20.0, source=heating(x), power=1.0, end_s=400.0,
            wood=(gravity, moisture, 0, n),
        )  # fmt: skip
        sizes.append(length / n)
        errors.append(np.sqrt(np.mean((T[-1] - exact(x)) ** 2)))
    held_against(
        "order of convergence in space, manufactured solution in wood",
        source="theory of finite volumes",
        printed=2.0,
        ours=order(sizes, errors),
        tolerance=0.1,
        why="slope through four meshes of 8 to 64 cells",
    )
    assert errors[1] < 0.5, "at 16 cells the error is a few tenths of a kelvin in 70"


def test_second_order_in_time_exact(held_against):
    # Two cells of metal that lose heat through films: one exponential.
    c, h, width = 3.5e6, 20.0, 0.5e-3
    tau = c * width / h
    errors, sizes = [], []
    for steps in (5, 10, 20, 40):
        _, T, _ = conduct(
            [width, width], [1e6, 1e6], [c, c], [120.0, 120.0], lower=h, upper=h, room=20.0,
            end_s=tau, fixed_s=tau / steps,
        )  # fmt: skip
        sizes.append(tau / steps)
        errors.append(abs(T[-1][0] - 20.0 - 100.0 * math.exp(-1.0)))
    held_against(
        "order of convergence in time, exponential cooling",
        source="theory of TR-BDF2",
        printed=2.0,
        ours=order(sizes, errors),
        tolerance=0.1,
        why="slope through 5 to 40 steps to a time constant",
    )


def test_second_order_in_time_in_a_stack(held_against):
    # Nothing exact here: against the same mesh at steps sixteen times finer; radiation, wood
    # that changes with temperature, a heated layer.
    width = np.array([0.25, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3, 0.8, 0.8]) * 1e-3
    source = np.where(np.arange(9) >= 7, 1 / 1.6e-3, 0.0)
    contact = np.array([0, 4e-4, 0, 0, 0, 0, 0, 4e-4, 0, 0])

    def at_end(step):
        _, T, _ = conduct(
            width, k, c, np.full(9, 21.0), lower=6.0, upper=6.0, radiating=0.8, room=21.0,
            source=source, power=5000.0, contact=contact, end_s=64.0, fixed_s=step,
            wood=(0.6, 0.1, 1, 7),
        )  # fmt: skip
        return T[-1]

    k, c = np.array([50.0] + [1.0] * 6 + [0.25] * 2), np.array([3.5e6] + [1.0] * 6 + [1.6e6] * 2)
    finest = at_end(0.125)
    sizes, errors = [8.0, 4.0, 2.0], []
    for step in sizes:
        errors.append(np.max(np.abs(at_end(step) - finest)))
    held_against(
        "order of convergence in time, stack with wood and radiation",
        source="theory of TR-BDF2",
        printed=2.0,
        ours=order(sizes, errors),
        tolerance=0.25,
        why="slope through three steps; the coarsest is not yet in the limit",
    )
