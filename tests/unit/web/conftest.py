"""One server for the tests of each file."""

import pytest

from web_bench import SmallBench
from web_served import serving


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    with SmallBench() as bench, serving(tmp_path_factory.mktemp("shop"), bench) as served:
        yield served
