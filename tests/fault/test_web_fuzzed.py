"""The documented API under generated requests: never a fault of ours, always what it says."""

from random import Random

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.specs.openapi.checks import negative_data_rejection, positive_data_acceptance

from benched import wren
from counts import times
from rimwright.desk.beginning import begin_run
from rimwright.equipment.probes import parse_probe
from rimwright.journal.opening import open_journal
from rimwright.live.bench import LiveBench
from rimwright.web.app import api_document
from web_served import serving
from web_wire import undisturbed

PATHS = api_document()["paths"]
CALLS = [(method.upper(), path) for path, methods in PATHS.items() for method in methods]
#: What fits the form need not be a plan, a picture large enough to show anything, or a list.
_FIT_IN_FORM_ONLY = {"/api/runs", "/api/records/{run}/photographs", "/api/kept"}


def fuzzed(count):
    return settings(
        max_examples=count, deadline=None, derandomize=True, database=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A real bench with a practice run on it, and its server."""
    folder = tmp_path_factory.mktemp("shop")
    journal, _ = open_journal(folder / "journal.sqlite")
    bench = LiveBench(journal)
    bench.start()
    begin_run(bench, wren(), hand="treble", settings=(parse_probe("waist=model"),))
    with serving(folder, bench, journal=journal) as served:
        yield served
        bench.stop()


@pytest.fixture(scope="module")
def api(shop):
    return schemathesis.openapi.from_url(f"{shop.here}/openapi.json")


def try_call(api, method, path, headers, count, base=None):
    """Generated requests of one call, good and bad ones, each held against the document."""
    tried = []
    excluded = [positive_data_acceptance] if path in _FIT_IN_FORM_ONLY else []
    takes = PATHS[path][method.lower()].keys() & {"parameters", "requestBody"}
    # What takes nothing cannot be given anything wrong.
    for mode in GenerationMode if takes else (GenerationMode.POSITIVE,):

        @fuzzed(count)
        @given(case=api[path][method].as_strategy(generation_mode=mode))
        def try_it(case):
            answer = case.call(base, headers=headers)
            # Too long is refused as well, though the tool does not count it.
            long = [negative_data_rejection] if answer.status_code in {413, 414, 431} else []
            case.validate_response(answer, excluded_checks=excluded + long, headers=headers)
            tried.append(answer.status_code)

        try_it()
    assert tried
    return tried


@pytest.mark.parametrize(("method", "path"), CALLS)
def test_as_a_page_on_the_shop_computer(method, path, shop, api):
    got = try_call(api, method, path, {"Origin": shop.here}, times(25))
    assert max(got) < 500


@pytest.mark.parametrize(("method", "path"), CALLS)
def test_as_a_guest_who_may_look(method, path, shop, api, guest):
    headers = {"Origin": shop.lan, "Cookie": guest}
    got = try_call(api, method, path, headers, times(4), shop.lan)
    assert max(got) < 500
    if method == "POST":
        assert min(got) >= 400


@pytest.mark.parametrize(("method", "path"), CALLS)
def test_as_a_stranger(method, path, shop, api):
    got = try_call(api, method, path, {"Origin": shop.lan}, times(4), shop.lan)
    assert min(got) >= 400
    assert max(got) < 500


@pytest.fixture(scope="module")
def guest(shop):
    with shop.tablet() as tablet:
        yield shop.cookie(tablet)


def test_plans_with_one_thing_wrong(shop):
    """Real plans, one value of each made something else: begun, or refused in one line."""
    random = Random(20_261_125)
    begun, refused = 0, 0
    with undisturbed(shop), shop.browser() as page:
        for _ in range(times(40)):
            document = wren()
            spoil(document, random)
            sent = {"document": document, "hand": "treble", "probes": ["waist=model"]}
            got = page.post("/api/runs", json=sent)
            assert got.status_code in {200, 400, 409, 422}, got.text
            if got.status_code == 200:
                begun += 1
                over = {"key": f"over-{begun:05d}", "kind": "abandon"}
                run = got.json()["run"]
                assert page.post(f"/api/runs/{run}/commands", json=over).status_code == 200
            else:
                refused += 1
                assert got.json().keys() == {"found", "expected", "next"}
    print(
        f"plans with one thing wrong: {refused} refused, {begun} begun, 0 faults of ours, limit 0"
    )
    assert refused > 0
    assert begun > 0


def spoil(value, random):
    """Make one value somewhere in a plan something else."""
    while True:
        keys = list(value) if isinstance(value, dict) else range(len(value))
        key = random.choice(list(keys))
        inner = value[key]
        if isinstance(inner, dict | list) and inner and random.random() < 0.8:
            value = inner
            continue
        value[key] = random.choice(
            [None, "", "x" * 300, -1, 0, 1e308, -1e-308, True, [], {}, [[]], {"middle": "x"}]
        )
        return
