"""Finds words that do not fit where they are shown, and widgets that stick out."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPoint, QRect
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QHeaderView,
    QLabel,
    QLineEdit,
    QScrollArea,
    QWidget,
)

from companion.ui.kit.buttons import Pressable
from companion.ui.kit.page import Page
from companion.ui.kit.text import WrappedText, widest_word
from companion.ui.kit.theme import COLUMN_WIDTH, current


def faults(page: QWidget) -> list[str]:
    """Every clipped text and every widget beyond its parent, the column or the window.

    The page must be shown and laid out. Scrolling up and down is no fault; scrolling sideways is.
    """
    assert page.isVisible(), "nothing of it is in sight"
    found: list[str] = []
    for widget in _in_sight(page):
        name = f"{type(widget).__name__} {_words_of(widget)[:40]!r}"
        if isinstance(widget, WrappedText):
            found += _words_faults(widget, name)
        elif isinstance(widget, Pressable):
            found += _pressable_faults(widget, name)
        elif isinstance(widget, QAbstractButton | QLabel) and widget.text() != "":
            hint = widget.sizeHint()
            if hint.width() > widget.width() or hint.height() > widget.height():
                found.append(f"{name} needs {hint.toTuple()}, has {widget.size().toTuple()}")
        elif (
            isinstance(widget, QLineEdit) and widget.height() < QFontMetrics(widget.font()).height()
        ):
            found.append(f"{name} is lower than its text")
        found += _place_faults(page, widget, name)
    return found


def _in_sight(parent: QWidget) -> Iterator[QWidget]:
    for child in parent.children():
        if isinstance(child, QWidget) and child.isVisible() and not child.isWindow():
            yield child
            # What a table or a drawing does inside is its own affair.
            if not isinstance(child, QAbstractScrollArea) or isinstance(child, QScrollArea):
                yield from _in_sight(child)


def _words_of(widget: QWidget) -> str:
    text = getattr(widget, "text", None)
    return str(text()) if callable(text) else widget.accessibleName()


def _words_faults(words: WrappedText, name: str) -> list[str]:
    if not words.text():
        return []
    found = []
    need = words.heightForWidth(words.width())
    if words.height() < need:
        found.append(f"{name} is {words.height()} high and needs {need}")
    widest = words.minimumSizeHint().width()
    if words.width() < widest:
        found.append(f"{name} is {words.width()} wide and breaks a word of {widest}")
    return found


def _pressable_faults(button: Pressable, name: str) -> list[str]:
    found = []
    need = button.words_height(button.width())
    if button.height() < need:
        found.append(f"{name} is {button.height()} high and needs {need:.0f}")
    for text, kind in ((button.word, button.word_kind), (button.line, button.line_kind)):
        if text and widest_word(text, kind, current()) > button.words_width(button.width()):
            found.append(f"{name} breaks a word of {text!r}")
    return found


def _place_faults(page: QWidget, widget: QWidget, name: str) -> list[str]:
    if isinstance(widget, QHeaderView):
        return []
    found = []
    parent = widget.parentWidget()
    assert parent is not None
    scrolled = isinstance(parent.parentWidget(), QScrollArea)
    inside = widget.geometry()
    if not scrolled and not parent.rect().contains(inside):
        found.append(f"{name} at {inside.getRect()} sticks out of {parent.rect().getRect()}")
    left = widget.mapTo(page, QPoint(0, 0)).x()
    if left < 0 or left + widget.width() > page.width():
        found.append(f"{name} sticks out of the window sideways")
    if scrolled and widget.width() > parent.width():
        found.append(f"{name} scrolls sideways")
    return found


def beyond_the_column(column: QWidget) -> list[str]:
    """Widgets in the reading column that are wider than the column may be."""
    return [
        f"{type(widget).__name__} is {widget.width()} px wide"
        for widget in _in_sight(column)
        if isinstance(widget, WrappedText | Pressable)
        and widget.width() > current().column(COLUMN_WIDTH)
    ]


def overlaps(page: Page) -> list[str]:
    """Pairs of texts or buttons that lie over each other."""
    placed: list[tuple[str, QRect]] = []
    found = []
    for widget in _in_sight(page):
        if not isinstance(widget, WrappedText | Pressable) or not _words_of(widget):
            continue
        rect = QRect(widget.mapTo(page, QPoint(0, 0)), widget.size())
        visible = rect.intersected(_clip(page, widget))
        if visible.isEmpty():
            continue
        for other_name, other in placed:
            if visible.intersects(other):
                found.append(f"{_words_of(widget)[:30]!r} lies over {other_name!r}")
        placed.append((_words_of(widget)[:30], visible))
    return found


def _clip(page: Page, widget: QWidget) -> QRect:
    rect = page.rect()
    parent = widget.parentWidget()
    while parent is not None and parent is not page:
        rect = rect.intersected(QRect(parent.mapTo(page, QPoint(0, 0)), parent.size()))
        parent = parent.parentWidget()
    main = getattr(page, "main", None)
    if main is not None and page.column.isAncestorOf(widget) and not page.column.isAncestorOf(main):
        foot = page._foot
        over = QRect(foot.mapTo(page, QPoint(0, 0)), foot.size())
        left = widget.mapTo(page, QPoint(0, 0)).x()
        # Words go on under the main button of their column, and are read on above it.
        if over.left() <= left <= over.right():
            rect.setBottom(min(rect.bottom(), over.top() - 1))
    return rect
