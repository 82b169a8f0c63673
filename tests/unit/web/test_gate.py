"""Who may do what is decided in one table, and every answer shuts the same doors."""

import re
from pathlib import Path

import pytest
from starlette.routing import WebSocketRoute

from rimwright.errors import (
    AccessError,
    JournalError,
    ProbeError,
    RunError,
    UnknownNameError,
)
from rimwright.web.access import Access, refused
from rimwright.web.app import api_document
from rimwright.web.callers import ADDRESS_BYTES, HEAD_BYTES, HEADERS
from rimwright.web.connections import Limits
from rimwright.web.limits import Allowance
from rimwright.web.pages import assets
from rimwright.web.refusals import status_of
from rimwright.web.rules import DATA_POLICY, PAGE_POLICY, RULES, rule_for
from rimwright.web.security import REQUESTS, REQUESTS_PER_S
from rimwright.web.sessions import LOOKERS
from rimwright.web.socket import MOST, MOST_EACH, MOST_HERE

ROOT = Path(__file__).parents[3]
#: What changes something or tells of devices, and what must be shown for it.
WHO = {
    ("POST", "/api/runs"): "act",
    ("POST", "/api/runs/1/commands"): "act",
    ("POST", "/api/probes/waist/readings"): "probe",
    ("POST", "/api/records/1/outcomes"): "act",
    ("POST", "/api/records/1/outcomes/1/taken-back"): "act",
    ("POST", "/api/records/1/notes"): "act",
    ("POST", "/api/kept"): "act",
    ("POST", "/api/kept/side/1/notes"): "act",
    ("POST", "/api/records/1/photographs"): "act",
    ("POST", "/api/pair"): "view",
    ("POST", "/api/pairing-code"): "here",
    ("POST", "/api/devices/1/revoke"): "act",
    ("GET", "/api/devices"): "act",
    ("GET", "/api/state"): "view",
    ("GET", "/api/runs/1"): "view",
    ("GET", "/api/runs/1/samples"): "view",
    ("GET", "/api/records"): "view",
    ("GET", "/api/records/1"): "view",
    ("GET", "/api/records/1/plan"): "view",
    ("GET", "/api/photographs/1"): "view",
    ("SOCKET", "/ws/live/1"): "view",
    ("GET", "/"): "anyone",
    ("GET", "/live"): "anyone",
}


@pytest.mark.parametrize(("request_", "who"), WHO.items())
def test_the_table_says_who(request_, who):
    assert rule_for(RULES, *request_).who == who


def test_every_call_is_in_the_table_of_this_test():
    def filled(path):
        return re.sub(r"{\w+}", "1", path.replace("{name}", "waist").replace("{subject}", "side"))

    calls = {
        (method.upper(), filled(path))
        for path, methods in api_document()["paths"].items()
        for method in methods
    }
    assert calls <= WHO.keys(), calls - WHO.keys()


def test_what_nobody_thought_of_may_only_be_looked_at():
    assert rule_for(RULES, "POST", "/of/tomorrow").who == "act"
    assert rule_for(RULES, "SOCKET", "/of/tomorrow").who == "view"
    assert rule_for(RULES, "GET", "/of/tomorrow").who == "view"
    assert rule_for(RULES, "GET", "no path") is None
    assert rule_for(RULES, "GET", "/\n/x").who == "view"


def test_names_under_which_the_pages_answer():
    here = Access(port=8719)
    assert here.hosts == {"localhost:8719", "127.0.0.1:8719", "[::1]:8719"}
    lan = Access(port=80, lan="192.0.2.7", names=("Bench.lan",))
    assert {"192.0.2.7", "192.0.2.7:80", "bench.lan", "localhost"} <= lan.hosts
    assert "fe80::1" not in Access(port=1, lan="fe80::1").hosts
    assert Access(port=1, lan="fe80::1").lan_address == "http://[fe80::1]:1/"
    assert here.token != Access(port=8719).token
    assert here.token not in repr(here)


@pytest.mark.parametrize(
    ("error", "asked", "sent"),
    [
        (RunError("a", "b", "c"), 404, 409),
        (JournalError("a", "b", "c"), 404, 409),
        (AccessError("a", "b", "c"), 403, 403),
        (UnknownNameError("a", "b", "c"), 404, 404),
        (ProbeError("a", "b", "c"), 400, 400),
        (refused(429, "a", "b", "c"), 429, 429),
    ],
)
def test_each_error_has_its_status(error, asked, sent):
    assert status_of(error, "GET") == asked
    assert status_of(error, "POST") == sent


def test_a_store_that_does_not_answer_is_no_slip_of_the_caller():
    error = JournalError("a full disk", "free space", "make room")
    error.__cause__ = OSError("disk full")
    assert status_of(error, "POST") == 503


def test_tries_come_back_with_time():
    clock = [0.0]
    tries = Allowance(3, 0.5, remembered=2, now=lambda: clock[0])
    assert [tries.take("a") for _ in range(5)] == [True, True, True, False, False]
    clock[0] = 1.9
    assert not tries.left("a")
    clock[0] = 2.0
    assert tries.left("a")
    assert tries.take("a")
    assert tries.take("b")
    clock[0] = 1e6
    assert [tries.take("b") for _ in range(4)] == [True, True, True, False]
    for who in "cd":
        tries.take(who)
    assert tries.take("b"), "forgotten, and so begins anew"


def test_pages_have_their_policy_and_nothing_else_does(shop):
    version = assets().version
    with shop.browser() as page:
        for path in ("/live", "/live?run=1", "/records"):
            got = page.get(path)
            assert got.status_code == 200, path
            assert got.headers["content-security-policy"] == PAGE_POLICY
            assert got.headers["content-type"].startswith("text/html")
        for path in ("/api/state", f"/static/{version}/tokens.css", "/nowhere", "/openapi.json"):
            assert page.get(path).headers["content-security-policy"] == DATA_POLICY, path


def test_every_answer_shuts_the_same_doors(shop):
    with shop.browser() as page:
        for got in (
            page.get("/live"),
            page.get("/api/state"),
            page.get("/nowhere"),
            page.get("/api/state", headers={"Host": "evil.example"}),
            page.post("/api/runs/1/commands", content=b"x"),
        ):
            assert got.headers["x-content-type-options"] == "nosniff"
            assert got.headers["referrer-policy"] == "no-referrer"
            assert got.headers["cross-origin-resource-policy"] == "same-origin"
            assert "camera=()" in got.headers["permissions-policy"]
            assert "access-control-allow-origin" not in got.headers
            assert "server" not in got.headers
        assert page.get("/live").headers["cross-origin-opener-policy"] == "same-origin"
        assert page.get("/api/state").headers["cache-control"] == "no-store"


def test_a_policy_of_what_is_mounted_later_holds(shop, tmp_path):
    from rimwright.web.app import create_app
    from rimwright.web.rules import Rule

    later = Rule(path="/desk/**", page=True, who="anyone", policy="default-src 'self'")
    app = create_app(shop.bench, shop.journal, Access(port=1), rules=(later,))
    assert rule_for(app.rules, "GET", "/desk/plan").policy == "default-src 'self'"
    assert rule_for(app.rules, "GET", "/live").policy == PAGE_POLICY


def test_files_of_pages_are_kept_for_ever_and_only_by_their_version(shop):
    version = assets().version
    with shop.browser() as page:
        text = page.get("/live").text
        assert "{version}" not in text
        named = {part.split('"')[0] for part in text.split(f"/static/{version}/")[1:]}
        assert named
        for name in named:
            got = page.get(f"/static/{version}/{name}")
            assert got.status_code == 200, name
            assert "immutable" in got.headers["cache-control"]
        assert page.get("/static/0/live.js").status_code == 404
        assert page.get(f"/static/{version}/live.html").status_code == 404
        assert page.get(f"/static/{version}/__init__.py").status_code == 404
        assert page.get("/live").headers["cache-control"] == "no-cache"


def test_a_page_looks_up_no_other_run_than_a_number(shop):
    with shop.browser() as page:
        for run in ("../../etc/passwd", "x", "0", "-1", "1.5", "99999999999"):
            assert page.get("/live", params={"run": run}).status_code == 422


def test_the_only_socket_is_the_live_channel(shop):
    from rimwright.web.app import create_app

    routes = create_app(shop.bench, shop.journal, Access(port=1)).routes
    sockets = [one.path for one in routes if isinstance(one, WebSocketRoute)]
    assert sockets == ["/ws/live/{run}"]


def test_the_page_on_what_is_open_says_the_limits_that_hold():
    text = " ".join((ROOT / "docs" / "security.md").read_text(encoding="utf-8").split())
    limits, kb, mb = Limits(), 1 << 10, 1 << 20
    sent = {rule.path: rule for rule in RULES if rule.method == "POST"}
    for said in (
        f"{sent['/**'].body_bytes // kb} kB; a plan {sent['/api/runs'].body_bytes // mb} MB; a "
        f"photograph {sent['/api/records/*/photographs'].body_bytes // mb} MB",
        f"a reading {sent['/api/probes/*/readings'].body_bytes // kb} kB",
        f"{sent['/**'].body_s:g} s; a photograph {sent['/api/records/*/photographs'].body_s:g} s",
        f"{HEAD_BYTES // kb} kB, {HEADERS} headers, address {ADDRESS_BYTES // kb} kB, "
        f"{limits.head_s:g} s",
        f"{limits.most}; {limits.most_each} of one device; {limits.most_here} of this computer",
        f"{MOST}; {MOST_EACH} of one device; {MOST_HERE} of this computer",
        f"{REQUESTS} at once, then {REQUESTS_PER_S:g} a second",
        f"{LOOKERS}; the one seen longest ago makes room",
    ):
        assert said in text, said
