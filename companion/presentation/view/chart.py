"""What a chart shows, as plain data: its series with their signs, its lanes and its days.

Screen and paper draw these descriptions with one painter, so nothing here knows of pixels, fonts
or colours; but which sign, which ink and which line a series has is said here and nowhere else.
Days are diary days; scores are 0-10 and absent scores are simply not in the series: a gap is the
absence of a point, never a zero.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from companion.presentation.language.phrases import (
    dated,
    in_figures,
    listed,
    phrase,
    short_day,
    weekday,
)

_ONE_DAY = timedelta(days=1)

Shape = Literal["circle", "bar", "square", "triangle", "diamond", "hatch", "bracket"]
"""The last two cover days, the others mark one place."""
Ink = Literal["ink", "accent", "quiet"]
Fill = Literal["full", "ground", "open"]
"""In the ink of its edge; in the colour of the ground, so that lines stay behind it; not at all."""


@dataclass(frozen=True, slots=True)
class SeriesSign:
    """What a series is told by: its shape first, so that a grey copy says the same.

    `size` is the size against a plain dot.
    """

    shape: Shape
    ink: Ink = "ink"
    fill: Fill = "full"
    size: float = 1.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line that joins or parts: firm or fine, whole or dashed."""

    ink: Ink
    firm: bool = False
    dashed: bool = False


PLAN_STROKE = Stroke("quiet", dashed=True)
"""Where a new version of the care plan began."""


@dataclass(frozen=True, slots=True)
class DaySpan:
    """Days from first to last, both inclusive."""

    first_day: date
    last_day: date

    def __post_init__(self) -> None:
        if self.last_day < self.first_day:
            raise ValueError(f"span ends {self.last_day} before it begins {self.first_day}")

    @property
    def days(self) -> int:
        """Length in days, at least 1."""
        return (self.last_day - self.first_day).days + 1

    def __iter__(self) -> Iterator[date]:
        return (self.first_day + timedelta(days=n) for n in range(self.days))

    def holds(self, day: date) -> bool:
        """Whether the day is one of them."""
        return self.first_day <= day <= self.last_day

    def cut_to(self, other: DaySpan) -> DaySpan | None:
        """The days of both, None when they share none."""
        first, last = max(self.first_day, other.first_day), min(self.last_day, other.last_day)
        return DaySpan(first, last) if first <= last else None


@dataclass(frozen=True, slots=True)
class Point:
    """A score on the 0-10 scale, on one diary day.

    `share` says where in the day's column it stands: 0 its left edge, 1 its right one.
    """

    day: date
    score: float
    share: float = 0.5

    def __post_init__(self) -> None:
        # NaN fails both comparisons and is refused too.
        if not 0 <= self.score <= 10:
            raise ValueError(f"score {self.score} is not on the 0-10 scale")


@dataclass(frozen=True, slots=True)
class Series:
    """Points of one kind under one name and sign, by day.

    With `line` those of consecutive days are joined, or of what stands for several days each, those
    at most `apart` days from each other. Raises ValueError when a day then comes twice, for the
    line would be ambiguous.
    """

    name: str
    sign: SeriesSign
    points: tuple[Point, ...]
    line: Stroke | None = None
    apart: int = 1

    def __post_init__(self) -> None:
        for earlier, later in pairwise(self.points):
            if earlier.day > later.day or (self.line and earlier.day == later.day):
                raise ValueError(f"{self.name}: {later.day} follows {earlier.day}")

    @property
    def runs(self) -> tuple[tuple[Point, ...], ...]:
        """The points split wherever a day is missing.

        A line is drawn inside a run only: joining across an unrecorded day would invent an answer.
        """
        runs: list[list[Point]] = []
        for point in self.points:
            if runs and (point.day - runs[-1][-1].day).days <= self.apart:
                runs[-1].append(point)
            else:
                runs.append([point])
        return tuple(tuple(run) for run in runs)


@dataclass(frozen=True, slots=True)
class Lane:
    """What was so on some days, in a row under them: by a sign, or by a text for each span."""

    name: str
    spans: tuple[DaySpan, ...]
    sign: SeriesSign | None = None
    texts: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if len(self.texts) != (len(self.spans) if self.sign is None else 0):
            raise ValueError(f"{self.name}: a lane has a sign, or a text for every span")


@dataclass(frozen=True, slots=True)
class PlanLine:
    """A new version of the care plan began on `day`; `label` is a few words such as "Plan 2"."""

    day: date
    label: str


@dataclass(frozen=True, slots=True)
class TimeStretch:
    """Days for which one point stands, such as a week, and what they are called when it is read."""

    days: DaySpan
    name: str


@dataclass(frozen=True, slots=True)
class DayTick:
    """A label under the day axis."""

    day: date
    label: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Scores by diary day.

    Of two marks in one place that of the later series lies on top. `links` join two points each.
    `by_day` is False where only some days stand for something, as the middle of a period does;
    where they stand for `stretches`, what is read is named by its stretch.
    `nothing` is said in place of points, `description` by a screen reader in place of the picture.
    Raises ValueError when the days run backwards or a point lies outside them.
    """

    title: str
    score_axis: str
    first_day: date
    last_day: date
    series: tuple[Series, ...] = ()
    lanes: tuple[Lane, ...] = ()
    links: tuple[tuple[Point, Point], ...] = ()
    link_stroke: Stroke = Stroke("quiet")
    plan_lines: tuple[PlanLine, ...] = ()
    by_day: bool = True
    stretches: tuple[TimeStretch, ...] = ()
    nothing: str = ""
    description: str = ""

    def __post_init__(self) -> None:
        days = self.days
        for series in self.series:
            for point in series.points:
                if not days.holds(point.day):
                    raise ValueError(f"{series.name} on {point.day} lies outside the chart")

    @property
    def days(self) -> DaySpan:
        """First to last day."""
        return DaySpan(self.first_day, self.last_day)

    @property
    def is_empty(self) -> bool:
        """True when no score at all was recorded."""
        return not any(series.points for series in self.series)

    @property
    def stops(self) -> tuple[date, ...]:
        """The days that can be read one after the other: a gap is read too, as a day without."""
        if self.by_day:
            return tuple(self.days)
        return tuple(sorted({point.day for each in self.series for point in each.points}))

    @property
    def fullest_day(self) -> date:
        """A day with most to read."""
        held = Counter(point.day for each in self.series for point in each.points)
        for lane in self.lanes:
            held.update(day for span in lane.spans for day in span if day in held)
        return max(held, key=lambda day: held[day], default=self.last_day)

    def within(self, days: DaySpan) -> Chart:
        """The same over some of its days."""
        lanes = []
        for lane in self.lanes:
            cut = [span.cut_to(days) for span in lane.spans]
            kept = [n for n, span in enumerate(cut) if span is not None]
            spans = tuple(span for span in cut if span is not None)
            texts = tuple(lane.texts[n] for n in kept) if lane.texts else ()
            lanes.append(replace(lane, spans=spans, texts=texts))
        return replace(
            self,
            first_day=days.first_day,
            last_day=days.last_day,
            series=tuple(
                replace(each, points=tuple(p for p in each.points if days.holds(p.day)))
                for each in self.series
            ),
            lanes=tuple(lane for lane in lanes if lane.spans),
            links=tuple(link for link in self.links if all(days.holds(end.day) for end in link)),
            plan_lines=tuple(line for line in self.plan_lines if days.holds(line.day)),
        )

    def read_out(self, day: date) -> str:
        """What the chart holds for one day, in words: `Monday 2 November 2026. Average 4.`"""
        stretch = next((one for one in self.stretches if one.days.holds(day)), None)
        if stretch is None:
            said = [phrase("{weekday} {day}.", weekday=weekday(day), day=dated(day))]
        else:
            said = [phrase("{stretch}.", stretch=stretch.name)]
        for each in self.series:
            scores = [
                in_figures(round(point.score, 1)) for point in each.points if point.day == day
            ]
            if scores:
                said.append(phrase("{name} {score}.", name=each.name, score=listed(scores)))
        if len(said) == 1:
            said.append(phrase("No score."))
        for lane in self.lanes:
            texts = lane.texts or ("",) * len(lane.spans)
            for span, text in zip(lane.spans, texts, strict=True):
                if span.holds(day) and text:
                    said.append(phrase("{name} {what}.", name=lane.name, what=text))
                elif span.holds(day):
                    said.append(phrase("{name}.", name=lane.name))
        plans = [line.label for line in self.plan_lines if line.day == day]
        said += [phrase("{plan} begins.", plan=plan) for plan in plans]
        return " ".join(said)


def days_between(span: DaySpan) -> str:
    """`2 Nov to 8 Nov`, `2 Nov`, and with years where the two differ."""
    first, last = span.first_day, span.last_day
    if first == last:
        return short_day(first)
    if first.year != last.year:
        return phrase(
            "{first} {first_year} to {last} {last_year}",
            first=short_day(first),
            first_year=first.year,
            last=short_day(last),
            last_year=last.year,
        )
    return phrase("{first} to {last}", first=short_day(first), last=short_day(last))


def spans_of_days(days: Iterable[date]) -> tuple[DaySpan, ...]:
    """Join days into spans of neighbours, repeated days counted once."""
    spans: list[DaySpan] = []
    for day in sorted(set(days)):
        if spans and day - spans[-1].last_day == _ONE_DAY:
            spans[-1] = DaySpan(spans[-1].first_day, day)
        else:
            spans.append(DaySpan(day, day))
    return tuple(spans)


def day_ticks(first_day: date, last_day: date, most: int) -> tuple[DayTick, ...]:
    """Labels for a day axis, at most `most` of them (`most` >= 2).

    Short axes count in days or weeks from the first day, long ones in months from the first of a
    month. Only where the axis runs into another year does a label carry its year, once a year.
    """
    if most < 2:
        raise ValueError("an axis needs room for two labels")
    length = (last_day - first_day).days + 1
    for step in (1, 2, 7, 14, 28):
        if (length + step - 1) // step <= most:
            days = [first_day + timedelta(days=n) for n in range(0, length, step)]
            return _with_years(days, short_day, first_day, last_day)
    for months in (1, 2, 3, 6, 12, 24, 60, 120):
        days = _month_starts(first_day, last_day, months)
        if len(days) <= most:
            break
    return _with_years(days[:most], _month_label, first_day, last_day)


def _month_label(day: date) -> str:
    return short_day(day).partition(" ")[2]


def _with_years(
    days: list[date], label: Callable[[date], str], first_day: date, last_day: date
) -> tuple[DayTick, ...]:
    many_years = first_day.year != last_day.year
    ticks: list[DayTick] = []
    named_year: int | None = None
    for day in days:
        words = label(day)
        if many_years and day.year != named_year:
            words = f"{words} {day.year}"
            named_year = day.year
        ticks.append(DayTick(day, words))
    return tuple(ticks)


def _month_starts(first_day: date, last_day: date, months: int) -> list[date]:
    count = first_day.year * 12 + first_day.month - 1
    if first_day.day > 1:
        count += 1
    # Steps of a quarter or a year sit on quarters and years, not on where the diary began.
    count += -count % months if months <= 12 else -count % 12
    days: list[date] = []
    while (day := date(count // 12, count % 12 + 1, 1)) <= last_day:
        days.append(day)
        count += months
    return days
