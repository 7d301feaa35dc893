"""The PDF itself, read back by other programs: words, fonts, pages, and the same bytes twice."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from companion.care.records import Diary, Event, Plan, Question
from companion.paper.visit_summary import visit_summary_pdf
from companion.presentation.papers.summary import VisitSummary, visit_summary
from companion.system.resources import resource
from companion.wire.catalogue_reading import read_catalogue
from tests.builders import START
from tests.found import findings
from tests.paper.diaries import both_knees, eight_weeks, plan


def summed(own: Plan, entries: list[Any]) -> VisitSummary:
    diary = Diary(plans=(own,), entries=tuple(entries))
    found = [findings(diary, side) for side in own.sides]
    return visit_summary(diary, found, read_catalogue(resource()))


def tool(*command: str) -> str:
    """What a poppler tool says of a file."""
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return done.stdout


def text_of(path: Path) -> str:
    """The words of a PDF, white space made single, as another program reads them."""
    return re.sub(r"\s+", " ", tool("pdftotext", "-layout", str(path), "-").replace("\u00a0", " "))


@pytest.fixture(scope="module")
def one_knee(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("paper") / "visit.pdf"
    own, entries = eight_weeks()
    path.write_bytes(visit_summary_pdf(summed(own, entries)))
    return path


@pytest.fixture(scope="module")
def two_knees(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("paper") / "visit.pdf"
    own, entries = both_knees()
    path.write_bytes(visit_summary_pdf(summed(own, entries)))
    return path


def test_it_is_two_upright_a4_pages(one_knee: Path, two_knees: Path) -> None:
    # ISO 216: A4 is 210 x 297 mm, 595 x 842 points.
    for path in (one_knee, two_knees):
        about = tool("pdfinfo", str(path))
        assert re.search(r"Pages:\s+2\n", about)
        assert re.search(r"Page size:\s+595 x 842 pts \(A4\)", about)


def test_letter_is_there_too(tmp_path: Path) -> None:
    # ANSI/ASME Y14.1: Letter is 8.5 x 11 inches, 612 x 792 points.
    own, entries = eight_weeks()
    path = tmp_path / "letter.pdf"
    path.write_bytes(visit_summary_pdf(summed(own, entries), letter=True))
    assert "612 x 792 pts (letter)" in tool("pdfinfo", str(path))


def test_every_font_is_embedded_and_is_ours(one_knee: Path, two_knees: Path) -> None:
    for path in (one_knee, two_knees):
        lines = tool("pdffonts", str(path)).splitlines()[2:]
        assert {line.split()[0].split("+")[-1] for line in lines} == {
            "AtkinsonHyperlegible-Regular",
            "AtkinsonHyperlegible-Bold",
        }
        for line in lines:
            embedded = line.split()[-5]
            assert embedded == "yes", line


def test_the_words_and_numbers_are_there_to_be_read(one_knee: Path) -> None:
    text = text_of(one_knee)
    for words in (
        "For your visit",
        "Your questions",
        "1. May I kneel on a cushion to weed?",
        "Walk along the quay to the fish market and back",
        "Now about 4½, at first about 6½. Lower, likely real.",
        "For the clinic, in one minute",
        "Lower, by 1.7 points (0.3 to 3.3 lower): 6.3 to 4.6",
        "49 of 56 days; missing 13 %, longest gap 2 days; 1 written late",
        "Pain by day",
        "Extra pain medicine",
        "Page 1 of 2",
        "Page 2 of 2",
    ):
        assert words in text, words


def test_each_page_says_whose_it_is(one_knee: Path) -> None:
    for page in ("1", "2"):
        head = tool("pdftotext", "-layout", "-f", page, "-l", page, str(one_knee), "-")
        first = next(line for line in head.splitlines() if line.strip())
        assert re.search(r"K-90, right knee, care plan 1\s+31 Aug to 25 Oct", first)


def test_the_chart_is_words_and_lines_not_a_photograph(one_knee: Path) -> None:
    assert tool("pdfimages", "-list", str(one_knee)).splitlines()[2:] == []
    text = text_of(one_knee)
    for words in ("Worst", "Average", "Now", "Tape on", "31 Aug", "12 Oct"):
        assert words in text


def test_nothing_uncomputed_is_printed(one_knee: Path, two_knees: Path) -> None:
    for path in (one_knee, two_knees):
        text = text_of(path).lower()
        for words in ("not computed", "nan", "null"):
            assert words not in text, words


def test_a_practice_plan_is_marked_on_both_pages(two_knees: Path) -> None:
    for page in ("1", "2"):
        text = tool("pdftotext", "-f", page, "-l", page, str(two_knees), "-")
        assert "Practice plan: nobody signed it. Not for a real knee." in text


def test_two_knees_stand_side_by_side_on_the_clinics_page(two_knees: Path) -> None:
    page = tool("pdftotext", "-layout", "-f", "2", "-l", "2", str(two_knees), "-")
    assert re.search(r"Left knee \(main\)\s+Right knee", page)
    assert re.search(r"Pain\s+Lower, by 1\.6 points.*\s{2,}About the same, still 3\.0", page)


def test_the_same_record_gives_the_same_bytes() -> None:
    own, entries = eight_weeks()
    assert visit_summary_pdf(summed(own, entries)) == visit_summary_pdf(summed(own, entries))


def test_the_file_says_when_the_record_ends_and_nobody_s_name(one_knee: Path) -> None:
    about = tool("pdfinfo", "-isodates", str(one_knee))
    assert re.search(r"CreationDate:\s+2026-10-25T12:00:00", about)
    assert re.search(r"Title:\s+For your visit: K-90, right knee, care plan 1", about)
    assert not re.search(r"Author:[ \t]+\S", about)


def _boxes(path: Path) -> list[tuple[int, float, float, float, float, str]]:
    """Page, left, top, right, bottom (points) and text of every word."""
    found = []
    page = 0
    for line in tool("pdftotext", "-bbox", str(path), "-").splitlines():
        page += "<page " in line
        word = re.search(
            r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*)</word>', line
        )
        if word:
            left, top, right, bottom = (float(word[n]) for n in range(1, 5))
            found.append((page, left, top, right, bottom, word[5]))
    return found


def _hostile() -> tuple[Plan, list[Any]]:
    """A record that wants far more room than two pages."""
    own, entries = eight_weeks()
    book_start = START + timedelta(days=1)
    for n in range(30):
        entries.append(
            Question(
                id=f"{n + 5000:032x}", for_day=book_start, written_at=entries[0].written_at,
                written_by="person", plan_version=1, text=f"Question {n}: " + "what of it? " * 40,
            )
        )  # fmt: skip
        entries.append(
            Event(
                id=f"{n + 6000:032x}", for_day=book_start, written_at=entries[0].written_at,
                written_by="person", plan_version=1, what="fall", note="W" * 300,
            )
        )  # fmt: skip
    labels = tuple(f"{n} " + "Wharfside" * 6 for n in range(5))
    return replace(own, goal="Walk " * 399, activities=labels), entries


@pytest.mark.parametrize("builder", [eight_weeks, both_knees, _hostile])
def test_no_word_leaves_the_margins_or_lies_on_another(builder: Any, tmp_path: Path) -> None:
    path = tmp_path / "visit.pdf"
    own, entries = builder()
    path.write_bytes(visit_summary_pdf(summed(own, entries)))
    margin = 20 / 25.4 * 72
    words = _boxes(path)
    assert words
    for _, left, _, right, _, text in words:
        assert left >= margin - 1, text
        assert right <= 595.3 - margin + 1, text
    body = [w for w in words if margin < (w[2] + w[4]) / 2 < 841.9 - margin]
    by_page: dict[int, list[tuple[int, float, float, float, float, str]]] = {}
    for word in body:
        by_page.setdefault(word[0], []).append(word)
    for on_page in by_page.values():
        for place, one in enumerate(on_page):
            for other in on_page[place + 1 :]:
                across = min(one[3], other[3]) - max(one[1], other[1])
                down = min(one[4], other[4]) - max(one[2], other[2])
                # Boxes are as high as the font's own line, so neighbours may touch a little.
                lower = min(one[4] - one[2], other[4] - other[2])
                assert across < 1 or down < 0.45 * lower, (one, other)


def test_more_than_two_pages_run_on_and_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "visit.pdf"
    own, entries = _hostile()
    path.write_bytes(visit_summary_pdf(summed(own, entries)))
    pages = int(re.search(r"Pages:\s+(\d+)", tool("pdfinfo", str(path)))[1])  # type: ignore[index]
    assert pages > 2
    text = text_of(path)
    for n in range(30):
        assert f"Question {n}:" in text
    assert f"Page {pages} of {pages}" in text


def test_an_empty_record_is_still_a_page(tmp_path: Path) -> None:
    path = tmp_path / "visit.pdf"
    path.write_bytes(visit_summary_pdf(summed(plan(), [])))
    text = text_of(path)
    assert "None written down yet." in text
    assert "No score in these days" in text


def test_large_print_for_the_person(one_knee: Path) -> None:
    """At least 12 points: the height of a line of the person's words on the page, read back."""
    words = [w for w in _boxes(one_knee) if w[0] == 1 and w[5] in ("kneel", "market", "Exercise")]
    assert len(words) == 3
    assert all(bottom - top >= 12 for _, _, top, _, bottom, _ in words)
