"""The virtual bend, beside a plain NumPy fibre section doing the same work."""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from rimwright.bending.history import FibreHistory
from rimwright.bending.kernels import section
from rimwright.bending.kernels.section import step_rows
from rimwright.bending.law import DEFAULT_LAW, law_of
from rimwright.bending.parameters import DEFAULT
from rimwright.bending.virtual_bend import inside_curvature
from rimwright.bending.virtual_many import Bends, Conditions, Timetable, bend_many, conditions
from rimwright.bending.virtual_side import SideJob, side_job
from rimwright.curves.piece import FloatArray
from rimwright.desk.opening import open_design
from rimwright.plan import make_plan
from rimwright.wood.catalogue import find
from scripts.benchmarks.timing import Figure, runs_of, timed

ROOT = Path(__file__).resolve().parents[2]
WORKERS = 2


def numpy_bends(laws: FloatArray, thick: FloatArray, curvature: FloatArray, table: Timetable,
                given: Conditions) -> FloatArray:  # fmt: skip
    """Released curvature of each station by whole arrays, one step and pass at a time."""
    kept = np.empty((laws.shape[0], thick.size))
    for sample, law in enumerate(laws):
        steps, fibres = table.time_s.size, given.place.size
        rows, rates = np.zeros((steps, fibres, section.ROW)), np.ones((steps, 2))
        step_rows(law, table.time_s, given.temperature_c[0], given.moisture[0], rows, rates)
        home = curvature / (1.0 + 0.5 * thick * curvature)
        stress, flowed = np.zeros((3, fibres, thick.size)), np.zeros((fibres, thick.size))
        sound, modulus = np.zeros((fibres, thick.size)), law[section.STIFFNESS]
        lasting, pulled = law[section.LASTING], law[section.PULLED_LASTING]
        bent, hard = np.zeros(thick.size), law[section.HARDENING]
        z, share = given.place[:, None], given.weight[:, None]
        for k in range(1, steps):
            decay = rows[k, :, section.DECAY : section.DECAY + 3].T[:, :, None]
            gain = rows[k, :, section.GAIN : section.GAIN + 3].T[:, :, None]
            stretched = rows[k, :, section.PULLED_TANGENT, None]
            squeezed = rows[k, :, section.TANGENT, None]
            limit = -rows[k, :, section.PRESS_LIMIT, None] - hard * flowed
            stress *= decay
            lasts = modulus * np.where(sound > 0.0, pulled, lasting)
            base = stress.sum(axis=0) + sound * (
                lasts - np.where(sound > 0.0, stretched, squeezed))  # fmt: skip
            free = k >= table.release
            bend = np.zeros(thick.size) if free else thick * (home * table.progress[k] - bent)
            axial = np.zeros(thick.size)
            for pass_ in range(40):
                strain = sound + axial + z * bend
                stiff = np.where(strain > 0.0, stretched, squeezed)
                tried = base + stiff * strain
                below = tried < limit
                slope = share * np.where(below & (not free or pass_ > 0), 0.0, stiff)
                force = share * np.maximum(tried, limit)
                n, a = force.sum(axis=0), slope.sum(axis=0) + 1e-3
                if free:
                    m, b, c = (z * force).sum(axis=0), (z * slope).sum(axis=0), (
                        z * z * slope).sum(axis=0) + 1e-4  # fmt: skip
                    whole = a * c - b * b
                    by, turn = (b * m - c * n) / whole, (b * n - a * m) / whole
                    bend = bend + np.clip(turn, -0.05, 0.05)
                else:
                    by, turn = -n / a, np.zeros(1)
                axial = axial + np.clip(by, -0.05, 0.05)
                if max(np.abs(by).max(), np.abs(turn).max()) < 1e-11:
                    break
            strain = sound + axial + z * bend
            tried = base + np.where(strain > 0.0, stretched, squeezed) * strain
            own = np.maximum(tried, limit) - base
            kept_strain = own / np.where(own > 0.0, stretched, squeezed)
            flowed -= np.minimum(strain - kept_strain, 0.0)
            before, sound = (modulus - lasts) * sound, kept_strain
            relaxes = modulus * (1.0 - np.where(sound > 0.0, pulled, lasting))
            stress += gain * (relaxes * sound - before) / 3.0
            bent = bent + bend / thick
            if k == table.release:
                kept[sample] = bent
    return kept


def coarse(stations: int, fibres: int, steps: int, samples: int = 1):
    """A side that bends, rests and is let go: laws, thickness, curvature, timetable, history."""
    time_s = np.concatenate([np.linspace(0.0, 280.0, steps - 60), 280.0 + np.geomspace(5, 9e4, 60)])
    share = np.clip(np.linspace(0.0, 2.0, steps - 60)[:, None] - np.linspace(0, 0.9, stations),
                    0.0, 1.0)  # fmt: skip
    progress = np.ascontiguousarray(np.concatenate([share, np.ones((60, stations))]))
    progress[-60:] = 1.0
    hot = FibreHistory(
        np.array([0.0, 580.0, 3000.0, 1e5]),
        np.repeat(np.array([105.0, 105.0, 25.0, 21.0])[:, None], 5, axis=1),
        np.repeat(np.array([0.17, 0.12, 0.11, 0.085])[:, None], 5, axis=1),
    )
    table = Timetable(time_s, progress, steps - 10)
    rng = np.random.default_rng(7)
    laws = np.tile(DEFAULT_LAW.vector(), (samples, 1))
    laws[:, section.STIFFNESS] *= np.exp(0.2 * rng.standard_normal(samples))
    thick = np.full(stations, 0.0021)
    curvature = np.where(np.arange(stations) < 0.6 * stations, 9.0, -12.0)
    curvature[int(0.85 * stations) :] = 45.0
    return laws, thick, curvature, table, conditions([hot], time_s, fibres)


def run(made, workers: int = WORKERS) -> Bends:
    """Bend what `coarse` made."""
    laws, thick, curvature, table, given = made
    return bend_many(
        laws,
        thickness_m=thick,
        inside_curvature=curvature,
        timetable=table,
        conditions=given,
        workers=workers,
    )


def wren() -> SideJob:
    """Wren's treble side with its heat and timetable."""
    plan = make_plan(open_design(ROOT / "examples/tern-lane/wren.rim.toml"))
    return side_job(
        plan.design,
        outline=plan.outline,
        side=plan.sides[-1],
        recipe=plan.recipe,
        tooling=plan.tooling,
        wood=find(plan.design.sides.wood or ""),
        parameters=DEFAULT,
    )


def figures() -> Iterator[Figure]:
    """Throughput, one side, ten thousand sides, and how the cost grows."""
    many = coarse(224, 11, 300, samples=64)
    seconds = statistics.median(runs_of(lambda: run(many), 7))
    done = 64 * 224 * 11 * 300
    yield Figure(name=f"committed fibre-steps a second, {WORKERS} threads (at least 500)",
                 value=done / seconds / 1e6, unit="M/s")  # fmt: skip
    yield Figure(
        name="  a thousand million of them", value=1e9 / (done / seconds), unit="s", limit=2.0
    )
    one = coarse(200, 11, 300)
    yield timed("200 stations x 11 fibres x 300 steps", lambda: run(one), runs=15, limit_ms=5)
    laws, thick, curvature, table, given = one
    yield timed("  the same in plain NumPy",
                lambda: numpy_bends(laws, thick, curvature, table, given),
                runs=3, beside="general tool")  # fmt: skip
    apart = np.abs(run(one).released - numpy_bends(laws, thick, curvature, table, given)).max()
    yield Figure(name="  greatest difference of curvature", value=1e6 * float(apart),
                 unit="1/km", limit=1.0)  # fmt: skip
    job = wren()
    law = law_of(job.wood).vector()
    bent, given = inside_curvature(job.piece), conditions([job.heat.history], job.timetable.time_s)
    yield timed(
        f"one whole side at the defaults ({job.piece.s.size} stations x 21 x "
        f"{job.timetable.time_s.size})",
        lambda: bend_many(law, thickness_m=job.piece.thickness, inside_curvature=bent,
                          timetable=job.timetable, conditions=given, record=True, workers=WORKERS),
        runs=15,
        limit_ms=20,
    )  # fmt: skip
    yield timed("  with ranges, gaps and forces", job.bend, runs=5)
    thousand = coarse(200, 11, 300, samples=1000)
    yield Figure(
        name="10 000 sides of 200 x 11 x 300 (a thousand measured)",
        value=10.0 * statistics.median(runs_of(lambda: run(thousand), 3)),
        unit="s",
        limit=30.0,
    )
    for name, sizes in (
        ("stations", [(n, 11, 300, 4) for n in (64, 256, 1024)]),
        ("fibres", [(224, n, 300, 4) for n in (5, 21, 81)]),
        ("samples", [(224, 11, 300, n) for n in (4, 16, 64)]),
    ):
        for stations, fibres, steps, samples in sizes:
            made = coarse(stations, fibres, steps, samples)
            count = {"stations": stations, "fibres": fibres, "samples": samples}[name]
            yield timed(f"  growth: {count} {name}", lambda made=made: run(made), runs=5)
