"""What the clinic typed of a number to call."""

from companion.care.records import Contact, ContactRole

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


def typed_label(contact: Contact) -> str | None:
    """What the clinic called the number; None where it goes by its role."""
    known = (contact.role, contact.label) in _ONCE_WRITTEN
    return None if known else contact.label
