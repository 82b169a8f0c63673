"""Tooling of the three bodies, made once a file."""

import pytest

from sawn import outline_of, tooling, without_cutaway


@pytest.fixture(scope="module")
def wren():
    return tooling(outline_of("wren"))


@pytest.fixture(scope="module")
def plover():
    return tooling(outline_of("plover"))


@pytest.fixture(scope="module")
def curlew():
    return tooling(without_cutaway("wren"))
