"""One browser for all pages of a worker; each test has a context of its own."""

import contextlib

import pytest
from playwright.sync_api import sync_playwright

from bends_shown import Shown
from pages import chromium


@pytest.fixture(scope="session")
def playwright():
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(playwright):
    with chromium(playwright) as started:
        yield started


@pytest.fixture
def shown(tmp_path):
    with contextlib.closing(Shown(tmp_path)) as there:
        yield there
