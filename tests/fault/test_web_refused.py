"""What comes from elsewhere, in the wrong form, too large or too slow gets nothing."""

import itertools
import json
import re
import socket
import sys
import threading
import time
from contextlib import ExitStack
from pathlib import Path

import pytest
from websockets.exceptions import InvalidStatus

from counts import times
from rimwright.web.app import api_document
from rimwright.web.pages import assets
from rimwright.web.pairing import WRONG_EACH, WRONG_IN_ALL
from rimwright.web.rules import JSON_BYTES, PHOTOGRAPH_BYTES
from web_bench import SmallBench
from web_served import LAN, kept_run, plain_client, serving
from web_wire import (
    answer_on,
    ask,
    handshake,
    head,
    listen,
    refused,
    status_of,
    undisturbed,
    until_closed,
)

POSTS = sorted(path for path, methods in api_document()["paths"].items() if "post" in methods)
COMMAND = {"key": "touch-0001", "kind": "present"}
#: Files opened by this process for writing, while somebody looks.
_written, _opened, _looking = [], [], threading.Event()


def _audit(event, arguments):
    if event == "open" and _looking.is_set() and isinstance(arguments[0], str):
        _opened.append(arguments[0])
        if isinstance(arguments[1], str) and set(arguments[1]) & set("wax+"):
            _written.append(arguments[0])


sys.addaudithook(_audit)


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop")
    with SmallBench() as bench, serving(folder, bench) as served:
        kept_run(served.journal)
        yield served


@pytest.fixture(autouse=True)
def nothing_changes(shop):
    """No attack makes a command, a run, a reading, or a file outside of the shop's folder."""
    before = len(shop.bench.commands), shop.bench.runs(), len(shop.bench.pushed)
    _written.clear()
    _opened.clear()
    _looking.set()
    yield
    _looking.clear()
    assert (len(shop.bench.commands), shop.bench.runs(), len(shop.bench.pushed)) == before
    outside = [path for path in _written if not Path(path).resolve().is_relative_to(shop.folder)]
    assert [path for path in outside if not path.startswith("/dev/")] == []


def filled(path):
    """An address of the API with numbers and a name in it."""
    return path.replace("{name}", "waist").replace("{run}", "1").replace("{device}", "1")


def test_names_that_are_not_ours(shop):
    port = shop.port
    foreign = [
        "", "evil.example", f"evil.example:{port}", "127.0.0.1", "localhost", "[::1]",
        f"127.0.0.1:{port + 1}", f"localhost.evil.example:{port}", f"127.0.0.1.evil.example:{port}",
        f"127.0.0.1:{port}@evil.example", f"evil.example@127.0.0.1:{port}", f"2130706433:{port}",
        f"0.0.0.0:{port}", f"0x7f.1:{port}", f"127.1:{port}", f"127.0.0.3:{port}", f"::1:{port}",
        f"[::ffff:127.0.0.1]:{port}", f"localhost:{port}.", f"localhost.:{port}",
        f"127.0.0.1:0{port}", f"127.0.0.1:{port},evil.example",
    ]  # fmt: skip
    body = json.dumps(COMMAND).encode()
    got = {}
    for host in foreign:
        origin = f"http://{host}"
        got["GET", host] = ask(port, head("GET", "/api/state", Host=host))
        got["POST", host] = ask(port, head(
            "POST", "/api/runs/1/commands", Host=host, Origin=origin,
            Content_Type="application/json", Content_Length=len(body)), body)  # fmt: skip
        got["SOCKET", host] = ask(port, handshake(port, host=host or " ", Origin=origin))
    got["twice", ""] = ask(port, f"GET /api/state HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n"
                           "Host: evil.example\r\n\r\n".encode())  # fmt: skip
    got["none", ""] = ask(port, b"GET /api/state HTTP/1.0\r\n\r\n")
    got["whole", ""] = ask(port, head("GET", f"http://evil.example:{port}/api/state",
                                      Host=f"127.0.0.1:{port}"))  # fmt: skip
    assert {key: status for key, status in got.items() if not refused(status)} == {}
    assert ask(port, head("GET", "/api/state", Host=f"LocalHost:{port}")) == 200


def test_pages_from_elsewhere(shop):
    port = shop.port
    origins = [
        None, "null", "http://evil.example", f"http://evil.example:{port}", "http://127.0.0.1",
        f"https://127.0.0.1:{port}", f"http://127.0.0.1:{port + 1}", f"http://localhost:{port}",
        f"http://{LAN}:{port}", f"http://127.0.0.1:{port}.evil.example", "file://",
        f"http://127.0.0.1:{port}/", f"http://127.0.0.1:{port} http://evil.example",
    ]  # fmt: skip
    got = {}
    for origin in origins:
        said = {"Origin": origin} if origin is not None else {}
        with plain_client(base_url=shop.here, headers=said) as page:
            for path in POSTS:
                got[path, origin] = page.post(filled(path), json=COMMAND).status_code
            if origin is not None:
                got["GET", origin] = page.get("/api/state").status_code
        got["SOCKET", origin] = ask(port, handshake(port, **said))
    for site in ("cross-site", "same-site"):
        said = {"Sec-Fetch-Site": site, "Sec-Fetch-Mode": "no-cors"}
        with plain_client(base_url=shop.here, headers=said) as page:
            got["fetched", site] = page.get("/api/state").status_code
    assert {key: status for key, status in got.items() if not refused(status)} == {}


def test_the_token_of_the_command_line_is_needed_without_a_page(shop):
    def post(token):
        said = {"Authorization": token} if token else {}
        with plain_client(base_url=shop.here, headers=said) as terminal:
            return terminal.post("/api/runs/9/commands", json=COMMAND).status_code

    right = shop.served.access.token
    assert post(f"Bearer {right}") == 404  # let in: there is only no run 9
    for wrong in ("", right, "Bearer", f"Bearer {right[:-1]}", f"Bearer {right}x", "Bearer \xff",
                  f"Basic {right}"):  # fmt: skip
        assert post(wrong.encode("latin-1")) == 403, wrong
    with shop.browser(shop.lan, headers={"Authorization": f"Bearer {right}"}) as afar:
        assert afar.post("/api/runs/1/commands", json=COMMAND).status_code == 401


def test_a_program_in_between_makes_nobody_local(shop):
    for key in ("Forwarded", "X-Forwarded-For", "X-Real-IP", "Via"):
        with plain_client(base_url=shop.here, headers={key: "127.0.0.1"}) as page:
            assert page.get("/api/state").status_code == 401, key


@pytest.mark.parametrize("kind", ["application/x-www-form-urlencoded", "multipart/form-data; "
                                  "boundary=x", "text/plain", "text/html", ""])  # fmt: skip
def test_forms(shop, kind):
    body = json.dumps(COMMAND).encode()
    takes_text = [path for path in POSTS if path.endswith("/readings")]
    with shop.browser() as page:
        for path in POSTS:
            if kind == "text/plain" and path in takes_text:
                continue
            got = page.post(filled(path), content=body, headers={"Content-Type": kind})
            assert refused(got.status_code), (path, got.status_code)


def test_asking_changes_nothing(shop):
    query = "?key=touch-0001&kind=present&code=00000000&name=x"
    with shop.browser(headers={"X-HTTP-Method-Override": "POST", "X-HTTP-Method": "POST"}) as page:
        for path in POSTS:
            got = page.get(filled(path) + query)
            assert got.status_code in {404, 405, 422} or path == "/api/runs", (
                path,
                got.status_code,
            )
            assert page.request("GET", filled(path), content=b"{}").status_code >= 400
        for method in ("PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "HEAD", "CONNECT", "PROPFIND"):
            for path in ("/", "/api/state", "/api/runs/1", "/records/1"):
                assert refused(page.request(method, path).status_code), (method, path)


def close_code(shop, said=None, **how):
    """Why a channel is closed: code and reason, or the status where it is not even opened."""
    try:
        with listen(shop, **how) as line:
            if said is not None:
                line.send(said)
            return until_closed(line)
    except InvalidStatus as answer:
        return answer.response.status_code, ""


def test_the_live_channel_wants_a_session(shop):
    with shop.tablet() as tablet:
        own = shop.cookie(tablet)
        with listen(shop, base=shop.lan, cookie=own) as line:
            assert json.loads(line.recv())["kind"] == "hello"
        for cookie in ("", "rimwright=", "rimwright=wrong", f"{own}x", own[:-1], own.upper(),
                       "rimwright=" + "x" * 5000, f"other={own}"):  # fmt: skip
            code, reason = close_code(shop, base=shop.lan, cookie=cookie)
            assert code == 1008, cookie[:40]
            assert "session" in reason


def test_commands_want_a_paired_session(shop):
    with shop.tablet() as tablet:
        for path in POSTS:
            if path != "/api/pair":
                got = tablet.post(filled(path), json=COMMAND)
                assert got.status_code in {401, 403, 415}, (path, got.status_code)
        assert tablet.get("/api/devices").status_code == 403
        assert tablet.get("/api/runs/1").status_code == 200
    with shop.browser(shop.lan) as stranger:
        for path in ("/api/state", "/api/runs/1", "/api/records", "/openapi.json"):
            assert stranger.get(path).status_code == 401
        assert stranger.post("/api/pair", json={"code": "0", "name": "x"}).status_code == 401


def test_ways_up_the_tree(shop):
    up = ["..", "%2e%2e", ".%2e", "%2E.", "%252e%252e", "%c0%ae%c0%ae", "%u002e%u002e", "..%00",
          "..;", "%EF%BC%8E%EF%BC%8E", "....", "..%0d"]  # fmt: skip
    between = ["/", "%2f", "%5c", "\\", "%252f", "//", "/./", "%c0%af", "%00/"]
    version = assets().version
    first = ["", "/static", f"/static/{version}", "/records", "/api/photographs"]
    last = ["etc/passwd", "server.json", "journal.sqlite", "live.html"]
    ways = [
        f"{one}/{dots}{gap}{dots}{gap}{what}"
        for one, dots, gap, what in itertools.product(first, up, between, last)
    ]
    step = max(len(ways) // times(220), 1)
    tried = ways[::step]
    assert len(tried) >= 200
    let_in = []
    with undisturbed(shop):
        for way in tried:
            with shop.wire() as line:
                line.sendall(f"GET {way} HTTP/1.1\r\nHost: 127.0.0.1:{shop.port}\r\n"
                             "Connection: close\r\n\r\n".encode())  # fmt: skip
                answer = answer_on(line)
            if not refused(status_of(answer)) or b"root:" in answer or b"SQLite" in answer:
                let_in.append(way)
    print(f"ways up the tree: {len(tried)} tried, {len(let_in)} let in, limit 0")
    assert let_in == []
    assert [path for path in _opened if re.search("passwd|server.json|static", path)] == []


def upload(shop, path, kind, pieces, wait_s=20.0, **headers):
    """Send a body piece by piece until it is refused: the status, and bytes that went out."""
    sent = 0
    with shop.wire() as line:
        line.settimeout(wait_s)
        line.sendall(head("POST", path, Host=f"127.0.0.1:{shop.port}", Origin=shop.here,
                          Content_Type=kind, **headers))  # fmt: skip
        try:
            for piece in pieces:
                line.sendall(piece)
                sent += len(piece)
        except (ConnectionError, TimeoutError):
            pass
        return status_of(answer_on(line)), sent


@pytest.mark.parametrize(
    ("path", "kind", "limit"),
    [("/api/runs/1/commands", "application/json", JSON_BYTES),
     ("/api/records/1/photographs", "image/jpeg", PHOTOGRAPH_BYTES)],
)  # fmt: skip
def test_a_gigabyte(shop, path, kind, limit):
    piece = b"x" * 65536
    chunk = b"10000\r\n" + piece + b"\r\n"
    gigabyte = 1 << 30
    # What the two systems' buffers hold on the way is sent too, but never taken in.
    on_the_way = 16 << 20
    with undisturbed(shop):
        status, sent = upload(shop, path, kind, itertools.repeat(chunk, gigabyte // 65536),
                              Transfer_Encoding="chunked")  # fmt: skip
        assert status in {0, 413}
        assert sent < limit + on_the_way
        status, told = upload(shop, path, kind, [piece] * 64, Content_Length=gigabyte)
        assert status in {0, 413}
        for length in ("-1", "1e9", "99999999999999999999999", "10, 10", "0x10"):
            assert refused(upload(shop, path, kind, [piece], Content_Length=length)[0]), length
        # Says ten bytes and sends many: what follows is no request, and the line is closed.
        status, lied = upload(shop, path, kind, itertools.repeat(piece, gigabyte // 65536),
                              Content_Length=10)  # fmt: skip
        assert refused(status)
    print(f"of 1 GB {sent / 2**20:.1f} MB left the sender, limit {(limit + on_the_way) >> 20} MB")
    assert told + lied < 2 * on_the_way


def test_heads_too_long(shop):
    host = {"Host": f"127.0.0.1:{shop.port}"}
    long = {
        "one header": head("GET", "/api/state", **host, X="x" * 20_000),
        "a huge one": head("GET", "/api/state", **host, X="x" * 5_000_000),
        "many headers": head("GET", "/api/state", **host, **{f"X_{n}": "x" for n in range(100)}),
        "an address": head("GET", "/api/state?" + "x" * 4_000, **host),
        "a huge address": head("GET", "/" + "x" * 200_000, **host),
        "a cookie": head("GET", "/api/state", **host, Cookie="x" * 20_000),
        "no request": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" * 10,
        "two lengths": head("POST", "/api/pair", **host, Content_Length=2) + b"{}",
        "a line too many": b"GET /api/state HTTP/1.1\r\n bad: folded\r\n\r\n",
        "nul": b"GET /api/\x00state HTTP/1.1\r\nHost: " + host["Host"].encode() + b"\r\n\r\n",
        "smuggled": head("POST", "/api/pair", **host, Content_Length=4,
                         Transfer_Encoding="chunked"),
    }  # fmt: skip
    got = {what: ask(shop.port, request) for what, request in long.items()}
    assert {what: status for what, status in got.items() if not refused(status)} == {}
    got = ask(shop.port, handshake(shop.port, "/ws/live/1?boot=" + "x" * 4_000, Origin=shop.here))
    assert got == 414


@pytest.mark.slow
def test_slow_senders(shop):
    """Heads and bodies that drip are ended; all at once, so that it takes a dozen seconds."""
    host = f"127.0.0.1:{shop.port}"
    begun = {
        "head": b"GET /api/state HTTP/1.1\r\nX: ",
        "nothing": b"",
        "body": head("POST", "/api/pair", Host=host, Origin=shop.here,
                     Content_Type="application/json", Content_Length=60_000),
        "chunks": head("POST", "/api/runs/1/commands", Host=host, Origin=shop.here,
                       Content_Type="application/json", Transfer_Encoding="chunked"),
    }  # fmt: skip
    drips = {"chunks": b"1\r\n \r\n"}
    ended = {}
    with undisturbed(shop), ExitStack() as stack:
        began = time.monotonic()
        lines = {}
        for what, start in begun.items():
            lines[what] = line = stack.enter_context(shop.wire())
            line.sendall(start)
            line.setblocking(False)
        while lines and time.monotonic() - began < 20.0:
            time.sleep(0.25)
            for what, line in list(lines.items()):
                try:
                    if what != "nothing":
                        line.send(drips.get(what, b"x"))
                    answer = line.recv(4096)
                except BlockingIOError:
                    continue
                except ConnectionError:
                    answer = b""
                assert refused(status_of(answer)), (what, answer)
                ended[what] = time.monotonic() - began
                del lines[what]
    print(
        "slow senders ended after",
        {what: f"{at:.0f} s" for what, at in ended.items()},
        "limit 13 s",
    )
    assert ended.keys() == begun.keys()
    assert max(ended.values()) < 13.0


def test_more_connections_than_there_may_be(shop):
    """One device's crowd of idle lines is cut short, and nobody else notices."""
    with undisturbed(shop), ExitStack() as stack:
        lines = []
        for _ in range(60):
            line = socket.create_connection((LAN, shop.port), 5.0, source_address=("127.0.3.1", 0))
            lines.append(stack.enter_context(line))
        time.sleep(0.5)
        closed = 0
        for line in lines:
            line.setblocking(False)
            try:
                closed += line.recv(1) == b""
            except BlockingIOError:
                pass
            except ConnectionError:
                closed += 1
        assert closed == 60 - 24
        with shop.browser() as page:
            assert page.get("/api/state").status_code == 200


def test_more_channels_than_a_device_may_have(shop):
    with shop.tablet() as tablet, ExitStack() as stack:
        cookie = shop.cookie(tablet)
        for _ in range(8):
            stack.enter_context(listen(shop, base=shop.lan, cookie=cookie)).recv()
        assert close_code(shop, base=shop.lan, cookie=cookie)[0] == 1008


@pytest.mark.parametrize("said", ['{"kind":"done"}', "x" * 100_000, b"\x00\x01"])
def test_the_channel_only_tells(shop, said):
    assert close_code(shop, said=said)[0] in {1008, 1009}


def test_channels_of_runs_that_are_not_there(shop):
    assert close_code(shop, run=99)[0] == 1008
    for run in ("0", "-1", "x", "1.5", "99999999999999999999", "1/../2"):
        code = close_code(shop, run=run)[0]
        assert code == 1008 or refused(code), run
    for query in ("-1", "x", "99999999999999999999"):
        assert refused(close_code(shop, since=query)[0]) or close_code(shop, since=query)[0] == 1008


def test_a_pairing_code_acts_once(shop):
    code = shop.served.shop.pairing.fresh()
    with shop.tablet() as one, shop.tablet() as two:
        spaced = f"{code[:4]} {code[4:]}"
        assert one.post("/api/pair", json={"code": spaced, "name": "one"}).status_code == 200
        for again in (code, spaced, code):
            assert two.post("/api/pair", json={"code": again, "name": "two"}).status_code == 403
        assert two.get("/api/state").json()["paired"] is False


def test_a_pairing_code_is_not_found_by_trying(shop):
    right = shop.served.shop.pairing.fresh()
    wrong = (f"{number:08d}" for number in itertools.count() if f"{number:08d}" != right)
    got = []
    with undisturbed(shop), ExitStack() as stack:
        for device in range(10):
            client = stack.enter_context(shop.tablet(source=f"127.0.5.{device + 1}"))
            for _ in range(times(20)):
                answer = client.post("/api/pair", json={"code": next(wrong), "name": "x"})
                got.append(answer.status_code)
        assert set(got) == {403, 429}
        # After so many wrong ones the right one holds no longer.
        late = stack.enter_context(shop.tablet())
        assert late.post("/api/pair", json={"code": right, "name": "x"}).status_code == 403
    print(f"codes tried {len(got)}, not turned away at once {got.count(403)}, limit 50, hits 0")
    assert got.count(403) <= 10 * WRONG_EACH
    assert WRONG_IN_ALL < 10 * WRONG_EACH


def test_wrong_tokens_of_probes(shop):
    statuses = []
    with plain_client(base_url=shop.lan, source="127.0.6.1") as board:
        assert board.post("/api/probes/waist/readings", json={"c": 100.0}).status_code == 401
        for number in range(100):
            answer = board.post("/api/probes/waist/readings", json={"c": 100.0},
                                headers={"Authorization": f"Bearer wrong-{number}"})  # fmt: skip
            statuses.append(answer.status_code)
    assert set(statuses) == {403, 429}
    assert statuses[-1] == 429


def test_a_body_that_is_no_command(shop):
    deep = "[" * 30_000 + "]" * 30_000
    bodies = [
        b"", b"{", b"null", b"[]", b'"x"', b"\xff\xfe", deep.encode(), b'{"key":"touch-0001"}',
        b'{"key":"touch-0001","kind":"emergency"}', b'{"key":"a","kind":"done"}',
        b'{"key":"touch-0001","kind":"note","text":"\\u0000"}', b'{"key":"touch 1","kind":"note"}',
        b'{"key":"touch-0001","kind":"note","text":"\\ud800"}',
        b'{"key":"touch-0001","kind":"done","visit":1e999}',
        b'{"key":"touch-0001","kind":"done","visit":-1}',
        b'{"key":"touch-0001","kind":"turned_down","share":NaN}',
        b'{"key":"touch-0001","kind":"note","more":1}',
        b'{"key":"touch-0001","kind":"note","text":"' + b"x" * 5000 + b'"}',
    ]  # fmt: skip
    with shop.browser(headers={"Content-Type": "application/json"}) as page:
        for body in bodies:
            got = page.post("/api/runs/1/commands", content=body)
            assert got.status_code in {400, 415, 422}, body[:60]
            assert got.json().keys() == {"found", "expected", "next"}


def test_a_page_names_no_file_and_no_device(shop):
    """Only the command line's own token may have the shop's computer open a port or a file."""
    for probe in ("waist=replay:/etc/passwd", "waist=serial:/dev/ttyUSB0", "serial:/etc/passwd",
                  "waist=mqtt:evil.example,topic=x", "waist=modbus:evil.example"):  # fmt: skip
        with shop.browser() as page:
            got = page.post("/api/runs", json={"document": {}, "hand": "bass", "probes": [probe]})
        assert got.status_code in {400, 403}, (probe, got.text)
    assert [path for path in _opened if "passwd" in path or "tty" in path] == []
