"""A recording process is killed at random moments; nothing that was acknowledged is lost."""

import random
import shutil
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from threading import Thread

import pytest

from counts import SOAK
from journal_rows import event, sample
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import events_of, samples_after
from rimwright.journal.sqlite_file import driver

_CHILD = Path(__file__).parents[1] / "journal_child.py"
#: The SQLite that is used here, and the one that comes with Python, with a rollback journal
#: where its log has the fault.
_KILLS = {"used": 200 if SOAK else 15, "older": 50 if SOAK else 5}


@dataclass
class Heard:
    """What a process said before it was killed."""

    put: int = 0
    sample: int = 0
    event: int = 0
    first_s: float = 0.0
    notices: tuple[str, ...] = ()


def record_and_kill(path: Path, library: str, after_s: float, *, from_start: bool) -> Heard:
    """Let a process record; kill it so long after its start, or after its first acknowledgement."""
    began = time.monotonic()
    process = subprocess.Popen(
        [sys.executable, str(_CHILD), str(path), "0.1", library], stdout=subprocess.PIPE
    )
    heard = Heard()

    def listen() -> None:
        for line in process.stdout or ():
            words = line.decode().split()
            if words[0] == "put":
                heard.put = int(words[1])
            elif words[0] == "kept":
                heard.sample, heard.event = int(words[1]), int(words[2])
                heard.first_s = heard.first_s or time.monotonic() - began
            elif words[0] == "notice":
                heard.notices += (line.decode(),)

    listener = Thread(target=listen)
    listener.start()
    if not from_start:
        while not heard.first_s and process.poll() is None:
            assert time.monotonic() - began < 30.0, "the process did not come to record"
            time.sleep(0.005)
    time.sleep(after_s)
    process.kill()
    process.wait(10.0)
    listener.join(10.0)
    if process.stdout:
        process.stdout.close()
    return heard


@pytest.mark.slow
@pytest.mark.alone
@pytest.mark.parametrize("library", ["used", "older"])
def test_killed_at_random_moments(tmp_path: Path, library: str):
    kills = _KILLS[library]
    path = tmp_path / "journal" / "journal.sqlite"
    moments = random.Random(20)
    sound = lost = acknowledged = 0
    longest = slowest = 0.0
    for number in range(kills):
        # Every fifth while it starts, the others while it records.
        starting = number % 5 == 4
        heard = record_and_kill(path, library, moments.uniform(0.0, 0.8), from_start=starting)
        assert heard.notices == ()
        slowest = max(slowest, heard.first_s)
        # A copy is looked at, so that the next process finds what the kill left.
        copy = shutil.copytree(path.parent, tmp_path / "copy") / path.name
        bare = driver().connect(str(copy))
        sound += bare.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        bare.close()
        journal, notices = open_journal(copy)
        assert notices == ()
        samples, events = samples_after(journal, 1), events_of(journal, 1)
        journal.close()
        shutil.rmtree(tmp_path / "copy")
        assert samples == [sample(seq) for seq in range(1, len(samples) + 1)]
        assert events == [event(seq) for seq in range(1, len(events) + 1)]
        lost += max(0, heard.sample - len(samples)) + max(0, heard.event - len(events))
        acknowledged = max(acknowledged, heard.sample)
        if heard.put:
            longest = max(longest, 0.1 * (heard.put - len(samples)))
    print(f"{library} SQLite, killed and sound: measured {sound}, limit {kills} of {kills}")
    print(f"acknowledged samples lost, of {acknowledged}: measured {lost}, limit 0")
    print(f"longest not yet kept: measured {longest:.1f} s, limit 0.5 s")
    print(f"restart to recording: measured {slowest:.2f} s, limit 3.00 s")
    assert sound == kills
    assert lost == 0
    assert acknowledged > 3 * kills
    assert longest <= 0.5
    assert slowest <= 3.0
