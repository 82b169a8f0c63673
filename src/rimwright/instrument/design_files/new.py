"""The commented file that the answers to eight questions make."""

from __future__ import annotations

import json
import os
import re
import unicodedata
from collections.abc import Mapping
from pathlib import Path

from rimwright.errors import OutputError
from rimwright.files import make_folder, write_atomically
from rimwright.instrument.design_files.load import SHOP_NAME, design_from_text, load_shop
from rimwright.instrument.design_files.new_text import DESIGN_TEXT, SHOP_TEXT
from rimwright.instrument.design_files.quantity import BODY_LENGTH, BODY_WIDTH, RIM_DEPTH
from rimwright.instrument.design_files.questions import (
    NO_WOOD,
    QUESTIONS,
    Question,
    drawing_of,
    questions,
    several,
)

__all__ = ["QUESTIONS", "Question", "questions", "write_new_design"]


def write_new_design(answers: Mapping[str, str], folder: Path) -> Path:
    """Write a commented design file, and a shop file beside it where there is none.

    Parameters
    ----------
    answers : mapping
        By the keys of `QUESTIONS`; what is left out or empty takes the default.
    folder : Path
        Where the files go; made if it is not there.

    Returns
    -------
    Path
        The design file, named after the model.

    Raises
    ------
    DesignError
        If an answer cannot be; nothing is written.
    OutputError
        If the file is there already or cannot be written.
    """
    shop = folder / SHOP_NAME
    asked = questions(load_shop(shop).own_woods)
    full = {q.key: answers.get(q.key, "").strip() or q.default for q in asked}
    for question in asked:
        if question.needed(full):
            question.check(full[question.key])
    path = folder / f"{file_stem(full['name'])}.rim.toml"
    if path.exists():
        raise OutputError(
            "a file of that name", "none, so that nothing is lost",
            "answer another name or move the file away", where=str(path),
        )  # fmt: skip
    text = DESIGN_TEXT.format(
        name=_quoted(full["name"]),
        player=_quoted(full["player"].lower()),
        show=_quoted("inch" if _in_inches(full) else "metric"),
        outline=_outline_text(full, folder),
        depth_tail=_quoted(several(full["depths"], 2, RIM_DEPTH)[0]),
        depth_neck=_quoted(several(full["depths"], 2, RIM_DEPTH)[1]),
        sides=_sides_text(full),
    )
    design_from_text(text, path)
    make_folder(folder)
    if not shop.exists():
        write_atomically(shop, SHOP_TEXT)
    write_atomically(path, text)
    return path


def file_stem(name: str) -> str:
    """A name as a file can bear it.

    Examples
    --------
    >>> file_stem("Wren No. 7")
    'wren-no-7'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60] or "design"


def _quoted(text: str) -> str:
    """The text as a TOML string, which is written as JSON writes it."""
    return json.dumps(text, ensure_ascii=False)


def _in_inches(answers: Mapping[str, str]) -> bool:
    return bool(re.search(r'in|"|″|ft|thou', answers["depths"]))


def _outline_text(answers: Mapping[str, str], folder: Path) -> str:
    drawing = drawing_of(answers["outline"])
    if drawing is not None:
        name, length = drawing
        known = f"body_length = {_quoted(length)}" if length else '# body_length = "330 mm"'
        # A relative answer is meant from where the maker stands; the file looks from its folder.
        place = Path(name) if Path(name).is_absolute() else Path(os.path.relpath(name, folder))
        return (
            "[outline.drawing]\n"
            f"file = {_quoted(place.as_posix())}\n"
            f"{known}  # the one known length, for a scan or a trace without scale\n"
            '# units = "mm"            # if the drawing does not say its unit\n'
            '# layer = "outline"       # if it takes the wrong lines\n'
        )
    length_m = BODY_LENGTH.read(answers["outline"])
    lower, waist, upper = several(answers["widths"], 3, BODY_WIDTH)
    text = (
        "[outline.landmarks]\n"
        f"body_length = {_quoted(answers['outline'])}\n"
        "# Stations are measured from the tail seam along the centreline: measure yours.\n"
        f"lower_bout = {{ width = {_quoted(lower)}, station = {_mm(0.25 * length_m)} }}\n"
        f"waist = {{ width = {_quoted(waist)}, station = {_mm(0.57 * length_m)} }}\n"
        f"upper_bout = {{ width = {_quoted(upper)}, station = {_mm(0.79 * length_m)} }}\n"
        '# tail_fullness = "78 %"      # how square the tail is; left out: the fairest curve\n'
        '# shoulder_fullness = "78 %"\n'
    )
    if answers["cutaway"].lower() == "none":
        return text
    horn = f"horn_radius = {_mm(0.047 * length_m)}\n" if answers["cutaway"] == "rounded" else ""
    return (
        f"{text}\n[outline.landmarks.cutaway]  # on the treble side; a first proposal\n"
        f"kind = {_quoted(answers['cutaway'].lower())}\n"
        f"depth = {_mm(0.087 * length_m)}         # the horn stops this short of the neck end\n"
        f"{horn}"
        f"scoop_radius = {_mm(0.072 * length_m)}\n"
        f"neck_half_width = {_mm(0.06 * length_m)}\n"
    )


def _mm(length_m: float) -> str:
    return _quoted(f"{length_m * 1e3:.0f} mm")


def _sides_text(answers: Mapping[str, str]) -> str:
    wood = answers["wood"]
    thickness = answers["thickness"]
    if wood.lower() in NO_WOOD:
        advised = thickness.lower() == "advise"
        return '# wood = "black walnut"   # no wood named: no advice and no odds\n' + (
            '# thickness = "2.1 mm"    # left out: the usual\n'
            if advised
            else f"thickness = {_quoted(thickness)}\n"
        )
    return f"wood = {_quoted(wood)}\nthickness = {_quoted(thickness)}\n"
