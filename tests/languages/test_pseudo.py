"""Home, the clinic and papers in a language nobody speaks: nothing English, nothing clipped."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.exchange.files import read
from companion.picture.drawing import Drawing
from companion.presentation.language.phrases import spoken
from companion.presentation.language.said import said_words
from companion.presentation.papers.booklet import booklet
from companion.presentation.papers.home_sheets import fridge_sheet
from companion.system.resources import demo_profiles, resource
from companion.ui.kit.page import Page
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.care.content import CATALOGUE
from tests.languages.pseudo import TAG, english_in, pseudo_spoken, the_same, typed_in
from tests.languages.shown import words_of
from tests.tour_clinic import TODAY, Desk
from tests.tour_people import diary_of
from tests.tour_plan import go, room_of
from tests.tour_scenes import SCENES, Stage
from tests.tour_visit import DemoPerson, settle
from tests.ui.kit import clipping

SCENES_SHOWN = ("routine", "cards", "tape", "day", "put_right", "settings", "away")
"""Between them they meet the front page, the gate, steps, tape, cards, the day, the record, what is
written down and the settings; the whole tour is the same at three times the price."""

EVERYWHERE = (
    r"\b[A-Z]-\d+\b",  # the code of a person
    r"\bF9\b|(?:^|، )[A-Z]$",  # keys
    r"(?<!\w)(?:min|cm|mm|m|s|h)\b",  # signs of units (the SI and what it accepts)
    r"\b(?:[0-9a-f]{4} ){7}[0-9a-f]{4}\b",  # the number of an entry
    r"\b\d+\.\d+\.\d+\b|\bhomeknee\b",  # the program and its version
    r"\b[\w-]+\.(?:homeknee|pdf)\b",  # a file
)
"""What is the same in every language, and why."""

TYPED_IN_THE_TOUR = ("May I go back to the allotment?", "Slate 50", "Lisk")
ON_ITS_OWN = "bench"
"""What the demo clinic typed in one small word, which looks like a code."""


@pytest.fixture
def window(qtbot: QtBot, qapp: QApplication) -> Iterator[PageWindow]:
    apply(qapp, Theme())
    made = PageWindow("Home")
    made.resize(1024, 600)
    yield made
    made.close()
    made.deleteLater()


def faults_of(page: Page, kept: re.Pattern[str]) -> list[str]:
    """What of a page is English, and what has no room."""
    english = [
        f"{found!r} in {words!r}"
        for words in dict.fromkeys(words_of(page))
        if (found := english_in(words, kept))
    ]
    return [*english, *clipping.faults(page), *clipping.overlaps(page)]


def test_home_is_whole_in_another_language(window: PageWindow, tmp_path: Path) -> None:
    person = DemoPerson("edda", tmp_path)
    kept = the_same({*typed_in(person.record), *TYPED_IN_THE_TOUR}, EVERYWHERE)
    found: dict[str, str] = {}
    looked: set[str] = set()

    def look(what: str, page: Page) -> None:
        looked.add(what)
        window.show()
        settle()
        for fault in faults_of(page, kept):
            found.setdefault(fault, what)
        window.hide()

    with pseudo_spoken():
        for scene in SCENES_SHOWN:
            SCENES[scene](Stage(person, window, look))
    assert found == {}
    assert {"front", "gate", "rest-pain", "tape-removal", "card-emergency"} <= looked
    assert spoken() != TAG


def test_the_clinic_is_whole_in_another_language(
    window: PageWindow, qapp: QApplication, tmp_path: Path
) -> None:
    kept = the_same({*typed_in(diary_of("osric")), *sources()}, EVERYWHERE)
    found: dict[str, str] = {}
    window.resize(1366, 768)
    window.show()
    with pseudo_spoken():
        desk = Desk(tmp_path, window)

        def look(what: str) -> None:
            settle()
            for fault in faults_of(desk.page(), kept):
                found.setdefault(fault, what)

        desk.clinic.show_people()
        look("nobody yet")
        desk.take_in(demo_profiles() / "osric" / "diary.homeknee")
        look("the list")
        desk.clinic.open("K-12")
        desk.answers()
        look("answers")
        for way in ("pain", "periods", "entries"):
            go(desk, way)
            look(way)
        desk.clinic.show_people()
        go(desk, "write")
        look("a plan is begun")
        desk.page().submitted.emit({"begin": "template:up_to_short_pieces"})  # type: ignore[attr-defined]
        for section in ("person", "tape", "activities", "sign"):
            room_of(desk).open_section(section)
            look(section)
        desk.close()
    assert found == {}


def sources() -> set[str]:
    """Who wrote a source and where, which no translator says in other words."""
    with resource("facts.csv").open(encoding="utf-8", newline="") as file:
        return {
            words
            for fact in csv.DictReader(file)
            for words in ("{author} {year}, {place}".format(**fact), fact["author"], fact["place"])
            if words
        }


def words_on(paper: object) -> Iterator[str]:
    """Every text of a sheet, and what its pictures tell."""
    if isinstance(paper, str):
        yield paper
    elif isinstance(paper, Drawing):
        yield said_words(paper.description)
    elif is_dataclass(paper) and not isinstance(paper, type):
        for field in fields(paper):
            yield from words_on(getattr(paper, field.name))
    elif isinstance(paper, tuple | list):
        for part in paper:
            yield from words_on(part)


@pytest.mark.parametrize("name", ["edda", "jory"])
def test_papers_are_whole_in_another_language(name: str) -> None:
    plan = read(demo_profiles() / name / "plan.homeknee").plan
    assert plan is not None
    with pseudo_spoken():
        sheets = (booklet(plan, CATALOGUE, today=TODAY), fridge_sheet(plan, CATALOGUE))
        words = {*words_on(sheets)}
    kept = the_same({*typed_in(plan), ON_ITS_OWN}, EVERYWHERE)
    # Codes, such as how heavy a text is set, are small words of one piece.
    told = {one for one in words if not re.fullmatch(r"[a-z_]*", one)}
    assert [one for one in told if english_in(one, kept)] == []
