"""Every word that is shown or told on a page."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtWidgets import QLabel, QLineEdit, QPlainTextEdit, QWidget

from companion.ui.kit.buttons import Pressable


def words_of(page: QWidget) -> Iterator[str]:
    """What is written and what a screen reader is told, of every widget in sight."""
    for widget in [page, *page.findChildren(QWidget)]:
        if not widget.isVisible():
            continue
        yield widget.accessibleName()
        yield widget.accessibleDescription()
        yield widget.toolTip()
        if isinstance(widget, QLabel):
            yield widget.text()
        if isinstance(widget, Pressable):
            yield widget.word
            yield widget.line
        if isinstance(widget, QLineEdit | QPlainTextEdit):
            yield widget.placeholderText()
