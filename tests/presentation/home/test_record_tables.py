"""The parts of the record as tables: what stands in each row, and the first answer kept."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from companion.care.records import (
    ActivityScore,
    Amount,
    AmountPlan,
    AnyEntry,
    Event,
    GateAnswer,
    Measurement,
    Outing,
    OutingKnee,
    PatchTest,
    StepDone,
    TapeOff,
    WarningSign,
)
from companion.presentation.home.record_tables import (
    SECTIONS,
    NamedTable,
    Section,
    section_tables,
    section_words,
)
from companion.presentation.view.chart import DaySpan
from tests.builders import START, DiaryBuilder, after_hands, after_tape, before
from tests.paper.diaries import at, plan
from tests.presentation.wording import faults

PLAN = plan()
DAYS = DaySpan(START, START + timedelta(days=27))


def tables(
    section: Section, entries: list[AnyEntry], days: DaySpan = DAYS, **fields: Any
) -> tuple[NamedTable, ...]:
    return section_tables(section, entries, [plan(**fields)], "right", days)


def cells(table: NamedTable, header: str) -> list[str | None]:
    column = table.table.headers.index(header)
    return [row[column] for row in table.table.rows]


# ---------------------------------------------------------------- routines


def test_a_routine_has_its_scores_tape_rounds_and_end() -> None:
    book = DiaryBuilder()
    done = StepDone(step="chair_rises", outcome="done")
    skipped = StepDone(step="chair_rises", outcome="skipped")
    book.session(0, before(7), after_hands(5), after_tape(3), exercises=(done, skipped))
    book.session(1, ended="left")
    book.session(2, before(4), after_hands(2), comparable=False, place="clinic")
    book.session(3, before(9), side="left")
    (routines,) = tables("routines", book.entries)
    assert cells(routines, "Day") == ["2 Sep", "1 Sep", "31 Aug"]
    assert cells(routines, "Before") == ["4", None, "7"]
    assert cells(routines, "After") == ["2, done differently", None, "3"]
    assert cells(routines, "Tape") == [None, None, "side strips"]
    assert cells(routines, "Exercises") == [None, None, "1 of 2"]
    assert cells(routines, "How it ended") == [
        "finished, in the clinic",
        "left unfinished",
        "finished",
    ]


# ---------------------------------------------------------------- tape and outings


def test_a_wear_has_its_times_hours_and_skin() -> None:
    book = DiaryBuilder()
    book.tape(0, 24, skin_at_once="pink", skin_after_30_min="clear")
    book.tape(4, 20, stage=2, came_off_by_itself=True, skin_at_once="clear")
    book.tape(8, None)
    (wears,) = tables("tape", book.entries)
    assert cells(wears, "On") == ["8 Sep, 18:30", "4 Sep, 18:30", "31 Aug, 18:30"]
    assert cells(wears, "Off") == ["still on", "5 Sep, 14:30, by itself", "1 Sep, 18:30"]
    assert cells(wears, "Hours") == [None, "20", "24"]
    assert cells(wears, "Tape") == ["side strips", "side strips and short pieces", "side strips"]
    assert cells(wears, "Skin after") == [None, "clear", "pink, darker or warm; later clear"]


def test_what_was_felt_from_the_tape_stands_where_it_came_off() -> None:
    book = DiaryBuilder()
    book.tape(0, 24, felt=("itch", "pain"))
    (wears,) = tables("tape", book.entries)
    assert cells(wears, "Off") == ["1 Sep, 18:30, for itch and pain"]


def test_an_unknown_end_is_said_and_has_no_hours() -> None:
    book = DiaryBuilder()
    on = book.tape(0, None)
    book.add(TapeOff, 2, side="right", tape_on=on.id, happened_at=None)
    (wears,) = tables("tape", book.entries)
    assert (cells(wears, "Off"), cells(wears, "Hours")) == (["not known when"], [None])


def test_a_wear_is_there_when_any_part_of_it_lies_in_the_days() -> None:
    book = DiaryBuilder()
    book.tape(0, 48)

    def shown(first: int, last: int) -> int:
        days = DaySpan(book.day(first), book.day(last))
        return len(tables("tape", book.entries, days)[0].table.rows)

    assert [shown(0, 0), shown(1, 1), shown(2, 9), shown(3, 9)] == [1, 1, 1, 0]
    assert shown(-9, -1) == 0


def test_outings_and_test_pieces_are_there_only_where_there_are_any() -> None:
    book = DiaryBuilder()
    assert [t.heading for t in tables("tape", book.entries)] == ["Tape on and off"]
    book.add(
        Outing,
        3,
        what_for="walk to the fish quay",
        knees=(OutingKnee(side="right", pain_worst=0, next_morning="less_pain"),),
        amount=Amount(label="walk", unit="m", amount=350.0),
        ended_because="tape",
    )
    book.add(PatchTest, 0, make="Slate 50", happened_at=at(START), first_skin="clear")
    _, outings, patches = tables("tape", book.entries)
    assert outings.table.rows == (
        ("3 Sep", "walk to the fish quay", "350 m", "the tape", "0", "less pain"),
    )
    assert patches.table.rows == (("Slate 50", "31 Aug, 19:30", "clear", None),)


# ---------------------------------------------------------------- activities


def test_activities_have_a_column_each_and_gaps_stay_gaps() -> None:
    book = DiaryBuilder()
    book.page(0, 3, activities=(ActivityScore(label="stairs", score=0),))
    book.page(2, 3, activities=(ActivityScore(label="kneel in the garden", score=4),))
    (scores,) = tables("activities", book.entries, activities=("kneel in the garden", "stairs"))
    assert scores.table.headers == ("Day", "kneel in the garden", "stairs")
    assert scores.table.rows == (("2 Sep", "4", None), ("31 Aug", None, "0"))


def test_amounts_are_the_most_of_a_week_from_monday() -> None:
    # 31 August 2026 is a Monday.
    book = DiaryBuilder()
    for n, metres in ((0, 200.0), (6, 350.0), (7, 300.0)):
        book.page(n, 3, amounts=(Amount(label="walk", unit="m", amount=metres),))
    # The page of the other knee holds the same day of the same person.
    book.page(0, 3, side="left", amounts=(Amount(label="walk", unit="m", amount=200.0),))
    _, amounts = tables("activities", book.entries)
    assert amounts.table.headers == ("Week from", "walk, m")
    assert amounts.table.rows == (("7 Sep", "300, 1 day"), ("31 Aug", "350, 2 days"))


def test_what_stands_in_paced_weeks_is_not_told_a_second_time() -> None:
    book = DiaryBuilder()
    for n in (-1, 0, 6, 7):
        walked = Amount(label="walk", unit="m", amount=300.0 + n)
        book.page(n, 3, amounts=(walked, Amount(label="stairs", unit="flights", amount=2.0)))
    planned = AmountPlan(label="walk", unit="m", baseline=300, goal=600)
    days = DaySpan(START - timedelta(days=7), DAYS.last_day)
    _, paced, amounts = tables(
        "activities", book.entries, days, amounts=(planned,), written_on=START
    )
    assert paced.heading == "Walk: from your start to your goal"
    assert paced.table.headers == ("Week from", "Planned, m", "Most on one day", "What followed")
    assert [row[2] for row in paced.table.rows][-2:] == [
        "307, reached on 1 day",
        "306, reached on 2 days",
    ]
    assert amounts.table.headers == ("Week from", "walk, m", "stairs, flights")
    assert [row[0] for row in amounts.table.rows] == ["7 Sep", "31 Aug", "24 Aug"]
    assert [row[1] for row in amounts.table.rows] == [None, None, "299, 1 day"]


def test_the_rest_of_a_day_page_has_its_row_and_an_empty_one_has_none() -> None:
    book = DiaryBuilder()
    book.page(0, 3, night_pain=False, stiffness_minutes=0, swelling="some", skin="itchy")
    book.page(0, 3, side="left", night_pain=True, stairs="with_rail", note="Rain, and the slip.")
    book.page(1, 4)
    _, rest = tables("activities", book.entries)
    assert rest.table.rows == (
        ("31 Aug", "no", "0", "a little", "itchy", "with the rail", "Rain, and the slip."),
    )


def test_measures_and_events_are_the_persons_or_this_knees() -> None:
    book = DiaryBuilder()
    book.add(Measurement, 1, count=11, arms_used=True)
    book.add(Measurement, 1, count=4, test="activity_trial", label="kneel at the stall")
    book.add(Event, 2, what="fall", note="On the slip")
    book.add(Event, 2, what="injection", side="left")
    _, measures, events = tables("activities", book.entries)
    assert {row[1:3] for row in measures.table.rows} == {
        ("Up from the chair in 30 seconds", "11"),
        ("kneel at the stall", "4"),
    }
    assert events.table.rows == (("2 Sep", "Fall", "On the slip"),)


# ---------------------------------------------------------------- changes


def test_the_first_answer_is_kept_beside_the_later_one() -> None:
    book = DiaryBuilder()
    first = book.page(0, 9, medicine=True)
    book.page(0, 3, medicine=True, replaces=first.id, written_at=at(book.day(1), 8))
    (changes,) = tables("changes", book.entries)
    assert changes.table.rows == (("31 Aug", "Average pain", "9", "3", "1 Sep, 08:30"),)


def test_two_pages_of_one_day_are_versions_even_where_neither_names_the_other() -> None:
    book = DiaryBuilder()
    book.page(0, 9)
    book.page(0, 3, written_at=at(book.day(1), 8))
    book.page(0, 5, written_at=at(book.day(2), 8))
    (changes,) = tables("changes", book.entries)
    assert [row[2:4] for row in changes.table.rows] == [("3", "5"), ("9", "3")]


def test_what_was_only_added_is_no_change_and_what_was_taken_back_is() -> None:
    book = DiaryBuilder()
    first = book.page(0, None, pain_worst=0)
    book.page(0, 3, replaces=first.id, written_at=at(book.day(1), 8))
    (changes,) = tables("changes", book.entries)
    assert [row[1:4] for row in changes.table.rows] == [("Worst pain", "0", "taken back")]


def test_a_skin_look_is_no_change_and_a_moved_time_is() -> None:
    book = DiaryBuilder()
    on = book.tape(0, 24)
    off = book.entries[-1]
    assert isinstance(off, TapeOff)
    again: dict[str, Any] = {"side": "right", "tape_on": on.id, "skin_at_once": "clear"}
    look = book.add(
        TapeOff,
        1,
        replaces=off.id,
        happened_at=off.happened_at,
        skin_after_30_min="red",
        written_at=at(book.day(1), 21),
        **again,
    )
    assert tables("changes", book.entries)[0].table.rows == ()
    earlier = at(book.day(1), 9, 0)
    book.add(
        TapeOff,
        1,
        replaces=look.id,
        happened_at=earlier,
        skin_after_30_min="red",
        written_at=at(book.day(1), 22),
        **again,
    )
    (changes,) = tables("changes", book.entries)
    assert [row[1:4] for row in changes.table.rows] == [
        ("Tape off: when", "1 Sep, 18:30", "1 Sep, 09:00")
    ]


def test_a_gate_answered_again_is_told_once_however_its_list_ended() -> None:
    none = GateAnswer(
        id=f"{1:032x}",
        for_day=START,
        written_at=at(START, 8),
        written_by="person",
        plan_version=1,
        happened_at=at(START, 8),
        gate="none",
    )
    something = replace(
        none, id=f"{2:032x}", replaces=none.id, gate="something", written_at=at(START, 9)
    )
    listed = replace(something, id=f"{3:032x}", replaces=something.id, full_list=True)
    (changes,) = tables("changes", [none, something, listed])
    assert changes.table.rows == (
        ("31 Aug", "Anything new", "nothing new", "something, or not sure", "31 Aug, 09:30"),
    )


def test_a_score_put_right_and_an_entry_taken_out_are_told() -> None:
    book = DiaryBuilder()
    moves = (before(6), after_hands(5))
    first = book.session(0, *moves)
    later = at(book.day(1), 8)
    second = book.session(0, before(6), after_hands(2), replaces=first.id, written_at=later)
    book.session(
        0,
        before(6),
        after_hands(2),
        replaces=second.id,
        written_at=later + timedelta(hours=1),
        withdrawn="never_happened",
    )
    (changes,) = tables("changes", book.entries)
    assert [row[1:4] for row in changes.table.rows] == [
        ("Routine", "counted", "it never happened"),
        ("Routine: after hands: score", "5", "2"),
    ]


def test_a_sign_ticked_by_mistake_stays_visible() -> None:
    book = DiaryBuilder()
    sign: dict[str, Any] = {"sign": "fever", "card": "today", "level": "today"}
    first = book.add(WarningSign, 0, **sign)
    book.add(WarningSign, 0, replaces=first.id, cleared="ticked_by_mistake", **sign)
    (changes,) = tables("changes", book.entries)
    assert [row[1:4] for row in changes.table.rows] == [("Warning sign", "ticked", "by mistake")]


# ---------------------------------------------------------------- words


@pytest.mark.parametrize("section", SECTIONS)
def test_an_empty_part_says_so_in_a_sentence(section: Section) -> None:
    (only,) = tables(section, [])
    assert only.table.rows == ()
    assert only.nothing.endswith(".")
    said = [*section_words(section), only.heading, only.nothing, *only.table.headers]
    assert faults(said) == []
