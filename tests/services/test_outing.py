"""Going out in the real store: what is written, when, and what a killed program takes up."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care import outing_questions as going
from companion.care.flow import WalkPage
from companion.care.outings_waiting import outings_waiting
from companion.care.records import (
    Amount,
    AmountPlan,
    AnyEntry,
    Outing,
    PatchTest,
    TapeOff,
    TapeOn,
    WarningSign,
)
from companion.care.stopping import CardPage
from companion.care.tape_applications import current_application
from companion.care.taping import NoTapePage, SkinPage, TapeCheckPage, TapeOnPage, TapeTakenOffPage
from companion.services.context import Context
from companion.services.front import expire_left_behind
from companion.services.outing import (
    OutingAfterWalk,
    OutingMorningWalk,
    OutingWalk,
)
from companion.services.walks import WalkKind, WalkResult, WalkStep, back, begin, expire, give
from companion.services.walks import load as under_way
from tests.builders import DAY, SOMETHING_NEW, at, patch_test, session, warning
from tests.care.content import whole_plan
from tests.care.test_outing_questions import but, going_out, told
from tests.services.context_for_tests import HandClock, Kept
from tests.versions import versions_of

TODAY = DAY + timedelta(days=7)
WALK = AmountPlan(label="Walk", unit="min", baseline=10.0, goal=30.0)
PLAN = whole_plan(amounts=(WALK,), activities=("Shopping",))
Answerer = Callable[[WalkPage], Mapping[str, Any]]


def tolerated() -> PatchTest:
    """Tape of the plan's make, cleared by the clinic."""
    return patch_test(at(DAY, 9), tolerated_in_clinic=True)


def taught() -> tuple[AnyEntry, ...]:
    """A diary in which the full list was looked through yesterday."""
    return tolerated(), session(TODAY - timedelta(days=1), 5, 2, full_list=True)


@pytest.fixture
def context(tmp_path: Path) -> Iterator[Context]:
    diary = Kept(tmp_path, PLAN, taught(), HandClock(at(TODAY, 14)))
    yield diary.context
    diary.close()


def later(context: Context, **by: float) -> None:
    assert isinstance(context.clock, HandClock)
    context.clock.pass_by(**by)


def through(
    context: Context, conduct: WalkKind[Any, Any], answer: Answerer
) -> tuple[list[WalkPage], WalkResult[Any, Any]]:
    pages: list[WalkPage] = []
    outcome = begin(context, conduct, "right")
    while isinstance(outcome, WalkStep):
        pages.append(outcome.page)
        outcome = give(context, conduct, outcome, answer(outcome.page))
    return pages, outcome


def of(context: Context, kind: type[Any]) -> list[Any]:
    return [entry for entry in context.entries if isinstance(entry, kind)]


def out(context: Context, **changed: Mapping[str, Any]) -> WalkResult[Any, Any]:
    return through(context, OutingWalk(), but(going_out, **changed))[1]


def now_told(context: Context, **changed: Mapping[str, Any]) -> WalkResult[Any, Any]:
    return through(context, OutingAfterWalk(), but(told, **changed))[1]


def morning(
    context: Context, answer: str = "more_pain"
) -> tuple[list[WalkPage], WalkResult[Any, Any]]:
    return through(
        context,
        OutingMorningWalk(),
        lambda page: {"card": "read"} if isinstance(page, CardPage) else {"next_morning": answer},
    )


# ---------------------------------------------------------------- before


def test_tape_and_outing_are_written_and_name_each_other(context: Context) -> None:
    out(context)
    (on,), (outing,) = of(context, TapeOn), of(context, Outing)
    assert on.for_outing
    assert on.make == "Slate 50"
    assert outing.knees[0].tape_on == on.id
    assert outing.happened_at == context.clock.now()
    assert (outing.what_for, outing.amount) == (
        "Walk",
        Amount(label="Walk", unit="min", amount=20.0),
    )
    assert outing.ended_because is None
    assert under_way(context, OutingWalk(), "right") is None


def test_without_tape(context: Context) -> None:
    out(context, tape_for_outing={"tape": "no"})
    assert of(context, TapeOn) == []
    (outing,) = of(context, Outing)
    assert outing.knees[0].tape_on is None


def test_not_going_writes_nothing(context: Context) -> None:
    out(context, tape_for_outing={"tape": "no"}, look_over={"going": "no"})
    assert of(context, Outing) == []
    assert under_way(context, OutingWalk(), "right") is None


def test_the_gate_of_the_routine_counts_for_the_day(context: Context) -> None:
    context.journal.append(session(TODAY, 5, 2))
    assert begin(context, OutingWalk(), "right").state.start.gate_asked


def test_tape_from_a_day_before_is_the_tape_of_the_outing(context: Context) -> None:
    out(context)
    later(context, days=1)
    pages, _ = through(context, OutingWalk(), but(going_out, tape_check={"feelings": []}))
    assert any(isinstance(page, TapeCheckPage) for page in pages)
    (on,) = of(context, TapeOn)
    assert [outing.knees[0].tape_on for outing in of(context, Outing)] == [on.id, on.id]


def test_tape_that_hurts_comes_off_before_the_outing(context: Context) -> None:
    out(context)
    later(context, days=1)
    through(
        context,
        OutingWalk(),
        but(going_out, tape_check={"feelings": ["pain"]}, skin={"skin": "pink"}),
    )
    assert current_application(context.entries, "right") is None
    (off,) = of(context, TapeOff)
    assert off.skin_at_once == "pink"
    assert of(context, Outing)[-1].knees[0].tape_on is None


@pytest.mark.parametrize(
    ("given_plan", "reason"),
    [
        (whole_plan(amounts=(WALK,), cautions=()), "caution"),
        (whole_plan({"stay_bare_from": DAY}, amounts=(WALK,)), "stay_bare"),
        (whole_plan({"make": "Harbour tape"}, amounts=(WALK,)), "patch_test_missing"),
    ],
)
def test_what_the_plan_forbids_stays_off(tmp_path: Path, given_plan: Any, reason: str) -> None:
    diary = Kept(tmp_path, given_plan, taught(), HandClock(at(TODAY, 14)))
    pages, _ = through(diary.context, OutingWalk(), going_out)
    (refused,) = [page for page in pages if isinstance(page, NoTapePage)]
    assert reason in refused.reasons
    assert of(diary.context, TapeOn) == []
    assert len(of(diary.context, Outing)) == 1
    diary.close()


def test_rest_since_the_last_tape_refuses_tape(context: Context) -> None:
    """Rest before the next: 24 h by default (C)."""
    out(context)
    later(context, hours=20)
    through(
        context,
        OutingWalk(),
        but(going_out, tape_check={"feelings": ["itch"]}, skin={"skin": "clear"}),
    )
    later(context, hours=3)
    pages, _ = through(context, OutingWalk(), going_out)
    assert NoTapePage(reasons=("rest",)) in pages


def test_an_open_today_card_comes_first_and_no_tape_goes_on(context: Context) -> None:
    context.journal.append(warning(TODAY - timedelta(days=1), "knee_stuck", "today"))
    pages, done = through(context, OutingWalk(), going_out)
    assert pages[0] == going.CardFirstPage(sign="knee_stuck")
    assert of(context, TapeOn) == []
    assert done.end.going


def test_a_card_at_the_gate_writes_the_sign_and_no_outing(context: Context) -> None:
    def ticking(page: WalkPage) -> Mapping[str, Any]:
        if isinstance(page, CardPage):
            return {"card": "read"}
        return but(going_out, gate=SOMETHING_NEW, list_1={"signs": ["knee_stuck"]})(page)

    _, done = through(context, OutingWalk(), ticking)
    assert done.end.card
    assert [sign.sign for sign in of(context, WarningSign)] == ["knee_stuck"]
    assert of(context, Outing) == []


def test_a_walk_taken_up_after_a_sign_elsewhere_begins_anew(context: Context) -> None:
    outcome = begin(context, OutingWalk(), "right")
    for _ in range(3):
        assert isinstance(outcome, WalkStep)
        outcome = give(context, OutingWalk(), outcome, going_out(outcome.page))
    later(context, minutes=5)
    context.journal.append(warning(TODAY, "knee_stuck", "today", written_at=context.clock.now()))
    again = begin(context, OutingWalk(), "right")
    assert isinstance(again, WalkStep)
    assert again.page == going.CardFirstPage(sign="knee_stuck")


# ---------------------------------------------------------------- after and the morning


def test_how_it_was_is_a_correction_that_keeps_the_original(context: Context) -> None:
    out(context)
    (meant,) = of(context, Outing)
    later(context, hours=2)
    now_told(context)
    versions = versions_of(context.journal.entries(), meant.id)
    assert versions[0].id == meant.id
    (told_of,) = of(context, Outing)
    assert told_of.replaces == meant.id
    assert (told_of.ended_because, told_of.knees[0].pain_worst) == ("pain", 6)
    assert told_of.amount == Amount(label="Walk", unit="min", amount=12.5)
    assert (told_of.knees[0].tape_on, told_of.happened_at) == (
        meant.knees[0].tape_on,
        meant.happened_at,
    )
    assert told_of.written_at == context.clock.now()


def test_the_tape_of_the_outing_is_to_come_off(context: Context) -> None:
    out(context)
    assert now_told(context).end.knees[0].next_with_tape == "take_off"


def test_tape_that_is_said_to_be_off_is_written_where_it_is_said(context: Context) -> None:
    """It was asked, shown, and not written: for days the tape was on, and due off."""
    out(context)
    (on,) = of(context, TapeOn)
    later(context, hours=5)
    now_told(
        context,
        tape_still_on={"tape": "by_itself"},
        off_when={"day": "today", "hour": context.clock.now().hour - 1},
        skin={"skin": "broken"},
        skin_card={"card": "read"},
    )
    (off,) = of(context, TapeOff)
    assert (off.tape_on, off.came_off_by_itself, off.skin_at_once) == (on.id, True, "broken")
    assert off.happened_at is not None
    assert context.clock.now() - off.happened_at <= timedelta(hours=2)
    assert current_application(context.entries, "right") is None
    assert [sign.sign for sign in of(context, WarningSign)] == ["skin_broken"]
    (told_of,) = of(context, Outing)
    assert told_of.ended_because == "pain"


def test_left_lying_after_it_was_said_that_tape_is_off_it_is_off(context: Context) -> None:
    out(context)
    later(context, hours=5)
    step = begin(context, OutingAfterWalk(), "right")
    for submitted in ({"because": "done"}, {"amount": None}, {"score": 3}, {"tape": "off"}):
        assert isinstance(step, WalkStep)
        step = give(context, OutingAfterWalk(), step, submitted)
    later(context, hours=24)
    expire_left_behind(context)
    (off,) = of(context, TapeOff)
    assert (off.happened_at, off.skin_at_once) == (None, None)
    assert current_application(context.entries, "right") is None


def test_tape_of_another_day_is_left(context: Context) -> None:
    context.journal.append(
        TapeOn(
            id="a" * 32,
            for_day=TODAY,
            written_at=at(TODAY, 9),
            written_by="person",
            plan_version=1,
            side="right",
            happened_at=at(TODAY, 9),
            stage=1,
            make="Slate 50",
        )
    )
    out(context, tape_check={"feelings": []})
    assert now_told(context).end.knees[0].next_with_tape == "leave"


def test_what_is_waiting_follows_the_telling(context: Context) -> None:
    def what() -> str | None:
        found = outings_waiting(context.entries, context.clock.today(), context.clock.now())
        return found[0].what if found else None

    assert what() is None
    out(context)
    assert what() == "after"
    now_told(context)
    assert what() is None
    later(context, hours=16)
    assert what() == "morning"
    morning(context, "as_usual")
    assert what() is None


def test_nothing_waits_so_nothing_begins(context: Context) -> None:
    kinds: tuple[WalkKind[Any, Any], ...] = (OutingAfterWalk(), OutingMorningWalk())
    for conduct in kinds:
        with pytest.raises(LookupError):
            begin(context, conduct, "right")


def test_the_morning_after_every_outing_of_the_day(context: Context) -> None:
    for _ in range(2):
        out(context, tape_for_outing={"tape": "no"})
        now_told(context)
        later(context, minutes=30)
    later(context, hours=16)
    morning(context)
    assert [one.knees[0].next_morning for one in of(context, Outing)] == ["more_pain", "more_pain"]
    assert [one.ended_because for one in of(context, Outing)] == ["pain", "pain"]
    assert [sign.sign for sign in of(context, WarningSign)] == ["more_pain_after"]


def test_more_pain_two_mornings_running_says_call(context: Context) -> None:
    """RACGP HANDI (F): two days running, call."""
    for _ in range(2):
        later(context, hours=2)
        out(context, tape_for_outing={"tape": "no"}, open_more_pain_after={"over": "no"})
        now_told(context)
        later(context, hours=22)
        morning(context)
    assert [sign.sign for sign in of(context, WarningSign)] == [
        "more_pain_after",
        "more_pain_two_days",
    ]


def test_more_pain_is_on_disk_when_its_card_is_seen(context: Context) -> None:
    out(context, tape_for_outing={"tape": "no"})
    now_told(context)
    later(context, hours=18)
    conduct = OutingMorningWalk()
    outcome = begin(context, conduct, "right")
    assert isinstance(outcome, WalkStep)
    shown = give(context, conduct, outcome, {"next_morning": "more_pain"})
    assert isinstance(shown, WalkStep)
    assert isinstance(shown.page, CardPage)
    assert [sign.sign for sign in of(context, WarningSign)] == ["more_pain_after"]
    expire(context, conduct, shown.state, "left_behind")
    assert [one.knees[0].next_morning for one in of(context, Outing)] == ["more_pain"]


def test_what_was_said_before_it_was_left_is_kept(context: Context) -> None:
    out(context, tape_for_outing={"tape": "no"})
    conduct = OutingAfterWalk()
    outcome = begin(context, conduct, "right")
    assert isinstance(outcome, WalkStep)
    outcome = give(context, conduct, outcome, {"because": "tired"})
    said_at = context.clock.now()
    later(context, days=2)
    assert isinstance(outcome, WalkStep)
    expire(context, conduct, outcome.state, "left_behind")
    (outing,) = of(context, Outing)
    assert (outing.ended_because, outing.amount) == ("tired", None)
    assert outing.knees[0].pain_worst is None
    assert outing.written_at == said_at


def test_a_plan_for_the_other_knee_does_not_lose_the_telling(context: Context) -> None:
    out(context, tape_for_outing={"tape": "no"})
    context.journal.append(plans=(replace(PLAN, version=2, side="left", main_side="left"),))
    now_told(context)
    (outing,) = of(context, Outing)
    assert (outing.ended_because, outing.plan_version) == ("pain", 1)


# ---------------------------------------------------------------- killed and taken up


@settings(max_examples=25)
@given(
    tape=st.sampled_from(["yes", "no"]),
    own=st.booleans(),
    steps_back=st.integers(0, 2),
    kill_every=st.integers(1, 3),
)
def test_killed_at_any_page_nothing_is_lost_or_doubled(
    tmp_path_factory: pytest.TempPathFactory,
    tape: str,
    own: bool,
    steps_back: int,
    kill_every: int,
) -> None:
    diary = Kept(tmp_path_factory.mktemp("killed"), PLAN, taught(), HandClock(at(TODAY, 14)))
    what = {"what": "own", "own": "To the pier"} if own else {"what": "1"}
    answer = but(going_out, what_for_1=what, tape_for_outing={"tape": tape})
    for conduct, by in ((OutingWalk(), answer), (OutingAfterWalk(), told)):
        _walk_killed(diary, conduct, by, steps_back, kill_every)
    (outing,) = of(diary.context, Outing)
    taped = of(diary.context, TapeOn)
    assert len(taped) == (tape == "yes")
    assert outing.knees[0].tape_on == (taped[0].id if taped else None)
    assert outing.what_for == ("To the pier" if own else "Walk")
    assert outing.ended_because == "pain"
    assert len(versions_of(diary.context.journal.entries(), outing.id)) == 2
    diary.close()


def _walk_killed(
    diary: Kept, conduct: WalkKind[Any, Any], answer: Answerer, steps_back: int, kill_every: int
) -> None:
    outcome = begin(diary.context, conduct, "right")
    for turn in range(1, 60):
        if isinstance(outcome, WalkResult):
            return
        key = outcome.page.key
        if turn % kill_every == 0 and outcome.state.answers:
            outcome = begin(diary.kill(), conduct, "right")
            assert isinstance(outcome, WalkStep)
            assert outcome.page.key == key
        if turn == 3:
            for _ in range(steps_back):
                gone_back = back(diary.context, conduct, outcome)
                assert isinstance(gone_back, WalkStep)
                outcome = gone_back
        outcome = give(diary.context, conduct, outcome, answer(outcome.page))
    raise AssertionError("the walk did not end")


def test_tape_off_in_the_check_is_on_disk_before_the_skin_is_asked(context: Context) -> None:
    out(context)
    later(context, days=1)
    conduct = OutingWalk()
    answer = but(going_out, tape_check={"feelings": ["numbness"]})
    outcome = begin(context, conduct, "right")
    while isinstance(outcome, WalkStep) and not isinstance(outcome.page, SkinPage):
        outcome = give(context, conduct, outcome, answer(outcome.page))
    assert current_application(context.entries, "right") is None
    again = begin(context, conduct, "right")
    assert isinstance(again, WalkStep)
    assert isinstance(again.page, SkinPage)
    assert not again.can_go_back


def test_no_page_of_new_tape_without_its_questions(context: Context) -> None:
    pages, _ = through(context, OutingWalk(), going_out)
    assert [page.key for page in pages if isinstance(page, TapeOnPage)] == ["tape_on:1"]
    assert not any(isinstance(page, TapeTakenOffPage) for page in pages)
