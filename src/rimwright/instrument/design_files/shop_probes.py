"""The probes of the shop file made into settings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from rimwright.equipment.probe_kinds import ReplaySettings
from rimwright.equipment.probe_wires import refuse_clashes
from rimwright.equipment.probes import ProbeSettings
from rimwright.errors import ProbeError
from rimwright.instrument.design_files.check import at_key

if TYPE_CHECKING:
    from rimwright.instrument.design_files.probe_tables import ProbeTable


def probes(tables: Sequence[ProbeTable], text: str, path: Path) -> tuple[ProbeSettings, ...]:
    """The probes of a shop file, in its order; recordings are looked for beside it.

    Raises
    ------
    DesignError
        If two do not go together; one line with the place of the later.
    """
    made: list[ProbeSettings] = []
    for number, table in enumerate(tables):
        made.append(_beside(table.settings(), path.parent))
        try:
            refuse_clashes(made)
        except ProbeError as error:
            raise at_key(("probes", number, error.where), text, path, error) from error
    return tuple(made)


def _beside(probe: ProbeSettings, folder: Path) -> ProbeSettings:
    how = probe.how
    if isinstance(how, ReplaySettings) and how.run is None:
        return replace(probe, how=replace(how, recording=str(folder / how.recording)))
    return probe
