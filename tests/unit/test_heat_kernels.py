"""The small kernels of the heat, and the cache that all kernels share."""

import os
import subprocess
import sys

import numpy as np
import pytest

from rimwright.bending import kernels
from rimwright.bending.kernels import compiled
from rimwright.bending.kernels.heat_layers import face_loss, solve
from rimwright.bending.kernels.heat_step import probe_after
from rimwright.bending.kernels.heat_wood import activity, enthalpy, latent, saturation
from rimwright.wood.relations import equilibrium_moisture, specific_heat


@pytest.mark.parametrize("celsius", [0.0, 21.0, 60.0, 99.0])
@pytest.mark.parametrize("humidity", [0.02, 0.2, 0.45, 0.7, 0.95])
def test_activity_undoes_the_sorption_equation(celsius, humidity):
    moisture = float(equilibrium_moisture(celsius, humidity))
    found, slope, guess = activity(moisture, celsius, 0.0)
    assert found == pytest.approx(humidity, abs=1e-9)
    again = activity(moisture, celsius, guess)[0]
    assert again == pytest.approx(humidity, abs=1e-9)
    step = 1e-6
    rise = activity(moisture + step, celsius, 0.0)[0] - activity(moisture - step, celsius, 0.0)[0]
    assert slope == pytest.approx(rise / (2.0 * step), rel=1e-4)


def test_activity_at_its_ends():
    assert activity(0.5, 80.0, 0.0)[0] == 1.0
    assert activity(0.0, 80.0, 0.0)[0] == 0.0
    # Held above the end of the table.
    assert activity(0.05, 150.0, 0.0)[0] == activity(0.05, 99.0, 0.0)[0]


@pytest.mark.parametrize("moisture", [0.0, 0.05, 0.12, 0.28])
@pytest.mark.parametrize("celsius", [20.0, 80.0, 140.0])
def test_enthalpy_is_the_integral_of_the_handbook_s_specific_heat(moisture, celsius):
    held, capacity, _ = enthalpy(600.0, moisture, celsius)
    per_volume = 600.0 * (1.0 + moisture)
    assert capacity == pytest.approx(per_volume * float(specific_heat(moisture, celsius)))
    warm = np.linspace(20.0, celsius, 200) if celsius > 20.0 else np.array([20.0, 20.0])
    heat = np.trapezoid(per_volume * specific_heat(moisture, warm), warm)
    assert held - enthalpy(600.0, moisture, 20.0)[0] == pytest.approx(heat, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("moisture", [0.03, 0.15, 0.29, 0.45])
def test_enthalpy_slopes(moisture):
    _, _, by_moisture = enthalpy(600.0, moisture, 110.0)
    step = 1e-6
    rise = enthalpy(600.0, moisture + step, 110.0)[0] - enthalpy(600.0, moisture - step, 110.0)[0]
    assert by_moisture == pytest.approx(rise / (2.0 * step), rel=1e-5)


def test_steam():
    pressure, slope = saturation(120.0)
    rise = saturation(120.001)[0] - saturation(119.999)[0]
    assert slope == pytest.approx(rise / 0.002, rel=1e-6)
    # Steam tables, from memory: 2257 kJ/kg at 100 °C, 2442 at 25.
    assert latent(100.0) == pytest.approx(2.257e6, rel=0.004)
    assert latent(25.0) == pytest.approx(2.442e6, rel=0.004)
    assert pressure > 101_325.0


def test_face_loss_balances_and_has_its_slope():
    face = np.array([1.32 / 0.15**0.25, 0.8, 2.0])
    flow, slope, surface = face_loss(110.0, 800.0, face, 21.0)
    rise, kelvin = surface - 21.0, surface + 273.15
    loss = face[0] * rise**1.25 + 2.0 * rise + 0.8 * 5.670374419e-8 * (kelvin**4 - 294.15**4)
    assert flow == pytest.approx(loss, rel=1e-6)
    step = 1e-4
    change = (
        face_loss(110.0 + step, 800.0, face, 21.0)[0]
        - face_loss(110.0 - step, 800.0, face, 21.0)[0]
    )
    assert slope == pytest.approx(change / (2.0 * step), rel=1e-4)
    assert face_loss(21.0, 800.0, face, 21.0)[0] == 0.0


def test_the_tridiagonal_solver():
    draw = np.random.default_rng(1)
    n = 12
    below, above = draw.normal(size=n), draw.normal(size=n)
    diagonal = 4.0 + np.abs(draw.normal(size=n))
    matrix = np.diag(diagonal) + np.diag(above[:-1], 1) + np.diag(below[1:], -1)
    right = draw.normal(size=n)
    expected = np.linalg.solve(matrix, right)
    solve(below, diagonal, above, right, np.empty(n))
    assert right == pytest.approx(expected)


def test_a_probe_trails_a_steady_climb_by_its_lag():
    reading, place = 20.0, 20.0
    for _ in range(100):
        reading = probe_after(reading, place, place + 1.0, 1.0, 4.0)
        place += 1.0
    assert place - reading == pytest.approx(4.0, abs=1e-6)
    assert probe_after(20.0, 20.0, 30.0, 1.0, 0.0) == 30.0


def test_the_cache_is_named_after_every_kernel_s_source(tmp_path):
    one, two = tmp_path / "one.py", tmp_path / "two.py"
    one.write_text("a = 1\n")
    two.write_text("b = 1\n")
    before = compiled.sources_hash(tmp_path)
    assert compiled.sources_hash(tmp_path) == before
    two.write_text("b = 2\n")
    assert compiled.sources_hash(tmp_path) != before
    two.rename(tmp_path / "three.py")
    assert compiled.sources_hash(tmp_path) != before


TWICE = """
import sys
from rimwright.bending import kernels
kernels.when_compiling(print)
from rimwright.bending.kernels.heat_wood import latent
print(latent(100.0))
print("scipy.linalg" in sys.modules)
"""


def test_the_first_start_compiles_and_says_so_the_second_only_loads(tmp_path):
    environment = {**os.environ, "RIMWRIGHT_CACHE": str(tmp_path)}
    first, second = (
        subprocess.run(
            [sys.executable, "-c", TWICE], env=environment, capture_output=True, text=True,
            check=True,
        ).stdout.splitlines()
        for _ in range(2)
    )  # fmt: skip
    assert "compiling the models for this machine, once" in first[0]
    assert second == first[1:]
    assert second[1] == "False"
    assert list((tmp_path / "kernels").glob(f"{compiled.sources_hash()}/*/*.nbc"))


def test_a_cache_that_cannot_be_written_is_done_without(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    environment = {**os.environ, "RIMWRIGHT_CACHE": str(blocked)}
    done = subprocess.run(
        [sys.executable, "-c", TWICE], env=environment, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[0].startswith("compiling")


def test_telling_nobody():
    heard = []
    kernels.when_compiling(heard.append)
    kernels.compiling("words")
    kernels.when_compiling(None)
    kernels.compiling("more")
    assert heard == ["words"]
