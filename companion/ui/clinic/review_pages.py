"""The pages of a review. The first holds the pain chart at once; its answers follow."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QTimer, Signal

from companion.care.catalogue import Catalogue
from companion.care.records import Side
from companion.presentation.clinic.answers import ReviewQuestion
from companion.presentation.clinic.review import (
    OpenedFigure,
    PersonRecord,
    first_chart,
    own_words,
    review_above,
    review_pages,
    source_table,
)
from companion.presentation.home.record_view import (
    RecordTable,
    knee_words,
)
from companion.presentation.language.phrases import phrase
from companion.presentation.language.unsigned_words import unsigned_for_clinic
from companion.presentation.language.words import this_knee
from companion.ui.clinic.clinic_page import ClinicPage, Way
from companion.ui.clinic.figures import AnswerBlock, PartColumns
from companion.ui.kit.chart import ChartView
from companion.ui.kit.controls import Choice, ChoiceList, SubHeading
from companion.ui.kit.facts import FactList
from companion.ui.kit.table import DataTable
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import GRID

WHOLE_PERSON = ("answers", "export")
"""Pages that hold both knees at once."""


class ReviewPage(ClinicPage):
    """What every page of a review has: the list of pages, who it is, and which knee.

    `opened` carries the row of a figure to be opened, `source_wanted` what one rests on,
    `export_wanted` the formats to save the diary in.
    """

    knee_wanted = Signal(object)
    opened = Signal(object)
    source_wanted = Signal(object)
    export_wanted = Signal(object)

    def __init__(self, name: str, record: PersonRecord, side: Side, heading: str = "") -> None:
        pages = review_pages(record.plans)
        ways = [
            *(Way(page.name, page.words, page.key) for page in pages),
            Way("next_plan", phrase("Next plan version"), "N"),
            Way("report", phrase("Report for the file"), "R"),
            Way("summary", phrase("Person’s summary"), "S"),
            Way("home_papers", phrase("Pages for home"), "H"),
            Way("weeks", phrase("Weeks on paper"), "W"),
        ]
        words = next(page.words for page in pages if page.name == name)
        both = len(record.plan.sides) > 1 and name not in WHOLE_PERSON
        super().__init__(
            heading or (phrase("{page}: {knee}", page=words, knee=_knee(side)) if both else words),
            ways,
            name,
            contents_name=phrase("Pages of this review"),
            above=review_above(record.plan),
            back=phrase("All people"),
            plan_mark=phrase("Practice plan: nobody signed it") if record.plan.practice else "",
        )
        self.name, self.record, self.side = name, record, side
        if both:
            knees = self.add(
                ChoiceList(
                    phrase("Knee"),
                    [Choice(each, knee_words(each)) for each in record.plan.sides],
                    columns=2,
                )
            )
            knees.set_value(side)
            knees.chosen.connect(self.knee_wanted)

    def table(self, name: str, table: RecordTable, nothing: str) -> None:
        """A heading and a table, or one sentence where there are no rows."""
        self.add(SubHeading(name), 3 * GRID)
        if table.rows:
            self.add(DataTable(name, table.headers, table.rows), GRID)
        else:
            self.add(Paragraph(nothing, quiet=True), GRID)

    def say_unsigned(self, catalogue: Catalogue) -> None:
        """That nobody licensed signed the wording of signs, where it is shown."""
        if note := unsigned_for_clinic(catalogue):
            self.add(Paragraph(note, quiet=True), GRID)


def _knee(side: Side) -> str:
    return this_knee(side)


class AnswersPage(ReviewPage):
    """The first page: what the person wants, the pain chart, and six answers when they are there.

    `painted` comes once, when the page is on the screen.
    """

    painted = Signal()

    def __init__(self, record: PersonRecord) -> None:
        side = record.plan.sides[0]
        super().__init__("answers", record, side)
        self.columns = self.add(PartColumns(), GRID)
        own = AnswerBlock(
            ReviewQuestion(phrase("The person’s own words"), own_words(record.entries, record.plan))
        )
        own.opened.connect(self.opened)
        self.columns.add(own, 0)
        self.chart = ChartView(first_chart(record.entries, record.plans, side), zooms=True)
        self.columns.add(self.chart, 0)
        self._waiting = Paragraph(phrase("The answers follow in a moment."), quiet=True)
        self.columns.add(self._waiting, 1)
        self.blocks: list[AnswerBlock] = [own]
        self.heading.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint and watched is self.heading:
            watched.removeEventFilter(self)
            # This pass goes on to the chart; the timer fires when all of it is painted.
            QTimer.singleShot(0, self, self._settled)
        return False

    def _settled(self) -> None:
        """Paint once more what took its place after the first pass: the answers take seconds."""
        self.repaint()
        self.painted.emit()

    def show_answers(
        self, answers: Sequence[tuple[ReviewQuestion, int]], knees: Sequence[str]
    ) -> None:
        """Put the answers in their place, beside the chart and below it."""
        self.columns.take_out(self._waiting)
        self._waiting.hide()
        self._waiting.deleteLater()
        for answer, column in answers:
            block = AnswerBlock(answer, knees)
            block.opened.connect(self.opened)
            self.columns.add(block, column)
            self.blocks.append(block)
        self._order_tabs()


class SourcePage(ClinicPage):
    """One figure opened, over the review: what it says, its method, n, days and source."""

    def __init__(self, source: OpenedFigure) -> None:
        super().__init__(source.heading)
        for words in source.says:
            self.add(Paragraph(words, strong=True), GRID)
        if len(source.parts) == 1:
            self.add(FactList(source.parts[0][1]), 2 * GRID)
            return
        self.add(DataTable(source.heading, *source_table(source)), 2 * GRID)
