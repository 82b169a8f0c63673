"""The commands that say something of a run: answers, heat, notes, how the side came out."""

from __future__ import annotations

from collections.abc import Mapping

from rimwright.errors import RunError
from rimwright.live.asked import Asked
from rimwright.live.drafts import Draft
from rimwright.live.label_codes import check_code
from rimwright.live.questions import no_words, question_for_code
from rimwright.live.refusals import must_not_be_over
from rimwright.live.run_plan import Question
from rimwright.live.run_state import CHECK

#: How a side may come off the form, and where it shows.
OUTCOME_KINDS = (
    "sound", "hairline", "cracked", "scorched", "stained", "ripples", "cupped", "flat spot",
)  # fmt: skip
FACES = ("inside", "outside", "both", "")
_LONGEST_PLACE = 120
_LONGEST_STATION_M = 5.0
_LEAST_SHARE = 0.01


def hold(asked: Asked) -> tuple[Draft, ...]:
    """Wait: nobody moves on before somebody says so. Heat, waits and alarms go on."""
    must_not_be_over(asked)
    return asked.tap if asked.state.held else (asked.draft("held", words=asked.words()),)


def resume(asked: Asked) -> tuple[Draft, ...]:
    """Go on."""
    must_not_be_over(asked)
    return (asked.draft("resumed"),) if asked.state.held else asked.tap


def answer(asked: Asked) -> tuple[Draft, ...]:
    """One question of the check, by a tap or by a label's code."""
    must_not_be_over(asked)
    if asked.state.phase != CHECK:
        raise RunError(
            f"an answer at '{asked.here}'",
            "answers in the check before the heat",
            "go on to the check, or back to it",
        )
    code = asked.words("code")
    if code:
        return _scanned(asked, code)
    question = _question(asked)
    said = asked.words("answer")
    if said not in ("yes", "no"):
        raise RunError(f"'{said:.40}' as an answer", "'yes' or 'no'", "answer one of them")
    wrong = no_words(question) if said == "no" else ""
    return (asked.draft("answered", question=question.key, answer=said, code="", words=wrong),)


def _question(asked: Asked) -> Question:
    key = asked.words("question")
    for question in asked.plan.questions:
        if question.key == key:
            return question
    keys = ", ".join(question.key for question in asked.plan.questions)
    raise RunError(f"a question '{key:.40}'", f"one of {keys}", "answer one of them")


def _scanned(asked: Asked, code: str) -> tuple[Draft, ...]:
    """A label's code answers the question of its own kind, and only that."""
    plan = asked.plan
    found = question_for_code(plan, code)
    if found is None:
        raise RunError(
            f"the code '{code:.60}'",
            "a code from one of the printed labels",
            "scan the label of form or side, or look and tap",
        )
    question, kind = found
    if asked.words("question") not in ("", question.key):
        raise RunError(
            f"the label of the {kind}",
            f"an answer to: {_question(asked).words}",
            "scan the other label, or look and tap",
        )
    wrong = check_code(plan, code, kind)
    return (
        asked.draft(
            "answered",
            question=question.key,
            answer="yes" if wrong is None else "no",
            code=code,
            words=wrong or "",
        ),
    )


def heat_on(asked: Asked) -> tuple[Draft, ...]:
    """Somebody says that the heat is on, whatever the step: then it is watched."""
    _must_be_watched(asked)
    share = asked.number("share", _LEAST_SHARE, 1.0)
    share = 1.0 if share is None else share
    if not asked.state.heat.on:
        return (asked.draft("heat_on", share=share, seen=False),)
    if share == asked.state.heat.share:
        return asked.tap
    return (asked.draft("turned_down", share=share, assumed=False),)


def heat_off(asked: Asked) -> tuple[Draft, ...]:
    """Somebody says that the heat is off."""
    if not asked.state.heat.on:
        return asked.tap
    return (asked.draft("heat_off", seen=False),)


def turned_down(asked: Asked) -> tuple[Draft, ...]:
    """Somebody says to which share of full power the dial was turned."""
    _must_be_watched(asked)
    share = asked.number("share", _LEAST_SHARE, 1.0)
    if share is None:
        raise RunError("no share", "a share of full power, above 0 to 1", "say to what")
    if not asked.state.heat.on:
        raise RunError("the heat marked off", "heat that is on", "mark the heat on first")
    if share == asked.state.heat.share:
        return asked.tap
    return (asked.draft("turned_down", share=share, assumed=False),)


def present(asked: Asked) -> tuple[Draft, ...]:
    """Somebody is there."""
    return asked.tap


def note(asked: Asked) -> tuple[Draft, ...]:
    """Words for the record."""
    words = asked.words()
    if not words:
        raise RunError("a note without words", "a word or two", "write it, then send it")
    return (asked.draft("note", words=words),)


def outcome(asked: Asked) -> tuple[Draft, ...]:
    """One thing to say of how the side came out."""
    said = asked.command.data.get("outcome")
    if not isinstance(said, Mapping):
        raise RunError("no outcome", "what was seen, and where", "choose what was seen")
    inner = asked.about(said)
    kind, face = inner.words("kind"), inner.words("face")
    if kind not in OUTCOME_KINDS or face not in FACES:
        raise RunError(
            f"'{kind:.40}' on the face '{face:.40}'",
            f"one of {', '.join(OUTCOME_KINDS)}; inside, outside, both or no face",
            "choose one of them",
        )
    return (
        inner.draft(
            "outcome",
            kind=kind,
            place=" ".join(inner.words("place", _LONGEST_PLACE).split()),
            s_m=inner.number("s_m", 0.0, _LONGEST_STATION_M),
            face=face,
            words=inner.words(),
        ),
    )


def _must_be_watched(asked: Asked) -> None:
    """Heat is marked while a run is watched, given up or not."""
    if asked.state.over:
        must_not_be_over(asked)
