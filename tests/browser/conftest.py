"""One browser for all pages of a worker; each test has a context of its own."""

import contextlib

import pytest

from bends_shown import Shown
from pages import chromium


@pytest.fixture(scope="session")
def browser():
    with chromium() as started:
        yield started


@pytest.fixture
def shown(tmp_path):
    with contextlib.closing(Shown(tmp_path)) as there:
        yield there
