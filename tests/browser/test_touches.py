"""A touch acts once: bounced, sent again, or made on two devices at a time."""

from bends_shown import armed, showing
from pages import opened, until


def test_two_touches_in_one_are_one(browser, shown):
    with opened(browser, shown.page()) as watched:
        page = watched.page
        armed(page)
        showing(page, "steps")
        page.wait_for_timeout(600)
        page.locator("#go").dblclick()
        until(page, "document.getElementById('step-title').textContent === 'Stand, wrapped'")
        page.wait_for_timeout(300)
        assert shown.benched.view["step"]["key"] == "stand"
        assert len(shown.benched.kinds("step_done")) == 1
        assert not page.locator("#tray").is_visible(), "nor does it ask to end the wait"


def test_a_touch_whose_answer_is_lost_is_sent_again_and_acts_once(browser, shown):
    with opened(browser, shown.page(), may_say=("net::ERR_FAILED",)) as watched:
        page = watched.page
        armed(page)
        showing(page, "steps")
        bodies = []

        def lose_the_first_answer(route):
            bodies.append(route.request.post_data_json)
            if len(bodies) == 1:
                route.fetch()  # it arrives, and its answer does not
                route.abort()
            else:
                route.continue_()

        page.route("**/commands", lose_the_first_answer)
        page.get_by_role("button", name="Note").tap()
        page.get_by_role("button", name="Smells hot").tap()
        until(page, "document.getElementById('log').textContent.includes('Smells hot')")
        page.wait_for_timeout(1000)
        assert len(bodies) == 2
        assert bodies[0] == bodies[1], "the same key"
        assert len(shown.benched.kinds("note")) == 1


def test_without_any_contact_it_says_that_a_touch_was_not_taken(browser, shown):
    with opened(browser, shown.page(), may_say=("net::ERR_",)) as watched:
        page = watched.page
        armed(page)
        showing(page, "steps")
        page.route("**/commands", lambda route: route.abort())
        page.wait_for_timeout(600)
        page.locator("#go").tap()
        assert page.locator("#go-words").inner_text() == "Sending"
        page.locator("#answer").wait_for(timeout=20_000)
        assert "that touch was not taken" in page.locator("#answer").inner_text()
        assert page.locator("#go-words").inner_text() == "Wet: done"


def test_what_cannot_be_taken_is_said_in_the_servers_words(browser, shown):
    benched = shown.benched
    benched.to("hold")
    with opened(browser, shown.page(), may_say=("409",)) as watched:
        page = watched.page
        armed(page)
        showing(page, "steps")

        def meanwhile(route):
            benched.tap("done")  # on another device, a moment earlier
            route.continue_()

        page.route("**/commands", meanwhile)
        page.wait_for_timeout(600)
        page.locator("#go").tap()
        page.locator("#answer").wait_for()
        assert "marked done already by tablet" in page.locator("#answer").inner_text()
        assert benched.view["step"]["key"] == "waist-nearly-home", "done once"
