"""Open what a maker names: a design file, or a bare drawing with a few answers."""

from __future__ import annotations

from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any, Literal, cast

from rimwright.errors import DesignError, UnitError
from rimwright.instrument.design import Design, Drawing, OutlineLine
from rimwright.instrument.drawings.guard import start_reader_early
from rimwright.instrument.outline import View
from rimwright.units import parse

DRAWINGS = (".dxf", ".svg", ".png", ".jpg", ".jpeg")


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingAnswers:
    """What a maker may say about a bare drawing, as text; a design file says it itself."""

    name: str | None = None
    depth_tail: str | None = None
    depth_neck: str | None = None
    back_radius: str | None = None
    top_radius: str | None = None
    thickness: str | None = None
    wood: str | None = None
    line: str | None = None
    player: str | None = None
    seen_from: str | None = None
    show: str | None = None
    drawing_units: str | None = None
    dpi: float | None = None
    body_length: str | None = None
    layer: str | None = None
    select: tuple[str, ...] = ()
    tail: str | None = None
    cutaway_side: str | None = None

    def given(self) -> tuple[str, ...]:
        """The options that were given, as they are typed."""
        return tuple(
            "--" + one.name.replace("_", "-") for one in fields(self) if getattr(self, one.name)
        )


def open_design(path: Path, answers: DrawingAnswers | None = None) -> Design:
    """The design of a file: read from a design file, or made from a bare drawing.

    Raises
    ------
    DesignError
        If the file is of no kind that is read, is not there, or an answer cannot be.
    """
    answers = answers or DrawingAnswers()
    kind = path.suffix.lower()
    if kind not in (*DRAWINGS, ".toml"):
        raise DesignError(
            f"a file ending in '{path.suffix}'" if path.suffix else "a file without an ending",
            "a design (*.rim.toml) or a drawing (DXF, SVG, PNG, JPEG)",
            "name one of these",
            where=path.name,
        )
    if not path.is_file():
        found = "a folder" if path.is_dir() else "no such file"
        raise DesignError(found, "a design or a drawing", "check the name", where=str(path))
    start_reader_early(path)
    if kind == ".toml":
        if answers.given():
            raise DesignError(
                f"{answers.given()[0]} beside a design file",
                "that the design file says it",
                f"write it in {path.name}",
            )
        from rimwright.instrument.design_files.load import load_design

        return load_design(path)
    return _from_drawing(path, answers)


def _from_drawing(path: Path, answers: DrawingAnswers) -> Design:
    from rimwright.instrument.design_files.bare import design_for_drawing
    from rimwright.instrument.design_files.load import load_shop

    shop = path.parent / "shop.toml"
    if answers.thickness == "advise" and answers.wood is None:
        raise DesignError(
            "--thickness advise without a wood",
            "a wood to advise for, or a thickness",
            "add --wood (see `rimwright woods`) or give a thickness such as 2.1mm",
        )
    thickness = None if answers.thickness == "advise" else answers.thickness
    return design_for_drawing(
        _drawing(path, answers),
        name=answers.name,
        depth_tail_m=_length(answers.depth_tail, "--depth-tail"),
        depth_neck_m=_length(answers.depth_neck, "--depth-neck"),
        back_radius_m=_length(answers.back_radius, "--back-radius"),
        top_radius_m=_length(answers.top_radius, "--top-radius"),
        thickness_m=_length(thickness, "--thickness"),
        wood=answers.wood,
        seen_from=cast("View | None", _choice(answers.seen_from, "--seen-from", "face", "back")),
        player=cast(
            'Literal["right", "left"] | None', _choice(answers.player, "--player", "right", "left")
        ),
        line=cast(
            "OutlineLine | None",
            _choice(answers.line, "--line", "outside", "inside", "overhang", "mould"),
        ),
        show=cast(
            'Literal["metric", "inch"]',
            _choice(answers.show, "--show", "metric", "inch") or "metric",
        ),
        shop=load_shop(shop) if shop.is_file() else None,
    )


def _drawing(path: Path, answers: DrawingAnswers) -> Drawing:
    unit = answers.drawing_units
    if answers.dpi is not None and not 10.0 <= answers.dpi <= 10_000.0:
        raise DesignError(
            f"--dpi {answers.dpi:g}", "10 to 10000 dots per inch", "give the scan's resolution"
        )
    return Drawing(
        path=path,
        layer=answers.layer,
        select=answers.select,
        unit_m=None if unit is None else _unit(unit),
        unit_name=unit,
        dots_per_inch=answers.dpi,
        body_length_m=_length(answers.body_length, "--body-length"),
        tail=cast(
            'Literal["left", "right", "top", "bottom"] | None',
            _choice(answers.tail, "--tail", "left", "right", "top", "bottom"),
        ),
        cutaway_side=cast(
            'Literal["bass", "treble"] | None',
            _choice(answers.cutaway_side, "--cutaway-side", "bass", "treble"),
        ),
    )


def _unit(name: str) -> float:
    """Metres of one unit of a drawing; pixels and points as in CSS, 96 and 72 to the inch."""
    screen = {"px": 0.0254 / 96, "pixel": 0.0254 / 96, "pt": 0.0254 / 72, "point": 0.0254 / 72}
    plain = name.strip().lower().removesuffix("s")
    if plain in screen:
        return screen[plain]
    try:
        return parse(f"1 {name}", "length", where="--drawing-units")
    except UnitError as error:
        raise DesignError(
            f"--drawing-units '{name}'", "one of mm, cm, m, in, ft, px, pt", "name the unit alone"
        ) from error


def _length(text: str | None, where: str) -> float | None:
    return None if text is None else parse(text, "length", where=where)


def _choice(text: str | None, where: str, *choices: str) -> Any:
    if text is not None and text not in choices:
        raise DesignError(
            f"{where} '{text}'", "one of " + ", ".join(choices), "choose one of these"
        )
    return text
