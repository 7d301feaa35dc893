"""What the clinic saves to print from a review: the report, and the person's own summary."""

from collections.abc import Callable
from datetime import date
from typing import Literal

from companion.care.catalogue import Catalogue
from companion.care.records import Diary
from companion.evidence.figures import Findings
from companion.evidence.findings import findings, sides
from companion.services.saving import save_file

PaperName = Literal["report", "summary"]
DrawPaper = Callable[[PaperName, Diary, tuple[Findings, ...], Catalogue], bytes]
"""Draws a paper of a diary and its findings; handed in, since it needs the toolkit."""


def save_paper(
    which: PaperName, diary: Diary, catalogue: Catalogue, draw: DrawPaper, place: str, today: date
) -> str:
    """Draw a paper of today and save it at `place`; the file's name. Raises Trouble."""
    found = tuple(
        findings(diary, side, policy=catalogue.policy, read_on=today) for side in sides(diary)
    )
    return save_file(place, draw(which, diary, found, catalogue))
