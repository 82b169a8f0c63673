"""The same tests on a SQLite file and on a PostgreSQL server."""

from journal_stores import journal, store

__all__ = ["journal", "store"]
