"""Which number is answered at what hour, and what can be dialled (common practice, no source)."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.contacts import answers_at, in_order, is_a_number
from companion.care.plan_faults import faults
from companion.care.records import Contact, ContactRole
from tests.care.content import CATALOGUE, whole_plan

MONDAY = datetime(2026, 3, 16, tzinfo=UTC)
CLINIC = Contact(role="clinic", number="555 0101", days="weekdays", opens="8:30", closes="17:00")
LATE = Contact(role="out_of_hours", number="555 0103")
EMERGENCY = Contact(role="emergency", number="112")
UNKNOWN = Contact(role="doctor", number="555 0102", when="mornings")
NUMBERS = (LATE, UNKNOWN, CLINIC, EMERGENCY)


@pytest.mark.parametrize(
    ("day", "clock", "answered"),
    [
        (0, (8, 29), "not_now"),
        (0, (8, 30), "now"),
        (4, (16, 59), "now"),
        (4, (17, 0), "not_now"),
        (5, (12, 0), "not_now"),
        (6, (12, 0), "not_now"),
    ],
)
def test_a_number_with_hours_is_answered_in_them(
    day: int, clock: tuple[int, int], answered: str
) -> None:
    at = MONDAY + timedelta(days=day, hours=clock[0], minutes=clock[1])
    assert answers_at(CLINIC, NUMBERS, at) == answered
    # Out of hours is the rest of the week.
    other = {"now": "not_now", "not_now": "now"}[answered]
    assert answers_at(LATE, (CLINIC, LATE), at) == other


def test_hours_over_midnight_belong_to_the_day_they_begin_on() -> None:
    night = Contact(role="doctor", number="555", days="weekdays", opens="20:00", closes="6:00")
    friday_night, saturday = MONDAY + timedelta(days=4, hours=23), MONDAY + timedelta(days=5)
    assert answers_at(night, (), friday_night) == "now"
    assert answers_at(night, (), saturday + timedelta(hours=5)) == "now"
    assert answers_at(night, (), saturday + timedelta(hours=21)) == "not_now"
    assert answers_at(night, (), MONDAY + timedelta(hours=5)) == "not_now"


def test_hours_nobody_typed_are_not_guessed() -> None:
    assert answers_at(UNKNOWN, NUMBERS, MONDAY) == "not_known"
    assert answers_at(LATE, (LATE, UNKNOWN), MONDAY) == "not_known"
    assert answers_at(LATE, (LATE,), MONDAY) == "not_known"


ROLES: tuple[ContactRole, ...] = ("emergency", "clinic", "doctor", "out_of_hours", "surgical_team")


@given(
    st.permutations(ROLES).flatmap(lambda roles: st.integers(1, 5).map(lambda n: tuple(roles[:n]))),
    st.lists(
        st.builds(
            Contact,
            role=st.sampled_from(ROLES),
            number=st.sampled_from(("112", "555 0101")),
            days=st.none() | st.sampled_from(("every_day", "weekdays")),
            opens=st.sampled_from(("0:00", "8:30", "20:00")),
            closes=st.sampled_from(("6:00", "17:00", "20:00")),
        ),
        max_size=6,
    ),
    st.integers(0, 7 * 24 * 60),
)
def test_no_number_of_a_card_is_lost_and_the_emergency_number_keeps_its_end(
    roles: tuple[ContactRole, ...], numbers: list[Contact], minutes: int
) -> None:
    at = MONDAY + timedelta(minutes=minutes)
    tried = in_order(roles, numbers, at)
    wanted = [each for each in numbers if each.role in roles]
    assert sorted(map(repr, tried)) == sorted(map(repr, wanted))
    places = [place for place, each in enumerate(tried) if each.role == "emergency"]
    ends = range(len(places)) if roles[0] == "emergency" else range(len(tried))[-len(places) :]
    assert not places or places == list(ends)
    # Whoever answers now is tried before whoever does not.
    others = [answers_at(each, tried, at) for each in tried if each.role != "emergency"]
    assert others == sorted(others, key=("now", "not_known", "not_now").index)


@pytest.mark.parametrize("typed", ["112", "01632 960417", "+44 1632 960417", "0 1 2"])
def test_what_can_be_dialled_is_a_number(typed: str) -> None:
    assert is_a_number(typed)


@pytest.mark.parametrize(
    "typed",
    [
        "11",
        "ask the desk",
        "01632-960417",
        "555 0101 or 555 0102",
        "+",
        "   ",
        "1+12",
        "\u0661\u0661\u0662",
    ],
)
def test_what_cannot_be_dialled_is_none(typed: str) -> None:
    assert not is_a_number(typed)
    numbers = tuple(
        Contact(role=each.role, number=typed) if each.role == "clinic" else each
        for each in whole_plan().contacts
    )
    (fault,) = faults(whole_plan(contacts=numbers), CATALOGUE)
    assert (fault.code, fault.what, fault.advice) == ("number_not_a_number", "clinic", False)


@pytest.mark.parametrize("role", ["emergency", "clinic", "out_of_hours"])
def test_nobody_signs_a_plan_without_the_numbers_its_cards_name(role: str) -> None:
    numbers = tuple(each for each in whole_plan().contacts if each.role != role)
    (fault,) = faults(whole_plan(contacts=numbers), CATALOGUE)
    assert (fault.code, fault.what, fault.advice) == ("contact_missing", role, False)


def test_a_number_without_which_a_plan_can_be_signed_is_advised() -> None:
    numbers = tuple(each for each in whole_plan().contacts if each.role != "doctor")
    (fault,) = faults(whole_plan(contacts=numbers), CATALOGUE)
    assert (fault.code, fault.what, fault.advice) == ("contact_missing", "doctor", True)


def test_hours_are_given_whole_or_not_at_all() -> None:
    half = Contact(role="clinic", number="555", days="weekdays", opens="8:30")
    numbers = (*(one for one in whole_plan().contacts if one.role != "clinic"), half)
    (fault,) = faults(whole_plan(contacts=numbers), CATALOGUE)
    assert (fault.code, fault.what) == ("hours_half_told", "clinic")


def test_a_second_number_of_a_role_blocks_nothing() -> None:
    """The form asks for one of each; what an older plan holds beside it nobody can mend there."""
    numbers = (*whole_plan().contacts, Contact(role="clinic", number="the ward"))
    (fault,) = faults(whole_plan(contacts=numbers), CATALOGUE)
    assert (fault.code, fault.advice) == ("number_not_a_number", True)
