"""Papers and tape: what can be printed, and how much tape a stay takes."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pypdf
import pytest
from PySide6.QtCore import QPoint, QStandardPaths, Qt, QTimer, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtPrintSupport import QPrinter, QPrinterInfo
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from companion.app import saving
from companion.app.clinic_window import doorways
from companion.app.looks import Looks
from companion.app.outside import save_paper, save_papers, save_stay, save_stop_list
from companion.care.flow import Given
from companion.care.records import Question
from companion.journal.store import Journal
from companion.paper.booklet import booklet_pdf
from companion.paper.paper_size import on_letter_paper, use_paper
from companion.paper.pdf import onto_printer
from companion.presentation.home.saving_pages import ELSEWHERE, PRINT, SavePlace, where_view
from companion.presentation.language.phrases import dated
from companion.presentation.papers.home_sheets import fridge_sheet
from companion.presentation.view.page import ActionList, PageView
from companion.services.context import Context
from companion.services.settings import Settings
from companion.system.clock import PinnedClock
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.controls import NumberField
from companion.ui.kit.knee_picture import KneePicture
from companion.ui.kit.window import PageWindow
from tests.builders import page, warning
from tests.care.content import CATALOGUE
from tests.presentation.papers.test_booklet import plan_of
from tests.tour_visit import DemoPerson, Visit
from tests.ui.home.bad_days import begun
from tests.ui.kit import accessibility, clipping
from tests.ui.kit.gallery import settle


@pytest.fixture
def window(qtbot: QtBot) -> Iterator[PageWindow]:
    made = PageWindow("Home")
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close()


def words(visit: Visit) -> str:
    page = visit.page
    settle()
    assert accessibility.faults(page) == []
    assert clipping.faults(page) == []
    return page.reading_text()


def test_the_papers_of_a_plan_with_tape(window: PageWindow, tmp_path: Path) -> None:
    visit = Visit(DemoPerson("osric", tmp_path), window, lambda *_: None)
    visit.start()
    visit.through("settings")
    visit.answer(press="Papers and tape")
    assert "The cutting sheet" in words(visit)
    visit.answer(press="The booklet")
    assert "Saved as booklet.pdf." in words(visit)
    visit.start()
    visit.through("settings")
    visit.answer(press="Papers and tape")
    visit.answer(press="Days away")
    visit.answer({"days": 10})
    told = words(visit)
    assert "Side strips to cut" in told
    assert "Pack" in told
    visit.answer()
    assert "Saved as days-away.pdf." in words(visit)
    visit.leave()


def test_what_a_family_prints_is_saved_one_by_one_or_all_at_once(
    window: PageWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the program writes it, the helper's booklet among it."""
    visit = begun(tmp_path / "diary", window, page(0, pain_average=3))
    context = visit.home.context
    out = tmp_path / "stick"
    out.mkdir()
    saved = {}
    for which in ("booklet", "helper_booklet", "fridge"):
        place = out / f"{which}.pdf"
        monkeypatch.setattr(
            QFileDialog, "getSaveFileName", staticmethod(lambda *_, place=place: (str(place), ""))
        )
        monkeypatch.setattr(saving, "ask_over", answering({"place": ELSEWHERE}, None))
        assert save_paper(window, context, which) is None
        saved[which] = place.read_bytes()
    assert saved["booklet"] != saved["helper_booklet"]
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", staticmethod(lambda *_: str(out)))
    monkeypatch.setattr(saving, "ask_over", answering({"place": ELSEWHERE}, None))
    assert save_papers(window, context, for_helper=True) is None
    (folder,) = (path for path in out.iterdir() if path.is_dir())
    assert (folder / "booklet.pdf").read_bytes() == saved["helper_booklet"]
    assert {path.name for path in folder.iterdir()} >= {"cards.pdf", "blank-days.pdf"}
    visit.leave()


def answering(*answers: Given | None) -> Callable[[PageWindow, PageView], Given | None]:
    """Whoever answers the pages that are laid over the window, one after the other."""
    left = list(answers)
    return lambda _window, _view: left.pop(0)


def test_what_to_pack_is_saved(
    window: PageWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "away.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *_: (str(place), "")))
    person = DemoPerson("osric", tmp_path)
    clock = PinnedClock(person.last_day)
    with Journal.open(person.store(), clock) as journal:
        context = Context(journal=journal, clock=clock, catalogue=person.catalogue)
        monkeypatch.setattr(saving, "ask_over", answering({"place": ELSEWHERE}, None))
        assert save_stay(window, context, 10) is None
    assert place.read_bytes().startswith(b"%PDF")


def test_a_page_printed_off_the_screen_says_which_warnings_are_open(
    window: PageWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the papers of a plan do: it hangs as long as they."""
    place = tmp_path / "leaflet.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *_: (str(place), "")))
    monkeypatch.setattr(saving, "ask_over", lambda *_: {"place": ELSEWHERE})
    person = DemoPerson("osric", tmp_path)
    clock = PinnedClock(person.last_day)
    line = f"A warning was open on {dated(person.last_day)}. Do first what its card says."
    with Journal.open(person.store(), clock) as journal:
        context = Context(journal=journal, clock=clock, catalogue=person.catalogue)
        for warned in (False, True):
            if warned:
                journal.append(warning(person.last_day, "knee_stuck", "today"))
            for save in (partial(save_stay, days=10), save_stop_list):
                save(window, context)
                pages = pypdf.PdfReader(place).pages
                assert all((line in page.extract_text()) == warned for page in pages)


def test_a_plan_without_tape_has_no_cutting_sheet(window: PageWindow, tmp_path: Path) -> None:
    visit = Visit(DemoPerson("wilma", tmp_path), window, lambda *_: None)
    visit.start()
    visit.through("settings")
    visit.answer(press="Papers and tape")
    told = words(visit)
    assert "The booklet" in told
    assert "cutting" not in told
    visit.leave()


def test_a_knee_is_measured_until_two_readings_agree(window: PageWindow, tmp_path: Path) -> None:
    person = DemoPerson("osric", tmp_path)
    store = person.store()
    visit = Visit(person, window, lambda *_: None)
    visit.start(store)
    visit.through("settings")
    visit.answer(press="Papers and tape")
    visit.answer(press="Measure the knee")
    assert "Find the bony bump" in words(visit)
    visit.answer()
    assert "Find the upper edge" in words(visit)
    visit.answer()
    visit.answer({"unit": "cm", "first": 8.0, "second": 9.0})
    assert "more than 5 mm apart" in words(visit)
    visit.answer()
    visit.answer({"unit": "cm", "first": 8.5, "second": 8.7})
    assert "About 86 mm" in words(visit)
    visit.answer()
    visit.leave()
    with Journal.open(store, PinnedClock(person.last_day)) as journal:
        newest = journal.entries()[-1]
    assert isinstance(newest, Question)
    assert newest.text == (
        "Measured at home, left knee: bony bump to upper edge 86 mm (85 mm and 87 mm)."
    )


def test_the_measure_is_typed_beside_its_picture(window: PageWindow, tmp_path: Path) -> None:
    """It was typed a screen below it, and Enter chose what the measure shows."""
    window.resize(1366, 768)
    window.show()
    visit = Visit(DemoPerson("osric", tmp_path), window, lambda *_: None)
    visit.start()
    visit.through("settings")
    visit.answer(press="Papers and tape")
    visit.answer(press="Measure the knee")
    visit.answer()
    visit.answer()
    settle()
    page = visit.page
    picture, fields = page.findChild(KneePicture), page.findChildren(NumberField)
    assert picture is not None
    assert len(fields) == 2
    assert all(field.visibleRegion().boundingRect().height() == field.height() for field in fields)
    assert all(left_of(picture, field) for field in fields)
    QTest.keyClick(page, Qt.Key.Key_Return)
    assert visit.page is page
    assert isinstance(page, AskingPage)
    assert page.answers_now().get("unit") is None
    visit.leave()


def left_of(one: QWidget, other: QWidget) -> bool:
    return one.mapToGlobal(one.rect().topRight()).x() < other.mapToGlobal(QPoint(0, 0)).x()


def test_a_paper_goes_where_a_door_says_and_nothing_is_written_over(
    window: PageWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    monkeypatch.setattr(saving, "sticks", lambda: [SavePlace("stick", str(stick), "LENA")])
    asked: list[PageView] = []
    answers: list[Given | None] = []

    def ask(_window: PageWindow, view: PageView) -> Given | None:
        asked.append(view)
        return answers.pop(0)

    opened: list[str] = []
    monkeypatch.setattr(saving, "ask_over", ask)
    own = {QStandardPaths.StandardLocation.DocumentsLocation: tmp_path / "papers"}
    own[QStandardPaths.StandardLocation.DesktopLocation] = tmp_path / "desk"
    for folder in own.values():
        folder.mkdir()
    where = staticmethod(lambda kind: str(own[kind]))
    monkeypatch.setattr(QStandardPaths, "writableLocation", where)
    assert [place.kind for place in saving.places("")] == ["stick", "documents", "desktop"]

    def open_url(url: QUrl) -> bool:
        opened.append(url.toLocalFile())
        return False

    monkeypatch.setattr(QDesktopServices, "openUrl", staticmethod(open_url))
    made = saving.Saving(window, tmp_path)
    for name in ("cards.pdf", "cards-2.pdf"):
        first = where_view("cards.pdf", saving.places(""), prints=True)
        doors = next(block for block in first.blocks if isinstance(block, ActionList))
        chosen = next(door.value for door in doors.options if door.word == "On the stick LENA")
        answers += [{"place": chosen}, {"do": "open"}, {"do": "folder"}, None]
        assert made.file("cards.pdf", lambda: b"%PDF", prints=True) is None
        assert opened[-2:] == [str(stick / name), str(stick)]
        assert any("nothing to open it with" in repr(view) for view in asked)
    # Where it went last is offered first from then on.
    assert saving.places(str(stick))[0].path == str(stick)
    assert saving.places(str(tmp_path))[0].kind == "last"
    monkeypatch.setattr(QPrinterInfo, "availablePrinterNames", staticmethod(list))
    answers.append({"place": PRINT})
    told = made.file("cards.pdf", lambda: b"%PDF", prints=True)
    assert told is not None
    assert "No printer was found." in told


def test_the_clinic_saves_through_the_same_doors(
    window: PageWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No window for files where something is saved: only behind the last door."""
    stick, asked = tmp_path / "stick", list[str]()
    stick.mkdir()
    (stick / "plan.homeknee").write_bytes(b"one that is there")

    def ask(_window: PageWindow, view: PageView) -> Given | None:
        asked.append(view.key)
        return {"place": "0"} if view.key == "where_to" else None

    monkeypatch.setattr(saving, "places", lambda _last: [SavePlace("stick", str(stick), "LENA")])
    monkeypatch.setattr(saving, "ask_over", ask)
    clinic = doorways(
        window,
        cast(Looks, SimpleNamespace(folder=tmp_path, settings=Settings(), use=None, languages=())),
    )
    assert clinic.save_as("plan.homeknee") == str(stick / "plan-2.homeknee")
    assert clinic.folder_for("The export") == str(stick)
    clinic.show_saved(str(stick / "plan-2.homeknee"), None)
    assert asked == ["where_to", "where_to", "saved"]


def test_the_page_over_the_window_waits_for_its_answer(window: PageWindow) -> None:
    def press() -> None:
        sheet = window.sheet()
        assert isinstance(sheet, AskingPage)
        sheet.submitted.emit({"place": ELSEWHERE})

    QTimer.singleShot(0, press)
    view = where_view("cards.pdf", [], prints=False)
    assert saving.ask_over(window, view) == {"place": ELSEWHERE}
    assert window.sheet() is None

    def go_back() -> None:
        sheet = window.sheet()
        assert sheet is not None
        sheet.back_wanted.emit()

    QTimer.singleShot(0, go_back)
    assert saving.ask_over(window, view) is None


def test_papers_are_painted_on_a_printer_page_by_page(tmp_path: Path) -> None:
    printer = QPrinter(QPrinter.PrinterMode.ScreenResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    plan, on = plan_of("edda"), date(2026, 11, 25)
    content = fridge_sheet(plan, CATALOGUE)
    alone = len(pypdf.PdfReader(io.BytesIO(booklet_pdf(content, on=on))).pages)
    pages = onto_printer(printer, lambda: [booklet_pdf(content, on=on) for _ in range(2)])
    assert pages == 2 * alone == len(pypdf.PdfReader(tmp_path / "printed.pdf").pages)


def test_the_size_of_paper_is_as_it_is_set(window: PageWindow, tmp_path: Path) -> None:
    guessed = on_letter_paper()
    for size in ("letter", "a4"):
        use_paper(size)
        assert on_letter_paper() is (size == "letter")
    use_paper("guess")
    assert on_letter_paper() is guessed
    visit = Visit(DemoPerson("osric", tmp_path), window, lambda *_: None)
    visit.start()
    visit.through("settings")
    visit.answer(press="Papers and tape")
    visit.answer(press="Paper: A4")
    assert visit.settings.paper == "letter"
    visit.leave()
