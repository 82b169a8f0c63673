"""A bench of one or more runs for tests of the pages: samples ten times a second, few commands."""

import threading
import time
from contextlib import suppress

from rimwright.errors import AccessError, RunError
from rimwright.live.commands import Done
from rimwright.live.readings import Fault, Sample


class SmallBench:
    """As the pages need a bench; keeps everything in memory."""

    boot = "boot-one"

    def __init__(self, runs=(1,), per_s=10.0):
        self._lock = threading.Lock()
        self._samples = {run: [] for run in runs}
        self._versions = dict.fromkeys(runs, 1)
        self._done = {}
        self.commands = []
        self.pushed = []
        self.begun = []
        self._listeners = set()
        self._per_s = per_s
        self._began = time.monotonic()
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._tick, name="bench")

    def __enter__(self):
        self._thread.start()
        return self

    def __exit__(self, *_):
        self._ending.set()
        self._thread.join(5.0)

    def _tick(self):
        while not self._ending.wait(1.0 / self._per_s):
            for run in self.runs():
                self.sample(run)

    def sample(self, run, celsius=104.2, fault=None):
        """One more reading; its listeners hear of it."""
        with self._lock:
            rows = self._samples[run]
            rows.append(
                Sample(
                    seq=len(rows) + 1, at_s=self.at(run)[0], probe=0, celsius=celsius, fault=fault
                )
            )
        self.wake(run)

    def open_wire(self, run):
        self.sample(run, None, Fault.OPEN)

    def change(self, run):
        """Something of the view changed."""
        with self._lock:
            self._versions[run] += 1
        self.wake(run)

    def wake(self, run):
        """Whoever listens looks again."""
        for call in list(self._listeners):
            call(run)

    def listen(self, call):
        self._listeners.add(call)

        def end():
            with suppress(KeyError):
                self._listeners.remove(call)

        return end

    @property
    def listeners(self):
        return len(self._listeners)

    def runs(self):
        return tuple(self._samples)

    def _known(self, run):
        if run not in self._samples:
            raise RunError(
                f"no run {run} that is on", "one of those that are", "look at the first page"
            )

    def at(self, run):
        return time.monotonic() - self._began, time.time()

    def view(self, run):
        self._known(run)
        return {"format": "rimwright-live/1", "run": {"id": run}, "visit": self._versions[run]}

    def view_version(self, run):
        self._known(run)
        return self._versions[run]

    def samples_after(self, run, seq):
        self._known(run)
        with self._lock:
            return self._samples[run][seq:]

    def history(self, run):
        return []

    def hello(self, run, since, boot):
        self._known(run)
        at_s, wall_s = self.at(run)
        with self._lock:
            last = len(self._samples[run])
        rewind = last if since > last else None
        return {
            "kind": "hello", "boot": self.boot, "rewind": rewind, "at_s": at_s, "wall_s": wall_s,
            "view": self.view(run), "predicted": None, "history": [], "heat_on_s": None,
        }  # fmt: skip

    def command(self, run, command):
        self._known(run)
        with self._lock:
            if command.key in self._done:
                return Done(words=self._done[command.key], again=True)
            if command.kind == "back":
                raise RunError("a step that is the first", "one after it", "go on")
            self.commands.append((run, command))
            self._done[command.key] = f"{command.kind}: done"
        self.change(run)
        return Done(words=f"{command.kind}: done")

    def push(self, name, token, body):
        if (name, token) != ("waist", "right-token"):
            raise AccessError("a token that is not this probe's", "its own", "look it up")
        self.pushed.append(body)

    def begin(self, new):
        with self._lock:
            run = max(self._samples, default=0) + 1
            self._samples[run] = []
            self._versions[run] = 1
        self.begun.append(new)
        return run
