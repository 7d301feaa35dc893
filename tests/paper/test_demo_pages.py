"""The invented people of the harbour, as their clinic would get them."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from companion.care.records import Diary
from companion.exchange.files import read
from companion.paper.visit_summary import visit_summary_pdf
from companion.presentation.papers.summary import VisitSummary, visit_summary
from companion.system.resources import demo_profiles, resource
from companion.wire.catalogue_reading import read_catalogue
from tests.builders import warning
from tests.found import findings
from tests.paper.wording import BANNED, words_in

PEOPLE = sorted(story.parent.name for story in demo_profiles().glob("*/story.txt"))


def diary_of(name: str) -> Diary:
    (path,) = (demo_profiles() / name).glob("diary.*")
    diary = read(path).diary
    assert diary is not None
    return diary


def summary_of(diary: Diary) -> VisitSummary:
    found = [findings(diary, side) for side in diary.plan.sides]
    return visit_summary(diary, found, read_catalogue(resource()))


def test_there_are_people_to_look_at() -> None:
    assert len(PEOPLE) >= 5


@pytest.mark.parametrize("name", PEOPLE)
def test_each_fits_two_pages_and_says_what_the_findings_say(name: str, tmp_path: Path) -> None:
    diary = diary_of(name)
    path = tmp_path / "visit.pdf"
    path.write_bytes(visit_summary_pdf(summary_of(diary)))
    about = subprocess.run(["pdfinfo", str(path)], capture_output=True, text=True, check=True)
    assert re.search(r"Pages:\s+2\n", about.stdout)
    done = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True
    )
    text = re.sub(r"\s+", " ", done.stdout)
    assert diary.plan.person in text
    # How figures are made may go where the page is full; what they cannot tell stays.
    assert ("cannot tell tape from time" in text) is (diary.plan.tape.highest > 0)
    for side in diary.plan.sides:
        kept = findings(diary, side).diary
        assert f"{kept.days_kept} of {kept.days_expected} days" in text


@pytest.mark.parametrize("letter", [False, True])
def test_open_signs_and_what_they_closed_still_fit_two_pages(letter: bool, tmp_path: Path) -> None:
    """The person with the most to read, both knees, with one open sign and with three."""
    diary = diary_of("wilma")
    last = max(entry.for_day for entry in diary.entries) - timedelta(days=2)
    ticked = [
        warning(last, sign, level, sides=sides)
        for sign, level, sides in (
            ("swollen_days", "call", ("right",)),
            ("fever", "today", ()),
            ("skin_broken", "call", ("right",)),
        )
    ]
    for signs in (ticked[:1], ticked):
        path = tmp_path / "visit.pdf"
        summary = summary_of(replace(diary, entries=(*diary.entries, *signs)))
        path.write_bytes(visit_summary_pdf(summary, letter=letter))
        about = subprocess.run(["pdfinfo", str(path)], capture_output=True, text=True, check=True)
        assert re.search(r"Pages:\s+2\n", about.stdout)
        done = subprocess.run(
            ["pdftotext", str(path), "-"], capture_output=True, text=True, check=True
        )
        text = re.sub(r"\s+", " ", done.stdout)
        assert "of 66 days, by: “" in text
        for sign in signs:
            assert read_catalogue(resource()).sign(str(sign.sign)).words.rstrip(".") in text


@pytest.mark.parametrize("name", PEOPLE)
def test_none_is_praised_blamed_or_promised_anything(name: str) -> None:
    diary = diary_of(name)
    summary = summary_of(diary)
    # What a person typed is theirs; every other word is ours.
    typed = [
        text
        for entry in diary.entries
        for text in (getattr(entry, "note", None), getattr(entry, "text", None))
        if text
    ]
    everything = " ".join(words_in(summary))
    for text in (*typed, diary.plan.goal or "", *diary.plan.activities):
        everything = everything.replace(" ".join(text.split()), "")
    assert not [word for word in BANNED if word in everything.lower()]
    assert "not computed" not in everything
