"""Who is drawn in the pictures: a woman or a man, as it is set on this machine."""

from __future__ import annotations

from companion.services.settings import DrawnPerson

_drawn: list[DrawnPerson] = ["woman"]


def draw_person(person: DrawnPerson) -> None:
    """Draw this person from now on."""
    _drawn[0] = person


def drawn_person() -> DrawnPerson:
    """Who is drawn; a woman where nothing was set. It follows nothing that is known of a person."""
    return _drawn[0]
