"""Copies: whole, checked, turned over, and never in the way."""

import contextlib
from datetime import date, timedelta
from pathlib import Path
from typing import NoReturn

import pytest

from companion.app.fault_words import store_fault_words
from companion.journal import backups
from companion.journal.faults import JournalDamaged, JournalFull
from tests.journal.made import DAY, PLAN, SetClock, filled, opened, page


def _names(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / "backups").iterdir())


def test_a_copy_a_day_and_a_week_is_made_once(tmp_path: Path) -> None:
    clock = SetClock(date(2026, 3, 9))  # a Monday, ISO week 11
    filled(tmp_path, page(0))
    with opened(tmp_path, clock) as journal:
        first = journal.tend()
        assert [path.name for path in first.backups] == [
            "daily-2026-03-09.sqlite3",
            "weekly-2026-W11.sqlite3",
        ]
        assert first.checked
        again = journal.tend()
        assert (again.checked, again.backups) == (False, ())
        clock.day = date(2026, 3, 15)
        sunday = journal.tend()
        assert [path.name for path in sunday.backups] == ["daily-2026-03-15.sqlite3"]
        assert not sunday.checked
        clock.day = date(2026, 3, 16)
        monday = journal.tend()
        assert [path.name for path in monday.backups][1] == "weekly-2026-W12.sqlite3"
        assert monday.checked


def test_the_oldest_copies_go(tmp_path: Path) -> None:
    clock = SetClock(DAY)
    filled(tmp_path, page(0))
    for _ in range(60):
        with opened(tmp_path, clock) as journal:
            journal.tend()
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
    backups.turn_over(tmp_path)
    assert _names(tmp_path) == sorted(names[1:])


def test_a_copy_opens_as_a_store_of_its_own(tmp_path: Path) -> None:
    pages = [page(n) for n in range(30)]
    filled(tmp_path, *pages)
    with opened(tmp_path) as journal:
        copy = journal.back_up()
        journal.append(page(40))
        assert backups.is_good(copy)
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / backups.STORE).write_bytes(copy.read_bytes())
    with opened(tmp_path / "other") as journal:
        assert journal.entries() == tuple(pages)
        assert journal.plans() == (PLAN,)


def test_a_good_copy_is_never_replaced_by_a_damaged_one(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0, pain_worst=3))
    with opened(tmp_path) as journal:
        copy = journal.back_up()
    good = copy.read_bytes()
    path.write_bytes(path.read_bytes().replace(b'"pain_worst":3', b'"pain_worst":8'))
    with opened(tmp_path) as journal:
        with pytest.raises(JournalDamaged):
            journal.back_up()
        with pytest.raises(JournalDamaged):
            journal.tend()
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
        copy = journal.back_up()
        good = copy.read_bytes()
        if step == "replace":
            monkeypatch.setattr(Path, "replace", fails)
        else:
            monkeypatch.setattr(backups, step, fails)
        with pytest.raises(JournalFull, match=r"^no_room"):
            journal.back_up()
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
        with opened(tmp_path) as journal:
            assert backups.is_good(journal.back_up())
