"""What can be saved of a damaged store: every good row of it and of its copies, and nothing else.

The kinds of damage are those a store was hurt with on purpose, before anything here could save it.
"""

import contextlib
import random
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from companion.care.coded import coded
from companion.care.records import AnyEntry, Diary, TapeOff
from companion.journal import backups, schema
from companion.journal.faults import JournalBusy, JournalConflict, JournalDamaged, JournalFault
from companion.journal.salvage import Lost, Salvage, mend, salvaged, with_diary
from companion.system.clock import PinnedClock
from tests import builders
from tests.exchange.made import first_full_diary
from tests.journal.made import DAY, PLAN, everything, filled, opened, page

CLOCK = PinnedClock(DAY)


def _changed(path: Path, statement: str) -> None:
    with contextlib.closing(sqlite3.connect(path)) as db, db:
        db.execute(statement)


def _mended(folder: Path, salvage: Salvage | None = None) -> tuple[AnyEntry, ...]:
    mend(folder, salvage or salvaged(folder), CLOCK)
    with opened(folder) as journal:
        journal.check()
        return journal.entries()


def test_one_letter_of_one_entry_costs_that_entry_alone(tmp_path: Path) -> None:
    pages = [page(n) for n in range(8)]
    path = filled(tmp_path, *pages)
    _changed(path, "UPDATE entries SET body = replace(body, 'pain', 'pajn') WHERE seq = 5")
    found = salvaged(tmp_path)
    assert found.lost == (Lost(pages[4].id, "day_page", pages[4].for_day),)
    assert found.entries == (*pages[:4], *pages[5:])
    assert _mended(tmp_path, found) == found.entries


def test_what_is_damaged_here_and_good_in_a_copy_is_not_lost(tmp_path: Path) -> None:
    pages = [page(n) for n in range(8)]
    path = filled(tmp_path, *pages[:6])
    backups.tend(tmp_path, DAY)
    with opened(tmp_path) as journal:
        journal.append(*pages[6:])
    _changed(path, "UPDATE entries SET body = replace(body, 'pain', 'pajn') WHERE seq IN (2, 8)")
    found = salvaged(tmp_path)
    assert [lost.id for lost in found.lost] == [pages[7].id]
    assert found.entries == tuple(pages[:7])
    assert _mended(tmp_path, found) == tuple(pages[:7])


@pytest.mark.parametrize("seed", range(6))
def test_what_is_saved_is_just_what_is_whole_anywhere(tmp_path: Path, seed: int) -> None:
    """The union by id of the good rows of the store, of each copy and of a file, and no more: over
    any rows that are hurt in any of them."""
    chance = random.Random(seed)
    pages = [page(n) for n in range(14)]
    whole: set[str] = set()
    path = filled(tmp_path, *pages[:5])
    for number in range(2):
        backups.tend(tmp_path, DAY + timedelta(days=10 * number))
        with opened(tmp_path) as journal:
            journal.append(*pages[5 + 4 * number : 9 + 4 * number])
    for store in (path, *(tmp_path / "backups").iterdir()):
        with contextlib.closing(sqlite3.connect(store)) as db, db:
            ids = [name for (name,) in db.execute("SELECT id FROM entries ORDER BY seq")]
            hurt = {name for name in ids if chance.random() < 0.6}
            for name in hurt:
                db.execute("UPDATE entries SET body = body || ' ' WHERE id = ?", (name,))
        whole |= {*ids} - hurt
    found = salvaged(tmp_path)
    assert {entry.id for entry in found.entries} == whole
    assert {entry.id for entry in found.entries} | {one.id for one in found.lost} == {
        one.id for one in pages[:13]
    }
    file = Diary(plans=(PLAN,), entries=tuple(chance.sample(pages[:13], 4)))
    both = with_diary(found, file)
    assert {entry.id for entry in both.entries} == whole | {one.id for one in file.entries}
    assert {*both.entries} <= {*pages}
    assert _mended(tmp_path, both) == both.entries


def test_nothing_is_lost_without_damage_and_the_old_store_is_kept(tmp_path: Path) -> None:
    pages = [page(n) for n in range(5)]
    path = filled(tmp_path, *pages)
    with opened(tmp_path) as journal:
        journal.save_draft("day_page", {"pain": 3})
    before = path.read_bytes()
    aside = mend(tmp_path, salvaged(tmp_path), CLOCK)
    assert aside is not None
    assert aside.read_bytes() == before
    with opened(tmp_path) as journal:
        assert journal.entries() == tuple(pages)
        assert journal.plans() == (PLAN,)
        assert journal.draft("day_page") == {"pain": 3}
        journal.append(page(9))


@pytest.mark.parametrize("damage", ["header", "gone", "cut", "unreadable_text", "negative_version"])
def test_a_store_that_does_not_open_is_mended_from_all_that_is_there(
    tmp_path: Path, damage: str
) -> None:
    pages = [page(n, note="x" * 300) for n in range(40)]
    path = filled(tmp_path, *pages[:30])
    backups.tend(tmp_path, DAY)
    with opened(tmp_path) as journal:
        journal.append(*pages[30:])
    data = bytearray(path.read_bytes())
    match damage:
        case "header":
            data[:16] = b"no longer a store"[:16]
        case "cut":
            del data[len(data) // 2 :]
        case "unreadable_text":
            at = data.rfind(b'"note"')
            data[at + 10] = 0xFF
        case "negative_version":
            data[60:64] = (-3).to_bytes(4, "big", signed=True)
    path.write_bytes(data)
    if damage == "gone":
        path.unlink()
    with pytest.raises(JournalDamaged), opened(tmp_path) as journal:
        journal.check()
    found = salvaged(tmp_path)
    assert set(pages[:30]) <= set(found.entries) <= set(pages)
    assert found.store_read == (damage not in ("header", "gone"))
    if damage == "negative_version":
        assert found.entries == tuple(pages)
    if damage == "unreadable_text":
        assert len(found.entries) == 39
        assert len(found.lost) == 1
    assert _mended(tmp_path, found) == found.entries


def test_hurt_anywhere_only_what_was_written_comes_back(tmp_path: Path) -> None:
    """Bits turned at random and pages wiped, a fixed seed: each entry is saved as it was written or
    not at all, and with a copy of everything all are saved."""
    pages = [page(n, note=f"page {n}") for n in range(60)]
    path = filled(tmp_path, *pages)
    good = path.read_bytes()
    chance = random.Random(11)
    saved = 0
    for _ in range(60):
        hurt = bytearray(good)
        if chance.random() < 0.5:
            at = 4096 * chance.randrange(1, len(hurt) // 4096)
            hurt[at : at + 4096] = bytes(4096)
        for _ in range(chance.randint(1, 30)):
            hurt[chance.randrange(len(hurt))] ^= 1 << chance.randrange(8)
        path.write_bytes(hurt)
        found = salvaged(tmp_path)
        assert set(found.entries) <= set(pages)
        assert len(set(found.entries)) == len(found.entries)
        saved += len(found.entries)
    assert saved > 60 * 60 / 2
    copy = tmp_path / "backups" / "daily-2026-03-09.sqlite3"
    copy.parent.mkdir()
    copy.write_bytes(good)
    found = salvaged(tmp_path)
    assert found.entries == tuple(pages)
    assert found.lost == ()
    assert _mended(tmp_path, found) == tuple(pages)


def test_a_diary_file_brings_what_is_whole_nowhere_here(tmp_path: Path) -> None:
    pages = [page(n) for n in range(6)]
    path = filled(tmp_path, *pages)
    _changed(path, "UPDATE entries SET body = replace(body, 'pain', 'pajn') WHERE seq IN (2, 3)")
    found = salvaged(tmp_path)
    submitted = Diary(plans=(PLAN,), entries=(pages[1], page(9)))
    fuller = with_diary(found, submitted)
    assert [lost.id for lost in fuller.lost] == [pages[2].id]
    assert set(_mended(tmp_path, fuller)) == {*pages, submitted.entries[1]} - {pages[2]}
    stranger = builders.small_plan(person="somebody-else")
    with pytest.raises(JournalConflict) as told:
        with_diary(found, Diary(plans=(stranger,)))
    assert told.value.said == coded("plan_of_another", theirs="somebody-else", ours=PLAN.person)


def test_where_no_row_is_whole_a_diary_file_brings_plans_in_order_and_rows_from_one() -> None:
    first, second = (builders.small_plan(version=n) for n in (1, 2))
    nothing = Salvage(plans=(second,), rows=(), lost=(), store_read=False)
    pages = (page(0), page(1))
    found = with_diary(nothing, Diary(plans=(first, second), entries=pages))
    assert found.plans == (first, second)
    assert found.rows == tuple(enumerate(pages, 1))


@pytest.mark.parametrize("version", range(schema.VERSION))
def test_a_store_of_any_version_is_saved_row_by_row(tmp_path: Path, version: int) -> None:
    path = tmp_path / "journal.sqlite3"
    frozen = Path(__file__).with_name("frozen") / f"v{version}.sql"
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.executescript(frozen.read_text(encoding="utf-8"))
    whole = first_full_diary()
    found = salvaged(tmp_path)
    assert (found.entries, found.plans, found.lost) == (whole.entries, whole.plans, ())
    _changed(path, "UPDATE entries SET body = replace(body, 'kind', 'kjnd') WHERE seq = 2")
    hurt = salvaged(tmp_path)
    assert hurt.lost
    assert whole.entries[1].id not in {entry.id for entry in hurt.entries}
    assert len(hurt.entries) >= len(whole.entries) - 2, "one, and what belongs to it"
    _changed(path, "UPDATE plans SET body = replace(body, 'person', 'persan')")
    assert salvaged(tmp_path).plans == ()


def test_nothing_that_is_saved_names_what_is_lost(tmp_path: Path) -> None:
    """A correction of a lost page stands for itself; the file for the clinic must be whole."""
    from companion.exchange.files import diary_bytes, read_bytes

    first = page(0)
    second = page(0, id="c" * 32, replaces=first.id, pain_average=7)
    on = builders.tape_on(builders.at(0))
    off = builders.tape_off(builders.at(1), tape_on=on.id)
    path = filled(tmp_path, first, second, on, off)
    _changed(path, "UPDATE entries SET body = replace(body, 'kind', 'kjnd') WHERE seq IN (1, 3)")
    found = salvaged(tmp_path)
    assert {lost.id for lost in found.lost} == {first.id, on.id}
    kept, taken_off = found.entries
    assert (kept.replaces, getattr(kept, "pain_average", None)) == (None, 7)
    assert isinstance(taken_off, TapeOff)
    assert taken_off.tape_on is None
    mend(tmp_path, found, CLOCK)
    with opened(tmp_path) as journal:
        reading = read_bytes(diary_bytes(journal.diary()))
    assert reading.state == "whole"
    assert salvaged(tmp_path).entries == found.entries, "mended once, it stays as it is"


def test_a_mended_store_is_newer_than_every_copy_from_before(tmp_path: Path) -> None:
    path = filled(tmp_path, *(page(n) for n in range(6)))
    backups.tend(tmp_path, DAY)
    _changed(path, "UPDATE entries SET body = replace(body, 'pain', 'pajn') WHERE seq = 2")
    mend(tmp_path, salvaged(tmp_path), CLOCK)
    with opened(tmp_path) as journal:
        journal.append(page(7))
    (made, *_) = backups.tend(tmp_path, DAY + timedelta(days=1))
    assert backups.newest_good(tmp_path) == made


def test_nothing_is_mended_under_an_open_window_and_reading_changes_nothing(tmp_path: Path) -> None:
    filled(tmp_path, page(0))
    found = salvaged(tmp_path)
    before = everything(tmp_path)
    with opened(tmp_path), pytest.raises(JournalBusy):
        mend(tmp_path, found, CLOCK)
    assert everything(tmp_path) == before


def test_a_folder_with_nothing_in_it_gives_nothing(tmp_path: Path) -> None:
    assert salvaged(tmp_path) == Salvage(plans=(), rows=(), lost=(), store_read=False)


def test_bytes_that_are_no_text_are_damage_and_no_fault_of_the_disk(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0, note="a plain note"))
    path.write_bytes(path.read_bytes().replace(b"a plain note", b"a pl\xff\xfen note"))
    with opened(tmp_path) as journal:
        for read in (journal.entries, journal.check):
            with pytest.raises(JournalDamaged):
                read()


def test_a_version_below_nothing_is_damage(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))
    data = bytearray(path.read_bytes())
    data[60:64] = (-1).to_bytes(4, "big", signed=True)
    path.write_bytes(data)
    for read_only in (False, True):
        with pytest.raises(JournalFault) as fault:
            opened(tmp_path, read_only=read_only)
        assert isinstance(fault.value, JournalDamaged)


def test_a_name_that_is_no_text_in_what_the_database_says_is_damage(tmp_path: Path) -> None:
    """It ended the program: the database names the damaged table in its own words."""
    store = filled(tmp_path, page(0))
    hurt = store.read_bytes().replace(b"CREATE TABLE entries", b"CREATE \xb6ABLE entries", 1)
    hurt = hurt.replace(b"tableentriesentries", b"table\xb6ntriesentries", 1)
    assert hurt != store.read_bytes()
    store.write_bytes(hurt)
    with pytest.raises(JournalDamaged):
        opened(tmp_path)
    salvaged(tmp_path)
    assert not backups.is_good(store)
