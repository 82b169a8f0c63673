"""Two phones and a laptop whose links break, freeze and come back while the server is started
again: nothing loads anew, no sample is missing or double, silence is seen, sound stays armed."""

import contextlib
import random
import time

import pytest

from bends_served import Cable, served_bend
from counts import SOAK
from pages import opened, until

STALE_LIMIT_S = 2.5
#: What a browser says of a link that was cut on purpose.
CUT = (r"WebSocket connection to", r"Failed to load resource: net::ERR_")
DEVICES = (("first phone", "127.0.0.11", "phone"), ("second phone", "127.0.0.12", "phone"),
           ("laptop", "127.0.0.13", "tablet"))  # fmt: skip
#: At, which device (None: the server is started again), how, and for how long. [s]
SHORT = (
    (1.0, "first phone", "cut", 3.0),
    (1.5, "laptop", "cut", 20.0),
    (5.0, "second phone", "freeze", 5.0),
    (22.5, None, "restart", 0.0),
    (25.0, "first phone", "freeze", 1.0),
    (25.5, "second phone", "cut", 1.0),
)
END_S = 28.0

_NOTE = """() => {
  const root = document.documentElement;
  window.noted = [];
  const note = () => {
    const { link, sound } = root.dataset;
    const last = window.noted.at(-1);
    if (last && last.link === link && last.sound === sound) return;
    const said = document.getElementById('celsius').textContent;
    window.noted.push({ at: Date.now() / 1000, link, sound, said });
  };
  new MutationObserver(() => requestAnimationFrame(note)).observe(root, { attributes: true });
  note();
}"""


def long_plan(seed=7):
    """Half an hour: each device drops for 1 to 60 s, again and again; two restarts."""
    dice = random.Random(seed)
    plan = [(600.0, None, "restart", 0.0), (1200.0, None, "restart", 0.0)]
    for name, _, _ in DEVICES:
        at_s = 5.0
        while at_s < 1700.0:
            length_s = dice.choice((1.0, 2.0, 3.0, dice.uniform(4.0, 60.0)))
            plan.append((at_s, name, dice.choice(("cut", "freeze")), length_s))
            at_s += length_s + dice.uniform(5.0, 40.0)
    return tuple(sorted(plan, key=lambda one: one[0])), 1800.0


class Device:
    """One page on its own cable."""

    def __init__(self, name, cable, watched):
        self.name, self.cable, self.watched, self.page = name, cable, watched, watched.page
        self.breaks = []  # wall time of break and mend
        self.mend_at = None

    def data(self):
        return self.page.evaluate("({...document.documentElement.dataset})")

    def stale_s(self):
        """From each break until the page says that it hears nothing."""
        noted = self.page.evaluate("window.noted")
        delays = []
        for broken, mended in self.breaks:
            if mended - broken < STALE_LIMIT_S:
                continue
            first = next(
                (one for one in noted if one["at"] > broken and one["link"] == "none"), None
            )
            assert first is not None, f"{self.name}: {mended - broken:.1f} s of silence unseen"
            assert "NO DATA" in first["said"], first
            delays.append(first["at"] - broken)
        return delays


@pytest.mark.alone
def test_two_phones_and_a_laptop_through_drops_and_a_restart(browser, tmp_path):
    plan, end_s = long_plan() if SOAK else (SHORT, END_S)
    names = tuple(address for _, address, _ in DEVICES)
    with served_bend(tmp_path, names=names) as bend, contextlib.ExitStack() as stack:
        devices = [_joined(browser, stack, bend, *one) for one in DEVICES]
        bend.to("warm-up")
        for device in devices:
            device.page.evaluate(_NOTE)
        _suffer(bend, devices, plan, end_s)
        for device in devices:
            until(device.page, "document.documentElement.dataset.link === 'live'")
        devices[0].page.wait_for_timeout(1500)
        _told(bend, devices)


def _joined(browser, stack, bend, name, address, size):
    """A paired device with its sound armed."""
    cable = stack.enter_context(contextlib.closing(Cable(address, bend.port)))
    url = f"http://{address}:{bend.port}/live?run={bend.run}"
    watched = stack.enter_context(opened(browser, url, size=size, may_say=CUT))
    page = watched.page
    page.locator("#cut-out-yes").tap()
    until(page, "document.documentElement.dataset.sound === 'armed'")
    page.get_by_label("Code").fill(bend.served.pairing()[0])
    page.get_by_label("Name of this device").fill(name)
    page.get_by_role("button", name="Pair").tap()
    page.locator("#bar").wait_for()
    return Device(name, cable, watched)


def _suffer(bend, devices, plan, end_s):
    """Break and mend links as planned; a note is touched on a phone whose link is cut."""
    by_name = {one.name: one for one in devices}
    begun_s, waiting, noted = time.monotonic(), list(plan), False
    while (now_s := time.monotonic() - begun_s) < end_s:
        while waiting and waiting[0][0] <= now_s:
            _, name, how, length_s = waiting.pop(0)
            if name is None:
                bend.restart()
                continue
            device = by_name[name]
            getattr(device.cable, how)()
            device.breaks.append([time.time(), None])
            device.mend_at = time.monotonic() + length_s
            if how == "cut" and name == "first phone" and not noted:
                device.page.get_by_role("button", name="Note").tap()
                device.page.get_by_role("button", name="Creaked").tap()
                noted = True
        for device in devices:
            if device.mend_at is not None and time.monotonic() >= device.mend_at:
                device.cable.mend()
                device.breaks[-1][1] = time.time()
                device.mend_at = None
        devices[0].page.wait_for_timeout(50)
    for device in devices:
        device.cable.mend()
        if device.mend_at is not None:
            device.breaks[-1][1] = time.time()


def _told(bend, devices):
    stale = [delay for device in devices for delay in device.stale_s()]
    print(f"silence seen: measured {max(stale):.2f} s at most of {len(stale)} breaks, limit "
          f"{STALE_LIMIT_S:.1f} s")  # fmt: skip
    assert max(stale) <= STALE_LIMIT_S
    newest = bend.session.memory.last
    for device in devices:
        data = device.data()
        first, last = int(data["firstSample"]), int(data["lastSample"])
        print(f"{device.name}: {data['samples']} samples, {first} to {last} of {newest}; missing "
              f"{data['missing']}, double {data['double']}, limit 0; links opened "
              f"{data['hellos']}; loaded {device.watched.loads}, limit 1")  # fmt: skip
        assert device.watched.loads == 1
        assert (data["missing"], data["double"]) == ("0", "0")
        assert int(data["samples"]) == last - first + 1
        assert last >= newest - 20, "it has caught up"
        sounds = {one["sound"] for one in device.page.evaluate("window.noted")}
        assert sounds == {"armed"}, "its sound was armed all the while"
    notes = [one for one in bend.session.events if one.kind == "note"]
    assert [one.data["words"] for one in notes] == ["Creaked"], "sent again, taken once"
