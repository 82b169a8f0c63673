"""The steps before the heat: wood, marks, tape, water, stack, checks."""

from __future__ import annotations

from rimwright.bending import cautions
from rimwright.bending.bench import Bench
from rimwright.bending.recipe_thickness import thickness_step
from rimwright.bending.results import Step
from rimwright.equipment.stack import Layer
from rimwright.sources import Provenance, Sourced
from rimwright.units import time_text


def cold_steps(bench: Bench) -> tuple[Step, ...]:
    """From the board to the closed stack, in order."""
    strips = (_bundle(bench),) if bench.design.strips else ()
    return (
        thickness_step(bench),
        _choose(bench),
        _mark(bench),
        _profile(bench),
        _tape(bench),
        *strips,
        _checks(bench),
        _wet(bench),
        _stand(bench),
        _stack(bench),
        _probe(bench),
        _clamp(),
    )


def _choose(bench: Bench) -> Step:
    mirrored = " Left-handed: the outside faces are mirrored." * (bench.design.player == "left")
    return Step(
        key="choose",
        title="Choose face, edge and end",
        do="Open the pair like a book. Write OUTSIDE, TOP, BACK, TAIL and NECK on the wood of "
        f"each side; a bass and a treble, never two alike.{mirrored}",
        watch="knots, checks and run-out away from the tight bends; slide the pattern if needed",
        why="a matched mate can seldom be bought",
    )


def _mark(bench: Bench) -> Step:
    waists = [
        f"{side.rim.hand} {bench.length(mark.s_middle_m)}"
        for side in bench.sides
        for mark in side.marks
        if mark.name == "waist"
    ]
    where = f" (waist from the tail seam: {', '.join(waists)})" if waists else ""
    on_slats = " Carry the waist mark on to slats and blanket." if waists else ""
    return Step(
        key="mark",
        title="Mark",
        do=f"Lay the paper strip, wood edge, along each side and carry every mark over{where}."
        f"{on_slats}",
        watch="measure from the tail seam, not from the end of the board",
        why="a slipped mark puts both bouts off",
    )


def _profile(bench: Bench) -> Step:
    proud = bench.length(bench.design.sides.proud_m)
    return Step(
        key="profile",
        title="Profile, or leave square",
        do=f"Either saw both edges to the proud line, {proud} outside the pattern, or leave the "
        "blank square and profile after the bend.",
        watch="a straight taper is wrong on a domed plate: keep to the drawn edge",
        why="profiled edges leave no room for a slipped mark; square blanks cup a little more",
    )


def _tape(bench: Bench) -> Step:
    def told(kind: str) -> list[str]:
        return [
            f"{piece.hand} {zone.name}, {zone.tension_face} face, "
            f"{bench.length(zone.from_middle_m)} to {bench.length(zone.to_middle_m)}"
            for piece in bench.check.pieces
            for zone in piece.zones
            if zone.kind == kind
        ]

    taped, backed = told("tape"), told("support")
    do = f"Tape {'; '.join(taped)}." if taped else "No bend is tight enough to want tape."
    if backed:
        do += f" Keep a slat or strap close against {'; '.join(backed)}."
    return Step(
        key="tape",
        title="Tape the tight bends",
        do=do,
        watch="tape on the face in tension: outside at bouts and horn, inside at waist and scoop",
        why="tape or a backing slat carries the fibres over a weak place",
    )


def _bundle(bench: Bench) -> Step:
    names = ", ".join(
        f"{strip.count} × {strip.name}" if strip.count > 1 else strip.name
        for strip in bench.design.strips
    )
    glued = (
        " Glue lines may open in the heat: bend them unglued or cold."
        if any(strip.pre_glued for strip in bench.design.strips)
        else ""
    )
    return Step(
        key="bundle",
        title="Make up the bundle",
        do=f"Lay {names} with the side, loose, tied with thread away from the tight bends.{glued}",
        watch="layers must be able to slide: no tape across the whole bundle",
        why="loose layers bend each on its own radius; held ones break the outer",
    )


def _checks(bench: Bench) -> Step:
    return Step(
        key="checks",
        title="Before the heat",
        do="From here to the release one piece at a time. Form fitted against the side in hand. "
        "Its mate on the bench. Cut-out and timer tested. Water put away. Somebody stays.",
        watch="the label on the form and the label on the side say the same model and hand",
        why="the wrong form in the bender is the commonest plain slip",
        cautions=(*cautions.ELECTRICAL, *cautions.CUT_OUT, *cautions.FIRE),
    )


_WETTING = {
    "dry": "Leave the side dry; wipe both faces with a damp cloth at most.",
    "mist": "Mist both faces evenly with clean water until they look wet and nothing runs.",
    "dip": "Draw the side through clean water, both faces, and let it drip off.",
    "soak": "Soak the side in clean water",
}


def _wet(bench: Bench) -> Step:
    wetting = bench.design.wetting
    do = _WETTING[wetting.method]
    time = None
    if wetting.method == "soak":
        do += f" for {time_text(wetting.duration_s)}, then let it drip off."
    if wetting.duration_s:
        time = Sourced(
            middle=wetting.duration_s,
            low=wetting.duration_s,
            high=wetting.duration_s,
            provenance=Provenance.ASSUMED,
            note="as the design says",
        )
    return Step(
        key="wet",
        title="Wet",
        do=do,
        duration_s=time,
        watch="both faces alike, or the side curls; iron and tannin stain: no bare steel wool",
        why="water lowers the heat at which wood softens; too much swells figure and cups",
        cautions=cautions.WATER,
    )


def _stand(bench: Bench) -> Step:
    stand = bench.design.wetting.stand_s
    return Step(
        key="stand",
        title="Stand, wrapped",
        do=f"Wrap and leave for {time_text(stand)}.",
        duration_s=Sourced(
            middle=stand, low=0.5 * stand, high=2.0 * stand, provenance=Provenance.PRACTICE
        ),
        watch="wrap closed at both ends",
        why="water needs time from the faces inwards",
    )


def layer_words(layer: Layer, bench: Bench) -> str:
    """A layer as it is read off the stack: "spring steel slat 0.25 mm"."""
    if layer.kind == "side":
        return "side"
    if layer.kind == "blanket":
        return "blanket"
    return f"{layer.material} {layer.kind} {bench.length(layer.thickness_m, fine=True)}"


def _stack(bench: Bench) -> Step:
    order = ", ".join(layer_words(layer, bench) for layer in bench.design.equipment.layers)
    assumed = " This stack is ASSUMED: say yours in shop.toml." * bench.design.equipment.assumed
    return Step(
        key="stack",
        title="Stack up",
        do=f"From the form outwards: {order}. OUTSIDE of the side away from the form.{assumed}",
        watch="waist marks of wood, slats and blanket in one line, edges flush",
        why="the form is drawn for exactly this stack",
        cautions=cautions.SLAT_EDGES,
    )


def _probe(bench: Bench) -> Step:
    layers = bench.design.equipment.layers
    index = min(max(bench.design.equipment.probe_above_layer, 0), len(layers) - 1)
    below = layer_words(layers[index], bench)
    above = layer_words(layers[index + 1], bench) if index + 1 < len(layers) else "open air"
    return Step(
        key="probe",
        title="Probe in",
        do=f"Lay the probe between {below} and {above}, near the waist, its lead tied down.",
        watch="a probe that slips out reads low, and the heat runs away",
        why="the probe is the only word you have of how hot the wood is",
    )


def _clamp() -> Step:
    return Step(
        key="clamp",
        title="Clamp lightly",
        do="Lay the stack on the form, waist mark under the waist ram, and bring the ram down "
        "until it just holds. Ends free.",
        watch="marks still level after the ram touches",
        why="layers that touch all along heat evenly",
        cautions=cautions.PINCH,
    )
