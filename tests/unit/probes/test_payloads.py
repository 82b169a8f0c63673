"""From a payload of the network to a temperature or a fault."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwright.equipment.probe_kinds import HttpSettings
from rimwright.live.probes.payload import hear_payload
from rimwright.live.probes.words import Heard
from rimwright.live.readings import Fault

OWN = HttpSettings(token_sha256="")
DEEP = HttpSettings(token_sha256="", value="probes.1.deg", unit="degF", says_open="^E1$")

IN_OUR_FORM = {
    108.6: [b"108.6", b" 108.6\r\n", b"108.6\x00", b'"108.6"', b'{"celsius": 108.6}',
            b'{"celsius": "108.6", "battery": 3.1}', b'{"celsius": 108.6, "fault": null}',
            b'{"celsius": 108.6, "fault": ""}', b'{"celsius": 108.6, "fault": false}'],
    100.0: [b'{"fahrenheit": 212}', b"212 F", b'{"celsius": 1e2}'],
    Fault.OPEN: [b"nan", b'{"celsius": null}', b'{"celsius": NaN}', b'{"fault": true}',
                 b'{"celsius": 20, "fault": 1}', b'{"fault": "E7"}', b'{"fault": "21.5"}'],
    Fault.SHORT: [b"short", b'{"celsius": 20, "fault": "short"}'],
    Fault.OUT_OF_RANGE: [b'{"celsius": Infinity}', b'{"celsius": 1' + b"0" * 400 + b"}",
                         b"65535", b'{"celsius": -300}'],
    Fault.GARBLED: [b"", b"\xff\x00", b"108.6,21.5", b"[108.6]", b'{"celsius": 2', b"[" * 8000,
                    b'{"celsius": 1' + b"0" * 5000 + b"}", b'{"celsius": true}',
                    b'{"celsius": [21]}', b'{"celsius": 21, "fahrenheit": 70}',
                    b'{"kelvin": 300}', b'{"a":1}' * 2000],
}  # fmt: skip
DEEP_DOWN = {
    100.0: [b'{"probes": [{}, {"deg": 212}]}', b'{"probes": {"1": {"deg": "212"}}}'],
    Fault.OPEN: [b'{"probes": [{}, {"deg": "E1"}]}', b'{"probes": [{}, {"deg": null}]}'],
    Fault.GARBLED: [b'{"probes": [{}]}', b"212", b'{"probes": [{}, {"deg": {}}]}', b"{}",
                    b'{"probes": "text"}', b'{"celsius": 21.5}'],
}  # fmt: skip
CASES = [
    (settings, body, what)
    for settings, table in ((OWN, IN_OUR_FORM), (DEEP, DEEP_DOWN))
    for what, bodies in table.items()
    for body in bodies
]


@pytest.mark.parametrize(
    ("settings", "body", "what"),
    CASES,
    ids=[f"{n}-{body[:24]!r}" for n, (_, body, _) in enumerate(CASES)],
)
def test_payloads(settings: HttpSettings, body: bytes, what: float | Fault):
    said = hear_payload(body, settings)
    assert (said.fault or said.celsius) == what


@given(st.binary(max_size=200))
def test_any_payload_is_one_or_the_other(body: bytes):
    for settings in (OWN, DEEP):
        said = hear_payload(body, settings)
        assert isinstance(said, Heard)
        assert (said.celsius is None) == (said.fault is not None)
