"""The probes of a run: by their name in the shop file, or as they are written out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rimwright.equipment.probe_wires import refuse_clashes
from rimwright.equipment.probes import ProbeSettings, parse_probe
from rimwright.errors import ProbeError


def shop_probes(shop: Path | None) -> tuple[ProbeSettings, ...]:
    """Those of the shop file; none without one.

    Raises
    ------
    DesignError
        If the file cannot be read.
    """
    if shop is None:
        return ()
    from rimwright.instrument.design_files.load import load_shop

    return load_shop(shop).probes


def shop_beside(path: Path) -> Path | None:
    """The shop file in the folder of a plan or design, if there is one."""
    beside = (path if path.is_dir() else path.parent) / "shop.toml"
    return beside if beside.is_file() else None


def chosen_probes(
    texts: Sequence[str], known: Sequence[ProbeSettings]
) -> tuple[ProbeSettings, ...]:
    """The probes that a run is to have.

    Parameters
    ----------
    texts : sequence of str
        Names in the shop file, or probes as the command line writes them; none: all of the
        shop's.
    known : sequence of ProbeSettings
        Of the shop file.

    Raises
    ------
    ProbeError
        If there is none, a name is not known, or two have the same name.
    """
    by_name = {one.name: one for one in known}
    chosen = tuple(
        by_name[text] if text in by_name else parse_probe(text) for text in texts
    ) or tuple(known)
    return distinct(*chosen)


def distinct(*chosen: ProbeSettings) -> tuple[ProbeSettings, ...]:
    """The probes of a run, if there is one and each has its own name.

    Raises
    ------
    ProbeError
        If not.
    """
    if not chosen:
        raise ProbeError(
            "no probe", "one at least: a run without a reading is not watched",
            "say --probe, such as waist=serial:/dev/ttyUSB0,column=2, or name it in shop.toml",
        )  # fmt: skip
    refuse_clashes(chosen)
    return chosen
