"""Two periods side by side, in words and charts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from companion.care.records import AnyEntry, Plan, Side
from companion.presentation.clinic.answers import done_of_prescribed
from companion.presentation.clinic.tables import mean_words
from companion.presentation.home.record_view import RecordTable, day_chart
from companion.presentation.language.figures_in_words import (
    change_between,
    whole_percent,
)
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.verdict_words import range_words
from companion.presentation.view.chart import Chart, DaySpan, days_between
from companion.services.clinic_periods import (
    Count,
    Days,
    PeriodFigures,
    TwoPeriods,
    around,
    first_and_last,
    two_periods,
)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two periods to choose, and what they are called."""

    words: str
    one: Days
    other: Days


@dataclass(frozen=True, slots=True)
class PeriodsView:
    """One sentence about the change, the figures as a table, and a chart of either period."""

    sentence: str
    table: RecordTable
    charts: tuple[Chart, Chart]


def pairs(plans: Sequence[Plan], first_day: date, last_day: date) -> tuple[Pair, ...]:
    """The pairs of periods that are offered: the ends of the record, and round each new plan."""
    one, other = first_and_last(first_day, last_day)
    offered = [Pair(phrase("First and last {n} days", n=one.count), one, other)]
    one, other = first_and_last(first_day, last_day, 28)
    if one.count == 28:
        offered.append(Pair(phrase("First and last 28 days"), one, other))
    for plan in sorted(plans, key=lambda each: each.version)[1:]:
        found = around(plan.written_on, first_day, last_day)
        if found is not None:
            words = phrase("Before and from plan {version}", version=plan.version)
            offered.append(Pair(words, *found))
    return tuple(offered)


def periods_view(
    entries: Sequence[AnyEntry],
    plans: Sequence[Plan],
    side: Side,
    one: Days,
    other: Days,
) -> PeriodsView:
    """Two periods of one knee; `entries` are those that count."""
    found = two_periods(entries, plans, side, one, other)
    rows = [
        (label, cell(found.one), cell(found.other))
        for label, cell in (
            (phrase("Days"), lambda f: str(f.days.count)),
            (phrase("Pain, mean"), lambda f: mean_words(f.pain_mean, f.pain_days)),
            (phrase("Worst pain, mean"), lambda f: mean_words(f.worst_mean, f.worst_days)),
            (phrase("Extra pain medicine"), lambda f: _of(f.medicine, phrase("answered days"))),
            (phrase("Night pain"), lambda f: _of(f.night_pain, phrase("answered days"))),
            (phrase("Stairs backwards"), lambda f: _of(f.backwards, phrase("answered days"))),
            (phrase("Exercise"), lambda f: done_of_prescribed(f.exercise).words),
            (phrase("Hands"), lambda f: done_of_prescribed(f.hands).words),
            (phrase("Ease target met"), lambda f: _of(f.eased, phrase("scored sessions"))),
            (phrase("Tape put on"), _tape),
            (phrase("Falls"), lambda f: str(f.falls)),
        )
    ]
    return PeriodsView(
        sentence=_sentence(found),
        table=RecordTable(("", _named(one), _named(other)), tuple(rows)),
        charts=(
            _chart(entries, plans, side, one),
            _chart(entries, plans, side, other),
        ),
    )


def _named(days: Days) -> str:
    return phrase("{first} to {last}", first=dated(days.first), last=dated(days.last))


def _of(count: Count, what: str) -> str | None:
    if not count.asked:
        return None if not count.yes else phrase("{yes}, none asked", yes=count.yes)
    share = whole_percent(100 * count.yes / count.asked)
    return phrase(
        "{yes} of {asked} {what} ({share})",
        yes=count.yes,
        asked=count.asked,
        what=what,
        share=share,
    )


def _tape(figures: PeriodFigures) -> str:
    return phrase(
        "{n} time, on {days} days",
        "{n} times, on {days} days",
        n=figures.tape_on,
        days=figures.taped_days,
    )


def _sentence(found: TwoPeriods) -> str:
    before, after, low, high = found.one.pain_mean, found.other.pain_mean, found.low, found.high
    if found.shared:
        return phrase(
            "The periods share {n} day: no change is given.",
            "The periods share {n} days: no change is given.",
            n=found.shared,
        )
    if found.change is None or before is None or after is None or low is None or high is None:
        return phrase("Cannot tell a change: each period needs 10 days with a pain score.")
    return phrase(
        "Pain in the second period, against the first: {change} points (95 % range {bounds}). Two "
        "periods picked by eye prove nothing: the verdict stands on the first page.",
        change=change_between(before, after),
        bounds=range_words(low, high),
    )


def _chart(entries: Sequence[AnyEntry], plans: Sequence[Plan], side: Side, days: Days) -> Chart:
    chart = day_chart(entries, plans, side, days.first, days.last)
    return replace(chart, title=days_between(DaySpan(days.first, days.last)))
