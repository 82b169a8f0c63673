"""What `rimwright odds` refuses, in one line, and what a Ctrl-C leaves behind."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rimwright.cli.main import run

ROOT = Path(__file__).resolve().parents[2]
WREN = ROOT / "examples" / "tern-lane" / "wren.rim.toml"
DRAWING = ROOT / "tests" / "cases" / "wren.svg"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((str(WREN), "--samples", "12"), "12 samples"),
        ((str(DRAWING), "--thickness", "2mm"), "no wood named"),
        ((str(WREN), "--wood", "unobtainium"), "unobtainium"),
        ((str(WREN), "--school", "warm"), "school 'warm'"),
        ((str(WREN), "--cluster", "tcp://127.0.0.1:9"), "nothing that answers"),
        ((str(WREN), "--cluster", "nonsense://x"), "nothing that answers"),
        (("nowhere.rim.toml",), "no such file"),
    ],
)
def test_one_line_and_nothing_written(
    words: tuple[str, ...],
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = tmp_path / "out"
    monkeypatch.setattr(sys, "argv", ["rimwright", "odds", *words, "-o", str(out)])
    with pytest.raises(SystemExit) as stopped:
        run()
    assert stopped.value.code == 2
    told = capsys.readouterr()
    assert said in told.err
    assert told.err.count("\n") == 1
    assert not out.exists()


@pytest.mark.slow
def test_an_interrupt_leaves_no_half_result(tmp_path: Path) -> None:
    out = tmp_path / "out"
    command = [sys.executable, "-c", "from rimwright.cli.main import run; run()"]
    with subprocess.Popen(
        [*command, "odds", str(WREN), "--samples", "200000", "-o", str(out)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        time.sleep(8.0)
        assert process.poll() is None
        process.send_signal(signal.SIGINT)
        told, error = process.communicate(timeout=30.0)
    assert process.returncode == 130
    assert told == ""
    assert error.strip().splitlines()[-1] == "stopped; nothing half-written"
    assert not out.exists()
