"""The check before the heat: what blocks, what stops, what a label says."""

import pytest

from rimwright.errors import RunError
from rimwright.live.label_codes import check_code, read_code
from rimwright.live.questions import mismatch, open_questions, questions_for, ready
from running import BLOCKING, Running, label, short_plan


@pytest.fixture
def run() -> Running:
    return Running().to("check")


def test_four_questions_block_and_the_rest_is_for_the_eye(run: Running) -> None:
    assert tuple(one.key for one in run.plan.questions if one.blocking) == BLOCKING
    keys = [one.key for one in run.plan.questions]
    assert keys == [
        "form", "hand", "mate", "face", "marks", "tape", "bundle", "stack", "probe", "clamps",
        "wires", "water", "cut_out", "person",
    ]  # fmt: skip
    for place, question in enumerate(BLOCKING):
        missing = [one.key for one in open_questions(run.plan, run.state.answers)]
        assert missing == list(BLOCKING[place:])
        with pytest.raises(RunError, match=f"no answer yet on {', '.join(missing)}"):
            run.ask("done")
        run.ask("answer", question=question, answer="yes")
    assert ready(run.plan, run.state.answers)
    run.ask("done")
    assert run.here == "warm-up"


def test_a_label_answers_its_own_question(run: Running) -> None:
    run.ask("answer", code=label() + "\n")
    run.ask("answer", question="hand", code=label(kind="side"))
    run.ask("answer", code=label(kind="slats"))
    answers = run.state.answers
    assert {key: one.answer for key, one in answers.items()} == dict.fromkeys(
        ("form", "hand", "stack"), "yes"
    )
    assert answers["form"].code == label()


WRONG = [
    ({"model": "Curlew"}, "Wrong form: the form is of Curlew, this run is of Wren."),
    ({"side": "bass"}, "Wrong form: the form is for the bass side, in this run the treble side is "
     "bent."),
    ({"piece": "return"}, "Wrong form: the form is for the treble return, in this run the treble "
     "side is bent."),
    ({"player": "left"}, "Wrong form: the form is of a left-handed instrument, this run is of a "
     "right-handed one."),
    ({"plan": "WREN-000000"}, "Wrong plan: the form is of plan WREN-000000, this run follows "
     "WREN-721560."),
    ({"kind": "side", "side": "bass"}, "Wrong side: the side is for the bass side, in this run the "
     "treble side is bent."),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "words"), WRONG)
def test_a_mismatch_stops_until_it_is_answered_right(
    run: Running, changes: dict[str, str], words: str
) -> None:
    for question in BLOCKING:
        run.ask("answer", question=question, answer="yes")
    run.ask("answer", code=label(**changes))
    assert mismatch(run.plan, run.state.answers) == words
    assert not ready(run.plan, run.state.answers)
    with pytest.raises(RunError, match=f"found {words[:-1]}"):
        run.ask("done")
    assert not run.state.heat.on
    run.ask("answer", code=label(kind=changes.get("kind", "form")))
    assert ready(run.plan, run.state.answers)
    run.ask("done")
    assert run.here == "warm-up"


def test_a_no_stops_whatever_the_question(run: Running) -> None:
    for question in run.plan.questions:
        run.ask("answer", question=question.key, answer="yes")
    for question in run.plan.questions:
        run.ask("answer", question=question.key, answer="no")
        told = mismatch(run.plan, run.state.answers)
        assert told is not None
        assert told.endswith(".")
        assert not told.startswith("Not so"), "each question says what its no means"
        with pytest.raises(RunError, match="put it right and answer it again"):
            run.ask("done")
        run.ask("answer", question=question.key, answer="yes")
    run.ask("done")
    assert run.here == "warm-up"


@pytest.mark.parametrize(
    "text",
    [
        "", "4006381333931", "WREN-721560", label() + ";", ";" + label(), label()[:-1],
        label(kind="mould"), label(side="left"), label(piece="tail"), label(player="both"),
        label(plan="wren-721560"), label(plan="WREN-72156G"), label(model=""),
        label().upper(), "https://example.invalid/" + label(), label(model="x" * 400),
        label().replace(";side", "\n;side"),
    ],
)  # fmt: skip
def test_what_is_no_label_is_no_answer(run: Running, text: str) -> None:
    assert read_code(text) is None
    told = check_code(run.plan, text, "form")
    assert told == "That code is on none of the printed labels: scan the label of the form."
    if text.strip():
        with pytest.raises(RunError, match="expected a code from one of the printed labels"):
            run.ask("answer", code=text)
    assert run.state.answers == {}


def test_a_models_name_cannot_pass_for_a_field() -> None:
    sly = "Wren;kind=form;side=treble;piece=main;player=right"
    code = read_code(label(model=sly, kind="side", side="bass"))
    assert code is not None
    assert (code.model, code.kind, code.hand) == (sly, "side", "bass")


def test_the_label_of_the_side_is_no_answer_for_the_form(run: Running) -> None:
    told = check_code(run.plan, label(kind="side"), "form")
    assert told == "That is the label of the side: scan that of the form."
    with pytest.raises(RunError, match="found the label of the side; expected an answer to: Form"):
        run.ask("answer", question="form", code=label(kind="side"))


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"question": "moon", "answer": "yes"}, "a question 'moon'; expected one of form, hand"),
        ({"question": "form", "answer": "maybe"}, "'maybe' as an answer"),
        ({"question": "form"}, "'' as an answer"),
        ({"question": ["form"], "answer": "yes"}, "as question; expected text"),
    ],
)
def test_answers_that_are_none(run: Running, data: dict[str, object], message: str) -> None:
    with pytest.raises(RunError, match=message):
        run.ask("answer", **data)


def test_answers_belong_to_the_check() -> None:
    run = Running()
    with pytest.raises(RunError, match="an answer at 'Wet'; expected answers in the check"):
        run.ask("answer", question="form", answer="yes")


def questions(**changes: object) -> dict[str, object]:
    asked: dict[str, object] = {
        "model": "Wren", "hand": "bass", "piece": "main", "player": "left", "mark": "waist",
        "tape": (), "strips": (), "stack": ("slat", "side"), "probe": "by the slat",
        "first_use": False, **changes,
    }  # fmt: skip
    return {one.key: one for one in questions_for(**asked)}  # type: ignore[arg-type]


def test_tape_and_bundle_only_where_there_are_any() -> None:
    assert not questions().keys() & {"tape", "bundle"}
    assert "tape" in questions(tape=("tape on the horn",))
    assert "bundle" in questions(strips=("maple line",))


def test_the_first_use_asks_for_a_tested_cut_out() -> None:
    usual, first = questions()["cut_out"], questions(first_use=True)["cut_out"]
    assert not usual.blocking  # type: ignore[attr-defined]
    assert first.blocking  # type: ignore[attr-defined]
    for words in ("its own sensor", "mechanical timer", "tested", "only watches"):
        assert words in first.words  # type: ignore[attr-defined]
    plan = short_plan(questions=tuple(questions(first_use=True).values()))
    run = Running(plan).to("clamp")
    run.ask("done")
    for question in BLOCKING:
        run.ask("answer", question=question, answer="yes")
    with pytest.raises(RunError, match="no answer yet on cut-out"):
        run.ask("done")


def test_a_return_piece_meets_its_side_at_the_horn() -> None:
    mate = questions(piece="return", mark="")["mate"].words  # type: ignore[attr-defined]
    assert mate == "The bass side that it meets at the horn lies by."
    assert questions(mark="")["marks"].words == "Edges flush."  # type: ignore[attr-defined]
