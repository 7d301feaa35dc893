"""What can be exported of a diary, for whom, and where it was put, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import Option

if TYPE_CHECKING:
    from companion.services.export import Exported, Format


@dataclass(frozen=True, slots=True)
class ExportTold:
    """How an export went: what was written, by the names of the files, or why nothing was."""

    heading: str
    sentence: str
    rows: tuple[tuple[str, str], ...] = ()


def export_lead(code: str) -> str:
    """What holds for every file."""
    return phrase(
        "Every file carries the code {code}. None is locked: whoever has it can read it.", code=code
    )


def export_options() -> tuple[Option, ...]:
    """Each format: what it is called, who can read it and what it holds."""
    words: dict[Format, tuple[str, str]] = {
        "fhir": (
            phrase("FHIR bundle"),
            phrase(
                "For a record system that reads HL7 FHIR R4: plans, scores and corrections, "
                "without notes or warnings."
            ),
        ),
        "csv": (
            phrase("Table, and what its columns hold"),
            phrase(
                "For a spreadsheet or a statistics program: day pages and session scores, a row "
                "a day and knee."
            ),
        ),
        "ics": (
            phrase("Calendar file"),
            phrase("For a calendar program: days of the routine, tape due off, and the review."),
        ),
        "findings": (
            phrase("Findings as JSON"),
            phrase(
                "For a statistics program: the findings behind this review with their method, n "
                "and source, a file a knee."
            ),
        ),
        "diary": (
            phrase("The diary file itself"),
            phrase(
                "For this program, here or at home: every entry with its corrections, and every "
                "plan version."
            ),
        ),
    }
    return tuple(Option(value, *lines) for value, lines in words.items())


def exported(done: Exported) -> ExportTold:
    """What was written, and where."""
    names = {option.value: option.word for option in export_options()}
    count: dict[str, int] = {}
    rows = []
    for file in done.files:
        count[file.format] = count.get(file.format, 0) + 1
        what = names[file.format]
        if file.format == "csv":
            what = phrase("The table") if count["csv"] == 1 else phrase("What its columns hold")
        if file.format == "fhir" and count["fhir"] == 2:
            what = phrase("Notices for its codes")
        rows.append((file.name, what))
    return ExportTold(
        heading=phrase("Exported"),
        sentence=phrase(
            "{n} file saved in the new folder {folder}, in {place}.",
            "{n} files saved in the new folder {folder}, in {place}.",
            n=len(rows),
            folder=done.folder,
            place=done.place,
        ),
        rows=tuple(rows),
    )


def not_exported(sentence: str) -> ExportTold:
    """Nothing was written, and why."""
    return ExportTold(heading=phrase("Nothing was exported"), sentence=sentence)
