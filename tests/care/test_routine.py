"""The routine page by page: no answers lead past what the plan allows."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings

from companion.care.bad_days import BadDays, rest_pain_limit
from companion.care.clearing import MistakePage, became, closed_after
from companion.care.dose import Dose
from companion.care.flow import Answer, WalkPage
from companion.care.minutes import routine_minutes
from companion.care.policy import PartAsks
from companion.care.ready import ReadyPage
from companion.care.records import MoveScore, Plan
from companion.care.routine import (
    BadDayPage,
    ClosedPage,
    DecisionPage,
    DepthPage,
    DosePage,
    ExercisePage,
    HandsReadyPage,
    LookOverPage,
    MovePage,
    NoHandsPage,
    NoMovePage,
    RestPainPage,
    RoutineEnd,
    RoutineStart,
    SaidDose,
    StepHurtPage,
    StepPage,
    StepStoppedPage,
    TenPage,
    ZonesPage,
    routine,
    so_far,
)
from companion.care.step_limits import step_limit
from companion.care.stopping import CardPage, StopListPage, WhichKneePage
from companion.care.taping import (
    NoTapePage,
    TapeCheckPage,
    TapeOnPage,
    TapeReadyPage,
    TapeStepPage,
    TapeTakenOffPage,
)
from tests.builders import NOTHING_NEW
from tests.care.walking import (
    CATALOGUE,
    EXERCISES,
    SIGNS,
    SPELLS,
    STANDING,
    TECHNIQUES,
    Choose,
    any_answer,
    any_plan,
    any_start,
    choices,
    pages_of,
    start_of,
    taught_plan,
    ticking,
    walked,
)
from tests.steady import steady


def walk_with(
    plan: Plan,
    start: RoutineStart | None = None,
    by_key: dict[str, Any] | None = None,
    **answers: Any,
) -> tuple[list[WalkPage], RoutineEnd]:
    """Walk a routine: `answers` by the beginning of the page's key, the longest first, else a
    steady person's.

    `before`, `hands` and `tape` are scores, one after the other.
    """
    answers = (by_key or {}) | answers
    scores = {name: list(answers.pop(name, ())) for name in ("before", "hands", "tape")}
    roles = {"before": "before", "after_hands": "hands", "after_tape": "tape"}

    def answer(page: WalkPage) -> Any:
        if isinstance(page, MovePage):
            left = scores[roles[page.role]]
            submitted: dict[str, Any] = {"score": left.pop(0)} if left else dict(steady(page))
            if page.role == "before":
                return {"score": submitted["score"]}
            return {"same_depth": True} | submitted | answers.get("move", {})
        for begins in sorted(answers, key=len, reverse=True):
            if page.key.startswith(begins):
                return answers[begins]
        return steady(page)

    pages, _, end = walked(routine(plan, CATALOGUE, start or start_of(plan)), answer)
    return pages, end


# ------------------------------------------------------------ what no history may do


@settings(max_examples=700)
@given(choices)
def test_no_answers_lead_past_the_plan(choose: Choose) -> None:
    """Stage, check moves and rounds never pass the plan's; a rise of the stop amount always ends;
    tape that made it worse comes off; steps over the limit stop and stay out."""
    plan = any_plan(choose)
    start = any_start(choose, plan)
    given_by_key: dict[str, Any] = {}

    def answer(page: WalkPage) -> Any:
        submitted = any_answer(page, choose)
        given_by_key[page.key] = submitted
        return submitted

    pages, answers, end = walked(routine(plan, CATALOGUE, start), answer)

    stages = [p.stage for p in pages_of(pages, TapeOnPage)]
    stages += [p.stage for p in pages_of(pages, TapeStepPage) if p.part != "before"]
    assert all(1 <= stage <= plan.tape.highest for stage in stages)
    assert (end.stage or 0) <= plan.tape.highest
    assert not (stages and plan.tape.when in ("never", "outings"))
    assert not (stages and start.tape_off)
    assert not (stages and (start.wearing_stage or start.tape_by_trial))
    if refused := pages_of(pages, NoTapePage):
        tape = (TapeStepPage, TapeOnPage)
        assert not [page for page in pages[pages.index(refused[0]) :] if isinstance(page, tape)]

    assert len(end.moves) == len(pages_of(pages, MovePage)) <= plan.check_moves
    steps = pages_of(pages, StepPage)
    assert len(end.rounds) <= plan.rounds
    assert max((step.round_number for step in steps), default=0) <= plan.rounds
    if start.hands_off is not None or (end.rest_pain or 0) > rest_pain_limit(plan):
        assert not steps
        assert not end.moves

    _rise_ends(plan, pages, end)
    _limits_hold(plan, pages, end, given_by_key)
    _signs_hold(pages, answers, end, start)
    _bad_days_hold(plan, start, pages, end)
    _dose_holds(start, pages, end)


def _rise_ends(plan: Plan, pages: list[WalkPage], end: RoutineEnd) -> None:
    """After a score that rose by the stop amount from the lowest before it: no step, no move, no
    tape; and tape put on in this session comes off."""
    moves = [number for number, page in enumerate(pages) if isinstance(page, MovePage)]
    for count, at in enumerate(moves):
        scores = [move.score for move in end.moves[: count + 1]]
        # A move at another depth is replaced by its repeat, so only plain rows are judged here.
        if any(move.same_depth is False for move in end.moves[: count + 1]) or len(scores) < 2:
            continue
        if scores[-1] < min(scores[:-1]) + plan.stop_amount:
            continue
        after = pages[at + 1 :]
        barred = (StepPage, MovePage, ExercisePage, TapeStepPage, TapeOnPage)
        assert not [page for page in after if isinstance(page, barred)]
        if end.reason != "card":
            assert end.ended == "stopped"
            put_on = [page for page in pages[:at] if isinstance(page, TapeOnPage)]
            assert bool(pages_of(after, TapeTakenOffPage)) == bool(put_on)
            if put_on:
                assert end.stage == 0


def _limits_hold(
    plan: Plan, pages: list[WalkPage], end: RoutineEnd, submitted: dict[str, Any]
) -> None:
    stopped: set[str] = set()
    for number, page in enumerate(pages):
        if not isinstance(page, StepPage | ExercisePage):
            continue
        name = page.technique.technique if isinstance(page, StepPage) else page.exercise.exercise
        assert name not in stopped, "a step that was stopped is not offered again today"
        asked = isinstance(pages[number + 1], StepHurtPage)
        told = submitted[pages[number + 1].key if asked else page.key]
        pain = told.get("pain")
        part: Any = "hands" if isinstance(page, StepPage) else "exercise"
        most = step_limit(part, plan, end.rest_pain).most
        assert page.most_pain == most, "the number on the page is the one that stops it"
        too_much = pain is not None and pain > most
        if too_much or submitted[page.key]["outcome"] == "stopped":
            stopped.add(name)
            assert isinstance(pages[number + 1 + asked], StepStoppedPage)
        else:
            assert not isinstance(pages[number + 1], StepStoppedPage)


def _signs_hold(
    pages: list[WalkPage], answers: list[Answer], end: RoutineEnd, start: RoutineStart
) -> None:
    """A sign that ends the session ends it; what a sign closes does not come after its card."""
    policy = CATALOGUE.policy
    locked: set[str] = {*start.closed}
    for sign in start.open_signs:
        end_of = became(CATALOGUE, sign, answers)
        assert end_of is not None
        locked.update(closed_after(sign, end_of))
    locked_at_support = {*locked}
    # A known sign that is not worse has no card of its own.
    as_before = {
        CATALOGUE.sign(sign).known_as
        for answer in answers
        if answer.page == "known"
        for sign, said in answer.submitted.items()
        if said != "worse"
    }
    ticked = iter(tick for tick in end.signs if tick.sign not in as_before)
    ends = False
    for page in pages:
        if isinstance(page, StepPage):
            assert "hands" not in locked
        if isinstance(page, MovePage):
            assert "check_move" not in locked
        if isinstance(page, ExercisePage):
            standing = page.exercise.exercise in STANDING
            shut = locked
            if page.exercise.exercise in policy.at_support:
                shut = locked_at_support
            assert ("standing" if standing else "seated") not in shut
        if isinstance(page, TapeOnPage | TapeStepPage):
            assert "tape_on" not in locked
        of_cards = (CardPage, MistakePage, WhichKneePage)
        assert not (ends and not isinstance(page, of_cards))
        if isinstance(page, CardPage):
            tick = next(ticked)
            assert tick.sign == page.sign
            if not tick.mistake:
                held = policy.sign(page.sign)
                locked.update(held.parts)
                locked_at_support.update(held.parts_at_support)
                ends = ends or held.ends == "session"
    if ends:
        assert (end.ended, end.reason) == ("stopped", "card")
        assert not pages_of(pages, LookOverPage)


def _bad_days_hold(plan: Plan, start: RoutineStart, pages: list[WalkPage], end: RoutineEnd) -> None:
    """Scored once, one round, no tape, and of what is done standing only what the plan has in an
    easier form; with pain at rest above the limit nothing standing at all."""
    exercises = pages_of(pages, ExercisePage)
    above = (end.rest_pain or 0) > rest_pain_limit(plan)
    mark = start.bad.mark
    reached = mark is not None and bool(end.moves) and end.moves[0].score >= mark
    told = pages_of(pages, BadDayPage)
    assert told or not reached or end.reason == "card"
    if above:
        assert not [page for page in exercises if page.exercise.exercise in STANDING]
        assert not pages_of(pages, MovePage)
    if told:
        assert len(end.moves) == 1
        assert len(end.rounds) <= 1
        assert not pages_of(pages, TapeOnPage)
        assert end.reason in ("bad_day", "card")
    if told or above:
        for page in exercises:
            assert page.exercise.on_bad_days != "left_out"
            if page.exercise.exercise in STANDING:
                assert page.easier
                assert page.exercise.on_bad_days == "easier"


def _dose_holds(start: RoutineStart, pages: list[WalkPage], end: RoutineEnd) -> None:
    """No more rounds and repeats than today's dose."""
    dose = start.dose(end.after_last)
    if dose is None:
        assert not pages_of(pages, DosePage)
        return
    assert len(end.rounds) <= dose.rounds
    for page in pages_of(pages, ExercisePage):
        assert page.exercise.repeats in dose.repeats


# ------------------------------------------------------------ the course, on pages


def test_more_than_half_gone_ends_the_hands_part() -> None:
    """The worked row "more than half" of the table of session decisions: b=7 h=3."""
    pages, end = walk_with(taught_plan(), before=[7], hands=[3])
    assert pages_of(pages, DecisionPage)[0].decision.reason == "target_met"
    assert len(end.rounds) == 1
    assert (end.ended, end.reason, end.stage) == ("finished", "target_met", None)


def test_short_of_the_target_another_round_starts_where_it_still_hurts() -> None:
    glide = [t for t in TECHNIQUES if t.technique in ("stroke_thigh", "glide_inner_edge")]
    pages, end = walk_with(
        taught_plan(techniques=tuple(glide)),
        before=[7],
        hands=[5, 3],
        zones={"zones": ["inner_edge", "back_of_knee"]},
    )
    decision = pages_of(pages, DecisionPage)[0]
    assert decision.decision.action == "hands_round"
    # The back of the knee is no place a technique of this plan reaches.
    assert decision.start_zones == ("inner_edge",)
    second = [p for p in pages_of(pages, StepPage) if p.round_number == 2]
    assert second[0].technique.technique == "glide_inner_edge"
    assert len(end.rounds) == 2


def test_a_rise_of_the_stop_amount_ends_it_without_exercises() -> None:
    pages, end = walk_with(taught_plan(), before=[5], hands=[7])
    assert (end.ended, end.reason) == ("stopped", "worse")
    assert not pages_of(pages, ExercisePage)


def test_new_tape_comes_off_when_it_hurts_more() -> None:
    """The row "tape makes it worse": b=7 h=3 t1=5, a plan that tapes always."""
    pages, end = walk_with(taught_plan({"when": "always"}), before=[7], hands=[3], tape=[5])
    assert pages_of(pages, TapeTakenOffPage)
    assert (end.ended, end.reason, end.stage) == ("stopped", "worse_with_tape", 0)


def test_exercises_come_before_the_tape() -> None:
    pages, end = walk_with(taught_plan(), before=[8], hands=[6, 5], tape=[4])
    kinds = [type(page) for page in pages]
    last_exercise = max(n for n, kind in enumerate(kinds) if kind is ExercisePage)
    assert last_exercise < kinds.index(TapeStepPage)
    assert end.stage == 1
    assert len(end.exercises) == len(EXERCISES)


def test_hands_are_made_ready_once_before_the_first_step_and_never_for_nothing() -> None:
    pages, _ = walk_with(taught_plan(rounds=2), before=[8], hands=[7, 6])
    (ready,) = pages_of(pages, HandsReadyPage)
    first = pages_of(pages, StepPage)[0]
    assert pages.index(ready) + 1 == pages.index(first)
    assert len({page.round_number for page in pages_of(pages, StepPage)}) == 2
    plan = taught_plan()
    pages, _ = walk_with(plan, start_of(plan, hands_off="resting"))
    assert pages_of(pages, HandsReadyPage) == []
    assert pages_of(pages, ExercisePage)


def test_a_move_at_another_depth_is_made_once_more_and_both_are_kept() -> None:
    pages, end = walk_with(taught_plan(), before=[7], hands=[5, 5], move={"same_depth": False})
    assert [page.again for page in pages_of(pages, MovePage)] == [False, False, True]
    assert end.reason == "not_comparable"
    assert not end.comparable
    assert len(end.moves) == 3


def test_check_moves_used_up_the_first_tape_goes_on_unscored() -> None:
    pages, end = walk_with(taught_plan({"when": "always"}, check_moves=2), before=[8], hands=[3])
    assert len(end.moves) == 2
    assert (end.stage, end.reason) == (1, "moves_used_up")
    assert isinstance(pages[-2], DecisionPage)


def test_why_no_tape_goes_on_is_said_where_the_plan_would_tape() -> None:
    plan = taught_plan()
    pages, end = walk_with(plan, start_of(plan, tape_off=("rest",)), before=[8], hands=[6, 5])
    assert pages_of(pages, DecisionPage)[-1].tape_off == ("rest",)
    assert end.reason == "tape_not_allowed_today"
    assert not pages_of(pages, TapeReadyPage)


@pytest.mark.parametrize(
    ("answer", "reasons"),
    [
        ({"skin": "not_clear", "clean": "yes", "reach": "alone"}, ("skin",)),
        ({"skin": "clear", "clean": "no", "reach": "alone"}, ("not_clean",)),
        ({"skin": "clear", "clean": "yes", "reach": "no"}, ("reach",)),
    ],
)
def test_what_the_person_sees_keeps_tape_off(answer: Any, reasons: Any) -> None:
    pages, end = walk_with(taught_plan(), before=[8], hands=[6, 5], tape_ready=answer)
    assert pages_of(pages, NoTapePage)[0].reasons == reasons
    assert not pages_of(pages, TapeOnPage)
    assert end.reason == "tape_not_on"


def test_a_helper_who_must_be_there_is_not_replaced_by_reaching() -> None:
    plan = taught_plan()
    ready = {"skin": "clear", "clean": "yes", "reach": "alone"}
    pages, _ = walk_with(
        plan, start_of(plan, helper_needed=True), before=[8], hands=[6, 5], tape_ready=ready
    )
    assert pages_of(pages, NoTapePage)[0].reasons == ("helper_needed",)


# ------------------------------------------------------------ steps


@pytest.mark.parametrize(
    ("rest", "pain", "hands", "exercise"),
    [
        (0, 2, None, None),  # exactly the stop amount above the rest pain goes on
        (0, 3, "above_rest", None),  # exercise goes by its ceiling alone
        (4, 5, None, None),  # at the ceiling goes on
        (4, 6, "above_ceiling", "above_ceiling"),
    ],
)
def test_hands_stop_above_rest_too_and_exercise_above_the_ceiling_alone(
    rest: int, pain: int, hands: Any, exercise: Any
) -> None:
    pages, end = walk_with(
        taught_plan(),
        rest_pain={"score": rest},
        step={"outcome": "done", "pain": pain},
        exercise={"outcome": "done", "pain": pain},
        before=[8],
        hands=[3],
    )
    found = {(page.key[0], page.stop) for page in pages_of(pages, StepStoppedPage)}
    assert found == {(part, stop) for part, stop in (("s", hands), ("e", exercise)) if stop}
    for steps, stop in ((end.rounds[0].steps, hands), (end.exercises, exercise)):
        assert {step.outcome for step in steps} == {"stopped" if stop else "done"}


def test_too_much_without_a_number_stops_the_step_too() -> None:
    pages, _ = walk_with(
        taught_plan(), step={"outcome": "stopped", "pain": None}, before=[7], hands=[3]
    )
    assert {page.stop for page in pages_of(pages, StepStoppedPage)} == {"said"}


def test_when_every_step_was_stopped_there_is_no_further_round() -> None:
    pages, end = walk_with(
        taught_plan({"when": "never"}), step={"outcome": "stopped"}, before=[8], hands=[7]
    )
    assert len(end.rounds) == 1
    assert len(pages_of(pages, MovePage)) == 2
    assert end.reason == "short_of_target"


def test_the_check_move_is_never_stopped_by_the_ceiling() -> None:
    pages, _ = walk_with(taught_plan(), rest_pain={"score": 0}, before=[10], hands=[5])
    assert not pages_of(pages, StepStoppedPage)


def test_rest_pain_above_the_limit_leaves_hands_and_standing_out_for_the_day() -> None:
    pages, end = walk_with(taught_plan(), rest_pain={"score": 6})
    assert pages_of(pages, NoHandsPage)[0].reason == "rest_pain"
    assert not pages_of(pages, StepPage)
    assert not pages_of(pages, DepthPage)
    assert {step.step for step in end.exercises} == SEATED


SEATED = {sheet.id for sheet in CATALOGUE.exercises if not sheet.standing}


@pytest.mark.parametrize("sign", ["gives_way_worse", "gives_way_known"])
def test_without_the_check_move_one_hands_round_and_what_is_open(sign: str) -> None:
    """Rule r10: how it is at rest, one round, no score, no tape by a score; and it is a session."""
    plan = taught_plan({"when": "if_missed"}, rounds=2)
    start = start_of(plan, known_signs=("gives_way_new",))
    said = "worse" if sign == "gives_way_worse" else "as_before"
    pages, end = walk_with(plan, start, {"known": {"gives_way_new": said}})
    assert not [p for p in pages if isinstance(p, MovePage | DepthPage | DecisionPage | TapeOnPage)]
    (page,) = pages_of(pages, NoMovePage)
    assert (page.hands, page.exercises) == (len(plan.techniques), len(SEATED))
    assert {step.rounds for step in pages_of(pages, StepPage)} == {1}
    assert (len(end.rounds), end.rest_pain is not None, end.moves) == (1, True, ())
    assert {step.step for step in end.exercises} == SEATED
    assert (end.ended, end.reason) == ("finished", "no_check_move")


@pytest.mark.parametrize("closed", [("hands", "check_move"), ("check_move", "seated", "standing")])
def test_what_is_closed_at_the_start_is_not_offered(closed: Any) -> None:
    plan = taught_plan({"when": "always"})
    pages, end = walk_with(plan, start_of(plan, closed=closed))
    assert not [p for p in pages if isinstance(p, MovePage | TapeOnPage)]
    assert bool(pages_of(pages, StepPage)) == ("hands" not in closed)
    assert bool(pages_of(pages, ExercisePage)) == ("seated" not in closed)
    assert end.ended == "finished"


def test_a_sign_ticked_after_a_score_ends_the_scoring() -> None:
    """Giving way, ticked when the back of the knee was named as a new place: no further score."""
    plan = taught_plan(rounds=2)
    pages, end = walk_with(
        plan,
        start_of(plan, asked_signs=("gives_way_worse",)),
        before=[7],
        zones={"zones": ["back_of_knee"]},
        by_key=ticking("gives_way_worse", "list:move:before:1") | {"gate": NOTHING_NEW},
    )
    assert len(pages_of(pages, MovePage)) == 1
    assert (len(end.rounds), end.reason) == (1, "no_check_move")
    assert {step.step for step in end.exercises} == SEATED


# ------------------------------------------------------------ bad days


def test_a_very_bad_day_is_scored_once_and_goes_gently() -> None:
    """Rest 5 and before 10 went on with two rounds, four check moves at the worst possible pain,
    every standing exercise, and tape."""
    pages, end = walk_with(
        taught_plan({"when": "always"}, bad_day_mark=8), rest_pain={"score": 5}, before=[10]
    )
    assert [move.score for move in end.moves] == [10]
    assert len(end.rounds) == 1
    assert {step.step for step in end.exercises} == SEATED
    assert (end.ended, end.reason, end.stage) == ("finished", "bad_day", None)
    assert pages_of(pages, BadDayPage)[0].why == "mark"


@pytest.mark.parametrize(("before", "bad"), [(6, False), (7, True)])
def test_a_bad_day_begins_at_the_mark(before: int, bad: bool) -> None:
    pages, _ = walk_with(taught_plan(bad_day_mark=7), before=[before], hands=[3])
    names = {page.exercise.exercise for page in pages_of(pages, ExercisePage)}
    assert bool(names & STANDING) != bad
    assert bool(pages_of(pages, BadDayPage)) == bad
    assert pages_of(pages, MovePage)[0].mark == 7


def test_the_plan_may_keep_a_standing_exercise_in_its_easier_form_and_leave_a_seated_one_out() -> (
    None
):
    choices = {"step_up": "easier", "heel_slide": "left_out"}
    exercises = tuple(
        replace(one, on_bad_days=choices.get(one.exercise))  # type: ignore[arg-type]
        for one in EXERCISES
    )
    pages, _ = walk_with(taught_plan(bad_day_mark=7, exercises=exercises), before=[8])
    offered = {page.exercise.exercise: page.easier for page in pages_of(pages, ExercisePage)}
    assert offered.pop("step_up")
    assert set(offered) == SEATED - {"heel_slide"}
    assert not any(offered.values())


def test_pain_at_rest_above_the_limit_leaves_the_gentle_exercises_to_two_above_where_it_began() -> (
    None
):
    """Pain at rest 8 was followed by two rounds of standing up from a chair, and a limit of 5 that
    it already was above."""
    pages, end = walk_with(taught_plan(), rest_pain={"score": 8})
    assert not end.rounds
    assert not end.moves
    assert {step.step for step in end.exercises} == SEATED
    assert {page.most_pain for page in pages_of(pages, ExercisePage)} == {9}
    told = pages_of(pages, NoHandsPage)[0]
    assert (told.reason, told.rest_pain) == ("rest_pain", 8)
    own, _ = walk_with(taught_plan(rest_pain_limit=8), rest_pain={"score": 8}, before=[8])
    assert pages_of(own, StepPage)


def test_the_third_bad_session_running_brings_the_plan_for_a_bad_spell_or_the_call() -> None:
    for running, words, spell, call in (
        (1, None, False, None),
        (2, None, True, "no_flare_plan"),
        (2, "Rest it after lunch.", True, None),
    ):
        plan = taught_plan(bad_day_mark=7, flare_plan=words)
        start = start_of(plan, bad=BadDays(mark=7, running=running))
        for pages, _ in (
            walk_with(plan, start, before=[8]),
            walk_with(plan, start, rest_pain={"score": 9}),
        ):
            told = [page for page in pages if isinstance(page, BadDayPage | NoHandsPage)]
            assert [(page.spell, page.call) for page in told] == [(spell, call)]


def test_a_spell_that_was_pressed_goes_on_until_the_person_says_it_is_over() -> None:
    plan = taught_plan(bad_day_mark=7)
    start = start_of(plan, bad=BadDays(mark=7, spell=SPELLS[0]))
    pages, end = walk_with(plan, start, before=[4], hands=[2], spell={"over": "no"})
    assert (end.reason, pages_of(pages, BadDayPage)[0].why) == ("bad_day", "spell")
    pages, end = walk_with(plan, start, before=[4], hands=[2], spell={"over": "yes"})
    assert (end.reason, len(end.moves)) == ("target_met", 2)


def test_a_bad_day_of_the_other_knee_is_one_for_this() -> None:
    plan = taught_plan(bad_day_mark=9)
    start = start_of(plan, bad=BadDays(mark=9), other_knee_bad=True)
    pages, end = walk_with(plan, start, before=[4])
    assert pages_of(pages, BadDayPage)[0].why == "other_knee"
    assert {step.step for step in end.exercises} == SEATED


def test_a_move_scored_above_the_ceiling_begins_its_exercise_in_the_easier_form() -> None:
    """The plan's move is rising from a chair; of its exercises one is like it."""
    for scores, easier in (([6], set()), ([8], {"sit_to_stand"})):
        pages, _ = walk_with(taught_plan(rounds=1), before=[9], hands=[scores[0] - 1])
        found = {p.exercise.exercise for p in pages_of(pages, ExercisePage) if p.easier}
        assert found == easier


# ------------------------------------------------------------ the dose


def test_todays_dose_follows_what_is_said_at_the_gate() -> None:
    plan = taught_plan({"when": "never"})
    lower = Dose(
        steps=1,
        rounds=1,
        repeats=tuple(2 for _ in plan.exercises),
        why="more_next_morning_2_of_3",
    )
    start = start_of(plan, doses=(SaidDose(said="more_next_morning", dose=lower),))
    gate = NOTHING_NEW | {"after_last": "more_next_morning"}
    pages, end = walk_with(plan, start, gate=gate, before=[8], hands=[6])
    assert pages_of(pages, DosePage)[0].dose == lower
    assert (len(end.rounds), end.reason) == (1, "short_of_target")
    assert {page.exercise.repeats for page in pages_of(pages, ExercisePage)} == {2}
    assert end.after_last == "more_next_morning"
    pages, end = walk_with(plan, start, gate=NOTHING_NEW, before=[8], hands=[6, 6])
    assert (pages_of(pages, DosePage), len(end.rounds)) == ([], 2)


def test_every_score_after_the_first_says_which_is_enough() -> None:
    pages, _ = walk_with(taught_plan(), before=[7], hands=[5, 3])
    assert [page.enough for page in pages_of(pages, MovePage)] == [None, 3, 3]
    assert {page.enough for page in pages_of(pages, DecisionPage)} == {3}


# ------------------------------------------------------------ tape on, helper, ten, closed


def test_while_tape_is_on_only_the_check_and_exercises_are_offered() -> None:
    plan = taught_plan()
    start = start_of(plan, wearing_stage=1, hands_off="tape_on")
    pages, end = walk_with(plan, start)
    assert isinstance(pages[1], TapeCheckPage)
    assert not [p for p in pages if isinstance(p, StepPage | MovePage | TapeReadyPage)]
    assert len(end.exercises) == len(EXERCISES)


@pytest.mark.parametrize("feeling", ["itch", "pinching", "numbness", "pain"])
def test_anything_felt_from_the_tape_means_off_now(feeling: str) -> None:
    plan = taught_plan()
    start = start_of(plan, wearing_stage=1, hands_off="tape_on")
    pages, _ = walk_with(plan, start, tape_check={"feelings": [feeling]})
    assert [type(page).__name__ for page in pages[1:4]] == [
        "TapeCheckPage",
        "TapeTakenOffPage",
        "SkinPage",
    ]
    assert pages_of(pages, NoHandsPage)[0].reason == "tape_came_off"


def test_broken_skin_under_the_tape_shows_its_card_and_closes_hands() -> None:
    plan = taught_plan()
    start = start_of(plan, wearing_stage=1, hands_off="tape_on")
    pages, end = walk_with(
        plan, start, tape_check={"feelings": ["itch"]}, skin={"skin": "blister", "card": "read"}
    )
    assert [tick.sign for tick in end.signs] == ["skin_broken"]
    assert not pages_of(pages, StepPage)


def test_hands_wait_for_a_helper_who_must_be_there() -> None:
    plan = taught_plan()
    start = start_of(plan, asks=(PartAsks(part="hands", asks=("helper_there",)),))
    there, _ = walk_with(plan, start, ready={"ready": "yes"}, before=[7], hands=[3])
    (asked,) = pages_of(there, ReadyPage)
    assert asked.asks == ("helper_there",)
    assert pages_of(there, StepPage)
    alone, _ = walk_with(plan, start, ready={"ready": "no"})
    assert pages_of(alone, NoHandsPage)[0].reason == "helper_needed"
    assert not pages_of(alone, StepPage)


def test_ten_is_asked_before_the_first_score() -> None:
    plan = taught_plan()
    pages, _ = walk_with(plan, start_of(plan, ask_about_ten=True), before=[7], hands=[3])
    kinds = [type(page) for page in pages]
    assert kinds.index(TenPage) < kinds.index(MovePage)
    assert not pages_of(walk_with(plan, before=[7], hands=[3])[0], TenPage)


def test_a_closed_routine_is_one_page_and_no_session() -> None:
    plan = taught_plan()
    pages, end = walk_with(plan, start_of(plan, closed_by="knee_stuck"))
    assert [type(page) for page in pages] == [ClosedPage]
    assert (end.ended, end.reason) == ("stopped", "locked")


# ------------------------------------------------------------ signs on the way


def test_new_pain_at_the_back_of_the_knee_opens_the_stop_list() -> None:
    plan = taught_plan()
    zones = {"zones": ["back_of_knee"]}
    pages, _ = walk_with(plan, before=[7], hands=[3], zones=zones)
    new = [page for page in pages_of(pages, StopListPage) if page.reason == "new_place"]
    assert len(new) == 1, "known once it was named"
    known, _ = walk_with(
        plan, start_of(plan, known_zones=("back_of_knee",)), before=[7], hands=[3], zones=zones
    )
    assert not pages_of(known, StopListPage)


def test_a_lump_ticked_between_the_moves_ends_hands_and_tape() -> None:
    plan = taught_plan({"when": "always"})
    pages, end = walk_with(
        plan,
        start_of(plan, asked_signs=("lump", "skin_broken")),
        before=[7],
        zones={"zones": ["back_of_knee"]},
        by_key=ticking("lump", "list:move:before:1") | {"gate": NOTHING_NEW},
    )
    (rows,) = pages_of(pages, StopListPage)
    assert rows.signs == ("lump",), "of a new place the rows about the knee alone"
    assert pages_of(pages, CardPage)[0].sign == "lump"
    assert not [p for p in pages if isinstance(p, StepPage | TapeOnPage)]
    assert pages_of(pages, NoHandsPage)[0].reason == "locked"
    assert end.exercises


def test_a_sign_that_keeps_tape_off_alone_leaves_the_hands() -> None:
    plan = taught_plan({"when": "always"})
    start = start_of(plan, asked_signs=("tape_tingling",), list_reason="weekly")
    assert CATALOGUE.policy.sign("tape_tingling").parts == ("tape_on", "outing_tape")
    pages, end = walk_with(plan, start, ticking("tape_tingling"), before=[6])
    assert pages_of(pages, StepPage)
    assert pages_of(pages, NoTapePage)[0].reasons == ("locked",)
    assert not pages_of(pages, TapeOnPage)
    assert (end.ended, end.reason, end.stage) == ("finished", "tape_not_on", None)


@pytest.mark.parametrize(
    "sign",
    [
        row.sign
        for row in CATALOGUE.policy.signs
        if row.ends == "session" and CATALOGUE.sign(row.sign).asked_when != "stop"
    ],
)
def test_a_sign_that_ends_the_session_ends_it_at_its_card(sign: str) -> None:
    plan = taught_plan()
    # With the whole list due what happens in a session is asked too.
    start = start_of(plan, asked_signs=SIGNS, list_reason="weekly")
    pages, end = walk_with(plan, start, ticking(sign))
    assert isinstance(pages[-1], CardPage)
    assert pages[-1].sign == sign
    assert (end.ended, end.reason) == ("stopped", "card")
    assert not end.moves


# ------------------------------------------------------------ leaving


@given(choices)
def test_what_was_done_so_far_is_what_a_session_left_behind_holds(choose: Choose) -> None:
    plan = any_plan(choose)
    start = any_start(choose, plan)
    pages, answers, end = walked(
        routine(plan, CATALOGUE, start),
        lambda page: any_answer(page, choose),
    )
    count = choose(range(len(pages)))
    held = so_far(
        plan,
        CATALOGUE,
        start,
        [a.submitted for a in answers[:count]],
        ended="left",
        reason="wanted",
    )
    assert held.ended == "left"
    assert held.moves == end.moves[: len(held.moves)]
    assert held.exercises == end.exercises[: len(held.exercises)]
    steps = [step for done in held.rounds for step in done.steps]
    assert steps == [step for done in end.rounds for step in done.steps][: len(steps)]
    submitted = {answer.page: answer.submitted for answer in answers[:count]}
    assert len(held.moves) >= sum(isinstance(p, ZonesPage) for p in pages[:count])
    if "rest_pain" in submitted:
        assert held.rest_pain == submitted["rest_pain"]["score"]
        assert any(isinstance(page, RestPainPage) for page in pages)


def test_zones_are_not_asked_at_no_pain() -> None:
    pages, end = walk_with(taught_plan(), before=[0], hands=[0])
    assert not pages_of(pages, ZonesPage)
    assert end.moves[0] == MoveScore(role="before", score=0)
    assert end.reason == "nothing_to_ease"


def test_minutes_count_every_prescribed_round() -> None:
    plan = taught_plan(rounds=2)
    less = routine_minutes(plan, TECHNIQUES[:1], ())
    more = routine_minutes(plan, TECHNIQUES[:3], EXERCISES)
    assert 1 <= less < more


def test_a_step_that_hurt_too_much_asks_its_number_on_its_own_page_and_no_other_asks() -> None:
    plan = taught_plan({"when": "never"})
    hurt = {"step:1:1": {"outcome": "stopped", "seconds": 12}, "step:1:1:hurt": {"pain": 7}}
    pages, end = walk_with(plan, None, hurt, before=[8], hands=[3])
    (asked,) = pages_of(pages, StepHurtPage)
    first = end.rounds[0].steps[0]
    assert (first.outcome, first.seconds, first.pain) == ("stopped", 12, 7)
    (stopped,) = pages_of(pages, StepStoppedPage)
    assert (stopped.stop, stopped.pain) == ("above_rest", 7)
    assert asked.name == first.step
