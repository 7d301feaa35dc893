"""The patch test in the real store: each look a correction, and no missed look is a clear one."""

from collections.abc import Iterator, Mapping
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care import patch_questions as patch
from companion.care.flow import WalkPage
from companion.care.patch_looks import PATCH_CALL
from companion.care.records import PatchTest, WarningSign
from companion.care.stopping import CardPage
from companion.care.tape_gate import patch_test_state
from companion.services.context import Context
from companion.services.patch_test import (
    PatchReadingWalk,
    PatchWalk,
    late_rash_asked,
    patch_waiting,
)
from companion.services.signs import ClearWalk
from companion.services.walks import WalkResult, WalkStep, begin, give, to_page
from tests.builders import at, patch_test, warning
from tests.care.content import CATALOGUE, whole_plan
from tests.care.test_patch_questions import placing
from tests.services.context_for_tests import HandClock, Kept, answer_by, walk_on
from tests.services.test_outing import TODAY, later, of, through
from tests.versions import versions_of

PLAN = whole_plan()
READINGS = CATALOGUE.tape_steps.patch_test.readings


@pytest.fixture
def context(tmp_path: Path) -> Iterator[Context]:
    diary = Kept(tmp_path, PLAN, clock=HandClock(at(TODAY, 10)))
    yield diary.context
    diary.close()


def place(context: Context) -> WalkResult[Any, Any]:
    return through(context, PatchWalk(), placing)[1]


def look(context: Context, *answers: Mapping[str, Any]) -> list[WalkPage]:
    given_answers = iter(answers)
    return through(context, PatchReadingWalk(), lambda _page: next(given_answers, {}))[0]


def state(context: Context) -> str:
    found = patch_waiting(PLAN, context.entries, context.clock.now(), CATALOGUE)
    assert found is not None
    return found.state


def gate_state(context: Context) -> str:
    return patch_test_state(PLAN, context.entries, "Slate 50", context.clock.now(), READINGS)


def test_a_test_read_clear_twice(context: Context) -> None:
    assert state(context) == "missing"
    place(context)
    assert state(context) == "waiting"
    later(context, hours=25)
    assert state(context) == "first_reading_due"
    look(context, {"skin": "clear"})
    assert state(context) == "waiting"
    later(context, hours=25)
    assert state(context) == "second_reading_due"
    look(context, {"skin": "clear"})
    assert state(context) == gate_state(context) == "clear"
    (test,) = of(context, PatchTest)
    assert (test.make, test.happened_at) == ("Slate 50", at(TODAY, 10))
    assert (test.first_skin, test.second_skin) == ("clear", "clear")


def read_clear_twice(context: Context) -> None:
    place(context)
    for _ in range(2):
        later(context, hours=25)
        look(context, {"skin": "clear"})


def test_a_rash_after_two_clear_looks_ends_the_make(context: Context) -> None:
    """Contact allergy may show days later (fact: patch_test_week), from memory."""
    read_clear_twice(context)
    later(context, days=4)
    look(context, {"look": "reaction"}, {"skin": "red"}, {"skin": "kept"})
    assert state(context) == gate_state(context) == "not_clear"
    (test,) = of(context, PatchTest)
    assert (test.first_skin, test.second_skin) == ("clear", "red")


def test_a_late_look_that_finds_nothing_or_was_a_mistake_leaves_the_test_clear(
    context: Context,
) -> None:
    read_clear_twice(context)
    (before,) = of(context, PatchTest)
    later(context, days=4)
    look(context, {"look": "no"})
    look(context, {"look": "reaction"}, {"skin": "clear"})
    assert list(of(context, PatchTest)) == [before]
    look(context, {"look": "reaction"}, {"skin": "red"}, {"skin": "mistake"}, {"skin": "clear"})
    assert state(context) == gate_state(context) == "clear"


def test_the_place_is_asked_about_for_two_weeks(context: Context) -> None:
    def asked() -> bool:
        now = context.clock.now()
        found = patch_waiting(PLAN, context.entries, now, CATALOGUE)
        assert found is not None
        return late_rash_asked(found, context.entries, now, CATALOGUE)

    place(context)
    assert not asked(), "a test that is under way has its own looks"
    for _ in range(2):
        later(context, hours=25)
        look(context, {"skin": "clear"})
    assert asked()
    later(context, days=11, hours=21)  # 13 days and 23 hours after the piece went on
    assert asked()
    later(context, hours=1)
    assert not asked()


def test_each_look_is_a_correction_that_keeps_what_was_before(context: Context) -> None:
    place(context)
    (placed,) = of(context, PatchTest)
    later(context, hours=25)
    look(context, {"skin": "clear"})
    later(context, hours=25)
    look(context, {"skin": "itchy"}, {"skin": "kept"})
    versions = versions_of(context.journal.entries(), placed.id)
    assert len(versions) == 3
    assert versions[0] == placed
    (test,) = of(context, PatchTest)
    assert (test.first_skin, test.second_skin) == ("clear", "itchy")
    assert gate_state(context) == "not_clear"


def test_skin_that_is_not_clear_is_on_disk_before_the_page_that_says_so(context: Context) -> None:
    place(context)
    later(context, hours=30)
    outcome = begin(context, PatchReadingWalk(), "right")
    assert isinstance(outcome, WalkStep)
    shown = give(context, PatchReadingWalk(), outcome, {"skin": "pink"})
    assert isinstance(shown, WalkStep)
    assert isinstance(shown.page, patch.PatchNotClearPage)
    assert not shown.can_go_back
    assert gate_state(context) == "not_clear"
    again = begin(context, PatchReadingWalk(), "right")
    assert isinstance(again, WalkStep)
    assert again.page == shown.page


def test_a_mistake_is_taken_back_and_both_are_kept(context: Context) -> None:
    place(context)
    (placed,) = of(context, PatchTest)
    later(context, hours=30)
    look(context, {"skin": "itchy"}, {"skin": "mistake"}, {"skin": "clear"})
    (test,) = of(context, PatchTest)
    assert test.first_skin == "clear"
    skins = [
        one.first_skin
        for one in versions_of(context.journal.entries(), placed.id)
        if isinstance(one, PatchTest)
    ]
    assert sorted(map(str, skins)) == ["None", "None", "clear", "itchy"]


def test_a_mistake_and_then_nothing_leaves_the_look_open(context: Context) -> None:
    place(context)
    later(context, hours=30)
    conduct = PatchReadingWalk()
    outcome = begin(context, conduct, "right")
    for answer in ({"skin": "itchy"}, {"skin": "mistake"}):
        assert isinstance(outcome, WalkStep)
        outcome = give(context, conduct, outcome, answer)
    assert state(context) == "first_reading_due"


def test_a_blister_shows_and_writes_its_card(context: Context) -> None:
    place(context)
    later(context, hours=30)
    pages = look(context, {"skin": "blister"}, {"card": "read"}, {"skin": "kept"})
    assert any(isinstance(page, CardPage) for page in pages)
    assert [sign.sign for sign in of(context, WarningSign)] == ["skin_broken"]
    assert gate_state(context) == "not_clear"


def test_too_early_writes_nothing_and_opens_later_the_same_day(context: Context) -> None:
    place(context)
    later(context, hours=23)
    early = begin(context, PatchReadingWalk(), "right")
    assert isinstance(early, WalkStep)
    assert isinstance(early.page, patch.PatchNotNowPage)
    assert early.page.look_from == at(TODAY + timedelta(days=1), 10)
    later(context, hours=2)
    due = begin(context, PatchReadingWalk(), "right")
    assert isinstance(due, WalkStep)
    assert isinstance(due.page, patch.PatchLookPage)
    assert len(of(context, PatchTest)) == 1


def test_too_late_needs_a_new_piece(context: Context) -> None:
    place(context)
    later(context, hours=25)
    look(context, {"skin": "clear"})
    later(context, hours=60)
    assert state(context) == "read_too_late"
    (page,) = look(context, {"look": "no"})
    assert isinstance(page, patch.PatchNotNowPage)
    assert page.when == "too_late"
    place(context)
    assert state(context) == "waiting"
    assert len(of(context, PatchTest)) == 2


def test_an_answer_given_too_late_does_not_count(context: Context) -> None:
    """The page was opened in time and left standing until the time was over."""
    place(context)
    later(context, hours=25)
    look(context, {"skin": "clear"})
    later(context, hours=47)
    outcome = begin(context, PatchReadingWalk(), "right")
    assert isinstance(outcome, WalkStep)
    assert isinstance(outcome.page, patch.PatchLookPage)
    later(context, hours=2)
    answered = give(context, PatchReadingWalk(), outcome, {"skin": "clear"})
    assert isinstance(answered, WalkStep)
    assert isinstance(answered.page, patch.PatchNotNowPage)
    assert answered.page.when == "too_late"
    assert gate_state(context) == "read_too_late"


def test_clear_skin_is_looked_over_before_it_lets_a_make_on(context: Context) -> None:
    """A slip of the hand was written at once; it is put right on the page it was given on."""
    place(context)
    later(context, hours=25)
    walk = PatchReadingWalk()
    shown = begin(context, walk, "right")
    assert isinstance(shown, WalkStep)
    over = give(context, walk, shown, {"skin": "clear"})
    assert isinstance(over, WalkStep)
    assert isinstance(over.page, patch.PatchLookOverPage)
    (test,) = of(context, PatchTest)
    assert test.first_skin is None
    sore = give(context, walk, to_page(over, "look:1"), {"skin": "itchy"})
    assert isinstance(sore, WalkStep)
    assert isinstance(sore.page, patch.PatchNotClearPage)
    (test,) = of(context, PatchTest)
    assert test.first_skin == "itchy"


def test_clear_skin_is_of_when_it_was_looked_at(context: Context) -> None:
    place(context)
    later(context, hours=25)
    walk = PatchReadingWalk()
    shown = begin(context, walk, "right")
    assert isinstance(shown, WalkStep)
    over = give(context, walk, shown, {"skin": "clear"})
    looked_at = context.clock.now()
    later(context, hours=1)
    assert isinstance(over, WalkStep)
    give(context, walk, over, {})
    (test,) = of(context, PatchTest)
    assert (test.first_skin, test.first_read_at) == ("clear", looked_at)


def test_clear_skin_too_early_is_not_written(context: Context) -> None:
    place(context)
    later(context, hours=4)
    look(context, {"look": "reaction"}, {"skin": "clear"})
    (test,) = context.journal.entries()
    assert isinstance(test, PatchTest)
    assert test.first_skin is None


def talk(context: Context) -> None:
    """Tell the clinic of the skin, who say that tape may go on."""
    answers = {
        "open_card": {"how": "asked"},
        f"open:{PATCH_CALL}:talked": {"told": "all"},
        f"open:{PATCH_CALL}:checked": {"by": "clinic", "days_ago": 0},
    }
    walk_on(context, ClearWalk(), answer=answer_by(answers))


def test_a_reaction_too_early_is_kept_and_ends_the_make(context: Context) -> None:
    place(context)
    later(context, hours=4)
    look(context, {"look": "reaction"}, {"skin": "itchy"}, {"skin": "kept"})
    assert gate_state(context) == "not_clear"
    talk(context)
    pages, done = through(context, PatchWalk(), placing)
    assert isinstance(pages[-1], patch.PatchNotClearPage)
    assert not done.end.placed


def test_a_new_make_starts_again(context: Context) -> None:
    place(context)
    later(context, hours=30)
    look(context, {"skin": "itchy"}, {"skin": "kept"})
    talk(context)

    def another(page: WalkPage) -> Mapping[str, Any]:
        if isinstance(page, patch.MakePage):
            return {"make": "own", "own": "Harbour tape"}
        return placing(page)

    through(context, PatchWalk(), another)
    found = patch_waiting(PLAN, context.entries, context.clock.now(), CATALOGUE)
    assert found is not None
    assert (found.make, found.state) == ("Harbour tape", "waiting")
    assert gate_state(context) == "not_clear"


@pytest.mark.parametrize("sign", ["skin_broken", "knee_stuck"])
def test_no_piece_under_a_lock(context: Context, sign: str) -> None:
    """Also under a lock that a gate would ask about: there is no gate here."""
    context.journal.append(warning(TODAY, sign, CATALOGUE.sign(sign).level))
    _, done = through(context, PatchWalk(), placing)
    assert not done.end.placed
    assert of(context, PatchTest) == []


def test_a_plan_without_tape_has_no_test(tmp_path: Path) -> None:
    bare = whole_plan({"when": "never", "highest": 0})
    diary = Kept(tmp_path, bare, clock=HandClock(at(TODAY, 10)))
    assert patch_waiting(bare, (), diary.clock.now(), CATALOGUE) is None
    assert not place(diary.context).end.placed
    diary.close()


def test_tolerated_in_the_clinic_is_clear(context: Context) -> None:
    context.journal.append(patch_test(at(TODAY, 9), tolerated_in_clinic=True))
    assert state(context) == "clear"
    with pytest.raises(LookupError):
        begin(context, PatchReadingWalk(), "right")


_HOURS = st.lists(st.integers(1, 100), min_size=1, max_size=4)


@settings(max_examples=30)
@given(gaps=_HOURS, gone=st.sets(st.integers(0, 3)))
def test_a_missed_look_never_counts_as_clear(
    tmp_path_factory: pytest.TempPathFactory, gaps: list[int], gone: set[int]
) -> None:
    """Whoever opens the page at any hours and always finds the skin clear: the gate opens only
    after a look from 24 h on and another from 48 to 72 h, on a later day."""
    diary = Kept(tmp_path_factory.mktemp("looks"), PLAN, clock=HandClock(at(TODAY, 10)))
    context = diary.context
    place(context)
    counted: list[float] = []
    hours = 0
    for turn, gap in enumerate(gaps):
        later(context, hours=gap)
        hours += gap
        answer = "gone" if turn in gone else "clear"
        pages, _ = through(
            context,
            PatchReadingWalk(),
            lambda page, answer=answer: {"look": "no", "skin": answer},  # type: ignore[misc]
        )
        if isinstance(pages[0], patch.PatchLookPage) and answer == "clear":
            counted.append(hours)
    clear = gate_state(context) == "clear"
    firsts = [one for one in counted if one >= 24]
    seconds = [one for one in counted if 48 <= one <= 72]
    assert clear == (bool(firsts) and len(counted) > 1 and bool(seconds))
    diary.close()


def test_killed_at_any_page_a_look_is_written_once(tmp_path: Path) -> None:
    diary = Kept(tmp_path, PLAN, clock=HandClock(at(TODAY, 10)))
    outcome = begin(diary.context, PatchWalk(), "right")
    while isinstance(outcome, WalkStep):
        page = outcome.page
        outcome = give(diary.context, PatchWalk(), outcome, placing(page))
        if isinstance(outcome, WalkStep):
            page = outcome.page
            outcome = begin(diary.kill(), PatchWalk(), "right")
            assert isinstance(outcome, WalkStep)
            assert outcome.page == page
    (placed,) = of(diary.context, PatchTest)
    diary.clock.pass_by(hours=25)
    answers = iter([{"skin": "broken"}, {"card": "read"}, {"skin": "kept"}])
    looked = begin(diary.context, PatchReadingWalk(), "right")
    for answer in answers:
        assert isinstance(looked, WalkStep)
        page = looked.page
        if looked.state.answers:
            looked = begin(diary.kill(), PatchReadingWalk(), "right")
            assert isinstance(looked, WalkStep)
            assert looked.page == page
        looked = give(diary.context, PatchReadingWalk(), looked, answer)
    assert isinstance(looked, WalkResult)
    assert len(versions_of(diary.context.journal.entries(), placed.id)) == 2
    assert [sign.sign for sign in of(diary.context, WarningSign)] == ["skin_broken"]
    diary.close()
