"""Schemas: the first one as the tables say, an older one brought up, a newer one refused."""

from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from journal_older import ROWS, old_journal, revisions
from journal_rows import new_run
from journal_stores import Store, the_server
from rimwright.errors import JournalError
from rimwright.journal import migrating, tables
from rimwright.journal.engine import SCHEMA, Journal
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, open_runs, run_record
from rimwright.journal.sqlite_file import driver


def test_the_revisions_make_the_tables(journal: Journal):
    with journal.reading() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, tables.metadata) == []
        assert migrating.revision_of(connection) == SCHEMA


def test_the_newest_revision_is_the_schema_that_is_read():
    assert migrating.newest(migrating.MIGRATIONS) == SCHEMA == migrating.newest()
    assert migrating.knows(SCHEMA)
    assert not migrating.knows("9999")


def test_a_newer_schema_is_refused_in_one_line(store: Store):
    journal = store.open()
    with journal.writing() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    journal.close()
    before = Path(store.where).read_bytes() if store.kind == "sqlite" else b""
    with pytest.raises(JournalError, match=r"newer Rimwright \(schema 9999\)") as refused:
        open_journal(store.where)
    assert "\n" not in str(refused.value)
    if before:
        assert Path(store.where).read_bytes() == before
        assert not list(Path(store.where).parent.glob("*damaged*"))


def test_an_older_file_is_brought_up_and_its_copy_kept(tmp_path: Path):
    way = revisions(tmp_path / "way")
    path = tmp_path / "journal.sqlite"
    old_journal(path, way)
    journal, notices = open_journal(path, migrations=way)
    (copy,) = (tmp_path / "backups").iterdir()
    words = "The journal was brought from schema 0000 to 0001; as it was before, it is kept in"
    assert notices == (f"{words} {copy}.",)
    assert run_record(journal, 1).bench == ""
    # Foreign keys hold again after it.
    with pytest.raises(Exception, match="FOREIGN KEY"), journal.writing() as connection:
        connection.exec_driver_sql(
            "INSERT INTO samples (run_id, seq, at_ms, probe) VALUES (9, 1, 1, 1)"
        )
    journal.close()
    bare = driver().connect(str(copy))
    assert bare.execute("SELECT version_num FROM alembic_version").fetchone() == ("0000",)
    bare.close()
    assert open_journal(path, migrations=way)[1] == ()


def test_a_way_that_fails_leaves_the_old_file(tmp_path: Path):
    way = revisions(tmp_path / "way", fails=True)
    path = tmp_path / "journal.sqlite"
    old_journal(path, way)
    with pytest.raises(RuntimeError, match="in the middle"):
        open_journal(path, migrations=way)
    bare = driver().connect(str(path))
    assert bare.execute("SELECT version_num FROM alembic_version").fetchone() == ("0000",)
    assert bare.execute("SELECT count(*) FROM sqlite_master WHERE name = 'devices'").fetchone() == (
        0,
    )
    bare.close()


def test_an_older_server_is_brought_up_or_left(tmp_path: Path):
    server = the_server()
    name = server.new_database()
    address = server.address(name)
    way = revisions(tmp_path / "way")
    (way / "versions" / "way.py").rename(tmp_path / "way.py")
    journal, _ = open_journal(address, migrations=way)  # only the older one is known so far
    with journal.writing() as connection:
        for statement in ROWS:
            connection.exec_driver_sql(statement)
    journal.close()

    text = (tmp_path / "way.py").read_text()
    (way / "versions" / "way.py").write_text(text.replace("if False", "if True"))
    with pytest.raises(RuntimeError, match="in the middle"):
        open_journal(address, migrations=way)
    there = "SELECT count(*) FROM information_schema.tables WHERE table_name = 'devices'"
    assert server.sql(there, name) == [(0,)]
    assert server.sql("SELECT version_num FROM alembic_version", name) == [("0000",)]

    (way / "versions" / "way.py").write_text(text)
    journal, notices = open_journal(address, migrations=way)
    assert "from schema 0000 to 0001" in notices[0]
    assert "no copy is made" in notices[0]
    assert open_runs(journal) == (1,)
    journal.close()
    assert server.sql(there, name) == [(1,)]
    server.drop(name)


def test_a_reader_beside_a_writer_needs_the_same_schema(tmp_path: Path):
    way = revisions(tmp_path / "way")
    path = tmp_path / "journal.sqlite"
    journal, _ = open_journal(path)
    begin_run(journal, new_run())
    (way / "versions" / "newer.py").write_text(
        '"""Newer."""\nrevision, down_revision = "0002", "0001"\n'
        "branch_labels = depends_on = None\n\n\ndef upgrade() -> None:\n    pass\n"
    )
    with pytest.raises(JournalError, match="schema 0001 that another process records into"):
        open_journal(path, migrations=way)
    journal.close()
