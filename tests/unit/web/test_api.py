"""The API against a real server and a real journal: what is sent is what is kept."""

import io
import time

import pytest
from PIL import Image

from rimwright.journal.runs import SampleRow
from rimwright.journal.writer import Writer
from rimwright.live.readings import Fault
from rimwright.web.app import api_document
from web_served import kept_run

COMMAND = {"key": "touch-1000", "kind": "done", "visit": 7}


@pytest.fixture(scope="module")
def run(shop):
    kept_run(shop.journal)  # the bench has a run of this number
    return kept_run(shop.journal, plan_document={"format": "x", "waist_m": 0.268})


@pytest.fixture
def page(shop):
    with shop.browser() as client:
        yield client


def picture(kind="JPEG", size=(64, 48)):
    held = io.BytesIO()
    Image.new("RGB", size, (122, 78, 45)).save(held, kind)
    return held.getvalue()


def test_state(page, shop):
    state = page.get("/api/state").json()
    assert state["runs"] == list(shop.bench.runs())
    assert state["boot"] == shop.bench.boot
    assert state["local"] is True
    assert state["paired"] is False
    assert state["journal"] == shop.journal.where
    assert state["engine"] == shop.journal.engine_version


def test_a_command_reaches_the_bench_as_it_was_sent(page, shop):
    sent = {
        **COMMAND, "kind": "outcome", "text": "heard a tick", "share": 0.5, "early": True,
        "outcome": {"kind": "hairline", "place": "horn", "s_m": 0.412, "face": "outside"},
    }  # fmt: skip
    got = page.post("/api/runs/1/commands", json=sent)
    assert got.json() == {"done": True, "again": False, "words": "outcome: done"}
    run, command = shop.bench.commands[-1]
    assert (run, command.key, command.kind, command.visit) == (1, "touch-1000", "outcome", 7)
    assert command.device == "this computer"
    assert command.data == {
        "words": "heard a tick", "share": 0.5, "early": True,
        "outcome": {"kind": "hairline", "place": "horn", "s_m": 0.412, "face": "outside",
                    "words": ""},
    }  # fmt: skip


def test_the_same_touch_acts_once(page, shop):
    sent = {**COMMAND, "key": "touch-twice"}
    first, second = (page.post("/api/runs/1/commands", json=sent).json() for _ in range(2))
    assert (first["again"], second["again"]) == (False, True)
    assert first["words"] == second["words"]
    assert [one.key for _, one in shop.bench.commands].count("touch-twice") == 1


def test_what_a_run_cannot_take_now_is_a_conflict(page):
    got = page.post("/api/runs/1/commands", json={**COMMAND, "key": "touch-back", "kind": "back"})
    assert got.status_code == 409
    assert got.json() == {
        "found": "a step that is the first", "expected": "one after it", "next": "go on",
    }  # fmt: skip


def test_the_command_line_says_who_it_is(shop):
    with shop.browser(headers={"Authorization": f"Bearer {shop.served.access.token}"}) as terminal:
        del terminal.headers["Origin"]
        got = terminal.post("/api/runs/1/commands", json={**COMMAND, "key": "touch-line"})
    assert got.status_code == 200
    assert shop.bench.commands[-1][1].device == "terminal"


def test_runs_that_are_not_on(page):
    for got in (
        page.get("/api/runs/99"), page.get("/api/runs/99/samples"), page.get("/api/records/99"),
        page.get("/api/records/99/plan"), page.get("/records/99"), page.get("/api/photographs/99"),
        page.post("/api/runs/99/commands", json=COMMAND),
        page.post("/api/records/99/notes", json={"words": "x"}),
        page.post("/api/records/99/outcomes", json={"kind": "sound"}),
        page.post("/api/records/99/photographs", content=picture(),
                  headers={"Content-Type": "image/jpeg"}),
    ):  # fmt: skip
        assert got.status_code == 404, got.request.url
        assert got.json().keys() == {"found", "expected", "next"}


def test_samples_of_a_run_that_is_on(page, shop):
    for _ in range(3):
        shop.bench.sample(1)
    got = page.get("/api/runs/1/samples?after=2").json()
    assert got["samples"][0][0] == 3
    assert got["more"] is False


def test_samples_of_a_run_that_is_over(page, shop, run):
    writer = Writer(shop.journal)
    rows = [SampleRow(n, 100 * n, 0, 20.0 + n, None) for n in range(1, 5)]
    writer.put(run, [*rows, SampleRow(5, 500, 0, None, str(Fault.OPEN))])
    assert writer.flush()
    writer.stop()
    got = page.get(f"/api/runs/{run}/samples?after=3").json()
    assert got == {"samples": [[4, 0.4, 0, 24.0, None], [5, 0.5, 0, None, "open"]], "more": False}


def test_records_are_listed_and_narrowed(page, shop, run):
    kept_run(shop.journal, model="Curlew", hand="bass")
    everything = page.get("/api/records").json()
    assert {line["model"] for line in everything} == {"Wren", "Curlew"}
    some = page.get("/api/records", params={"model": "cur", "hand": "bass"}).json()
    assert [line["model"] for line in some] == ["Curlew"]
    assert page.get("/api/records?simulated=false").json() == []
    assert len(page.get("/api/records?limit=1").json()) == 1
    for query in ("colour=red", "hand=left", "limit=0", "since=nan", "since=inf", "model=%00"):
        assert page.get(f"/api/records?{query}").status_code == 422, query


def test_a_record_and_what_was_said_of_it(page, shop, run):
    outcome = {"kind": "cracked", "place": "horn", "s_m": 0.4, "face": "outside", "words": "ping"}
    assert page.post(f"/api/records/{run}/outcomes", json=outcome).json()["id"] > 0
    words = "Held <b>too</b> long,\nand too hot: 113 °C"
    assert page.post(f"/api/records/{run}/notes", json={"words": words}).json()["id"] > 0
    got = page.get(f"/api/records/{run}").json()
    assert got["outcomes"][0]["place"] == "horn"
    assert got["notes"][0]["words"] == words
    assert "plan_document" not in got
    assert page.get(f"/api/records/{run}/plan").json() == {"format": "x", "waist_m": 0.268}
    shown = page.get(f"/records/{run}").text
    assert "Cracked, horn, 400 mm from the tail seam, outside, ping" in shown
    assert "&lt;b&gt;too&lt;/b&gt;" in shown
    assert "<script" not in shown
    listed = page.get("/records").text
    assert f'href="/records/{run}"' in listed
    assert "cracked" in listed


def test_outcomes_that_none_can_be(page, run):
    for change in ({"kind": "fine"}, {"s_m": 1e9}, {"s_m": "nan"}, {"face": "left"}, {"more": 1},
                   {"words": "x" * 5000}):  # fmt: skip
        got = page.post(f"/api/records/{run}/outcomes", json={"kind": "sound", **change})
        assert got.status_code == 422, change


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_photograph_is_kept(page, shop, run, kind):
    sent = picture(kind)
    got = page.post(
        f"/api/records/{run}/photographs", content=sent, params={"words": "the horn"},
        headers={"Content-Type": f"image/{kind.lower()}"},
    )  # fmt: skip
    assert got.status_code == 200, got.text
    back = page.get(f"/api/photographs/{got.json()['id']}")
    assert back.headers["content-type"] == "image/jpeg"
    assert "sandbox" in back.headers["content-security-policy"]
    assert Image.open(io.BytesIO(back.content)).size == (64, 48)
    assert "the horn" in page.get(f"/records/{run}").text


@pytest.mark.parametrize(
    "data",
    [b"", b"not a picture", picture()[:100], b"\x89PNG\r\n\x1a\n" + b"\0" * 100, b"{}", b"<svg/>"],
)
def test_what_is_no_photograph(page, run, data):
    jpeg = {"Content-Type": "image/jpeg"}
    got = page.post(f"/api/records/{run}/photographs", content=data, headers=jpeg)
    assert got.status_code == 400


def test_readings_of_a_probe(shop):
    headers = {"Authorization": "Bearer right-token"}
    with shop.browser(shop.lan, headers=headers) as board:
        del board.headers["Origin"]
        assert board.post("/api/probes/waist/readings", json={"c": 104.2}).status_code == 204
        text = {"Content-Type": "text/plain"}
        assert board.post("/api/probes/waist/readings", content=b"104.3", headers=text).is_success
        assert board.post("/api/probes/waist/readings", content=b"x" * 9000,
                          headers=text).status_code == 413  # fmt: skip
    assert shop.bench.pushed == [b'{"c":104.2}', b"104.3"]


def test_how_probes_are_reached_is_told_here_only(shop):
    settings = [{"name": "waist", "kind": "serial", "port": "/dev/ttyUSB0"}]
    run = kept_run(shop.journal, probe_settings=settings)
    with shop.browser() as page, shop.tablet() as tablet:
        assert page.get(f"/api/records/{run}").json()["probe_settings"] == settings
        assert "/dev/ttyUSB0" not in tablet.get(f"/api/records/{run}").text


def test_every_refusal_is_said_in_the_document():
    document = api_document()
    assert document["components"]["schemas"]["Refusal"]["required"] == ["found", "expected", "next"]
    for path, methods in document["paths"].items():
        for method, call in methods.items():
            assert call.get("summary") or call.get("description"), (method, path)
            assert {"401", "403", "413", "415", "421", "422", "429"} <= call["responses"].keys()
            refusal = call["responses"]["422"]["content"]["application/json"]["schema"]
            assert refusal["$ref"].endswith("/Refusal"), (method, path)


def test_the_document_is_served_and_needs_nothing_from_elsewhere(page):
    assert page.get("/openapi.json").json() == api_document()
    assert page.get("/docs").status_code == 404
    assert page.get("/redoc").status_code == 404


def test_a_fault_of_ours_says_one_line_and_no_more(page, shop, caplog, monkeypatch):
    def broken(run):
        raise ZeroDivisionError("in the middle of /home/somebody")

    assert page.get("/api/runs/1").status_code == 200
    monkeypatch.setattr(shop.bench, "view", broken)
    got, line = page.get("/api/runs/1"), connection_of(page)
    assert got.status_code == 500
    assert got.json()["found"] == "a fault of ours"
    assert "ZeroDivision" not in got.text
    assert "somebody" not in got.text
    until = time.monotonic() + 5.0
    while "ZeroDivisionError" not in caplog.text and time.monotonic() < until:
        time.sleep(0.01)
    assert "ZeroDivisionError" in caplog.text, "told to whoever can mend it"
    assert page.get("/api/state").status_code == 200
    assert connection_of(page) == line, "and the line is not cut in the middle of the next request"


def connection_of(page):
    """The line that a client has to the server, by its own port."""
    (connection,) = page._transport._pool.connections
    return connection._connection._network_stream.get_extra_info("client_addr")


def test_a_journal_that_does_not_answer_stops_nothing_else(page, shop, monkeypatch):
    from rimwright.errors import JournalError

    def full(*_):
        raise JournalError("a full disk", "free space", "make room") from OSError("disk full")

    monkeypatch.setattr(shop.journal, "reading", full)
    assert page.get("/api/records").status_code == 503
    assert page.get("/api/runs/1").status_code == 200
    assert page.post("/api/runs/1/commands", json={**COMMAND, "key": "touch-full"}).is_success
