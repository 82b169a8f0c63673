"""One record by the command: in words, as data, as a page, on paper, as a picture."""

import base64
import hashlib
import io
import json
import re
import xml.etree.ElementTree as ElementTree
from html.parser import HTMLParser

import pypdfium2
import pytest
from PIL import Image

from journal_filled import picture
from journal_stores import journal, store
from records_kept import BEGUN, command, done, hard_run, practised, side_kept
from rimwright.journal.keeping import Outcome, add_note, record_outcome
from rimwright.journal.opening import open_journal
from rimwright.journal.photographs import keep_photograph
from rimwright.sheets.paper import SIZES
from rimwright.web.styles import record_style

__all__ = ["journal", "store"]
_MM = 25.4 / 72.0
WORDS = 'It said "crack" <b>twice</b>,\nthen & then a third time.'


@pytest.fixture(scope="module")
def practice(tmp_path_factory):
    """The files of a practice run, and its journal."""
    folder = tmp_path_factory.mktemp("practice")
    path = practised(folder)
    out = done("record", 1, "--journal", path, "-o", folder / "out")
    return path, folder / "out", out


@pytest.fixture(scope="module")
def hard(tmp_path_factory):
    """The same of a run with everything that can be said, in inches."""
    folder = tmp_path_factory.mktemp("hard")
    opened, _ = open_journal(folder / "journal.sqlite")
    run = hard_run(opened, side_id=side_kept(opened))
    cracked = Outcome(
        kind="cracked", place="horn", s_m=0.589, face="outside", words=WORDS, wall_s=BEGUN
    )
    record_outcome(opened, run, cracked)
    add_note(opened, "run", run, WORDS, BEGUN + 5000.0)
    add_note(opened, "side", 2, "Kept the offcut.", BEGUN + 5000.0)
    keep_photograph(opened, run, picture((640, 480)), "horn <outside>", BEGUN)
    opened.close()
    out = done("record", run, "--journal", folder / "journal.sqlite", "-o", folder / "out")
    return folder / "journal.sqlite", folder / "out", out


class Page(HTMLParser):
    """Elements of a page with their attributes, and its words; refuses what is left open."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.words, self._open = [], [], []
        self.feed(text)
        self.close()
        assert not self._open, self._open

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in {"meta", "link", "img", "br"}:
            self._open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self._open.pop() == tag

    def handle_data(self, data):
        if self._open and self._open[-1] not in ("style", "text"):
            self.words.append(data)

    def all(self, tag):
        return [attributes for name, attributes in self.elements if name == tag]

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


def read_pages(path):
    """Size in millimetres and words of every page."""
    with pypdfium2.PdfDocument(path) as document:
        return [
            ([_MM * side for side in page.get_size()], page.get_textpage().get_text_bounded())
            for page in document
        ]


def test_in_words(practice):
    _, _, out = practice
    assert out.startswith("Run 1: Wren, treble side   Sound\n")
    assert "ended, no alarm" in out, "who practises closes the record"
    for said in ("PRACTICE: A MODEL INSTEAD OF A PROBE", "Predicted before, and what came",
                 "Heat on to target", "within", "Indian rosewood, by the plan", "misted",
                 "Under heat", "7 Warm up", ">> Early call: 100 °C", "Rest on the form",
                 "24 h", "Learnt of this blanket", "Times by the shop computer",
                 "Wrote record.html, record.pdf, curve.png, curve.svg"):  # fmt: skip
        assert said in out, said
    assert max(map(len, out.splitlines())) <= 110


def test_everything_that_was_said_of_a_hard_run(hard):
    _, _, out = hard
    for said in ("1: Cracked, horn, 23 3/16″ from the tail seam, outside, It said \"crack\"",
                 "!! Too hot: called", "2 alarms", "over the limit", "365 °F", "Kept the offcut.",
                 "1 photograph", "horn <outside>", "0.083″ (at 10 35/64″)", "by the brass one",
                 "Nothing was watched for 40 s", "Smell of <toast>."):  # fmt: skip
        assert said in out, said
    assert "PRACTICE" not in out


def test_as_data(store, journal):
    run = hard_run(journal)
    told = json.loads(done("record", run, "--database", store.where, "--json"))
    assert told["format"] == "rimwright-record/1"
    assert (told["id"], told["model"], told["state"]) == (run, "Wren", "ended")
    assert "plan_document" not in told
    assert [one["what"] for one in told["compared"]][:2] == [
        "Heat on to early call", "Heat on to target",
    ]  # fmt: skip
    assert told["steps"][2]["took_s"] == 121.0
    curves = told["curve"]["main"]["curves"]
    assert [one["name"] for one in curves] == ["waist", "horn"]
    assert len(curves[0]["pieces"]) == 3
    assert len(told["events"]) == told["events"][-1]["seq"]


@pytest.mark.parametrize("which", ["practice", "hard"])
def test_the_page_is_one_file_that_asks_nothing(which, request):
    _, out, _ = request.getfixturevalue(which)
    text = (out / "record.html").read_text(encoding="utf-8")
    page = Page(text)
    assert page.all("html") == [{"lang": "en"}]
    assert len(page.all("h1")) == 1
    assert len(page.all("main")) == 1
    for none in ("script", "link", "iframe", "form", "object", "base", "audio", "video"):
        assert page.all(none) == [], none
    for _, attributes in page.elements:
        assert not any(name.startswith("on") or name == "style" for name in attributes)
        for name in ("href", "src"):
            assert attributes.get(name, "data:").startswith("data:"), attributes
    (policy,) = [one["content"] for one in page.all("meta") if "http-equiv" in one]
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)[1]
    known = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert policy.startswith(f"default-src 'none'; style-src 'sha256-{known}'; img-src data:")
    assert record_style().strip() in style
    assert all(one.get("role") == "img" and one.get("aria-label") for one in page.all("svg"))
    assert all(one.get("alt") for one in page.all("img"))
    assert all(one.get("scope") for one in page.all("th"))


def test_what_somebody_wrote_stands_as_words(hard):
    _, out, _ = hard
    text = (out / "record.html").read_text(encoding="utf-8")
    assert "<b>" not in text
    page = Page(text)
    assert 'It said "crack" <b>twice</b>, then & then a third time.' in page.text
    assert "Smell of <toast>." in page.text
    (image,) = page.all("img")
    data = base64.b64decode(image["src"].partition("base64,")[2])
    assert Image.open(io.BytesIO(data)).size == (640, 480)
    assert image["alt"] == "horn <outside>"


def test_the_curve_on_the_page(hard):
    _, out, _ = hard
    page = Page((out / "record.html").read_text(encoding="utf-8"))
    wide, narrow = page.all("svg")
    assert (wide["class"], narrow["class"]) == ("curve wide", "curve narrow")
    drawn = {one.get("class") for one in page.all("g")}
    assert {"axis", "band", "predicted", "line", "limit", "measured", "other", "call",
            "alarm"} <= drawn  # fmt: skip
    assert "Early call after 1 min 50 s" in wide["aria-label"]


@pytest.mark.parametrize(("which", "paper"), [("practice", "a4"), ("hard", "letter")])
def test_on_paper(which, paper, request):
    _, out, _ = request.getfixturevalue(which)
    pages = read_pages(out / "record.pdf")
    assert 1 <= len(pages) <= (2 if which == "practice" else 3)
    for size, words in pages:
        assert size == pytest.approx(SIZES[paper], abs=0.1)
        for said in ("Wren", "treble side", "run 1", "plan WREN-", "2026", "page"):
            assert said in words, said
    told = " ".join(" ".join(words for _, words in pages).split())
    for said in (
        "Predicted before, and what came", "Step by step", "OUTSIDE of the side", "The bench",
        "The side", "early call", "limit", "Warm up", "it switched nothing",
    ):  # fmt: skip
        assert said in told, said
    assert ("Practice: a model" in told) == (which == "practice")


def test_paper_tells_what_the_page_tells(hard):
    _, out, _ = hard
    told = " ".join(" ".join(words for _, words in read_pages(out / "record.pdf")).split())
    for said in ("Cracked, horn, 23 3/16″", "▲ Too hot: called", "Kept the offcut.",
                 "1 photograph on the record's page: horn <outside>", "moisture".capitalize(),
                 "8.1%, by the one with pins", "over the limit"):  # fmt: skip
        assert said in told, said


def test_nothing_runs_off_the_paper(hard, practice):
    for _, out, _ in (hard, practice):
        with pypdfium2.PdfDocument(out / "record.pdf") as document:
            for page in document:
                wide, high = page.get_size()
                drawn = page.get_textpage()
                for number in range(drawn.count_rects()):
                    left, bottom, right, top = drawn.get_rect(number)
                    assert left > 20.0
                    assert right < wide - 20.0
                    assert bottom > 20.0
                    assert top < high - 20.0


def test_the_printout_is_black_on_white(hard):
    """It survives a photocopier: no colour, no grey areas."""
    _, out, _ = hard
    with pypdfium2.PdfDocument(out / "record.pdf") as document:
        for page in document:
            picture = page.render(scale=1.0).to_pil()
            assert picture.convert("HSV").getchannel("S").getextrema()[1] == 0


def test_the_pictures(hard, practice):
    for _, out, _ in (hard, practice):
        with Image.open(out / "curve.png") as drawn:
            assert drawn.size[0] > 1200
        root = ElementTree.fromstring((out / "curve.svg").read_text(encoding="utf-8"))
        assert root.tag.endswith("svg")
    assert "practice: a model" in _words(practice[1] / "curve.svg")


def _words(path):
    return path.read_text(encoding="utf-8").replace("<!--", " ").replace("-->", " ")


def test_the_same_record_gives_the_same_files(hard, tmp_path):
    path, out, _ = hard
    done("record", 1, "--journal", path, "-o", tmp_path / "again")
    for name in ("record.html", "record.pdf", "curve.png", "curve.svg"):
        assert (tmp_path / "again" / name).read_bytes() == (out / name).read_bytes(), name


def test_a_record_that_is_not_there(practice):
    path = practice[0]
    assert "no run 9" in command("record", 9, "--journal", path).line
    assert "rimwright records" in command("record", 9, "--journal", path).line
    for wrong in ("0", "-1", "x", "99999999999"):
        assert "RUN" in command("record", "--journal", path, "--", wrong).line.upper()


def test_a_folder_that_cannot_be(practice, tmp_path):
    path = practice[0]
    (tmp_path / "file").write_text("x")
    assert "a file where a folder" in command(
        "record", 1, "--journal", path, "-o", tmp_path / "file"
    ).line  # fmt: skip
    (tmp_path / "out" / "record.pdf").mkdir(parents=True)
    said = command("record", 1, "--journal", path, "-o", tmp_path / "out")
    assert "a folder of that name" in said.line
    assert [one.name for one in (tmp_path / "out").iterdir()] == ["record.pdf"], "none is written"
