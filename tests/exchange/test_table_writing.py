"""The table that goes out: complete, safe in a spreadsheet, and read back as it was."""

import csv
import dataclasses
import io
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.coded import Coded
from companion.care.records import (
    ActivityScore,
    Amount,
    AmountPlan,
    AnyEntry,
    DayPage,
    Diary,
    HandsRound,
    MoveScore,
    Plan,
    Session,
    StepDone,
    TapeOff,
    TapeOn,
)
from companion.exchange.files import read
from companion.exchange.table import read_table, write_table
from companion.exchange.table_cells import UNITS, amount, amount_text, defused, undefused
from companion.system.resources import demo_profiles
from tests import strategies

PLAN = Plan(
    person="K-07",
    version=1,
    written_on=date(2026, 9, 14),
    review_on=date(2026, 11, 24),
    side="right",
    main_side="right",
    activities=("walk to the fish quay", "stairs to the harbour office"),
    amounts=(AmountPlan(label="walk to the fish quay", unit="m", baseline=300.0, goal=600.0),),
)
DAY = date(2026, 10, 2)
SUMMER = timezone(timedelta(hours=1))
FIXED = (
    "day,side,pain_now,pain_average,pain_worst,stiffness_min,before,after_hands,after_tape,"
    "tape_stage,tape_worn,steps_done,exercise_done,medicine,skin,night_pain,stairs,fell,sign"
)


def at(hour: int, minute: int = 0, day: date = DAY) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=SUMMER)


def common(number: int, hour: int = 20, day: date = DAY) -> dict[str, Any]:
    return {
        "id": f"{number:032x}",
        "for_day": day,
        "written_at": at(hour, day=day),
        "written_by": "person",
        "plan_version": 1,
        "side": "right",
    }


def rows(*entries: AnyEntry) -> list[dict[str, str]]:
    text = write_table(Diary(plans=(PLAN,), entries=entries))
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_an_empty_diary_is_a_header() -> None:
    text = write_table(Diary(plans=(PLAN,)))
    assert text == FIXED + ",note\r\n"


def test_a_day_page_is_a_row_with_its_labelled_columns_before_the_note() -> None:
    page = DayPage(
        **common(1),
        form="full",
        pain_now=0,
        pain_average=4,
        stiffness_minutes=30,
        medicine=False,
        skin="pink",
        activities=(
            ActivityScore(label="row the tender", score=2),
            ActivityScore(label="stairs to the harbour office", score=7),
            ActivityScore(label="walk to the fish quay", score=6),
        ),
        amounts=(Amount(label="walk to the fish quay", unit="m", amount=320.5),),
        note="wind, and rain",
    )
    text = write_table(Diary(plans=(PLAN,), entries=(page,)))
    assert text.splitlines() == [
        FIXED + ",activity:walk to the fish quay,activity:stairs to the harbour office,"
        "activity:row the tender,amount:walk to the fish quay:m,note",
        '2026-10-02,right,0,4,,30,,,,,,,,0,pink,,,,,6,7,2,320.5,"wind, and rain"',
    ]


def test_lines_end_in_crlf_and_there_is_no_byte_order_mark() -> None:
    # RFC 4180 section 2, rules 1 and 2.
    text = write_table(Diary(plans=(PLAN,), entries=(DayPage(**common(1), note="a\nb"),)))
    assert text.startswith("day,")
    assert text.endswith('"a\nb"\r\n')
    assert text.count("\r\n") == 2


def test_a_private_note_stays_at_home() -> None:
    (row,) = rows(DayPage(**common(1), pain_now=3, note="between us", note_private=True))
    assert (row["pain_now"], row["note"]) == ("3", "")


def test_a_correction_counts_and_what_it_replaced_does_not() -> None:
    typed = DayPage(**common(1), pain_average=9)
    meant = dataclasses.replace(typed, id=f"{2:032x}", replaces=typed.id, pain_average=5)
    (row,) = rows(typed, meant)
    assert row["pain_average"] == "5"


def _session(number: int, hour: int, **fields: Any) -> Session:
    return Session(**common(number, hour), ended="finished", **fields)


def test_the_last_session_at_home_is_the_day_s() -> None:
    done = (HandsRound(steps=(StepDone(step="stroke_thigh", outcome="done"),)),)
    morning = _session(1, 9, moves=(MoveScore(role="before", score=8),), rounds=done)
    noon = _session(
        2,
        12,
        moves=(
            MoveScore(role="before", score=7),
            MoveScore(role="after_hands", score=6),
            MoveScore(role="after_hands", score=5),
            MoveScore(role="after_tape", score=4, stage=1),
            MoveScore(role="after_tape", score=3, stage=2),
        ),
        stage=2,
    )
    exercise = _session(3, 17, exercises=(StepDone(step="heel_slide", outcome="done"),))
    clinic = _session(4, 18, moves=(MoveScore(role="before", score=1),), place="clinic")
    (row,) = rows(morning, noon, exercise, clinic)
    assert [row[name] for name in ("before", "after_hands", "after_tape", "tape_stage")] == [
        "7",
        "5",
        "3",
        "2",
    ]
    assert (row["steps_done"], row["exercise_done"]) == ("1", "1")


def test_skipped_steps_say_nothing() -> None:
    skipped = (StepDone(step="heel_slide", outcome="skipped"),)
    before = (MoveScore(role="before", score=3),)
    (row,) = rows(_session(1, 9, exercises=skipped, moves=before))
    assert (row["steps_done"], row["exercise_done"]) == ("", "")


def test_tape_is_worn_on_every_day_it_touches() -> None:
    on = TapeOn(**common(1, 10), happened_at=at(10), stage=1)
    added = TapeOn(**common(2, 11), happened_at=at(11), stage=2)
    two_later = DAY + timedelta(days=2)
    off = TapeOff(
        **common(3, 9, two_later),
        tape_on=on.id,
        happened_at=at(2, 30, two_later),
        came_off_by_itself=True,
    )
    pages = [
        DayPage(**common(10 + n, day=DAY + timedelta(days=n)), pain_now=3) for n in range(-1, 3)
    ]
    # Off at 02:30 of the 4th: the diary day of the 3rd has not ended yet.
    assert [(row["tape_worn"], row["tape_stage"]) for row in rows(on, added, off, *pages)] == [
        ("", ""),
        ("1", "2"),
        ("1", "2"),
        ("", ""),
    ]


def test_the_stage_of_a_day_is_the_highest_worn_in_it() -> None:
    """Off in the morning, the lower stage on again in the evening."""
    high = TapeOn(**common(1, 8), happened_at=at(8), stage=2)
    off = TapeOff(**common(2, 11), tape_on=high.id, happened_at=at(11))
    low = TapeOn(**common(3, 20), happened_at=at(20), stage=1)
    page = DayPage(**common(4), pain_now=3)
    (row,) = rows(high, off, low, page)
    assert (row["tape_worn"], row["tape_stage"]) == ("1", "2")


def test_tape_nobody_wrote_off_is_worn_no_longer_than_the_cap() -> None:
    on = TapeOn(**common(1, 10), happened_at=at(10), stage=1)
    pages = [DayPage(**common(10 + n, day=DAY + timedelta(days=n)), pain_now=3) for n in range(8)]
    # 120 hours, the plan's hard cap, end at 10:00 five days later.
    assert [row["tape_worn"] for row in rows(on, *pages)] == ["1"] * 6 + ["", ""]


@pytest.mark.parametrize(
    "text",
    [
        "=HYPERLINK(\"http://192.0.2.1\",\"x\")",
        "+1",
        "-1",
        "@SUM(A1)",
        "\tx",
        "\nx",
        "\uff1d1",
        "'=1",
        "''+1",
        "'plain",
        "plain = text",
        "",
    ],
)  # fmt: skip
def test_formulas_are_defused_and_come_back(text: str) -> None:
    # OWASP, CSV injection: cells that begin with = + - @ tab or CR (from memory).
    out = defused(text)
    assert out[:1] not in tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")
    assert undefused(out) == text
    assert (out != text) == (text.lstrip("'")[:1] in tuple("=+-@\t\n\uff1d") and text != "")


@given(st.text(alphabet="'=+-@\t\n ab", max_size=12))
def test_defusing_is_undone_for_any_text(text: str) -> None:
    assert undefused(defused(text)) == text


@given(st.floats(0, 100_000))
def test_an_amount_is_written_so_that_it_reads_as_it_was(value: float) -> None:
    text = amount_text(value)
    assert amount(text) == value
    assert "e" not in text


AFTER_ALL = datetime(2040, 1, 1, tzinfo=UTC)


def _with_known_units(diary: Diary) -> Diary:
    """A unit that is neither known nor the plan's cannot be taken in again; here all are known."""

    def known(entry: AnyEntry) -> AnyEntry:
        if not isinstance(entry, DayPage):
            return entry
        amounts = tuple(
            dataclasses.replace(item, unit=UNITS[len(item.unit) % len(UNITS)])
            for item in entry.amounts
        )
        return dataclasses.replace(entry, amounts=amounts)

    return dataclasses.replace(diary, entries=tuple(known(entry) for entry in diary.entries))


CONTRADICTIONS = {
    "worst_below_average", "stage_without_tape", "stage_beyond_plan", "person_differs",
}  # fmt: skip
"""What a diary may hold, question by question, and a table that comes in may not."""


def _read_again(text: str, plan: Plan) -> tuple[Diary, list[Coded]]:
    both = dataclasses.replace(plan, side="both")
    reading = read_table(text.encode(), both, AFTER_ALL)
    return Diary(plans=(both,), entries=reading.entries), [fault.what for fault in reading.faults]


@settings(max_examples=25)
@given(strategies.diaries(most_entries=12).map(_with_known_units))
def test_a_table_read_and_written_again_is_the_same_table(diary: Diary) -> None:
    text = write_table(diary)
    again, faults = _read_again(text, diary.plan)
    assert {what.code for what in faults} <= CONTRADICTIONS
    once = write_table(again)
    if not faults:
        assert once == text
    more, faults = _read_again(once, diary.plan)
    assert faults == []
    assert write_table(more) == once


def test_a_session_left_before_its_first_score_makes_no_row() -> None:
    """A row with only a day and a knee would be read as nothing, and be gone the next time."""
    left = Session(**common(1), ended="left")
    scored = Session(
        **common(2, day=DAY + timedelta(days=1)),
        moves=(MoveScore(role="before", score=0),),
        ended="left",
    )
    assert [(row["day"], row["before"]) for row in rows(left, scored)] == [("2026-10-03", "0")]


@settings(max_examples=25)
@given(strategies.diaries(most_entries=12))
def test_no_cell_of_any_diary_begins_a_formula(diary: Diary) -> None:
    for row in csv.reader(io.StringIO(write_table(diary), newline=""), strict=True):
        for cell in row:
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@pytest.mark.parametrize("name", ["edda", "osric", "wilma", "tobin", "jory"])
def test_the_demo_diaries_come_back_as_they_went(name: str) -> None:
    diary = read(demo_profiles() / name / "diary.homeknee").diary
    assert diary is not None
    text = write_table(diary)
    again, faults = _read_again(text, diary.plan)
    assert faults == []
    assert write_table(again) == text
    pages = {(e.for_day, e.side) for e in diary.entries if isinstance(e, DayPage)}
    assert pages <= {(e.for_day, e.side) for e in again.entries if isinstance(e, DayPage)}
