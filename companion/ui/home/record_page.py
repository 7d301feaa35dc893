"""My record: the pain chart beside its table, and the ways to the other parts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from PySide6.QtCore import Signal

from companion.presentation.home.chair_pages import chair_name
from companion.presentation.home.record_tables import SECTIONS, NamedTable, section_words
from companion.presentation.home.record_view import (
    RecordView,
    Span,
    days_in_words,
    knee_words,
    span_words,
)
from companion.presentation.language.phrases import phrase
from companion.ui.kit.buttons import ActionRow
from companion.ui.kit.chart import ChartView
from companion.ui.kit.controls import Choice, ChoiceList, SubHeading, TextField
from companion.ui.kit.page import Page
from companion.ui.kit.table import DataTable
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import FRAME_WIDTH, GRID
from companion.ui.kit.tiles import Tiles

PICK: Literal["pick"] = "pick"
PRINT: Literal["print"] = "print"
CHAIR: Literal["chair"] = "chair"
OTHER_KNEE: Literal["other_knee"] = "other_knee"
PUT_RIGHT: Literal["put_right"] = "put_right"
"""Ways off the record's first page that are none of its parts."""
_TABLE_WIDTH = FRAME_WIDTH
"""Rows are looked along, not read as sentences: they may take all of the frame."""


class RecordPage(Page):
    """The days of one knee as a chart and as rows, newest first.

    `span_chosen` gives a `Span`, or the days of a row that stands for several; `show_view` then
    shows its days on the same page. `way_wanted` gives a section, PUT_RIGHT, PICK, PRINT,
    OTHER_KNEE or CHAIR, `day_wanted` the day of a row; `chair` is the line of the door CHAIR,
    empty where the plan does not offer it, `other` the name of the other knee where there is a
    record of it. `better` says in sentences whether it goes better, before anything else.
    """

    most_width = _TABLE_WIDTH
    asks_nothing = True

    span_chosen = Signal(object)
    way_wanted = Signal(object)
    day_wanted = Signal(object)

    def __init__(
        self,
        view: RecordView,
        mark: str = "",
        *,
        chair: str = "",
        other: str = "",
        better: Sequence[str] = (),
    ) -> None:
        super().__init__(phrase("My record"), above=knee_words(view.side), plan_mark=mark)
        for number, sentence in enumerate(better):
            self.add(Paragraph(sentence, strong=number == 0), 0 if number else 2 * GRID)
        self._spans = self.add(
            ChoiceList(
                phrase("How much to show"),
                [Choice(span, span_words(span)) for span in Span],
                columns=3,
            )
        )
        self._spans.set_value(view.span if isinstance(view.span, Span) else None)
        self._spans.chosen.connect(self.span_chosen)
        self._days = self.add(Paragraph(days_in_words(view.days), strong=True))
        self._counted = self.add(Paragraph(view.counted, quiet=True), 0)
        self._chart = self.add(ChartView(view.day_chart), 2 * GRID)
        ways = self.add(Tiles((2, 1)), 3 * GRID)
        lead = [(name, *section_words(name)) for name in SECTIONS] + [
            (PUT_RIGHT, phrase("Put something right"), phrase("What you wrote is kept")),
            (PICK, phrase("Choose the days"), phrase("From one day to another")),
            (PRINT, phrase("Save it to print"), phrase("These days, in large print")),
            *([(OTHER_KNEE, other, phrase("The record of it"))] if other else []),
            *([(CHAIR, chair_name(), chair)] if chair else []),
        ]
        self.ways = {name: ways.add(ActionRow(word, line)) for name, word, line in lead}
        """The rows that lead on, by the part they lead to."""
        for row in self.ways.values():
            row.clicked.connect(self._way_pressed)
        self._rows_heading = self.add(SubHeading(_rows_heading(view)), 4 * GRID)
        self._how = self.add(Paragraph(_how_to_open(view)), 0)
        self._table = self.add(
            DataTable(phrase("Day by day"), view.table.headers, view.table.rows), GRID
        )
        self._row_days = view.table.days
        self._table.lead_on(self._row_pressed)

    def show_view(self, view: RecordView) -> None:
        """Show other days; the focus and the place on the page stay."""
        self._spans.set_value(view.span if isinstance(view.span, Span) else None)
        self._rows_heading.set_text(_rows_heading(view))
        self._how.set_text(_how_to_open(view))
        self._days.set_text(days_in_words(view.days))
        self._counted.set_text(view.counted)
        self._chart.set_chart(view.day_chart)
        self._table.set_rows(view.table.headers, view.table.rows)
        self._row_days = view.table.days

    def _row_pressed(self, row: int) -> None:
        days = self._row_days[row]
        if days is None:
            return
        if days.days == 1:
            self.day_wanted.emit(days.first_day)
        else:
            self.span_chosen.emit(days)
            self.scroll_bar().setValue(0)

    def _way_pressed(self) -> None:
        pressed = self.sender()
        self.way_wanted.emit(next(name for name, row in self.ways.items() if row is pressed))


def _stands_for_days(view: RecordView) -> bool:
    return any(days is not None and days.days > 1 for days in view.table.days)


def _rows_heading(view: RecordView) -> str:
    return phrase("One after the other") if _stands_for_days(view) else phrase("Day by day")


def _how_to_open(view: RecordView) -> str:
    if _stands_for_days(view):
        return phrase("Press a row to see its days.")
    return phrase("Press a day to see what is written, or put it right.")


class RecordPartPage(Page):
    """One part of the record: its tables, and for the routines their chart above."""

    most_width = _TABLE_WIDTH
    asks_nothing = True

    def __init__(
        self,
        heading: str,
        view: RecordView,
        tables: Sequence[NamedTable],
        mark: str = "",
        *,
        with_chart: bool = False,
    ) -> None:
        super().__init__(heading, above=view.heading, plan_mark=mark)
        if with_chart and not view.session_chart.is_empty:
            self.add(ChartView(view.session_chart))
        for number, named in enumerate(tables):
            self.add(SubHeading(named.heading), 4 * GRID if number else 2 * GRID)
            if named.table.rows:
                table = DataTable(named.heading, named.table.headers, named.table.rows)
                self.add(table, GRID)
            else:
                self.add(Paragraph(named.nothing), GRID)


class PickDaysPage(Page):
    """The first and the last day to show, typed. `picked` gives both texts as they stand."""

    picked = Signal(str, str)

    def __init__(self, above: str, mark: str = "") -> None:
        super().__init__(phrase("Which days?"), above=above, plan_mark=mark)
        self.add(Paragraph(phrase("Write day, month and year, such as 2.11.2026.")))
        self.first = self.add(
            TextField(
                phrase("The first day"),
                most_characters=40,
                hint=phrase("Empty: from the beginning"),
            ),
            3 * GRID,
        )
        self.last = self.add(
            TextField(phrase("The last day"), most_characters=40, hint=phrase("Empty: today")),
            3 * GRID,
        )
        self.main_button(phrase("Show these days")).clicked.connect(self._wanted)

    def show_problems(self, first: str, last: str) -> None:
        """Say beside each day what is wrong with it; the first one at fault takes the focus."""
        self.first.show_problem(first)
        self.last.show_problem(last)
        (self.first if first else self.last).setFocus()

    def _wanted(self) -> None:
        self.picked.emit(self.first.text(), self.last.text())
