"""The server as a maker starts it: the command itself, in a process of its own."""

import asyncio
import contextlib
import json
import os
import secrets
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest
from websockets.asyncio.client import connect

from benched import wren
from rimwright.web.server_file import running

_RUN = "from rimwright.cli.main import run; run()"
_COMES_UP_S = 60.0


class Commanded:
    """`rimwright serve` on a journal in a folder."""

    def __init__(self, folder: Path):
        self.journal = folder / "journal.sqlite"
        self._folder = folder
        self.process = None
        self.began_s = 0.0
        self.link = None
        self._client = None

    def start(self):
        """Start it and wait until it answers."""
        self.began_s = time.monotonic()
        words = ["serve", "--quiet", "--port", "0", "--journal", str(self.journal)]
        self.process = subprocess.Popen(
            [sys.executable, "-c", _RUN, *words],
            cwd=self._folder,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
        )
        while (found := running(self._folder)) is None:
            assert self.process.poll() is None, self.process.stdout.read().decode()
            assert time.monotonic() - self.began_s < _COMES_UP_S, "the server did not come up"
            time.sleep(0.01)
        self.link = found
        self._client = httpx.Client(
            base_url=f"http://127.0.0.1:{found.port}",
            headers={"Authorization": f"Bearer {found.token}"},
            transport=httpx.HTTPTransport(verify=False),
            trust_env=False,
            timeout=60.0,
        )
        return self

    def __enter__(self):
        return self.start()

    def __exit__(self, *_):
        if self.process.returncode is None:
            self.end(signal.SIGKILL)

    def end(self, how=signal.SIGTERM):
        """Ask it to end, or kill it; its exit code."""
        if self._client is not None:
            self._client.close()
        self.process.send_signal(how)
        try:
            code = self.process.wait(20.0)
        finally:
            self.process.stdout.close()
        return code

    def begin(self, *, speed=1.0, hand="treble", name="waist"):
        """A run with a model for a probe."""
        body = {"document": wren(), "hand": hand, "probes": [f"{name}=model"], "speed": speed}
        return self.post("/api/runs", body)["run"]

    def post(self, path, body):
        answer = self._client.post(path, json=body)
        assert answer.status_code < 300, answer.text
        return answer.json()

    def get(self, path):
        answer = self._client.get(path)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def tap(self, run, kind, *, key="", **said):
        """A command; refusals are errors."""
        return self.post(
            f"/api/runs/{run}/commands", {"key": key or secrets.token_hex(8), "kind": kind, **said}
        )

    def done(self, run, **said):
        """The step at hand is done."""
        return self.tap(run, "done", visit=self.get(f"/api/runs/{run}")["visit"], **said)

    @contextlib.asynccontextmanager
    async def page(self, run, since=0, boot=""):
        """The live channel, as a page has it open."""
        address = f"ws://127.0.0.1:{self.link.port}/ws/live/{run}?since={since}&boot={boot}"
        token = {"Authorization": f"Bearer {self.link.token}"}
        async with connect(address, additional_headers=token, max_size=2**24, proxy=None) as socket:
            yield socket


def waited(coroutine):
    """What a coroutine comes to, in a thread of its own: a browser's test may have left a loop."""
    with ThreadPoolExecutor(1) as worker:
        return worker.submit(asyncio.run, coroutine).result()


async def told(socket):
    """The next message."""
    return json.loads(await asyncio.wait_for(socket.recv(), 10.0))


def to_the_heat(server, run):
    """Every cold step and the check done: the heat is on."""
    while True:
        view = server.get(f"/api/runs/{run}")
        if view["phase"] == "hot":
            return
        if view["phase"] == "check":
            for question in view["check"]["questions"]:
                if question["blocking"]:
                    server.tap(run, "answer", question=question["key"], answer="yes")
        server.done(run, early=view["step"]["waits"])


@pytest.fixture
def server(tmp_path):
    """A server of the test's own, ended whatever happens."""
    with Commanded(tmp_path) as server:
        yield server
