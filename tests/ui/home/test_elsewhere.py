"""Copies in a second place and the way to another computer, through the window."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from companion.app import elsewhere as outside
from companion.app.home_window import HomeProgram
from companion.app.looks import Looks
from companion.app.moving import candidates
from companion.exchange.files import read, write_diary
from companion.exchange.second_place import FOLDER
from companion.journal.faults import JournalGone
from companion.journal.store import Journal
from companion.services.settings import Settings
from companion.system.places import Places
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.window import PageWindow
from tests.journal.made import SetClock
from tests.presentation.wording import lines
from tests.tour_visit import DemoPerson, settle
from tests.ui.kit import accessibility, clipping

DAY = date(2026, 11, 30)


class AtHome:
    """Home in its window, as the command runs it, on one of two computers."""

    def __init__(self, window: PageWindow, folder: Path, places: Path, qapp: QApplication) -> None:
        self.window, self.folder, self.clock = window, folder, SetClock(DAY)
        self.looks = Looks(qapp, folder)
        self.program = HomeProgram(window, folder, self.clock, self.looks, places=Places(places))
        self.program.begin(accompanied=False)

    @property
    def key(self) -> str:
        page = self.window.page()
        return page.view.key if isinstance(page, AskingPage) else type(page).__name__

    @property
    def words(self) -> str:
        page = self.window.page()
        if isinstance(page, FrontPage):
            return " ".join((*page.view.lines, page.view.written))
        assert isinstance(page, AskingPage)
        return " ".join(lines(page.view))

    @property
    def is_open(self) -> bool:
        return self.program._journal is not None

    @property
    def doors(self) -> set[str]:
        page = self.window.page()
        return set(page.doors) if isinstance(page, FrontPage) else set()

    def through(self, door: str) -> None:
        page = self.window.page()
        assert isinstance(page, FrontPage)
        QTest.mouseClick(page.doors[door], Qt.MouseButton.LeftButton)

    def answer(self, **given: object) -> None:
        page = self.window.page()
        assert isinstance(page, AskingPage)
        settle()
        assert not accessibility.faults(page)
        assert not clipping.faults(page)
        page.submitted.emit(given)

    def tend(self, qtbot: QtBot) -> None:
        """What the program does once the front page was painted."""
        self.program._tend()
        qtbot.waitUntil(lambda: self.program._tending is not None, timeout=5_000)
        assert self.program._tending is not None
        qtbot.waitUntil(self.program._tending.isFinished, timeout=20_000)
        settle()
        self.wait(qtbot)

    def wait(self, qtbot: QtBot) -> None:
        """Until nothing is being written any more."""
        elsewhere = self.program._elsewhere
        qtbot.waitUntil(lambda: elsewhere is None or elsewhere._job is None, timeout=20_000)
        settle()


@pytest.fixture
def home(
    window: PageWindow,
    tmp_path: Path,
    demo_person: Callable[[str], DemoPerson],
    qapp: QApplication,
) -> Iterator[AtHome]:
    shutil.copytree(demo_person("edda").store(), tmp_path / "old")
    made = AtHome(window, tmp_path / "old", tmp_path / "config", qapp)
    yield made
    made.program.end()
    settle()


@pytest.fixture
def stick(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "stick"
    place.mkdir()
    monkeypatch.setattr(outside, "pick_folder", lambda _window, _question: str(place))
    monkeypatch.setattr("companion.app.moving.pick_folder", lambda _window, _question: str(place))
    return place


def _copies(stick: Path) -> list[str]:
    folder = stick / FOLDER
    return sorted(path.name for path in folder.glob("*.homeknee"))


def test_a_second_place_is_asked_for_written_each_week_and_its_age_is_said(
    home: AtHome, stick: Path, qtbot: QtBot
) -> None:
    home.through("second")
    assert "Whoever finds the stick can read the copy" in home.words
    home.answer(way="choose")
    home.wait(qtbot)
    assert home.key == "copied"
    home.answer()
    assert "Last copy elsewhere: today." in home.words
    assert "second" not in home.doors
    (first,) = _copies(stick)
    with Journal.open(home.folder, home.clock, read_only=True) as journal:
        assert read(stick / FOLDER / first).diary == journal.diary()
    home.clock.day = DAY + timedelta(days=6)
    home.tend(qtbot)
    assert _copies(stick) == [first]
    home.clock.day = DAY + timedelta(days=12)
    home.program._show_anew()
    assert "Last copy elsewhere: 12 days ago." in home.words
    home.tend(qtbot)
    assert len(_copies(stick)) == 2
    assert "Last copy elsewhere: today." in home.words


def test_a_stick_that_is_away_is_no_fault_until_it_is_long(
    home: AtHome, stick: Path, qtbot: QtBot
) -> None:
    home.through("second")
    home.answer(way="choose")
    home.wait(qtbot)
    home.answer()
    stick.rename(stick.with_name("in a drawer"))
    home.clock.day = DAY + timedelta(days=30)
    home.tend(qtbot)
    home.program._show_anew()
    home.answer(clock="right")
    assert "Last copy elsewhere: 30 days ago." in home.words
    assert "could not" not in home.words
    home.clock.day = DAY + timedelta(days=31)
    home.program._show_anew()
    assert "The last copy elsewhere is 31 days old. Plug in the stick." in home.words
    home.through("second")
    assert "It is not plugged in there now." in home.words
    home.answer(way="now")
    home.wait(qtbot)
    assert "The stick with your copies is not plugged in." in home.words


def test_a_copy_that_could_not_be_written_is_said_on_the_front_page(
    home: AtHome, stick: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.through("second")
    home.answer(way="choose")
    home.wait(qtbot)
    home.answer()
    home.clock.day = DAY + timedelta(days=8)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("companion.exchange.second_place.write_diary", full)
        home.tend(qtbot)
    assert "The copy in your second place could not be written." in home.words
    assert "second" in home.doors
    home.tend(qtbot)
    assert "Last copy elsewhere: today." in home.words


@pytest.mark.parametrize("way", ["later", "never"])
def test_it_may_be_refused(home: AtHome, way: str) -> None:
    home.through("second")
    home.answer(way=way)
    assert "second" not in home.doors
    assert "elsewhere" not in home.words
    home.clock.day = DAY + timedelta(days=400)
    home.program._show_anew()
    home.answer(clock="right")
    assert ("second" in home.doors) is (way == "later")


def test_the_clinic_and_the_second_place_get_the_diary_at_a_visit(
    home: AtHome, stick: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.through("second")
    home.answer(way="choose")
    home.wait(qtbot)
    home.answer()
    home.clock.day = DAY + timedelta(days=2)
    monkeypatch.setattr("companion.app.outside.save_visit", lambda *_: "Saved.")
    assert home.program.home is not None
    assert home.program.home.doorways.save_visit() == "Saved."
    home.wait(qtbot)
    assert len(_copies(stick)) == 2


def test_a_move_to_another_computer_brings_everything_along(
    home: AtHome,
    window: PageWindow,
    stick: Path,
    tmp_path: Path,
    qtbot: QtBot,
    qapp: QApplication,
) -> None:
    home.looks.use(Settings(text_percent=150))
    assert home.program._journal is not None
    home.program._journal.save_draft("private:2026-11-29", {"text": "mine alone"})
    before = home.program._journal.diary()
    home.through("settings")
    home.answer(room="data")
    home.answer(do="move")
    home.answer()
    home.wait(qtbot)
    assert home.key == "moved"
    assert not home.is_open, "nothing comes between"
    home.answer()
    _is_moved(home, qtbot)

    (tmp_path / "new").mkdir()
    new = AtHome(window, tmp_path / "new", tmp_path / "config-of-new", qapp)
    new.through("used_before")
    new.answer(way="folder")
    qtbot.waitUntil(lambda: new.key == "found", timeout=20_000)
    assert before.plan.person in new.words
    assert f"{len(before.entries)} things written down" in new.words
    new.answer(person=before.plan.person)
    qtbot.waitUntil(lambda: new.key == "told", timeout=20_000)
    new.answer()
    assert isinstance(window.page(), FrontPage)
    assert new.looks.settings.text_percent == 150
    assert new.program._journal is not None
    assert new.program._journal.diary() == before
    assert new.program._journal.draft("private:2026-11-29") == {"text": "mine alone"}
    assert "moved" not in new.words
    assert not list(new.folder.glob("damaged-*"))
    new.program.end()
    home.looks.use(Settings())

    old = AtHome(window, home.folder, tmp_path / "config", qapp)
    _is_moved(old, qtbot)
    old.answer(way="here_again")
    assert isinstance(window.page(), FrontPage)
    assert "moved" not in old.words
    assert old.program._journal is not None
    old.program.end()


def _is_moved(home: AtHome, qtbot: QtBot) -> None:
    """The diary moved: it is said in place of the front page, nothing is open and nothing is
    written, whatever is done there; the numbers and signs are in reach."""
    before = _bytes(home.folder)
    assert home.key == "moved_away"
    assert "It moved there on 30 November 2026. Write there." in home.words
    assert home.program._journal is None
    home.answer(way="signs")
    assert home.key != "moved_away"
    home.answer()
    assert home.key == "moved_away"
    home.program._accompany()
    home.program.show_fault("ValueError")
    home.program._begin_again()
    assert home.key == "moved_away"
    assert home.program._journal is None
    assert home.program._tending is None
    assert _bytes(home.folder) == before


def _bytes(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_another_stick_is_said_on_the_front_page_and_may_be_used(
    home: AtHome, stick: Path, qtbot: QtBot
) -> None:
    home.through("second")
    home.answer(way="choose")
    home.wait(qtbot)
    home.answer()
    stick.rename(stick.with_name("in a drawer"))
    (stick / FOLDER).mkdir(parents=True)
    home.clock.day = DAY + timedelta(days=8)
    home.tend(qtbot)
    assert "Another stick is plugged in, not the one for your copies." in home.words
    assert _copies(stick) == []
    home.through("second")
    assert "Another stick is plugged in now." in home.words
    home.answer(way="choose")
    home.wait(qtbot)
    home.answer()
    assert len(_copies(stick)) == 1
    assert "Another stick" not in home.words


def test_copies_of_two_machines_and_of_two_people_are_found_and_told_apart(
    window: PageWindow,
    stick: Path,
    tmp_path: Path,
    demo_person: Callable[[str], DemoPerson],
    qtbot: QtBot,
    qapp: QApplication,
) -> None:
    edda, tobin = demo_person("edda").record, demo_person("tobin").record
    half = len(edda.entries) // 2
    from dataclasses import replace

    first = tuple(e for e in edda.entries[:half] if e.replaces is None)
    write_diary(stick / "a.homeknee", replace(edda, entries=first))
    (stick / FOLDER).mkdir()
    write_diary(stick / FOLDER / "b.homeknee", edda)
    write_diary(stick / "c.homeknee", tobin)
    (stick / "broken.homeknee").write_bytes(b"homeknee diary 4 ")
    (stick / ".hidden.homeknee").write_bytes((stick / "c.homeknee").read_bytes())
    before = {path.name: path.read_bytes() for path in stick.rglob("*.homeknee")}
    (tmp_path / "new").mkdir()
    new = AtHome(window, tmp_path / "new", tmp_path / "config", qapp)
    new.through("used_before")
    new.answer(way="folder")
    qtbot.waitUntil(lambda: new.key == "found", timeout=20_000)
    assert edda.plan.person in new.words
    assert tobin.plan.person in new.words
    new.answer(person=edda.plan.person)
    qtbot.waitUntil(lambda: new.key == "told", timeout=20_000)
    new.answer()
    assert new.program._journal is not None
    assert new.program._journal.count() == len(edda.entries)
    assert new.program._journal.plans() == edda.plans
    assert before == {path.name: path.read_bytes() for path in stick.rglob("*.homeknee")}
    new.program.end()


def test_a_diary_that_is_gone_goes_on_from_the_copy_on_the_stick(
    home: AtHome, stick: Path, qtbot: QtBot
) -> None:
    home.through("second")
    home.answer(way="choose")
    home.wait(qtbot)
    home.answer()
    assert home.program._journal is not None
    before = home.program._journal.diary()
    home.program.end()
    shutil.rmtree(home.folder)
    home.folder.mkdir()
    with pytest.raises(JournalGone) as gone:
        home.program.begin(accompanied=False)
    home.program.ask_where(gone.value)
    settle()
    home.answer(way="copy")
    home.answer(way="folder")
    qtbot.waitUntil(lambda: home.key == "found", timeout=20_000)
    home.answer(person=before.plan.person)
    qtbot.waitUntil(lambda: home.key == "told", timeout=20_000)
    home.answer()
    assert home.program._journal.diary() == before


def test_where_nothing_is_found_it_is_said_and_asked_again(
    window: PageWindow, stick: Path, tmp_path: Path, qtbot: QtBot, qapp: QApplication
) -> None:
    (tmp_path / "new").mkdir()
    new = AtHome(window, tmp_path / "new", tmp_path / "config", qapp)
    new.through("used_before")
    new.answer(way="folder")
    qtbot.waitUntil(lambda: "No diary was found there" in new.words, timeout=20_000)
    page = window.page()
    assert page is not None
    page.back_wanted.emit()
    settle()
    assert isinstance(window.page(), FrontPage)
    new.program.end()


def test_a_stick_with_much_on_it_is_looked_at_only_so_far(tmp_path: Path) -> None:
    deep = tmp_path
    for number in range(8):
        (deep / f"{number}.homeknee").touch()
        (deep / ".cache").mkdir()
        (deep / ".cache" / "x.homeknee").touch()
        (deep / "damaged-1.sqlite3").touch()
        deep = deep / "below"
        deep.mkdir()
    assert [path.name for path in candidates(tmp_path)] == [f"{n}.homeknee" for n in range(5)]
