"""Roles for widgets the toolkit would report as fillers, and words said aloud by a reader.

A plain painted widget has no role, so a heading or a group of answers would be passed over. The
factory below names the role a widget asks for; everything that can be pressed inherits from a
toolkit button and needs no help.
"""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QAccessibleInterface
from PySide6.QtWidgets import QAccessibleWidget, QWidget

_ROLE = "kit_role"


def give_role(widget: QWidget, role: QAccessible.Role, name: str = "") -> None:
    """Report the widget under this role, and under this name when one is given."""
    widget.setProperty(_ROLE, int(role.value))
    if name:
        widget.setAccessibleName(name)


def announce(widget: QWidget, words: str, *, at_once: bool = False) -> None:
    """Have a screen reader say the words; nothing happens when none is running."""
    event = QAccessibleAnnouncementEvent(widget, words)
    event.setPoliteness(
        QAccessible.AnnouncementPoliteness.Assertive
        if at_once
        else QAccessible.AnnouncementPoliteness.Polite
    )
    QAccessible.updateAccessibility(event)


def _interface(_class_name: str, thing: QObject) -> QAccessibleInterface | None:
    if not isinstance(thing, QWidget):
        return None
    role = thing.property(_ROLE)
    if role is None:
        return None
    return QAccessibleWidget(thing, QAccessible.Role(role))


# A module is imported once, so there is one factory, whatever is built from it.
QAccessible.installFactory(_interface)
