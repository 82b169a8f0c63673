"""A bend on a real bench behind a real server; stopped, started again, cut off by a proxy."""

import contextlib
import socket
import threading
import time

from benched import wren
from rimwright.desk.beginning import begin_run
from rimwright.equipment.probes import parse_probe
from rimwright.journal.opening import open_journal
from rimwright.live.bench import LiveBench
from rimwright.live.commands import Command
from rimwright.web.serve import serve

#: Second address of every Linux computer: who comes from there is a guest.
LAN = "127.0.0.2"
TOKEN = "a-token-of-these-tests-only-0123456789"
#: A board that posts its readings: what it reads is up to the test.
POSTED = f"waist=http,token={TOKEN}"


class ServedBend:
    """A bench with one run, and its pages; the same journal and port after a restart."""

    def __init__(self, folder, *, names=(), speed=1.0, probe="waist=model"):
        self.folder, self.names = folder, tuple(names)
        self.port, self.run, self._taps = 0, 0, 0
        self._feeding = None
        self.start()
        self.begin(probe, speed)

    def begin(self, probe="waist=model", speed=1.0):
        """A run of the treble side, which is ours from now on."""
        self.run = begin_run(
            self.bench, wren(), hand="treble", settings=(parse_probe(probe),), speed=speed,
            device="terminal",
        )  # fmt: skip

    def start(self):
        """Open everything; runs that were on go on."""
        self.journal, _ = open_journal(self.folder / "journal.sqlite")
        self.bench = LiveBench(self.journal)
        self.bench.start()
        ready = threading.Event()
        found = []

        def tell(served):
            found.append(served)
            ready.set()

        def answer():
            serve(
                self.bench, self.journal, port=self.port, lan=LAN, names=self.names,
                folder=self.folder, ready=tell,
            )  # fmt: skip

        self._thread = threading.Thread(target=answer, name="server")
        self._thread.start()
        assert ready.wait(20.0)
        (self.served,) = found
        self.port = self.served.access.port

    def stop(self):
        """Close everything, as on an orderly end of the program."""
        self.stop_feeding()
        self.served.stop()
        self._thread.join(10.0)
        assert not self._thread.is_alive()
        self.bench.stop()
        self.journal.close()

    def restart(self):
        self.stop()
        self.start()

    @property
    def here(self):
        return f"http://127.0.0.1:{self.port}"

    @property
    def page(self):
        return f"{self.here}/live?run={self.run}"

    @property
    def session(self):
        return self.bench.session(self.run)

    @property
    def view(self):
        return self.bench.view(self.run)

    def tap(self, kind, **data):
        """A command from somewhere else."""
        self._taps += 1
        command = Command(
            key=f"elsewhere-{self._taps}", kind=kind, visit=self.view["visit"], device="terminal",
            data=data,
        )  # fmt: skip
        return self.bench.command(self.run, command)

    def to(self, step):
        """Every step up to this one, done from elsewhere."""
        while self.view["step"]["key"] != step:
            for question in (self.view["check"] or {"questions": ()})["questions"]:
                if question["blocking"]:
                    self.tap("answer", question=question["key"], answer="yes")
            self.tap("done", early=True)

    def feed(self, celsius):
        """Post readings to the probe of `POSTED`, ten a second: what `celsius(seconds)` says."""
        stopping, begun_s = threading.Event(), time.monotonic()
        self._feeding = stopping

        def post():
            while not stopping.wait(0.1):
                reading = celsius(time.monotonic() - begun_s)
                self.bench.push("waist", TOKEN, f"{reading:.2f}".encode())

        threading.Thread(target=post, name="board", daemon=True).start()

    def stop_feeding(self):
        if self._feeding is not None:
            self._feeding.set()


@contextlib.contextmanager
def served_bend(folder, **options):
    bend = ServedBend(folder, **options)
    try:
        yield bend
    finally:
        bend.stop()


class Cable:
    """A link to the server that can be cut or frozen: an address of its own, the server's port.

    Parameters
    ----------
    address : str
        Where pages find it; of 127.0.0.0/8. The server must know it as one of its names.
    port : int
        Of the server.
    to : str
        Address of the server.
    """

    def __init__(self, address, port, to=LAN):
        self.address, self._port, self._to = address, port, to
        self._open, self._frozen = True, threading.Event()
        self._ends = set()
        self._lock = threading.Lock()
        self._door = socket.create_server((address, port), reuse_port=False)
        threading.Thread(target=self._accept, name=f"cable {address}", daemon=True).start()

    def cut(self):
        """Nothing gets through, and every connection breaks."""
        with self._lock:
            self._open = False
            ends, self._ends = self._ends, set()
        for end in ends:
            _close(end)

    def freeze(self):
        """Nothing gets through, and nobody is told."""
        self._frozen.set()

    def mend(self):
        with self._lock:
            self._open = True
        self._frozen.clear()

    def close(self):
        _close(self._door)
        self.cut()

    def _accept(self):
        while True:
            try:
                near, _ = self._door.accept()
            except OSError:
                return
            if not self._open:
                _close(near)
                continue
            try:
                far = socket.create_connection((self._to, self._port), 5.0)
            except OSError:
                _close(near)
                continue
            far.settimeout(None)
            with self._lock:
                self._ends |= {near, far}
            for one, other in ((near, far), (far, near)):
                threading.Thread(target=self._carry, args=(one, other), daemon=True).start()

    def _carry(self, one, other):
        with contextlib.suppress(OSError):
            while data := one.recv(65_536):
                while self._frozen.is_set():
                    time.sleep(0.02)
                other.sendall(data)
        with self._lock:
            self._ends -= {one, other}
        _close(one)
        _close(other)


def _close(end):
    with contextlib.suppress(OSError):
        end.shutdown(socket.SHUT_RDWR)
    with contextlib.suppress(OSError):
        end.close()
