"""Numbers to call, with when they are answered."""

from collections.abc import Iterable

from companion.care.contacts import in_order
from companion.care.records import Contact, ContactRole, Plan
from companion.presentation.language import codes
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import contact_words
from companion.presentation.view.page import PhoneLine


def phone_lines(contacts: Iterable[Contact]) -> tuple[PhoneLine, ...]:
    """Numbers to call with when they are answered: as it was typed, else by their hours."""
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
