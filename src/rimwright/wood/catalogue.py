"""The list of woods: from the package's tables, and a maker's own beside them."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

import rimwright.wood.sources  # noqa: F401  (registers what the tables cite)
from rimwright.errors import DesignError, UnknownNameError
from rimwright.wood.species import Wood, WoodValue, kind_of

#: Keys of a maker's own wood that become a value, and the quantity they are.
_OWN_VALUES = {
    "gravity_12": "gravity 12 %",
    "moe_gpa": "moe 12 %",
    "mor_mpa": "mor 12 %",
    "shrinkage_radial_percent": "shrinkage radial",
    "shrinkage_tangential_percent": "shrinkage tangential",
    "radius_per_thickness": "radius per thickness unsupported",
}
_OWN_WORDS = ("botanical", "class", "dust", "ease", "figure", "like", "source")
_OWN_KEYS = (*_OWN_VALUES, *_OWN_WORDS, "oily")


def _table(name: str) -> list[dict[str, str]]:
    text = (files("rimwright.wood") / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def all_woods() -> tuple[Wood, ...]:
    """Every wood of the package, by name.

    Examples
    --------
    >>> len(all_woods()) >= 24
    True
    """
    values: defaultdict[str, list[WoodValue]] = defaultdict(list)
    for row in _table("values.csv"):
        value = float(row["value"])
        values[row["wood"]].append(
            WoodValue(
                row["quantity"],
                value,
                float(row["low"] or value),
                float(row["high"] or value),
                row["reached"],
                row["confidence"],
                row["source"],
                row["note"],
            )
        )
    woods = (
        Wood(
            name=row["name"],
            botanical=row["botanical"],
            aliases=tuple(row["aliases"].split(";")) if row["aliases"] else (),
            kind=kind_of(row["kind"]),
            oily=row["oily"] == "yes",
            dust=row["dust"],
            ease=row["ease"],
            figure=row["figure"],
            values=tuple(values[row["name"]]),
        )
        for row in _table("woods.csv")
    )
    return tuple(sorted(woods, key=lambda wood: wood.name.lower()))


@cache
def _by_name() -> dict[str, Wood]:
    names = {alias.lower(): wood for wood in all_woods() for alias in wood.aliases}
    return names | {
        spelling: wood
        for wood in all_woods()
        for spelling in (wood.name.lower(), wood.botanical.lower())
    }


def find(name: str, own: Mapping[str, Mapping[str, object]] | None = None) -> Wood:
    """The wood of that name, trade name or botanical name; the maker's own come first.

    Parameters
    ----------
    name : str
        In any case.
    own : mapping, optional
        The shop's own woods by name, as the shop file has them.

    Raises
    ------
    UnknownNameError
        With the closest names, if there is none.
    DesignError
        If the shop's own wood of that name has a key or a value that cannot be.

    Examples
    --------
    >>> find("Dalbergia latifolia").name
    'Indian rosewood'
    """
    wanted = " ".join(name.lower().split())
    for spelling, table in (own or {}).items():
        if " ".join(spelling.lower().split()) == wanted:
            return own_wood(spelling, table)
    try:
        return _by_name()[wanted]
    except KeyError:
        known = [*_by_name(), *(spelling.lower() for spelling in own or {})]
        near = get_close_matches(wanted, known, n=3, cutoff=0.6)
        close = f"one of the list, perhaps {' or '.join(near)}" if near else "one of the list"
        raise UnknownNameError(f"no wood named '{name}'", close, "run `rimwright woods`") from None


def own_wood(name: str, table: Mapping[str, object]) -> Wood:
    """A maker's own wood from its table in the shop file; `like` lends what it leaves out.

    Raises
    ------
    DesignError
        For an unknown key, a value of the wrong kind, or neither `like` nor `class`.

    Examples
    --------
    >>> shop = own_wood("pond walnut", {"like": "black walnut", "radius_per_thickness": 12.5})
    >>> shop.kind, shop.unsupported_radius.middle
    ('diffuse-porous', 12.5)
    """
    where = f"wood '{name}'"
    for key in table:
        if key not in _OWN_KEYS:
            near = get_close_matches(key, _OWN_KEYS, n=1)
            raise DesignError(
                f"key '{key}'",
                f"one of {', '.join(_OWN_KEYS)}",
                f"write {near[0]}" if near else "take it out",
                where=where,
            )
    words = {key: _word(table[key], key, where) for key in _OWN_WORDS if key in table}
    if "like" not in words and "class" not in words:
        raise DesignError("no class", "`class` or `like`", "name the class", where=where)
    base = find(words["like"]) if "like" in words else None
    told = f"the shop's own, {words['source']}" if "source" in words else "the shop's own"
    measured = tuple(
        WoodValue(quantity, number, number, number, "shop", "high", "", told)
        for key, quantity in _OWN_VALUES.items()
        if key in table
        for number in [_number(table[key], key, where)]
    )
    own = {row.quantity for row in measured}
    lent = tuple(row for row in (base.values if base else ()) if row.quantity not in own)
    oily = table.get("oily", base.oily if base else False)
    if not isinstance(oily, bool):
        raise DesignError(f"oily = {oily!r}", "true or false", "write one", where=where)
    return Wood(
        name=name,
        botanical=words.get("botanical", base.botanical if base else ""),
        aliases=(),
        kind=kind_of(words.get("class", base.kind if base else ""), where=where),
        oily=oily,
        dust=words.get("dust", base.dust if base else ""),
        ease=words.get("ease", base.ease if base else ""),
        figure=words.get("figure", base.figure if base else ""),
        values=measured + lent,
    )


def _word(value: object, key: str, where: str) -> str:
    if isinstance(value, str):
        return str(value)
    raise DesignError(f"{key} = {value!r}", "text in quotes", "write it as text", where=where)


def _number(value: object, key: str, where: str) -> float:
    if isinstance(value, int | float) and not isinstance(value, bool) and 0.0 < value < 1e4:
        return float(value)
    raise DesignError(
        f"{key} = {value!r}", "a positive number", "the unit is in the key's name", where=where
    )
