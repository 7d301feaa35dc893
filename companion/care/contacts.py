"""The numbers to call: what the clinic typed of them, and which of them answers at what hour."""

import re
from collections.abc import Sequence
from datetime import datetime, time
from typing import Literal

from companion.care.records import Contact, ContactRole, OpenDays

NEEDED: tuple[ContactRole, ...] = ("emergency", "clinic", "out_of_hours")
"""Roles without a number for which nobody signs a plan (fact: numbers_needed)."""
FEWEST_DIGITS = 3
"""Emergency numbers are the shortest (fact: number_digits)."""

_ONCE_WRITTEN: frozenset[tuple[ContactRole, str]] = frozenset(
    {
        ("emergency", "Emergency"),
        ("clinic", "Your clinic"),
        ("doctor", "Your doctor"),
        ("out_of_hours", "Out of hours"),
        ("surgical_team", "Your surgical team"),
    }
)
"""What plans of version 2 hold as a label where nobody typed one. Those plans are signed, so they
stay as they are."""
_OPEN_ON: dict[OpenDays, frozenset[int]] = {
    "every_day": frozenset(range(7)),
    "weekdays": frozenset(range(5)),
    "weekdays_and_saturday": frozenset(range(6)),
}
BY_DAY: tuple[ContactRole, ...] = ("clinic", "doctor", "surgical_team")
"""Roles with hours of their own; out of hours is the rest of the week."""

Answering = Literal["now", "not_known", "not_now"]
"""Whether a number is answered at some moment, as far as its hours tell."""
_FIRST_TRIED: tuple[Answering, ...] = ("now", "not_known", "not_now")
"""(fact: numbers_by_hours)"""


def typed_label(contact: Contact) -> str | None:
    """What the clinic called the number; None where it goes by its role."""
    known = (contact.role, contact.label) in _ONCE_WRITTEN
    return None if known else contact.label


def is_a_number(typed: str) -> bool:
    """Whether this can be dialled: digits, spaces and a leading plus, with three digits or more."""
    return (
        re.fullmatch(r"\+?[0-9 ]+", typed) is not None
        and sum(letter.isdigit() for letter in typed) >= FEWEST_DIGITS
    )


def half_told(contact: Contact) -> bool:
    """Whether its hours are begun and not whole: days and both times belong together."""
    told = [each is not None for each in (contact.days, contact.opens, contact.closes)]
    return any(told) and not all(told)


def answers_at(contact: Contact, contacts: Sequence[Contact], at: datetime) -> Answering:
    """Whether a number is answered at `at`, the person's own clock. Public holidays are not known.

    The emergency number always is. Out of hours, if no hours are typed for it, is when those of
    the day among `contacts` are not.
    """
    if contact.role == "emergency":
        return "now"
    if contact.days is not None and contact.opens is not None and contact.closes is not None:
        opens, closes = _time(contact.opens), _time(contact.closes)
        open_on = _OPEN_ON[contact.days]
        now = at.time()
        today, yesterday = at.weekday() in open_on, (at.weekday() - 1) % 7 in open_on
        if opens < closes:
            return "now" if today and opens <= now < closes else "not_now"
        # Over midnight; the same time twice is day and night.
        return "now" if (today and now >= opens) or (yesterday and now < closes) else "not_now"
    if contact.role != "out_of_hours":
        return "not_known"
    by_day = [answers_at(each, (), at) for each in contacts if each.role in BY_DAY]
    if "now" in by_day:
        return "not_now"
    return "now" if by_day and "not_known" not in by_day else "not_known"


def in_order(
    roles: Sequence[ContactRole], contacts: Sequence[Contact], at: datetime | None
) -> tuple[Contact, ...]:
    """The numbers of these roles in the order in which to try them at `at`.

    Where `roles` begin with the emergency number that comes first, else last: a card that asks
    for a doctor asks for it only when nobody else answers. Between, whoever answers now comes
    before whoever may, and that before whoever does not; otherwise as the roles stand. With `at`
    None as the roles stand.
    """
    typed = [each for role in roles for each in contacts if each.role == role]
    if at is None:
        return tuple(typed)
    emergency_first = "emergency" in roles[:1]

    def rank(contact: Contact) -> int:
        if contact.role == "emergency":
            return -1 if emergency_first else len(_FIRST_TRIED)
        return _FIRST_TRIED.index(answers_at(contact, typed, at))

    return tuple(sorted(typed, key=rank))


def _time(typed: str) -> time:
    hour, minute = typed.split(":")
    return time(int(hour), int(minute))
