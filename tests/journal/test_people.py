"""The clinic's index: what goes in comes out, and a spoilt one is made anew, never trusted."""

from __future__ import annotations

import sqlite3
import sys
from datetime import date
from pathlib import Path

import pytest

from companion.journal.faults import JournalBusy, JournalConflict, JournalUnwritable
from companion.journal.people import STORE, Case, KeptFile, PeopleStore
from tests.journal.made import filled, opened

ONE = KeptFile("K-07_a", "aa", 10, 1, "K-07", "20261125T090000Z")
TWO = KeptFile("K-07_b", "bb", 20, 2, "K-07", "20261126T090000Z")
BAD = KeptFile("x", "cc", 30, 3, None, "", "x is damaged.")
CASE = Case(
    code="K-07",
    birth_year=1951,
    side="both",
    plan_version=2,
    review_on=date(2026, 12, 1),
    first_day=date(2026, 9, 1),
    last_day=None,
    heard_of=date(2026, 9, 14),
    entries=4,
    closed_days=3,
    of_days=42,
    card_before=True,
    unsafe=(("open_card", 2), ("skin", 1)),
    answered=((3, "2026-09-12", 2),),
)


def test_what_is_put_in_comes_out_again(tmp_path: Path) -> None:
    with PeopleStore.open(tmp_path) as people:
        people.put(ONE, CASE)
        people.put(BAD, None)
    with PeopleStore.open(tmp_path) as people:
        assert people.cases() == (CASE,)
        assert people.case("K-07") == CASE
        assert people.case("K-08") is None
        assert people.files() == (ONE, BAD)
        assert people.files("K-07") == (ONE,)


def test_files_and_people_leave_together(tmp_path: Path) -> None:
    with PeopleStore.open(tmp_path) as people:
        people.put(ONE, CASE)
        people.put(TWO, CASE)
        people.drop([TWO.name], [], [CASE])
        assert people.files() == (ONE,)
        people.drop([ONE.name], ["K-07"], [])
        assert (people.files(), people.cases()) == ((), ())


def test_everything_is_replaced_at_once(tmp_path: Path) -> None:
    with PeopleStore.open(tmp_path) as people:
        people.put(ONE, CASE)
        people.put_all([TWO], [])
        assert (people.files(), people.cases()) == ((TWO,), ())


@pytest.mark.parametrize("spoilt", [b"not a database at all" * 40, b""])
def test_a_spoilt_index_is_begun_anew(tmp_path: Path, spoilt: bytes) -> None:
    with PeopleStore.open(tmp_path) as people:
        people.put(ONE, CASE)
    (tmp_path / STORE).write_bytes(spoilt)
    with PeopleStore.open(tmp_path) as people:
        assert people.files() == ()
        people.put(ONE, CASE)
        assert people.cases() == (CASE,)


def test_what_a_spoilt_index_left_beside_it_goes_with_it(tmp_path: Path) -> None:
    """A journal of the old one would be played back into the new one."""
    with PeopleStore.open(tmp_path) as people:
        people.put(ONE, CASE)
    (tmp_path / STORE).write_bytes(b"not a database at all" * 40)
    left = tmp_path / f"{STORE}-journal"
    left.write_bytes(b"left by a window that was killed")
    with PeopleStore.open(tmp_path) as people:
        assert people.files() == ()
    assert not left.exists()


@pytest.mark.parametrize("mark", ["application_id", "user_version"])
def test_an_index_of_another_program_or_version_is_begun_anew(tmp_path: Path, mark: str) -> None:
    with PeopleStore.open(tmp_path) as people:
        people.put(ONE, CASE)
    db = sqlite3.connect(tmp_path / STORE)
    (held,) = db.execute(f"PRAGMA {mark}").fetchone()
    db.execute(f"PRAGMA {mark} = {held + 1}")
    db.close()
    with PeopleStore.open(tmp_path) as people:
        assert (people.files(), people.cases()) == ((), ())


@pytest.mark.skipif(sys.platform == "win32", reason="no such rights there")
def test_nobody_else_on_this_machine_reads_the_list(tmp_path: Path) -> None:
    folder = tmp_path / "clinic" / "desk"
    PeopleStore.open(folder).close()
    assert folder.stat().st_mode & 0o777 == 0o700
    assert (folder / STORE).stat().st_mode & 0o777 == 0o600


def test_somebody_elses_database_is_not_read_as_ours(tmp_path: Path) -> None:
    db = sqlite3.connect(tmp_path / STORE)
    db.execute("CREATE TABLE files (name TEXT)")
    db.commit()
    db.close()
    with PeopleStore.open(tmp_path) as people:
        assert people.files() == ()


def test_two_windows_do_not_write_one_list(tmp_path: Path) -> None:
    with (
        PeopleStore.open(tmp_path),
        pytest.raises(JournalBusy, match=r"^desk_open_elsewhere"),
    ):
        PeopleStore.open(tmp_path)
    PeopleStore.open(tmp_path).close()


def test_a_place_that_is_no_folder_is_told(tmp_path: Path) -> None:
    place = tmp_path / "file"
    place.write_text("x")
    with pytest.raises(JournalUnwritable):
        PeopleStore.open(place)


def test_a_diary_and_the_desk_do_not_share_a_folder(tmp_path: Path) -> None:
    """Both were let in, one after the other; taking the diary away then met the clinic's files."""
    filled(tmp_path / "diary")
    with pytest.raises(JournalConflict, match=r"^folder_of_a_diary"):
        PeopleStore.open(tmp_path / "diary")
    PeopleStore.open(tmp_path / "desk").close()
    with pytest.raises(JournalConflict, match=r"^folder_of_the_desk"):
        opened(tmp_path / "desk")
    assert not (tmp_path / "diary" / "people.sqlite").exists()
    assert not (tmp_path / "desk" / "journal.sqlite3").exists()
