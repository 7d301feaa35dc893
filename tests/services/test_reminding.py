"""Reminders while no window is open: shown once, and when they come again."""

from datetime import timedelta
from pathlib import Path

from companion.app.reminding import SHOWN_FILE, remind
from companion.journal.store import Journal
from companion.services.settings import Settings, keep
from companion.system.settings import SettingsFile
from tests.builders import at, tape_on
from tests.care.walking import taught_plan
from tests.services.context_for_tests import HandClock, Kept


def folder_of(tmp_path: Path, *, when_closed: bool = True) -> Path:
    folder = tmp_path / "diary"
    Kept(folder, taught_plan(), (tape_on(at(0, 9)),), HandClock(at(0, 10))).close()
    keep(SettingsFile(folder), Settings(when_closed=when_closed))
    return folder


def test_tape_due_off_is_shown_and_comes_again_until_it_is_off(tmp_path: Path) -> None:
    folder, shown = folder_of(tmp_path), []

    def show(_heading: str, sentence: str, presses: bool) -> None:
        shown.append((sentence, presses))

    clock = HandClock(at(1, 8))
    assert remind(folder, clock, show) == 0
    clock.set(at(1, 9))
    assert remind(folder, clock, show) == 1
    assert shown == [("Your tape is due off now.", False)]
    clock.pass_by(minutes=5)
    assert remind(folder, clock, show) == 0, "not twice"
    clock.pass_by(minutes=10)
    assert remind(folder, clock, show) == 1, "again after a quarter of an hour"
    clock.set(at(6, 9))
    assert remind(folder, clock, show) >= 1
    assert shown[-1][1], "past the cap it stays"
    (folder / SHOWN_FILE).write_text("[]", encoding="utf-8")
    assert remind(folder, clock, show) >= 1, "what is kept of it may be hurt"


def test_nothing_is_shown_where_nobody_wants_it_or_a_window_does_it(tmp_path: Path) -> None:
    clock = HandClock(at(1, 9) + timedelta(minutes=1))
    assert remind(tmp_path / "none", clock, print) == 0
    folder = folder_of(tmp_path, when_closed=False)
    assert remind(folder, clock, print) == 0
    keep(SettingsFile(folder), Settings(when_closed=True))
    with Journal.open(folder, clock):
        assert remind(folder, clock, print) == 0
    assert remind(folder, clock, lambda *_said: None) == 1
    assert not [file for file in folder.iterdir() if "bak" in file.name]
