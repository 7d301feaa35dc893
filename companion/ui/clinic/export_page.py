"""Export: which formats, into which folder, and what was written there."""

from __future__ import annotations

from companion.care.records import Side
from companion.presentation.clinic.export import ExportTold, export_lead, export_options
from companion.presentation.clinic.review import PersonRecord
from companion.presentation.language.phrases import phrase
from companion.ui.clinic.clinic_page import ClinicPage
from companion.ui.clinic.review_pages import ReviewPage
from companion.ui.kit.controls import Choice, Problem, TickList
from companion.ui.kit.facts import FactList
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import GRID


class ExportPage(ReviewPage):
    """Emits `export_wanted` with the formats that are ticked."""

    def __init__(self, record: PersonRecord, side: Side) -> None:
        super().__init__("export", record, side)
        self.add(Paragraph(export_lead(record.plan.person)), GRID)
        self.ticks = self.add(
            TickList(
                phrase("What to export"),
                [Choice(each.value, each.word, each.line) for each in export_options()],
            ),
            GRID,
        )
        self.problem = self.add(Problem(), 0)
        self.ticks.changed.connect(lambda _ticked: self.problem.set_text(""))
        self.main_button(phrase("Choose a folder and save")).clicked.connect(self._save)

    def _save(self) -> None:
        ticked = self.ticks.values()
        if ticked:
            self.export_wanted.emit(ticked)
        else:
            self.problem.set_text(phrase("Tick what is to be saved."))


class ExportToldPage(ClinicPage):
    """Over the export page: what was written and where, or why nothing was."""

    def __init__(self, told: ExportTold) -> None:
        super().__init__(told.heading)
        self.add(Paragraph(told.sentence, strong=True), GRID)
        if told.rows:
            self.add(FactList(told.rows), 2 * GRID)
