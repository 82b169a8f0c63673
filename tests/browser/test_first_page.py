"""The first page: which runs are on, a device paired by its link, a run begun from a plan."""

import json

from benched import wren
from bends_served import LAN, served_bend
from pages import has_names, keeps_to_the_rules, opened, until


def test_runs_that_are_on_lead_to_their_page(browser, shown):
    with opened(browser, f"http://127.0.0.1:{shown.port}/") as watched:
        page = watched.page
        link = page.get_by_role("link", name="Wren, treble side")
        link.wait_for()
        assert "Step 1 of 18, Wet" in link.inner_text()
        keeps_to_the_rules(page, where="first page")
        has_names(page, "first page")
        link.tap()
        page.wait_for_url("**/live?run=*")


def test_no_run_and_how_to_begin_one(browser, shown, tmp_path):
    shown.benched.tap("abandon")
    shown.benched.pass_time(0.2)
    (tmp_path / "plan.json").write_text(json.dumps(wren()))
    (tmp_path / "other.json").write_text("[1, 2]")
    with opened(browser, f"http://127.0.0.1:{shown.port}/") as watched:
        page = watched.page
        until(page, "document.getElementById('title').textContent === 'No run is on'")
        page.locator("#plan").set_input_files(tmp_path / "other.json")
        until(page, "document.getElementById('begin-words').textContent.includes('no plan')")
        page.locator("#plan").set_input_files(tmp_path / "plan.json")
        page.get_by_role("button", name="Bass side").tap()
        keeps_to_the_rules(page, where="a run to begin")
        page.get_by_role("button", name="Begin").tap()
        page.wait_for_url("**/live?run=2")
        page.locator("#cut-out-yes").tap()
        until(page, "document.getElementById('title').textContent === 'Wren, bass side'")


def test_a_scanned_link_brings_its_code_along(browser, shown):
    code = shown.served.pairing()[0].replace(" ", "")
    with opened(browser, f"http://{LAN}:{shown.port}/#pair={code}", size="phone") as watched:
        page = watched.page
        page.locator("#pairing").wait_for()
        assert page.get_by_label("Code").input_value() == code
        assert code not in page.url, "it is not left in the address"
        assert not page.locator("#begin").is_visible()
        keeps_to_the_rules(page, where="look only")
        page.get_by_label("Name of this device").fill("phone")
        page.get_by_role("button", name="Pair").tap()
        page.locator("#begin").wait_for()
        assert not page.locator("#pairing").is_visible()


def test_a_wrong_code_is_refused_in_words(browser, shown):
    with opened(browser, f"http://{LAN}:{shown.port}/", may_say=("403",)) as watched:
        page = watched.page
        page.get_by_label("Code").fill("0000 0000")
        page.get_by_label("Name of this device").fill("phone")
        page.get_by_role("button", name="Pair").tap()
        until(page, "document.getElementById('pair-words').textContent.includes('does not hold')")


def test_the_live_page_takes_up_by_itself_what_is_begun(browser, tmp_path):
    with served_bend(tmp_path) as bend:
        bend.tap("abandon")
        with opened(browser, f"{bend.here}/live") as watched:
            page = watched.page
            page.locator("#cut-out-yes").tap()
            until(page, "document.getElementById('none-title').textContent === 'No run is on'")
            until(page, "document.documentElement.dataset.sound === 'armed'")
            bend.begin()
            until(page, "document.getElementById('title').textContent === 'Wren, treble side'")
            assert page.evaluate("document.documentElement.dataset.sound") == "armed"
            assert watched.loads == 1
