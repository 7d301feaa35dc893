"""The day page as an entry: absent is absent, corrections keep the old one, private notes stay."""

from dataclasses import replace
from typing import Any

import pytest

from companion.care.closures import closures
from companion.care.day_pages_kept import days_to_write, page_of
from companion.care.day_questions import DayStart
from companion.care.flow import Given
from companion.care.records import (
    Amount,
    AmountPlan,
    AnyEntry,
    CautionAnswer,
    DayPage,
    Side,
    WarningSign,
)
from companion.exchange.files import diary_bytes
from companion.services.day_page import (
    DayWalk,
    aims_on,
    in_flare,
    private_note_key,
)
from companion.services.front import expire_left_behind
from companion.services.routine import RoutineWalk
from companion.services.visit import diary_file, summary_file
from companion.services.walks import WalkStep, begin, give
from tests.builders import DAY, at, new_id, page, session, tape_on, warning
from tests.care.walking import NO_CAUTIONS, taught_plan
from tests.services.conftest import Keep
from tests.services.context_for_tests import answer_by, counting, ended, of, walk_on
from tests.versions import versions_of

BOTH = taught_plan(side="both", main_side="left")
SECRET = "The nurse was short with me."


def test_what_was_not_answered_is_absent_in_the_entry(keep: Keep) -> None:
    context = keep().context
    submitted: dict[str, Any] = {
        "average": {"score": 0},
        "worst": {"score": None},
        "medicine": {"medicine": None},
    }
    walk_on(context, DayWalk(), answer=lambda found: submitted.get(found.key, {}))
    (written,) = of(context, DayPage)
    assert written.pain_average == 0
    assert (written.pain_worst, written.pain_now, written.medicine) == (None, None, None)
    assert (written.skin, written.stairs, written.stiffness_minutes) == (None, None, None)
    assert b"pain_worst" not in diary_bytes(context.journal.diary())


def test_the_fortnight_before_is_asked_on_the_first_page_of_a_knee(keep: Keep) -> None:
    """Once, and again where that page is changed; not where the first session said it."""

    def asked(*entries: AnyEntry, side: Side = "left") -> bool:
        begun = begin(keep(*entries, plan=BOTH).context, DayWalk(), side)
        assert isinstance(begun, WalkStep)
        start: DayStart = begun.state.start
        return start.fortnight

    here = session(0, 6, side="left", place="clinic")
    assert asked()
    assert asked(here, page(0, side="right"))
    assert not asked(replace(here, last_fortnight="cannot_tell"))
    assert asked(replace(here, last_fortnight="cannot_tell"), side="right")
    assert not asked(page(9, side="left"))
    context = keep().context
    said: Given = {"last_fortnight": "worse"}
    walk_on(context, DayWalk(), answer=answer_by({"last_fortnight": said}))
    walk_on(context, DayWalk())
    assert [one.last_fortnight for one in of(context, DayPage)] == ["worse", "not_worse"]


def test_nothing_answered_writes_nothing(keep: Keep) -> None:
    context = keep().context
    done = walk_on(context, DayWalk(), answer=lambda _page: {})
    assert ended(done).empty
    assert not of(context, DayPage)


def test_a_correction_keeps_the_old_page_to_be_seen(keep: Keep) -> None:
    diary = keep()
    context = diary.context
    walk_on(context, DayWalk())
    diary.clock.pass_by(minutes=5)
    walk_on(context, DayWalk(), answer=answer_by({"average": {"score": 7}}))
    first, second = of(context, DayPage)
    assert (first.pain_average, second.pain_average) == (3, 7)
    assert second.replaces == first.id
    assert counting(context, DayPage) == [second]
    assert versions_of(context.journal.entries(), second.id) == (first, second)


def test_a_correction_keeps_what_only_the_paper_page_said(keep: Keep) -> None:
    paper = page(9, written_by="paper", hands_done=True, exercise_done=False, tape_worn=True)
    context = keep(paper).context
    walk_on(context, DayWalk(), for_day=at(9).date())
    (written,) = counting(context, DayPage)
    assert (written.hands_done, written.exercise_done, written.tape_worn) == (True, False, True)
    assert written.pain_average == 3


def test_a_private_note_is_in_no_entry_and_in_no_byte_that_is_handed_over(keep: Keep) -> None:
    context = keep().context
    note = {"note": {"note": SECRET, "private": "yes"}}
    walk_on(context, DayWalk(), answer=answer_by(note))
    (written,) = of(context, DayPage)
    assert (written.note, written.note_private) == (None, True)
    assert context.journal.draft(private_note_key(written.id)) == {"note": SECRET}
    assert SECRET.encode() not in diary_bytes(context.journal.diary())
    assert SECRET.encode() not in diary_file(context)
    summary = summary_file(context, lambda diary, found, _c: repr((diary, found)).encode())
    assert SECRET.encode() not in summary


def test_an_open_note_is_handed_over(keep: Keep) -> None:
    context = keep().context
    walk_on(context, DayWalk(), answer=answer_by({"note": {"note": SECRET, "private": "no"}}))
    assert SECRET.encode() in diary_bytes(context.journal.diary())


@pytest.mark.parametrize(("side", "asked"), [("left", True), ("right", False)])
def test_the_persons_questions_are_asked_on_the_main_knee_alone(
    side: Any, asked: bool, keep: Keep
) -> None:
    context = keep(plan=BOTH).context
    walk_on(context, DayWalk(), side)
    (written,) = of(context, DayPage)
    assert (written.medicine is not None) == asked
    assert bool(written.activities) == asked
    assert (written.stairs is not None) == asked
    assert written.pain_average == 3


@pytest.mark.parametrize(("put_on", "asked"), [(at(9), True), (at(10, 9), True), (None, False)])
def test_skin_is_asked_on_days_with_tape(put_on: Any, asked: bool, keep: Keep) -> None:
    context = keep(*([] if put_on is None else [tape_on(put_on)])).context
    begun = begin(context, DayWalk(), "right")
    assert isinstance(begun, WalkStep)
    assert begun.state.start.taped == asked


def test_the_aim_of_the_week_is_the_plans_and_no_card_is_open(keep: Keep) -> None:
    walk = AmountPlan(label="Walk", unit="m", baseline=200, goal=300)
    paced = taught_plan(amounts=(walk,), written_on=at(0).date())
    reached = page(1, amounts=(Amount(label="Walk", unit="m", amount=160.0),))
    context = keep(reached, plan=paced).context
    (aim,) = aims_on(context, at(10).date())
    assert (aim.aim, aim.before and aim.before.outcome) == (180, "kept")
    assert [week.aim for week in aims_on(context, at(1).date())] == [160]
    closed = keep(reached, warning(9), plan=paced).context
    assert aims_on(closed, at(10).date()) == ()


def test_the_full_form_comes_for_fourteen_days_then_weekly(keep: Keep) -> None:
    """Full for the first 14 days, weekly between, and from 14 days before the review."""
    pages = [page(day, form="full" if day < 14 else "short") for day in range(20)]
    diary = keep(*pages)
    forms = {}
    for day in (13, 19, 20, 41, 42):
        diary.clock.set(at(day))
        begun = begin(diary.context, DayWalk(), "right")
        assert isinstance(begun, WalkStep)
        forms[day] = begun.state.start.form
    # The last full page lies on day 13; the review is on day 56.
    assert forms == {13: "full", 19: "short", 20: "full", 41: "full", 42: "full"}


def test_left_in_the_middle_the_same_day_goes_on(keep: Keep) -> None:
    diary = keep()
    left = walk_on(diary.context, DayWalk(), until="medicine")
    expire_left_behind(diary.context)
    assert begin(diary.kill(), DayWalk(), "right") == left


def test_left_for_days_it_is_written_as_far_as_it_came(keep: Keep) -> None:
    diary = keep(tape_on(at(9)))
    blister = answer_by({"skin": {"skin": "blister"}})
    walk_on(diary.context, DayWalk(), answer=blister, until="skin:card")
    diary.clock.pass_by(days=1)
    expire_left_behind(diary.context)
    assert not of(diary.context, DayPage), "yesterday's page may still be gone on with"
    diary.clock.pass_by(days=1)
    expire_left_behind(diary.context)
    (written,) = of(diary.context, DayPage)
    assert (written.pain_average, written.skin, written.medicine) == (3, "blister", None)
    assert written.for_day == at(10).date()
    assert written.written_at == at(10), "its answers were on disk that evening"
    assert len(of(diary.context, WarningSign)) == 1


def test_left_without_an_answer_it_is_forgotten(keep: Keep) -> None:
    diary = keep()
    begin(diary.context, DayWalk(), "right")
    diary.clock.pass_by(days=3)
    expire_left_behind(diary.context)
    assert not of(diary.context, DayPage)


def test_today_and_yesterday_are_open_until_they_are_written(keep: Keep) -> None:
    diary = keep(page(9))
    today = diary.clock.today()
    assert days_to_write(diary.context.entries, today, "right") == (today,)
    walk_on(diary.context, DayWalk())
    assert days_to_write(diary.context.entries, today, "right") == ()
    assert page_of(diary.context.entries, today, "right") is not None
    assert page_of(diary.context.entries, today, "left") is None


# ------------------------------------------------------------ a flare, where it matters


def _inflamed(answer: bool) -> Any:
    others = tuple(one for one in NO_CAUTIONS if one.caution != "inflamed_arthritis")
    return (*others, CautionAnswer(caution="inflamed_arthritis", answer=answer, on=DAY))


@pytest.mark.parametrize(("answer", "hands_off"), [(True, "flare"), (False, None)])
def test_inflamed_arthritis_keeps_hands_off_in_a_flare(
    answer: bool, hands_off: str | None, keep: Keep
) -> None:
    """Usual 3, then 6 and 6: a flare (Parry, Ogollah and Peat; F)."""
    pages = [page(day, pain_average=3) for day in range(8)]
    pages += [page(day, pain_average=6) for day in (8, 9)]
    plan = taught_plan(cautions=_inflamed(answer))
    context = keep(*pages, plan=plan).context
    assert in_flare(context, plan, "right") == answer
    begun = begin(context, RoutineWalk(), "right")
    assert isinstance(begun, WalkStep)
    assert begun.state.start.hands_off == hands_off


def test_a_page_written_late_says_for_which_day(keep: Keep) -> None:
    diary = keep()
    begun = begin(diary.context, DayWalk(), "right", at(6).date())
    assert isinstance(begun, WalkStep)
    give(diary.context, DayWalk(), begun, {"score": 4})
    walk_on(diary.context, DayWalk(), for_day=at(6).date())
    (written,) = of(diary.context, DayPage)
    assert written.for_day == at(6).date()
    assert written.written_at == at(10)


# ---------------------------------------------------------------- answers that may mean a sign

FIRST = page(0, form="full", pain_worst=5, swelling="none", stiffness_minutes=0, night_pain=False)
STIFF = {"morning": {"stiffness_minutes": 120, "swelling": "none", "night_pain": "no"}}


def test_a_sign_told_on_a_day_page_is_written_like_one_of_the_gate(keep: Keep) -> None:
    context = keep(FIRST).context
    told = {**STIFF, "sign_of:stiff": {"sign": "stiff_mornings"}}
    step = walk_on(context, DayWalk(), answer=answer_by(told), until="sign_of:stiff_mornings:card")
    # On disk before it is read.
    (sign,) = counting(context, WarningSign)
    assert (sign.sign, sign.level) == ("stiff_mornings", "call")
    assert isinstance(step, WalkStep)
    sure = give(context, DayWalk(), step, {"card": "mistake"})
    assert isinstance(sure, WalkStep)
    give(context, DayWalk(), sure, {"mistake": "yes"})
    (sign,) = counting(context, WarningSign)
    assert sign.cleared == "ticked_by_mistake"


def test_as_before_is_kept_with_the_page_and_may_be_changed(keep: Keep) -> None:
    diary = keep(FIRST)
    context = diary.context
    walk_on(context, DayWalk(), answer=answer_by(STIFF))
    (written,) = [one for one in counting(context, DayPage) if one.for_day != DAY]
    assert written.as_before == ("stiff",)
    diary.clock.pass_by(minutes=5)
    told = {**STIFF, "sign_of:stiff": {"sign": "stiff_mornings"}}
    walk_on(context, DayWalk(), answer=answer_by(told))
    (written,) = [one for one in counting(context, DayPage) if one.for_day != DAY]
    assert written.as_before == ()
    assert [sign.sign for sign in counting(context, WarningSign)] == ["stiff_mornings"]


def test_what_is_open_is_not_asked_again_by_the_day_page(keep: Keep) -> None:
    context = keep(FIRST, warning(3, "stiff_mornings", "call")).context
    done = walk_on(context, DayWalk(), answer=answer_by(STIFF))
    assert ended(done).as_before == ()
    assert len(of(context, WarningSign)) == 1


def test_a_sign_of_the_day_page_is_of_its_own_knee(keep: Keep) -> None:
    first = replace(FIRST, id=new_id(), side="left")
    context = keep(first, plan=BOTH).context
    told = {**STIFF, "sign_of:stiff": {"sign": "stiff_mornings"}}
    walk_on(context, DayWalk(), "left", answer=answer_by(told))
    (sign,) = counting(context, WarningSign)
    assert sign.sides == ("left",)
    closed = {
        side: closures(context.policy, BOTH, context.entries, side, today=context.clock.today())
        for side in BOTH.sides
    }
    assert closed["left"].closed("hands")
    assert not closed["right"].closed("hands")
