"""A real server on a loopback port, with a journal of its own, for tests of the pages."""

import contextlib
import itertools
import socket
import threading
from dataclasses import dataclass
from typing import Any

import httpx

from rimwright.errors import RimwrightError
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import NewRun, begin_run
from rimwright.web.serve import Served, serve

#: A second address of every Linux computer: whoever comes from it, or to it, is a guest.
LAN = "127.0.0.2"
_NUMBERS = itertools.count(1)


@dataclass
class Shop:
    """A server that runs, and what it serves."""

    served: Served
    bench: Any
    journal: Any
    folder: Any

    @property
    def port(self):
        return self.served.access.port

    @property
    def here(self):
        return f"http://127.0.0.1:{self.port}"

    @property
    def lan(self):
        return f"http://{LAN}:{self.port}"

    def browser(self, base=None, **options):
        """What a page of ours would send: the right origin."""
        base = base or self.here
        headers = {"Origin": base, **options.pop("headers", {})}
        return plain_client(base_url=base, headers=headers, **options)

    @contextlib.contextmanager
    def tablet(self, act=False, name="tablet", source=None):
        """A device of the network that opened the first page, and was paired if it may act."""
        # Each has an address of its own, as it would.
        source = source or f"127.0.9.{next(_NUMBERS)}"
        with self.browser(self.lan, source=source) as client:
            assert client.get("/records").status_code == 200
            if act:
                said = {"code": self.served.shop.pairing.fresh(), "name": name}
                assert client.post("/api/pair", json=said).status_code == 200
            yield client

    def cookie(self, client):
        return f"rimwright={client.cookies['rimwright']}"

    @contextlib.contextmanager
    def wire(self, host="127.0.0.1"):
        """A bare connection."""
        with socket.create_connection((host, self.port), 10.0) as line:
            yield line


def plain_client(source=None, **options):
    """A client from an address of this computer, without certificates, which take long to read."""
    transport = httpx.HTTPTransport(local_address=source, verify=False)
    return httpx.Client(transport=transport, trust_env=False, **options)


@contextlib.contextmanager
def serving(folder, bench, lan=LAN, journal=None, **options):
    """Serve a bench and a journal, a new one if none is given, until the end of the block."""
    if journal is None:
        journal, _ = open_journal(folder / "journal.sqlite")
    ready = threading.Event()
    found = []
    trouble = []

    def tell(served):
        found.append(served)
        ready.set()

    def run():
        try:
            serve(bench, journal, port=0, lan=lan, ready=tell, **options)
        except RimwrightError as error:
            trouble.append(error)
        finally:
            ready.set()

    thread = threading.Thread(target=run, name="server")
    thread.start()
    try:
        assert ready.wait(20.0)
        if trouble:
            raise trouble[0]
        yield Shop(found[0], bench, journal, folder)
    finally:
        if found:
            found[0].stop()
        thread.join(10.0)
        journal.close()
        assert not thread.is_alive()


def kept_run(journal, **changes):
    """A run in the journal; its number."""
    values = {
        "model": "Wren", "plan_code": "WREN-721560", "hand": "treble", "piece": "main",
        "simulated": True, "begun_wall_s": 1_764_000_000.0, "run_plan": {}, "model_version": "0",
        "prediction": {}, "probes": [{"name": "waist", "place": "waist", "kind": "model"}],
    }  # fmt: skip
    return begin_run(journal, NewRun(**{**values, **changes}))
