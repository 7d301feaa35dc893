"""The case list: find a code by typing, see who is due, open a diary."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent

from companion.presentation.clinic.people import people_view, unusable_lines
from companion.presentation.language.phrases import phrase
from companion.services.practice import People
from companion.ui.clinic.clinic_page import ClinicPage, Way
from companion.ui.kit.controls import Bullets, TextField
from companion.ui.kit.table import DataTable
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import GRID

_MOVES = (Qt.Key.Key_Down, Qt.Key.Key_Up)


class PeopleTable(DataTable):
    """The rows of the list; the one that is marked is the one that opens."""

    marked = Signal(str)
    opened = Signal(str)

    def __init__(self) -> None:
        self._codes: tuple[str, ...] = ()
        super().__init__(phrase("People"), (), ())
        self.view.doubleClicked.connect(self._open)

    def show_people(
        self, headers: Sequence[str], rows: Sequence[Sequence[str]], codes: Sequence[str]
    ) -> None:
        """Show these rows and mark the first."""
        self._codes = tuple(codes)
        self.set_rows(headers, rows)
        self.view.selectionModel().currentRowChanged.connect(self._marked)
        if rows:
            self.view.setCurrentIndex(self.view.model().index(0, 0))
        else:
            self.marked.emit("")

    def move(self, step: int) -> None:  # type: ignore[override]
        """Mark a row further down or up."""
        row = min(max(self.view.currentIndex().row() + step, 0), len(self._codes) - 1)
        if self._codes:
            self.view.setCurrentIndex(self.view.model().index(row, 0))

    def code(self) -> str:
        """The code that is marked, "" when there is none."""
        row = self.view.currentIndex().row()
        return self._codes[row] if 0 <= row < len(self._codes) else ""

    def _marked(self, _now: QModelIndex, _before: QModelIndex) -> None:
        self.marked.emit(self.code())

    def _open(self, _index: QModelIndex) -> None:
        self.opened.emit(self.code())


class PeoplePage(ClinicPage):
    """Emits `opened` with the code of the diary to be opened."""

    opened = Signal(str)

    def __init__(
        self, people: People, ways: Sequence[Way], today: date, *, told: str = "", typed: str = ""
    ) -> None:
        super().__init__(
            phrase("People"), ways, contents_name=phrase("What can be done"), bar=False
        )
        self._people, self._cases, self._today = people, people.cases, today
        self.told = self.add(Paragraph(told, strong=True)) if told else None
        if people.unusable:
            self.add(Paragraph(phrase("Files in the clinic’s folder that cannot be used:")))
            self.add(Bullets(unusable_lines(people)), 0)
        self.field = self.add(TextField(phrase("Find a code"), most_characters=32))
        self.field.set_text(typed)
        self.counted = self.add(Paragraph("", quiet=True), GRID)
        self.table = self.add(PeopleTable(), GRID)
        self.table.opened.connect(self.opened)
        if not people.cases:
            self.add(
                Paragraph(
                    phrase(
                        "Write a plan for a person here, or take in the diary file a person "
                        "brought, or a folder of them. The file stays where it is; a whole copy "
                        "is kept here."
                    )
                )
            )
            self.table.hide()
            self.field.hide()
        else:
            self.open_button = self.main_button(phrase("Open"))
            self.open_button.clicked.connect(lambda: self.opened.emit(self.table.code()))
            self.table.marked.connect(self._marked)
            self.field.changed.connect(lambda _text: self._filter())
            self.first_focus = self.field
        self._filter()

    def _filter(self) -> None:
        view = people_view(self._cases, self.field.text(), self._today, self._people.watch)
        self.counted.set_text(view.counted)
        if self._cases:
            self.table.show_people(view.headers, view.rows, view.codes)

    def _marked(self, code: str) -> None:
        self.open_button.setEnabled(bool(code))
        word = phrase("Open {code}", code=code) if code else phrase("Open")
        self.open_button.set_words(word)

    def take_focus(self) -> None:
        """The focus is in the field, and what was looked for before gives way to the next key."""
        super().take_focus()
        self.field.select_all()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _MOVES and self._cases:
            self.table.move(1 if event.key() == Qt.Key.Key_Down else -1)
            return
        super().keyPressEvent(event)
