"""Days to be kept with a pen: a form a day, its date printed, numbers to ring and boxes to tick.

What a table takes has its column; the rest is for the clinic to read (`exchange/table`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import get_args

from companion.care.bad_days import rest_pain_limit
from companion.care.policy import Policy
from companion.care.records import Plan, Side, Skin, StairsWay
from companion.care.step_limits import ceiling_of
from companion.exchange.table_cells import PUT_ON_BY
from companion.presentation.language import codes
from companion.presentation.language.phrases import dated, phrase, weekday
from companion.presentation.language.words import this_knee
from companion.presentation.papers.booklet import bad_day_mark, hands_stop, plan_mark


@dataclass(frozen=True, slots=True)
class Ring:
    """A number from 0 to 10, to be ringed."""

    words: str
    column: str = ""


@dataclass(frozen=True, slots=True)
class Boxes:
    """Boxes, one of which is ticked. `cells`: what each is in a table, where that is another word
    than the one that is printed."""

    words: str
    options: tuple[str, ...]
    column: str = ""
    cells: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Gap:
    """A gap to be written into, and what stands behind it. It is full with so many `letters`; 0:
    there is no such number."""

    words: str
    unit: str = ""
    column: str = ""
    letters: int = 0


Part = Ring | Boxes | Gap
Row = tuple[Part, ...]
"""What stands beside each other: one part, or two that need half a line each."""


@dataclass(frozen=True, slots=True)
class DayForm:
    """One day of one knee. `code` tells the form from every other, by eye or from a scan."""

    day: date
    side: Side
    heading: str
    code: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class DayForms:
    """All forms in order, and what every sheet of them says: how it is filled in, the `limits` of
    the plan that act on such a day, and which warnings were open when it was printed."""

    title: str
    running_head: str
    foot: str
    lead: str
    limits: tuple[str, ...]
    forms: tuple[DayForm, ...]
    warned: str = ""


def day_forms(plan: Plan, policy: Policy, first_day: date, days: int) -> DayForms:
    """Forms of so many days from `first_day`; with two knees one each, the person asked once."""
    return DayForms(
        title=phrase("Days on paper"),
        running_head=phrase("{code}, care plan {version}", code=plan.person, version=plan.version),
        foot=plan_mark(plan) or phrase("In an emergency, call the emergency number first."),
        lead=phrase(
            "Ring a number, tick a box. Not known: leave it empty. Pain: 10 is the worst possible. "
            "What you do: 10 is as before."
        ),
        limits=tuple(_limits(plan, policy)),
        forms=forms_of(plan, first_day, days),
    )


def forms_of(plan: Plan, first_day: date, days: int) -> tuple[DayForm, ...]:
    """The forms alone."""
    return tuple(
        _form(plan, side, first_day + timedelta(days=number))
        for number in range(days)
        for side in _main_first(plan)
    )


def _limits(plan: Plan, policy: Policy) -> Iterator[str]:
    """The numbers of the plan by which a day on paper is cut short; each line of them is room that
    a day needs."""
    hands, exercise = hands_stop(plan), ceiling_of("exercise", plan)
    stops = phrase("Stop a hands-on step: {pain} ", pain=hands) if plan.techniques else ""
    stops += phrase("Stop an exercise: above {n}. ", n=exercise) if plan.exercises else ""
    mark, rest = bad_day_mark(plan, policy).rstrip(","), rest_pain_limit(plan)
    bad = phrase("{mark} at the check move, or ", mark=mark) if mark else ""
    yield stops + phrase("A bad day: {bad}above {rest} at rest.", bad=bad, rest=rest)
    tape = plan.tape
    if tape.highest:
        hours = (tape.first_wear_hours, tape.second_wear_hours, tape.wear_hours)
        first, second, later = (min(one, tape.cap_hours) for one in hours)
        yield phrase(
            "Tape off after {first} hours the first time, {second} the second, then {later}; "
            "never later than {cap}.",
            first=first,
            second=second,
            later=later,
            cap=tape.cap_hours,
        )


def _main_first(plan: Plan) -> tuple[Side, ...]:
    return tuple(sorted(plan.sides, key=lambda side: side != plan.main_side))


def form_headings(plan: Plan) -> dict[str, str]:
    """The column of each question of the forms, by its words as they are printed."""
    return {
        part.words: part.column
        for side in plan.sides
        for row in _rows(plan, side)
        for part in row
        if part.column
    }


def _form(plan: Plan, side: Side, day: date) -> DayForm:
    knee = this_knee(side)
    return DayForm(
        day=day,
        side=side,
        heading=phrase(
            "{weekday} {day}, your {knee}", weekday=weekday(day), day=dated(day), knee=knee
        ),
        code=f"{plan.person} {plan.version} {side[0].upper()} {day.isoformat()}",
        rows=_rows(plan, side),
    )


def _rows(plan: Plan, side: Side) -> tuple[Row, ...]:
    """The questions of a knee; those about the person stand on the form of the main one."""
    no_yes = (phrase("no"), phrase("yes"))
    of_person = side == plan.main_side
    rows: list[Row] = []
    if of_person:
        call_first = (phrase("no"), phrase("yes: call first"))
        sign = Boxes(phrase("A sign of the fridge sheet?"), call_first, "sign", ("no", "yes"))
        fell = Boxes(phrase("Did you fall?"), no_yes, "fell")
        medicine = Boxes(phrase("Extra pain medicine?"), no_yes, "medicine")
        rows += [(sign,), (fell, medicine)]
    rows += [
        (Ring(phrase("Average pain since this time yesterday"), "pain_average"),),
        (Ring(phrase("Worst pain since this time yesterday"), "pain_worst"),),
        (Ring(phrase("Pain now"), "pain_now"),),
        (
            Gap(phrase("Morning stiffness"), phrase("min"), "stiffness_min"),
            Boxes(phrase("Woken by this knee?"), no_yes, "night_pain"),
        ),
        (Ring(phrase("Check move, before"), "before"),),
    ]
    if plan.techniques:
        rows.append((Ring(phrase("Check move, after hands"), "after_hands"),))
    done = [
        *((Boxes(phrase("Hands-on steps?"), no_yes, "steps_done"),) if plan.techniques else ()),
        *((Boxes(phrase("Exercises?"), no_yes, "exercise_done"),) if plan.exercises else ()),
    ]
    if done:
        rows.append(tuple(done))
    if plan.tape.highest:
        rows += _tape_rows(plan.tape.highest, no_yes)
    if of_person:
        stairs = get_args(StairsWay)
        words = tuple(codes.STAIRS[way].short for way in stairs)
        rows.append((Boxes(phrase("Stairs"), words, "stairs", stairs),))
        rows += [(Ring(label, f"activity:{label}"),) for label in plan.activities]
        rows += [
            (
                Gap(
                    phrase("How much: {label}", label=amount.label),
                    amount.unit,
                    f"amount:{amount.label}:{amount.unit}",
                ),
            )
            for amount in plan.amounts
        ]
    rows.append((Gap(phrase("Note"), "", "note"),))
    return tuple(rows)


def _tape_rows(highest: int, no_yes: tuple[str, ...]) -> list[Row]:
    stages = (phrase("0 none"), phrase("1 side strips"), phrase("2 short pieces too"))
    skins = tuple(phrase(word) for word in get_args(Skin))
    who = Boxes(phrase("Put on by"), (phrase("me"), phrase("helper")), "tape_by", PUT_ON_BY)
    return [
        (Boxes(phrase("Tape put on"), stages[: highest + 1], "tape_stage", ("0", "1", "2")),),
        (Gap(phrase("Tape on, o’clock"), "", "tape_on", 4), who),
        (
            Gap(phrase("Tape off, o’clock"), "", "tape_off", 4),
            Boxes(phrase("Tape worn today?"), no_yes, "tape_worn"),
        ),
        (Ring(phrase("Check move, after tape"), "after_tape"),),
        (Boxes(phrase("Skin under tape"), skins, "skin", get_args(Skin)),),
    ]
