"""The tables in docs/ that the program itself says: keys, commands, sources, woods, stuffs.

``python scripts/docs_tables.py`` rewrites what stands between the markers of a page; a test
fails when a page no longer says what the program does.
"""

from __future__ import annotations

import pkgutil
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, fields, is_dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import docs_http
from docs_said import said
from typer.main import get_command

import rimwright
from rimwright.bending import parameters, schools
from rimwright.cli.main import app
from rimwright.desk.keep_tables import KeepFile
from rimwright.equipment.materials import _MATERIALS as MATERIALS
from rimwright.equipment.probe_kinds import KINDS
from rimwright.instrument.design_files.keys import export_schema, schema_of
from rimwright.live.alarms_table import DEFINITIONS, AlarmKey
from rimwright.live.readings import FAULT_WORDS
from rimwright.live.watching import ALONE_S
from rimwright.live.watching_probe import STALE_S
from rimwright.sources import SOURCES, Sourced
from rimwright.wood.catalogue import all_woods

DOCS = Path(__file__).resolve().parents[1] / "docs"
Node = dict[str, Any]

#: By the schema's example of a quantity: what it is called, and its default in maker's units.
QUANTITIES: dict[str, tuple[str, Callable[[float], str]]] = {
    "2.1 mm": ("length", lambda v: f"{v * 1e3:g} mm"),
    "35 deg": ("angle", lambda v: f"{v:g} rad"),
    "5 W/in^2": ("power on an area", lambda v: f"{v / 1550.0031:.3g} W/in²"),
    "230 degF": ("temperature", lambda v: f"{v:g} degC"),
    "10 min": ("time", lambda v: f"{v / 60:g} min" if v < 36e3 else f"{v / 3600:g} h"),
    "45 %": ("share", lambda v: f"{v:.0%}"),
}


def table(head: list[str], rows: list[list[str]]) -> str:
    """A Markdown table."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |"
                     for row in lines)  # fmt: skip


def branches(node: Node) -> list[Node]:
    """What a value may be, without null."""
    return [one for one in node.get("anyOf", [node]) if one.get("type") != "null"]


def table_of(node: Node) -> str | None:
    """Name of the table that a key holds, alone, in a list or by name."""
    for one in branches(node):
        inner = one.get("items") or one.get("additionalProperties") or one
        if isinstance(inner, dict) and "$ref" in inner:
            return str(inner["$ref"]).rpartition("/")[2]
    return None


def accepts(node: Node) -> str:
    """What may be written as the value of a key."""
    said = []
    for one in branches(node):
        if "items" in one:
            said.append("list of: " + accepts(one["items"]))
        elif "enum" in one:
            said.append(", ".join(f"`{choice}`" for choice in one["enum"]))
        elif "const" in one:
            said.append(f"`{one['const']}`")
        elif "examples" in one:
            said.append(f'{QUANTITIES[one["examples"][0]][0]}, such as `"{one["examples"][0]}"`')
        elif one.get("format") == "date":
            said.append("a day, such as `2026-11-02`")
        elif one.get("type") in ("number", "integer"):
            kind = "whole number" if one["type"] == "integer" else "number"
            # The most that a column holds is no end that a maker meets.
            end = "" if one["maximum"] >= 2**31 - 1 else f" to {one['maximum']:g}"
            said.append(f"{kind} from {one['minimum']:g}{end}")
        else:
            said.append({"boolean": "`true` or `false`", "string": "text"}[one["type"]])
    return "; or ".join(said)


def default(node: Node, key: str, required: list[str]) -> str:
    """What holds when a key is left out."""
    value = node.get("default")
    if key in required:
        return "must be given"
    if value is None or value in ([], ""):
        return ""
    if isinstance(value, float):
        for one in branches(node):
            if "examples" in one:
                return QUANTITIES[one["examples"][0]][1](value)
    return f"`{str(value).lower() if isinstance(value, bool) else value}`"


def keys(which: str) -> str:
    """Every table of a file with every key."""
    schema = (
        schema_of(KeepFile)
        if which == "kept"
        else export_schema("shop" if which == "shop" else "design")
    )
    text: list[str] = []

    def tell(title: str, node: Node, must: bool) -> None:
        rows, inner = [], []
        for key, value in node["properties"].items():
            below = table_of(value)
            if below is None:
                rows.append([f"`{key}`", value.get("description", ""), accepts(value),
                             default(value, key, node.get("required", []))])  # fmt: skip
                continue
            dot = f"{title}.{key}" if title else key
            many = any("items" in one for one in branches(value))
            named = any(isinstance(one.get("additionalProperties"), dict) for one in
                        branches(value))  # fmt: skip
            head = f"[[{dot}]]" if many else f'[{dot}."name"]' if named else f"[{dot}]"
            inner.append((dot, head, key in node.get("required", []), schema["$defs"][below]))
        if title:
            needed = " Must be given." if must else ""
            text.append(f"### `{heading[title]}`\n\n{node['description']}{needed}\n")
        if rows:
            text.append(table(["key", "what it says", "what is accepted", "left out"], rows) + "\n")
        for dot, head, needs, below_node in inner:
            heading[dot] = head
            tell(dot, below_node, needs)

    heading: dict[str, str] = {}
    tell("", schema, False)
    return "\n".join(text)


def commands(_: str) -> str:
    """Every command with its arguments and options."""
    group: Any = get_command(app)
    text = [str(group.help).strip() + "\n"]
    option = [f"- `{'`, `'.join(p.opts)}`: {p.help or 'Show this help and stop.'}"
              for p in group.params]  # fmt: skip
    text.append("\n".join([*option, "- `--help`: Show help, of any command too."]) + "\n")
    for name, command in group.commands.items():
        text.append(f"## `rimwright {name}`\n\n{command.help.strip()}\n")
        rows = []
        for parameter in command.params:
            title = f"`{str(parameter.name).upper()}`"
            if parameter.param_type_name == "option":
                spelt = [*parameter.opts, *parameter.secondary_opts]
                title = ", ".join(f"`{one}`" for one in spelt)
            wanted = "must be given" if parameter.required else ""
            rows.append([title, str(parameter.help), wanted])
        if rows:
            text.append(table(["argument or option", "what it says", ""], rows) + "\n")
    return "\n".join(text)


def sources(_: str) -> str:
    """The register of published texts, of every room."""
    for module in pkgutil.walk_packages(rimwright.__path__, "rimwright."):
        import_module(module.name)
    rows = [[f"`{one.identity}`", one.title, one.reached]
            for one in sorted(SOURCES.values(), key=lambda one: one.identity)]  # fmt: skip
    return table(["identity", "text", "read or from memory"], rows) + "\n"


def figure(value: Sourced | None, scale: float = 1.0) -> str:
    """Middle and range of a value."""
    if value is None:
        return ""
    return f"{value.middle * scale:g} ({value.low * scale:g} to {value.high * scale:g})"


def sourced(name: str, value: Any) -> Iterator[tuple[str, Sourced]]:
    """Every value with its source in a set of parameters, by name."""
    if isinstance(value, Sourced):
        yield name, value
        return
    if is_dataclass(value):
        value = {one.name: getattr(value, one.name) for one in fields(value)}
    for key, one in value.items() if isinstance(value, Mapping) else ():
        yield from sourced(f"{name} {key}".strip(), one)


def rests(_: str) -> str:
    """The parameters of the bend check."""
    rows = []
    for name, one in sourced("", parameters.DEFAULT):
        source = f"`{one.source}`" if one.source else ""
        whence = ", ".join(filter(None, (one.provenance.value, source, one.note)))
        # Stresses in MPa: six noughts less to count.
        shown = figure(one, 1e-6) + " MPa" if name.endswith("_pa") else figure(one)
        rows.append([f"`{name}`", shown, whence])
    return table(["parameter", "middle (low to high)", "where from"], rows) + "\n"


def stuffs(_: str) -> str:
    """Materials of slats, wraps and blanket."""
    rows = [
        [one.name + (f", {one.temper}" if one.temper else ""), figure(one.density_kg_m3),
         figure(one.specific_heat_j_kg_k), figure(one.stiffness_pa, 1e-9),
         figure(one.yield_pa, 1e-6), one.density_kg_m3.source]
        for one in MATERIALS
    ]  # fmt: skip
    return table(["material", "density [kg/m³]", "specific heat [J/(kg K)]", "stiffness [GPa]",
                  "yield [MPa]", "source"], rows) + "\n"  # fmt: skip


def woods(_: str) -> str:
    """The woods, and what their bend rests on."""
    rows = []
    for wood in all_woods():
        own, lent = wood.unsupported_radius, wood.relative_radius
        radius = own or lent or parameters.DEFAULT.radius_by_kind[wood.kind]
        whence = "published" if own else "a relative's" if lent else f"its class: {wood.kind}"
        rows.append([wood.name, f"*{wood.botanical}*", wood.kind, f"{radius.middle:g}",
                     whence, f"`{radius.source}`" if radius.source else ""])  # fmt: skip
    return table(["wood", "botanical name", "class", "radius ÷ thickness", "whose",
                  "source"], rows) + "\n"  # fmt: skip


def heats(_: str) -> str:
    """The schools of heat."""
    rows = [[f"`{one.key.replace('_', ' ')}`", one.title, f"{one.early_alarm_c:g} °C",
             f"{one.target_c:g} °C", one.why, one.provenance]
            for one in schools.SCHOOLS.values()]  # fmt: skip
    return table(["school", "in short", "early alarm", "target", "why", "source"], rows) + "\n"


def probes(_: str) -> str:
    """The keys of each kind of probe."""
    told = export_schema("shop")["$defs"]["ProbeTable"]["properties"]
    text = []
    for kind, (how, address) in KINDS.items():
        rows = []
        for one in fields(how):
            key = one.name.removesuffix("_s")
            words, _, left_out = told[key]["description"].rstrip(".").partition("; left out: ")
            words = re.sub(r"^[a-zV, ]+: ", "", words)
            mark = "; stands after the colon" if key == address else ""
            must = "must be given" if one.default is MISSING else ""
            rows.append([f"`{key}`", words[0].lower() + words[1:] + mark, must or left_out])
        if kind == "http":
            rows.insert(0, ["`token`", told["token"]["description"][6:-1], "must be given"])
            rows[1][1:] = ["in place of the token its SHA-256, in hexadecimal", ""]
        text.append(f"### `{kind}`\n\n{how.__doc__}\n")
        text += [table(["key", "what it says", "left out"], rows) + "\n"] if rows else []
    return "\n".join(text)


def faults(_: str) -> str:
    """Why a reading is no temperature."""
    rows = [[f"*{fault}*", words] for fault, words in FAULT_WORDS.items()]
    return table(["said", "what it means, and where to look"], rows) + "\n"


def alarms(_: str) -> str:
    """The alarms: what each asks of a person, and how soon."""
    limits = {
        AlarmKey.TOO_HOT: "the probe is at its limit, or ten seconds from it at its present rate",
        AlarmKey.NO_READING: f"no reading for {STALE_S:g} s while the heat is on",
        AlarmKey.PROBE_DOUBTFUL: "it falls, jumps, stands still or does not follow the heat",
        AlarmKey.LEFT_ALONE: f"heat on, and nobody has touched anything for {ALONE_S / 60:g} min",
        AlarmKey.NOT_RECORDING: "nothing can be written, or less than 100 MB is free",
    }
    rows = [
        [f"*{one.title}*", limits[key], one.action, "yes" if one.high else "no",
         "yes" if one.can_shelve else "never"]
        for key, one in DEFINITIONS.items()
    ]  # fmt: skip
    return table(["alarm", "when", "what to do", "high", "may be put aside"], rows) + "\n"


def http_calls(_: str) -> str:
    """The calls of the API."""
    return table(*docs_http.calls()) + "\n"


def http_shapes(_: str) -> str:
    """What they take and give."""
    return table(*docs_http.shapes()) + "\n"


TABLES: dict[str, Callable[[str], str]] = {
    "design": keys, "shop": keys, "kept": keys, "commands": commands, "sources": sources,
    "rests": rests, "stuffs": stuffs, "woods": woods, "heats": heats, "probes": probes,
    "faults": faults, "alarms": alarms, "calls": http_calls, "shapes": http_shapes,
}  # fmt: skip

_TABLE = re.compile(r"(<!-- table: (\w+) -->\n).*?(<!-- end -->)", re.DOTALL)
_SAID = re.compile(r"(<!-- said: (.+?) -->\n).*?(<!-- end -->)", re.DOTALL)


def renewed(text: str) -> str:
    """A page with every marked table, and what the program said, as it says them now."""
    text = _TABLE.sub(lambda m: f"{m[1]}\n{TABLES[m[2]](m[2])}\n{m[3]}", text)
    return _SAID.sub(lambda m: f"{m[1]}\n{said(m[2])}\n\n{m[3]}", text)


def main() -> None:
    """Rewrite the pages."""
    for page in sorted(DOCS.glob("*.md")):
        before = page.read_text(encoding="utf-8")
        if (after := renewed(before)) != before:
            page.write_text(after, encoding="utf-8")
            print(f"renewed {page.name}")


if __name__ == "__main__":
    main()
