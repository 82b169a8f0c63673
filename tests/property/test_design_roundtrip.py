"""Rewriting keeps every comment and the order of all keys; line numbers are the true ones."""

import re
import tomllib
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.errors import DesignError, UnitError
from rimwright.instrument.design_files.lines import line_numbers
from rimwright.instrument.design_files.load import design_from_text, export_schema
from rimwright.instrument.design_files.quantity import Quantity, RefusedError
from rimwright.instrument.design_files.toml_text import read_tables
from rimwright.instrument.design_files.write import changed_text
from rimwright.units import parse

TERN_LANE = Path(__file__).parents[2] / "examples" / "tern-lane"
PATH = TERN_LANE / "wren.rim.toml"
WREN = PATH.read_text(encoding="utf-8")

millimetres = st.integers(60, 140).map(lambda n: f"{n} mm")
inches = st.integers(3, 5).flatmap(lambda n: st.sampled_from([f"{n} in", f"{n} 3/8 in"]))
CHANGES = st.fixed_dictionaries(
    {},
    optional={
        "plates.depth_tail": millimetres | inches,
        "plates.depth_neck": millimetres | inches,
        "plates.back.radius": st.integers(8, 40).map(lambda n: f"{n} ft"),
        "instrument.name": st.text(
            st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=60
        ),
        "instrument.player": st.sampled_from(["left", "right"]),
        "ends.bass_ends": st.sampled_from(["centreline", "flank", "first touch"]),
        "margins.strain": st.integers(10, 100).map(lambda n: f"{n} %"),
        "purflings.1.count": st.integers(1, 9).map(str),
        "sides.rotate_on_board": st.sampled_from(["true", "false"]),
        "sides.finished_thickness": st.just(""),
        "linings.kind": st.sampled_from(["kerfed", "solid", "laminated"]),
    },
)


def comments(text: str) -> list[str]:
    return re.findall(r"#.*", text)


def keys(text: str) -> list[str]:
    return re.findall(r"^\s*(\[+[^\]]+\]+|\w+(?= =))", text, flags=re.MULTILINE)


@settings(max_examples=times(60), deadline=None)
@given(CHANGES)
def test_comments_and_order_survive(changes):
    text = changed_text(WREN, PATH, changes)
    # The name may hold a hash of its own.
    plain = {**changes, "instrument.name": "Wren"} if "instrument.name" in changes else changes
    quiet = changed_text(WREN, PATH, plain)
    assert comments(quiet) == comments(WREN)
    expected = [k for k in keys(WREN) if not (k == "finished_thickness" and
                                              "sides.finished_thickness" in changes)]  # fmt: skip
    added = {"rotate_on_board"} if "sides.rotate_on_board" in changes else set()
    assert [k for k in keys(quiet) if k not in added] == expected
    design = design_from_text(text, PATH)
    assert design.name == changes.get("instrument.name", "Wren")
    if "plates.depth_tail" in changes:
        assert design.plates.depth_tail_m == parse(changes["plates.depth_tail"], "length")


@settings(max_examples=times(40), deadline=None)
@given(CHANGES)
def test_there_and_back_is_the_same_text(changes):
    changes = {k: v for k, v in changes.items() if k not in
               ("sides.finished_thickness", "sides.rotate_on_board")}  # fmt: skip
    tables = tomllib.loads(WREN)
    back = {}
    for key in changes:
        node = tables
        for part in key.split("."):
            node = node[int(part) - 1] if part.isdecimal() else node[part]
        back[key] = str(node)
    assert changed_text(changed_text(WREN, PATH, changes), PATH, back) == WREN


@settings(max_examples=times(150), deadline=None)
@given(st.data())
def test_a_damaged_design_is_read_or_one_line(data):
    text = WREN
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        length = data.draw(st.integers(0, 30))
        text = text[:start] + data.draw(st.text(max_size=8)) + text[start + length :]
    try:
        assert design_from_text(text, PATH).name
    except DesignError as error:
        line = str(error)
        assert "\n" not in line
        assert "found " in line
        assert "wren.rim.toml" in line


scalars = st.sampled_from(
    ["1", '"a # b"', "'c = [d]'", "true", '"""x\n] = y\n"""', "'''p\n'q'\n'''", "07:32:00",
     '"q\\"]"', "[]", "{}", "[ # n\n 1,\n 2 ]", '{ a = 1, "b.c" = [2] }', "1.5e3"]
)  # fmt: skip


@settings(max_examples=times(150), deadline=None)
@given(st.lists(st.tuples(st.sampled_from("tlk#"), scalars), max_size=12))
def test_line_numbers_are_those_of_the_keys(rows):
    text, tables, lists = "", 0, 0
    expected: dict[tuple[str | int, ...], int] = {}
    head: tuple[str | int, ...] = ()
    for i, (kind, value) in enumerate(rows):
        line = text.count("\n") + 1
        if kind == "t":
            head, tables = (f"t{tables}", "in ner"), tables + 1
            text += f'[ {head[0]} . "in ner" ] # [no]\n'
        elif kind == "l":
            head, lists = ("list", lists), lists + 1
            text += "[[list]]\n"
        elif kind == "#":
            text += "# k = 1 ]\n\n"
            continue
        else:
            text += f"  k{i}.x = {value} # note\n"
            expected[(*head, f"k{i}", "x")] = line
            continue
        expected[head] = line
    tomllib.loads(text)
    lines = line_numbers(text)
    assert {key: lines[key] for key in expected} == expected


@settings(max_examples=times(200), deadline=None)
@given(
    st.sampled_from(["length", "temperature", "time", "angle", "power density", "fraction"]),
    st.data(),
)
def test_what_an_editor_accepts_is_read(kind, data):
    quantity = Quantity(kind, -1e300, 1e300)
    node = quantity.json_schema()
    pattern = node["anyOf"][0]["pattern"] if "anyOf" in node else node["pattern"]
    text = data.draw(st.from_regex(re.compile(pattern, re.ASCII), fullmatch=True))
    if len(text) <= 40:
        assert isinstance(quantity.read(text), float)


@settings(max_examples=times(200), deadline=None)
@given(st.text(max_size=40) | st.floats() | st.none() | st.integers())
def test_any_value_is_a_quantity_or_refused(value):
    with suppress(UnitError, RefusedError):
        assert -1.0 <= Quantity("length", -1.0, 1.0).read(value) <= 1.0


def test_schema_and_reader_have_the_same_keys():
    # A key the schema does not know cannot be read either: both come from the same models.
    assert "additionalProperties" in export_schema()
    with pytest.raises(DesignError, match="unknown key 'extra'"):
        design_from_text(WREN.replace("[instrument]", "[instrument]\nextra = 1"), PATH)
    assert read_tables(WREN, PATH)["instrument"]["name"] == "Wren"
