"""What is open: each thing with its knee, its hour and what closes it, and nothing closed."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.closures import most_pressing
from companion.care.history import current
from companion.care.journeys import SAID_BEFORE, journey_next, journey_now, pages_to_type
from companion.care.open_things import OpenThing, UnderWay, open_things
from companion.care.outings_waiting import outings_waiting
from companion.care.patch_looks import LOOKS, moment
from companion.care.records import AnyEntry, Event, PatchTest, Plan, Side
from companion.care.tape_applications import current_application, skin_look_open
from tests.builders import DAY, at, outing, patch_test, tape_off, tape_on, warning
from tests.care.content import CATALOGUE, whole_plan
from tests.strategies import close_together

POLICY = CATALOGUE.policy


def opened(
    *entries: AnyEntry,
    now: datetime,
    plan: Plan | None = None,
    under_way: tuple[UnderWay, ...] = (),
) -> list[OpenThing]:
    return list(
        open_things(
            plan or whole_plan(),
            entries,
            today=(now - timedelta(hours=3)).date(),
            now=now,
            zone=UTC,
            policy=POLICY,
            under_way=under_way,
        )
    )


def codes(*entries: AnyEntry, now: datetime, **more: Any) -> list[str]:
    return [one.code for one in opened(*entries, now=now, **more)]


def test_tape_that_is_on_is_due_off_and_on_too_long() -> None:
    on = tape_on(at(2, 14))
    (coming,) = opened(on, now=at(3, 12))
    assert (coming.code, coming.at, coming.side, coming.to_come) == (
        "tape_on",
        at(3, 14),
        "right",
        True,
    )
    assert coming.walks[0] == "tape_off"
    assert codes(on, now=at(3, 15)) == ["tape_due"]
    (over,) = opened(on, now=at(8))
    assert (over.code, over.at, over.to_come) == ("tape_over_cap", at(7, 14), False)
    assert "tape_due" in codes(warning(2), on, now=at(3, 15)), "never locked away"


def test_the_skin_is_looked_at_again_for_a_day() -> None:
    tape = (tape_on(at(2, 14)), tape_off(at(3, 11)))
    (early,) = opened(*tape, now=at(3, 11, 10))
    assert (early.code, early.at) == ("skin_later", at(3, 11, 30))
    (look,) = opened(*tape, now=at(3, 11, 30))
    assert (look.code, look.until, look.walks) == ("skin_look", at(4, 11, 30), ("skin",))
    assert codes(*tape, now=at(4, 11, 30)) == []


def test_a_knee_the_plan_leaves_out_keeps_its_tape_and_its_outing() -> None:
    plan = whole_plan(side="left", main_side="left")
    things = opened(tape_on(at(2, 14)), outing(3, happened_at=at(3, 9)), now=at(3, 12), plan=plan)
    assert [(one.code, one.side) for one in things] == [
        ("outing_after", None),
        ("tape_on", "right"),
    ]


CLEAR_FIRST: dict[str, Any] = {"first_read_at": at(3, 10), "first_skin": "clear"}


@pytest.mark.parametrize(
    ("read", "now", "code", "last"),
    [
        ({}, at(2, 18), "patch_later", False),
        ({}, at(3, 9), "patch_first", False),  # after 24 h (fact: patch_test_hours)
        ({}, at(4, 10), "patch_first", True),  # a first look tomorrow leaves no time for the second
        ({}, at(5, 8), "patch_missed", False),
        (CLEAR_FIRST, at(3, 12), "patch_later", False),
        (CLEAR_FIRST, at(4, 9), "patch_second", False),
        (CLEAR_FIRST, at(4, 20), "patch_second", False),
        (CLEAR_FIRST, at(5, 9), "patch_second", True),
        (CLEAR_FIRST, at(5, 10), "patch_missed", False),
        (CLEAR_FIRST, at(12, 9), "patch_missed", False),
        (CLEAR_FIRST, at(12, 11), None, False),
        (CLEAR_FIRST | {"first_skin": "red"}, at(4, 9), None, False),
        ({"tolerated_in_clinic": True}, at(4, 9), None, False),
    ],
)
def test_a_test_piece_is_open_until_it_was_read_twice_or_missed(
    read: dict[str, Any], now: datetime, code: str | None, last: bool
) -> None:
    things = opened(patch_test(at(2, 9), **read), now=now)
    assert [(one.code, one.last, one.side) for one in things] == [(code, last, None)] * bool(code)


def test_what_is_half_answered_is_open_and_of_a_thing_is_that_thing() -> None:
    day, off = (UnderWay(name, "right", DAY) for name in ("day", "tape_off"))
    assert codes(now=at(3, 12), under_way=(day, off)) == ["begun"]
    (on,) = opened(tape_on(at(2, 14)), now=at(3, 12), under_way=(off,))
    assert on.code == "tape_on"
    left = UnderWay("day", "left", DAY)
    begun = opened(now=at(3, 12), under_way=(day, left))
    assert [(one.code, one.door, one.side) for one in begun] == [
        ("begun", "day", "right"),
        ("begun", "day", "left"),
    ]


def test_a_walk_of_the_person_is_open_once_whatever_knee_it_is_kept_under() -> None:
    both = tuple(UnderWay("chair", side, DAY) for side in ("right", "left"))
    assert codes(now=at(3, 12), under_way=both) == ["begun"]


PLANS = (whole_plan(side="both"), whole_plan(side="left", main_side="left"))


@settings(max_examples=40)
@given(
    close_together(PLANS, DAY + timedelta(days=50)),
    st.sampled_from(PLANS),
    st.integers(0, 96),
)
def test_of_any_diary_what_holds_is_open_once_and_nothing_else_is(
    made: tuple[AnyEntry, ...], plan: Plan, hour: int
) -> None:
    """Each rule is asked here for itself; `open_things` may forget none, say none twice, and put
    none on the other knee."""
    entries = current(made)
    now = at(49, 0) + timedelta(hours=hour)
    today = (now - timedelta(hours=3)).date()
    things = opened(*entries, now=now, plan=plan)
    sides: tuple[Side, ...] = ("left", "right")
    expected: list[tuple[str, str | None]] = []
    if most_pressing(entries, POLICY) is not None:
        expected.append(("card", None))
    for side in sides:
        if current_application(entries, side) is not None:
            expected.append(("tape_off", side))
        if skin_look_open(entries, side, now) is not None:
            expected.append(("skin", side))
    waits = {one.what for one in outings_waiting(entries, today, now)}
    expected += [(f"outing_{what}", None) for what in waits]
    tests = [one for one in entries if isinstance(one, PatchTest) and not one.tolerated_in_clinic]
    newest = max(tests, key=lambda one: (one.happened_at, one.id), default=None)
    if newest is not None and moment(newest, now, LOOKS) in ("first", "second", "too_early"):
        expected.append(("patch_reading", None))
    if (now_away := journey_now(entries, today)) is not None:
        expected.append(("journey", None))
    elif (soon := journey_next(entries, today)) and soon.first_day <= today + SAID_BEFORE:
        expected.append(("journey_soon", None))
    assert now_away is None or now_away.first_day <= today <= now_away.last_day
    expected += [
        ("plan_before", None)
        for one in entries
        if isinstance(one, Event) and one.what == "plan_before" and one.for_day == today
    ][:1]
    expected += [("day", side) for side in plan.sides if pages_to_type(entries, side, today)]
    found = [
        (one.walks[0] if one.walks and one.code != "card" else one.code, one.side)
        for one in things
        if one.code != "patch_missed"
    ]
    assert sorted(map(str, found)) == sorted(map(str, expected))
    assert len({(one.code, one.side, one.walks) for one in things}) == len(things)
