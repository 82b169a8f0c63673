"""One browser for the tests of a file; each test has a context of its own.

Not longer: while it is open its library keeps an event loop running in this thread, and whoever
comes next in this worker could not run one of their own.
"""

import contextlib

import pytest
from playwright.sync_api import sync_playwright

from bends_shown import Shown
from pages import chromium


@pytest.fixture(scope="module")
def playwright():
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(playwright):
    with chromium(playwright) as started:
        yield started


@pytest.fixture
def shown(tmp_path):
    with contextlib.closing(Shown(tmp_path)) as there:
        yield there
