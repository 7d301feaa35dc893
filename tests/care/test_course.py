"""The course of a session: the table, the rows it leaves out, and what must never happen."""

import csv
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.course import (
    Action,
    Course,
    Decision,
    GateCode,
    Reason,
    decide,
    decide_from,
    standing,
)
from companion.care.records import MoveScore
from tests.builders import plan

TABLE = Path(__file__).with_name("session_decisions.csv")
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
BASE = Course(
    target_percent=50,
    rounds=2,
    when_tape="if_missed",
    start=1,
    highest=2,
    stop_amount=2,
    low_score=2,
    check_moves=4,
)


@pytest.mark.parametrize("row", ROWS, ids=[row["case"] for row in ROWS])
def test_the_table(row: dict[str, str]) -> None:
    """Every row of our own decision table."""
    course = Course(
        target_percent=int(row["target"]),
        rounds=int(row["rounds"]),
        when_tape=row["when_tape"],  # type: ignore[arg-type]
        start=int(row["start"]),
        highest=int(row["highest"]),
        stop_amount=int(row["stop"]),
        low_score=int(row["floor"]),
        check_moves=int(row["moves"]),
    )
    scores = [part.split("=") for part in row["scores"].split()]
    decision = decide(
        course,
        next(int(score) for name, score in scores if name == "b"),
        [int(score) for name, score in scores if name == "h"],
        [(int(name[1]), int(score)) for name, score in scores if name[0] == "t"],
        row["tape_gate"],  # type: ignore[arg-type]
        {"yes": True, "no": False}[row["comparable"]],
    )
    action = {"hands round": "hands_round", "tape off, end": "tape_off_end"}.get(
        row["action"], row["action"]
    )
    if action.startswith("tape stage"):
        action, stage = "tape_stage", int(action[-1])
        assert decision.stage == stage
    else:
        assert decision.stage is None
    assert (decision.action, decision.reason) == (action, row["reason"].replace(" ", "_"))


def test_the_table_is_whole() -> None:
    assert len(ROWS) == 33


def test_moves_used_up_the_starting_stage_goes_on_unscored() -> None:
    course = replace(BASE, check_moves=3)
    unscored = decide(course, 8, [6, 5])
    assert unscored == Decision("tape_stage", "target_missed", 1, scored=False)
    assert decide(course, 8, [6, 5], [(1, None)]) == Decision("finish", "moves_used_up")
    # No further round either, though the plan has one left.
    assert decide(replace(BASE, check_moves=2), 8, [6]).action == "tape_stage"
    always = replace(BASE, check_moves=2, when_tape="always")
    assert decide(always, 8, [3]) == Decision("tape_stage", "plan_tapes_always", 1, scored=False)
    never = replace(BASE, check_moves=2, when_tape="never")
    assert decide(never, 8, [6]) == Decision("finish", "short_of_target")


def test_a_repeated_move_counts() -> None:
    assert decide(BASE, 8, [6, 5], moves_used=3).scored
    assert not decide(BASE, 8, [6, 5], moves_used=4).scored
    assert decide(BASE, 8, [6], moves_used=4).action == "tape_stage"


def test_highest_0_is_no_tape() -> None:
    for when in ("if_missed", "always"):
        course = replace(BASE, highest=0, when_tape=when)
        assert decide(course, 8, [6, 5]) == Decision("finish", "short_of_target")
    assert decide(replace(BASE, highest=0, when_tape="always"), 8, [3]).reason == "target_met"


def test_the_tape_gate_matters_only_where_tape_would_go_on() -> None:
    assert decide(BASE, 8, [3], tape_gate="blocked").reason == "target_met"
    always = replace(BASE, when_tape="always")
    assert decide(always, 8, [3], tape_gate="blocked").reason == "tape_not_allowed_today"
    never = replace(BASE, when_tape="never")
    assert decide(never, 8, [6, 5], tape_gate="blocked").reason == "short_of_target"


def test_more_tape_only_if_the_last_stage_did_not_raise_the_score() -> None:
    course = replace(BASE, check_moves=8)
    assert decide(course, 8, [6, 5], [(1, 6)]) == Decision("finish", "tape_did_not_add")
    assert decide(course, 8, [6, 5], [(1, 5)]).stage == 2
    assert decide(course, 10, [3], [(1, 4)]).reason == "target_met"


def test_low_score_adds_nothing_but_what_the_plan_says_anyway() -> None:
    always = replace(BASE, when_tape="always", check_moves=8)
    assert decide(always, 2, [2]) == Decision("tape_stage", "plan_tapes_always", 1, scored=True)
    assert decide(always, 2, [2], [(1, 2)]) == Decision("finish", "low_score")
    assert decide(always, 0, [0], [(1, 0)]) == Decision("finish", "nothing_to_ease")
    assert decide(BASE, 0, [2]) == Decision("end", "worse")


def test_always_tapes_after_the_rounds_not_instead_of_them() -> None:
    always = replace(BASE, when_tape="always")
    assert decide(always, 8, [6]).action == "hands_round"
    assert decide(always, 8, [6, 5]).reason == "plan_tapes_always"


def test_a_rise_in_small_steps_is_a_rise() -> None:
    assert decide(replace(BASE, rounds=3), 5, [4, 5, 6]) == Decision("end", "worse")
    assert decide(BASE, 8, [5, 6], [(1, 7)]) == Decision("tape_off_end", "worse_with_tape")


def test_no_hands_today() -> None:
    no_hands = decide(BASE, 7, hands_allowed=False)
    assert no_hands == Decision("finish", "hands_not_allowed_today")
    always = replace(BASE, when_tape="always")
    assert decide(always, 7, hands_allowed=False).reason == "plan_tapes_always"


def test_a_starting_stage_above_the_highest_is_held_down() -> None:
    assert decide(replace(BASE, start=2, highest=1), 8, [6, 5]).stage == 1


def test_the_course_of_a_plan() -> None:
    care_plan = plan(rounds=1, ease_target_percent=30, stop_amount=3, low_score=1, check_moves=5)
    course = Course.from_plan(care_plan)
    assert course == replace(
        BASE, rounds=1, target_percent=30, stop_amount=3, low_score=1, check_moves=5
    )
    assert Course.from_plan(care_plan, start=2).start == 2


def move(role: str, score: int, same: bool | None = True, stage: int | None = None) -> MoveScore:
    return MoveScore(role=role, score=score, same_depth=same, stage=stage)  # type: ignore[arg-type]


def test_a_move_at_another_depth_is_made_once_more() -> None:
    moves = [move("before", 7, None), move("after_hands", 5, same=False)]
    now = standing(BASE, moves)
    assert now.repeat
    with pytest.raises(ValueError, match="repeated first"):
        decide_from(BASE, now)
    again = standing(BASE, [*moves, move("after_hands", 6)])
    assert (again.after_hands, again.comparable, again.repeat, again.moves_used) == (
        (6,),
        True,
        False,
        3,
    )
    assert decide_from(BASE, again).action == "hands_round"
    still = standing(BASE, [*moves, move("after_hands", 6, same=False)])
    assert not still.repeat
    assert decide_from(BASE, still) == Decision("finish", "not_comparable")


def test_a_rise_wins_over_differing_depth() -> None:
    now = standing(BASE, [move("before", 5, None), move("after_hands", 7, same=False)])
    assert not now.repeat
    assert decide_from(BASE, now) == Decision("end", "worse")


def test_no_move_left_to_repeat() -> None:
    course = replace(BASE, check_moves=2)
    now = standing(course, [move("before", 7, None), move("after_hands", 5, same=False)])
    assert not now.repeat
    assert decide_from(course, now).reason == "not_comparable"


def test_two_rounds_are_not_a_repeat() -> None:
    now = standing(BASE, [move("before", 7, None), move("after_hands", 6), move("after_hands", 5)])
    assert now.after_hands == (6, 5)
    tape = standing(
        BASE,
        [
            move("before", 7, None),
            move("after_hands", 6, same=False),
            move("after_hands", 6),
            move("after_tape", 5, same=False, stage=1),
        ],
    )
    assert tape.after_tape == ((1, 5),)
    assert tape.moves_used == 4
    assert not tape.repeat
    assert decide_from(BASE, tape) == Decision("finish", "not_comparable")


def test_tape_that_went_on_unscored_ends_the_course() -> None:
    now = standing(BASE, [move("before", 8, None), move("after_hands", 6), move("after_hands", 5)])
    unscored = decide_from(BASE, now, stage_on_unscored=1)
    assert unscored == Decision("finish", "moves_used_up")
    with pytest.raises(ValueError, match="first score"):
        decide_from(BASE, standing(BASE, []))


courses = st.builds(
    Course,
    target_percent=st.integers(10, 100),
    rounds=st.integers(1, 3),
    when_tape=st.sampled_from(["never", "if_missed", "always", "outings"]),
    start=st.integers(1, 2),
    highest=st.integers(0, 2),
    stop_amount=st.integers(1, 5),
    low_score=st.integers(0, 4),
    check_moves=st.integers(2, 8),
)


@given(courses, st.lists(st.tuples(st.integers(0, 10), st.booleans()), max_size=20), st.data())
def test_walked_to_its_end(
    course: Course, answers: list[tuple[int, bool]], data: st.DataObject
) -> None:
    """Whatever is answered: it ends, within the plan's moves, rounds and stages."""
    gate: GateCode = data.draw(st.sampled_from(["ok", "blocked"]))
    hands_allowed = data.draw(st.booleans())
    given_answers = iter([*answers, *[(5, True)] * 20])
    moves = [move("before", next(given_answers)[0], None)]
    rounds = stage = 0
    unscored: int | None = None
    while True:
        now = standing(course, moves)
        assert now.moves_used <= course.check_moves
        if now.repeat:
            score, same = next(given_answers)
            moves.append(replace(moves[-1], score=score, same_depth=same))
            continue
        decision = decide_from(
            course, now, gate, stage_on_unscored=unscored, hands_allowed=hands_allowed
        )
        assert decision == decide_from(
            course, now, gate, stage_on_unscored=unscored, hands_allowed=hands_allowed
        )
        if decision.action == "hands_round":
            rounds += 1
            assert decision.scored
            assert hands_allowed
            score, same = next(given_answers)
            moves.append(move("after_hands", score, same))
        elif decision.action == "tape_stage":
            assert decision.stage is not None
            assert stage < decision.stage <= course.highest
            assert gate == "ok"
            assert course.when_tape in ("if_missed", "always")
            stage = decision.stage
            if decision.scored:
                score, same = next(given_answers)
                moves.append(move("after_tape", score, same, stage))
            else:
                unscored = stage
        else:
            assert (decision.action == "tape_off_end") == (
                stage > 0 and decision.reason in ("worse", "worse_with_tape")
            )
            assert (decision.action == "end") == (stage == 0 and decision.reason == "worse")
            break
    assert rounds <= course.rounds


@given(
    courses,
    st.integers(0, 10),
    st.lists(st.integers(0, 10), max_size=3),
    st.lists(st.integers(0, 10), max_size=2),
    st.booleans(),
    st.sampled_from(["ok", "blocked"]),
)
def test_a_rise_of_the_stop_amount_always_ends(
    course: Course,
    before: int,
    hands: list[int],
    tape: list[int],
    comparable: bool,
    gate: str,
) -> None:
    staged = list(enumerate(tape, start=1))
    decision = decide(course, before, hands, staged, gate, comparable)  # type: ignore[arg-type]
    assert decision.action in get_args(Action)
    assert decision.reason in get_args(Reason)
    assert decision.stage is None or decision.stage <= course.highest
    scores = [before, *hands, *tape]
    if len(scores) > 1 and scores[-1] - scores[-2] >= course.stop_amount:
        assert decision.action == ("tape_off_end" if tape else "end")
    if len(scores) > 1 and scores[-1] - before >= course.stop_amount:
        assert decision.reason == "worse"
