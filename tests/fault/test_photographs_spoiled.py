"""Spoiled photographs sent to a server that has a run on: each refused or kept, none in the way."""

import io
import threading
import time

import httpx
import numpy as np
import pytest
from PIL import Image

from commanded import server  # noqa: F401
from counts import SOAK

_SPOILED = 2000 if SOAK else 150
_ANSWERS_S, _TAKES_S = 0.1, 5.0


def _whole():
    """A photograph of each kind that is taken."""
    rows, columns = np.mgrid[0:480, 0:640]
    picture = np.stack([rows % 256, columns % 256, (rows * columns) % 256], -1).astype(np.uint8)
    made = {}
    for kind in ("JPEG", "PNG"):
        with io.BytesIO() as file:
            Image.fromarray(picture).save(file, kind)
            made[kind] = file.getvalue()
    return made


def _spoiled(random, whole):
    """Bytes changed, cut out, doubled or cut off."""
    data = bytearray(whole)
    for _ in range(random.integers(1, 8)):
        place = int(random.integers(0, len(data)))
        match int(random.integers(0, 4)):
            case 0:
                data[place] = int(random.integers(0, 256))
            case 1:
                del data[place : place + int(random.integers(1, 400))]
            case 2:
                data[place:place] = data[place : place + int(random.integers(1, 400))]
            case _:
                # The head says how large it is: most harm is done there.
                data[place % min(200, len(data))] = int(random.integers(0, 256))
        if not data:
            return b"\x00"
    return bytes(data if random.random() < 0.8 else data[: int(random.integers(1, len(data) + 1))])


@pytest.mark.alone
def test_spoiled_photographs_hold_nobody_up(server):  # noqa: F811
    run = server.begin()
    waits, ending = [], threading.Event()
    there = f"http://127.0.0.1:{server.link.port}"
    token = {"Authorization": f"Bearer {server.link.token}"}

    def ask():
        with httpx.Client(transport=httpx.HTTPTransport(verify=False), trust_env=False) as client:
            while not ending.wait(0.02):
                began = time.monotonic()
                assert client.get(f"{there}/api/state", headers=token).status_code == 200
                waits.append(time.monotonic() - began)

    asking = threading.Thread(target=ask)
    asking.start()
    random, whole = np.random.default_rng(3), _whole()
    answers, longest_s = {}, 0.0
    try:
        with httpx.Client(
            transport=httpx.HTTPTransport(verify=False), trust_env=False, timeout=30.0
        ) as client:
            for number in range(_SPOILED):
                kind = ("JPEG", "PNG")[number % 2]
                began = time.monotonic()
                answer = client.post(
                    f"{there}/api/records/{run}/photographs",
                    content=_spoiled(random, whole[kind]),
                    headers={**token, "Content-Type": f"image/{kind.lower()}"},
                )
                longest_s = max(longest_s, time.monotonic() - began)
                answers[answer.status_code] = answers.get(answer.status_code, 0) + 1
                if answer.status_code >= 300:
                    assert set(answer.json()) == {"found", "expected", "next"}
    finally:
        ending.set()
        asking.join()
    view = server.get(f"/api/runs/{run}")
    server.end()
    p99 = float(np.quantile(waits, 0.99))
    print(f"{_SPOILED} spoiled photographs: {answers}; the longest took {longest_s:.2f} s, limit "
          f"{_TAKES_S:.0f} s; meanwhile the server answered in {1e3 * p99:.0f} ms (p99), limit "
          f"{1e3 * _ANSWERS_S:.0f} ms")  # fmt: skip
    assert set(answers) <= {200, 201, 400, 409, 413, 415, 422}
    assert sum(answers[code] for code in answers if code >= 400) > _SPOILED // 4
    assert longest_s < _TAKES_S
    assert p99 < _ANSWERS_S
    assert view["recording"]["ok"]
