"""Weeks on paper, typed: one key a cell, nothing lost, the same as from a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from companion.care.records import DayPage, Diary, Event, Session, TapeOff, TapeOn
from companion.evidence.findings import findings, sides
from companion.exchange.table import read_table
from companion.presentation.papers.day_form import Boxes, Gap, Ring
from companion.presentation.papers.typed_weeks import TypedWeeks, box_keys
from tests.care.content import CATALOGUE
from tests.presentation.papers.test_booklet import NAMES, plan_of

FIRST = date(2026, 11, 2)
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
SECONDS_A_KEY = 0.75
"""What typing codes takes (Card, Moran, Newell 1980, keystroke-level model, from memory)."""


def weeks_of(name: str, days: int = 14, **changes: object) -> TypedWeeks:
    plan = replace(plan_of(name), **changes)  # type: ignore[arg-type]
    return TypedWeeks(Diary(plans=(plan,)), FIRST, days, NOW)


def type_in(weeks: TypedWeeks, answers: Iterable[str | None]) -> int:
    """Type each answer at its question, "" to leave it empty, None where it is passed over; how
    many keys that took. A number ends with the answer behind it where that is a box, a day with
    Page Down where the rest of it is empty."""
    keys = 0
    asked = [answer for answer in answers if answer is not None]
    for number, answer in enumerate(asked):
        part = weeks.cell.part
        if isinstance(part, Gap) and answer not in ("?", "-"):
            assert all(weeks.press(letter) for letter in answer)
            keys += len(answer)
            behind = weeks._boxes_behind()
            if weeks.cell.part is part and not (answer and behind and asked[number + 1]):
                weeks.step(key := _rest_of_day(weeks, asked[number + 1 :]))
                keys += 1
                if key == "next_day":
                    del asked[number + 1]
        elif answer:
            assert weeks.press(answer), (answer, part)
            keys += 1
        else:
            weeks.step("on")
            keys += 1
    return keys


def _rest_of_day(weeks: TypedWeeks, ahead: list[str]) -> str:
    """What is pressed where an answer ends: the note alone may be left on the form."""
    last_but_note = weeks.cell_at == len(weeks.cells) - 2
    return "next_day" if last_but_note and ahead[:1] == [""] and ahead[1:] else "on"


def usual_answers(weeks: TypedWeeks) -> list[str | None]:
    """An answer for every question of every form, in their order; None where it is passed over.

    Tape goes on each fourth day and comes off on the third after it, as for a wear of 72 hours with
    a day of rest.
    """
    found: list[str | None] = []
    for number, form in enumerate(weeks.forms):
        put_on, off = number % 4 == 0, number % 4 == 3
        told: dict[str, str | None] = {
            "pain_worst": "8",  # no lower than the average, as on most papers
            "tape_stage": "1" if put_on else "0",
            "tape_on": "1830" if put_on else None,
            "tape_by": "h" if put_on else None,
            "after_tape": "3" if put_on else None,
            "tape_off": "0715" if off else "",
            "note": "",
        }
        for part in (part for row in form.rows for part in row):
            match part:
                case _ if part.column in told:
                    found.append(told[part.column])
                case Ring():
                    found.append(str((number + len(part.words)) % 4 + 3))
                case Boxes():
                    found.append(box_keys(part)[0 if part.column in ("sign", "fell") else -1])
                case Gap():
                    found.append("20")
    return found


def _parts(weeks: TypedWeeks) -> list[Ring | Boxes | Gap]:
    return [p for form in weeks.forms for row in form.rows for p in row if p.column]


@pytest.mark.parametrize("name", NAMES)
def test_two_weeks_take_less_than_five_minutes_of_keys(name: str) -> None:
    weeks = weeks_of(name)
    keys = type_in(weeks, usual_answers(weeks))
    assert weeks.at_end
    assert weeks.not_taken() == ()
    assert keys * SECONDS_A_KEY < 280 * len(plan_of(name).sides), keys


@pytest.mark.parametrize("name", ["osric", "wilma"])
def test_typed_by_keys_and_by_a_table_two_weeks_are_the_same(name: str) -> None:
    weeks = weeks_of(name)
    plan = weeks.diary.plan
    type_in(weeks, usual_answers(weeks))
    columns = list(dict.fromkeys(part.column for part in _parts(weeks)))
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=";")
    writer.writerow(["day", "side", *columns])
    values = iter(usual_answers(weeks))
    for form in weeks.forms:
        row = {"day": f"{form.day:%d/%m/%Y}", "side": form.side}
        for part in (p for each in form.rows for p in each if p.column):
            answer = next(values) or ""
            if isinstance(part, Boxes) and answer:
                answer = (part.cells or part.options)[box_keys(part).index(answer)]
            row[part.column] = answer
        writer.writerow([row.get(column, "") for column in ("day", "side", *columns)])
    reading = read_table(out.getvalue().encode(), plan, NOW)
    assert reading.faults == ()
    assert reading.entries == weeks.entries()
    policy = CATALOGUE.policy
    typed, tabled = (Diary(plans=(plan,), entries=e) for e in (weeks.entries(), reading.entries))
    for side in sides(typed):
        read_on = NOW.date()
        assert findings(typed, side, policy=policy, read_on=read_on) == findings(
            tabled, side, policy=policy, read_on=read_on
        )


def go_to(weeks: TypedWeeks, column: str) -> None:
    weeks.go_to(next(n for n, cell in enumerate(weeks.cells) if cell.part.column == column))


def test_a_slip_costs_its_cell_and_is_kept_in_sight() -> None:
    weeks = weeks_of("osric", 2)
    go_to(weeks, "pain_average")
    assert weeks.press("7")
    assert weeks.press("3")  # the worst, below the average
    assert weeks.press("t")
    go_to(weeks, "stiffness_min")
    for letter in "ten or so":
        assert weeks.press(letter)
    (page,) = (entry for entry in weeks.entries() if isinstance(entry, DayPage))
    assert (page.pain_average, page.pain_worst, page.pain_now) == (None, None, 10)
    assert page.stiffness_minutes is None
    assert weeks.text(weeks.cell.part) == "ten or so"
    assert weeks.slip(weeks.cell.part) is not None
    day = "Monday 2 November 2026"
    stiff, worst = sorted(weeks.not_taken())
    assert stiff.startswith(f"{day}, Morning stiffness: 'ten or so'")
    assert worst == (
        f"{day}, Worst pain since this time yesterday: the worst, 3, is below the average, 7."
    )


def test_a_number_ends_with_the_letter_of_the_next_answer_and_words_do_not() -> None:
    """Figures and then a letter of the boxes behind them; "20 min", "none" stay words of theirs."""
    weeks = weeks_of("osric", 1)
    go_to(weeks, "stiffness_min")
    assert all(weeks.press(key) for key in "20n")
    assert weeks.cell.part.column == "before"
    (page,) = weeks.entries()
    assert isinstance(page, DayPage)
    assert (page.stiffness_minutes, page.night_pain) == (20, False)
    for words in ("20 min", "none", "not yet"):
        again = weeks_of("osric", 1)
        go_to(again, "stiffness_min")
        assert all(again.press(key) for key in words)
        assert again.text(again.cell.part) == words
    hour = weeks_of("osric", 1)
    go_to(hour, "tape_off")
    assert all(hour.press(key) for key in "7n")
    assert hour.text(hour.cell.part) == "7n"


def test_what_cannot_be_read_and_what_was_not_asked_are_answers_of_their_own() -> None:
    weeks = weeks_of("osric", 1)
    go_to(weeks, "pain_average")
    assert weeks.press("?")
    assert weeks.press("-")
    assert weeks.press("4")
    go_to(weeks, "before")
    assert weeks.press("?")
    (page,) = weeks.entries()
    assert isinstance(page, DayPage)
    assert (page.unclear, page.not_asked) == (("before", "pain_average"), ("pain_worst",))
    assert (page.pain_average, page.pain_worst, page.pain_now) == (None, None, 4)
    assert weeks.slips() == ()


def test_a_fall_is_an_event_and_a_sign_is_told() -> None:
    weeks = weeks_of("edda", 1)
    type_in(weeks, ["y", "y"])
    (fall,) = weeks.entries()
    assert isinstance(fall, Event)
    assert (fall.what, fall.for_day, fall.written_by) == ("fall", FIRST, "paper")
    assert "a warning sign was ticked" in " ".join(weeks.not_taken())


def test_hours_of_tape_and_who_put_it_on_come_of_the_sheet() -> None:
    weeks = weeks_of("osric", 2)
    go_to(weeks, "tape_on")
    type_in(weeks, ["1830", "h"])
    weeks.step("next_day")
    go_to(weeks, "tape_off")
    type_in(weeks, ["7:15"])
    on, off = weeks.entries()
    assert isinstance(on, TapeOn)
    assert (on.by, on.stage, f"{on.happened_at:%d %H:%M}") == ("helper", 1, "02 18:30")
    assert isinstance(off, TapeOff)
    assert f"{off.happened_at:%d %H:%M}" == "03 07:15"
    found = findings(
        Diary(plans=(weeks.diary.plan,), entries=weeks.entries()), "left", policy=CATALOGUE.policy
    )
    assert (found.tape.applications, found.tape.days_worn, found.tape.end_not_known) == (1, 2, 0)
    assert weeks.slips() == ()


def test_what_an_answer_rules_out_is_passed_over_and_can_be_gone_to() -> None:
    weeks = weeks_of("osric", 1)
    go_to(weeks, "tape_stage")
    assert weeks.press("0")
    assert weeks.cell.part.column == "tape_off"
    weeks.step("back")
    weeks.step("back")
    assert weeks.cell.part.column == "tape_on"
    type_in(weeks, ["930"])
    assert "says that no tape was on" in " ".join(weeks.not_taken())


def test_every_question_of_the_sheet_is_typed() -> None:
    """What stands on paper has its cell on the screen, and none is asked that is not kept."""
    for name in NAMES:
        weeks = weeks_of(name, 1)
        asked = [part for form in weeks.forms for row in form.rows for part in row]
        assert all(part.column for part in asked)


def test_the_person_is_asked_once_for_two_knees() -> None:
    weeks = weeks_of("wilma", 1)
    asked = [[cell.part.column for cell in cells] for cells in (weeks.cells, weeks._cells[1])]
    assert {"medicine", "fell", "stairs"} <= set(asked[0])
    assert not {"medicine", "fell", "stairs"} & set(asked[1])


def test_backspace_takes_back_and_page_keys_change_the_day() -> None:
    weeks = weeks_of("edda", 3)
    go_to(weeks, "pain_average")
    weeks.press("5")
    weeks.step("rub")  # the next one is empty: back to the one before
    weeks.step("rub")
    assert weeks.is_empty
    weeks.step("next_day")
    assert weeks.form.day == FIRST + timedelta(days=1)
    weeks.step("back")
    assert (weeks.form.day, weeks.cell.part.column) == (FIRST, "note")
    weeks.step("day_before")  # there is none
    assert weeks.form.day == FIRST


def test_a_key_that_means_nothing_there_types_nothing() -> None:
    weeks = weeks_of("edda", 1)
    go_to(weeks, "pain_average")
    assert not any(weeks.press(key) for key in "x½y ")
    assert weeks.is_empty


def test_a_day_that_is_written_is_not_written_twice() -> None:
    before = weeks_of("edda", 1)
    go_to(before, "pain_average")
    before.press("5")
    plan = before.diary.plan
    weeks = TypedWeeks(Diary(plans=(plan,), entries=before.entries()), FIRST, 2, NOW)
    go_to(weeks, "pain_average")
    weeks.press("6")
    assert weeks.is_written
    assert weeks.entries() == ()
    assert "is in the diary already" in " ".join(weeks.not_taken())
    weeks.step("next_day")
    go_to(weeks, "before")
    weeks.press("6")
    assert [type(entry) for entry in weeks.entries()] == [Session]


def test_the_chart_grows_with_each_score() -> None:
    weeks = weeks_of("edda", 7)
    assert weeks.chart().is_empty
    go_to(weeks, "pain_average")
    weeks.press("5")
    weeks.step("next_day")
    go_to(weeks, "pain_average")
    weeks.press("6")
    (average,) = weeks.chart().series
    assert [(point.day.day, point.score) for point in average.points] == [(2, 5), (3, 6)]


@pytest.mark.parametrize("name", NAMES)
def test_every_box_has_a_key_of_its_own(name: str) -> None:
    for part in _parts(weeks_of(name, 1)):
        if isinstance(part, Boxes):
            keys = box_keys(part)
            assert len(set(keys)) == len(part.options) == len(keys)
            assert len(part.cells or part.options) >= len(part.options)
