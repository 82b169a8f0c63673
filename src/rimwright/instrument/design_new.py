"""The eight questions that begin a new design, and the commented file they make."""

from __future__ import annotations

import json
import os
import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from rimwright.errors import DesignError, OutputError, RimwrightError
from rimwright.files import make_folder, write_atomically
from rimwright.instrument.design_file import SHOP_NAME, design_from_text, shop_from_text
from rimwright.instrument.design_new_text import DESIGN_TEXT, SHOP_TEXT
from rimwright.instrument.design_quantity import (
    BODY_LENGTH,
    BODY_WIDTH,
    RIM_DEPTH,
    SIDE_THICKNESS,
    Quantity,
    RefusedError,
    short,
)

_DRAWINGS = (".dxf", ".svg", ".png", ".jpg", ".jpeg")
_UNIT = re.compile(r"[^\d\s./+-][^\d]*$")
_NO_WOOD = ("", "none")


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question of `rimwright new`."""

    key: str
    #: As it is put to the maker.
    text: str
    #: Taken when nothing is answered.
    default: str
    #: Raises a DesignError if the answer cannot be.
    check: Callable[[str], None]
    #: A drawing answers it already; `needed` then says no.
    unless_drawn: bool = False

    def needed(self, answers: Mapping[str, str]) -> bool:
        """Whether it is still open after the answers given so far."""
        return not (self.unless_drawn and drawing_of(answers.get("outline", "")))


def drawing_of(answer: str) -> tuple[str, str | None] | None:
    """Drawing and its known body length, if the answer on the outline names a drawing.

    Examples
    --------
    >>> drawing_of("curlew.png, 330 mm")
    ('curlew.png', '330 mm')
    >>> drawing_of("470 mm") is None
    True
    """
    name, comma, length = answer.rpartition(",")
    if not comma or not name.strip().lower().endswith(_DRAWINGS):
        name, length = answer, ""
    name = name.strip()
    return (name, length.strip() or None) if name.lower().endswith(_DRAWINGS) else None


def _several(answer: str, count: int, bounds: Quantity) -> list[str]:
    """So many quantities between commas; a unit at the end holds for all before it."""
    parts = [part.strip() for part in answer.split(",")]
    if len(parts) != count:
        raise RefusedError(
            short(answer), f"{count} lengths with commas between them", "answer it again"
        )
    unit = _UNIT.search(parts[-1])
    told = [
        part if _UNIT.search(part) or unit is None else f"{part} {unit.group().strip()}"
        for part in parts
    ]
    for part in told:
        bounds.read(part)
    return told


def _name(answer: str) -> None:
    if not answer.strip() or len(answer) > 80 or not answer.isprintable():
        raise RefusedError(short(answer), "a name of 1 to 80 characters", "answer it again")


def _one_of(*choices: str) -> Callable[[str], None]:
    def check(answer: str) -> None:
        if answer.strip().lower() not in choices:
            raise RefusedError(short(answer), " or ".join(choices), "answer with one of them")

    return check


def _outline(answer: str) -> None:
    drawing = drawing_of(answer)
    length = answer if drawing is None else drawing[1]
    if length is not None:
        BODY_LENGTH.read(length)


def _widths(answer: str) -> None:
    _several(answer, 3, BODY_WIDTH)


def _depths(answer: str) -> None:
    _several(answer, 2, RIM_DEPTH)


def _wood(answer: str) -> None:
    if answer.strip().lower() not in _NO_WOOD:
        from rimwright.wood.catalogue import find

        find(answer.strip())


def _thickness(answer: str) -> None:
    if answer.strip().lower() != "advise":
        SIDE_THICKNESS.read(answer)


def _asked(check: Callable[[str], None], key: str) -> Callable[[str], None]:
    """The same check, its refusal told with the question's key."""

    def told(answer: str) -> None:
        try:
            check(answer)
        except (RimwrightError, RefusedError) as error:
            raise DesignError(error.found, error.expected, error.next_step, where=key) from error

    return told


def _question(
    key: str, text: str, default: str, check: Callable[[str], None], *, unless_drawn: bool = False
) -> Question:
    return Question(
        key=key, text=text, default=default, check=_asked(check, key), unless_drawn=unless_drawn
    )


#: The eight questions, in the order they are asked.
QUESTIONS: tuple[Question, ...] = (
    _question("name", "What is the model called?", "First guitar", _name),
    _question(
        "player",
        "Is the player right-handed or left-handed (right, left)?",
        "right",
        _one_of("right", "left"),
    ),
    _question(
        "outline",
        "Where is the outline: a drawing (DXF, SVG, PNG, JPEG; for a scan or a trace its body "
        'length too, such as "scan.png, 330 mm"), or no drawing, just the length of the body?',
        "470 mm",
        _outline,
    ),
    _question(
        "widths",
        "How wide are lower bout, waist and upper bout?",
        "356, 222, 268 mm",
        _widths,
        unless_drawn=True,
    ),
    _question(
        "cutaway",
        "What cutaway has it (none, rounded, pointed)?",
        "none",
        _one_of("none", "rounded", "pointed"),
        unless_drawn=True,
    ),
    _question(
        "depths",
        "How deep is the rim at the tail and at the neck, without the plates?",
        "100, 85 mm",
        _depths,
    ),
    _question(
        "wood",
        'Which wood are the sides of (`rimwright woods` lists them; "none" for no advice)?',
        "black walnut",
        _wood,
    ),
    _question(
        "thickness",
        'How thick are the sides when they are bent ("advise" to be told the greatest)?',
        "advise",
        _thickness,
    ),
)


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
    full = {q.key: answers.get(q.key, "").strip() or q.default for q in QUESTIONS}
    for question in QUESTIONS:
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
        depth_tail=_quoted(_several(full["depths"], 2, RIM_DEPTH)[0]),
        depth_neck=_quoted(_several(full["depths"], 2, RIM_DEPTH)[1]),
        sides=_sides_text(full),
    )
    shop = folder / SHOP_NAME
    design_from_text(text, path)
    shop_from_text(SHOP_TEXT, shop)
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
    lower, waist, upper = _several(answers["widths"], 3, BODY_WIDTH)
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
    if wood.lower() in _NO_WOOD:
        advised = thickness.lower() == "advise"
        return '# wood = "black walnut"   # no wood named: no advice and no odds\n' + (
            '# thickness = "2.1 mm"    # left out: the usual\n'
            if advised
            else f"thickness = {_quoted(thickness)}\n"
        )
    return f"wood = {_quoted(wood)}\nthickness = {_quoted(thickness)}\n"
