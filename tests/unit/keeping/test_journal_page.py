"""The journal's page tells every column of an export, and no other."""

import re
from pathlib import Path

from rimwright.journal.backup import NEWEST_KEPT
from rimwright.journal.exchange import FORMS
from rimwright.journal.exchange_tables import TABLES
from rimwright.journal.keeping import OUTCOME_KINDS
from rimwright.pictures.photograph import LONGEST_SIDE, MAX_BYTES

PAGE = (Path(__file__).parents[3] / "docs" / "journal.md").read_text(encoding="utf-8")


def test_every_table_and_column_is_on_the_page_in_its_order():
    sections = dict(re.findall(r"^### `(\w+)`\n(.*?)(?=^### |\Z)", PAGE, re.M | re.S))
    found = {name: re.findall(r"^\| `(\w+)` \|", text, re.M) for name, text in sections.items()}
    assert found == {table.name: [one.name for one in table.columns] for table in TABLES}
    for table in TABLES:
        for column in table.columns:
            line = next(
                line for line in sections[table.name].splitlines() if f"| `{column.name}` |" in line
            )
            empty_words = ("empty", "an import gives its own")
            assert any(word in line for word in empty_words) == column.optional, line


def test_the_figures_and_words_on_the_page():
    plain = " ".join(PAGE.split())
    assert f"*{', '.join(OUTCOME_KINDS)}*" in plain
    assert f"at most {MAX_BYTES // 10**6} MB" in plain
    assert f"at most {LONGEST_SIDE} pixels" in plain
    assert NEWEST_KEPT == 10
    assert "The ten newest stay" in plain
    assert all(f"- **{form}**" in PAGE.lower() for form in FORMS)
