"""Tables from outside: what they bring in, and every way they can be wrong."""

import dataclasses
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.care.clocks import written_after
from companion.care.coded import coded
from companion.care.history import merge
from companion.care.records import (
    AmountPlan,
    DayPage,
    Diary,
    MoveScore,
    Plan,
    Session,
    TapeOff,
    TapeOn,
    TapePlan,
)
from companion.exchange.cross_checks import plans_faults, sound
from companion.exchange.files import diary_bytes, read_bytes
from companion.exchange.table import MOST_BYTES, MOST_FAULTS, TableReading, read_table
from tests.said import sentence

PLAN = Plan(
    person="K-07",
    version=3,
    written_on=date(2026, 9, 14),
    review_on=date(2026, 11, 24),
    side="right",
    main_side="right",
    tape=TapePlan(highest=2),
    amounts=(AmountPlan(label="net mending", unit="nets", baseline=2.0, goal=4.0),),
)
BOTH = dataclasses.replace(PLAN, side="both")
NOT_UTF_8 = "line {line}: not UTF-8 text, save the table as CSV in UTF-8"
NUL = "line {line}: a NUL character, save the table as CSV in UTF-8"
NEEDED = "a label and a unit are needed, such as amount:walk:m"
AT = datetime(2026, 11, 25, 18, tzinfo=timezone(timedelta(0)))


def table(text: str, plan: Plan = PLAN, at: datetime = AT) -> TableReading:
    return read_table(text.encode(), plan, at)


def page(text: str) -> DayPage:
    reading = table(text)
    assert reading.faults == ()
    (entry,) = reading.entries
    assert isinstance(entry, DayPage)
    return entry


def sentences(text: str, plan: Plan = PLAN) -> list[str]:
    return [sentence(fault) for fault in table(text, plan).faults]


# ---------------------------------------------------------------- what comes in


def test_every_column_of_the_contract_comes_in() -> None:
    header = (
        "day,side,pain_now,pain_average,pain_worst,stiffness_min,before,after_hands,after_tape,"
        "tape_stage,tape_worn,steps_done,exercise_done,medicine,skin,activity:walk,"
        "amount:walk:m,note"
    )
    row = '2026-10-02,right,3,4,6,20,7,5,3,2,1,1,0,1,pink,6,250.5,"windy, cold"'
    reading = table(f"{header}\n{row}\n")
    assert reading.faults == ()
    session, day_page = reading.entries
    assert isinstance(session, Session)
    assert isinstance(day_page, DayPage)
    assert session.moves == (
        MoveScore(role="before", score=7),
        MoveScore(role="after_hands", score=5),
        MoveScore(role="after_tape", score=3, stage=2),
    )
    assert (session.stage, session.ended, session.place) == (2, "finished", "home")
    assert (day_page.pain_now, day_page.pain_average, day_page.pain_worst) == (3, 4, 6)
    assert day_page.stiffness_minutes == 20
    assert (day_page.tape_stage, day_page.tape_worn) == (2, True)
    assert (day_page.hands_done, day_page.exercise_done) == (True, False)
    assert (day_page.medicine, day_page.skin) == (True, "pink")
    assert [(a.label, a.score) for a in day_page.activities] == [("walk", 6)]
    assert [(a.label, a.unit, a.amount) for a in day_page.amounts] == [("walk", "m", 250.5)]
    assert day_page.note == "windy, cold"


def test_entries_are_of_paper_and_of_the_plan_s_version() -> None:
    for entry in table("day,before,pain_now\n2026-10-02,5,4\n").entries:
        assert (entry.written_by, entry.written_at, entry.plan_version) == ("paper", AT, 3)


def test_an_empty_cell_is_absent_never_0() -> None:
    entry = page("day,pain_now,pain_average,medicine,skin,note\n2026-10-02, ,4,,,\n")
    assert (entry.pain_now, entry.pain_average) == (None, 4)
    assert (entry.medicine, entry.skin, entry.note) == (None, None, None)


@pytest.mark.parametrize("row", ["2026-10-02", "2026-10-02,right", "2026-10-02,right,,"])
def test_a_row_with_only_its_day_makes_nothing(row: str) -> None:
    assert table(f"day,side,pain_now,before\n{row}\n") == TableReading((), ())


def test_days_before_the_plan_are_accepted() -> None:
    assert page("day,pain_now\n2025-12-31,4\n").for_day == date(2025, 12, 31)


@pytest.mark.parametrize(
    ("cells", "ended", "stage"),
    [
        ({"before": "7"}, "left", None),
        ({"before": "7", "steps_done": "0"}, "left", None),
        ({"before": "7", "steps_done": "1"}, "finished", None),
        ({"before": "7", "after_hands": "4"}, "finished", None),
        ({"after_hands": "4"}, "finished", None),
        ({"before": "7", "after_tape": "4"}, "finished", 1),
        ({"before": "7", "after_tape": "4", "tape_stage": "2"}, "finished", 2),
        ({"before": "7", "after_hands": "4", "tape_stage": "0"}, "finished", 0),
    ],
)
def test_any_score_of_a_move_makes_a_session(
    cells: dict[str, str], ended: str, stage: int | None
) -> None:
    reading = table(f"day,{','.join(cells)}\n2026-10-02,{','.join(cells.values())}\n")
    assert reading.faults == ()
    session = reading.entries[0]
    assert isinstance(session, Session)
    assert (session.ended, session.stage) == (ended, stage)
    assert len(reading.entries) == (2 if "steps_done" in cells else 1)


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
@pytest.mark.parametrize("start", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["", "last"])
def test_line_ends_and_a_byte_order_mark_make_no_difference(
    ending: str, start: str, end: str
) -> None:
    # RFC 4180 section 2: CRLF between records, the last one may go without. LF is tolerated.
    lines = ["day,pain_now,note", '2026-10-02,4,"she said ""better"""', "2026-10-03,3,"]
    text = start + ending.join(lines) + (ending if end else "")
    reading = table(text)
    assert reading.faults == ()
    assert [e.for_day.day for e in reading.entries] == [2, 3]
    first = reading.entries[0]
    assert isinstance(first, DayPage)
    assert first.note == 'she said "better"'


def test_a_line_break_in_a_note_is_kept_and_counted() -> None:
    text = 'day,pain_now,note\r\n2026-10-02,4,"one\r\ntwo\rthree"\r\n2026-10-03,11,\r\n'
    reading = table(text)
    (entry,) = reading.entries
    assert isinstance(entry, DayPage)
    assert entry.note == "one\ntwo\nthree"
    # The lone CR is a line end to most editors: header 1, record 2 to 4, the next on 5.
    assert [fault.line for fault in reading.faults] == [5]


def test_spaces_round_a_cell_do_not_count() -> None:
    entry = page("day , pain_now,skin\n 2026-10-02 , 7 , clear \n")
    assert (entry.pain_now, entry.skin) == (7, "clear")


def test_rows_without_any_cell_are_passed_over() -> None:
    text = "\n\nday,pain_now,\n\n2026-10-02,4,\n,,\n  ,,\n2026-10-03,4\n"
    assert len(table(text).entries) == 2


def test_both_knees_have_a_row_each() -> None:
    reading = table("day,side,pain_now\n2026-10-02,left,4\n2026-10-02,right,6\n", BOTH)
    assert [(e.side, e.pain_now) for e in reading.entries if isinstance(e, DayPage)] == [
        ("left", 4),
        ("right", 6),
    ]


def test_the_plan_s_own_unit_is_known() -> None:
    entry = page("day,amount:net mending:nets\n2026-10-02,2\n")
    assert entry.amounts[0].unit == "nets"


def test_the_same_paper_twice_is_the_same_entries() -> None:
    text = "day,side,pain_now,before\n2026-10-02,right,4,6\n2026-10-03,right,5,\n"
    spaced = "pain_now,before,side,day\n4, 6 ,right,2026-10-02\n5,,right,2026-10-03\n"
    once, again = table(text).entries, table(spaced).entries
    assert len({entry.id for entry in once}) == 3
    assert merge(once, again) == merge(once)
    other_person = dataclasses.replace(PLAN, person="K-31")
    others = table(text, other_person).entries
    assert {entry.id for entry in once}.isdisjoint(entry.id for entry in others)


def test_another_value_is_another_entry() -> None:
    ids = {
        entry.id
        for cell in ("4", "5", "10")
        for entry in table(f"day,pain_now\n2026-10-02,{cell}\n").entries
    }
    assert len(ids) == 3


def test_what_was_taken_in_makes_a_whole_diary_file() -> None:
    entries = table("day,before,pain_now,skin\n2026-10-02,5,4,red\n2024-02-29,,1,\n").entries
    diary = Diary(plans=(PLAN,), entries=entries)
    assert plans_faults(diary.plan.person, diary.plans) == ()
    assert sound(diary.plans, diary.entries).faults == ()
    assert written_after(diary.entries, date(2026, 11, 25)) == frozenset()
    read_back = read_bytes(diary_bytes(diary)).diary
    assert read_back is not None
    assert set(read_back.entries) == set(entries)


# ---------------------------------------------------------------- what people save


def scores(reading: TableReading) -> list[tuple[date, int | None]]:
    assert reading.faults == ()
    return [(e.for_day, e.pain_now) for e in reading.entries if isinstance(e, DayPage)]


TWO_DAYS = [(date(2026, 11, 2), 4), (date(2026, 11, 3), 5)]


@pytest.mark.parametrize(
    "text",
    [
        "day,pain_now\n2026-11-02,4\n2026-11-03,5\n",
        "Day,Pain_Now\n2 Nov 2026,4\n3 november 2026,5\n",
        "DAY;PAIN NOW\n02/11/2026;4\n3/11/2026;5\n",
        "day\tpain_now\n2.11.2026\t4\n03.11.2026\t5\n",
        "day,2026-11-02,2026-11-03\npain_now,4,5\n",
        "Day;2 Nov 2026;3 Nov 2026;\nside;right;Right;\npain_now;4;5;\n",
        "Day, as 2026-11-25;02/11/2026;03/11/2026\nPain now, 0 to 10;4;5\n",
    ],
)
def test_a_table_may_be_saved_as_people_save_it(text: str) -> None:
    headings = {"Day, as 2026-11-25": "day", "Pain now, 0 to 10": "pain_now"}
    assert scores(read_table(text.encode(), PLAN, AT, headings=headings)) == TWO_DAYS


def test_the_month_stands_first_only_where_that_was_said() -> None:
    text = "day,pain_now\n11/02/2026,4\n11/03/2026,5\n"
    assert scores(read_table(text.encode(), PLAN, AT, month_first=True)) == TWO_DAYS
    assert [day for day, _ in scores(table(text))] == [date(2026, 2, 11), date(2026, 3, 11)]
    # An order that cannot be is a fault, never turned round.
    assert "not a day of the calendar" in sentences("day,pain_now\n11/14/2026,4\n")[0]


def test_latin_1_is_read_where_it_is_no_utf_8() -> None:
    """Byte 0xE9 is e with an acute accent in ISO/IEC 8859-1."""
    (entry,) = read_table(b"day,note\n2026-10-02,caf\xe9\n", PLAN, AT).entries
    assert isinstance(entry, DayPage)
    assert entry.note == "caf\xe9"


def test_words_and_units_are_read_in_any_case() -> None:
    header = "day;medicine;tape_worn;skin;stiffness_min;amount:Net Mending:NETS;activity:Row"
    entry = page(f"{header}\n2026-10-02;Yes;NO;Pink;20 min;2,5 nets;6\n")
    assert (entry.medicine, entry.tape_worn, entry.skin) == (True, False, "pink")
    assert entry.stiffness_minutes == 20
    assert [(a.label, a.unit, a.amount) for a in entry.amounts] == [("net mending", "nets", 2.5)]


def test_a_fault_across_names_its_line_and_its_day() -> None:
    text = "day,2026-11-02,2026-11-03\npain_now,4,11\nskin,sore,clear\n"
    reading = table(text)
    assert [sentence(fault) for fault in reading.faults] == [
        "line 3, skin, 2026-11-02: 'sore' is not one of clear, pink, red, itchy, blister, broken",
        "line 2, pain_now, 2026-11-03: 11 is not between 0 and 10",
    ]
    assert len(reading.entries) == 2
    twice = "day,2026-11-02,2026-11-02\npain_now,4,5\n"
    assert sentences(twice) == ["line 1, day: 2026-11-02, right knee, is there twice"]


# ---------------------------------------------------------------- what cannot all be so


def test_worst_below_average_is_told_and_neither_is_kept() -> None:
    text = "day,pain_average,pain_worst,pain_now\n2026-10-02,7,3,5\n2026-10-03,4,4,4\n"
    reading = table(text)
    assert [sentence(fault) for fault in reading.faults] == [
        "line 2, pain_worst: the worst, 3, is below the average, 7"
    ]
    first, second = (e for e in reading.entries if isinstance(e, DayPage))
    assert (first.pain_average, first.pain_worst, first.pain_now) == (None, None, 5)
    assert (second.pain_average, second.pain_worst) == (4, 4)


def test_a_stage_beyond_the_plan_or_without_tape_is_told_and_left_out() -> None:
    text = "day,tape_stage,tape_worn,pain_now\n2026-10-02,2,1,4\n2026-10-03,1,0,4\n"
    assert sentences(text, dataclasses.replace(PLAN, tape=TapePlan(highest=1))) == [
        "line 2, tape_stage: stage 2 is beyond the plan, which goes to 1",
        "line 3, tape_stage: stage 1, but tape_worn says that no tape was worn",
    ]
    assert [e.tape_stage for e in table(text).entries if isinstance(e, DayPage)] == [2, None]


def test_what_both_knees_say_of_the_person_must_agree() -> None:
    text = (
        "day,side,pain_now,medicine,activity:walk\n"
        "2026-10-02,left,4,1,5\n2026-10-02,right,6,0,5\n2026-10-03,left,4,1,\n"
    )
    reading = table(text, BOTH)
    assert [sentence(fault) for fault in reading.faults] == [
        "line 3, medicine: is of the person, but the other knee in line 2 says something else"
    ]
    pages = [entry for entry in reading.entries if isinstance(entry, DayPage)]
    assert [(e.pain_now, e.medicine, len(e.activities)) for e in pages] == [
        (4, None, 1),
        (6, None, 1),
        (4, True, 0),
    ]


# ---------------------------------------------------------------- faults of a cell


@pytest.mark.parametrize(
    ("column", "cell", "fault"),
    [
        ("pain_worst", "11", "11 is not between 0 and 10"),
        ("pain_now", "-1", "-1 is not between 0 and 10"),
        ("pain_now", "7.0", "'7.0' is not a whole number from 0 to 10"),
        ("pain_now", '"7,5"', "'7,5' is not a whole number from 0 to 10"),
        ("pain_now", "+7", "'+7' is not a whole number from 0 to 10"),
        ("pain_now", "\uff17", "'\uff17' is not a whole number from 0 to 10"),
        ("pain_now", "\u0667", "'\u0667' is not a whole number from 0 to 10"),
        ("pain_now", "²", "'²' is not a whole number from 0 to 10"),
        ("pain_now", "1_0", "'1_0' is not a whole number from 0 to 10"),
        ("pain_now", "1e1", "'1e1' is not a whole number from 0 to 10"),
        ("pain_now", "0x7", "'0x7' is not a whole number from 0 to 10"),
        ("pain_now", "nan", "'nan' is not a whole number from 0 to 10"),
        ("pain_now", "\u00a07", "'\\xa07' is not a whole number from 0 to 10"),
        ("pain_average", "bad", "'bad' is not a whole number from 0 to 10"),
        ("before", "11", "11 is not between 0 and 10"),
        ("stiffness_min", "721", "721 is not between 0 and 720"),
        ("tape_stage", "3", "3 is not between 0 and 2"),
        ("tape_worn", "2", "'2' is not yes or no"),
        ("steps_done", "perhaps", "'perhaps' is not yes or no"),
        ("exercise_done", "1.0", "'1.0' is not yes or no"),
        ("medicine", "true", "'true' is not yes or no"),
        ("skin", "sore", "'sore' is not one of clear, pink, red, itchy, blister, broken"),
        ("activity:walk", "11", "11 is not between 0 and 10"),
        ("amount:walk:m", '"7,5,0"', "'7,5,0' is not a number such as 7 or 7.5"),
        ("amount:walk:m", "7 km", "'7 km' is not a number such as 7 or 7.5"),
        ("amount:walk:m", "inf", "'inf' is not a number such as 7 or 7.5"),
        ("amount:walk:m", "-3", "'-3' is not a number such as 7 or 7.5"),
        ("amount:walk:m", "100001", "'100001' is not between 0 and 100000"),
        ("note", "bell\a", "text with control characters"),
        ("note", "n" * 2001, "text of 2001 characters, allowed are 1 to 2000"),
    ],
)
def test_a_wrong_cell_is_named_by_line_and_column(column: str, cell: str, fault: str) -> None:
    reading = table(f"day,{column}\n2026-10-02,{cell}\n")
    (found,) = reading.faults
    assert (found.line, found.column) == (2, column)
    assert sentence(found) == f"line 2, {column}: {fault}"
    assert reading.entries == ()


@pytest.mark.parametrize(
    ("cell", "fault"),
    [
        ("02.10.26", "'02.10.26' is not a day such as 2026-09-14 or 14 Sep 2026"),
        ("02/10.2026", "'02/10.2026' is not a day such as 2026-09-14 or 14 Sep 2026"),
        ("2 Novembre 2026", "'2 Novembre 2026' is not a day such as 2026-09-14 or 14 Sep 2026"),
        ("10/13/2026", "'10/13/2026' is not a day of the calendar"),
        ("20261002", "'20261002' is not a day such as 2026-09-14 or 14 Sep 2026"),
        ("2026-W40-5", "'2026-W40-5' is not a day such as 2026-09-14 or 14 Sep 2026"),
        ("2026-10-02T10:00", "'2026-10-02T10:00' is not a day such as 2026-09-14 or 14 Sep 2026"),
        ("2026-02-29", "'2026-02-29' is not a day of the calendar"),
        (
            "\uff12\uff10\uff12\uff16-10-02",
            "'\uff12\uff10\uff12\uff16-10-02' is not a day such as 2026-09-14 or 14 Sep 2026",
        ),
        ("2026-11-26", "2026-11-26 is in the future"),
        ("2062-10-02", "2062-10-02 is in the future"),
        ("0206-10-02", "0206-10-02 is before 1900"),
        ("", "the day is missing"),
    ],
)
def test_a_wrong_day_is_a_fault(cell: str, fault: str) -> None:
    assert sentences(f"pain_now,day\n4,{cell}\n") == [f"line 2, day: {fault}"]


def test_the_future_begins_after_the_diary_day() -> None:
    # The diary day ends at 03:00: at 02:30 of the 26th it is still the 25th.
    text = "day,pain_now\n2026-11-26,4\n"
    at = datetime(2026, 11, 26, 2, 30, tzinfo=UTC)
    assert table(text, at=at).faults[0].what == coded("day_in_the_future", day="2026-11-26")
    assert table(text, at=at + timedelta(minutes=30)).faults == ()


def test_left_for_right_is_a_fault() -> None:
    assert sentences("day,side,pain_now\n2026-10-02,left,4\n") == [
        "line 2, side: 'left' is not a knee of the plan (right)"
    ]
    assert sentences("day,side,pain_now\n2026-10-02,both,4\n", BOTH) == [
        "line 2, side: 'both' is not a knee of the plan (left or right)"
    ]


def test_the_side_is_required_where_the_plan_says_both() -> None:
    assert sentences("day,pain_now\n2026-10-02,4\n", BOTH) == [
        "line 1, side: this column is missing, the plan is for both knees"
    ]
    assert sentences("day,side,pain_now\n2026-10-02,,4\n", BOTH) == [
        "line 2, side: the side is missing, the plan is for both knees"
    ]


def test_a_second_row_of_a_day_and_knee_is_a_fault() -> None:
    text = "day,side,pain_now\n2026-10-02,right,4\n2026-10-03,right,4\n2026-10-02,,5\n"
    reading = table(text)
    assert [sentence(fault) for fault in reading.faults] == [
        "line 4, day: 2026-10-02, right knee, is in line 2 already"
    ]
    assert [e.pain_now for e in reading.entries if isinstance(e, DayPage)] == [4, 4]


def test_a_second_row_is_a_fault_even_where_the_first_had_one() -> None:
    assert [
        line.split(":")[0] for line in sentences("day,pain_now\n2026-10-02,x\n2026-10-02,5\n")
    ] == [
        "line 2, pain_now",
        "line 3, day",
    ]


def test_tape_scored_without_tape_is_a_fault() -> None:
    assert sentences("day,after_tape,tape_stage\n2026-10-02,4,0\n") == [
        "line 2, tape_stage: 0 is no tape, but after_tape is given"
    ]


def test_each_cell_has_its_own_fault_and_good_rows_stay() -> None:
    text = "day,pain_now,pain_worst,skin\n2026-10-02,4,11,sore\n2026-10-03,5,6,clear\n"
    reading = table(text)
    assert [(fault.line, fault.column) for fault in reading.faults] == [
        (2, "pain_worst"),
        (2, "skin"),
    ]
    # What is at fault is left out; the rest of its day is not.
    assert [(e.for_day.day, e.pain_now) for e in reading.entries if isinstance(e, DayPage)] == [
        (2, 4),
        (3, 5),
    ]


def test_cells_beyond_the_header_are_a_fault() -> None:
    assert sentences("day,pain_now\n2026-10-02,4,,7\n") == [
        "line 2: cell 4 is beyond the 2 columns of the header"
    ]
    assert sentences("day,pain_now,\n2026-10-02,4,7\n") == [
        "line 2: '7' stands in a column without a name"
    ]


def test_a_day_page_holds_five_activities() -> None:
    names = [f"activity:walk {number}" for number in range(6)]
    text = f"day,{','.join(names)}\n2026-10-02,1,2,3,4,5,6\n2026-10-03,1,2,,4,5,6\n"
    reading = table(text)
    assert [(f.line, f.column) for f in reading.faults] == [(2, "activity:walk 5")]
    assert [len(e.activities) for e in reading.entries if isinstance(e, DayPage)] == [5, 5]


# ---------------------------------------------------------------- faults of the header or file


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("pain_now", "line 1, day: this column is missing"),
        ("day,pain", "line 1, pain: this column is not known"),
        ("day,pain_now,pain_now", "line 1, pain_now: this column is there twice"),
        ("day,activity:walk,activity: walk", "line 1, activity: walk: this column is there twice"),
        ("day,activity:", "line 1, activity:: a label is needed, such as activity:walk"),
        ("day,amount:walk", f"line 1, amount:walk: {NEEDED}"),
        ("day,amount:walk:", f"line 1, amount:walk:: {NEEDED}"),
        ("", "line 1: the table is empty, a header with a column named day is needed"),
    ],
)
def test_a_wrong_header_stops_everything(header: str, expected: str) -> None:
    reading = table(f"{header}\n2026-10-02,4,4\n" if header else "")
    assert [sentence(fault) for fault in reading.faults] == [expected]
    assert reading.entries == ()


def test_an_unknown_unit_is_a_fault_that_names_the_known_ones() -> None:
    (sentence,) = sentences("day,amount:walk:furlongs\n2026-10-02,4\n")
    assert sentence.startswith("line 1, amount:walk:furlongs: 'furlongs' is not a known unit (")
    assert " m," in sentence
    # The plan's unit is known for the plan's label alone.
    assert "'nets' is not a known unit" in sentences("day,amount:walk:nets\n2026-10-02,4\n")[0]


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"day,note\n2026-10-02,caf\x81\n", NOT_UTF_8.format(line=2)),
        (
            "day,pain_now\n2026-10-02,4\n".encode("utf-16"),
            NUL.format(line=1),
        ),
        (
            "day,pain_now\n2026-10-02,4\n".encode("utf-16-le"),
            NUL.format(line=1),
        ),
        (b"day,note\n2026-10-02,a\0b\n", NUL.format(line=2)),
        (
            b'day,note\n2026-10-02,"never closed\n2026-10-03,x\n',
            "line 2: a quote is opened and not closed, the rest was not read",
        ),
        (
            b'day,note\n2026-10-02,"' + b"x" * 200_000 + b'"\n',
            "line 2: a quote is opened and not closed, the rest was not read",
        ),
        (
            b"day,pain_now\n" + b"x" * MOST_BYTES,
            f"line 1: the table has {MOST_BYTES + 13} bytes, allowed are {MOST_BYTES}",
        ),
        (b"," * 5000 + b"day\n", "line 1: 5001 columns, allowed are 100"),
    ],
    ids=[
        "no-encoding",
        "utf-16",
        "utf-16-le",
        "nul",
        "open",
        "long-cell",
        "size",
        "columns",
    ],
)
def test_a_hostile_file_is_refused_in_one_line(data: bytes, expected: str) -> None:
    reading = read_table(data, PLAN, AT)
    assert [sentence(fault) for fault in reading.faults] == [expected]
    assert reading.entries == ()


def test_text_after_a_closing_quote_spoils_its_own_row_alone() -> None:
    text = 'day,note\n2026-10-02,"a"b\n2026-10-03,fine\n'
    reading = table(text)
    assert [sentence(f) for f in reading.faults] == [
        "line 2: a closing quote is followed by more text"
    ]
    assert [entry.for_day.day for entry in reading.entries] == [3]


def test_a_fault_repeats_nothing_a_terminal_would_obey() -> None:
    for text in ("day,skin\n2026-10-02,\x1b[2J\n", "day,\x1b[2J\n2026-10-02,1\n"):
        (sentence,) = sentences(text)
        assert sentence.isprintable()
    (sentence,) = sentences("day,skin\n2026-10-02," + "x" * 5000 + "\n")
    assert len(sentence) < 200


def test_a_hundred_thousand_rows_are_read_and_their_faults_bounded() -> None:
    first = date(1950, 1, 1)
    days = [(first + timedelta(days=number)).isoformat() for number in range(25_000)]
    good = "day,side,pain_now,pain_average,before,after_hands,note\n" + "".join(
        f"{day},{side},4,5,7,3,fine\n" for day in days for side in ("left", "right")
    )
    reading = table(good, BOTH)
    assert (len(reading.entries), len(reading.faults)) == (100_000, 0)
    assert len({entry.id for entry in reading.entries}) == 100_000
    bad = "day,pain_now\n" + "x,y\n" * 100_000
    reading = table(bad)
    assert reading.entries == ()
    assert len(reading.faults) == MOST_FAULTS
    assert len(reading.faults) + reading.faults_not_listed == 200_000


@given(st.binary(max_size=400))
def test_no_bytes_make_it_raise(data: bytes) -> None:
    reading = read_table(b"day,pain_now,note\n" + data, PLAN, AT)
    assert all(sentence(fault).count("\n") == 0 for fault in reading.faults)


@given(
    st.text(alphabet="day,pain_now:activity amount\n\r\"'0123456789-=;\ufeff\u2028", max_size=300)
)
def test_no_text_makes_it_raise(text: str) -> None:
    for entry in table(text).entries:
        assert entry.for_day <= AT.date()


def test_hours_of_tape_are_entries_of_their_own() -> None:
    rows = (
        "day,tape_stage,tape_on,tape_by,tape_off",
        "2026-10-02,1,18:30,helper,",
        "2026-10-03,,,,0:45",  # the night after, before the day ends at 03:00
        "2026-10-04,,6.15 PM,me,0715",
    )
    reading = table("\n".join(rows))
    assert reading.faults == ()
    hours = [e for e in reading.entries if isinstance(e, TapeOn | TapeOff)]
    told = [(e.kind, e.for_day.day, f"{e.happened_at:%d %H:%M}") for e in hours]
    assert told == [
        ("tape_on", 2, "02 18:30"),
        ("tape_off", 3, "04 00:45"),
        ("tape_off", 4, "04 07:15"),
        ("tape_on", 4, "04 18:15"),
    ]
    first, *_, last = (e for e in hours if isinstance(e, TapeOn))
    assert [(e.by, e.stage, e.make, e.written_by) for e in (first, last)] == [
        ("helper", 1, PLAN.tape.make, "paper"),
        ("person", 1, PLAN.tape.make, "paper"),
    ]
    assert len({e.id for e in hours}) == 4


@pytest.mark.parametrize(
    ("cells", "fault"),
    [
        ("tape_on\n2026-10-02,late", "'late' is no hour of the day, such as 18:30 or 6:30 pm"),
        ("tape_on\n2026-10-02,24:00", "'24:00' is no hour of the day, such as 18:30 or 6:30 pm"),
        ("tape_off\n2026-10-02,?", "'?' is no hour of the day, such as 18:30 or 6:30 pm"),
        ("tape_on,tape_worn\n2026-10-02,18:00,0", "an hour, but the page says that no tape was on"),
        (
            "tape_by\n2026-10-02,helper",
            "who put it on is kept with the hour it went on, which is missing",
        ),
        ("tape_by\n2026-10-02,cat", "'cat' is not one of person, helper"),
    ],
)
def test_an_hour_that_cannot_be_costs_itself(cells: str, fault: str) -> None:
    reading = table(f"day,{cells}")
    (told,) = reading.faults
    assert sentence(told).endswith(f": {fault}")
    assert not [e for e in reading.entries if isinstance(e, TapeOn | TapeOff)]


def test_an_hour_to_come_is_a_fault_and_what_was_not_asked_is_none() -> None:
    reading = table(f"day,tape_on,tape_off\n{AT:%Y-%m-%d},18:01,not asked")
    (told,) = reading.faults
    assert sentence(told).endswith(": this hour is still to come")
    assert reading.entries == ()
