"""The pages of an import: what is being read, what it would bring, and Cancel throughout."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent

from companion.presentation.clinic.people import ImportPreview, reason_words
from companion.presentation.language.phrases import phrase
from companion.services.clinic_import import FileLook
from companion.ui.clinic.clinic_page import ClinicPage
from companion.ui.kit.accessible import announce
from companion.ui.kit.background import ProgressLine
from companion.ui.kit.controls import Bullets, Choice, SubHeading, TickList
from companion.ui.kit.table import DataTable
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import GRID


class ProgressPage(ClinicPage):
    """How far a long piece of work is. Its one button, and Escape, cancel it."""

    cancelled = Signal()

    def __init__(self, heading: str, most: int, consequence: str) -> None:
        super().__init__(heading, bar=False)
        self._most = most
        self.words = self.add(Paragraph(""))
        self.line = self.add(ProgressLine(heading, 100 * most), GRID)
        self.add(Paragraph(consequence, quiet=True))
        self.cancel = self.main_button(phrase("Cancel"))
        self.cancel.clicked.connect(self._cancel)
        self._done = self._tenth = 0
        self.show_done(0)

    def show_done(self, done: int) -> None:
        self.words.set_text(
            phrase("{done} of {n} file", "{done} of {n} files", n=self._most, done=done)
        )
        self._done = done
        self.line.set_done(100 * done)
        tenth = 10 * done // max(self._most, 1)
        if tenth != self._tenth:  # a reader says each tenth, not each file
            self._tenth = tenth
            announce(self, self.words.text())

    def show_within(self, percent: int) -> None:
        self.line.set_done(100 * self._done + percent)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.cancel.isEnabled():
            self._cancel()
        else:
            super().keyPressEvent(event)

    def _cancel(self) -> None:
        self.cancel.setEnabled(False)
        self.cancelled.emit()


class PreviewPage(ClinicPage):
    """What an import would bring. `agreed` carries the doubtful files that were ticked."""

    agreed = Signal(object)

    def __init__(self, view: ImportPreview) -> None:
        super().__init__(view.heading)
        for number, sentence in enumerate(view.lead):
            self.add(Paragraph(sentence, strong=number == 0), GRID)
        self._ticks: TickList | None = None
        if view.doubts:
            self.add(SubHeading(view.doubts_heading), 3 * GRID)
            self._ticks = self.add(
                TickList(
                    view.doubts_heading,
                    [Choice(look, look.name, reason_words(look.reason)) for look in view.doubts],
                ),
                GRID,
            )
        if view.left:
            self.add(SubHeading(view.left_heading), 3 * GRID)
            self.add(Bullets(view.left), GRID)
        if view.brings:
            self.add(SubHeading(phrase("To be taken in")), 3 * GRID)
            self.add(DataTable(phrase("To be taken in"), view.brings_headers, view.brings), GRID)
        if view.main is not None:
            self.main_button(view.main).clicked.connect(lambda: self.agreed.emit(self._ticked()))

    @property
    def ticks(self) -> TickList | None:
        """The doubtful files, when there are any."""
        return self._ticks

    def _ticked(self) -> Sequence[FileLook]:
        values = () if self._ticks is None else self._ticks.values()
        return tuple(value for value in values if isinstance(value, FileLook))
