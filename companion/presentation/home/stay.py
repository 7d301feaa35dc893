"""Tape for days away from home: how often it changes, what to cut before, what to pack."""

from __future__ import annotations

from companion.care.records import Plan
from companion.care.strips import (
    ROLL_WIDTH_MM,
    RollCut,
    applications_away,
    cut_in_order,
)
from companion.presentation.home.cutting import CuttingSheet, KneeCuts, cutting_sheet
from companion.presentation.language.phrases import in_figures, listed, phrase
from companion.presentation.view.page import (
    Block,
    Bulleted,
    DefinitionList,
    Heading,
    PageView,
    Text,
    next_page,
)

MOST_DAYS = 120
SPARE_TIMES = 1
"""One change more than counted is cut, for a strip that goes on badly (C)."""


def stay_view(plan: Plan, days: int) -> PageView:
    """The plan of a stay of 1 to 120 days. Raises NoCuttingSheet when a length is missing, and
    ValueError for other numbers of days."""
    if not 1 <= days <= MOST_DAYS:
        raise ValueError(phrase("Give a number of days from 1 to {most}.", most=MOST_DAYS))
    sheet = cutting_sheet(plan)
    tape = plan.tape
    wear = min(tape.wear_hours, tape.cap_hours)
    changes = applications_away(days, wear, tape.rest_hours)
    times = changes + SPARE_TIMES
    rolls = stay_rolls(sheet, plan, times)
    strips = sum(_count(knee, short=False) for knee in sheet.knees) * times
    pieces = sum(_count(knee, short=True) for knee in sheet.knees) * times
    rows = [
        (phrase("Days away"), str(days)),
        (
            phrase("Tape goes on"),
            phrase(
                "once, and one more cut to spare", "{n} times, and one more to spare", n=changes
            ),
        ),
        (phrase("Worn each time"), phrase("{n} hours at most", n=wear)),
    ]
    if tape.rest_hours:
        rest = phrase("{n} hours at least", n=tape.rest_hours)
        rows.append((phrase("Bare skin between"), rest))
    rows.append((phrase("Side strips to cut"), str(strips)))
    if pieces:
        rows.append((phrase("Short pieces to cut"), str(pieces)))
    rows.append((phrase("Rolls of {m} m", m=_metres(tape.roll_mm)), str(len(rolls))))
    blocks: list[Block] = []
    if sheet.plan_mark is not None:
        blocks.append(Text(sheet.plan_mark, "strong"))
    blocks += [
        Text(phrase("Only your plan says if and when tape goes on. This is what it takes.")),
        DefinitionList(tuple(rows)),
        Heading(phrase("Cut at home, roll by roll")),
        Bulleted(tuple(_roll_words(number, roll) for number, roll in enumerate(rolls, 1))),
        *([Text(_split_words(), "quiet")] if _is_split(plan) else []),
        Heading(phrase("Pack")),
        Bulleted(_packing(strips, pieces)),
        Text(phrase("Take no more than you need. New tape of another make needs a new skin test.")),
    ]
    return next_page(
        "stay",
        phrase("Tape for {n} day away", "Tape for {n} days away", n=days),
        *blocks,
        main=phrase("Save it to print"),
    )


def stay_rolls(sheet: CuttingSheet, plan: Plan, times: int) -> tuple[RollCut, ...]:
    """The rolls cut in order for so many changes of every knee of the sheet.

    A roll split lengthwise gives two strips from one length.
    """
    each = 1 if _is_split(plan) else 2
    once: list[float] = []
    for knee in sheet.knees:
        for short in (False, True):
            lengths = [p.length_mm for p in knee.pieces if (p.number > 2) == short]
            once += lengths[:each]
    return cut_in_order(once * times, plan.tape.roll_mm)


def _is_split(plan: Plan) -> bool:
    return 2 * plan.tape.width_mm <= ROLL_WIDTH_MM


def _count(knee: KneeCuts, *, short: bool) -> int:
    return sum((piece.number > 2) == short for piece in knee.pieces)


def _split_words() -> str:
    return phrase("The roll is split along its middle: each length gives two pieces.")


def _roll_words(number: int, roll: RollCut) -> str:
    runs: list[tuple[float, int]] = []
    for length in roll.lengths_mm:
        if runs and abs(runs[-1][0] - length) < 0.05:
            runs[-1] = (length, runs[-1][1] + 1)
        else:
            runs.append((length, 1))
    totals: dict[int, int] = {}
    for length, count in runs:
        totals[round(length)] = totals.get(round(length), 0) + count
    cuts = listed(
        phrase("{n} length of {mm} mm", "{n} lengths of {mm} mm", n=count, mm=mm)
        for mm, count in totals.items()
    )
    return phrase(
        "Roll {number}: {cuts}; {rest} cm left.",
        number=number,
        cuts=cuts,
        rest=round(roll.rest_mm / 10),
    )


def _packing(strips: int, pieces: int) -> tuple[str, ...]:
    cut = (
        phrase("{strips} side strips and {pieces} short pieces, cut, corners round",
               strips=strips, pieces=pieces)
        if pieces
        else phrase("{strips} side strips, cut, corners round", strips=strips)
    )  # fmt: skip
    return (
        cut,
        phrase("a flat bag, so that the pieces stay flat and dry"),
        phrase("scissors with blunt ends"),
        phrase("oil or wipes to take the tape off"),
        phrase("a pen for the off-day on the tape"),
        phrase("this page, the pages for the fridge and blank day pages"),
    )


def _metres(roll_mm: int) -> str:
    return in_figures(roll_mm / 1000)
