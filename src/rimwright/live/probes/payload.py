"""What a payload from the network says: a bare figure, or a place in some JSON."""

from __future__ import annotations

import json
from typing import Any

from rimwright.equipment.probe_kinds import HttpSettings, MqttSettings
from rimwright.live.probes.words import Heard, fault_in, heard, to_celsius, within
from rimwright.live.readings import Fault

#: A reading is some ten bytes, a sensor's whole report some hundreds.
LARGEST_PAYLOAD = 8_192
#: Our own form for those who write firmware: one of these keys, without any setting.
OWN_KEYS = {"celsius": "degC", "fahrenheit": "degF", "fault": ""}


def hear_payload(body: bytes, settings: MqttSettings | HttpSettings) -> Heard:
    """The temperature or fault that a payload says.

    Examples
    --------
    >>> own, nested = HttpSettings(token_sha256=""), HttpSettings(token_sha256="", value="t.0.deg")
    >>> hear_payload(b'{"celsius": 108.6}', own).celsius, hear_payload(b"108.6", own).celsius
    (108.6, 108.6)
    >>> hear_payload(b'{"t": [{"deg": 108.6}]}', nested).celsius
    108.6
    >>> hear_payload(b'{"celsius": null}', own).fault
    <Fault.OPEN: 'open'>
    """
    if len(body) > LARGEST_PAYLOAD:
        return Heard(None, Fault.GARBLED, f"{len(body)} bytes")
    text = body.decode("utf-8", "replace").strip().strip("\x00")
    if not settings.value and not text.startswith(("{", "[", '"')):
        return _text(text, settings.unit, settings)
    try:
        whole = json.loads(text)
        if not settings.value and isinstance(whole, dict):
            return _own_form(whole, text, settings)
        value = at_path(whole, settings.value)
    except (ValueError, RecursionError, LookupError):
        return Heard(None, Fault.GARBLED, text)
    return _value(value, settings.unit, text, settings)


def at_path(value: Any, path: str) -> Any:
    """What stands in JSON at names and numbers with dots between; the whole for "".

    Raises
    ------
    LookupError
        If there is nothing.

    Examples
    --------
    >>> at_path({"probes": [{"deg": 21.5}]}, "probes.0.deg")
    21.5
    """
    for step in path.split(".") if path else ():
        if isinstance(value, dict) and step in value:
            value = value[step]
        elif isinstance(value, list) and step.isdecimal() and int(step) < len(value):
            value = value[int(step)]
        else:
            raise LookupError(step)
    return value


def _own_form(whole: dict[str, Any], text: str, settings: MqttSettings | HttpSettings) -> Heard:
    known = [key for key in OWN_KEYS if key in whole]
    if "fault" in known and whole["fault"] in (None, False, ""):
        known.remove("fault")
    if "fault" in known:
        # A fault never becomes a number, not even the board's own number for it.
        words = str(whole["fault"])
        fault = fault_in(words, settings.says_open, settings.says_short)
        return Heard(None, fault or Fault.OPEN, text)
    if len(known) != 1:
        return Heard(None, Fault.GARBLED, text)
    return _value(whole[known[0]], OWN_KEYS[known[0]], text, settings)


def _value(value: Any, unit: str, text: str, settings: MqttSettings | HttpSettings) -> Heard:
    if value is None:  # what libraries write for a figure that is none
        return Heard(None, Fault.OPEN, text)
    if isinstance(value, str):
        said = _text(value, unit, settings)
        return Heard(said.celsius, said.fault, text)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return Heard(None, Fault.GARBLED, text)
    try:
        return within(to_celsius(float(value), unit), text)
    except OverflowError:
        return Heard(None, Fault.OUT_OF_RANGE, text)


def _text(text: str, unit: str, settings: MqttSettings | HttpSettings) -> Heard:
    return heard(
        text, unit, decimal=settings.decimal, says_open=settings.says_open,
        says_short=settings.says_short,
    )  # fmt: skip
