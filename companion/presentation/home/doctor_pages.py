"""Whether all is well: the page of Settings and the lines of the command, from one list."""

from __future__ import annotations

from collections.abc import Sequence

from companion.presentation.language.code_table import CodeTable
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.presentation.view.page import (
    Block,
    Callout,
    DefinitionList,
    Heading,
    PageView,
    Text,
    next_page,
)
from companion.services.doctor import Checked, State, Subject

_SUBJECTS: CodeTable[Subject, str] = CodeTable(
    Subject,
    {
        "program": "The program",
        "folder": "The folder of the diary",
        "diary": "The diary",
        "copies": "Copies beside it",
        "second_place": "A copy elsewhere",
        "clock": "The clock",
        "room": "Room on the disk",
        "fonts": "The letters",
        "display": "A screen",
        "printer": "A printer",
        "voice": "A voice",
    },
)

_STATES: CodeTable[State, str] = CodeTable(
    State, {"well": "well", "without": "without", "to_mend": "TO MEND"}
)


def subject_words(subject: Subject) -> str:
    """What was looked at, as a heading."""
    return phrase(_SUBJECTS[subject])


def doctor_view(checked: Sequence[Checked]) -> PageView:
    """What is to be mended first, each with what mends it; then all the rest."""
    to_mend = [one for one in checked if one.state == "to_mend"]
    without = [one for one in checked if one.state == "without"]
    well = [one for one in checked if one.state == "well"]
    blocks: list[Block] = [Text(_first_line(to_mend), "strong")]
    blocks += [
        Callout(
            phrase("{said} {remedy}", said=_said(one), remedy=_remedy(one)),
            subject_words(one.subject),
        )
        for one in to_mend
    ]
    if without:
        blocks += [
            Heading(phrase("It does without")),
            DefinitionList(
                tuple(
                    (subject_words(one.subject), " ".join(filter(None, (_said(one), _remedy(one)))))
                    for one in without
                )
            ),
        ]
    blocks += [
        Heading(phrase("This is well")),
        DefinitionList(tuple((subject_words(one.subject), _said(one)) for one in well)),
        Text(
            phrase("No name and no word of the diary stands here. Read it to whoever helps you."),
            "quiet",
        ),
    ]
    return next_page("all_well", phrase("Is all well?"), *blocks, main=phrase("To the front page"))


def checked_lines(checked: Sequence[Checked]) -> tuple[str, ...]:
    """A line for each thing, what is to be mended with its remedy below, and a last line."""
    lines = []
    for one in checked:
        what = phrase("{what}: {said}", what=subject_words(one.subject), said=_said(one))
        lines.append(f"{phrase(_STATES[one.state]):<8} {what}")
        if one.remedy is not None:
            lines.append(f"{'':<8} {_remedy(one)}")
    return (*lines, "", _first_line([one for one in checked if one.state == "to_mend"]))


def _first_line(to_mend: Sequence[Checked]) -> str:
    if not to_mend:
        return phrase("All is well.")
    return phrase("One thing is to be mended.", "{n} things are to be mended.", n=len(to_mend))


def _said(one: Checked) -> str:
    return said_words(one.said)


def _remedy(one: Checked) -> str:
    return "" if one.remedy is None else said_words(one.remedy)
