"""What the keyboard does on every page, in one place.

Enter presses the focused button, else the page's main button; it never chooses an answer, and a
held-down Enter never runs on into the next page. Digits answer one question of the page: the one
that has the focus, else the first that is open. Whoever dictates, or whose hand brushes keys, may
have figures and letters answer only where the focus is (WCAG 2.2, 2.1.4).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Protocol, runtime_checkable

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

_PLAIN = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)


@runtime_checkable
class TakesKeys(Protocol):
    """A control that can be answered by keys pressed anywhere on its page."""

    def take_key(self, event: QKeyEvent) -> bool:
        """Use the key and return True, or leave it and return False."""

    def is_answered(self) -> bool:
        """Whether there is an answer."""

    def take_figures(self, *, here: bool, framed: bool) -> None:
        """Show by what figures it is answered, where figures go `here`; `framed`, that they go to
        this question of several."""


_SINGLE_KEYS = [True]


def use_single_keys(wanted: bool) -> None:
    """Let figures and letters answer from anywhere on a page, or only where the focus is."""
    _SINGLE_KEYS[0] = wanted


def single_keys() -> bool:
    """Whether figures and letters answer from anywhere on a page."""
    return _SINGLE_KEYS[0]


_TAKING: dict[type, bool] = {}
"""Asking a protocol is slow, and a page asks it of each of its parts whenever the focus moves."""


def taking_keys(controls: Iterable[object]) -> Iterator[TakesKeys]:
    """Those among these."""
    for control in controls:
        kind = type(control)
        if kind not in _TAKING:
            _TAKING[kind] = issubclass(kind, TakesKeys)
        if _TAKING[kind] and isinstance(control, TakesKeys):
            yield control


def is_enter(event: QKeyEvent) -> bool:
    """Enter on either part of the keyboard, without modifiers."""
    return event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and is_plain(event)


def is_plain(event: QKeyEvent) -> bool:
    """No Ctrl, Alt or Shift held."""
    return event.modifiers() in _PLAIN


def digit(event: QKeyEvent) -> int | None:
    """The digit 0-9 that was pressed, or None."""
    first, last = int(Qt.Key.Key_0), int(Qt.Key.Key_9)
    if is_plain(event) and first <= event.key() <= last:
        return event.key() - first
    return None
