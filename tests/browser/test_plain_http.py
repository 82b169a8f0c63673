"""A tablet on the shop's network: plain HTTP by a name, where a browser allows a page less."""

from bends_served import LAN, served_bend
from pages import chromium, opened, until

NAME = "bench.lan"


def test_without_a_secure_context_everything_but_the_screen_lock_works(playwright, tmp_path):
    with (
        chromium(playwright, f"--host-resolver-rules=MAP {NAME} {LAN}") as browser,
        served_bend(tmp_path, names=(NAME,)) as bend,
        opened(browser, f"http://{NAME}:{bend.port}/live", here=(NAME,)) as watched,
    ):
        page = watched.page
        assert not page.evaluate("isSecureContext")
        page.locator("#cut-out-yes").tap()
        until(page, "document.documentElement.dataset.sound === 'armed'")
        page.get_by_label("Code").fill(bend.served.pairing()[0])
        page.get_by_label("Name of this device").fill("tablet")
        page.get_by_role("button", name="Pair").tap()
        page.locator("#bar").wait_for()
        page.wait_for_timeout(600)
        page.locator("#go").tap()
        until(page, "document.getElementById('step-title').textContent === 'Stand, wrapped'")
        words = page.locator("#awake-words").inner_text()
        assert words == (
            "This page cannot keep the screen on: set this device’s screen to stay on."
        )
