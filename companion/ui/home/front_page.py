"""The front page: what today holds, and a few doors."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from companion.presentation.home.front import FrontView, TodayRow
from companion.presentation.home.open_lines import Door
from companion.presentation.language.phrases import phrase
from companion.ui.kit.buttons import ActionRow, DoorButton
from companion.ui.kit.checklist import LeadingRow, ListedRow
from companion.ui.kit.columns import Part
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import GRID, current
from companion.ui.kit.tiles import Tiles

_LARGE = 150
"""Percent of text from which a door takes a line of its own anyway."""
_DOORS_SHARE = 0.45


class FrontPage(Page):
    """Shows a `FrontView` and emits `door_opened` with the door that was pressed."""

    door_opened = Signal(object)
    _today_leads = False
    """With large text what today holds then needs the wider column, and doors do not."""

    def __init__(self, view: FrontView) -> None:
        super().__init__(
            view.heading,
            above=view.above,
            plan_mark=view.mark,
            back=False,
            stop=bool(view.above),
            help_offered=bool(view.above),
        )
        self.view = view
        self._today_leads = view.card is None
        if view.card is not None:
            from companion.ui.kit.asking import put_cards

            put_cards(self, view.card)
        self._doors: dict[QWidget, Door] = {}
        self.rows: list[ActionRow] = []
        """The lines of what today holds, in their order."""
        for number, line in enumerate(view.lines):
            self.add(Paragraph(line, strong=number == 0), GRID, part="lead")
        # A card has the left of two columns for itself and whom to call.
        beside = None if view.card is None or not view.today else self.add(Tiles((2, 1)), GRID)
        for one in view.today:
            row = _row(one)
            if beside is not None:
                self.rows.append(beside.add(row))
            else:
                self.rows.append(self.add(row, 0 if self.rows else GRID, part="lead"))
            self._lead(self.rows[-1], one.door)
        part: Part = "words" if beside is not None else "lead"
        if view.week:
            # One day in seven has it; what answers are made of is not loaded on the others.
            from companion.ui.kit.controls import SubHeading

            self.add(SubHeading(phrase("Your week")), 3 * GRID, part=part)
            for line in view.week:
                self.add(Paragraph(line), 0, part=part)
        if view.written:
            self.add(Paragraph(view.written, quiet=True), 2 * GRID, part=part)
        # Doors come last and stand low: today’s lines come and go, and move none of them.
        doors = self.add(Tiles((2, 1)), GRID if beside else 3 * GRID)
        for door in view.doors:
            self._lead(doors.add(DoorButton(door.word, door.line)), door)
        self.column.stand_low(doors)

    def words_share(self, width: int) -> float:
        large = self._today_leads and current().text_percent >= _LARGE
        return _DOORS_SHARE if large else super().words_share(width)

    def _lead(self, button: ActionRow, door: Door) -> None:
        button.clicked.connect(self._pressed)
        self._doors[button] = door

    @property
    def doors(self) -> dict[str, QWidget]:
        """The door buttons by the name of their door; where two have it, that of the door and not
        of a line."""
        return {door.name: button for button, door in self._doors.items()}

    def _pressed(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QWidget):
            self.door_opened.emit(self._doors[pressed])


def _row(one: TodayRow) -> ActionRow:
    if one.state == "next":
        return LeadingRow(one.door.word, one.door.line)
    return ListedRow(one.door.word, one.door.line, mark=one.state)
