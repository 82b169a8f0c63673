"""A recorded curve of one probe, read from a file of samples."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from rimwright.errors import ProbeError
from rimwright.live.readings import Fault

#: Ten a second for six days.
MOST_SAMPLES = 5_000_000
LARGEST_FILE = 500_000_000
_EXPECTED = "a CSV file with columns at_s or at_ms, celsius, fault, and probe if there are several"


@dataclass(frozen=True, slots=True)
class Recorded:
    """One sample of a recording."""

    #: Since the recorded run was begun. [s]
    at_s: float
    #: [degC]; None with a fault.
    celsius: float | None
    fault: Fault | None


def read_recording(path: Path, probe: int) -> tuple[Recorded, ...]:
    """The samples of one probe in a CSV file, as the journal exports them.

    Parameters
    ----------
    path : Path
        With a line of column names: ``at_s`` or ``at_ms``, ``celsius``, ``fault``, ``probe``.
    probe : int
        Which; all where there is no column of that name.

    Raises
    ------
    ProbeError
        If the file is not there or is no such file; file and line in front.
    """
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise ProbeError(
                "more than 500 MB", "a recorded run", "check the name", where=str(path)
            )
        with path.open(encoding="utf-8-sig", newline="") as file:
            rows = csv.DictReader(file)
            names = set(rows.fieldnames or ())
            if "celsius" not in names or not names & {"at_s", "at_ms"}:
                raise ProbeError(
                    "other columns", _EXPECTED, "export the run again", where=str(path)
                )
            return checked_recording(_samples(rows, probe, path), str(path))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise ProbeError(
            words.lower(), _EXPECTED, "check the name of the recording", where=str(path)
        ) from error


def checked_recording(samples: Iterable[Recorded], where: str) -> tuple[Recorded, ...]:
    """The samples, if there are any and their time runs on.

    Raises
    ------
    ProbeError
        If not.
    """
    made: list[Recorded] = []
    for one in samples:
        if made and one.at_s < made[-1].at_s:
            raise ProbeError(
                f"time running back from {made[-1].at_s:g} s to {one.at_s:g} s",
                "samples in their order", "export the run again", where=where,
            )  # fmt: skip
        made.append(one)
        if len(made) > MOST_SAMPLES:
            raise ProbeError(
                f"more than {MOST_SAMPLES} samples", "one run", "export a run alone", where=where
            )
    if not made:
        raise ProbeError(
            "no sample of this probe", "some", "name another probe of the recording", where=where
        )
    return tuple(made)


def _samples(
    rows: Iterable[Mapping[str, str | None]], probe: int, path: Path
) -> Iterable[Recorded]:
    run = None
    for line, row in enumerate(rows, start=2):
        run = run or row.get("run_uid")
        if row.get("run_uid") not in (None, run):
            raise ProbeError(
                "samples of several runs", "those of one", "export one run alone",
                where=f"{path}, line {line}",
            )  # fmt: skip
        try:
            if int(row.get("probe") or probe) != probe:
                continue
            yield _sample(row)
        except (ValueError, TypeError, KeyError) as error:
            raise ProbeError(
                "a line that is no sample", _EXPECTED, "correct or export it again",
                where=f"{path}, line {line}",
            ) from error  # fmt: skip


def _sample(row: Mapping[str, str | None]) -> Recorded:
    said = {key: value for key, value in row.items() if value}
    at_s = float(said["at_s"]) if "at_s" in said else 1e-3 * float(said["at_ms"])
    fault = Fault(said["fault"]) if "fault" in said else None
    celsius = float(said["celsius"]) if "celsius" in said else None
    if not math.isfinite(at_s) or (celsius is None) == (fault is None):
        raise ValueError
    if celsius is not None and not math.isfinite(celsius):
        raise ValueError
    return Recorded(at_s, celsius, fault)
