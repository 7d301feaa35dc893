"""Whether all is well: each thing that can be wrong is told with what mends it."""

import os
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from companion.app.doctor import looked_over
from companion.journal import backups
from companion.presentation.home.doctor_pages import checked_lines, doctor_view
from companion.presentation.language.said import said_words
from companion.services import doctor
from companion.services.doctor import Checked, Machine, Subject
from companion.services.second_place import FILE, SecondPlace, keep_second_place
from companion.system.clock import Clock
from companion.system.settings import SettingsFile
from tests.journal.made import DAY, SetClock, everything, filled, page
from tests.tour_visit import A_COMPUTER

CLOCK = SetClock(DAY)
WRITTEN = datetime(DAY.year, DAY.month, DAY.day, 12, tzinfo=UTC)
MACHINE = replace(A_COMPUTER, printers=1, voice=True)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A diary as it should be: written in today, copied here and elsewhere."""
    folder = tmp_path / "private"
    folder.mkdir(mode=0o700)
    filled(folder, page(0, written_at=WRITTEN))
    backups.made_now(folder, DAY)
    place = SecondPlace(wanted="yes", place=str(tmp_path), mark="abc", last=DAY)
    keep_second_place(SettingsFile(folder, FILE), place)
    return folder


def checked(
    folder: Path, subject: Subject, *, machine: Machine = MACHINE, clock: Clock = CLOCK
) -> Checked:
    """What is told of one subject."""
    return next(one for one in looked_over(folder, machine, clock) if one.subject == subject)


def to_mend(one: Checked) -> str:
    """What is told of a fault, which has a remedy and makes the whole not well."""
    assert one.state == "to_mend"
    assert one.remedy is not None
    return f"{said_words(one.said)} {said_words(one.remedy)}"


def test_where_nothing_is_wrong_all_is_well_and_nothing_was_touched(folder: Path) -> None:
    before = everything(folder)
    told = looked_over(folder, MACHINE, CLOCK)
    assert [one for one in told if one.state != "well"] == []
    assert checked_lines(told)[-1] == "All is well."
    assert everything(folder) == before


def test_nothing_private_is_told(folder: Path) -> None:
    told = "\n".join(checked_lines(looked_over(folder, MACHINE, CLOCK)))
    assert str(folder) not in told
    assert Path.home().name not in told
    assert "K-" not in told


def test_before_the_first_start_nothing_is_missing(tmp_path: Path) -> None:
    told = looked_over(tmp_path / "not" / "yet", MACHINE, CLOCK)
    assert {one.subject for one in told if one.state == "without"} == {
        "diary",
        "copies",
        "second_place",
    }
    assert [one for one in told if one.state == "to_mend"] == []
    assert not (tmp_path / "not").exists()


def test_damage_is_seen_and_sent_to_where_it_is_mended(folder: Path) -> None:
    store = folder / backups.STORE
    data = bytearray(store.read_bytes())
    place = data.index(b'"pain_average"')
    data[place + 1] ^= 1
    store.write_bytes(data)
    assert "damaged" in to_mend(checked(folder, "diary"))
    assert checked(folder, "copies").state == "well"


def test_a_diary_that_is_gone_beside_its_copies_is_not_one_not_begun(folder: Path) -> None:
    (folder / backups.STORE).unlink()
    assert "gone" in to_mend(checked(folder, "diary"))


def test_a_diary_of_a_newer_version_is_not_called_damaged(folder: Path) -> None:
    with closing(sqlite3.connect(folder / backups.STORE)) as db:
        db.execute("PRAGMA user_version = 99")
    assert "newer version" in to_mend(checked(folder, "diary"))


def test_copies_that_fell_behind_are_told(folder: Path) -> None:
    later = WRITTEN + timedelta(days=doctor.COPIES_BEHIND_DAYS + 1)
    clock = SetClock(later.date())
    filled(folder, page(8, written_at=later))
    assert "makes one" in to_mend(checked(folder, "copies", clock=clock))
    for copy in backups.backup_folder(folder).iterdir():
        copy.write_bytes(b"no copy")
    assert "no good copy" in to_mend(checked(folder, "copies", clock=clock))


def test_a_second_place_that_was_forgotten_is_told(folder: Path) -> None:
    clock = SetClock(DAY + timedelta(days=40))
    assert "40 days" in to_mend(checked(folder, "second_place", clock=clock))


def test_a_clock_that_is_behind_the_diary_is_told(folder: Path) -> None:
    clock = SetClock(DAY - timedelta(days=3))
    assert "9 March 2026" in to_mend(checked(folder, "clock", clock=clock))


def test_little_room_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("companion.app.doctor.free_bytes", lambda _folder: 12_345_678)
    assert "12 MB" in to_mend(checked(folder, "room"))


@pytest.mark.skipif(os.name == "nt", reason="no such rights there")
def test_a_folder_others_may_look_into_is_told(folder: Path) -> None:
    folder.chmod(0o755)
    assert "Other people" in to_mend(checked(folder, "folder"))


def test_what_the_machine_lacks_is_no_fault_but_the_letters_are(folder: Path) -> None:
    bare = replace(MACHINE, display=False, printers=0, voice=False)
    told = looked_over(folder, bare, CLOCK)
    assert [one.subject for one in told if one.state == "without"] == [
        "display",
        "printer",
        "voice",
    ]
    assert "Install" in to_mend(checked(folder, "fonts", machine=replace(MACHINE, fonts=False)))


def test_the_page_names_what_is_to_be_mended_first(folder: Path) -> None:
    told = looked_over(folder, replace(MACHINE, fonts=False), CLOCK)
    first, second, *_ = doctor_view(told).blocks
    assert "One thing" in str(first)
    assert "The letters" in str(second)
