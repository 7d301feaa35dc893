"""Plan and diary files: what is written is read back, and every ending of a reading is named."""

import hashlib
import json
import os
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings

from companion.care.clocks import that_count
from companion.care.records import ENTRY_KINDS, Diary, Event, Question, ScoringTaught
from companion.exchange import files
from companion.exchange.files import (
    Reading,
    diary_bytes,
    plan_bytes,
    read,
    read_bytes,
    write_diary,
)
from companion.wire import upgrades
from companion.wire.plain import encode
from companion.wire.sign_off import sign_off_holds
from tests.builders import small_plan
from tests.exchange.made import (
    fifth_full_diary,
    fifth_full_plan,
    first_full_diary,
    first_full_plan,
    full_diary,
    full_plan,
    second_full_diary,
    seventh_full_diary,
    sixth_full_diary,
)
from tests.said import sentence
from tests.strategies import diaries

FORMAT = Path(files.__file__).with_name("FORMAT.md")


def with_header(body: bytes, opening: bytes = b"homeknee diary 7") -> bytes:
    """A file under a good digest, worked out here by FORMAT.md and not by the writer."""
    digest = hashlib.sha256(opening + b"\n" + body).hexdigest().encode()
    return opening + b" " + digest + b"\n" + body


def body_of(data: bytes) -> bytes:
    return data.split(b"\n", 1)[1]


def one_line(reading: Reading) -> bool:
    told = sentence(reading)
    return bool(told) and "\n" not in told and len(told) < 400


@settings(max_examples=40)
@given(diaries())
def test_no_entry_is_changed_by_writing_and_reading(diary: Diary) -> None:
    data = diary_bytes(diary)
    read_back = read_bytes(data).diary
    assert read_back is not None
    assert {e.id: encode(e) for e in read_back.entries} == {e.id: encode(e) for e in diary.entries}
    assert [encode(p) for p in read_back.plans] == [encode(p) for p in diary.plans]
    assert diary_bytes(read_back) == data
    plan = read_bytes(plan_bytes(diary.plan)).plan
    assert plan is not None
    assert encode(plan) == encode(diary.plan)


def test_a_diary_file_is_whole_whatever_it_is_called(tmp_path: Path) -> None:
    diary = seventh_full_diary()
    assert {e.kind for e in diary.entries} == ENTRY_KINDS.keys()
    path = tmp_path / "holiday.jpg"
    write_diary(path, diary)
    reading = read(path)
    assert (reading.state, reading.kind, reading.faults) == ("whole", "diary", ())
    assert reading.diary is not None
    assert reading.plan is None
    assert sorted(reading.diary.entries, key=lambda e: e.id) == sorted(
        diary.entries, key=lambda e: e.id
    )
    assert "holiday.jpg" in sentence(reading)
    assert "K-07" in sentence(reading)


def test_a_plan_file_is_whole(tmp_path: Path) -> None:
    (tmp_path / "plan.homeknee").write_bytes(plan_bytes(full_plan()))
    reading = read(tmp_path / "plan.homeknee")
    assert (reading.state, reading.kind) == ("whole", "plan")
    assert reading.plan == full_plan()
    assert reading.diary is None


def test_the_digest_is_sha_256_of_the_rest() -> None:
    """FIPS 180-4 by the standard library, over the bytes that FORMAT.md names."""
    assert diary_bytes(full_diary()) == with_header(body_of(diary_bytes(full_diary())))
    plan = plan_bytes(full_plan())
    assert plan == with_header(body_of(plan), b"homeknee plan 5")


def test_the_body_is_json_and_one_record_a_line() -> None:
    diary = full_diary()
    body = body_of(diary_bytes(diary))
    value = json.loads(body)
    assert value.keys() == {"person", "plans", "entries"}
    assert len(value["entries"]) == len(diary.entries)
    assert body.count(b"\n") == len(diary.plans) + len(diary.entries) + 3
    assert body.endswith(b"]}\n")


def test_the_order_of_entries_does_not_matter() -> None:
    diary = full_diary()
    turned = Diary(plans=diary.plans[::-1], entries=diary.entries[::-1])
    assert diary_bytes(turned) == diary_bytes(diary)


def test_the_example_in_the_description_reads_as_whole() -> None:
    example = re.search(r"```\n(homeknee diary 7 .*?)```", FORMAT.read_text("utf-8"), re.DOTALL)
    assert example is not None
    reading = read_bytes(example[1].encode())
    assert reading.state == "whole", sentence(reading)
    assert diary_bytes(reading.value) == example[1].encode()  # type: ignore[arg-type]


def test_the_description_names_every_state() -> None:
    text = FORMAT.read_text("utf-8")
    assert [state for state in get_args(files.State) if f"`{state}`" not in text] == []


def test_a_diary_without_entries_is_whole() -> None:
    reading = read_bytes(diary_bytes(Diary(plans=(small_plan(),))))
    assert reading.state == "whole"
    assert reading.diary == Diary(plans=(small_plan(),))


# ---------------------------------------------------------------- states


def test_missing(tmp_path: Path) -> None:
    for path in (tmp_path / "gone.homeknee", tmp_path / "gone" / "x", Path("\udc80")):
        reading = read(path)
        assert reading.state == "missing"
        assert one_line(reading)


def test_unreadable(tmp_path: Path) -> None:
    reading = read(tmp_path)
    assert reading.state == "unreadable"
    assert one_line(reading)
    assert read(Path("a\x00b")).state == "unreadable"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert read(tmp_path / "pipe").state == "unreadable"


def test_the_machine_failing_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "plan.homeknee").write_bytes(plan_bytes(small_plan()))

    def fails(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", fails)
    reading = read(tmp_path / "plan.homeknee")
    assert reading.state == "unreadable"
    assert "permission denied" in sentence(reading)


def test_too_large_is_known_before_reading(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "big.homeknee"
    with path.open("wb") as file:
        file.truncate(17 * 1024 * 1024)

    def never(*_: object, **__: object) -> None:
        raise AssertionError("the file was opened")

    monkeypatch.setattr(Path, "open", never)
    reading = read(path)
    assert reading.state == "too_large"
    assert "16 MiB" in sentence(reading)


def test_a_plan_has_a_smaller_limit() -> None:
    data = with_header(b" " * (1024 * 1024) + b"\n", b"homeknee plan 4")
    reading = read_bytes(data)
    assert reading.state == "too_large"
    assert "1 MiB" in sentence(reading)


@pytest.mark.parametrize(
    "data",
    [
        b"age-encryption.org/v1\n-> X25519 abc\n",
        b"-----BEGIN AGE ENCRYPTED FILE-----\nYWdl\n",
        b"\r\n-----BEGIN AGE ENCRYPTED FILE-----\r\nYWdl\r\n",
    ],
)
def test_sealed(data: bytes) -> None:
    """The first line of an age v1 file, and its armour (C2SP age specification)."""
    reading = read_bytes(data)
    assert reading.state == "sealed"
    assert one_line(reading)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"%PDF-1.7\n",
        b"PK\x03\x04" + bytes(200),
        b"SQLite format 3\x00" + bytes(4000),
        b"day,side,pain_average\n2026-03-02,right,4\n",
        b'{"person":"K-07"}',
        bytes(5000),
        "A letter about my knee.\n".encode("utf-16"),
    ],
)
def test_not_ours(data: bytes) -> None:
    reading = read_bytes(data)
    assert reading.state == "not_ours"
    assert one_line(reading)


@pytest.mark.parametrize(
    "opening", [b"homeknee diary 8", b"homeknee plan 9999", b"homeknee pack 1"]
)
def test_too_new_only_under_a_good_digest(opening: bytes) -> None:
    whole = with_header(b"whatever comes later\n", opening)
    assert read_bytes(whole).state == "too_new"
    assert read_bytes(whole[:-1]).state == "damaged"
    assert read_bytes(whole.replace(b"later", b"latex")).state == "damaged"


def test_a_diary_under_the_name_of_a_plan_is_faulty() -> None:
    body = body_of(diary_bytes(full_diary()))
    reading = read_bytes(with_header(body, b"homeknee plan 4"))
    assert reading.state == "faulty"
    assert reading.value is None


# ---------------------------------------------------------------- versions


def test_an_older_version_passes_the_steps_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Played with two made-up later versions: entries change in one step, plans in the other."""

    def entry_from_7(value: dict[str, Any]) -> dict[str, Any]:
        return value | {"written_by": "clinic"}

    def plan_from_8(value: dict[str, Any]) -> dict[str, Any]:
        return value | {"rounds": 3}

    data = diary_bytes(Diary(plans=(small_plan(),), entries=full_diary().entries[:1]))
    monkeypatch.setitem(files.VERSIONS, "diary", 9)
    monkeypatch.setitem(upgrades.ENTRY_UPGRADES, 7, entry_from_7)
    monkeypatch.setitem(upgrades.PLAN_UPGRADES, 8, plan_from_8)
    diary = read_bytes(data).diary
    assert diary is not None
    assert diary.entries[0].written_by == "clinic"
    assert diary.plan.rounds == 3
    broken = with_header(body_of(data).replace(b'"form":', b'"side":"left","form":'))
    assert read_bytes(broken).state == "faulty"
    assert read_bytes(with_header(body_of(data).replace(b'{"id"', b'["id"'))).state == "faulty"


def _signed_with_an_easy_day() -> dict[str, Any]:
    """A plan as version 3 wrote and signed it: the mark under its old name."""
    marked = replace(full_plan(), bad_day_mark=7)
    plan = {"easy_day_mark" if k == "bad_day_mark" else k: v for k, v in encode(marked).items()}
    unsigned = {key: value for key, value in plan.items() if key != "sign_off"}
    text = json.dumps(unsigned, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    seal: dict[str, Any] = plan["sign_off"]  # type: ignore[assignment]
    return plan | {"sign_off": seal | {"content_sha256": hashlib.sha256(text.encode()).hexdigest()}}


def test_an_easy_day_mark_of_version_3_is_the_bad_day_mark_and_stays_signed() -> None:
    old = _signed_with_an_easy_day()
    plan = read_bytes(with_header(json.dumps(old).encode() + b"\n", b"homeknee plan 3")).plan
    assert plan is not None
    assert plan.bad_day_mark == 7
    assert sign_off_holds(plan)
    forged = old | {"easy_day_mark": 9}
    reading = read_bytes(with_header(json.dumps(forged).encode() + b"\n", b"homeknee plan 3"))
    assert reading.state == "faulty", "a content that was not signed is not signed by the upgrade"
    assert "sign_off" in sentence(reading)
    newer = with_header(json.dumps(old).encode() + b"\n")
    assert read_bytes(newer.replace(b"diary", b"plan", 1)).state != "whole"


@pytest.mark.parametrize("writer", ["clinic", "person"])
def test_how_scoring_was_taught_is_no_other_care_in_an_old_file(writer: str) -> None:
    """Version 2 had no place for it: the clinic wrote it as other care, and wrote no other."""
    old = full_diary().entries[0]
    entry = {
        **{key: encode(old)[key] for key in ("id", "for_day", "written_at", "plan_version")},
        "written_by": writer,
        "kind": "event",
        "what": "other_care",
        "note": "Ten is the winch handle on the kneecap.",
    }
    data = diary_bytes(Diary(plans=(small_plan(),), entries=(old,)))
    lines = body_of(data).split(b"\n")
    lines[3] = json.dumps(entry).encode()
    reading = read_bytes(with_header(b"\n".join(lines), b"homeknee diary 2"))
    assert reading.diary is not None, reading
    (read_as,) = reading.diary.entries
    if writer == "clinic":
        assert isinstance(read_as, ScoringTaught)
        assert read_as.words == entry["note"]
    else:
        assert isinstance(read_as, Event)
        assert (read_as.what, read_as.note) == ("other_care", entry["note"])
    assert read_as.id == old.id


ASKED = "I was asked if a score of 10 is the worst possible pain. "
RUN = "Five of my sessions in a row began at 10."


@pytest.mark.parametrize(
    ("text", "answer", "left"),
    [
        (f"{ASKED}I said yes. {RUN}", "worst", None),
        (f"{ASKED}I said no. {RUN}", "can_be_worse", None),
        (f"{ASKED}I said I am not sure. {RUN}", "not_sure", None),
        (f"{ASKED}I said no. {RUN}\nMay I score 11?", "can_be_worse", "May I score 11?"),
        (f"{ASKED}What shall I say?", None, f"{ASKED}What shall I say?"),
        ("May I swim?", None, "May I swim?"),
    ],
)
def test_what_was_said_of_ten_is_an_answer_in_an_old_file(
    text: str, answer: str | None, left: str | None
) -> None:
    """Version 2 wrote it as a sentence of ours, which later code had to read."""
    old = full_diary().entries[0]
    entry = {
        **{key: encode(old)[key] for key in ("id", "for_day", "written_at", "plan_version")},
        "written_by": "person",
        "kind": "question",
        "text": text,
    }
    data = diary_bytes(Diary(plans=(small_plan(),), entries=(old,)))
    lines = body_of(data).split(b"\n")
    lines[3] = json.dumps(entry).encode()
    reading = read_bytes(with_header(b"\n".join(lines), b"homeknee diary 2"))
    assert reading.diary is not None, reading
    (read_as,) = reading.diary.entries
    assert isinstance(read_as, Question)
    assert (read_as.ten_said, read_as.text) == (answer, left)


CONTENTS = {
    "1": (first_full_plan, first_full_diary),
    "2": (full_plan, second_full_diary),
    "3": (full_plan, full_diary),
    "4": (full_plan, full_diary),
    "5": (fifth_full_plan, fifth_full_diary),
    "6": (full_plan, sixth_full_diary),
    "7": (full_plan, seventh_full_diary),
}


def _frozen() -> list[Path]:
    return sorted((Path(__file__).parent / "frozen").iterdir())


@pytest.mark.parametrize("path", _frozen(), ids=lambda path: path.name)
def test_every_version_ever_handed_out_is_still_read(path: Path) -> None:
    reading = read(path)
    assert reading.state == "whole", sentence(reading)
    plan, diary = CONTENTS[path.stem.partition("-")[2]]
    if reading.diary is not None:
        assert {e.id: e for e in reading.diary.entries} == {e.id: e for e in diary().entries}
        assert reading.diary.plans == diary().plans
    else:
        assert reading.plan == plan()
        assert reading.plan is not None
        assert sign_off_holds(reading.plan)


def test_one_file_is_kept_for_each_version() -> None:
    expected = {
        f"{kind}-{version}.homeknee"
        for kind, newest in files.VERSIONS.items()
        for version in range(1, newest + 1)
    }
    assert {path.name for path in _frozen()} == expected


# ---------------------------------------------------------------- today


def test_a_page_from_the_future_is_taken_in_and_marked() -> None:
    data = diary_bytes(full_diary())
    last = max(entry.written_at for entry in full_diary().entries).date()
    for today in (None, last):
        diary = read_bytes(data, today=today).diary
        assert diary is not None
        assert diary.wrong_clock == ()
    diary = read_bytes(data, today=last - timedelta(days=2)).diary
    assert diary is not None
    assert len(diary.entries) == len(full_diary().entries)
    late = {e.id for e in diary.entries if e.written_at.date() == last}
    assert set(diary.wrong_clock) == late
    assert not late & {entry.id for entry in that_count(diary)}


@pytest.mark.parametrize("name", ["x\ny.homeknee", "y" * 5000, "\u202ex"])
def test_the_name_of_a_file_cannot_break_the_sentence(name: str) -> None:
    shown: Callable[[str], str] = files.shown_name
    assert len(shown(name)) <= 80
    assert "\n" not in shown(name)
    assert "\u202e" not in shown(name)
