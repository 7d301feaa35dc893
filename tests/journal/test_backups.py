"""Copies: whole, checked, turned over, and never in the way."""

import contextlib
import os
from datetime import date, timedelta
from pathlib import Path
from typing import NoReturn

import pytest

from companion.app.fault_words import store_fault_words
from companion.journal import backups
from companion.journal.faults import JournalDamaged, JournalFull
from companion.system.atomic import PART
from tests.journal.made import DAY, PLAN, SetClock, filled, opened, page


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / "backups").iterdir())


def test_a_copy_a_day_and_a_week_is_made_once(tmp_path: Path) -> None:
    clock = SetClock(date(2026, 3, 9))  # a Monday, ISO week 11
    filled(tmp_path, page(0))
    first = backups.tend(tmp_path, clock.day)
    assert [path.name for path in first] == [
        "daily-2026-03-09.sqlite3",
        "weekly-2026-W11.sqlite3",
    ]
    assert backups.tend(tmp_path, clock.day) == ()
    sunday = backups.tend(tmp_path, date(2026, 3, 15))
    assert [path.name for path in sunday] == ["daily-2026-03-15.sqlite3"]
    monday = backups.tend(tmp_path, date(2026, 3, 16))
    assert [path.name for path in monday][1] == "weekly-2026-W12.sqlite3"


@pytest.mark.skipif(os.name == "nt", reason="no such rights there")
def test_nobody_else_on_this_machine_reads_the_copies(tmp_path: Path) -> None:
    filled(tmp_path, page(0))
    (copy, _) = backups.tend(tmp_path, DAY)
    assert copy.parent.stat().st_mode & 0o777 == 0o700
    assert copy.stat().st_mode & 0o777 == 0o600


def test_the_oldest_copies_go(tmp_path: Path) -> None:
    clock = SetClock(DAY)
    filled(tmp_path, page(0))
    for _ in range(60):
        backups.tend(tmp_path, clock.day)
        clock.day += timedelta(days=1)
    names = _names(tmp_path)
    last = clock.day - timedelta(days=1)
    assert names[: backups.DAILY_KEPT] == [
        f"daily-{last - timedelta(days=ago)}.sqlite3" for ago in range(6, -1, -1)
    ]
    assert len(names) == backups.DAILY_KEPT + backups.WEEKLY_KEPT == 11


def test_the_copy_before_the_newest_version_is_the_newest(tmp_path: Path) -> None:
    """Version 10 comes after version 9, whatever their names sort like."""
    copies = backups.backup_folder(tmp_path)
    copies.mkdir()
    names = [f"before-v9-2027050{day}T120000.sqlite3" for day in (1, 2, 3)]
    names.append("before-v10-20280101T120000.sqlite3")
    for name in names:
        (copies / name).touch()
    backups.turn_over(tmp_path, date(2028, 1, 2))
    assert _names(tmp_path) == sorted(names[1:])


def test_a_copy_that_was_just_made_never_goes_however_many_say_they_are_newer(
    tmp_path: Path,
) -> None:
    """A clock that was ahead for weeks, and is right again."""
    filled(tmp_path, page(0))
    copies = backups.backup_folder(tmp_path)
    copies.mkdir(exist_ok=True)
    for number in range(backups.DAILY_KEPT + backups.WEEKLY_KEPT):
        for name in backups.names_due(DAY + timedelta(days=30 + 7 * number)):
            (copies / name).touch()
    with opened(tmp_path):
        made = backups.made_now(tmp_path, DAY)
        tended = backups.tend(tmp_path, DAY)
    assert made.exists()
    assert tended
    assert all(path.exists() for path in tended)


def test_a_copy_opens_as_a_store_of_its_own(tmp_path: Path) -> None:
    pages = [page(n) for n in range(30)]
    filled(tmp_path, *pages)
    with opened(tmp_path) as journal:
        copy = backups.made_now(tmp_path, DAY)
        journal.append(page(40))
        assert backups.is_good(copy)
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / backups.STORE).write_bytes(copy.read_bytes())
    with opened(tmp_path / "other") as journal:
        assert journal.entries() == tuple(pages)
        assert journal.plans() == (PLAN,)


def test_a_good_copy_is_never_replaced_by_a_damaged_one(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0, pain_worst=3))
    with opened(tmp_path):
        copy = backups.made_now(tmp_path, DAY)
    good = copy.read_bytes()
    path.write_bytes(path.read_bytes().replace(b'"pain_worst":3', b'"pain_worst":8'))
    with opened(tmp_path):
        with pytest.raises(JournalDamaged):
            backups.made_now(tmp_path, DAY)
        with pytest.raises(JournalDamaged):
            backups.tend(tmp_path, DAY + timedelta(days=1))
    assert copy.read_bytes() == good
    assert backups.newest_good(tmp_path) == copy
    assert _names(tmp_path) == [copy.name]


@pytest.mark.parametrize("step", ["replace", "_sync_file"])
def test_a_copy_that_fails_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def fails(*_: object) -> NoReturn:
        raise OSError(28, "No space left on device")

    filled(tmp_path, page(0))
    with opened(tmp_path) as journal:
        copy = backups.made_now(tmp_path, DAY)
        good = copy.read_bytes()
        if step == "replace":
            monkeypatch.setattr(Path, "replace", fails)
        else:
            monkeypatch.setattr(backups, step, fails)
        with pytest.raises(JournalFull, match=r"^no_room"):
            backups.made_now(tmp_path, DAY)
        monkeypatch.undo()
        assert copy.read_bytes() == good
        assert _names(tmp_path) == [copy.name]
        journal.append(page(1))


def test_no_good_copy_is_said(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))
    assert backups.newest_good(tmp_path) is None
    path.write_bytes(b"x" * 4096)
    with pytest.raises(JournalDamaged) as fault:
        opened(tmp_path)
    assert "Ask your clinic" in store_fault_words(fault.value)
    assert not backups.is_good(tmp_path / "absent.sqlite3")


def test_copies_are_made_while_another_program_reads(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))
    with contextlib.closing(backups.open_read_only(path)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM entries").fetchone()
        with opened(tmp_path):
            assert backups.is_good(backups.made_now(tmp_path, DAY))


def test_copies_dated_in_the_future_do_not_push_out_those_of_today(tmp_path: Path) -> None:
    """A clock that was ten months ahead for eight days; afterwards it is right again."""
    filled(tmp_path, page(0))
    ahead = date(2027, 1, 11)
    for number in range(8):
        backups.tend(tmp_path, ahead + timedelta(days=number))
    for number in range(9):
        day = DAY + timedelta(days=number)
        made = backups.tend(tmp_path, day)
        assert made
        assert all(path.exists() for path in made)
    kept = [name for name in _names(tmp_path) if name.startswith("daily-2026")]
    assert len(kept) == backups.DAILY_KEPT
    assert not [name for name in _names(tmp_path) if name.startswith("daily-2027")]


def test_the_newest_copy_is_the_one_with_the_most_in_it(tmp_path: Path) -> None:
    """Whatever the times of the files, which moving the folder to a stick sets anew, and whatever
    the days in their names, which come from a clock that may have been ahead."""
    filled(tmp_path, page(0))
    (ahead, *_) = backups.tend(tmp_path, date(2027, 1, 11))
    with opened(tmp_path) as journal:
        journal.append(page(1))
    (right, *_) = backups.tend(tmp_path, DAY)
    os.utime(right, (1, 1))
    assert backups.newest_good(tmp_path) in (right, right.with_name("weekly-2026-W11.sqlite3"))
    assert ahead.exists()


def test_what_a_killed_program_left_half_written_is_swept(tmp_path: Path) -> None:
    filled(tmp_path, page(0))
    backups.tend(tmp_path, DAY)
    half = tmp_path / "backups" / f".daily-2026-03-08.sqlite3{PART}"
    half.write_bytes(b"half a diary")
    folder = tmp_path / f".journal.sqlite3.0a0b0c0d{PART}"
    folder.mkdir()
    (folder / "store").write_bytes(b"half a diary")
    theirs = tmp_path / ".tax.pdf.part"
    theirs.write_bytes(b"of another program")
    backups.tend(tmp_path, DAY)
    assert not half.exists()
    assert not folder.exists()
    assert theirs.exists()
