"""The patch test: read at 24 h and again at 48-72 h, since contact allergy is late (F; the hours
of the windows M). A look that was missed or came too early never counts."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care import patch_looks as looks
from companion.care import patch_questions as patch
from companion.care.flow import WalkPage
from companion.care.open_things import open_things
from companion.care.records import PatchTest
from companion.care.stopping import CardPage
from companion.care.tape_gate import TapeReason, patch_test_state
from companion.care.taping import NoTapePage
from tests.builders import DAY, at, patch_test
from tests.care.content import CATALOGUE, whole_plan
from tests.care.test_outing_questions import kinds, walked

READINGS = CATALOGUE.tape_steps.patch_test.readings
PLACED = at(DAY, 10)
TEST = patch_test(PLACED)
Answerer = Callable[[WalkPage], Mapping[str, Any]]


def hours(number: float) -> datetime:
    return PLACED + timedelta(hours=number)


def read(
    test: PatchTest = TEST, *, first: float | None = None, second: float | None = None
) -> PatchTest:
    if first is not None:
        test = replace(test, first_read_at=hours(first), first_skin="clear")
    if second is not None:
        test = replace(test, second_read_at=hours(second), second_skin="clear")
    return test


# ---------------------------------------------------------------- when a look counts


@pytest.mark.parametrize(
    ("test", "at_hours", "what"),
    [
        (TEST, 0, "too_early"),
        (TEST, 23.98, "too_early"),
        (TEST, 24, "first"),
        (TEST, 47, "first"),
        (TEST, 60, "first"),  # late, but a first look still
        (TEST, 72.9, "too_late"),  # it would leave no time for the second
        (TEST, 73, "too_late"),
        (TEST, -5, "too_early"),  # the clock was set back
        (read(first=24), 47.9, "too_early"),
        (read(first=24), 48, "second"),
        (read(first=24), 72.9, "second"),
        (read(first=24), 73, "too_late"),
        (read(first=10), 30, "first"),  # clear skin at 10 hours was no look
        (read(first=24, second=50), 51, "clear"),
        (read(first=24, second=30), 51, "second"),
        (replace(TEST, first_read_at=hours(5), first_skin="itchy"), 30, "not_clear"),
        (replace(read(first=24), second_read_at=hours(50), second_skin="pink"), 51, "not_clear"),
    ],
)
def test_moments(test: PatchTest, at_hours: float, what: str) -> None:
    assert looks.moment(test, hours(at_hours), READINGS) == what


def test_two_looks_in_one_evening_are_one_look() -> None:
    """Common practice, no source: the second look is on a later day."""
    late = read(first=50)  # Wednesday 12:00, placed on Monday 10:00
    assert looks.moment(late, hours(51), READINGS) == "too_early"
    assert looks.look_from(late, READINGS) == at(DAY + timedelta(days=3), 8)
    assert looks.moment(late, hours(70), READINGS) == "second"
    same_evening = replace(late, second_read_at=hours(51), second_skin="clear")
    assert looks.moment(same_evening, hours(70), READINGS) == "second", "nor when it is written"


def test_what_is_due_and_the_gate_read_the_windows_of_the_content() -> None:
    assert [(w.earliest_hours, w.latest_hours) for w in looks.LOOKS] == [
        (w.earliest_hours, w.latest_hours) for w in READINGS
    ]


def test_a_first_look_too_late_for_a_second() -> None:
    evening = patch_test(at(DAY, 4))  # the morning after a late first look is past 73 hours
    first = at(DAY + timedelta(days=2), 20)
    assert looks.next_look(evening, first, READINGS) is None
    read_late = replace(evening, first_read_at=first, first_skin="clear")
    assert looks.moment(read_late, first + timedelta(hours=1), READINGS) == "too_late"


_AT = st.floats(min_value=0, max_value=120)


@given(first=st.none() | _AT, second=st.none() | _AT, now=_AT)
def test_what_the_walk_calls_clear_the_gate_calls_clear(
    first: float | None, second: float | None, now: float
) -> None:
    test = read(first=first, second=second)
    plan = whole_plan()
    state = patch_test_state(plan, (test,), test.make, hours(now), READINGS)
    what = looks.moment(test, hours(now), READINGS)
    assert (what == "clear") == (state == "clear")
    assert (what == "second") == (state == "second_reading_due")
    opened = open_things(
        plan, (test,), today=hours(now).date(), now=hours(now), zone=UTC, policy=CATALOGUE.policy
    )
    asked = [one.code for one in opened if one.code in ("patch_first", "patch_second")]
    assert asked == [f"patch_{what}"] * (what in ("first", "second"))
    if first is None:
        assert what != "clear"
        assert what != "second"


# ---------------------------------------------------------------- the piece on


def placing(page: WalkPage) -> Mapping[str, Any]:
    match page:
        case patch.MakePage():
            return {"make": "1"} if page.makes else {"own": "Slate 50"}
        case patch.PatchSkinPage():
            return {"skin": "clear", "clean": "yes"}
        case patch.PatchOnPage():
            return {"piece": "on"}
        case patch.PatchUnderWayPage():
            return {"again": "no"}
        case _:
            return {}


def start(state: Any = "missing", **fields: Any) -> patch.PatchStart:
    return patch.PatchStart(makes=(patch.MakeTested(make="Slate 50", state=state, **fields),))


def test_placing_a_piece() -> None:
    pages, end = walked(patch.patch_walk(CATALOGUE, start()), placing)
    steps = CATALOGUE.tape_steps.patch_test.place
    assert kinds(pages) == [
        patch.MakePage,
        patch.PatchSkinPage,
        *[patch.PatchStepPage] * len(steps),
        patch.PatchOnPage,
    ]
    assert end == patch.PatchEnd(make="Slate 50", placed=True)


@pytest.mark.parametrize(
    ("state", "page"),
    [
        ("not_clear", patch.PatchNotClearPage),
        ("clear", patch.PatchClearPage),
        ("waiting", patch.PatchUnderWayPage),
        ("first_reading_due", patch.PatchUnderWayPage),
        ("second_reading_due", patch.PatchUnderWayPage),
    ],
)
def test_a_make_that_needs_no_piece(state: str, page: type) -> None:
    pages, end = walked(patch.patch_walk(CATALOGUE, start(state)), placing)
    assert kinds(pages) == [patch.MakePage, page]
    assert not end.placed


def test_a_missed_look_asks_for_a_new_piece() -> None:
    assert walked(patch.patch_walk(CATALOGUE, start("read_too_late")), placing)[1].placed


def test_a_new_make_starts_again() -> None:
    def another(page: WalkPage) -> Mapping[str, Any]:
        if isinstance(page, patch.MakePage):
            return {"make": "own", "own": "Harbour tape"}
        return placing(page)

    _, end = walked(patch.patch_walk(CATALOGUE, start("not_clear")), another)
    assert end == patch.PatchEnd(make="Harbour tape", placed=True)


def test_the_same_make_in_other_letters_is_the_same_make() -> None:
    def another(page: WalkPage) -> Mapping[str, Any]:
        if isinstance(page, patch.MakePage):
            return {"make": "own", "own": " slate 50 "}
        return placing(page)

    pages, end = walked(patch.patch_walk(CATALOGUE, start("not_clear")), another)
    assert patch.PatchNotClearPage in kinds(pages)
    assert end.make == "Slate 50"


def test_a_piece_that_came_off_may_start_again() -> None:
    def again(page: WalkPage) -> Mapping[str, Any]:
        return {"again": "yes"} if isinstance(page, patch.PatchUnderWayPage) else placing(page)

    assert walked(patch.patch_walk(CATALOGUE, start("waiting")), again)[1].placed


@pytest.mark.parametrize(
    ("skin", "clean", "reasons"),
    [
        ("not_clear", "yes", ("skin",)),
        ("clear", "no", ("not_clean",)),
        ("not_clear", "no", ("skin", "not_clean")),
    ],
)
def test_no_piece_on_skin_that_is_not_clear(
    skin: str, clean: str, reasons: tuple[TapeReason, ...]
) -> None:
    def seen(page: WalkPage) -> Mapping[str, Any]:
        ready = isinstance(page, patch.PatchSkinPage)
        return {"skin": skin, "clean": clean} if ready else placing(page)

    pages, end = walked(patch.patch_walk(CATALOGUE, start()), seen)
    assert NoTapePage(reasons=reasons) in pages
    assert not end.placed


def test_what_rules_tape_out_rules_a_piece_out() -> None:
    refused = replace(start(), refused=("caution",))
    pages, end = walked(patch.patch_walk(CATALOGUE, refused), placing)
    assert kinds(pages) == [NoTapePage]
    assert not end.placed


# ---------------------------------------------------------------- the two looks


def look(
    test: PatchTest, at_hours: float, *answers: Mapping[str, Any]
) -> tuple[list[WalkPage], Any]:
    given_answers = iter(answers)
    walk = patch.patch_reading_walk(READINGS, patch.PatchReadingStart(test=test), hours(at_hours))
    return walked(walk, lambda _page: next(given_answers))


def test_a_clear_first_look_says_when_the_second_is() -> None:
    pages, end = look(TEST, 25, {"skin": "clear"}, {})
    assert kinds(pages) == [patch.PatchLookPage, patch.PatchLookOverPage]
    assert (end.look, end.skin) == ("first", "clear")
    assert (end.look_from, end.look_until) == (hours(48), hours(72))


def test_a_clear_second_look_is_the_last() -> None:
    _, end = look(read(first=25), 50, {"skin": "clear"}, {})
    assert (end.look, end.skin, end.look_from) == ("second", "clear", None)


@pytest.mark.parametrize("skin", ["pink", "red", "itchy"])
def test_skin_that_is_not_clear_ends_the_make(skin: str) -> None:
    pages, end = look(TEST, 25, {"skin": skin}, {"skin": "kept"})
    assert kinds(pages) == [patch.PatchLookPage, patch.PatchNotClearPage]
    assert end.skin == skin


@pytest.mark.parametrize("skin", ["blister", "broken"])
def test_broken_skin_shows_its_card_first(skin: str) -> None:
    pages, end = look(TEST, 25, {"skin": skin}, {"card": "read"}, {"skin": "kept"})
    assert kinds(pages) == [patch.PatchLookPage, CardPage, patch.PatchNotClearPage]
    assert end.skin == skin
    assert [sign.sign for sign in end.signs] == ["skin_broken"]


def test_a_mistake_asks_again() -> None:
    pages, end = look(TEST, 25, {"skin": "itchy"}, {"skin": "mistake"}, {"skin": "clear"}, {})
    assert [page.key for page in pages] == ["look:1", "look:1:not_clear", "look:2", "look_over:2"]
    assert end.skin == "clear"
    taken_back = ({"card": "mistake"}, {"mistake": "yes"})
    pages, end = look(TEST, 25, {"skin": "broken"}, *taken_back, {"skin": "clear"}, {})
    assert end.skin == "clear"


def test_too_early_says_when_to_come_back() -> None:
    pages, end = look(TEST, 5, {"look": "no"})
    (page,) = pages
    assert isinstance(page, patch.PatchNotNowPage)
    assert (page.when, page.look_from) == ("too_early", hours(24))
    assert (end.skin, end.why, end.look_from) == (None, "too_early", hours(24))


def test_too_late_says_that_a_new_piece_is_needed() -> None:
    pages, end = look(TEST, 80, {"look": "no"})
    (page,) = pages
    assert isinstance(page, patch.PatchNotNowPage)
    assert page.when == "too_late"
    assert (end.skin, end.why) == (None, "too_late")


@pytest.mark.parametrize("at_hours", [5, 80])
def test_a_reaction_is_taken_down_at_any_time(at_hours: float) -> None:
    _, end = look(TEST, at_hours, {"look": "reaction"}, {"skin": "itchy"}, {"skin": "kept"})
    assert end.skin == "itchy"


@pytest.mark.parametrize("at_hours", [5, 80])
def test_clear_skin_out_of_its_time_is_not_taken_down(at_hours: float) -> None:
    pages, end = look(TEST, at_hours, {"look": "reaction"}, {"skin": "clear"})
    assert end.skin is None
    assert isinstance(pages[-1], patch.PatchLookPage)
    assert not pages[-1].counts


def test_a_piece_that_came_off_is_no_look() -> None:
    pages, end = look(TEST, 25, {"skin": "gone"}, {})
    assert kinds(pages) == [patch.PatchLookPage, patch.PatchGonePage]
    assert (end.skin, end.why) == (None, "gone")


@pytest.mark.parametrize(
    ("test", "page"),
    [
        (read(first=25, second=50), patch.PatchClearPage),
        (replace(TEST, first_read_at=hours(25), first_skin="red"), patch.PatchNotClearPage),
    ],
)
def test_a_test_that_is_over_is_not_read_again(test: PatchTest, page: type) -> None:
    pages, end = look(test, 60, {})
    assert kinds(pages) == [page]
    assert (end.skin, end.why) == (None, "known")
