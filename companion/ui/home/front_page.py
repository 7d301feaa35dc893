"""The front page: what is due and why, and a few doors."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from companion.presentation.home.front import Door, FrontView
from companion.ui.kit.buttons import DoorButton
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import GRID
from companion.ui.kit.tiles import Doors


class FrontPage(Page):
    """Shows a `FrontView` and emits `door_opened` with the door that was pressed."""

    door_opened = Signal(object)

    def __init__(self, view: FrontView, parent: QWidget | None = None) -> None:
        super().__init__(
            view.heading,
            above=view.above,
            plan_mark=view.mark,
            back=False,
            stop=bool(view.above),
            help_offered=bool(view.above),
            parent=parent,
        )
        self.view = view
        if view.card is not None:
            from companion.ui.kit.asking import card

            self.add(card(view.card))
        for number, line in enumerate(view.lines):
            self.add(Paragraph(line, strong=number == 0), GRID)
        doors = self.add(Doors(), 3 * GRID)
        self._doors: dict[QWidget, Door] = {}
        for door in view.doors:
            button = doors.add(DoorButton(door.word, door.line))
            button.clicked.connect(self._pressed)
            self._doors[button] = door
        if view.written:
            self.add(Paragraph(view.written, quiet=True), 2 * GRID)

    @property
    def doors(self) -> dict[str, QWidget]:
        """The door buttons by the name of their door."""
        return {door.name: button for button, door in self._doors.items()}

    def _pressed(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QWidget):
            self.door_opened.emit(self._doors[pressed])
