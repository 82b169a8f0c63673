"""The pages say what the program does: every command, every key, every table."""

import importlib
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from typer.main import get_command

from rimwright.cli.main import app
from rimwright.desk.odds import odds_for_plan, with_odds
from rimwright.desk.opening import open_design
from rimwright.instrument.design_files.load import load_design
from rimwright.plan import make_plan

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
TERN_LANE = ROOT / "examples" / "tern-lane"
#: A value with its range, told once for all.
RANGE = {"middle", "low", "high", "provenance", "source", "note"}
#: Names that makers give, by the table that holds them.
GIVEN = {"outline.points": "<piece>", "design.own_woods": "<name>"}


def page(name: str) -> str:
    return (DOCS / name).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def tables() -> Iterator[ModuleType]:
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(ROOT / "scripts"))
        yield importlib.import_module("docs_tables")


def without_codes(text: str) -> str:
    """A plan's code changes with the ninth decimal of anything in it."""
    return re.sub(r"\b([A-Z]+)-[0-9A-F]{6}\b", r"\1-######", text)


@pytest.mark.parametrize("name", sorted(path.name for path in DOCS.glob("*.md")))
def test_pages_say_what_the_program_says(name: str, tables: ModuleType) -> None:
    now = without_codes(tables.renewed(page(name)))
    assert now == without_codes(page(name)), "run: .venv/bin/python scripts/docs_tables.py"


def test_every_table_is_on_a_page(tables: ModuleType) -> None:
    found = re.findall(r"<!-- table: (\w+) -->", "".join(map(page, pages())))
    assert sorted(found) == sorted(tables.TABLES)


def pages() -> list[str]:
    return [path.name for path in DOCS.glob("*.md")]


def test_every_command_and_option_has_help_and_is_on_its_page() -> None:
    group: Any = get_command(app)
    text = page("commands.md")
    assert group.commands.keys() >= {"plan", "outline", "new", "woods", "schema"}
    for name, command in group.commands.items():
        assert command.help, name
        section = text.partition(f"## `rimwright {name}`")[2].partition("\n## ")[0]
        assert command.help.strip() in section, name
        for parameter in command.params:
            assert parameter.help, (name, parameter.name)
            for said in parameter.opts if parameter.param_type_name == "option" else ():
                assert f"`{said}`" in section, (name, said)


def keys_of(value: Any, at: str = "") -> set[str]:
    """Every key of a plan with its path; a range is one key."""
    if isinstance(value, list):
        return set().union(*(keys_of(one, at if at.endswith("[]") else f"{at}[]") for one in value))
    if not isinstance(value, dict) or (at and value.keys() == RANGE):
        return set()
    found: set[str] = set()
    for key, one in value.items():
        path = ".".join(filter(None, (at, GIVEN.get(at, key))))
        found |= {path} if at in GIVEN else {path} | keys_of(one, path)
    return found


def documented() -> set[str]:
    """Every key of the page: the section's table before those of its rows."""
    found = set()
    for section in page("plan-json.md").split("\n## ")[1:]:
        title = re.match(r"`([\w\[\].]+)`", section)
        before = f"{title[1]}." if title else ""
        found |= {before + key for key in re.findall(r"^\| `([^`]+)` \|", section, re.MULTILINE)}
    return found


@pytest.fixture(scope="module")
def planned() -> set[str]:
    files = sorted(TERN_LANE.glob("*.rim.toml"))
    assert len(files) == 3
    plans = [make_plan(open_design(file)) for file in files]
    plans[0] = with_odds(plans[0], odds_for_plan(plans[0], samples=64))
    return set().union(*(keys_of(plan.document) for plan in plans))


def test_every_key_of_a_plan_is_explained(planned: set[str]) -> None:
    assert sorted(planned - documented()) == []


def test_every_key_explained_occurs(planned: set[str]) -> None:
    lost = {key for key in documented() - planned if not key.startswith("design.outline.source.")}
    assert sorted(lost) == []


def test_fences_of_toml_are_designs_that_are_read(tmp_path: Path) -> None:
    blocks = re.findall(r"```toml\n(.*?)```", page("design-file.md"), re.DOTALL)
    designs = [text for text in blocks if "[instrument]" in text]
    assert designs
    for text in blocks:
        tomllib.loads(text)
    for number, text in enumerate(designs):
        file = tmp_path / f"{number}.rim.toml"
        file.write_text(text, encoding="utf-8")
        assert make_plan(load_design(file)).sides


def test_pages_lead_to_pages_that_are_there() -> None:
    text = page("index.md")
    for name in pages():
        assert name == "index.md" or name.removesuffix(".md") in text, name
        for to in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page(name)):
            assert (DOCS / to).exists(), (name, to)


def test_pictures_are_small_and_used() -> None:
    used = "".join(map(page, pages()))
    pictures = list((DOCS / "pictures").glob("*.png"))
    assert pictures
    for picture in pictures:
        assert picture.stat().st_size < 150_000, picture.name
        assert f"pictures/{picture.name}" in used, picture.name


def test_pages_ask_nothing_of_the_network() -> None:
    said = "".join(map(page, pages())) + (DOCS / "conf.py").read_text(encoding="utf-8")
    assert not re.findall(r"<(?:script|link|img)[^>]+https?:", said)
    assert "mathjax" not in said


def test_every_dependency_is_explained_in_the_changelog() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    wanted = [*project["dependencies"], *project["optional-dependencies"]["dev"]]
    for one in wanted:
        name = re.match(r"[\w-]+", one)
        assert name is not None
        assert f"**{name[0]}**" in text, name[0]


def test_the_house_names_what_is_there() -> None:
    text = page("architecture.md")
    source = ROOT / "src" / "rimwright"
    for name in re.findall(r"`((?:\w+/)*\w+\.py)`", text):
        assert list(source.rglob(name)), name
    for dotted in re.findall(r"`((?:\w+\.)+\w+)(?:\(|`)", text):
        inner = dotted.removeprefix("rimwright.")
        parts = inner.split(".")
        room = (source / parts[0]).is_dir() or (source / f"{parts[0]}.py").is_file()
        if room and parts[-1] not in {"py", "json"}:
            importable(parts)


def importable(parts: list[str]) -> None:
    """Fail if a module, or a name in one, is not there."""
    try:
        importlib.import_module(".".join(("rimwright", *parts)))
    except ModuleNotFoundError:
        module = importlib.import_module(".".join(("rimwright", *parts[:-1])))
        assert hasattr(module, parts[-1]), parts


def test_every_room_is_in_the_house() -> None:
    text = page("architecture.md")
    for folder in (ROOT / "src" / "rimwright").iterdir():
        if (folder / "__init__.py").is_file():
            assert f"`{folder.name}`" in text, folder.name
