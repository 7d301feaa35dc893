"""The pages of a review behind the first: charts, tables and the calendar, a knee at a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from PySide6.QtCore import Qt

from companion.care.catalogue import Catalogue
from companion.care.records import Side
from companion.presentation.clinic.answers import AnswerRow, KneeFindings, ReviewQuestion
from companion.presentation.clinic.behind import behind_answer
from companion.presentation.clinic.periods import PeriodsView, pairs, periods_view
from companion.presentation.clinic.plan_form import Field
from companion.presentation.clinic.review import PersonRecord, chart_of, closer_looks, figure_source
from companion.presentation.clinic.tables import (
    activities_table,
    amounts_table,
    calendar_table,
    care_table,
    entries_table,
    falls_table,
    late_count,
    medicine_table,
    mornings_table,
    notes_table,
    outings_table,
    paced_tables,
    pacing_source,
    patch_table,
    questions_table,
    sessions_table,
    stairs_table,
    stopped_steps_table,
    tape_table,
    warnings_table,
)
from companion.presentation.clinic.told_apart import rivals_table
from companion.presentation.clinic.trial import no_trial_words, trial_view
from companion.presentation.clinic.usual_words import mornings_answer, usual_answer
from companion.presentation.clinic.zones import zone_maps, zone_table
from companion.presentation.home.record_view import (
    RecordTable,
    Span,
    days_of_span,
    session_chart,
    span_words,
)
from companion.presentation.language.phrases import phrase
from companion.presentation.language.plan_changes import move_words
from companion.presentation.view.chart import Chart, DaySpan
from companion.services.clinic_periods import Days
from companion.ui.clinic.export_page import ExportPage
from companion.ui.clinic.figures import AnswerBlock, PartColumns
from companion.ui.clinic.review_pages import ReviewPage
from companion.ui.kit.accessible import LEFT_OUT
from companion.ui.kit.buttons import QuietButton
from companion.ui.kit.chart import ChartView
from companion.ui.kit.controls import Choice, ChoiceList, Problem, SubHeading
from companion.ui.kit.form import DayBox
from companion.ui.kit.knee_picture import SMALL_SHARE, KneePicture
from companion.ui.kit.table import DataTable
from companion.ui.kit.text import Paragraph, WrappedText
from companion.ui.kit.theme import GRID, Type
from companion.ui.kit.tiles import Tiles

MOST_ROWS = 400
"""A longer table is cut: what is older is reached by the spans and the filters."""


class _Spans(ReviewPage):
    """A page over a span of days that can be chosen."""

    def __init__(self, name: str, record: PersonRecord, side: Side, first: Span) -> None:
        super().__init__(name, record, side)
        self.spans = self.add(
            ChoiceList(
                phrase("How much to show"),
                [Choice(span, span_words(span)) for span in Span],
                columns=3,
            )
        )
        self.spans.set_value(first)
        self.spans.chosen.connect(self.show_span)

    def days(self, span: object) -> DaySpan:
        """The days a span stands for, ending with the record."""
        assert isinstance(span, Span)
        last = self.record.days(self.side).last_day
        return days_of_span(self.record.entries, self.record.plans, self.side, span, last)

    def show_span(self, span: object) -> None:
        """Show another span."""
        raise AssertionError("every page with spans shows them")


class PainChartPage(ReviewPage):
    """Now, average and worst by day, with plans and recorded flares, as closely as wanted."""

    def __init__(self, record: PersonRecord, knee: KneeFindings) -> None:
        super().__init__("pain", record, knee.side)
        self._found = knee.found
        whole = self._described(record.days(knee.side))
        self.spans = self.add(
            ChoiceList(
                phrase("How much to show"),
                [Choice(span, words) for words, span in closer_looks(whole.days)],
                columns=3,
            )
        )
        self.chart = self.add(ChartView(whole, zooms=True))
        self._said = self.add(
            WrappedText(whole.description, Type.LABEL, colour="quiet", told_as=LEFT_OUT)
        )
        self.spans.set_value(whole.days)
        self.spans.chosen.connect(self.chart.zoom_to)
        self.chart.zoomed.connect(self._zoomed)

    def _described(self, days: DaySpan) -> Chart:
        return chart_of(self.record.entries, self.record.plans, self.side, days, self._found)

    def _zoomed(self, days: DaySpan) -> None:
        self.spans.set_value(days)
        words = self._described(days).description
        self._said.set_text(words)
        self.chart.describe(words)


class SessionsPage(_Spans):
    """The check move before and after, and every session in a row of its own."""

    def __init__(self, record: PersonRecord, side: Side) -> None:
        super().__init__("sessions", record, side, Span.LAST_8_WEEKS)
        days = self.days(Span.LAST_8_WEEKS)
        self.chart = self.add(
            ChartView(
                session_chart(record.entries, record.plans, side, days.first_day, days.last_day),
                zooms=True,
            )
        )
        self.add(
            Paragraph(
                phrase("Check move: {move}.", move=move_words(record.plan.check_move)), quiet=True
            )
        )
        self.add(SubHeading(phrase("Where it hurt, before and after the routine")), 3 * GRID)
        columns = self.add(PartColumns(least_width=560))
        whole = record.days(side)
        maps = zone_maps(record.entries, record.plans, side, whole.first_day, whole.last_day)
        for place, zone_map in enumerate(maps):
            columns.add(Paragraph(zone_map.title, strong=True), place)
            pair = Tiles((2, 1), gap=GRID)
            for picture in (zone_map.before_picture, zone_map.after_picture):
                pair.add(KneePicture(picture, least_share=SMALL_SHARE))
            columns.add(pair, place)
        counted = zone_table(maps)
        self.add(DataTable(phrase("Sessions that named each place"), counted.headers, counted.rows))
        shown = sessions_table(record.entries, record.plans, side, days.first_day, days.last_day)
        self.rows = self.add(
            DataTable(phrase("Every session"), shown.headers, shown.rows), 3 * GRID
        )

    def show_span(self, span: object) -> None:
        days, entries = self.days(span), self.record.entries
        self.chart.set_chart(
            session_chart(entries, self.record.plans, self.side, days.first_day, days.last_day)
        )
        shown = sessions_table(entries, self.record.plans, self.side, days.first_day, days.last_day)
        self.rows.set_rows(shown.headers, shown.rows[:MOST_ROWS])


class ActivitiesPage(ReviewPage):
    """Activities over the two windows, and amounts week by week."""

    def __init__(self, record: PersonRecord, knee: KneeFindings) -> None:
        super().__init__("activities", record, knee.side)
        days = record.days(knee.side)
        nothing = phrase("Nothing was written down.")
        self.table(phrase("Activities"), activities_table(knee.found), nothing)
        span = (record.entries, record.plans, days.first_day, days.last_day)
        self.table(phrase("Amounts"), amounts_table(*span), nothing)
        paced = paced_tables(*span)
        for heading, table in paced:
            self.table(heading, table, nothing)
        if paced:
            self.add(Paragraph(pacing_source(), quiet=True), GRID)


class TapePage(ReviewPage):
    """Every wear with the skin before and after it, outings and patch tests."""

    def __init__(self, record: PersonRecord, side: Side) -> None:
        super().__init__("tape", record, side)
        entries = record.entries
        worn = tape_table(entries, record.plans, side)
        self.table(phrase("Tape"), worn, phrase("No tape was put on."))
        self.table(phrase("Outings"), outings_table(entries, side), phrase("No outing."))
        self.table(phrase("Patch tests"), patch_table(entries), phrase("No patch test."))


class TrialPage(ReviewPage):
    """The tape trial: its answer and picture, its pairs, and the rest of a CENT report."""

    def __init__(self, record: PersonRecord, knee: KneeFindings) -> None:
        super().__init__("trial", record, knee.side)
        view = trial_view(knee.found)
        if view is None:
            self.add(Paragraph(no_trial_words(knee.found), quiet=True))
            return
        self.add(Paragraph(view.sentence, strong=True))
        self.add(Paragraph(view.limits), GRID)
        columns = self.add(PartColumns(), GRID)
        columns.add(ChartView(view.chart, zooms=True), 0)
        name = phrase("Pairs of periods")
        columns.add(DataTable(name, view.table.headers, view.table.rows), 0)
        for part, column in ((view.results, 1), (view.discussion, 1), (view.methods, 0)):
            block = AnswerBlock(part)
            block.opened.connect(self.opened)
            columns.add(block, column)


class CalendarPage(ReviewPage):
    """Every week of the record: what each day held, and what was asked."""

    def __init__(self, record: PersonRecord, side: Side, catalogue: Catalogue) -> None:
        super().__init__("calendar", record, side)
        days = record.days(side)
        shown = calendar_table(
            record.entries,
            record.plans,
            side,
            days.first_day,
            days.last_day,
            catalogue.policy,
        )
        self.add(
            Paragraph(
                phrase(
                    "Taped, rest and closed days leave the count of hands; rest and closed days "
                    "that of exercise."
                ),
                quiet=True,
            )
        )
        self.add(DataTable(phrase("Calendar"), shown.headers, shown.rows[:MOST_ROWS]), GRID)


class WarningsPage(ReviewPage):
    """Signs that were ticked with what was shown, falls, steps stopped, mornings, stairs."""

    def __init__(self, record: PersonRecord, knee: KneeFindings, catalogue: Catalogue) -> None:
        super().__init__("warnings", record, knee.side)
        days, entries = record.days(knee.side), record.entries
        none = phrase("None written down.")
        if knee.found.on_paper.alone:
            none = phrase("Not asked on paper.")
        self.table(phrase("Warnings"), warnings_table(entries, catalogue), none)
        self.say_unsigned(catalogue)
        self.table(phrase("Falls"), falls_table(entries), none)
        stopped = stopped_steps_table(knee.found, entries, catalogue)
        self.table(phrase("Steps stopped for pain"), stopped, none)
        stairs = stairs_table(entries, days.first_day, days.last_day)
        mornings = mornings_table(entries, knee.side, days.first_day, days.last_day)
        self.table(phrase("Nights, swelling and stiffness, in answered days"), mornings, none)
        self.table(phrase("Stairs, in days"), stairs, none)


class CarePage(ReviewPage):
    """Dated events and measures, and extra pain medicine week by week."""

    def __init__(self, record: PersonRecord, knee: KneeFindings) -> None:
        super().__init__("care", record, knee.side)
        days, entries = record.days(knee.side), record.entries
        none = phrase("None written down.")
        asked = none if not knee.found.on_paper.alone else phrase("Not asked on paper.")
        self.table(phrase("Events and measures"), care_table(entries), asked)
        medicine = medicine_table(entries, days.first_day, days.last_day)
        self.table(phrase("Extra pain medicine"), medicine, none)


class QuestionsPage(ReviewPage):
    """What the person asks, and the notes of day pages that were not kept private."""

    def __init__(self, record: PersonRecord, side: Side) -> None:
        super().__init__("questions", record, side)
        none = phrase("None written down.")
        self.table(phrase("Questions"), questions_table(record.entries), none)
        self.table(phrase("Notes of day pages"), notes_table(record.entries, side), none)


class EntriesPage(_Spans):
    """Every entry as it was written, with corrections in sight; late or corrected ones alone."""

    def __init__(self, record: PersonRecord, side: Side, catalogue: Catalogue) -> None:
        super().__init__("entries", record, side, Span.LAST_14_DAYS)
        self._catalogue = catalogue
        self.only = self.add(
            ChoiceList(
                phrase("Which entries"),
                [
                    Choice("all", phrase("All")),
                    Choice("late", phrase("Written late")),
                    Choice("corrected", phrase("Corrected")),
                ],
                columns=3,
            ),
            GRID,
        )
        self.only.set_value("all")
        self.only.chosen.connect(lambda _only: self.show_span(self.spans.value()))
        late = late_count(record.entries)
        self.add(
            Paragraph(
                phrase(
                    "{n} entry was written late: from 03:00 two days after its day.",
                    "{n} entries were written late: from 03:00 two days after their day.",
                    n=late,
                ),
                quiet=True,
            )
        )
        told = rivals_table(record.diary.entries, catalogue)
        if told.rows:
            self.table(phrase("Told in two ways"), told, "")
        self.say_unsigned(catalogue)
        shown = self._shown(Span.LAST_14_DAYS)
        self._cut = self.add(Paragraph("", quiet=True), 0)
        self.rows = self.add(DataTable(phrase("Entries"), shown.headers, shown.rows), GRID)
        self.show_span(Span.LAST_14_DAYS)

    def _shown(self, span: object) -> RecordTable:
        days = self.days(span)
        every = self.record.diary.entries
        first, last = days.first_day, days.last_day
        if span is Span.ALL:
            first = min((e.for_day for e in every), default=first)
            last = max((e.for_day for e in every), default=last)
        return entries_table(every, first, last, self._catalogue, str(self.only.value()))

    def show_span(self, span: object) -> None:
        shown = self._shown(span)
        cut = len(shown.rows) > MOST_ROWS
        self._cut.set_text(
            phrase("The newest {n} of {all} are shown.", n=MOST_ROWS, all=len(shown.rows))
            if cut
            else phrase("{n} entry.", "{n} entries.", n=len(shown.rows))
        )
        self.rows.set_rows(shown.headers, shown.rows[:MOST_ROWS])


class PeriodsPage(ReviewPage):
    """Two periods side by side: chosen from a few, or by their days."""

    def __init__(self, record: PersonRecord, side: Side, today: date) -> None:
        super().__init__("periods", record, side)
        days = record.days(side)
        self.pairs = pairs(record.plans, days.first_day, days.last_day)
        self.choice = self.add(
            ChoiceList(
                phrase("Which periods"),
                [Choice(place, pair.words) for place, pair in enumerate(self.pairs)],
                columns=3,
            )
        )
        self.choice.chosen.connect(self._pair_chosen)
        fields = self.add(Tiles((4, 2, 1), gap=2 * GRID), GRID)
        self.fields = [
            fields.add(DayBox(Field(key=words, kind="day", label=words, value=None), today))
            for words in (
                phrase("First period, from"),
                phrase("to"),
                phrase("Second period, from"),
                phrase("to "),
            )
        ]
        self.problem = self.add(Problem(), 0)
        self.compare = self.add(QuietButton(phrase("Compare these days")), GRID)
        self.compare.clicked.connect(self._days_typed)
        self.sentence = self.add(Paragraph("", strong=True), 2 * GRID)
        first = self.pairs[0]
        view = self._view(first.one, first.other)
        self.rows = self.add(
            DataTable(phrase("Both periods"), view.table.headers, view.table.rows), GRID
        )
        self.add(SubHeading(phrase("Pain by day")), 3 * GRID)
        both = self.add(PartColumns(), GRID)
        self.charts = [ChartView(chart) for chart in view.charts]
        for place, chart in enumerate(self.charts):
            both.add(chart, place)
        self.choice.set_value(0)
        self._show(first.one, first.other, view)

    def _view(self, one: Days, other: Days) -> PeriodsView:
        return periods_view(self.record.entries, self.record.plans, self.side, one, other)

    def _pair_chosen(self, place: object) -> None:
        assert isinstance(place, int)
        pair = self.pairs[place]
        self._show(pair.one, pair.other, self._view(pair.one, pair.other))

    def _show(self, one: Days, other: Days, view: PeriodsView) -> None:
        for field, day in zip(
            self.fields, (one.first, one.last, other.first, other.last), strict=True
        ):
            field.show_answer(day)
        self.problem.set_text("")
        self.sentence.set_text(view.sentence)
        self.rows.set_rows(view.table.headers, view.table.rows)
        for chart, described in zip(self.charts, view.charts, strict=True):
            chart.set_chart(described)

    def _days_typed(self) -> None:
        days: list[date] = []
        for field in self.fields:
            answer = field.answer()
            if not isinstance(answer, date):
                typed = "" if answer is None else answer
                self.problem.set_text(
                    phrase("“{typed}” is not a day. Write it as 9 3 2026.", typed=typed)
                )
                field.setFocus()
                return
            days.append(answer)
        try:
            one, other = Days(days[0], days[1]), Days(days[2], days[3])
        except ValueError:
            self.problem.set_text(phrase("A period ends before it begins. Turn its days round."))
            return
        self.choice.clear()
        self._show(one, other, self._view(one, other))


class UsualPage(ReviewPage):
    """What stands behind the verdicts, and this person's own limits; and, only when it is asked
    for, what goes with the next morning."""

    def __init__(
        self,
        record: PersonRecord,
        knee: KneeFindings,
        with_mornings: Callable[[], KneeFindings],
        catalogue: Callable[[], Catalogue],
    ) -> None:
        super().__init__("usual", record, knee.side)
        self._with_mornings = with_mornings
        self._catalogue = catalogue
        self._knees: dict[AnswerBlock, KneeFindings] = {}
        self._show(knee, behind_answer([knee]))
        self._show(knee, usual_answer(knee.found))
        self._why_off = self.add(
            Paragraph(
                phrase(
                    "What goes with the next morning is not shown unless it is asked for: it is "
                    "too easily read as a cause."
                ),
                quiet=True,
            ),
            4 * GRID,
        )
        self.ask = self.add(QuietButton(phrase("Show what goes with the next morning")), GRID)
        self.ask.clicked.connect(self._show_mornings)

    def _show(self, knee: KneeFindings, answer: ReviewQuestion) -> AnswerBlock:
        """An answer whose figures open to what they rest on, and every note under it."""
        block = self.add(AnswerBlock(replace(answer, notes=())), 2 * GRID)
        block.opened.connect(self._open)
        self._knees[block] = knee
        for note in answer.notes:
            self.add(Paragraph(note), GRID)
        return block

    def _open(self, row: AnswerRow) -> None:
        block = self.sender()
        if isinstance(block, AnswerBlock):
            facts = self._catalogue().facts
            source = figure_source(row, (self._knees[block],), self.record.plans, facts)
            self.source_wanted.emit(source)

    def _show_mornings(self) -> None:
        knee = self._with_mornings()
        self._why_off.hide()
        self.ask.hide()
        block = self._show(knee, mornings_answer(knee.found))
        self._order_tabs()
        (block.rows[0] if block.rows else self.heading).setFocus(Qt.FocusReason.TabFocusReason)


@dataclass(frozen=True, slots=True)
class Shown:
    """What a page is made of: the record, the knee shown, and what is made only when asked for:
    a knee with its findings, the same with what goes with the next morning, and the trade. `today`
    is the diary day of the desk."""

    record: PersonRecord
    side: Side
    knee: Callable[[Side], KneeFindings]
    with_mornings: Callable[[Side], KneeFindings]
    today: date
    catalogue: Callable[[], Catalogue]


BUILDERS: dict[str, Callable[[Shown], ReviewPage]] = {
    "pain": lambda s: PainChartPage(s.record, s.knee(s.side)),
    "sessions": lambda s: SessionsPage(s.record, s.side),
    "activities": lambda s: ActivitiesPage(s.record, s.knee(s.side)),
    "tape": lambda s: TapePage(s.record, s.side),
    "calendar": lambda s: CalendarPage(s.record, s.side, s.catalogue()),
    "warnings": lambda s: WarningsPage(s.record, s.knee(s.side), s.catalogue()),
    "care": lambda s: CarePage(s.record, s.knee(s.side)),
    "questions": lambda s: QuestionsPage(s.record, s.side),
    "entries": lambda s: EntriesPage(s.record, s.side, s.catalogue()),
    "trial": lambda s: TrialPage(s.record, s.knee(s.side)),
    "periods": lambda s: PeriodsPage(s.record, s.side, s.today),
    "export": lambda s: ExportPage(s.record, s.side),
    "usual": lambda s: UsualPage(
        s.record, s.knee(s.side), partial(s.with_mornings, s.side), s.catalogue
    ),
}
"""How each page but the first is made."""
