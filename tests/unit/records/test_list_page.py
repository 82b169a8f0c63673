"""The list of runs as a page: without script, narrowed by its links, any number of runs."""

from html.parser import HTMLParser

import pytest

from journal_rows import new_run
from records_kept import BEGUN
from rimwright.journal.keeping import Outcome, record_outcome
from rimwright.journal.runs import RunFilter, begin_run, run_lines
from rimwright.sheets.record_html import by_itself, served
from rimwright.sheets.record_list_page import CHOICES, records_page
from web_bench import SmallBench
from web_served import serving


class Links(HTMLParser):
    """Every link with its words, and how many of each element there are."""

    def __init__(self, text):
        super().__init__()
        self.links, self.count, self._here = [], {}, None
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.count[tag] = self.count.get(tag, 0) + 1
        if tag == "a":
            self._here = dict(attrs)
            self.links.append([self._here, ""])

    def handle_endtag(self, tag):
        self._here = None if tag == "a" else self._here

    def handle_data(self, data):
        if self._here is not None:
            self.links[-1][1] += data


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A server with 30 runs: every third practice, every fifth sound."""
    with SmallBench() as bench, serving(tmp_path_factory.mktemp("shop"), bench) as there:
        for number in range(1, 31):
            run = begin_run(
                there.journal,
                new_run(
                    model=f"<i>Wren</i> {number}", simulated=number % 3 == 0,
                    begun_wall_s=BEGUN + 3600.0 * number,
                ),
            )  # fmt: skip
            if number % 5 == 0:
                record_outcome(there.journal, run, Outcome(kind="sound", wall_s=BEGUN))
        yield there


@pytest.fixture
def page(shop):
    with shop.browser() as client:
        yield client


def runs_on(page, address):
    got = page.get(address)
    assert got.status_code == 200, got.text
    found = Links(got.text)
    return [int(text) for link, text in found.links if link["href"].startswith("/records/")]


def test_every_run_has_its_row(page):
    text = page.get("/records").text
    assert "<script" not in text
    assert "&lt;i&gt;Wren&lt;/i&gt; 7" in text
    found = Links(text)
    assert (found.count["h1"], found.count["table"], found.count["tr"]) == (1, 1, 31)
    assert runs_on(page, "/records") == list(range(30, 0, -1))


def test_its_links_narrow_it(page, shop):
    found = Links(page.get("/records").text)
    addresses = {text: link["href"] for link, text in found.links}
    for words, query in CHOICES:
        wanted = {"false": False, "true": True}
        filters = RunFilter(**{key: wanted.get(value, value) for key, value in query.items()})
        expected = [line.id for line in run_lines(shop.journal, filters)]
        assert runs_on(page, addresses[words].replace("&amp;", "&")) == expected, words


def test_the_link_one_is_at_says_so(page):
    for address, words in (("/records", "All"), ("/records?simulated=true", "Practice")):
        found = Links(page.get(address).text)
        here = [text for link, text in found.links if link.get("aria-current") == "page"]
        assert here == [words]


def test_older_runs_are_a_link_away(page):
    first = page.get("/records", params={"limit": 12}).text
    (older,) = [link["href"] for link, text in Links(first).links if text == "Older runs"]
    numbers = []
    address = "/records?limit=12"
    while True:
        got = page.get(address).text
        numbers += runs_on(page, address)
        further = [link["href"] for link, text in Links(got).links if text == "Older runs"]
        if not further:
            break
        address = further[0]
    assert numbers == list(range(30, 0, -1)), "none twice, none left out"
    assert "until=" in older


def test_nothing_to_show(page):
    assert "No run is like that." in page.get("/records", params={"model": "Curlew"}).text
    assert "No run is kept yet." in records_page((), served("1"), {}, more=False)


def test_what_is_no_filter_is_refused(page):
    for query in ("state=over", "limit=0", "colour=red", "since=nan"):
        assert page.get(f"/records?{query}").status_code == 422


def test_a_style_cannot_end_its_element():
    assert "</style><script>" not in by_itself("x {} </style><script>").head
