"""Probes as they are written: on the command line, in a table, in the journal."""

import json
import string
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwright.equipment.probe_keys import new_token, token_sha256
from rimwright.equipment.probe_kinds import KINDS, ModbusSettings, SerialSettings
from rimwright.equipment.probe_wires import refuse_clashes
from rimwright.equipment.probes import ProbeSettings, parse_probe, plain_probe, probe_from
from rimwright.errors import ProbeError, RimwrightError

TOKEN = "a token of Tern Lane"
GOOD = [
    "waist=serial:/dev/ttyUSB0",
    "serial:COM3",
    'waist=serial:/dev/ttyUSB0,baud=9600,column=2,unit=degF,place="under the blanket, waist"',
    r"waist=serial:/dev/serial/by-id/usb-x:1,pattern='T=([\d.]{1,6})',says_open=E1,says_short=E2",
    "waist=serial:/dev/ttyUSB0,column=1,cold_column=2,unit=mV,separator=semicolon,decimal=comma",
    r"waist=serial:/dev/ttyUSB0,unit=mV,pattern='(?P<value>\S+) mV at (?P<cold>\S+)'",
    "waist=serial:/dev/ttyUSB0,ends=pause",
    "waist=modbus:/dev/ttyUSB1,device=3,register=7,scale=0.1,baud=19200,parity=even,stop_bits=2",
    "upper bout=modbus:192.168.1.20:1502,table=holding,signed=no,open_values=65535/1,every=200ms",
    "waist=modbus:plc.shop,open_values=none,short_values=-1",
    "waist=modbus:[fe80::1]:502",
    "waist=mqtt:broker.shop:1884,topic=shop/waist,value=probes.0.deg,unit=F",
    "waist=mqtt:broker,topic=t,user_env=A_USER,password_env=A_PASSWORD",
    f"waist=http,token={TOKEN}",
    f"waist=http,token_sha256={token_sha256(TOKEN)},value=deg",
    "waist=replay:runs/first.csv,speed=20,probe=1",
    "waist=replay:12",
    "waist=model",
]


@pytest.mark.parametrize("text", GOOD)
def test_there_and_back_through_the_journal(text: str):
    probe = parse_probe(text)
    table = json.loads(json.dumps(plain_probe(probe)))
    assert probe_from(table) == probe
    assert probe.kind in KINDS
    assert TOKEN not in json.dumps(table) + repr(probe)


def test_what_is_read():
    waist = parse_probe(GOOD[2])
    assert (waist.name, waist.place) == ("waist", "under the blanket, waist")
    assert isinstance(waist.how, SerialSettings)
    assert (waist.how.port, waist.how.column, waist.how.unit) == ("/dev/ttyUSB0", 2, "degF")
    bout = parse_probe(GOOD[8])
    assert (bout.name, bout.place) == ("upper bout", "upper bout")
    assert isinstance(bout.how, ModbusSettings)
    assert not bout.how.over_serial
    assert (bout.how.open_values, bout.how.every_s, bout.how.signed) == ((65535, 1), 0.2, False)
    assert parse_probe("serial:COM3").name == "probe"
    assert parse_probe("waist=replay:12").simulated
    assert not waist.simulated


REFUSED = [
    ("", "no kind", "serial, modbus, mqtt, http, replay, model"),
    ("waist=", "no kind", "serial"),
    ("waist=seriel:/dev/x", "'seriel'", "did you mean serial"),
    ("waist=serial", "a serial probe without port", "add port"),
    ("waist=http:somewhere,token=x", "'waist=http:somewhere'", "a kind that takes an address"),
    ("waist=serial:/dev/x,boud=9600", "unknown key 'boud'", "did you mean baud"),
    ("waist=serial:/dev/x,register=4", "register on a serial probe", "take it out"),
    ("waist=serial:/dev/x,baud=fast", "'fast'", "a whole number from 50 to 921600"),
    ("waist=serial:/dev/x,baud", "'baud'", "key=value"),
    ("waist=serial:/dev/x,port=/dev/y", "'port' twice", "each key once"),
    ('waist=serial:/dev/x,place="the waist', 'a " that is not closed', "in pairs"),
    ("waist=serial:/dev/x,pattern=T=(", "'T=('", "a regular expression"),
    ("waist=serial:/dev/x,pattern=(?P<t>.)", "'(?P<t>.)'", "rename the group t"),
    ("waist=serial:/dev/x,column=1,pattern=x", "column and pattern", "one of them"),
    ("waist=serial:/dev/x,unit=mV", "without the board's own temperature", "cold_column"),
    ("waist=serial:/dev/x,column=1,cold_column=2", "without millivolts", "unit mV"),
    ("waist=serial:/dev/x,cold_column=2,unit=mV", "cold_column without column", "both"),
    ("waist=serial:/dev/x,column=1,separator=comma,decimal=comma", "commas between", "one of them"),
    ("waist=serial:/dev/x,unit=K", "'K'", "degC or degF or mV"),
    ("waist=modbus:plc,unit=mV", "mV", "degC or degF"),
    ("waist=modbus:plc:99999", "'plc:99999'", "host or host:port"),
    ("waist=modbus:plc,every=1ms", "'1ms'", "0.05 s to 10 s"),
    ("waist=modbus:plc,every=2", "'2'", "a time such as"),
    ("waist=modbus:plc,open_values=1/x", "'1/x'", "open_values=65535/32767"),
    ("waist=modbus:plc,signed=perhaps", "'perhaps'", "yes or no"),
    ("waist=modbus:plc,scale=nan", "'nan'", "a number from"),
    ("waist=mqtt:broker", "an mqtt probe without topic", "add topic"),
    ("waist=mqtt:broker,topic=shop/#", "'shop/#'", "without + or #"),
    ("waist=mqtt:broker,topic=t,password_env=P", "password_env without user_env", "both"),
    ("waist=mqtt:broker,topic=t,user_env=my secret!", "'my secret!'", "never the secret itself"),
    ("waist=http", "an http probe without a token", "16 characters or more"),
    ("waist=http,token=secret", "too short or too long", "16 to 200 characters"),
    ("waist=http,token_sha256=secret", "no SHA-256 hash", "64 hexadecimal digits"),
    ("a/b=model", "'a/b'", "a name of letters"),
    ("waist=replay:x.csv,speed=0", "'0'", "0.01 to 10000"),
    ("waist=model\n", "", "one line of text"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "found", "rest"), REFUSED, ids=[text for text, _, _ in REFUSED])
def test_refused_in_one_line(text: str, found: str, rest: str):
    with pytest.raises(ProbeError) as refusal:
        parse_probe(text)
    line = str(refusal.value)
    assert found in refusal.value.found
    assert rest in line
    assert "\n" not in line
    assert "secret'" not in line
    assert refusal.value.where.startswith("the probe") or "probe" in refusal.value.where


def taken_or_refused(make: Callable[[], ProbeSettings]) -> ProbeSettings | None:
    try:
        return make()
    except RimwrightError as error:
        line = str(error)
    assert line.count("\n") == 0
    assert "found" in line
    return None


@given(st.text(alphabet=string.printable, max_size=80))
def test_any_text_is_a_probe_or_one_line(text: str):
    for whole in (text, f"waist=serial:/dev/x,{text}", f"waist=modbus:{text}"):
        probe = taken_or_refused(lambda whole=whole: parse_probe(whole))
        assert probe is None or probe_from(plain_probe(probe)) == probe


@given(
    st.sampled_from(["port", "column", "baud", "unit", "signed", "open_values", "every", "scale",
                     "pattern", "token_sha256", "user_env", "place", "name", "kind"]),
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=300),
              st.lists(st.integers(), max_size=20), st.dictionaries(st.text(), st.text())),
    st.sampled_from(list(KINDS)),
)  # fmt: skip
def test_any_value_in_a_table_is_taken_or_refused(key, value, kind):
    table = {"name": "waist", "kind": kind, KINDS[kind][1]: "x", "topic": "t", key: value}
    table.pop("", None)
    taken_or_refused(lambda: probe_from(table))


def test_probes_must_go_together():
    waist = parse_probe("waist=serial:/dev/x,baud=9600,column=1")
    refuse_clashes([waist, parse_probe("horn=serial:/dev/x,baud=9600,column=2")])
    refuse_clashes([waist, parse_probe("horn=serial:/dev/y,baud=19200")])
    refuse_clashes([parse_probe("a=modbus:plc,baud=9600"), parse_probe("b=modbus:plc,baud=1200")])
    for other, words in [
        ("WAIST=model", "two probes named 'WAIST'"),
        ("horn=serial:/dev/x,baud=19200", "baud of waist and horn"),
        ("horn=modbus:/dev/x", "waist by serial and horn by modbus"),
    ]:
        with pytest.raises(ProbeError, match=words):
            refuse_clashes([waist, parse_probe(other)])


def test_fresh_tokens_will_do():
    tokens = {new_token() for _ in range(100)}
    assert len(tokens) == 100
    for token in tokens:
        assert parse_probe(f"waist=http,token={token}").how.token_sha256 == token_sha256(token)
