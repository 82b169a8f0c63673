"""A serial board that prints millivolts, from its terminal to the temperature of the run.

Reference points of type K: NIST ITS-90 thermocouple database (SRD 60), in `data/type_k_emf.csv`.
"""

import csv
from pathlib import Path

import pytest

from probe_links import Board, Listener
from rimwright.equipment.probes import parse_probe
from rimwright.live.clock import SystemClock
from rimwright.live.probes.make import make_source

DATA = Path(__file__).parent / "data" / "type_k_emf.csv"


def points() -> list[tuple[float, float]]:
    lines = [line for line in DATA.read_text().splitlines() if not line.startswith("#")]
    return [
        (float(row["temperature_c"]), float(row["emf_mv_ref_0c"])) for row in csv.DictReader(lines)
    ]


@pytest.fixture
def board(tmp_path: Path):
    board = Board(tmp_path / "tty")
    yield board
    board.unplug()


def heard_from(board: Board, line: bytes) -> float:
    source = make_source(
        parse_probe(f"waist=serial:{board.link},column=1,cold_column=2,unit=mV"), 0
    )
    heard = Listener()
    source.start(heard, SystemClock())
    with board.saying(lambda: line):
        reading = heard.wait(lambda reading: reading.celsius is not None)
    source.stop()
    assert reading.celsius is not None
    return reading.celsius


def test_the_reference_points_arrive(board: Board, held_against):
    for celsius, printed in points():
        held_against(
            f"temperature of a board's line of {printed:g} mV, its own end at 0 °C",
            source="NIST ITS-90 (SRD 60)",
            printed=celsius,
            ours=heard_from(board, b"%.4f,0.0\r\n" % printed),
            tolerance=0.0016,
            unit="°C",
            why="voltage printed to 0.0001 mV, 40 µV to the kelvin",
        )


@pytest.mark.parametrize("cold", [20.0, 42.0])
def test_with_the_boards_own_end_at_another_reference_point(board: Board, held_against, cold):
    of_cold = dict(points())[cold]
    for celsius, printed in points():
        if celsius > cold:
            held_against(
                f"temperature of {printed - of_cold:.4f} mV, the board's own end at {cold:g} °C",
                source="NIST ITS-90 (SRD 60)",
                printed=celsius,
                ours=heard_from(board, b"%.4f,%.1f\r\n" % (printed - of_cold, cold)),
                tolerance=0.003,
                unit="°C",
                why="two voltages printed to 0.0001 mV, 40 µV to the kelvin",
            )
