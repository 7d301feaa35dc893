"""What the clinic saves to print: of a review the report and the person's own summary, of a plan
all its pages for home."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Literal

from companion.care.catalogue import Catalogue
from companion.care.records import Diary, Plan
from companion.evidence.figures import Findings
from companion.evidence.findings import findings, sides
from companion.services.saving import save_file, save_folder

PaperName = Literal["report", "summary"]
DrawPaper = Callable[[PaperName, Diary, tuple[Findings, ...], Catalogue], bytes]
"""Draws a paper of a diary and its findings; handed in, since it needs the toolkit."""


Reader = Literal["person", "helper"]
DrawHomePapers = Callable[[Plan, Catalogue, date, Reader, Diary | None], Mapping[str, bytes]]
"""Draws all pages for home of a plan for one reader, by the names of their files; with the diary
at hand, whose open warnings they say."""


def save_paper(
    which: PaperName, diary: Diary, catalogue: Catalogue, draw: DrawPaper, place: str, today: date
) -> str:
    """Draw a paper of today and save it at `place`; the file's name. Raises Trouble."""
    return save_file(place, draw_of(which, diary, catalogue, draw, today))


def draw_of(
    which: PaperName, diary: Diary, catalogue: Catalogue, draw: DrawPaper, today: date
) -> bytes:
    """A paper of a diary as it is read today."""
    found = tuple(
        findings(diary, side, policy=catalogue.policy, read_on=today) for side in sides(diary)
    )
    return draw(which, diary, found, catalogue)


def save_home_papers(
    plan: Plan,
    catalogue: Catalogue,
    draw: DrawHomePapers,
    place: str,
    name: str,
    today: date,
    reader: Reader,
    diary: Diary | None,
) -> tuple[str, tuple[str, ...]]:
    """Draw all pages for home and save them in a new folder in `place`, called `name` or that with
    a number; the folder's name, and those of the files. Raises Trouble."""
    papers = draw(plan, catalogue, today, reader, diary)
    return save_folder(place, name, papers), tuple(papers)
