"""The calendar of a diary, read back with `icalendar` and held to RFC 5545.

Sections of RFC 5545: 3.1 content lines and folding, 3.3.11 TEXT, 3.6.1 VEVENT, 3.8.2.4 DTSTART,
3.8.5.3 RRULE (UNTIL has the value type of DTSTART; DTSTART is the first of the set).
"""

import dataclasses
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from companion.care.clocks import under_wrong_clock
from companion.care.records import (
    Contact,
    Diary,
    Exercise,
    Plan,
    TapeOff,
    TapeOn,
    TapePlan,
    TapeTrial,
    Technique,
    WarningSign,
)
from companion.care.trial_schedule import schedule
from companion.exchange.diary_calendar import ROUTINE_AT, write_calendar
from companion.exchange.files import read
from companion.presentation.language.said import said_words
from companion.system.resources import demo_profiles
from companion.wire.sign_off import signed
from tests import builders, strategies
from tests.builders import small_plan
from tests.care.content import no_to_all
from tests.exchange.made import FIRST, an_id, at, full_diary

PEOPLE = sorted(path.parent.name for path in demo_profiles().glob("*/diary.homeknee"))


def plan(**changed: Any) -> Plan:
    """A signed plan with hands and exercise, written on a Monday."""
    made = small_plan(
        techniques=(Technique(technique="stroke_thigh", seconds=30, taught_on=FIRST),),
        exercises=(Exercise(exercise="heel_raises", repeats=10, taught_on=FIRST),),
        tape=TapePlan(when="if_missed", highest=2, make="Slate 50"),
        cautions=no_to_all(),
        **changed,
    )
    return signed(made, "R. Quay", "PH 0412", at(0, 11))


def events(diary: Diary) -> dict[str, Any]:
    """By title; every event is there once."""
    calendar: Any = Calendar.from_ical(write_calendar(diary, said_words))
    assert calendar.errors == []
    found = {str(event["SUMMARY"]): event for event in calendar.walk("VEVENT")}
    assert len(found) == len(calendar.walk("VEVENT"))
    return found


def days_of(event: Any, weeks: int = 1) -> list[date]:
    """The days of an RRULE of weekly days, by the RFC's words: from DTSTART to UNTIL."""
    rule = event["RRULE"]
    assert rule["FREQ"] == ["WEEKLY"]
    (until,) = rule["UNTIL"]
    names = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
    on = {names.index(str(day)) for day in rule["BYDAY"]}
    start = event["DTSTART"].dt
    every = [start + timedelta(days=number) for number in range(weeks * 7)]
    return [day for day in every if day.weekday() in on and day <= until]


def tape_on(number: int = 1, day: int = 1, hour: int = 10, **changed: Any) -> TapeOn:
    own = {"id": an_id(number), "written_at": at(day, hour, 5), "make": None}
    happened_at = changed.pop("happened_at", at(day, hour))
    return builders.tape_on(happened_at, **(own | changed))


def tape_off(on: TapeOn, day: int, hour: int, **changed: Any) -> TapeOff:
    own = {"id": an_id(90), "written_at": at(day, hour, 5), "tape_on": on.id}
    happened_at = changed.pop("happened_at", at(day, hour))
    return builders.tape_off(happened_at, **(own | changed))


# ---------------------------------------------------------------- the form


@settings(max_examples=25)
@given(strategies.diaries())
def test_any_diary_makes_a_calendar_that_reads_back(diary: Diary) -> None:
    text = write_calendar(diary, said_words)
    assert text.endswith("END:VCALENDAR\r\n")
    assert "\n" not in text.replace("\r\n", "")
    lines = text.encode().split(b"\r\n")
    assert max(map(len, lines)) <= 75
    for line in lines:
        line.decode()
    calendar: Any = Calendar.from_ical(text)
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"]
    uids = [str(event["UID"]) for event in calendar.walk("VEVENT")]
    assert len(uids) == len(set(uids)) >= 1
    for event in calendar.walk("VEVENT"):
        assert event.errors == []
        wrong = under_wrong_clock(diary)
        sure = [entry.written_at for entry in diary.entries if entry.id not in wrong]
        newest = max(sure, default=None)
        if newest is not None:
            assert event["DTSTAMP"].dt == newest.astimezone(UTC).replace(microsecond=0)


TEXT = st.text(
    st.sampled_from('é\U0001f9b5水a,;:\\"\n\t') | strategies.letters, min_size=1, max_size=60
)


@given(TEXT, TEXT.map(lambda text: text[:40]))
def test_any_text_comes_back_as_it_was(label: str, number: str) -> None:
    """Folding in the middle of many-byte text, and every escape of 3.3.11."""
    contact = Contact(role="clinic", label=label, number=number)
    event = events(Diary(plans=(plan(contacts=(contact,)),)))["Knee plan: review is due"]
    said = f"Bring the diary file and your questions. {label}: {number}."
    assert str(event["DESCRIPTION"]) == said
    unnamed = Contact(role="clinic", number="0100 555")
    event = events(Diary(plans=(plan(contacts=(unnamed,)),)))["Knee plan: review is due"]
    assert str(event["DESCRIPTION"]).endswith(" Your clinic: 0100 555.")


def test_a_long_line_is_folded_between_characters() -> None:
    """3.1: at most 75 octets a line, the rest after CRLF and one space."""
    contact = Contact(role="clinic", label="é" * 60, number="水" * 40)
    text = write_calendar(Diary(plans=(plan(contacts=(contact,)),)), said_words)
    (said,) = (part for part in text.split("DESCRIPTION:") if part.startswith("Bring"))
    first, *folded = f"DESCRIPTION:{said}".split("\r\nCLASS")[0].split("\r\n")
    assert len(folded) >= 3
    assert all(line.startswith(" ") for line in folded)
    # Full but for the octets of a character that did not fit whole.
    assert all(73 <= len(line.encode()) <= 75 for line in [first, *folded[:-1]])
    assert f"{'é' * 60}: {'水' * 40}." in text.replace("\r\n ", "")


def test_the_same_entries_give_the_same_bytes_in_any_order() -> None:
    made = full_diary()
    turned = Diary(plans=made.plans[::-1], entries=made.entries[::-1])
    assert write_calendar(made, said_words) == write_calendar(turned, said_words)


def test_a_uid_outlives_the_plan_version_and_its_sequence_rises() -> None:
    """3.8.7.4: the event with the higher SEQUENCE replaces the other."""
    old = Diary(plans=(plan(),))
    new = Diary(plans=(plan(), plan(version=2, hands_days_a_week=3, exercise_days_a_week=3)))
    before, after = events(old)["Knee routine"], events(new)["Knee routine"]
    assert before["UID"] == after["UID"]
    assert (before["SEQUENCE"], after["SEQUENCE"]) == (1, 2)


@pytest.mark.parametrize("name", PEOPLE)
def test_the_calendar_of_each_demo_person(name: str) -> None:
    diary = read(demo_profiles() / name / "diary.homeknee").diary
    assert diary is not None
    found = events(diary)
    assert any(title.startswith("Knee plan: review is due") for title in found)
    assert any(title.startswith("Knee routine") for title in found)


# ---------------------------------------------------------------- the routine


@pytest.mark.parametrize("number", range(1, 8))
def test_the_routine_comes_on_the_plans_days_a_week_until_the_review(number: int) -> None:
    made = plan(hands_days_a_week=number, exercise_days_a_week=number)
    found = events(Diary(plans=(made,)))
    assert set(found) == {"Knee routine", "Knee plan: review is due"}
    event = found["Knee routine"]
    start = event["DTSTART"].dt
    assert start.tzinfo is None, "the hour holds wherever the person is"
    days = days_of(event, weeks=4)
    assert len(days) == number * 4
    assert days[0] == start == datetime.combine(made.written_on, ROUTINE_AT)
    assert event["RRULE"]["UNTIL"] == [datetime.combine(made.review_on, time(23, 59, 59))]
    gaps = [(later - day).days for day, later in pairwise(days)]
    assert max(gaps, default=7) - min(gaps, default=7) <= 1, "spread over the week"


def test_what_is_over_is_not_in_it_and_everything_rings() -> None:
    """It began two months back, whole days without an hour, and nothing rang."""
    on = tape_on(day=20)
    found = events(Diary(plans=(plan(),), entries=(on,)))
    assert found["Knee routine"]["DTSTART"].dt.date() >= FIRST + timedelta(days=20)
    for title, event in found.items():
        (alarm,) = event.walk("VALARM")
        before = timedelta(hours=6 if "review" in title else 0)
        assert alarm["TRIGGER"].dt == -before


def test_exercise_on_other_days_is_an_event_of_its_own() -> None:
    made = plan(hands_days_a_week=5, exercise_days_a_week=3)
    found = events(Diary(plans=(made,)))
    assert len(days_of(found["Knee routine"])) == 5
    assert len(days_of(found["Knee exercises"])) == 3
    none = dataclasses.replace(plan(), techniques=(), hands_days_a_week=0)
    assert set(events(Diary(plans=(none,)))) == {"Knee exercises", "Knee plan: review is due"}


@pytest.mark.parametrize(("last_written", "said"), [(0, True), (49, True), (50, False)])
def test_while_a_tape_trial_is_not_over_no_day_is_as_good_as_another(
    last_written: int, said: bool
) -> None:
    """Six pairs of three scored days from 4 March: its last day is 20 April. No order is told."""
    first = FIRST + timedelta(days=2)
    of = schedule("drawn by chance", first, 6, 3)
    assert of.last_day == FIRST + timedelta(days=49)
    trial = TapeTrial(
        side="right",
        first_day=first,
        pairs=6,
        scored_days=3,
        seed=of.seed,
        schedule_sha256=of.sha256,
    )
    on = tape_on(day=last_written)
    made = Diary(plans=(plan(trial=trial),), entries=(on, tape_off(on, last_written, 11)))
    text = str(events(made)["Knee routine"]["DESCRIPTION"])
    assert ("In your tape trial the front page says what each day is for." in text) is said
    assert ("Any days will do." in text) is not said
    # Another order of the same days gives the same calendar.
    other = schedule("drawn again", first, 6, 3)
    assert other.tape_first != of.tape_first
    swapped = dataclasses.replace(trial, seed=other.seed, schedule_sha256=other.sha256)
    again = Diary(plans=(plan(trial=swapped),), entries=made.entries)
    assert write_calendar(again, said_words) == write_calendar(made, said_words)


def test_a_locked_routine_is_not_in_the_calendar() -> None:
    """An emergency sign locks hands and exercise until it is cleared (stop list)."""
    sign = WarningSign(
        id=an_id(1),
        for_day=FIRST,
        written_at=at(0, 12),
        written_by="person",
        plan_version=1,
        sign="chest_pain",
        card="emergency",
        level="emergency",
    )
    mistake = dataclasses.replace(
        sign,
        id=an_id(2),
        written_at=at(0, 13),
        replaces=sign.id,
        cleared="ticked_by_mistake",
        cleared_on=FIRST,
        cleared_by="person",
    )
    assert set(events(Diary(plans=(plan(),), entries=(sign,)))) == {"Knee plan: review is due"}
    assert "Knee routine" in events(Diary(plans=(plan(),), entries=(sign, mistake)))


def test_a_plan_nobody_signed_says_so() -> None:
    made = dataclasses.replace(plan(), sign_off=None)
    assert set(events(Diary(plans=(made,)))) == {
        "Knee routine (practice plan)",
        "Knee plan: review is due (practice plan)",
    }


# ---------------------------------------------------------------- tape, skin, review


def test_tape_that_is_on_is_due_off_at_its_moment_in_utc() -> None:
    """First wear, 24 hours: on at 10:00+01:00, due at 09:00 UTC the next day; an alarm rings."""
    event = events(Diary(plans=(plan(),), entries=(tape_on(),)))["Take tape off: right knee"]
    assert event["DTSTART"].dt == datetime(2026, 3, 4, 9, tzinfo=UTC)
    assert event["DTSTART"].dt.utcoffset() == timedelta(0)
    assert event["DTSTAMP"].dt == datetime(2026, 3, 3, 9, 5, tzinfo=UTC)
    (alarm,) = event.walk("VALARM")
    assert alarm["ACTION"] == "DISPLAY"
    assert alarm["TRIGGER"].dt == timedelta(0)
    assert "Never leave it on after 2026-03-08 10:00." in str(event["DESCRIPTION"])


def test_tape_due_in_the_night_comes_forward_to_nine_in_the_evening() -> None:
    """The evening rule of the wear clock: on at 23:00, due 21:00 the next evening, UTC+1."""
    event = events(Diary(plans=(plan(),), entries=(tape_on(hour=23),)))["Take tape off: right knee"]
    assert event["DTSTART"].dt == datetime(2026, 3, 4, 20, tzinfo=UTC)


def test_after_tape_came_off_the_skin_is_to_be_looked_at_once() -> None:
    on = tape_on()
    off = tape_off(on, 2, 9)
    found = events(Diary(plans=(plan(),), entries=(on, off)))
    assert "Take tape off: right knee" not in found
    look = found["Look at the skin: right knee"]
    assert look["DTSTART"].dt == datetime(2026, 3, 4, 8, 30, tzinfo=UTC)
    done = dataclasses.replace(off, skin_after_30_min="clear")
    assert "Look at the skin: right knee" not in events(Diary(plans=(plan(),), entries=(on, done)))
    last_minute, too_late = (
        tape_on(3, day=3, hour=9, side="left", happened_at=at(3, 9), written_at=at(3, 9, minute))
        for minute in (29, 30)
    )
    both = plan(side="both", main_side="right")
    for newest, told in ((last_minute, True), (too_late, False)):
        found = events(Diary(plans=(both,), entries=(on, off, newest)))
        assert ("Look at the skin: right knee" in found) is told, "a day after the look was due"
    later = tape_on(2, day=9, side="left")
    late = events(Diary(plans=(both,), entries=(on, off, later)))
    assert set(late) >= {"Take tape off: left knee"}
    assert "Look at the skin: right knee" not in late, "a day later a look would be made up"


def test_the_review_is_a_day_with_the_number_of_the_clinic() -> None:
    contact = Contact(role="clinic", label="Pellan Harbour clinic", number="555 0107", when="8-12")
    event = events(Diary(plans=(plan(contacts=(contact,)),)))["Knee plan: review is due"]
    assert event["DTSTART"].dt == plan().review_on
    assert event["DTSTART"].params.get("VALUE") == "DATE"
    assert str(event["DESCRIPTION"]).endswith("Pellan Harbour clinic: 555 0107 (8-12).")


def test_nothing_in_it_names_the_person() -> None:
    assert "K-07" not in write_calendar(full_diary(), said_words)
