"""The check before the heat: what to see, what to answer, and what stops."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rimwright.live.label_codes import LabelKind, check_code, read_code
from rimwright.live.run_plan import Question, RunPlan
from rimwright.live.run_state import Answer

__all__ = [
    "check_code",
    "mismatch",
    "no_words",
    "open_questions",
    "question_for_code",
    "questions_for",
    "ready",
]

#: What a "no" means, in one large sentence. Questions without one get a plain one.
_NO = {
    "form": "Wrong form: fit the form of this side before anything is heated.",
    "hand": "Wrong side: take the side that this run is for, or begin a run for the one in hand.",
    "mate": "Its mate is not by: make sure that this is not the second of the same hand.",
    "face": "Wrong face: turn the side so that OUTSIDE is away from the form.",
    "marks": "The marks are not level: take the ram up and lay the stack anew.",
    "tape": "The tight bends are not taped or backed: open the stack and do it now.",
    "bundle": "The bundle is not complete: lay the strips in before the stack is closed.",
    "stack": "The stack is not in order: lay it anew, from the form outwards.",
    "probe": "The probe is not where the plan says: without it nobody knows how hot the wood is.",
    "clamps": "The clamps are not ready: get them before the wood is hot.",
    "wires": "The wires are not in order: leave the plug out until they are.",
    "water": "Water stands near the mains: put it away and dry your hands.",
    "cut_out": "No tested cut-out: fit an independent over-temperature cut-out with its own "
    "sensor and a mechanical timer, and test both, before this bender is heated.",
    "person": "Nobody stays: do not begin the heat.",
}


def questions_for(
    *,
    model: str,
    hand: str,
    piece: str,
    player: str,
    mark: str,
    tape: Sequence[str],
    strips: Sequence[str],
    stack: Sequence[str],
    probe: str,
    first_use: bool,
) -> tuple[Question, ...]:
    """The questions of one run, in the order in which the eye goes round the bench.

    Parameters
    ----------
    model, hand, piece, player : str
        Which side of which instrument.
    mark : str
        Name of the mark that goes on slats and blanket too; "" if the piece has none.
    tape : sequence of str
        Stretches to tape or back; empty: not asked.
    strips : sequence of str
        What is bent with the side; empty: not asked.
    stack : sequence of str
        Layers from the form outwards.
    probe : str
        Where the probe lies.
    first_use : bool
        Nobody has yet said here that a cut-out is fitted and tested: it must be answered.

    Notes
    -----
    Form, face, wires and a person present block until they are answered; the rest is shown
    for the eye, so that a long list is not tapped through. A "no" to any of them stops.
    """
    side = f"{hand} {'return' if piece == 'return' else 'side'}"
    other = "treble" if hand == "bass" else "bass"
    mate = (
        f"The {hand} side that it meets at the horn lies by."
        if piece == "return"
        else f"Its mate, the {other} side, lies by: a bass and a treble, never two alike."
    )
    marks = f"{mark.capitalize()} marks of wood, slats and blanket in one line, " if mark else ""
    cut_out = (
        "First use: an independent over-temperature cut-out with its own sensor, and a "
        "mechanical timer, are fitted to this bender, and both were tested. This program only "
        "watches; it switches nothing."
        if first_use
        else "Cut-out and mechanical timer tested."
    )
    asked = [
        Question(
            key="form",
            words=f"Form fitted: {model}, {side}, {player}-handed.",
            blocking=True,
            expected_kind="form",
        ),
        Question(key="hand", words=f"Side in hand: {model}, {side}.", expected_kind="side"),
        Question(key="mate", words=mate),
        Question(key="face", words="OUTSIDE of the side is away from the form.", blocking=True),
        Question(key="marks", words=_sentence(f"{marks}edges flush.")),
    ]
    if tape:
        asked.append(Question(key="tape", words=_sentence("; ".join(tape) + ".")))
    if strips:
        names = ", ".join(strips)
        asked.append(
            Question(key="bundle", words=f"Bundle complete with the side, loose: {names}.")
        )
    order = ", ".join(stack)
    asked += [
        Question(key="stack", words=f"Stack from the form outwards: {order}."),
        Question(key="probe", words=f"Probe {probe}, its lead tied down."),
        Question(key="clamps", words="The ram just holds, ends free; every clamp within reach."),
        Question(
            key="wires",
            words="Wires: blanket and leads without nicks or burnt spots; slats and frame "
            "earthed; supply through a residual-current device.",
            blocking=True,
        ),
        Question(
            key="water", words="Water, spray and tray away from plugs, dials and leads; hands dry."
        ),
        Question(key="cut_out", words=cut_out, blocking=first_use),
        Question(
            key="person",
            words="Somebody stays beside the heat until it is unplugged.",
            blocking=True,
        ),
    ]
    return tuple(asked)


def no_words(question: Question) -> str:
    """What a "no" to it means, in one large sentence."""
    return _NO.get(question.key, f"Not so: {question.words}")


def question_for_code(plan: RunPlan, text: str) -> tuple[Question, LabelKind] | None:
    """The question that a scanned label answers by its kind; None where none does."""
    code = read_code(text)
    if code is None:
        return None
    for question in plan.questions:
        if question.expected_kind == code.kind or (code.kind, question.key) == ("slats", "stack"):
            return question, code.kind
    return None


def open_questions(plan: RunPlan, answers: Mapping[str, Answer]) -> tuple[Question, ...]:
    """Those that block and are not answered with yes."""
    return tuple(
        question
        for question in plan.questions
        if question.blocking
        and (question.key not in answers or answers[question.key].answer != "yes")
    )


def mismatch(plan: RunPlan, answers: Mapping[str, Answer]) -> str | None:
    """What stops the run, in one large sentence; None where nothing does."""
    for question in plan.questions:
        answer = answers.get(question.key)
        if answer is not None and answer.answer == "no":
            return answer.words or no_words(question)
    return None


def ready(plan: RunPlan, answers: Mapping[str, Answer]) -> bool:
    """Whether the heat may begin: all that blocks is answered, nothing is amiss."""
    return not open_questions(plan, answers) and mismatch(plan, answers) is None


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
