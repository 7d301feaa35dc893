"""An older store is brought up to date with all that is in it, or left as it was."""

import contextlib
import json
import sqlite3
from pathlib import Path
from typing import Any, NoReturn

import pytest

from companion.care.records import Event, Question, ScoringTaught
from companion.journal import schema
from companion.journal.backups import BEFORE_UPGRADE_KEPT, is_good, newest_good
from companion.journal.faults import JournalDamaged, JournalFull, JournalTooNew
from companion.journal.schema import newest_entry
from companion.wire.plain import encode
from tests.exchange.made import first_full_diary
from tests.journal.made import everything, filled, opened, page
from tests.said import sentence

FROZEN = Path(__file__).with_name("frozen")


@pytest.fixture(params=range(schema.VERSION))
def version(request: pytest.FixtureRequest) -> int:
    """Every older version."""
    return int(request.param)


@pytest.fixture
def old(tmp_path: Path, version: int) -> Path:
    """A folder with the frozen store of that version."""
    with contextlib.closing(sqlite3.connect(tmp_path / "journal.sqlite3")) as db:
        db.executescript((FROZEN / f"v{version}.sql").read_text(encoding="utf-8"))
        assert db.execute("PRAGMA user_version").fetchone() == (version,)
    return tmp_path


def _rows(path: Path, question: str) -> list[tuple[object, ...]]:
    with contextlib.closing(sqlite3.connect(path)) as db:
        return db.execute(question).fetchall()


def test_an_old_store_is_brought_up_with_every_entry(old: Path, version: int) -> None:
    bodies = [
        json.loads(str(row[0]))
        for row in _rows(old / "journal.sqlite3", "SELECT body FROM entries ORDER BY seq")
    ]
    with opened(old) as journal:
        assert [encode(entry) for entry in journal.entries()] == [newest_entry(b) for b in bodies]
        expected = first_full_diary().entries
        assert [encode(e) for e in journal.entries()] == [encode(e) for e in expected]
        assert journal.plans() == first_full_diary().plans
        journal.check()
        assert journal.draft("session") == ({"step": 1} if version else None)
        journal.save_draft("session", {"step": 2})
        journal.append(page(9))
    path = old / "journal.sqlite3"
    assert _rows(path, "PRAGMA user_version") == [(schema.VERSION,)]
    assert _rows(path, "SELECT value FROM meta WHERE key = 'made_on'") == [("2026-03-02",)]
    with contextlib.closing(sqlite3.connect(path)) as db:
        assert schema.found(db) == schema.TABLES  # the same as in a new store


def _rewrite(old: Path, version: int, its_id: str, body: dict[str, Any]) -> None:
    """Let an entry of the old store hold another body, with the check over its row."""
    with contextlib.closing(sqlite3.connect(old / "journal.sqlite3")) as db:
        db.execute("UPDATE entries SET body = ? WHERE id = ?", (json.dumps(body), its_id))
        if version:
            names = schema.COLUMNS_BEFORE_AT if version == 1 else schema.ENTRY_COLUMNS
            columns = names.removesuffix(", crc")
            (row,) = db.execute(f"SELECT {columns} FROM entries WHERE id = ?", (its_id,))
            db.execute("UPDATE entries SET crc = ? WHERE id = ?", (schema.crc(*row), its_id))
        db.commit()


@pytest.mark.parametrize("read_only", [False, True])
def test_how_scoring_was_taught_is_found_where_it_was_kept_as_other_care(
    old: Path, version: int, read_only: bool
) -> None:
    """What an older store holds passes the same steps as what an older file holds."""
    (fall,) = (e for e in first_full_diary().entries if isinstance(e, Event))
    body = {**encode(fall), "written_by": "clinic", "what": "other_care", "note": "Ten is a fin."}
    _rewrite(old, version, fall.id, body)
    with opened(old, read_only=read_only) as journal:
        (taught,) = (e for e in journal.entries() if isinstance(e, ScoringTaught))
        assert (taught.id, taught.for_day, taught.words) == (fall.id, fall.for_day, "Ten is a fin.")
        assert not any(isinstance(entry, Event) for entry in journal.entries())


def test_what_was_said_of_ten_is_found_where_it_was_kept_as_a_sentence(
    old: Path, version: int
) -> None:
    (asked,) = (e for e in first_full_diary().entries if isinstance(e, Question))
    text = (
        "I was asked if a score of 10 is the worst possible pain. I said I am not sure. "
        "Five of my sessions in a row began at 10."
    )
    _rewrite(old, version, asked.id, {**encode(asked), "text": text})
    with opened(old) as journal:
        (read_as,) = (e for e in journal.entries() if isinstance(e, Question))
        assert (read_as.id, read_as.ten_said, read_as.text) == (asked.id, "not_sure", None)


def test_a_copy_of_the_old_store_is_put_aside_first(old: Path, version: int) -> None:
    before = _rows(old / "journal.sqlite3", "SELECT * FROM entries")
    opened(old).close()
    (copy,) = (old / "backups").iterdir()
    assert copy.name.startswith(f"before-v{schema.VERSION}-20260309T1800")
    assert _rows(copy, "SELECT * FROM entries") == before
    assert _rows(copy, "PRAGMA user_version") == [(version,)]
    assert is_good(copy)
    opened(old).close()
    assert len([*(old / "backups").iterdir()]) == 1  # not again


@pytest.mark.parametrize(
    "statement",
    [
        "DROP TABLE meta",
        "CREATE TABLE drafts",
        "INSERT INTO entries",
        "PRAGMA user_version",
        "COMMIT",
    ],
)
def test_a_failure_in_the_middle_leaves_the_old_store(
    old: Path, monkeypatch: pytest.MonkeyPatch, statement: str
) -> None:
    before = (old / "journal.sqlite3").read_bytes()

    class Breaking(sqlite3.Connection):
        def execute(self, sql: str, *values: object) -> sqlite3.Cursor:
            self._break(sql)
            return super().execute(sql, *values)  # type: ignore[arg-type]

        def executemany(self, sql: str, *values: object) -> sqlite3.Cursor:
            self._break(sql)
            return super().executemany(sql, *values)  # type: ignore[arg-type]

        def _break(self, sql: str) -> None:
            asks_only = sql.startswith("PRAGMA") and "=" not in sql
            if sql.startswith(statement) and not asks_only:
                raise KeyboardInterrupt  # whatever it is that stops the program here

    connect = sqlite3.connect

    def breaking(path: Path, **options: object) -> sqlite3.Connection:
        if Path(path).name == "journal.sqlite3":
            return Breaking(path, **options)  # type: ignore[arg-type]
        return connect(path, **options)  # type: ignore[call-overload, no-any-return]

    monkeypatch.setattr("companion.journal.store.sqlite3.connect", breaking)
    with pytest.raises(KeyboardInterrupt):
        opened(old)
    monkeypatch.undo()
    assert (old / "journal.sqlite3").read_bytes() == before
    with opened(old) as journal:
        assert journal.count() == len(first_full_diary().entries)


def test_no_copy_no_upgrade(old: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> NoReturn:
        raise OSError(28, "No space left on device")

    before = (old / "journal.sqlite3").read_bytes()
    monkeypatch.setattr("companion.journal.backups.make", fails)
    with pytest.raises(JournalFull, match=r"^no_room"):
        opened(old)
    assert (old / "journal.sqlite3").read_bytes() == before


def test_read_only_reads_an_old_store_and_leaves_it(old: Path) -> None:
    before = everything(old)
    with opened(old, read_only=True) as journal:
        assert journal.count() == len(first_full_diary().entries)
        assert journal.plans() == first_full_diary().plans
    assert everything(old) == before


def test_a_damaged_old_store_is_not_brought_up(old: Path) -> None:
    path = old / "journal.sqlite3"
    path.write_bytes(path.read_bytes().replace(b"pain_worst", b"pain_wurst"))
    before = everything(old)
    with pytest.raises(JournalDamaged):
        opened(old)
    assert everything(old) == before


def test_a_newer_store_is_left_alone(tmp_path: Path) -> None:
    path = filled(tmp_path, page(0))
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    before = everything(tmp_path)
    for read_only in (False, True):
        with pytest.raises(JournalTooNew, match=r"^store_too_new") as fault:
            opened(tmp_path, read_only=read_only)
        assert "left alone" in sentence(fault.value)
    assert everything(tmp_path) == before


def test_there_is_a_step_from_every_older_version_and_a_frozen_store() -> None:
    assert sorted(schema.STEPS) == list(range(schema.VERSION))
    frozen = {path.name for path in FROZEN.iterdir()}
    assert frozen == {f"v{version}.sql" for version in range(schema.VERSION)}


def test_copies_from_before_upgrades_are_turned_over(old: Path) -> None:
    for minute in range(5):
        with contextlib.closing(sqlite3.connect(old / "journal.sqlite3")) as db:
            copies = old / "backups"
            copies.mkdir(exist_ok=True)
            with contextlib.closing(
                sqlite3.connect(copies / f"before-v1-20250101T00000{minute}.sqlite3")
            ) as copy:
                db.backup(copy)
    opened(old).close()
    names = sorted(path.name for path in (old / "backups").iterdir())
    assert len(names) == BEFORE_UPGRADE_KEPT
    assert names[-1].startswith(f"before-v{schema.VERSION}-2026")
    assert newest_good(old) is not None
