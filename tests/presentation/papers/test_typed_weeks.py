"""Weeks on paper, typed: one key a cell, nothing lost, the same as from a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from companion.care.records import DayPage, Diary, Event, Session
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


def type_in(weeks: TypedWeeks, answers: Iterable[str]) -> int:
    """Type each answer at its question, "" to leave it empty; how many keys that took."""
    keys = 0
    for answer in answers:
        part = weeks.cell.part
        if isinstance(part, Gap) and answer not in ("?", "-"):
            assert all(weeks.press(letter) for letter in answer)
            weeks.step("on")
            keys += len(answer) + 1
        elif answer:
            assert weeks.press(answer), (answer, part)
            keys += 1
        else:
            weeks.step("on")
            keys += 1
    return keys


def usual_answers(weeks: TypedWeeks) -> list[str]:
    """An answer for every question of every form, in their order."""
    found = []
    for number, form in enumerate(weeks.forms):
        for row in form.rows:
            for part in row:
                if not part.column:
                    continue
                match part:
                    case Ring():
                        found.append(str((number + len(part.words)) % 4 + 3))
                    case Boxes():
                        place = 0 if part.column in ("sign", "fell") else -1
                        found.append(box_keys(part)[place])
                    case Gap():
                        found.append("" if part.column == "note" else "20")
    # The worst is no lower than the average, as on most papers.
    worst = [n for n, part in enumerate(_parts(weeks)) if part.column == "pain_worst"]
    for n in worst:
        found[n] = "8"
    return found


def _parts(weeks: TypedWeeks) -> list[Ring | Boxes | Gap]:
    return [p for form in weeks.forms for row in form.rows for p in row if p.column]


@pytest.mark.parametrize("name", NAMES)
def test_two_weeks_take_less_than_five_minutes_of_keys(name: str) -> None:
    weeks = weeks_of(name)
    keys = type_in(weeks, usual_answers(weeks))
    assert weeks.at_end
    assert weeks.not_taken() == ()
    assert keys * SECONDS_A_KEY < 300 * len(plan_of(name).sides), keys


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
            answer = next(values)
            if isinstance(part, Boxes):
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
