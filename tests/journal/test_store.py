"""The store: append-only, in one transaction, read back the same, however long the diary."""

import dataclasses
import os
import random
import sqlite3
import stat
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.records import (
    Diary,
    Question,
)
from companion.journal import backups, schema
from companion.journal.backups import open_read_only
from companion.journal.faults import JournalConflict, JournalFault, JournalMissing
from companion.system.ids import new_id
from companion.wire.plain import encode
from tests.builders import small_plan
from tests.exchange.made import full_diary
from tests.journal.made import DAY, PLAN, everything, filled, opened, page
from tests.strategies import diaries


@settings(max_examples=15)
@given(diary=diaries(most_entries=6), turns=st.randoms(use_true_random=False))
def test_whatever_the_order_nothing_is_changed(
    tmp_path_factory: pytest.TempPathFactory, diary: Diary, turns: random.Random
) -> None:
    """In two parts, the second with all of the first again: the union, each entry as it was."""
    folder = tmp_path_factory.mktemp("store")
    first = [e for e in diary.entries if e.replaces is None]
    with opened(folder) as journal:
        journal.append(*first, plans=diary.plans)
        again = list(diary.entries)
        turns.shuffle(again)
        assert journal.append(*again, plans=diary.plans) == len(diary.entries) - len(first)
        assert journal.append(*again, plans=diary.plans) == 0
    with opened(folder) as journal:
        kept = journal.diary()
        assert {e.id: encode(e) for e in kept.entries} == {e.id: encode(e) for e in diary.entries}
        assert [encode(p) for p in kept.plans] == [encode(p) for p in diary.plans]
        assert journal.plan_in_force() == diary.plan
        signed_any = any(not plan.practice for plan in diary.plans)
        in_time = [plan for plan in diary.plans if not (signed_any and plan.practice)]
        assert {**journal.versions} == {plan.version: plan for plan in in_time}
        assert journal.versions.get(10_000) is None
        journal.check()


def test_a_new_folder_is_private_and_empty(tmp_path: Path) -> None:
    folder = tmp_path / "made" / "here"
    with opened(folder) as journal:
        assert journal.count() == 0
        assert journal.plans() == ()
        assert journal.plan_in_force() is None
        assert tuple(journal.index) == ()
        assert journal.summary().last_written_at is None
        assert journal.last_day() is None
        assert backups.tend(folder, DAY) == ()
        with pytest.raises(JournalMissing, match=r"^no_plan_yet"):
            journal.diary()
    if os.name != "nt":
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        for path in folder.rglob("*"):
            assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path


def test_an_entry_is_there_after_closing(tmp_path: Path) -> None:
    first, second = page(0), page(1)
    filled(tmp_path, first, second)
    with opened(tmp_path) as journal:
        assert journal.entries() == (first, second)
        assert journal.entry(first.id) == first
        assert journal.entry("0" * 32) is None
        assert journal.count() == 2
        assert journal.summary().entries == 2
        assert journal.summary().plan_versions == 1
        assert journal.summary().last_written_at == second.written_at
        assert journal.last_day() == max(first.for_day, second.for_day)


def test_the_offset_of_every_time_is_kept(tmp_path: Path) -> None:
    diary = full_diary()
    with opened(tmp_path) as journal:
        journal.append(*diary.entries, plans=diary.plans)
        assert [encode(e) for e in journal.entries()] == [encode(e) for e in diary.entries]


def test_the_same_again_is_passed_over_and_a_rival_refused(tmp_path: Path) -> None:
    first = page(0, pain_average=3)
    filled(tmp_path, first)
    with opened(tmp_path) as journal:
        assert journal.append(first, first, page(1)) == 1
        rival = dataclasses.replace(first, pain_average=4)
        with pytest.raises(JournalConflict, match=r"here_differs"):
            journal.append(page(2), rival, page(3))
        assert journal.count() == 2  # nothing of the refused call was taken in
        assert journal.entry(first.id) == first
        moved = dataclasses.replace(first, written_at=first.written_at.astimezone())
        if moved.written_at.utcoffset() == timedelta(0):
            assert journal.append(moved) == 0


def test_a_plan_version_never_changes_and_a_stranger_is_refused(tmp_path: Path) -> None:
    filled(tmp_path)
    with opened(tmp_path) as journal:
        journal.append(plans=(PLAN,))
        with pytest.raises(JournalConflict, match=r"^plan_here_differs\(version=1\)"):
            journal.append(plans=(dataclasses.replace(PLAN, rounds=1),))
        with pytest.raises(JournalConflict, match=r"theirs=K-31, ours=K-07"):
            journal.append(plans=(dataclasses.replace(PLAN, person="K-31", version=2),))
        second = dataclasses.replace(PLAN, version=2, rounds=1)
        journal.append(plans=(second,))
        assert journal.plans() == (PLAN, second)
        assert journal.plan_in_force() == second


def test_an_entry_must_name_what_is_here(tmp_path: Path) -> None:
    filled(tmp_path, page(0))
    with opened(tmp_path) as journal:
        with pytest.raises(JournalConflict, match=r"^plan_not_here\(version=2\)"):
            journal.append(page(1, plan_version=2))
        with pytest.raises(JournalConflict, match=r"^corrected_not_here"):
            journal.append(page(1, replaces="0" * 32))
        question = Question(
            id=new_id(),
            for_day=DAY,
            written_at=datetime(2026, 3, 9, 19, tzinfo=UTC),
            written_by="person",
            plan_version=1,
            text="How long?",
        )
        journal.append(question)
        with pytest.raises(JournalConflict, match=r"^corrected_not_here"):
            journal.append(page(1, replaces=question.id))
        assert journal.count() == 2


@pytest.mark.parametrize("fields", [{"pain_average": 11}, {"note": "\x07"}, {"side": "both"}])
def test_what_could_not_be_read_back_is_never_written(
    tmp_path: Path, fields: dict[str, object]
) -> None:
    filled(tmp_path, page(0))
    with opened(tmp_path) as journal:
        with pytest.raises(ValueError, match=r"entry|not"):
            journal.append(page(1), page(2, **fields))
        assert journal.count() == 1


def test_the_draft_goes_in_the_transaction_that_keeps_the_entry(tmp_path: Path) -> None:
    with opened(tmp_path) as journal:
        journal.append(plans=(PLAN,))
        journal.save_draft("session", {"step": 3, "scores": [7, None]})
        journal.save_draft("session", {"step": 4})
        journal.save_draft("day_page", {"pain": 0})
    with opened(tmp_path) as journal:
        assert journal.draft("session") == {"step": 4}
        with pytest.raises(JournalConflict):
            journal.append(page(0, plan_version=9), drop_draft="session")
        assert journal.draft("session") == {"step": 4}
        journal.append(page(0), drop_draft="session")
        assert journal.draft("session") is None
        assert journal.draft("day_page") == {"pain": 0}
        journal.drop_draft("day_page")
        journal.drop_draft("day_page")
        assert journal.draft("day_page") is None


# ---------------------------------------------------------------- read only, threads


def test_read_only_sees_and_leaves_everything(tmp_path: Path) -> None:
    first = page(0)
    filled(tmp_path, first)
    before = everything(tmp_path)
    with opened(tmp_path) as window, opened(tmp_path, read_only=True) as reader:
        assert reader.entries() == (first,)
        with pytest.raises(JournalFault, match=r"only_readable"):
            reader.append(page(1))
        assert window.entries() == (first,)
    assert everything(tmp_path) == before
    with pytest.raises(JournalMissing, match=r"^no_diary_there"):
        opened(tmp_path / "absent", read_only=True)
    assert not (tmp_path / "absent").exists()


def test_closing_twice_is_harmless_and_a_closed_store_is_a_bug(tmp_path: Path) -> None:
    journal = opened(tmp_path)
    journal.close()
    journal.close()
    with pytest.raises(sqlite3.ProgrammingError, match="closed database"):
        journal.count()


def test_threads_wait_their_turn(tmp_path: Path) -> None:
    """Each answer is written whole, with a turn of its own, whoever writes beside it."""
    with opened(tmp_path) as journal:
        journal.append(plans=(small_plan(),))

        def use(first: int) -> None:
            for day in range(first, first + 10):
                journal.write(page(day, pain_average=4))

        threads = [threading.Thread(target=use, args=(first,)) for first in (0, 10, 20)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(entry.turn or 0 for entry in journal.entries()) == list(range(1, 31))


def test_each_write_is_forced_to_the_disk(tmp_path: Path) -> None:
    """SQLite documents synchronous 3 (EXTRA) as safe against power loss in rollback mode."""
    with opened(tmp_path) as journal:
        assert journal._db.execute("PRAGMA synchronous").fetchone() == (3,)
        assert journal._db.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        journal.append(page(0), plans=(PLAN,))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["journal.lock", "journal.sqlite3"]


def test_the_store_is_known_by_its_header(tmp_path: Path) -> None:
    path = filled(tmp_path)
    head = path.read_bytes()[:100]
    assert head[68:72] == b"Knee"  # application id: offset 68 of the SQLite file format
    assert int.from_bytes(head[60:64], "big") == schema.VERSION  # user version: offset 60
    with open_read_only(path) as db:
        assert schema.found(db) == schema.TABLES
    db.close()


def test_an_append_costs_the_same_however_much_is_there(tmp_path: Path) -> None:
    """Counted in steps of the database's machine, which no busy computer changes."""

    def steps(entries: int) -> int:
        folder = tmp_path / str(entries)
        filled(folder)
        with opened(folder) as journal:
            rows = (schema.entry_row(page(number)) for number in range(entries))
            with journal._writing():
                journal._db.executemany(schema.INSERT_ENTRY, rows)
            one, count = page(entries), [0]

            def step() -> int:
                count[0] += 1
                return 0

            journal._db.set_progress_handler(step, 1)
            journal.append(one, save_draft=("day:right", {"answers": []}))
            journal._db.set_progress_handler(None, 1)
        return count[0]

    few, many = steps(20), steps(2_000)
    assert few > 20
    assert many <= few * 1.5
