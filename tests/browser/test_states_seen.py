"""Every state of the live page, in three sizes, light and dark: to be touched and to be read."""

from bends_shown import armed, showing
from pages import SIZES, has_names, keeps_to_the_rules, opened, until


def test_first_use_says_what_the_shop_must_have_and_asks_once(browser, shown):
    with opened(browser, shown.page()) as watched:
        page = watched.page
        showing(page, "first-use")
        words = page.locator("#first-use").inner_text()
        for must in ("switches nothing", "independent over-temperature cut-out",
                     "its own sensor", "mechanical timer", "earthed", "residual-current",
                     "person present", "local electrical code", "tested"):  # fmt: skip
            assert must in words
        keeps_to_the_rules(page, where="first use")
        has_names(page, "first use")
        page.locator("#cut-out-no").tap()
        assert "no heat before it is" in page.locator("#no-cut-out").inner_text()
        keeps_to_the_rules(page, where="no cut-out")
        page.reload()
        showing(page, "steps")
        assert page.locator("#no-cut-out").is_visible()


def test_cold_steps_and_the_check(browser, shown):
    benched = shown.benched
    with opened(browser, shown.page(), may_say=("WebSocket connection to",)) as watched:
        page = watched.page
        armed(page)
        showing(page, "steps")
        benched.pass_time(3.0)
        until(page, "document.getElementById('celsius').textContent.includes('°C')")
        keeps_to_the_rules(page, where="wet")
        for size in SIZES.values():
            page.set_viewport_size(dict(zip(("width", "height"), size, strict=True)))
            for figure in ("celsius", "left"):
                assert page.evaluate(_LETTER_PX, figure) >= 96.0, "read from two metres"
        page.set_viewport_size({"width": 1024, "height": 768})
        benched.to("stand")
        until(page, "document.getElementById('left-name').textContent === 'Left to wait'")
        assert "10:00" in page.locator("#left").inner_text()
        keeps_to_the_rules(page, where="stand")
        page.wait_for_timeout(600)
        page.locator("#go").tap()
        page.get_by_role("button", name="End it early").wait_for()
        keeps_to_the_rules(page, where="end the wait?")
        page.get_by_role("button", name="Let it stand").tap()
        benched.to("check")
        showing(page, "check")
        assert page.locator(".question").count() == 4
        assert page.locator("#eye li").count() >= 8
        keeps_to_the_rules(page, where="check")
        has_names(page, "check")
        page.wait_for_timeout(600)
        page.locator("#go").tap()
        assert "4 answers are missing" in page.locator("#tray-title").inner_text()
        assert benched.view["step"]["key"] == "check"
        page.get_by_role("button", name="I look again").tap()
        shown.served.stop()
        silent = page.locator("#silent")
        silent.wait_for()
        assert "NO DATA for" in silent.inner_text()
        keeps_to_the_rules(page, where="check, silent")


_LETTER_PX = "(one) => parseFloat(getComputedStyle(document.getElementById(one)).fontSize)"


def test_a_wrong_label_fills_the_page_with_one_sentence(browser, shown):
    benched = shown.benched
    benched.to("check")
    with opened(browser, shown.page()) as watched:
        page = watched.page
        armed(page)
        showing(page, "check")
        wrong = ("rimwright:label;WREN-721560;model=Wren;kind=form;side=bass;piece=main;"
                 "player=right")  # fmt: skip
        page.locator(".scan").fill(wrong)
        page.locator(".scan").press("Enter")
        showing(page, "mismatch")
        said = page.locator("#mismatch-words")
        assert said.inner_text() == benched.view["check"]["mismatch"]
        assert "Wrong form" in said.inner_text()
        box = said.bounding_box()
        assert box["width"] > 800, "it is large"
        assert not page.locator("#bar").is_visible()
        keeps_to_the_rules(page, where="mismatch")
        page.locator("#mismatch-again").tap()
        showing(page, "check")
        # The same mistake again stops again.
        page.locator(".scan").fill(wrong)
        page.locator(".scan").press("Enter")
        showing(page, "mismatch")
        page.locator("#mismatch-again").tap()
        page.get_by_role("button", name="It says Wren, treble side").tap()
        until(page, "document.querySelector('.question[data-answer=yes]') !== null")
        assert benched.view["check"]["mismatch"] is None


def test_heat_alarm_and_probe_without_a_reading(browser, shown):
    benched = shown.benched
    benched.to("warm-up")
    benched.pass_time(20.0)
    with opened(browser, shown.page()) as watched:
        page = watched.page
        armed(page)
        until(page, "document.getElementById('left-name').textContent === 'Left to the target'")
        until(page, "document.querySelectorAll('#chart text').length > 5")
        names = page.locator("#chart text").all_text_contents()
        for end in ("limit 180", "target 110", "early call 100", "predicted", "waist"):
            assert end in names, f"{end} is named at its end: {names}"
        keeps_to_the_rules(page, where="warm up")
        has_names(page, "warm up")
        page.get_by_role("button", name="Turned down").tap()
        keeps_to_the_rules(page, where="turned down to")
        page.get_by_role("button", name="50 %", exact=True).tap()
        until(page, "document.getElementById('log').textContent.includes('Power to 50')")
        benched.to("hold")
        benched.pass_time(5.0)
        benched.tap("hold", words="the strap slipped")
        until(page, "document.getElementById('do').textContent === 'the strap slipped'")
        assert page.locator("#go-words").inner_text() == "Go on"
        keeps_to_the_rules(page, where="held")
        benched.tap("resume")
        _too_hot(page, benched)
        _no_reading(page, benched)


def _too_hot(page, benched):
    benched.silent = True
    celsius = benched.view["lead"]["celsius"]
    while celsius < 184.0:
        celsius += 0.3
        benched.deliver(celsius)
        benched.pass_time(0.1)
    until(page, "document.documentElement.dataset.alarm === 'too_hot'")
    assert page.locator("#alarms").bounding_box()["width"] == page.viewport_size["width"]
    assert page.locator("#alarms").bounding_box()["y"] == 0
    aloud = page.locator("#say-alarm")
    assert aloud.get_attribute("role") == "alert"
    assert "Too hot" in aloud.text_content()
    keeps_to_the_rules(page, where="too hot")
    touched = page.get_by_role("button", name="I am here").element_handle()
    words = page.locator(".alarm .words").inner_text()
    benched.deliver(185.6)
    benched.pass_time(0.5)
    until(page, "(was) => document.querySelector('.alarm .words').innerText !== was", words)
    assert touched.evaluate("(one) => one.isConnected"), (
        "words change under a finger, not the touch"
    )
    page.get_by_role("button", name="I am here").tap()
    until(page, "document.getElementById('alarms').dataset.calm === 'true'")
    keeps_to_the_rules(page, where="too hot, acknowledged")


_GONE = """(title) =>
  ![...document.querySelectorAll('.alarm h2')].some((one) => one.textContent === title)"""


def _no_reading(page, benched):
    benched.pass_time(4.0)
    until(page, "document.getElementById('celsius').textContent === 'No reading'")
    assert "184" not in page.locator("#heat-figure").inner_text(), "never the last value"
    words = page.locator("#rate").inner_text()
    assert words.lower() == benched.view["probes"][0]["words"].lower()
    keeps_to_the_rules(page, where="no reading")
    here = page.get_by_role("button", name="I am here: acknowledge No reading")
    for _ in range(2):  # it goes and comes again, with all that a hand may do
        page.wait_for_timeout(600)
        here.tap()
        here.wait_for(state="hidden")
        for tenth in range(30):
            benched.deliver(180.0 + 0.1 * (tenth % 2))
            benched.pass_time(0.1)
        until(page, _GONE, "No reading")
        benched.pass_time(4.0)
        here.wait_for()


def test_an_alarm_that_went_unacknowledged_comes_back_with_its_touch(browser, shown):
    benched = shown.benched
    benched.to("hold")
    benched.tap("turned_down", share=0.4)
    with opened(browser, shown.page()) as watched:
        page = watched.page
        armed(page)
        here = page.get_by_role("button", name="I am here: acknowledge Left alone")
        for _ in range(2):
            benched.pass_time(602.0, 0.5)
            here.wait_for()
            benched.tap("present")  # at the shop computer
            benched.pass_time(1.0)
            here.wait_for(state="hidden")


def test_rest_a_look_and_the_end(browser, shown):
    benched = shown.benched
    benched.to("rest")
    with opened(browser, shown.page()) as watched:
        page = watched.page
        armed(page)
        showing(page, "rest")
        assert page.locator("#left").inner_text().replace("\n", "").startswith("24")
        assert page.locator("#left-under").inner_text().startswith("ends ")
        keeps_to_the_rules(page, where="rest")
        benched.to("inspect")
        showing(page, "inspect")
        keeps_to_the_rules(page, where="look it over")
        has_names(page, "look it over")
        for name in ("Hairline", "Horn", "Outside"):
            page.get_by_role("button", name=name, exact=True).tap()
        page.get_by_label("In your words").fill("a hand's breadth from the tip")
        page.get_by_role("button", name="Write it down").tap()
        until(page, "document.querySelector('#outcomes-kept li') !== null")
        assert benched.view["outcomes"] == [
            {"kind": "hairline", "place": "horn", "s_m": None, "face": "outside",
             "words": "a hand's breadth from the tip"}
        ]  # fmt: skip
        page.wait_for_timeout(600)
        page.locator("#go").tap()
        showing(page, "over")
        keeps_to_the_rules(page, where="over")
