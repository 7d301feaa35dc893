"""My record: the chart beside the table, for a span the person picks."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from companion.care.records import Side
from companion.presentation.phrases import phrase
from companion.presentation.record_view import RecordView, Span, record_view, span_words
from companion.services.house import House
from companion.ui.kit.chart import DayChartView, SessionChartView
from companion.ui.kit.controls import Choice, ChoiceList, Paragraph
from companion.ui.kit.page import Page
from companion.ui.kit.table import DataTable
from companion.ui.kit.theme import GRID


class RecordPage(Page):
    """Charts and the same data as a table, newest day first."""

    def __init__(self, house: House, side: Side, parent: QWidget | None = None) -> None:
        plan = house.plan()
        assert plan is not None  # the door to this room is not shown without one
        self._house, self._side = house, side
        self._entries = house.everything()
        view = self._view(Span.LAST_8_WEEKS)
        super().__init__(
            phrase("My record"),
            above=view.heading,
            plan_mark=phrase("Practice plan: not for a real knee") if plan.practice else "",
            help_offered=False,
            parent=parent,
        )
        self._spans = self.add(
            ChoiceList(
                phrase("How much to show"),
                [Choice(span, span_words(span)) for span in Span],
                columns=3,
            )
        )
        self._spans.set_value(Span.LAST_8_WEEKS)
        self._spans.chosen.connect(self._span_chosen)
        self._counted = self.add(Paragraph(view.counted, quiet=True))
        self._days = self.add(DayChartView(view.day_chart), 2 * GRID)
        self._sessions = self.add(SessionChartView(view.session_chart), 4 * GRID)
        self._table = self.add(
            DataTable(phrase("Day by day"), view.table.headers, view.table.rows), 4 * GRID
        )

    def _view(self, span: Span) -> RecordView:
        return record_view(
            self._entries,
            self._house.journal.plans(),
            self._side,
            span,
            self._house.clock.today(),
        )

    def _span_chosen(self, span: Span) -> None:
        view = self._view(span)
        self._counted.set_text(view.counted)
        self._days.set_chart(view.day_chart)
        self._sessions.set_chart(view.session_chart)
        self._table.set_rows(view.table.headers, view.table.rows)
