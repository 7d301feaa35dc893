"""The front page: what is due and why, and a few doors."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from companion.presentation.front import Door, FrontView
from companion.presentation.page_view import CardBlock, Text
from companion.presentation.phrases import phrase
from companion.ui.kit.controls import Card, DoorButton, Doors, Paragraph, Phone
from companion.ui.kit.page import Page
from companion.ui.kit.theme import GRID


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
            help_offered=False,
            parent=parent,
        )
        for block in view.blocks:
            match block:
                case CardBlock(level, heading, actions, phones):
                    self.add(
                        Card(
                            level,
                            heading,
                            actions,
                            [
                                Phone(
                                    p.who, p.number or phrase("no number is written here"), p.when
                                )
                                for p in phones
                            ],
                        )
                    )
                case Text(text, weight):
                    self.add(Paragraph(text, strong=weight == "strong"), GRID)
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
