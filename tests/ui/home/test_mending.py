"""A damaged diary, met in the window: nobody stands before a page whose one button ends it all."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import threading
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any, NoReturn

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from companion.app.exits import MACHINE
from companion.app.home_window import HomeProgram, show_home
from companion.app.looks import Looks
from companion.journal import backups
from companion.journal.faults import JournalDamaged, JournalFull, JournalGone
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from companion.system.logs import PrivateLog
from companion.system.places import Kept, Places
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.faults import install
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow
from tests.said import sentence
from tests.tour_visit import DemoPerson, settle
from tests.ui.kit import accessibility, clipping

FROZEN = Path(__file__).parents[2] / "journal" / "frozen"
DAY = date(2026, 11, 30)
"""Later than every demo diary."""
Damage = Callable[[Path], None]


@pytest.fixture
def diary(tmp_path: Path, demo_person: Callable[[str], DemoPerson]) -> Path:
    """A folder with Edda's diary in it, closed."""
    folder = tmp_path / "diary"
    shutil.copytree(demo_person("edda").store(), folder)
    return folder


@pytest.fixture
def program(window: PageWindow, diary: Path, qapp: QApplication) -> Iterator[HomeProgram]:
    """Home on that diary, with the place where faults end."""
    made = HomeProgram(window, diary, PinnedClock(DAY), Looks(qapp, diary))
    faults = install(made.show_fault, PrivateLog(diary, PinnedClock(DAY)))
    yield made
    faults.remove()
    made.end()
    settle()


def _changed(folder: Path, statement: str) -> None:
    with contextlib.closing(sqlite3.connect(folder / backups.STORE)) as db, db:
        db.execute(statement)


def _hurt_newest(folder: Path) -> None:
    _changed(
        folder,
        "UPDATE entries SET body = replace(body, 'kind', 'kjnd') "
        "WHERE seq = (SELECT max(seq) FROM entries)",
    )


def _hurt_within(folder: Path) -> None:
    """A row that no front page reads."""
    _changed(
        folder,
        "UPDATE entries SET body = replace(body, 'kind', 'kjnd') "
        "WHERE seq = (SELECT max(seq) / 6 FROM entries)",
    )


def _shown(qtbot: QtBot, window: PageWindow, key: str) -> AskingPage:
    qtbot.waitUntil(lambda: _key(window) == key, timeout=20_000)
    settle()
    page = window.page()
    assert isinstance(page, AskingPage)
    assert not accessibility.faults(page)
    assert not clipping.faults(page)
    return page


def _key(window: PageWindow) -> str:
    page = window.page()
    return page.view.key if isinstance(page, AskingPage) else ""


def _count(folder: Path) -> int:
    with Journal.open(folder, PinnedClock(DAY), read_only=True) as journal:
        journal.check()
        return journal.count()


@pytest.mark.parametrize("hurt", [False, True])
def test_an_older_diary_is_brought_up_to_date_beside_the_window(
    window: PageWindow, tmp_path: Path, qapp: QApplication, qtbot: QtBot, *, hurt: bool
) -> None:
    """It was copied in the window's own thread, without a word."""
    with contextlib.closing(sqlite3.connect(tmp_path / backups.STORE)) as db:
        db.executescript((FROZEN / "v3.sql").read_text(encoding="utf-8"))
    if hurt:
        _changed(tmp_path, "UPDATE entries SET body = replace(body, 'kind', 'kjnd')")
    made = HomeProgram(window, tmp_path, PinnedClock(DAY), Looks(qapp, tmp_path))
    threads: list[threading.Thread] = []
    make = backups.make

    def noted(*what: Any) -> None:
        threads.append(threading.current_thread())
        make(*what)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("companion.journal.backups.make", noted)
        made.begin()
        page = window.page()
        assert isinstance(page, AskingPage)
        assert "A copy is kept first" in _words(page)
        if hurt:
            _shown(qtbot, window, "mending")
        else:
            qtbot.waitUntil(lambda: made.was_opened, timeout=20_000)
            assert threads
    assert threading.main_thread() not in threads
    made.end()
    settle()


def test_damage_met_by_the_front_page_is_mended_and_home_opens(
    program: HomeProgram, window: PageWindow, diary: Path, qtbot: QtBot
) -> None:
    """One letter of the newest entry: there was no window at all."""
    before = _count(diary)
    _hurt_newest(diary)
    with pytest.raises(JournalDamaged):
        program.begin(accompanied=False)
    assert not program.was_opened
    program.mend()
    page = _shown(qtbot, window, "mending")
    said = _words(page)
    assert f"{before - 1} of {before} things you wrote down are good" in said
    assert "Gone here" in said
    page.submitted.emit({"way": "mend"})
    told = _shown(qtbot, window, "told")
    assert "The damaged file is kept as damaged-" in _words(told)
    told.submitted.emit({})
    settle()
    assert _on_front(window)
    program.end()
    assert _count(diary) == before - 1


def test_a_copy_brings_it_all_back(
    program: HomeProgram, window: PageWindow, diary: Path, qtbot: QtBot
) -> None:
    before = _count(diary)
    backups.tend(diary, DAY)
    (diary / backups.STORE).write_bytes(b"not a store at all" * 500)
    with pytest.raises(JournalDamaged):
        program.begin(accompanied=False)
    program.mend()
    page = _shown(qtbot, window, "mending")
    assert f"Its copies hold {before} things you wrote down" in _words(page)
    page.submitted.emit({"way": "mend"})
    _shown(qtbot, window, "told").submitted.emit({})
    settle()
    assert isinstance(window.page(), FrontPage)
    program.end()
    assert _count(diary) == before


def test_damage_met_behind_a_door_leads_to_where_it_is_mended(
    program: HomeProgram, window: PageWindow, diary: Path, qtbot: QtBot
) -> None:
    """It was called a fault in the program, with the promise that everything is kept."""
    _hurt_within(diary)
    program.begin(accompanied=False)
    assert isinstance(window.page(), FrontPage)
    assert program.home is not None
    with qtbot.captureExceptions():
        program.show_fault("JournalDamaged")
    page = _shown(qtbot, window, "mending")
    assert "Mend it from everything here" in _words(page)
    page.submitted.emit({"way": "signs"})
    signs = _shown(qtbot, window, "signs")
    signs.back_wanted.emit()
    _shown(qtbot, window, "mending")


def test_a_disk_that_gives_no_answer_is_told_for_what_it_is(
    program: HomeProgram, window: PageWindow, qtbot: QtBot
) -> None:
    """It was called a fault in the program."""
    program.begin(accompanied=False)
    program.show_fault("JournalUnwritable")
    page = _shown(qtbot, window, "no_answer")
    assert "The disk it is on gives no answer" in _words(page)
    page.submitted.emit({})
    settle()
    assert _on_front(window)


def test_no_store_is_copied_or_mended_in_the_thread_of_the_window(
    program: HomeProgram,
    window: PageWindow,
    diary: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With a long diary the window stood still just when the person pressed the first button."""
    threads: list[bool] = []
    whole_store = backups.whole_store

    def noted(*given: Any) -> Any:
        threads.append(threading.current_thread() is threading.main_thread())
        return whole_store(*given)

    monkeypatch.setattr(backups, "whole_store", noted)
    program.begin()
    qtbot.waitUntil(lambda: len(threads) >= 2, timeout=20_000)
    program.end()
    _hurt_newest(diary)
    program.mend()
    page = _shown(qtbot, window, "mending")
    page.submitted.emit({"way": "mend"})
    _shown(qtbot, window, "told")
    assert len(threads) >= 3
    assert not any(threads)


def test_where_a_copy_cannot_be_made_the_front_page_says_so(
    program: HomeProgram, window: PageWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It went to the terminal alone: somebody could write for months without one good copy."""
    from companion.care.coded import coded

    def full(_folder: Path, _today: date) -> NoReturn:
        raise JournalFull(coded("no_room"))

    monkeypatch.setattr("companion.app.home_window.backups.tend", full)
    program.begin()
    qtbot.waitUntil(lambda: _said_on_front(window, sentence(JournalFull(coded("no_room")))))


def test_a_copy_that_finds_damage_opens_the_door_to_mend_it(
    program: HomeProgram, window: PageWindow, diary: Path, qtbot: QtBot
) -> None:
    _hurt_within(diary)
    program.begin()
    qtbot.waitUntil(lambda: "mend" in _doors(window), timeout=20_000)
    door = _doors(window)["mend"]
    QTest.mouseClick(door, Qt.MouseButton.LeftButton)
    _shown(qtbot, window, "mending")


def test_everything_is_taken_away_and_what_stays_is_named(
    program: HomeProgram, window: PageWindow, diary: Path, qtbot: QtBot
) -> None:
    (diary / "tax.pdf").write_bytes(b"%PDF")
    program.begin(accompanied=False)
    program.take_away()
    page = _shown(qtbot, window, "taken_away")
    assert "tax.pdf" in _words(page)
    assert sorted(path.name for path in diary.iterdir()) == ["tax.pdf"]
    page.submitted.emit({})
    assert not window.isVisible()


def test_a_diary_that_is_gone_is_asked_about_and_found_again(
    window: PageWindow, diary: Path, qtbot: QtBot, qapp: QApplication, tmp_path: Path
) -> None:
    """A disk that was not plugged in: an empty diary was begun in its place without a word."""
    places = Places(tmp_path / "config")
    clock = PinnedClock(DAY)
    program = HomeProgram(window, diary, clock, Looks(qapp, diary), places=places)
    program.begin(accompanied=False)
    program.end()
    before = _count(diary)
    assert places.kept(diary) == Kept(before, DAY)
    away = tmp_path / "unplugged"
    diary.rename(away)
    diary.mkdir()
    with pytest.raises(JournalGone) as gone:
        program.begin(accompanied=False)
    assert not (diary / backups.STORE).exists()
    program.ask_where(gone.value)
    page = _shown(qtbot, window, "gone")
    assert f"{before} things written down" in _words(page)
    diary.rmdir()
    away.rename(diary)
    page.submitted.emit({"way": "again"})
    settle()
    assert _on_front(window)
    program.end()
    assert _count(diary) == before


def test_a_new_diary_is_begun_only_when_that_is_said(
    window: PageWindow, qtbot: QtBot, qapp: QApplication, tmp_path: Path
) -> None:
    places, folder = Places(tmp_path / "config"), tmp_path / "gone"
    places.remember(folder, Kept(12, DAY))
    program = HomeProgram(window, folder, PinnedClock(DAY), Looks(qapp, folder), places=places)
    with pytest.raises(JournalGone) as gone:
        program.begin(accompanied=False)
    program.ask_where(gone.value)
    _shown(qtbot, window, "gone").submitted.emit({"way": "anew"})
    settle()
    assert _on_front(window)
    assert places.kept(folder) is None
    program.end()


def test_a_diary_in_use_when_it_is_begun_again_is_told_for_what_it_is(
    program: HomeProgram, window: PageWindow, diary: Path
) -> None:
    """It was called a disk that gives no answer."""
    with Journal.open(diary, PinnedClock(DAY)):
        program._begin_again()
        page = window.page()
        assert isinstance(page, AskingPage)
        assert "This diary is open in another window." in _words(page)


def test_a_diary_in_use_is_told_once_and_the_program_ends(
    diary: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was read is not followed by a window that waits for nothing."""
    told: list[str] = []

    def tell(_window: object, _application: object, said: str) -> None:
        told.append(said)

    def waits(*_: object) -> NoReturn:
        raise AssertionError("nobody is to wait once it was told")

    monkeypatch.setattr("companion.app.outside.tell_and_end", tell)
    monkeypatch.setattr(QApplication, "exec", waits)
    with Journal.open(diary, PinnedClock(DAY)):
        assert show_home(diary, PinnedClock(DAY)) == MACHINE
    assert len(told) == 1
    for window in QApplication.topLevelWidgets():
        window.deleteLater()


def _on_front(window: PageWindow) -> bool:
    return isinstance(window.page(), FrontPage)


def _doors(window: PageWindow) -> dict[str, QWidget]:
    page = window.page()
    return dict(page.doors) if isinstance(page, FrontPage) else {}


def _said_on_front(window: PageWindow, said: str) -> bool:
    page = window.page()
    return isinstance(page, FrontPage) and said in " ".join(page.view.lines)


def _words(page: Page) -> str:
    from tests.presentation.wording import lines

    assert isinstance(page, AskingPage)
    return " ".join(lines(page.view))
