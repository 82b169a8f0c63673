"""Nothing that a maker reads promises what a program that only watches cannot keep.

Naming what the shop must have (a cut-out, a timer, a protected supply) is wanted; calling a
control an emergency stop, or saying that this program makes anything safe, is not.
"""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
PROMISES = re.compile(
    r"emergency|e-stop|\bsafe(ly|r|st)?\b|safeguard|fail.?safe|\bprotect\w*|\bguards?\b(?! server)",
    re.IGNORECASE,
)
#: What may be said: that it does not, and what the shop must have.
ALLOWED = re.compile(
    r"protects nothing|does not protect|residual-current-protected|eye protection|"
    r"errs to the safe side|protection that the shop must have|"
    r"rimwright\.instrument\.drawings\.guard|instrument/drawings/guard|instrument\.drawings\.guard",
    re.IGNORECASE,
)
PAGES = ("src/rimwright/web/static", "docs", ".")
READ = (".html", ".js", ".css", ".md", ".svg")


def promises(text):
    """Every promise in a text, with a little of what stands around it."""
    plain = ALLOWED.sub("", " ".join(text.split()))
    return [plain[max(0, m.start() - 30) : m.end() + 30] for m in PROMISES.finditer(plain)]


def texts():
    for folder in PAGES:
        for path in sorted((ROOT / folder).glob("*")):
            if path.suffix in READ:
                yield path, path.read_text(encoding="utf-8")


def strings(path):
    """All texts of a module but its docstrings and names: what can reach a maker."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docstrings = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            first = node.body[0] if node.body else None
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                docstrings.add(id(first.value))
    for node in ast.walk(tree):
        text = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if text and id(node) not in docstrings and " " in node.value:
            yield node.value


def test_pages_and_documents_promise_nothing():
    found = {str(path.relative_to(ROOT)): promises(text) for path, text in texts()}
    assert len(found) > 20
    assert {name: said for name, said in found.items() if said} == {}


@pytest.mark.parametrize(
    "room", ["live", "web", "cli", "desk", "sheets", "journal", "bending", "equipment"]
)
def test_what_the_program_says_promises_nothing(room):
    found = {}
    for path in sorted((ROOT / "src/rimwright" / room).rglob("*.py")):
        said = [one for text in strings(path) for one in promises(text)]
        if said:
            found[str(path.relative_to(ROOT))] = said
    assert found == {}


@pytest.mark.parametrize(
    "text",
    [
        "Emergency stop", "This makes the bend safe.", "It protects your wood.", "fail-safe",
        "The program guards the heat.", "safer than a timer",
    ],
)  # fmt: skip
def test_a_promise_is_found(text):
    assert promises(text)


@pytest.mark.parametrize(
    "text",
    [
        "It watches and protects nothing.",
        "an earthed and residual-current-protected supply",
        "eye protection and gloves",
    ],
)
def test_what_the_shop_must_have_may_be_named(text):
    assert promises(text) == []


def test_what_the_shop_must_have_is_said_where_heat_begins():
    said = (ROOT / "src/rimwright/web/static/live.html").read_text(encoding="utf-8")
    said += (ROOT / "src/rimwright/web/static/live.js").read_text(encoding="utf-8")
    said = " ".join(said.split()).lower()
    for needed in ("cut-out", "its own sensor", "mechanical timer", "residual-current", "local"):
        assert needed in said, needed
