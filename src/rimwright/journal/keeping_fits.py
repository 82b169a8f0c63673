"""What runs taught of their blankets."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.journal.keeping_checks import moment, one_line, within
from rimwright.journal.keeping_records import Fit
from rimwright.journal.keeping_rows import listed, matching, needed, put, table_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rimwright.journal.engine import Journal

#: Of a fitted curve about the measured one. [K]
RMS_K = (0.0, 1000.0)
POINTS = (0.0, 1e8)
#: A fitted parameter, whatever its unit.
PARAMETER = (-1e9, 1e9)
#: Parameters of one fit.
MOST_VALUES = 40


def keep_fit(journal: Journal, run: int, fit: Fit) -> int:
    """Keep what a run taught of its blanket; its number.

    Raises
    ------
    JournalError
        If a value is none, or there is no such run.
    """
    values = fit_values(fit)
    with journal.writing() as connection:
        needed(connection, "runs", run)
        return put(connection, "heat_fits", None, {**values, "run_id": run})


def fit_values(fit: Fit) -> dict[str, object]:
    """The row of a fit, looked over, without its run."""
    where = "fit"
    if not 0 < len(fit.values) <= MOST_VALUES:
        found = f"{len(fit.values)} parameters"
        raise JournalError(found, f"1 to {MOST_VALUES}", "look at the fit", where=where)
    values = {
        one_line(name, "a parameter's name", where=where): _ranged(name, ranged, where)
        for name, ranged in fit.values.items()
    }
    return {
        "blanket": one_line(fit.blanket, "a blanket's name", where=where),
        "values": values,
        "rms_k": within(fit.rms_k, RMS_K, "a scatter", unit="K", where=where),
        "points": int(within(fit.points, POINTS, "points", unit="", where=where)),
        "wall_s": moment(fit.wall_s, where=where),
    }


def _ranged(name: str, ranged: Sequence[float], where: str) -> list[float]:
    if len(ranged) != 3:
        found = f"{len(ranged)} values of {name!r:.40}"
        raise JournalError(found, "middle, low and high", "look at the fit", where=where)
    return [within(value, PARAMETER, name, unit="", where=where) for value in ranged]


def newest_fit(journal: Journal, blanket: str, *, simulated: bool = False) -> Fit | None:
    """The newest fit of a blanket; None where no run taught one.

    Parameters
    ----------
    journal : Journal
    blanket : str
        As in the run's plan.
    simulated : bool, default False
        Of practice runs instead: what a model taught is nothing a blanket did.
    """
    from sqlalchemy import select

    fits_, runs = table_of("heat_fits"), table_of("runs")
    query = (
        select(fits_)
        .join(runs, fits_.c.run_id == runs.c.id)
        .where(fits_.c.blanket == blanket, runs.c.simulated.is_(simulated))
        .order_by(fits_.c.wall_s.desc(), fits_.c.id.desc())
        .limit(1)
    )
    with journal.reading() as connection:
        row = connection.execute(query).mappings().first()
    return None if row is None else _fit(dict(row))


def fits(
    journal: Journal, *, blanket: str | None = None, run: int | None = None
) -> tuple[Fit, ...]:
    """Fits of this blanket, of this run."""
    with journal.reading() as connection:
        wanted = matching("heat_fits", blanket=blanket, run_id=run)
        return tuple(map(_fit, listed(connection, "heat_fits", *wanted)))


def _fit(row: Mapping[str, Any]) -> Fit:
    values = dict(row)
    ranged = {name: (float(a), float(b), float(c)) for name, (a, b, c) in values["values"].items()}
    run = values.pop("run_id")
    return Fit(**{**values, "run": run, "values": ranged})
