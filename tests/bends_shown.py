"""A run whose time stands until it is moved, on a real server: every state, to be looked at."""

import threading

from benched import Benched
from bends_served import LAN
from pages import until
from rimwright.journal.opening import open_journal
from rimwright.web.serve import serve


class Shown:
    """A run whose time stands until it is moved, behind a real server."""

    def __init__(self, folder):
        self.journal, _ = open_journal(folder / "journal.sqlite")
        self.benched = Benched(self.journal)
        ready = threading.Event()
        found = []

        def tell(served):
            found.append(served)
            ready.set()

        def answer():
            serve(self.benched.bench, self.journal, port=0, lan=LAN, folder=folder, ready=tell)

        self._thread = threading.Thread(target=answer)
        self._thread.start()
        assert ready.wait(20.0)
        (self.served,) = found
        self.port = self.served.access.port

    def page(self, host="127.0.0.1", run=None):
        return f"http://{host}:{self.port}/live?run={run or self.benched.run}"

    def close(self):
        self.served.stop()
        self._thread.join(10.0)
        self.benched.stop()
        self.journal.close()


def armed(page):
    """The first page's question, and with the touch the sound."""
    page.locator("#cut-out-yes").tap()
    until(page, "document.documentElement.dataset.sound === 'armed'")


def showing(page, name):
    until(page, "(name) => document.body.dataset.view === name", name)
