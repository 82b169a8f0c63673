"""What pages are made of, read as files: colours that can be read, words that claim nothing."""

import re
from importlib.resources import files

import pytest

STATIC = files("rimwright.web").joinpath("static")
NAMES = sorted(one.name for one in STATIC.iterdir())
TOKEN = re.compile(r"--([\w-]+): var\(--if-light, (#\w{6})\) var\(--if-dark, (#\w{6})\);")
ALIKE = re.compile(r"--([\w-]+): (#\w{6});")
GROUNDS = ("ground", "raised")
#: Words on both grounds; of them, those in which figures are set that are read from afar.
TEXT = ("ink", "second-ink", "walnut", "slate", "teal", "amber", "ember")
FIGURES = ("ink", "second-ink")
#: Edges of controls, and lines of the drawing (WCAG 2.2, 1.4.11).
LINES = ("edge", "walnut", "slate", "teal", "amber", "ember")


def text(name):
    return STATIC.joinpath(name).read_text(encoding="utf-8")


def tokens():
    """Both colours of each name."""
    written = text("tokens.css")
    found = {name: (light, dark) for name, light, dark in TOKEN.findall(written)}
    found |= {name: (one, one) for name, one in ALIKE.findall(written)}
    return found


def luminance(colour):
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    """Of two colours (WCAG 2.2)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_standards_own_ends():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == 1.0


@pytest.mark.parametrize("scheme", [0, 1], ids=["light", "dark"])
def test_words_figures_and_lines_stand_out_from_both_grounds(scheme):
    found = {name: both[scheme] for name, both in tokens().items()}
    for names, least in ((TEXT, 4.5), (FIGURES, 7.0), (LINES, 3.0)):
        for name in names:
            for ground in GROUNDS:
                measured = contrast(found[name], found[ground])
                assert measured >= least, f"{name} on {ground}: {measured:.2f}, least {least}"
    for ink, ground, least in (
        ("on-walnut", "walnut", 7.0), ("alarm-ink", "alarm-ground", 7.0), ("ground", "ink", 7.0),
    ):  # fmt: skip
        assert contrast(found[ink], found[ground]) >= least, (ink, ground)


def test_no_file_but_the_tokens_names_a_colour():
    for name in NAMES:
        if name.endswith((".css", ".html", ".js")) and name != "tokens.css":
            # On paper it is black on white, whatever the page is.
            screen = re.sub(r"@media print \{.*", "", text(name), flags=re.DOTALL)
            named = re.findall(r"#[0-9a-fA-F]{3,8}\b(?!\w)|\brgba?\(|\bhsla?\(", screen)
            assert not named, f"{name}: {named}"


def test_pages_bring_no_script_or_style_of_their_own_and_name_nothing_elsewhere():
    for name in NAMES:
        written = text(name)
        # Not an address, but the name of a language.
        written = written.replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?://", written), name
        if name.endswith(".html"):
            assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)", written), name
    assert "import" not in re.sub(r"//.*|/\*.*?\*/", "", text("live.js"), flags=re.DOTALL)


def test_no_word_of_a_page_claims_that_it_makes_safe():
    claims = re.compile(
        r"emergency|\bsafe(ly|ty)?\b|\bprotect(s|ed|ion)?\b|\bguards?\b|\bcuts? (the )?power", re.I
    )
    for name in NAMES:
        if name.endswith((".html", ".js")):
            said = [line for line in text(name).splitlines() if claims.search(line)]
            assert not said, f"{name}: {said}"
