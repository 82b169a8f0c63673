"""The eight questions that begin a new design."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from rimwright.errors import DesignError, RimwrightError
from rimwright.instrument.design_files.quantity import (
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
NO_WOOD = ("", "none")
OwnWoods = Mapping[str, Mapping[str, object]]


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


def several(answer: str, count: int, bounds: Quantity) -> list[str]:
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
    several(answer, 3, BODY_WIDTH)


def _depths(answer: str) -> None:
    several(answer, 2, RIM_DEPTH)


def _wood(own_woods: OwnWoods) -> Callable[[str], None]:
    def check(answer: str) -> None:
        if answer.strip().lower() not in NO_WOOD:
            from rimwright.wood.catalogue import find

            find(answer.strip(), own_woods)

    return check


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


def questions(own_woods: OwnWoods) -> tuple[Question, ...]:
    """The eight questions, in the order they are asked; a shop's own woods will do as wood."""
    return (
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
            _wood(own_woods),
        ),
        _question(
            "thickness",
            'How thick are the sides when they are bent ("advise" to be told the greatest)?',
            "advise",
            _thickness,
        ),
    )


#: The questions as they are put where there is no shop file yet.
QUESTIONS: tuple[Question, ...] = questions({})
