"""An import laid out in a passing journal of its own, where every reference is followed."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError, PictureError
from rimwright.journal.exchange_checks import kept_row
from rimwright.journal.exchange_tables import BY_NAME, Column
from rimwright.journal.keeping_outcomes import SUBJECT_TABLES
from rimwright.journal.keeping_rows import NAMES, table_of
from rimwright.journal.photographs import photograph_values, unpacked

if TYPE_CHECKING:
    from sqlalchemy import Connection

#: Table, place and row.
Placed = tuple[str, str, dict[str, Any]]
#: Rows put in at one time; photographs and plans are large.
_ROWS = 5000
_LARGE_ROWS = 20
_LARGE = ("runs", "photographs")


@contextmanager
def staged(rows: Iterable[Placed], picture: Callable[[str], bytes]) -> Iterator[Connection]:
    """A connection to a passing journal with all rows of an import in it.

    Parameters
    ----------
    rows : iterable of (str, str, dict)
        Table, place and row; what is referred to comes first.
    picture : callable
        The bytes of the photograph of that uid.

    Raises
    ------
    JournalError, PictureError
        If a row or a picture cannot be, a record stands there twice, or refers to one that is
        not there.
    """
    from sqlalchemy import exc

    from rimwright.journal.engine import journal_error
    from rimwright.journal.sqlite_file import make_engine
    from rimwright.journal.tables import metadata

    with tempfile.TemporaryDirectory(prefix="rimwright-import-") as folder:
        engine = make_engine(Path(folder) / "import.sqlite", writes=True, mode="OFF")
        try:
            with engine.connect() as connection:
                connection.exec_driver_sql("COMMIT")
                connection.exec_driver_sql("PRAGMA synchronous = OFF")
                connection.exec_driver_sql("BEGIN")
                metadata.create_all(connection)
                _Stage(connection, picture).fill(rows)
                connection.commit()
                yield connection
        except exc.DatabaseError as error:
            raise journal_error(error, folder) from error
        finally:
            engine.dispose()


class _Stage:
    def __init__(self, connection: Connection, picture: Callable[[str], bytes]) -> None:
        self._connection = connection
        self._picture = picture
        #: By table: number of the record of each uid.
        self._numbers: dict[str, dict[str, int]] = {name: {} for name in NAMES}
        self._mates: list[tuple[int, str, str]] = []
        self._waiting: list[dict[str, Any]] = []
        self._table = ""
        self._where = ""

    def fill(self, rows: Iterable[Placed]) -> None:
        for table, where, row in rows:
            most = _LARGE_ROWS if table in _LARGE else _ROWS
            if table != self._table or len(self._waiting) >= most:
                self._put()
            self._table, self._where = table, where
            self._waiting.append(self._row(table, row, where))
        self._put()
        self._tell_mates()

    def _row(self, table: str, row: dict[str, Any], where: str) -> dict[str, Any]:
        values = kept_row(table, row, where)
        for column in BY_NAME[table].columns:
            if column.of:
                values[column.inside] = self._referred(column, row, where)
        if table == "photographs":
            values |= self._pictured(row["uid"], where)
        if table == "notes":
            subject = SUBJECT_TABLES[values["subject"]]
            uid = BY_NAME[table].column("subject_uid")
            values["subject_id"] = self._number(subject, row[uid.name], uid, where)
        if "uid" in row:
            values |= {"uid": row["uid"], "id": len(self._numbers[table]) + 1}
            if self._numbers[table].setdefault(row["uid"], values["id"]) != values["id"]:
                self._refuse_twice(where)
        if table == "sides" and row["mate_uid"] is not None:
            self._mates.append((values["id"], row["mate_uid"], where))
        return values

    def _referred(self, column: Column, row: dict[str, Any], where: str) -> int | None:
        # A mate may stand further down.
        if row[column.name] is None or column.name == "mate_uid":
            return None
        return self._number(column.of, row[column.name], column, where)

    def _number(self, table: str, uid: str, column: Column, where: str) -> int:
        number = self._numbers[table].get(uid)
        if number is None:
            raise JournalError(
                f"{column.name} {uid}",
                f"the uid of a {NAMES[table]} in the same export",
                "export again",
                where=where,
            )
        return number

    def _pictured(self, uid: str, where: str) -> dict[str, Any]:
        try:
            return photograph_values(unpacked(self._picture(uid)))
        except PictureError as error:
            place = f"{where}, {uid}.jpg"
            raise PictureError(error.found, error.expected, error.next_step, where=place) from error

    def _tell_mates(self) -> None:
        sides = table_of("sides")
        column = BY_NAME["sides"].column("mate_uid")
        for number, uid, where in self._mates:
            mate = self._number("sides", uid, column, where)
            change = sides.update().where(sides.c.id == number)
            self._connection.execute(change.values(mate_id=mate))

    def _put(self) -> None:
        from sqlalchemy import exc

        if self._waiting:
            try:
                self._connection.execute(table_of(self._table).insert(), self._waiting)
            except exc.IntegrityError:
                self._refuse_twice(f"up to {self._where}")
            self._waiting = []

    def _refuse_twice(self, where: str) -> None:
        raise JournalError(
            "a record that stands there twice", "each once", "export again", where=where
        )
