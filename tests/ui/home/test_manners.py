"""What a desktop expects of a window: where it stood, light or dark, its icon; and the paper."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from shiboken6 import delete

from companion.app.looks import PLACE_FILE, Looks, give_icon, name_program
from companion.paper import paper_size
from companion.paper.paper_size import on_letter_paper
from companion.presentation.view.drawn_people import drawn_person
from companion.system.machine import own_command, paper_locale, paper_said
from companion.ui.kit.theme import current
from companion.ui.kit.window import PageWindow


def test_who_is_in_the_pictures_is_who_was_set_here(qapp: QApplication, tmp_path: Path) -> None:
    looks = Looks(qapp, tmp_path)
    assert drawn_person() == "woman"
    looks.use(replace(looks.settings, drawn_person="man"))
    assert drawn_person() == "man"
    Looks(qapp, tmp_path / "elsewhere")
    assert drawn_person() == "woman"


def test_a_window_comes_back_where_and_as_large_as_it_was(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path
) -> None:
    looks = Looks(qapp, tmp_path)
    first, second = PageWindow("Home"), PageWindow("Home")
    for window in (first, second):
        qtbot.addWidget(window)
    looks.place(first, 700, 500)
    assert (first.width(), first.height()) == (700, 500)
    first.setGeometry(20, 30, 660, 520)
    looks.keep_place(first)
    looks.place(second, 700, 500)
    assert second.geometry() == first.geometry()


@pytest.mark.parametrize(
    "kept", ["", "{}", '{"geometry": 7}', '{"geometry": "é"}', '{"geometry": "no"}']
)
def test_what_makes_no_sense_is_the_first_size(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, kept: str
) -> None:
    (tmp_path / PLACE_FILE).write_text(kept, encoding="utf-8")
    window = PageWindow("Home")
    qtbot.addWidget(window)
    Looks(qapp, tmp_path).place(window, 700, 500)
    assert (window.width(), window.height()) == (700, 500)


def test_a_window_turns_dark_with_the_machine(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks, window = Looks(qapp, tmp_path), PageWindow("Home")
    looks.follow(window)
    looks.follow_system(window)
    light = current()
    monkeypatch.setattr(looks, "_palette_name", lambda: "dark")
    qapp.styleHints().colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert current() != light
    monkeypatch.undo()
    qapp.styleHints().colorSchemeChanged.emit(Qt.ColorScheme.Light)
    assert current() == light
    monkeypatch.setattr(looks, "_contrast", lambda: Qt.ContrastPreference.HighContrast)
    wishes = qapp.styleHints()
    hints = wishes.accessibility()
    hints.contrastPreferenceChanged.emit(Qt.ContrastPreference.HighContrast)
    assert current().palette.name == "high_contrast"
    monkeypatch.undo()
    hints.contrastPreferenceChanged.emit(Qt.ContrastPreference.NoPreference)
    assert current() == light
    # A window that is gone is asked for nothing: it was, by the next that turned in that process.
    delete(window)
    monkeypatch.setattr(looks, "_palette_name", lambda: "dark")
    qapp.styleHints().colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert current() == light


def test_the_desktop_knows_whose_the_window_is(qtbot: QtBot, qapp: QApplication) -> None:
    before = qapp.applicationName(), qapp.applicationDisplayName(), qapp.desktopFileName()
    window = PageWindow("Home")
    qtbot.addWidget(window)
    name_program(qapp, "Home knee companion")
    assert qapp.desktopFileName() == "homeknee"
    give_icon(window)
    assert window.windowIcon().availableSizes() or not window.windowIcon().pixmap(64, 64).isNull()
    qapp.setApplicationName(before[0])
    qapp.setApplicationDisplayName(before[1])
    qapp.setDesktopFileName(before[2])


@pytest.mark.parametrize(
    ("said", "zone", "letter"),
    [
        ("letter", "de_DE", True),
        ("a4", "en_US", False),
        (None, "en_US", True),
        (None, "de_DE", False),
    ],
)
def test_the_paper_is_what_the_machine_says_else_what_its_place_holds(
    monkeypatch: pytest.MonkeyPatch, said: str | None, zone: str, letter: bool
) -> None:
    monkeypatch.setattr(paper_size, "paper_said", lambda: said)
    monkeypatch.setattr(paper_size, "paper_locale", lambda: zone)
    assert on_letter_paper() is letter


def test_paper_is_read_as_machines_are_set(tmp_path: Path) -> None:
    file = tmp_path / "papersize"
    assert paper_said({}, file) is None
    file.write_text("# of this machine\nLetter\n")
    assert paper_said({}, file) == "letter"
    assert paper_said({"PAPERSIZE": "a4"}, file) == "a4"
    assert paper_locale({"LC_PAPER": "en_US.UTF-8", "LANG": "de_DE.UTF-8"}) == "en_US"
    assert paper_locale({"LC_ALL": "de_DE", "LC_PAPER": "en_US"}) == "de_DE"
    assert paper_locale({"LC_ALL": "C.UTF-8"}) is None


def test_the_program_starts_itself_with_or_without_a_python(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert own_command("demo") == [sys.executable, "-m", "companion", "demo"]
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    assert own_command("demo", "edda") == [sys.executable, "demo", "edda"]
