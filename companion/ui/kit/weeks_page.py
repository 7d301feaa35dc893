"""The pages on which weeks kept with a pen are typed, the same at home and in the clinic."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from typing import Protocol

from PySide6.QtCore import Qt, Signal

from companion.care.days import diary_day
from companion.care.flow import Given
from companion.care.records import Diary
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.troubles import trouble_words
from companion.presentation.language.typed_days import typed_day_before
from companion.presentation.papers.typed_weeks import (
    TypedWeeks,
    every_key,
    leave_view,
    start_words,
    taken_up_view,
)
from companion.presentation.view.page import PageView
from companion.services.paper_weeks import days_from, first_to_type
from companion.services.paper_weeks_kept import HalfTyped, WeeksKeeper
from companion.services.trouble import Trouble
from companion.ui.kit.chart import ChartView
from companion.ui.kit.controls import SubHeading, TextField
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph, show_when
from companion.ui.kit.theme import GRID
from companion.ui.kit.typed_sheet import TypedSheet


class WeeksStartPage(Page):
    """The first day that is on paper, typed; `begun` gives it as it stands."""

    begun = Signal(str)

    def __init__(self, above: str, words: tuple[str, ...], first: str) -> None:
        super().__init__(phrase("Weeks on paper"), above=above, stop=False, help_offered=False)
        for sentence in words:
            self.add(Paragraph(sentence))
        self.first = self.add(
            TextField(
                phrase("The first day on the sheets"),
                most_characters=40,
                hint=phrase("Day, month and year, such as 2.11.2026"),
            ),
            3 * GRID,
        )
        self.first.set_text(first)
        self.main_button(phrase("Type these days")).clicked.connect(
            lambda: self.begun.emit(self.first.text())
        )

    def show_problem(self, sentence: str) -> None:
        self.first.show_problem(sentence)
        self.first.setFocus()


class WeeksPage(Page):
    """The form that is typed, which keys it takes, what is odd, and the chart growing beside.
    `kept` asks to take the days in."""

    kept = Signal()

    def __init__(self, weeks: TypedWeeks, above: str, refused: Callable[[], str]) -> None:
        """`refused` keeps what was typed on the disk and tells why it cannot, else ""."""
        super().__init__(
            phrase("Weeks on paper"),
            above=above,
            stop=False,
            help_offered=False,
            enter_presses_main=False,
        )
        self._weeks, self._refused = weeks, refused
        self.sheet = self.add(TypedSheet(weeks), GRID)
        self.state = self.add(Paragraph(""), GRID, part="lead")
        self.keys = self.add(Paragraph("", strong=True), GRID, part="lead")
        self.add(Paragraph(every_key(), quiet=True), GRID, part="lead")
        self._drawn = weeks.chart()
        self.chart = self.add(ChartView(self._drawn), GRID, part="lead")
        self._odd_heading = self.add(SubHeading(phrase("Not taken in")), 2 * GRID, part="lead")
        self.odd = self.add(Paragraph(""), GRID, part="lead")
        self.main_button(phrase("Keep these days")).clicked.connect(self.kept)
        self.first_focus = self.sheet
        self.sheet.typed.connect(self._typed)
        self.sheet.ended.connect(self._ended)
        self._typed()

    def _typed(self) -> None:
        weeks = self._weeks
        self.state.set_text(" ".join(filter(None, (weeks.state(), self._refused()))))
        self.keys.set_text(weeks.keys_now())
        told = weeks.not_taken()
        self.odd.set_text("\n".join(told))
        show_when(self._odd_heading, bool(told))
        chart = weeks.chart()
        if chart != self._drawn:
            self._drawn = chart
            self.chart.set_chart(chart)
        if self.main is not None:
            self.main.setEnabled(bool(weeks.entries()))
        self.show_box(self.sheet, self.sheet.cell_box())

    def _ended(self) -> None:
        if self.main is not None and self.main.isEnabled():
            self.main.setFocus(Qt.FocusReason.OtherFocusReason)


class WeeksDesk(Protocol):
    """What typing weeks needs of a window."""

    def ask(
        self,
        view: PageView,
        answered: Callable[[Given], None],
        went_back: Callable[[], None],
    ) -> None:
        """Show a page; `answered` gets what was given."""

    def show_typing(self, page: Page, went_back: Callable[[], None]) -> None:
        """Show a page of typing."""

    def keep_typed(self, weeks: TypedWeeks) -> None:
        """Take the typed days in, and say what came of it."""

    def left_typing(self) -> None:
        """Nothing is typed any more."""


class WeeksTyping:
    """From the first day on the sheets to the days that are kept. What is half typed is on the disk
    after each cell, and offered again."""

    def __init__(
        self, desk: WeeksDesk, keeper: WeeksKeeper, diary: Diary, now: datetime, above: str
    ) -> None:
        """`now` (aware) is when the days are typed."""
        self._desk, self._diary, self._now, self._above = desk, diary, now, above
        self._keeper = keeper
        self._today = diary_day(now)
        self._on_disk: HalfTyped | None = None
        self._why_refused = ""
        self.weeks: TypedWeeks | None = None

    def enter(self) -> None:
        """Offer what was left half typed, else ask for the first day on the sheets. Raises
        Trouble."""
        found = self._keeper.found()
        half = found.half
        if half is None:
            self._ask_first(damaged=found.damaged)
            return

        def answered(given: Given) -> None:
            if given.get("weeks") == "away":
                self._drop()
                self._ask_first()
            else:
                self._take_up(half)

        self._desk.ask(taken_up_view(half), answered, self._desk.left_typing)

    def _take_up(self, half: HalfTyped) -> None:
        days = days_from(half.first, self._today)
        self.weeks = TypedWeeks.taken_up(self._diary, half, days, self._now)
        self._on_disk = half
        self._type(self.weeks)

    def _ask_first(self, *, damaged: bool = False) -> None:
        first = first_to_type(self._diary, self._today)
        words = start_words(first, self._today, damaged=damaged)
        page = WeeksStartPage(self._above, words, dated(first))
        page.begun.connect(lambda text: self._begin(page, text))
        page.keep(self)
        self._desk.show_typing(page, self._desk.left_typing)

    def _begin(self, page: WeeksStartPage, text: str) -> None:
        first = typed_day_before(text, self._today)
        if first is None or first > self._today:
            page.show_problem(phrase("Write a day up to today, such as 2.11.2026."))
            return
        days = days_from(first, self._today)
        self.weeks = TypedWeeks(self._diary, first, days, self._now)
        self._type(self.weeks)

    def _type(self, weeks: TypedWeeks) -> None:
        page = WeeksPage(weeks, self._above, lambda: self._kept(weeks))
        page.kept.connect(lambda: self._desk.keep_typed(weeks))
        page.keep(self)
        self._desk.show_typing(page, lambda: self._leave(weeks))

    def _kept(self, weeks: TypedWeeks, *, now: bool = False) -> str:
        """Put what was typed on the disk when a cell is left, or now; why that is refused."""
        half, before = weeks.half_typed(), self._on_disk
        if half.cells == (() if before is None else before.cells):
            return self._why_refused
        # A text that is being written waits for its end: a letter is no cell.
        same_place = before is not None and before.next_at == half.next_at
        if same_place and not now and not weeks.at_end:
            return self._why_refused
        try:
            if half.cells:
                self._keeper.keep(half)
            else:
                self._keeper.drop()
        except Trouble as trouble:
            finish = phrase("It cannot be kept half typed: finish it before you leave.")
            self._why_refused = f"{finish} {trouble_words(trouble)}"
        else:
            self._on_disk, self._why_refused = half if half.cells else None, ""
        return self._why_refused

    def _drop(self) -> None:
        # What cannot be dropped is offered again, and can be given up again.
        with suppress(Trouble):
            self._keeper.drop()
        self._on_disk = None

    def _leave(self, weeks: TypedWeeks) -> None:
        self._kept(weeks, now=True)
        if weeks.is_empty:
            self._ask_first()
            return

        def answered(given: Given) -> None:
            match given.get("weeks"):
                case "away":
                    self._drop()
                    self._desk.left_typing()
                case "later":
                    self._desk.left_typing()
                case _:
                    self._type(weeks)

        self._desk.ask(leave_view(), answered, lambda: self._type(weeks))
