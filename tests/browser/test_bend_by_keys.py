"""A whole practice bend without a pointer: a foot switch, a scanner, a keyboard for the rest."""

import time

import pytest

from bends_served import served_bend
from pages import opened, until
from rimwright.journal.runs import run_record

FORM = "rimwright:label;{plan};model=Wren;kind=form;side=treble;piece=main;player=right"


def tab_to(page, words):
    """Go by the tabulator to the control of these words; its focus is seen."""
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate(_FOCUSED) == words:
            outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
            assert float(outline.removesuffix("px")) >= 2.0, f"the focus on {words} is not seen"
            return
    raise AssertionError(f"no way to '{words}' by the tabulator")


_FOCUSED = "(document.activeElement.textContent || document.activeElement.id).trim()"


def at(page, title):
    until(page, "(one) => document.getElementById('step-title').textContent === one", title)


def foot(page, key="PageDown"):
    """One press of a foot switch; a shoe does not come down twice within half a second."""
    page.wait_for_timeout(550)
    page.keyboard.press(key)


@pytest.fixture
def bend(tmp_path):
    with served_bend(tmp_path, speed=30.0) as served:
        yield served


def test_a_foot_switch_a_scanner_and_a_keyboard_do_it_all(browser, bend):
    with opened(browser, bend.page, touch=False) as watched:
        page = watched.page
        until(page, "document.body.dataset.view === 'first-use'")
        tab_to(page, "Yes, fitted and tested")
        page.keyboard.press("Enter")
        until(page, "document.documentElement.dataset.sound === 'armed'")
        _cold(page)
        _check(page, bend)
        _hot(page, bend)
        _after(page)
        page.wait_for_timeout(1000)
        record = run_record(bend.journal, bend.run)
        assert record.state == "ended"
        assert any(one["kind"] == "hairline" for one in bend.view["outcomes"])
        assert watched.loads == 1


def _cold(page):
    at(page, "Wet")
    # Held down it counts once.
    page.wait_for_timeout(550)
    page.keyboard.down("PageDown")
    page.wait_for_timeout(900)
    for _ in range(5):
        page.keyboard.down("PageDown")
    page.keyboard.up("PageDown")
    at(page, "Stand, wrapped")
    page.wait_for_timeout(300)
    at(page, "Stand, wrapped")
    foot(page)
    tab_to(page, "End it early")
    page.keyboard.press("Enter")
    at(page, "Stack up")
    foot(page, "Enter")
    at(page, "Probe in")
    foot(page, "Space")
    at(page, "Clamp lightly")
    # Two presses of a bouncing switch are one.
    page.wait_for_timeout(550)
    page.keyboard.press("PageDown")
    page.keyboard.press("PageDown")
    at(page, "Check before the heat")


def _check(page, bend):
    # The scanner types where nobody looks; its Enter is not the foot's.
    page.keyboard.type(FORM.format(plan=bend.session.plan.plan_code))
    page.keyboard.press("Enter")
    until(page, "document.querySelector('.question[data-answer=yes]') !== null")
    assert bend.session.state.answers["form"].code
    for words in ("Yes, it is", "Yes, I looked", "Yes, I stay"):
        tab_to(page, words)
        page.keyboard.press("Space")
        until(
            page,
            "(one) => [...document.querySelectorAll('.question .yes[aria-pressed=true]')]"
            ".some((yes) => yes.textContent === one)",
            words,
        )
    foot(page)


def _hot(page, bend):
    at(page, "Warm up")
    until(page, "parseInt(document.getElementById('celsius').textContent) >= 110")
    foot(page)
    at(page, "Power back to hold")
    tab_to(page, "Turned down")
    page.keyboard.press("Enter")
    tab_to(page, "50\u2009%")
    page.keyboard.press("Enter")
    until(page, "document.getElementById('log').textContent.includes('Power to 50')")
    foot(page)
    at(page, "Waist, nearly home")
    tab_to(page, "Wait here")
    page.keyboard.press("Enter")
    until(page, "document.getElementById('go-words').textContent === 'Go on'")
    foot(page)
    until(page, "document.getElementById('go-words').textContent !== 'Go on'")
    tab_to(page, "Note")
    page.keyboard.press("Enter")
    tab_to(page, "tray-words")
    page.keyboard.type("creaked once at 266 mm")
    page.keyboard.press("Enter")
    until(page, "document.getElementById('log').textContent.includes('creaked once')")
    before = bend.session.state.present_s
    foot(page, "PageUp")
    deadline = time.monotonic() + 10.0
    while bend.session.state.present_s <= before:
        assert time.monotonic() < deadline, "nobody is there"
        page.wait_for_timeout(50)
    for title in ("Horn", "Scoop", "Lower bout", "Upper bout", "Waist, home", "Clamp the tail"):
        foot(page)
        at(page, title)
    foot(page)


def _after(page):
    at(page, "Unplug")
    foot(page)
    at(page, "Rest on the form")
    foot(page)
    tab_to(page, "End it early")
    page.keyboard.press("Enter")
    at(page, "Release")
    foot(page)
    at(page, "Look it over")
    for words in ("Hairline", "Scoop", "Inside", "Write it down"):
        tab_to(page, words)
        page.keyboard.press("Enter")
    until(page, "document.querySelector('#outcomes-kept li') !== null")
    # The focus is on a control: only Page Down is the foot's then.
    foot(page)
    until(page, "document.body.dataset.view === 'over'")
