"""Pages in a real browser, and what every page keeps to: nothing from elsewhere, no complaint of
the browser, controls that a glove hits, no sideways scroll, words that can be read."""

import contextlib
import re
import time
from urllib.parse import urlsplit

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
SIZES = {"phone": (390, 844), "tablet": (1024, 768), "large": (1920, 1080)}
LEAST_TOUCH_PX = 48.0
#: Of text; of text from 24 px, or 18.7 px where it is bold (WCAG 2.2, 1.4.3).
LEAST_CONTRAST, LEAST_OF_LARGE = 4.5, 3.0
#: Figures that are read from two metres.
LEAST_OF_FIGURES = 7.0


@contextlib.contextmanager
def chromium(playwright, *more):
    """Debian's Chromium, without a window, with a profile of its own that is thrown away."""
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *more])
    try:
        yield browser
    finally:
        browser.close()


class Watched:
    """A page under watch: what it asked for, what the browser said of it."""

    def __init__(self, page, may_say=(), here=()):
        self.page, self._here = page, here
        self.asked, self.said, self.loads = [], [], 0
        self._may_say = [re.compile(one) for one in may_say]
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("websocket", lambda socket: self.asked.append(socket.url))
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self.said.append(f"uncaught: {error}"))
        page.on("domcontentloaded", self._count)

    def _hear(self, message):
        if message.type in ("error", "warning"):
            self.said.append(f"{message.type}: {message.text}")

    def _count(self, _page):
        self.loads += 1

    def holds(self):
        """Nothing off this machine was asked for, and the browser had nothing to say.

        Links that a test cut on purpose are named by `may_say`.
        """
        away = [url for url in self.asked if not _is_here(url, self._here)]
        assert not away, f"asked for off this machine: {away}"
        said = [one for one in self.said if not any(form.search(one) for form in self._may_say)]
        assert not said, f"the browser said: {said}"


def _is_here(url, names):
    parts = urlsplit(url)
    host = parts.hostname or ""
    return parts.scheme in ("data", "blob", "about") or host.startswith("127.") or host in names


@contextlib.contextmanager
def opened(
    browser, address="", *, size="tablet", scheme="dark", touch=True, may_say=(), here=(), **options
):
    """A page in a context of its own; its watch is read at the end."""
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, has_touch=touch, **options
    )
    context.set_default_timeout(15_000)
    try:
        watched = Watched(context.new_page(), may_say, here)
        if address:
            watched.page.goto(address)
        yield watched
        watched.holds()
    finally:
        context.close()


def until(page, expression, argument=None, seconds=15.0):
    """Wait until a page says so. What it asks is put in by the debugger: the page's own policy
    lets nothing be evaluated."""
    deadline = time.monotonic() + seconds
    while not page.evaluate(expression, argument):
        assert time.monotonic() < deadline, f"not so after {seconds:g} s: {expression}"
        page.wait_for_timeout(25)


def keeps_to_the_rules(page, *, sizes=tuple(SIZES), schemes=("dark", "light"), where=""):
    """Touch, width and contrast of a page as it stands, in every size, light and dark."""
    before = page.viewport_size
    for size in sizes:
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
        _touchable(page, f"{where}, {size}")
        over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert over <= 0, f"{where}, {size}: {over} px of sideways scroll"
        for scheme in schemes:
            page.emulate_media(color_scheme=scheme)
            _readable(page, f"{where}, {size}, {scheme}")
    page.set_viewport_size(before)


def _touchable(page, where):
    small = page.evaluate(_SMALL, LEAST_TOUCH_PX)
    assert not small, f"{where}: controls under {LEAST_TOUCH_PX:.0f} px: {small}"


def _readable(page, where):
    faint = [
        (words, round(ratio, 2))
        for words, ratio, large, figure in page.evaluate(_CONTRASTS)
        if ratio < (LEAST_OF_FIGURES if figure else LEAST_OF_LARGE if large else LEAST_CONTRAST)
    ]
    assert not faint, f"{where}: words too faint: {faint}"


def has_names(page, where=""):
    """One heading of the first rank, a language, and a name on every control."""
    assert page.evaluate("document.documentElement.lang"), where
    assert page.locator("h1").count() == 1, where
    nameless = page.evaluate(_NAMELESS)
    assert not nameless, f"{where}: controls without a name: {nameless}"


_CONTROLS = "button, a[href], input, select, textarea, summary, [role=button]"
#: A file's input lies over its label, which is what is seen and touched.
_SMALL = (
    """(least) => [...document.querySelectorAll('CONTROLS')].filter((one) => {
  const box = one.getBoundingClientRect();
  const seen = one.checkVisibility({ visibilityProperty: true });
  return seen && (box.width < least - 0.5 || box.height < least - 0.5);
}).map((one) => `${one.id || one.textContent.trim()}: ${one.offsetWidth} × ${one.offsetHeight}`)
"""
).replace("CONTROLS", _CONTROLS)
_NAMELESS = (
    """() => [...document.querySelectorAll('CONTROLS')].filter((one) =>
  one.checkVisibility() && !one.textContent.trim() && !one.getAttribute('aria-label')
  && ![...(one.labels ?? [])].some((label) => label.textContent.trim()))
  .map((one) => one.outerHTML.slice(0, 80))
"""
).replace("CONTROLS", _CONTROLS)
#: Every piece of text that is seen: its ratio to what lies behind it, whether it is large, and
#: whether it is a figure to be read from afar.
_CONTRASTS = """() => {
  const parse = (words) => {
    const [r, g, b, a = 1] = words.match(/[\\d.]+/g).map(Number);
    return { r, g, b, a };
  };
  const part = (c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4);
  const light = ({ r, g, b }) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  const behind = (node) => {
    for (let one = node; one; one = one.parentElement) {
      const back = parse(getComputedStyle(one).backgroundColor);
      if (back.a === 1) return back;
    }
    return { r: 255, g: 255, b: 255 };
  };
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode.parentElement;
    const words = walker.currentNode.textContent.trim();
    if (!words || !node.checkVisibility({ opacityProperty: true })) continue;
    const box = node.getBoundingClientRect();
    if (box.width < 2 || ['SCRIPT', 'NOSCRIPT'].includes(node.tagName)) continue;
    const style = getComputedStyle(node);
    const ink = parse(node.namespaceURI.endsWith('svg') ? style.fill : style.color);
    const [a, b] = [light(ink), light(behind(node))].sort((x, y) => y - x);
    const size = parseFloat(style.fontSize);
    const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
    found.push([words.slice(0, 40), (a + 0.05) / (b + 0.05), large, size >= 96]);
  }
  return found;
}"""
