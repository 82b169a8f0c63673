"""Records in a real browser: the list and a run, on every size, light, dark and printed."""

from dataclasses import replace

import pypdfium2
import pytest

from journal_filled import picture
from journal_rows import new_run
from pages import has_names, keeps_to_the_rules, opened
from records_kept import BEGUN, done, hard_run, side_kept
from rimwright.journal.keeping import Outcome, add_note, record_outcome
from rimwright.journal.opening import open_journal
from rimwright.journal.photographs import keep_photograph
from rimwright.journal.runs import begin_run
from web_bench import SmallBench
from web_served import serving

#: Longer than any column, without a place to break.
LONG = "Wren" + "x" * 70


@pytest.fixture(scope="module")
def there(tmp_path_factory):
    """A server with a run in which much was said and went wrong, and one that is hardly begun."""
    folder = tmp_path_factory.mktemp("records")
    journal, _ = open_journal(folder / "journal.sqlite")
    run = hard_run(journal, side_id=side_kept(journal))
    cracked = Outcome(kind="cracked", place="horn", s_m=0.589, face="outside", wall_s=BEGUN)
    record_outcome(journal, run, replace(cracked, words=f"to the edge {LONG}"))
    add_note(journal, "run", run, f"Wetter.\n{LONG}", BEGUN)
    keep_photograph(journal, run, picture((1600, 900)), "the horn", BEGUN)
    begin_run(journal, new_run(model=LONG, run_plan={}))
    with SmallBench() as bench, serving(folder, bench, journal=journal) as served:
        yield served, folder


def test_the_list(browser, there):
    served, _ = there
    with opened(browser, f"{served.here}/records") as watched:
        page = watched.page
        keeps_to_the_rules(page, where="records")
        has_names(page, "records")
        page.get_by_role("link", name="Run 1", exact=True).tap()
        page.wait_for_url("**/records/1")
        assert page.get_by_role("heading", level=1).inner_text() == "Wren, treble side"


def test_a_whole_row_is_a_touch(browser, there):
    served, _ = there
    with opened(browser, f"{served.here}/records", size="phone") as watched:
        page = watched.page
        box = page.locator("tbody tr").first.bounding_box()
        page.touchscreen.tap(box["x"] + box["width"] - 10, box["y"] + box["height"] / 2)
        page.wait_for_url("**/records/1")


@pytest.mark.parametrize("run", [1, 2])
def test_a_run(browser, there, run):
    served, _ = there
    with opened(browser, f"{served.here}/records/{run}") as watched:
        keeps_to_the_rules(watched.page, where=f"record {run}")
        has_names(watched.page, f"record {run}")


def test_the_curve_is_drawn_for_its_screen(browser, there):
    served, _ = there
    for size, wide in (("phone", False), ("tablet", True), ("large", True)):
        with opened(browser, f"{served.here}/records/1", size=size) as watched:
            page = watched.page
            assert page.locator("svg.wide").is_visible() == wide
            assert page.locator("svg.narrow").is_visible() != wide
            # Words of the curve that is seen can be read.
            smallest = page.evaluate(
                """() => Math.min(...[...document.querySelectorAll('svg text')]
                .filter((one) => one.checkVisibility())
                .map((one) => one.getBoundingClientRect().height))"""
            )
            assert smallest >= 11.0, (size, smallest)


def test_the_file_is_the_same_page_without_a_server(browser, there, tmp_path):
    _, folder = there
    done("record", 1, "--journal", folder / "journal.sqlite", "-o", tmp_path)
    with opened(browser) as watched:
        page = watched.page
        page.goto((tmp_path / "record.html").as_uri())
        keeps_to_the_rules(page, where="record.html")
        has_names(page, "record.html")
        assert page.evaluate("document.images[0].naturalWidth") == 1600
        ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert ground != "rgba(0, 0, 0, 0)", "its style is taken"
        watched.asked = [one for one in watched.asked if not one.startswith("file:")]


def test_printed_it_is_black_on_white(browser, there):
    served, _ = there
    with opened(browser, f"{served.here}/records/1", scheme="dark") as watched:
        data = watched.page.pdf(format="A4")
    with pypdfium2.PdfDocument(data) as document:
        first = document[0].render(scale=1.0).to_pil().convert("HSV")
        assert first.getpixel((2, 2))[2] == 255, "no dark ground"
        assert first.getchannel("S").getextrema()[1] <= 8, "no colour"
        words = " ".join(page.get_textpage().get_text_bounded() for page in document)
    assert "Bends that are on" not in words
    assert "Step by step" in words
