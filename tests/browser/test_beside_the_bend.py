"""What the live page has beside the bend: photographs, light and dark, pairing, and no run."""

from bends_served import LAN
from bends_shown import armed, showing
from pages import has_names, keeps_to_the_rules, opened, until


def test_a_photograph_goes_into_the_record(browser, shown, tmp_path):
    from PIL import Image

    from rimwright.journal.runs import run_record

    Image.new("RGB", (640, 480), "#7a4e2d").save(tmp_path / "horn.jpg")
    shown.benched.to("inspect")
    shown.benched.bench.writer.flush()
    with opened(browser, shown.page()) as watched:
        page = watched.page
        armed(page)
        showing(page, "inspect")
        page.locator("#photograph").set_input_files(tmp_path / "horn.jpg")
        until(page, "document.getElementById('photograph-words').textContent.includes('is kept')")
        assert len(run_record(shown.journal, shown.benched.run).photographs) == 1


def test_light_and_dark_as_the_device_has_it_or_as_chosen(browser, shown):
    with opened(browser, shown.page(), scheme="light") as watched:
        page = watched.page
        armed(page)
        light = page.evaluate(_GROUND)
        page.get_by_role("button", name="Dark", exact=True).tap()
        dark = page.evaluate(_GROUND)
        assert dark != light
        page.reload()
        showing(page, "steps")
        assert page.evaluate(_GROUND) == dark, "it is remembered"
        page.get_by_role("button", name="As the device").tap()
        assert page.evaluate(_GROUND) == light
        page.emulate_media(color_scheme="dark")
        assert page.evaluate(_GROUND) == dark


_GROUND = "getComputedStyle(document.documentElement).backgroundColor"


def test_a_device_that_may_look_only_is_paired_on_the_page(browser, shown):
    with opened(browser, shown.page(LAN), size="phone") as watched:
        page = watched.page
        armed(page)
        page.locator("#pairing").wait_for()
        assert not page.locator("#bar").is_visible()
        assert "may look, not act" in page.locator("#pairing").inner_text()
        keeps_to_the_rules(page, where="look only")
        page.get_by_label("Code").fill(shown.served.pairing()[0])
        page.get_by_label("Name of this device").fill("phone")
        page.get_by_role("button", name="Pair").tap()
        page.locator("#bar").wait_for()
        page.wait_for_timeout(600)
        page.locator("#go").tap()
        until(page, "document.getElementById('step-title').textContent === 'Stand, wrapped'")
        assert shown.benched.session.events[-1].device == "phone"


def test_no_run_and_a_run_that_is_not_there(browser, shown):
    shown.benched.tap("abandon")
    shown.benched.pass_time(0.2)
    address = shown.page(run=77)
    with opened(browser, address) as watched:
        page = watched.page
        page.locator("#cut-out-yes").tap()
        showing(page, "none")
        assert "77" in page.locator("#none-title").inner_text()
        keeps_to_the_rules(page, where="no such run")
        page.goto(address.partition("?")[0])
        until(page, "document.getElementById('none-title').textContent === 'No run is on'")
        keeps_to_the_rules(page, where="no run")
        has_names(page, "no run")
