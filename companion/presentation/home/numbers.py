"""Numbers to call, with when they are answered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from companion.care.contacts import in_order, typed_label
from companion.care.records import Contact, ContactRole, Journey, Plan
from companion.presentation.language import codes
from companion.presentation.language.phrases import phrase, short_day
from companion.presentation.language.words import contact_words

if TYPE_CHECKING:
    from companion.presentation.view.page import PhoneLine


WHERE_YOU_ARE = "Emergency, where you are now"
"""What the number for emergencies of a journey is called while it is under way."""


def phone_lines(contacts: Iterable[Contact]) -> tuple[PhoneLine, ...]:
    """Numbers to call with when they are answered: as it was typed, else by their hours."""
    from companion.presentation.view.page import PhoneLine  # not on the way to the front page

    return tuple(
        PhoneLine(contact_words(each), each.number, each.when or _hours(each)) for each in contacts
    )


def _hours(contact: Contact) -> str:
    if contact.days is None or contact.opens is None or contact.closes is None:
        return ""
    days = codes.OPEN_DAYS[contact.days]
    return phrase(
        "{days}, {opens} to {closes}", days=days, opens=contact.opens, closes=contact.closes
    )


def phones_of(plan: Plan, roles: Iterable[ContactRole]) -> tuple[PhoneLine, ...]:
    """The numbers the clinic typed for these roles, in their order."""
    return phone_lines(in_order(tuple(roles), plan.contacts, None))


def plan_here(plan: Plan, journey: Journey | None, today: date) -> Plan:
    """The plan with the number for emergencies of a journey beside the one at home, as pages show
    it: there first while it is under way, else that at home. Without a number typed, the plan."""
    if journey is None or journey.emergency is None or journey.last_day < today:
        return plan
    away = journey.first_day <= today
    there = Contact(
        role="emergency",
        label=phrase(WHERE_YOU_ARE) if away else phrase("Emergency, on your journey"),
        number=journey.emergency,
        when=phrase(
            "{first} to {last}, as you typed it",
            first=short_day(journey.first_day),
            last=short_day(journey.last_day),
        ),
    )
    at_home = tuple(
        replace(one, label=phrase("Emergency, at home")) if _plain_emergency(one) else one
        for one in plan.contacts
    )
    contacts = (there, *at_home) if away else (*at_home, there)
    return replace(plan, contacts=contacts)


def _plain_emergency(contact: Contact) -> bool:
    return contact.role == "emergency" and typed_label(contact) is None
