"""The server: found by the command line, one for each journal, gone soon after it is told."""

import contextlib
import json
import os
import signal
import socket
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rimwright.errors import RimwrightError
from rimwright.web.binding import bound_to, lan_address
from rimwright.web.serve import serve
from rimwright.web.server_file import NAME, running
from web_bench import SmallBench
from web_served import LAN, serving

TESTS = Path(__file__).parents[2]
_PROGRAM = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[2])
from web_bench import SmallBench
from rimwright.journal.opening import open_journal
from rimwright.web.serve import serve
folder = Path(sys.argv[1])
journal, _ = open_journal(folder / "journal.sqlite")
with SmallBench() as bench:
    serve(bench, journal, port=0, ready=lambda served: print(served.address, flush=True))
journal.close()
print("closed in good order", flush=True)
"""


@pytest.fixture
def program(tmp_path):
    """The server as a program of its own."""
    with subprocess.Popen(
        [sys.executable, "-W", "error", "-c", _PROGRAM, str(tmp_path), str(TESTS)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    ) as process:  # fmt: skip
        try:
            assert process.stdout.readline().startswith("http://127.0.0.1:")
            yield process
        finally:
            process.kill()


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_it_ends_soon_and_in_good_order(program, tmp_path, how):
    found = running(tmp_path)
    assert found.process == program.pid
    with socket.create_connection(("127.0.0.1", found.port)) as idle:
        idle.sendall(b"GET /api/st")
        began = time.monotonic()
        program.send_signal(how)
        said, complaints = program.communicate(timeout=10.0)
        took = time.monotonic() - began
    print(f"ended {took:.2f} s after {how.name}, limit 2 s")
    assert took < 2.0
    assert program.returncode == 0
    assert said == "closed in good order\n"
    assert complaints == ""
    assert not (tmp_path / NAME).exists()
    assert running(tmp_path) is None


def test_a_server_that_was_killed_is_not_found(program, tmp_path):
    program.kill()
    program.wait(5.0)
    assert (tmp_path / NAME).exists()
    assert running(tmp_path) is None


def test_the_file_is_for_its_user_alone(tmp_path):
    with SmallBench() as bench, serving(tmp_path, bench) as shop:
        path = tmp_path / NAME
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        said = json.loads(path.read_text())
        assert said["token"] == shop.served.access.token
        assert running(tmp_path).address == shop.served.address
        path.chmod(0o644)
        assert running(tmp_path) is None, "somebody else may have read or written it"
        path.chmod(0o600)
        path.write_text("{")
        assert running(tmp_path) is None


def test_one_server_for_each_journal(tmp_path):
    with SmallBench() as bench, serving(tmp_path, bench) as shop:
        with pytest.raises(RimwrightError, match="a server of this journal at http://127"):
            serve(bench, shop.journal, port=0)
        assert running(tmp_path) is not None, "and the first one's file is still there"


def test_a_file_left_of_a_power_cut_stops_nobody(tmp_path):
    left = {"port": 1, "token": "x", "process": os.getpid(), "lan": ""}
    (tmp_path / NAME).write_text(json.dumps(left))
    (tmp_path / NAME).chmod(0o600)
    with SmallBench() as bench, serving(tmp_path, bench) as shop, shop.browser() as page:
        assert page.get("/api/state").status_code == 200


def test_addresses_that_cannot_be(tmp_path):
    with bound_to("127.0.0.1", 0) as taken:
        # Answers go out at once only where asyncio knows the socket as TCP.
        assert taken.proto == socket.IPPROTO_TCP
        port = taken.getsockname()[1]
        for host, number, words in (
            ("127.0.0.1", port, f"port {port} in use"),
            ("192.0.2.1", 0, "an address that is not this computer's"),
            ("no.such.host.invalid", 0, "an address that is not this computer's"),
            ("127.0.0.1", 99999, "expected an address and port that can be opened"),
        ):
            with pytest.raises(RimwrightError, match=words), bound_to(host, number):
                pass
    for host in ("0.0.0.0", "::", "192.0.2.1", "localhost.evil.example"):
        with pytest.raises(RimwrightError, match="which only this computer reaches"):
            serve(SmallBench(), None, host=host)


def test_here_only_unless_asked(tmp_path):
    with SmallBench() as bench, serving(tmp_path, bench, lan="") as shop:
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection((LAN, shop.port), 2.0)
        with shop.browser() as page:
            got = page.post("/api/pairing-code")
            assert got.status_code == 409
            assert "--lan" in got.json()["next"]


def test_the_address_on_the_network_is_ours_or_there_is_none():
    address = ""
    with contextlib.suppress(RimwrightError):
        address = lan_address()
    if address:
        with bound_to(address, 0):
            assert not address.startswith("127.")


def test_whoever_waits_for_it_may_fail(tmp_path):
    """What goes wrong as it begins ends it, and is not lost."""
    from rimwright.journal.opening import open_journal

    journal, _ = open_journal(tmp_path / "journal.sqlite")

    def fail(served):
        raise RimwrightError("a browser that does not start", "one", "start it by hand")

    with SmallBench() as bench:
        with pytest.raises(RimwrightError, match="a browser that does not start"):
            serve(bench, journal, port=0, ready=fail)
        assert bench.listeners == 0
    assert not (tmp_path / NAME).exists()
    journal.close()
