"""A damaged store is told, left as it is, and never read as if it were good."""

import contextlib
import random
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from companion.app.fault_words import store_fault_words
from companion.care.records import AnyEntry
from companion.journal import backups
from companion.journal.backups import newest_good, restore
from companion.journal.faults import JournalBusy, JournalConflict, JournalDamaged, JournalFault
from companion.system.clock import PinnedClock
from tests.journal.made import DAY, PLAN, everything, filled, opened, page
from tests.said import sentence

CLOCK = PinnedClock(DAY)


def _with_copy(folder: Path, *entries: AnyEntry) -> Path:
    path = filled(folder, *entries)
    backups.made_now(folder, DAY)
    return path


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"x" * 20_000,
        b"homeknee diary 1 " + b"0" * 64 + b"\n{}\n",
        b"SQLite format 3\x00" + bytes(8000),
    ],
)
def test_something_else_in_its_place_is_damage(tmp_path: Path, content: bytes) -> None:
    path = _with_copy(tmp_path, page(0))
    path.write_bytes(content)
    before = everything(tmp_path)
    with pytest.raises(JournalDamaged) as fault:
        opened(tmp_path)
    assert everything(tmp_path) == before
    copy = newest_good(tmp_path)
    assert copy is not None
    told = store_fault_words(fault.value)
    assert copy.name in told
    assert "\n" not in told


def test_a_store_that_is_gone_is_not_begun_anew_beside_its_copies(tmp_path: Path) -> None:
    path = _with_copy(tmp_path, page(0))
    path.unlink()
    with pytest.raises(JournalDamaged, match=r"why=store_missing"):
        opened(tmp_path)
    assert not path.exists()
    assert restore(tmp_path, tmp_path / "backups" / f"daily-{DAY}.sqlite3", CLOCK) is None
    with opened(tmp_path) as journal:
        assert journal.count() == 1


def test_killed_before_the_first_write_is_no_damage(tmp_path: Path) -> None:
    (tmp_path / "journal.sqlite3").touch()
    with opened(tmp_path) as journal:
        assert journal.count() == 0


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TABLE notes (text TEXT)",
        "DROP INDEX entries_by_kind",
        "DROP TABLE drafts",
        "PRAGMA application_id = 7",
        "PRAGMA user_version = 0",
    ],
)
def test_tables_that_are_not_ours_are_damage(tmp_path: Path, statement: str) -> None:
    path = filled(tmp_path, page(0))
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute(statement)
    before = everything(tmp_path)
    for read_only in (False, True):
        with pytest.raises(JournalDamaged) as fault:
            opened(tmp_path, read_only=read_only)
        assert "there is no good copy" in store_fault_words(fault.value)
    assert everything(tmp_path) == before


def test_a_stranger_s_database_is_left_alone(tmp_path: Path) -> None:
    with contextlib.closing(sqlite3.connect(tmp_path / "journal.sqlite3")) as db:
        db.execute("CREATE TABLE songs (title TEXT)")
    before = everything(tmp_path)
    with pytest.raises(JournalDamaged, match=r"why=no_diary"):
        opened(tmp_path)
    assert everything(tmp_path) == before


def test_a_changed_score_is_seen_whenever_it_is_read(tmp_path: Path) -> None:
    """The database itself cannot tell: the page is well formed, one digit differs."""
    path = filled(tmp_path, page(0), page(1, pain_worst=3))
    data = path.read_bytes()
    assert data.count(b'"pain_worst":3') == 1
    path.write_bytes(data.replace(b'"pain_worst":3', b'"pain_worst":8'))
    with opened(tmp_path) as journal:
        for read in (journal.entries, lambda: [*journal.index], journal.check):
            with pytest.raises(JournalDamaged, match=r"entr(y|ies)_changed"):
                read()


@pytest.mark.parametrize(
    "change", ["kind = 'event'", "for_day = '2020-01-01'", "replaces = 'x'", "side = 'left'"]
)
def test_a_changed_column_is_seen_too(tmp_path: Path, change: str) -> None:
    path = filled(tmp_path, page(0))
    with contextlib.closing(sqlite3.connect(path)) as db, db:
        db.execute(f"UPDATE entries SET {change}")
    with opened(tmp_path) as journal, pytest.raises(JournalDamaged):
        journal.entries()


def test_a_changed_plan_is_seen(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))
    with contextlib.closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE plans SET body = replace(body, '\"rounds\":2', '\"rounds\":3')")
    with opened(tmp_path) as journal, pytest.raises(JournalDamaged):
        journal.plan_in_force()


def test_after_a_window_that_did_not_close_everything_is_checked(tmp_path: Path) -> None:
    path = filled(tmp_path, *(page(n) for n in range(5)))
    with contextlib.closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE meta SET value = 'no' WHERE key = 'closed_cleanly'")
    opened(tmp_path).close()  # nothing is wrong with it
    with contextlib.closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE meta SET value = 'no' WHERE key = 'closed_cleanly'")
        db.execute("UPDATE entries SET body = replace(body, '4', '5') WHERE seq = 5")
    with pytest.raises(JournalDamaged):
        opened(tmp_path)


def test_what_was_found_whole_is_not_looked_at_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each start after a killed window looked at all of it, until something was written."""
    path = filled(tmp_path, page(0))
    with contextlib.closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE meta SET value = 'no' WHERE key = 'closed_cleanly'")
    opened(tmp_path).close()
    monkeypatch.setattr(backups, "full_faults", lambda _: pytest.fail("looked at again"))
    opened(tmp_path).close()


def test_the_mark_is_set_by_the_first_write_and_taken_back_by_closing(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))

    def mark() -> str:
        with contextlib.closing(backups.open_read_only(path)) as db:
            question = "SELECT value FROM meta WHERE key = 'closed_cleanly'"
            return str(db.execute(question).fetchone()[0])

    with opened(tmp_path) as journal:
        assert mark() == "yes"
        journal.append(page(1))
        assert mark() == "no"
    assert mark() == "yes"


def test_hurt_anywhere_it_never_reads_as_something_else(tmp_path: Path) -> None:
    """Bits turned at random, a fixed seed: the entries come out as written, or a fault does."""
    entries = tuple(page(n, note=f"page {n}") for n in range(40))
    path = filled(tmp_path, *entries)
    good = path.read_bytes()
    chance = random.Random(7)
    told = 0
    for _ in range(150):
        hurt = bytearray(good)
        for _ in range(chance.randint(1, 3)):
            hurt[chance.randrange(len(hurt))] ^= 1 << chance.randrange(8)
        path.write_bytes(hurt)
        try:
            with opened(tmp_path, read_only=True) as journal:
                journal.check()
                assert journal.entries() == entries
                assert journal.plans() == (PLAN,)
                assert tuple(journal.index) == entries
        except JournalFault:
            told += 1
    assert told > 50


def test_cut_short_it_is_damage(tmp_path: Path) -> None:
    path = _with_copy(tmp_path, *(page(n) for n in range(100)))
    good = path.read_bytes()
    for length in (1, 50, 100, 4095, 4096, len(good) // 2, len(good) - 4096, len(good) - 1):
        path.write_bytes(good[:length])
        with pytest.raises(JournalDamaged):
            opened(tmp_path)


# ---------------------------------------------------------------- restoring


def test_restoring_moves_the_damaged_store_aside(tmp_path: Path) -> None:
    path = _with_copy(tmp_path, page(0))
    path.write_bytes(b"damaged beyond reading")
    (tmp_path / "journal.sqlite3-journal").write_bytes(b"left behind")
    with pytest.raises(JournalDamaged):
        opened(tmp_path)
    copy = newest_good(tmp_path)
    assert copy is not None
    aside = restore(tmp_path, copy, CLOCK)
    assert aside is not None
    assert aside.read_bytes() == b"damaged beyond reading"
    assert aside.name.startswith("damaged-20260309T18")
    assert aside.with_name(aside.name + "-journal").read_bytes() == b"left behind"
    assert not (tmp_path / "journal.sqlite3-journal").exists()
    with opened(tmp_path) as journal:
        assert journal.count() == 1
        journal.append(page(1))


def test_a_damaged_copy_is_neither_offered_nor_restored(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))
    for number in range(2):
        backups.made_now(tmp_path, DAY + timedelta(days=number))
    older, newer = sorted((tmp_path / "backups").iterdir())
    newer.write_bytes(newer.read_bytes().replace(b'"pain_average":0', b'"pain_average":9'))
    assert newest_good(tmp_path) == older
    path.write_bytes(b"x" * 4096)
    before = everything(tmp_path)
    with pytest.raises(JournalConflict) as refused:
        restore(tmp_path, newer, CLOCK)
    assert sentence(refused.value).startswith(f"The copy {newer.name} is damaged too.")
    assert everything(tmp_path) == before
    restore(tmp_path, older, CLOCK)
    with opened(tmp_path) as journal:
        assert journal.count() == 1


def test_nothing_is_restored_under_an_open_window(tmp_path: Path) -> None:
    _with_copy(tmp_path, page(0))
    copy = newest_good(tmp_path)
    assert copy is not None
    with opened(tmp_path), pytest.raises(JournalBusy):
        restore(tmp_path, copy, CLOCK)
