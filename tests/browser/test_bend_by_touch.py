"""A whole practice bend on a phone, by touch: from mist to rest, a look, and the end."""

import time

from bends_served import served_bend
from pages import keeps_to_the_rules, opened, until
from rimwright.journal.runs import run_record, samples_after

SPEED = 30.0


def test_from_mist_to_the_end_with_a_finger_on_a_phone(browser, tmp_path):
    with (
        served_bend(tmp_path, speed=SPEED) as bend,
        opened(browser, bend.page, size="phone") as watched,
    ):
        page = watched.page
        page.get_by_role("button", name="Yes, fitted and tested").tap()
        page.wait_for_selector("html[data-sound=armed]")
        assert "PRACTICE" in page.locator("#practice").inner_text()
        seen = walk(page)
        _ended(page, bend, seen)
        assert watched.loads == 1, "nothing loads the page again"


def walk(page):
    """Every step by the large button, as it is time; titles and views as they came."""
    seen = []
    deadline = time.monotonic() + 90.0
    while time.monotonic() < deadline:
        view = page.locator("body").get_attribute("data-view")
        title = page.locator("#step-title").inner_text() if view != "over" else ""
        if [view, title] not in seen:
            seen.append([view, title])
            keeps_to_the_rules(page, sizes=("phone",), schemes=("dark",), where=f"{view} {title}")
        if view == "over":
            return seen
        visit = _visit(page)
        if view == "check":
            for _ in range(page.locator(".question .yes[aria-pressed=false]").count()):
                open_ = page.locator(".question .yes[aria-pressed=false]")
                count = open_.count()
                open_.first.tap()
                until(
                    page,
                    "(n) => document.querySelectorAll('.question .yes[aria-pressed=false]')"
                    ".length < n",
                    count,
                )
        elif view == "inspect":
            page.get_by_role("button", name="Sound", exact=True).tap()
            page.get_by_role("button", name="Write it down").tap()
            page.wait_for_selector("#outcomes-kept li")
        elif title == "Warm up":
            until(page, "parseInt(document.getElementById('celsius').textContent) >= 110")
        page.wait_for_timeout(550)  # a bouncing glove is not taken for two touches
        page.locator("#go").tap()
        if page.locator("#tray").is_visible():
            page.get_by_role("button", name="End it early").tap()
        until(
            page,
            "(was) => document.getElementById('step-title').textContent"
            " + document.body.dataset.view !== was",
            visit,
        )
    raise AssertionError(f"not at the end after 90 s: {seen}")


def _visit(page):
    return page.evaluate(
        "document.getElementById('step-title').textContent + document.body.dataset.view"
    )


def _ended(page, bend, seen):
    titles = [title for _, title in seen]
    for title in ("Wet", "Stand, wrapped", "Check before the heat", "Warm up", "Horn", "Scoop",
                  "Unplug", "Rest on the form", "Release", "Look it over"):  # fmt: skip
        assert title in titles
    assert [view for view, _ in seen][-1] == "over"
    page.wait_for_timeout(1000)
    record = run_record(bend.journal, bend.run)
    assert record.state == "ended"
    assert [one["kind"] for one in bend.view["outcomes"]] == ["sound"]
    data = page.evaluate("({...document.documentElement.dataset})")
    assert (data["missing"], data["double"]) == ("0", "0")
    first, last = int(data["firstSample"]), int(data["lastSample"])
    kept = [one.seq for one in samples_after(bend.journal, bend.run) if first <= one.seq <= last]
    assert int(data["samples"]) == len(kept) == last - first + 1
