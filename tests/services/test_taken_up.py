"""A routine that was left lying: soon it goes on, later gate and rest pain come again, then anew.

The hours are the policy's (common practice, no source).
"""

from typing import Any

from companion.care.flow import Given, WalkPage
from companion.care.records import Session, WarningSign
from companion.care.routine import RestPainPage, StepPage
from companion.care.stopping import GatePage
from companion.services.routine import RoutineWalk
from companion.services.walks import WalkResult, WalkStep, begin, give
from tests.builders import SOMETHING_NEW
from tests.care.walking import taught_plan
from tests.services.conftest import Keep
from tests.services.context_for_tests import Kept, of, shown, walk_on
from tests.steady import steady

KIND = RoutineWalk()
STEP = "step:1:2"


def _left(keep: Keep, minutes: int) -> tuple[Kept, WalkStep[Any]]:
    """Left at a step of the hands-on part, and taken up so much later."""
    kept = keep(plan=taught_plan())
    step = walk_on(kept.context, KIND, until=STEP)
    assert isinstance(step, WalkStep)
    kept.clock.pass_by(minutes=minutes)
    again = begin(kept.context, KIND, "right")
    assert isinstance(again, WalkStep)
    return kept, again


def _on(kept: Kept, step: WalkStep[Any], **answers: Given) -> WalkStep[Any] | WalkResult[Any, Any]:
    """Go on to the end; `answers` by the class of a page."""

    def answer(page: WalkPage) -> Given:
        return answers.get(type(page).__name__) or steady(page)

    outcome: WalkStep[Any] | WalkResult[Any, Any] = step
    for _ in range(200):
        if isinstance(outcome, WalkResult):
            return outcome
        outcome = give(kept.context, KIND, outcome, answer(outcome.page))
    raise AssertionError("the walk did not end")


def test_within_the_hour_it_goes_on_where_it_was(keep: Keep) -> None:
    _, step = _left(keep, 59)
    assert step.page.key == STEP


def test_after_an_hour_gate_and_rest_pain_come_again_and_then_the_same_page(keep: Keep) -> None:
    kept, step = _left(keep, 60)
    before = step.state.answers
    assert isinstance(step.page, GatePage)
    assert step.page.key != "gate"
    assert not step.page.after_last, "how the last routine was taken is asked once"
    rest = give(kept.context, KIND, step, steady(step.page))
    assert isinstance(shown(rest), RestPainPage)
    assert begin(kept.context, KIND, "right") == rest, "taken up at once it asks no third time"
    assert isinstance(rest, WalkStep)
    on = give(kept.context, KIND, rest, {"score": 1})
    assert shown(on).key == STEP
    assert isinstance(on, WalkStep)
    assert on.state.answers[: len(before)] == before
    end = _on(kept, on)
    (session,) = of(kept.context, Session)
    assert isinstance(end, WalkResult)
    assert session.rest_pain == 1
    assert session.ended == "finished"
    assert len({answer.page for answer in end.state.answers}) == len(end.state.answers)


def test_new_pain_at_rest_ends_the_hands_round_it_was_left_in(keep: Keep) -> None:
    kept, step = _left(keep, 90)
    steps = 0
    outcome: WalkStep[Any] | WalkResult[Any, Any] = step
    while isinstance(outcome, WalkStep):
        steps += isinstance(outcome.page, StepPage)
        score = {"score": 9} if isinstance(outcome.page, RestPainPage) else None
        outcome = give(kept.context, KIND, outcome, score or steady(outcome.page))
    assert steps <= 1, "the step it was left at is the last"
    (session,) = of(kept.context, Session)
    assert session.rest_pain == 9


def test_a_new_sign_shows_its_card_and_ends_it_with_what_was_done(keep: Keep) -> None:
    kept, step = _left(keep, 90)
    outcome: WalkStep[Any] | WalkResult[Any, Any] = step
    while isinstance(outcome, WalkStep):
        page = outcome.page
        submitted: Given = steady(page)
        if isinstance(page, GatePage):
            submitted = SOMETHING_NEW
        elif page.key.endswith(":list:1"):
            submitted = {"signs": ["fever"]}
        outcome = give(kept.context, KIND, outcome, submitted)
    (session,) = of(kept.context, Session)
    assert (session.ended, session.reason) == ("stopped", "card")
    assert session.rounds[0].steps
    (warning,) = of(kept.context, WarningSign)
    assert warning.sign.startswith("fever")


def test_after_three_hours_it_begins_anew_and_scores_are_not_joined(keep: Keep) -> None:
    kept, step = _left(keep, 3 * 60)
    assert isinstance(step.page, GatePage)
    assert step.state.answers == ()
    (session,) = of(kept.context, Session)
    assert session.ended == "left"
    assert [move.role for move in session.moves] == ["before"]
