"""The one that writes: small batches, four times a second; what it cannot write, it remembers."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from itertools import islice

from rimwright.errors import JournalError
from rimwright.journal.engine import Journal
from rimwright.journal.rows import EventRow, SampleRow
from rimwright.journal.writer_health import LEAST_ROOM, WriterHealth, free_room, words_of
from rimwright.journal.writing import Batch, keep_batch, keep_one_by_one

__all__ = ["LEAST_ROOM", "Writer", "WriterHealth"]

#: What waits longer than this was not kept in time. [s]
_LATE_S = 1.5

#: After a failure it is tried again so often. [s]
_AGAIN_S = 1.0

#: Rows of one transaction, so that catching up does not become one long wait.
_BATCH = 20_000


class Writer:
    """Takes rows from any thread without waiting, and commits them in its own.

    Parameters
    ----------
    journal : Journal
        Where; its writing connection is used for the length of a commit.
    every_s : float, default 0.25
        Time between commits. [s]
    most_waiting : int, default 200_000
        Samples kept in memory while the journal cannot be written; the oldest go first.
        Events are never given up.
    room : callable, optional
        Free bytes on the disk, or None where nobody knows; looks itself if left out.

    Examples
    --------
    >>> import tempfile
    >>> from rimwright.journal.opening import open_journal
    >>> from rimwright.journal.runs import NewRun, begin_run, samples_after
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     journal, _ = open_journal(f"{folder}/journal.sqlite")
    ...     run = begin_run(journal, NewRun(model="Wren", plan_code="WREN-1", hand="bass",
    ...         piece="main", simulated=True, begun_wall_s=1.764e9, run_plan={},
    ...         model_version="1", prediction={}))
    ...     writer = Writer(journal)
    ...     writer.put(run, [SampleRow(1, 0, 0, 21.5), SampleRow(2, 100, 0, None, "open")])
    ...     print(writer.flush(), writer.kept(run))
    ...     writer.stop()
    ...     print(samples_after(journal, run, 1))
    ...     journal.close()
    True (2, 0)
    [SampleRow(seq=2, at_ms=100, probe=0, celsius=None, fault='open')]
    """

    def __init__(
        self,
        journal: Journal,
        *,
        every_s: float = 0.25,
        most_waiting: int = 200_000,
        room: Callable[[], int | None] | None = None,
    ) -> None:
        self._journal = journal
        self._every_s = every_s
        self._most_waiting = most_waiting
        self._room = room or (lambda: free_room(journal))
        self._news = threading.Condition()
        self._samples: deque[tuple[float, int, SampleRow]] = deque()
        self._events: deque[tuple[float, int, EventRow]] = deque()
        #: Taken from the queues, not yet known to be kept: tried again as it is.
        self._batch: Batch | None = None
        self._kept: dict[int, tuple[int, int]] = {}
        self._dropped = 0
        #: Of each run, samples that were given up.
        self._holes: dict[int, int] = {}
        self._error = ""
        self._little_room = ""
        self._looked_s = float("-inf")
        self._last_s: float | None = None
        self._hurry = self._stopping = False
        self._thread = threading.Thread(target=self._work, name="journal writer", daemon=True)
        self._thread.start()

    def put(
        self, run: int, samples: Sequence[SampleRow] = (), events: Sequence[EventRow] = ()
    ) -> None:
        """Take rows; they are kept when `kept` says so. Never waits for the disk."""
        now = time.monotonic()
        with self._news:
            self._samples.extend((now, run, row) for row in samples)
            self._events.extend((now, run, row) for row in events)
            for _ in range(len(self._samples) - self._most_waiting):
                _, of_run, _ = self._samples.popleft()
                self._holes[of_run] = self._holes.get(of_run, 0) + 1
                self._dropped += 1

    def kept(self, run: int) -> tuple[int, int]:
        """Highest number of a sample and of an event whose commit has returned; 0 for none.

        It counts what this writer kept, not what the journal held before.
        """
        with self._news:
            return self._kept.get(run, (0, 0))

    def health(self) -> WriterHealth:
        """How it goes, now. Never waits for the disk."""
        now = time.monotonic()
        with self._news:
            oldest = min(
                self._batch.oldest_s if self._batch else now,
                self._samples[0][0] if self._samples else now,
                self._events[0][0] if self._events else now,
            )
            words = self._error or self._little_room
            if not self._thread.is_alive():
                words = words or "The writer was stopped"
            elif now - oldest > _LATE_S:
                words = words or "The disk takes long to answer: look at disk and cable"
            return WriterHealth(
                ok=not words,
                words=words,
                waiting=self._waiting(),
                dropped=self._dropped,
                last_commit_s=0.0 if self._last_s is None else now - self._last_s,
            )

    def flush(self, timeout_s: float = 5.0) -> bool:
        """Commit now and wait for it; False where something still waits after that time."""
        with self._news:
            self._hurry = True
            self._news.notify_all()
            done = self._news.wait_for(
                lambda: not self._waiting() or not self._thread.is_alive(), timeout_s
            )
            return done and not self._waiting()

    def stop(self) -> None:
        """Write what waits, if it can be written, and end."""
        self.flush()
        with self._news:
            self._stopping = True
            self._news.notify_all()
        self._thread.join(5.0)

    def _waiting(self) -> int:
        return len(self._samples) + len(self._events) + (len(self._batch) if self._batch else 0)

    def _work(self) -> None:
        wait_s = self._every_s
        while True:
            with self._news:
                self._news.wait_for(lambda: self._hurry or self._stopping, wait_s)
                self._hurry = False
                if self._stopping:
                    return
            self._look_at_room()
            wait_s = self._every_s if self._keep() else _AGAIN_S

    def _keep(self) -> bool:
        """Commit all that waits; False where the journal cannot be written now."""
        while True:
            with self._news:
                if self._batch is None:
                    if not self._samples and not self._events:
                        return True
                    self._batch = self._take()
                batch = self._batch
            try:
                refused = self._commit(batch)
            except Exception as error:  # noqa: BLE001  # whatever it is: say so, try again
                with self._news:
                    self._error = words_of(error)
                    self._news.notify_all()
                return False
            with self._news:
                tallies = batch.tallies(self._holes)
            if not refused:
                self._journal.count(tallies)
            with self._news:
                for run, tally in tallies.items():
                    sample, event = self._kept.get(run, (0, 0))
                    self._kept[run] = (max(sample, tally.sample), max(event, tally.event))
                self._batch = None
                self._dropped += refused
                self._error = ""
                self._last_s = time.monotonic()
                self._news.notify_all()

    def _commit(self, batch: Batch) -> int:
        try:
            keep_batch(self._journal, batch)
        except JournalError:
            raise
        except Exception:  # noqa: BLE001  # one row of it is refused: the others are not to wait
            return keep_one_by_one(self._journal, batch)
        return 0

    def _take(self) -> Batch:
        samples = list(islice(self._samples, _BATCH))
        for _ in samples:
            self._samples.popleft()
        events = list(self._events)
        self._events.clear()
        oldest = min(rows[0][0] for rows in (samples, events) if rows)
        return Batch(
            oldest, [(run, row) for _, run, row in samples], [(run, row) for _, run, row in events]
        )

    def _look_at_room(self) -> None:
        now = time.monotonic()
        if now - self._looked_s < _AGAIN_S:
            return
        self._looked_s = now
        free = self._room()
        little = ""
        if free is not None and free < LEAST_ROOM:
            little = f"Only {free / 1e6:.0f} MB free on the disk: make room"
        with self._news:
            self._little_room = little
