"""What a screen reader is told beyond what the toolkit says by itself: roles, and words said aloud.

A plain painted widget has no role, so a heading or a group of answers would be passed over. The
factory below names the role a widget asks for; everything that can be pressed inherits from a
toolkit button and needs no help.

The toolkit asks once for what a widget is, as soon as a reader runs and the widget has its first
word, and keeps the answer. So a role is handed in before the first word: by the class
(`told_as`), or by `give_role` at the very beginning.

From Python the toolkit takes no attributes of a thing, such as the level of a heading or a place
in a list (it ends the program): these are told in words, as the description.
"""

from __future__ import annotations

from typing import Final, Literal

from PySide6.QtCore import QObject
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QAccessibleInterface
from PySide6.QtWidgets import QAccessibleWidget, QWidget

from companion.presentation.language.phrases import phrase

_ROLE = "kit_role"
_OWN = "kit_description"
LEFT_OUT: Final = "left out"
"""In place of a role: what is said by its neighbour already, or is nothing but paint."""
ToldAs = QAccessible.Role | Literal["left out"]


def give_role(widget: QWidget, role: ToldAs, name: str = "") -> None:
    """Report the widget under this role, and under this name when one is given. To be called before
    the widget has its first word; a class says `told_as` instead."""
    widget.setProperty(_ROLE, role if role == LEFT_OUT else int(role.value))
    if name:
        widget.setAccessibleName(name)


def is_left_out(widget: QWidget) -> bool:
    """Whether it is told with something else, or is nothing but paint."""
    return LEFT_OUT in (widget.property(_ROLE), getattr(widget, "told_as", None))


def tell_level(widget: QWidget, level: int) -> None:
    """Say how deep a heading stands: 1 that of the page, 2 one inside it."""
    widget.setAccessibleDescription(phrase("level {n}", n=level))


def tell_place(widget: QWidget, line: str, place: int, count: int) -> None:
    """Say the explaining line of an answer, and which of how many it is, from 1 on."""
    where = phrase("{place} of {count}", place=place, count=count)
    widget.setAccessibleDescription(f"{in_sentences(line)} {where}".strip())


def tell_wrong(widget: QWidget, words: str) -> None:
    """Say with a question what is wrong with its answer, before all else that is said of it; with
    no words, that nothing is."""
    if widget.property(_OWN) is None:
        widget.setProperty(_OWN, widget.accessibleDescription())
    own = str(widget.property(_OWN))
    widget.setAccessibleDescription(" ".join(filter(None, (words, own))))


def in_sentences(*words: str) -> str:
    """Words one after the other, each with a stop at its end: else a voice runs them together.
    What follows another sentence begins as one."""
    said = [each.replace(" · ", ", ") for each in words if each]
    said[1:] = [f"{each[0].upper()}{each[1:]}" for each in said[1:]]
    ended = (each if each.endswith((".", "?", "!", ":")) else f"{each}." for each in said)
    return " ".join(ended)


def announce(widget: QWidget, words: str, *, at_once: bool = False) -> None:
    """Have a screen reader say the words; nothing happens when none is running."""
    event = QAccessibleAnnouncementEvent(widget, words)
    event.setPoliteness(
        QAccessible.AnnouncementPoliteness.Assertive
        if at_once
        else QAccessible.AnnouncementPoliteness.Polite
    )
    QAccessible.updateAccessibility(event)


class _LeftOut(QAccessibleWidget):
    """Told as not to be seen, with all that is in it."""

    def state(self) -> QAccessible.State:
        state = super().state()
        state.invisible = True
        return state


def _interface(_class_name: str, thing: QObject) -> QAccessibleInterface | None:
    if not isinstance(thing, QWidget):
        return None
    role = thing.property(_ROLE)
    if role is None:
        role = getattr(thing, "told_as", None)
    if role is None:
        return None
    if role == LEFT_OUT:
        return _LeftOut(thing, QAccessible.Role.Client)
    return QAccessibleWidget(thing, QAccessible.Role(role))


# A module is imported once, so there is one factory, whatever is built from it.
QAccessible.installFactory(_interface)
