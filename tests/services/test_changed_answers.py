"""A line of the page that looks all over leads to its page and back, every other answer kept.

What was on disk for good stays; what opens by a changed answer is asked, never passed over.
"""

from dataclasses import replace
from typing import Any

import pytest

from companion.care.flow import Given, WalkPage, same_question
from companion.care.records import DayPage, MoveScore, Session, TapeOn, WarningSign
from companion.care.routine import DecisionPage, LookOverPage, MovePage, StepPage
from companion.care.stopping import SIGN_PAGES, CardPage
from companion.services.chair_stand import ChairWalk
from companion.services.day_page import DayWalk
from companion.services.outing import OutingAfterWalk, OutingWalk
from companion.services.routine import RoutineWalk
from companion.services.walks import (
    WalkKind,
    WalkResult,
    WalkStep,
    begin,
    follows,
    give,
    to_page,
)
from tests.builders import SOMETHING_NEW
from tests.care.walking import taught_plan
from tests.services.conftest import Keep
from tests.services.context_for_tests import Kept, answer_by, of, shown, walk_on
from tests.steady import steady

ROUTINE = RoutineWalk()
GOING: dict[str, Given] = {
    "what_for:1": {"what": "1"},
    "tape_for_outing": {"tape": "no"},
    "look_over": {"going": "yes"},
    "why_ended": {"because": "tired"},
    "outing_pain": {"score": 3},
}
HURT: dict[str, Given] = {"rest_pain": {"score": 8}}
"""Above the limit of the plan: no hands-on part."""


def _looked_over(
    kept: Kept, kind: WalkKind[Any, Any] = ROUTINE, answers: dict[str, Given] | None = None
) -> WalkStep[Any]:
    step = walk_on(kept.context, kind, answer=answer_by(answers or {}), until="look_over")
    assert isinstance(step, WalkStep), "the walk has a page that looks all over"
    return step


def _changed(
    kept: Kept, kind: WalkKind[Any, Any], step: WalkStep[Any], key: str, **new: Any
) -> Any:
    return give(kept.context, kind, to_page(step, key), new)


def test_one_answer_is_changed_and_every_other_is_kept(keep: Keep) -> None:
    kept = keep(plan=taught_plan())
    step = _looked_over(kept)
    page = to_page(step, "rest_pain")
    before = page.given_before
    assert before is not None
    assert begin(kept.context, ROUTINE, "right") == step, "a look at a page takes nothing back"
    assert follows(kept.context, ROUTINE, page, {"score": 1})[0] == "nothing"
    over = give(kept.context, ROUTINE, page, {"score": 1})
    assert isinstance(over, WalkStep)
    assert isinstance(over.page, LookOverPage)
    changed = {one.page: one.submitted for one in over.state.answers}
    assert changed == {one.page: one.submitted for one in step.state.answers} | {
        "rest_pain": {"score": 1}
    }
    give(kept.context, ROUTINE, over, {})
    (session,) = of(kept.context, Session)
    assert session.rest_pain == 1


def test_every_answered_page_of_every_walk_leads_back_to_the_same_page(keep: Keep) -> None:
    """Whatever page is gone back to: the same answer again changes nothing."""
    kept = keep(plan=taught_plan(chair_stand="alone"))
    kinds: tuple[WalkKind[Any, Any], ...] = (ROUTINE, DayWalk(), OutingWalk(), ChairWalk())
    for kind in kinds:
        step = _looked_over(kept, kind, GOING)
        for answer in step.state.answers:
            if answer.page in step.state.wrote:
                with pytest.raises(LookupError):
                    to_page(step, answer.page)
                continue
            page = to_page(step, answer.page)
            assert page.given_before == answer.submitted
            assert follows(kept.context, kind, page, answer.submitted)[0] == "nothing"
            assert give(kept.context, kind, page, answer.submitted) == step


def test_what_was_closed_for_safety_opens_only_page_by_page(keep: Keep) -> None:
    kept = keep(plan=taught_plan())
    step = _looked_over(kept, answers=HURT)
    page = to_page(step, "rest_pain")
    assert follows(kept.context, ROUTINE, page, {"score": 1})[0] == "other_pages"
    assert begin(kept.context, ROUTINE, "right") == step, "asking what follows writes nothing"
    on = give(kept.context, ROUTINE, page, {"score": 1})
    assert isinstance(on, WalkStep)
    assert not isinstance(on.page, LookOverPage), "what is open now is asked, page by page"
    exercises = [one.page for one in step.state.answers if one.page.startswith("exercise")]
    kept_back = [one.page for one in on.state.taken_back]
    assert exercises
    assert set(exercises) <= set(kept_back), "what was done is still known when it comes again"


def test_a_changed_answer_may_lead_to_a_card_which_is_on_disk_before_it_is_seen(keep: Keep) -> None:
    kept = keep(plan=taught_plan({"when": "never"}))
    step = _looked_over(kept)
    outcome = give(kept.context, ROUTINE, to_page(step, "gate"), SOMETHING_NEW)
    answers: tuple[Given, ...] = ({"topics": []}, {"signs": ["fever"]})
    for answer in answers:
        assert isinstance(outcome, WalkStep)
        assert isinstance(outcome.page, SIGN_PAGES)
        outcome = give(kept.context, ROUTINE, outcome, answer)
    while isinstance(outcome, WalkStep) and not isinstance(outcome.page, CardPage):
        outcome = give(kept.context, ROUTINE, outcome, steady(outcome.page))
    assert of(kept.context, WarningSign)


def test_what_is_on_disk_for_good_stays_whatever_is_changed(keep: Keep) -> None:
    """Tape went on because the score was short of the plan's target: it is on."""
    kept = keep(plan=taught_plan(rounds=1))
    step = _looked_over(kept)
    taped = of(kept.context, TapeOn)
    assert taped
    tape_page = next(one for one in step.state.answers if one.page in step.state.wrote)
    with pytest.raises(LookupError):
        to_page(step, tape_page.page)
    first = next(one for one in step.passed if isinstance(one, MovePage))
    page = to_page(step, first.key)
    assert follows(kept.context, ROUTINE, page, {"score": 0})[0] == "what_is_written"
    with pytest.raises(ValueError, match="on disk"):
        give(kept.context, ROUTINE, page, {"score": 0})
    assert begin(kept.context, ROUTINE, "right") == step
    assert of(kept.context, TapeOn) == taped


def test_an_answer_counts_for_what_was_done_not_for_the_place_of_its_page(keep: Keep) -> None:
    kept = keep(plan=taught_plan({"when": "never"}))
    pages = [one for one in _looked_over(kept).passed if isinstance(one, StepPage)]
    step, other = pages[0], pages[1].technique
    assert same_question(step, replace(step, most_pain=step.most_pain - 1, count=9))
    assert not same_question(step, replace(step, technique=other))
    assert not same_question(step, pages[1])


def test_a_score_that_changes_no_decision_shows_no_decision_again(keep: Keep) -> None:
    kept = keep(plan=taught_plan({"when": "never"}, rounds=1))
    step = _looked_over(kept)
    moves = [one for one in step.passed if isinstance(one, MovePage)]
    assert any(isinstance(one, DecisionPage) for one in step.passed)
    given: dict[str, Any] = dict(to_page(step, moves[0].key).given_before or {})
    over = _changed(kept, ROUTINE, step, moves[0].key, **(given | {"score": given["score"] + 1}))
    assert isinstance(shown(over), LookOverPage)
    give(kept.context, ROUTINE, over, {})
    (session,) = of(kept.context, Session)
    first: MoveScore = session.moves[0]
    assert first.score == given["score"] + 1


def test_a_killed_program_takes_up_where_the_line_was_pressed(keep: Keep) -> None:
    kept = keep(plan=taught_plan())
    step = _looked_over(kept)
    to_page(step, "rest_pain")
    kept.kill()
    assert begin(kept.context, ROUTINE, "right") == step
    over = _changed(kept, ROUTINE, step, "rest_pain", score=3)
    kept.kill()
    assert begin(kept.context, ROUTINE, "right") == over


def test_a_day_page_and_an_outing_told_are_changed_the_same_way(keep: Keep) -> None:
    kept = keep(plan=taught_plan())
    day = DayWalk()
    step = _looked_over(kept, day)
    over = _changed(kept, day, step, "average", score=2)
    assert isinstance(give(kept.context, day, over, {}), WalkResult)
    (page,) = of(kept.context, DayPage)
    assert page.pain_average == 2
    walk_on(kept.context, OutingWalk(), answer=answer_by(GOING))
    kept.clock.pass_by(hours=1)
    told = OutingAfterWalk()
    after = walk_on(kept.context, told, answer=answer_by(GOING), until="after_look_over")
    assert isinstance(after, WalkStep)
    changed = _changed(kept, told, after, "outing_pain", score=7)
    assert _end(changed).knees[0].pain_worst == 7


def _end(step: WalkStep[Any]) -> Any:
    page: WalkPage = step.page
    return getattr(page, "end")  # noqa: B009 - a page that looks all over has one
