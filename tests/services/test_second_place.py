"""A second place for copies: asked for once, written weekly, and nothing of others removed."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from companion.care.records import Diary
from companion.exchange.files import read
from companion.exchange.second_place import FOLDER, ID_FILE, KEPT, same_disk, state_of
from companion.services.second_place import (
    ASKED_AGAIN,
    ASKED_FROM,
    FILE,
    SecondPlace,
    chosen_place,
    copy_there,
    is_due,
    keep_second_place,
    read_second_place,
    second_place_today,
)
from companion.services.trouble import Trouble
from companion.system.atomic import PART
from companion.system.settings import SettingsFile
from tests.builders import page, small_plan

DAY = date(2026, 11, 30)
DIARY = Diary(plans=(small_plan(),), entries=tuple(page(n) for n in range(3)))


def _chosen(stick: Path) -> SecondPlace:
    stick.mkdir(parents=True, exist_ok=True)
    return chosen_place(SecondPlace(), str(stick))


def test_it_is_asked_once_there_is_something_to_lose_and_no_more_once_that_was_answered() -> None:
    def asks(said: SecondPlace, day: date = DAY, entries: int = ASKED_FROM) -> bool:
        return second_place_today(said, day, entries).asks

    assert asks(SecondPlace())
    assert not asks(SecondPlace(), entries=ASKED_FROM - 1)
    later = SecondPlace(wanted="later", said_on=DAY)
    assert not asks(later)
    assert not asks(later, DAY + ASKED_AGAIN - timedelta(days=1))
    assert asks(later, DAY + ASKED_AGAIN)
    assert asks(later, DAY - timedelta(days=1)), "it was said by a clock that was ahead"
    assert not asks(SecondPlace(wanted="never"), DAY + timedelta(days=4000))
    assert not asks(SecondPlace(wanted="yes", last=DAY))


@pytest.mark.parametrize(
    ("last", "days", "old", "due"),
    [
        (DAY, 0, False, False),
        (DAY - timedelta(days=6), 6, False, False),
        (DAY - timedelta(days=7), 7, False, True),
        (DAY - timedelta(days=30), 30, False, True),
        (DAY - timedelta(days=31), 31, True, True),
        (DAY + timedelta(days=1), None, True, True),
        (None, None, True, True),
    ],
)
def test_a_copy_is_due_each_week_and_old_after_a_month(
    last: date | None, days: int | None, old: bool, due: bool
) -> None:
    said = SecondPlace(wanted="yes", last=last)
    today = second_place_today(said, DAY, 0)
    assert (today.days, today.old, is_due(said, DAY)) == (days, old, due)
    assert is_due(replace(said, failed=True), DAY)
    assert not is_due(replace(said, wanted="never"), DAY)


def test_a_copy_is_a_diary_file_that_any_reader_opens(tmp_path: Path) -> None:
    said = copy_there(_chosen(tmp_path / "stick"), lambda: DIARY, DAY, begin=True)
    assert (said.last, said.failed) == (DAY, False)
    (copy,) = (tmp_path / "stick" / FOLDER).glob("*.homeknee")
    assert copy.name == f"copy-K-07-2026-11-30-{said.mark}.homeknee"
    assert read(copy, today=DAY).diary == DIARY


def test_the_last_few_of_this_computer_are_kept_and_nothing_else_is_removed(tmp_path: Path) -> None:
    said = copy_there(_chosen(tmp_path / "stick"), lambda: DIARY, DAY, begin=True)
    folder = tmp_path / "stick" / FOLDER
    others = [
        "copy-K-07-2020-01-01-ffffff.homeknee",  # the helper's computer
        f"copy-K-070-2020-01-01-{said.mark}.homeknee",
        "diary-K-07-2020-01-01.homeknee",
        "tax.pdf",
        ".tax.pdf.part",
        ID_FILE,
    ]
    for name in others[:-1]:
        (folder / name).write_bytes(b"not ours")
    ahead = folder / f"copy-K-07-2027-11-30-{said.mark}.homeknee"
    ahead.write_bytes(b"by a clock that was ahead")
    half = folder / f".copy-K-07-2026-11-29-{said.mark}.homeknee.0a0b{PART}"
    half.write_bytes(b"half")
    os.utime(half, (1, 1))
    for week in range(1, 9):
        said = copy_there(said, lambda: DIARY, DAY + timedelta(days=7 * week))
    names = {path.name for path in folder.iterdir()}
    assert set(others) <= names
    assert names - set(others) == {
        f"copy-K-07-{DAY + timedelta(days=7 * week)}-{said.mark}.homeknee"
        for week in range(9 - KEPT, 9)
    }


def test_a_stick_that_is_not_plugged_in_is_no_fault_and_nothing_is_made_in_its_place(
    tmp_path: Path,
) -> None:
    said = copy_there(_chosen(tmp_path / "stick"), lambda: DIARY, DAY, begin=True)
    (tmp_path / "stick").rename(tmp_path / "unplugged")
    (tmp_path / "stick").mkdir()  # the empty folder a disk leaves behind
    assert copy_there(said, lambda: DIARY, DAY + timedelta(days=9)) == said
    assert list((tmp_path / "stick").iterdir()) == []


def test_a_stick_that_is_mounted_elsewhere_is_found_by_its_own_file(tmp_path: Path) -> None:
    """It was known by its path alone."""
    said = copy_there(_chosen(tmp_path / "media" / "stick"), lambda: DIARY, DAY, begin=True)
    (tmp_path / "media" / "stick").rename(tmp_path / "media" / "stick1")
    nearby = tmp_path / "media" / "music" / FOLDER
    nearby.mkdir(parents=True)
    roots = [str(path) for path in sorted((tmp_path / "media").iterdir())]
    week = DAY + timedelta(days=8)
    again = copy_there(said, lambda: DIARY, week, roots=lambda: roots)
    assert again == replace(said, place=str(tmp_path / "media" / "stick1" / FOLDER), last=week)
    assert len(list(Path(again.place).glob("*.homeknee"))) == 2
    assert list(nearby.iterdir()) == []


def test_another_stick_at_the_same_path_is_asked_about_and_not_written_to(tmp_path: Path) -> None:
    said = copy_there(_chosen(tmp_path / "stick"), lambda: DIARY, DAY, begin=True)
    (tmp_path / "stick").rename(tmp_path / "in a drawer")
    hers = copy_there(_chosen(tmp_path / "stick"), lambda: DIARY, DAY, begin=True)
    before = sorted(Path(hers.place).iterdir())
    week = DAY + timedelta(days=8)
    found = copy_there(said, lambda: DIARY, week)
    assert found == replace(said, other=True)
    assert sorted(Path(hers.place).iterdir()) == before
    today = second_place_today(found, week, 9)
    assert (today.other, today.kept) == (True, True)
    taken = copy_there(
        chosen_place(found, str(tmp_path / "stick")), lambda: DIARY, week, begin=True
    )
    assert (taken.place_id, taken.other, taken.last) == (hers.place_id, False, week)


def test_a_place_whose_own_file_is_gone_is_told_by_the_copies_in_it(tmp_path: Path) -> None:
    said = copy_there(_chosen(tmp_path / "stick"), lambda: DIARY, DAY, begin=True)
    (Path(said.place) / ID_FILE).unlink()
    assert state_of(said.place, said.place_id, said.mark) == "there"
    assert state_of(said.place, said.place_id, "ffffff") == "other"
    again = copy_there(said, lambda: DIARY, DAY + timedelta(days=8))
    assert again.place_id != said.place_id
    assert state_of(again.place, again.place_id, "ffffff") == "there"


def test_a_place_that_refuses_is_told(tmp_path: Path) -> None:
    said = _chosen(tmp_path / "stick")
    (tmp_path / "stick").rmdir()
    (tmp_path / "stick").write_bytes(b"a file")
    with pytest.raises(Trouble):
        copy_there(said, lambda: DIARY, DAY, begin=True)


def test_the_folder_of_the_copies_may_be_picked_itself(tmp_path: Path) -> None:
    one = chosen_place(SecondPlace(), str(tmp_path))
    again = chosen_place(one, str(tmp_path / FOLDER))
    assert (again.place, again.mark) == (one.place, one.mark)
    assert same_disk(one.place, tmp_path)


def test_what_was_said_is_kept_and_nonsense_is_nothing_said(tmp_path: Path) -> None:
    file = SettingsFile(tmp_path, FILE)
    said = SecondPlace(
        wanted="yes",
        said_on=DAY,
        place="x",
        mark="y",
        place_id="z",
        last=DAY,
        failed=True,
        other=True,
        moved_on=DAY,
    )
    keep_second_place(file, said)
    assert read_second_place(file) == said
    (tmp_path / FILE).write_text('{"wanted": 7, "last": "soon", "place": null, "failed": "no"}')
    assert read_second_place(file) == SecondPlace()
