"""What a chart shows, as plain data.

The screen draws these descriptions with one library and paper with another, so nothing here
knows about pixels, fonts or colours. Days are diary days; scores are 0-10 and absent scores are
simply not in the series: a gap is the absence of a point, never a zero.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise

from companion.presentation.language.phrases import short_day

_ONE_DAY = timedelta(days=1)


class PointKind(StrEnum):
    """Which of the three daily pain answers a point is."""

    AVERAGE = "average"
    WORST = "worst"
    NOW = "now"


@dataclass(frozen=True, slots=True)
class DayPoint:
    """One recorded answer: `score` on the 0-10 scale, on one diary day."""

    kind: PointKind
    day: date
    score: float

    def __post_init__(self) -> None:
        _check_score(self.score)


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


@dataclass(frozen=True, slots=True)
class PlanLine:
    """A new version of the care plan began on `day`; `label` is a few words such as "Plan 2"."""

    day: date
    label: str


@dataclass(frozen=True, slots=True)
class DayTick:
    """A label under the day axis."""

    day: date
    label: str


@dataclass(frozen=True, slots=True)
class DayChartWords:
    """The words drawn in a day chart; given by the caller so that they can be translated."""

    score_axis: str = "Pain, 0 to 10"
    average: str = "Average"
    worst: str = "Worst"
    now: str = "Now"
    taped: str = "Tape on"
    medicine: str = "Extra pain medicine"
    flare: str = "Flare"
    nothing: str = "Nothing recorded yet"


@dataclass(frozen=True, slots=True)
class DayChart:
    """Pain by diary day.

    `series` holds the points of all three kinds in any order; `bands` the taped days; `marks` the
    days with extra pain medicine; `plan_lines` the plan changes; `flares` the recorded flares.
    `description` is what a screen reader says instead of the picture.
    Raises ValueError when the days run backwards or a point lies outside them.
    """

    title: str
    first_day: date
    last_day: date
    series: tuple[DayPoint, ...] = ()
    bands: tuple[DaySpan, ...] = ()
    marks: tuple[date, ...] = ()
    plan_lines: tuple[PlanLine, ...] = ()
    flares: tuple[DaySpan, ...] = ()
    words: DayChartWords = field(default_factory=DayChartWords)
    description: str = ""

    def __post_init__(self) -> None:
        if self.last_day < self.first_day:
            raise ValueError(f"chart ends {self.last_day} before it begins {self.first_day}")
        for point in self.series:
            if not self.first_day <= point.day <= self.last_day:
                raise ValueError(f"point on {point.day} lies outside the chart")

    def points(self, kind: PointKind) -> tuple[DayPoint, ...]:
        """The points of one kind, by day."""
        return tuple(sorted((p for p in self.series if p.kind is kind), key=lambda p: p.day))

    def runs(self, kind: PointKind) -> tuple[tuple[DayPoint, ...], ...]:
        """The points of one kind, split wherever a day is missing."""
        return runs_of_consecutive_days(self.points(kind))

    @property
    def is_empty(self) -> bool:
        """True when no score at all was recorded."""
        return not self.series


@dataclass(frozen=True, slots=True)
class SessionPair:
    """One session: the before score and the last after score, each 0-10 or None when not given.

    `tape_stage` is 0 (bare), 1 or 2, or None when it is not known what the after score was
    taken with. `place` counts the sessions of one day from 0.
    """

    day: date
    before: float | None
    after: float | None
    tape_stage: int | None = 0
    place: int = 0

    def __post_init__(self) -> None:
        for score in (self.before, self.after):
            if score is not None:
                _check_score(score)
        if self.tape_stage not in (None, 0, 1, 2):
            raise ValueError(f"tape stage {self.tape_stage} is not 0, 1 or 2")


@dataclass(frozen=True, slots=True)
class SessionChartWords:
    """The words drawn in a session chart."""

    score_axis: str = "Score of the check move, 0 to 10"
    before: str = "Before"
    after: str = "After"
    stages: tuple[str, str, str] = (
        "No tape",
        "Side strips",
        "Side strips and short pieces",
    )
    nothing: str = "Nothing recorded yet"


@dataclass(frozen=True, slots=True)
class SessionChart:
    """The score of the check move before and after, by session.

    Raises ValueError when the days run backwards or a session lies outside them.
    """

    title: str
    first_day: date
    last_day: date
    pairs: tuple[SessionPair, ...] = ()
    plan_lines: tuple[PlanLine, ...] = ()
    words: SessionChartWords = field(default_factory=SessionChartWords)
    description: str = ""

    def __post_init__(self) -> None:
        if self.last_day < self.first_day:
            raise ValueError(f"chart ends {self.last_day} before it begins {self.first_day}")
        for pair in self.pairs:
            if not self.first_day <= pair.day <= self.last_day:
                raise ValueError(f"session on {pair.day} lies outside the chart")

    @property
    def is_empty(self) -> bool:
        """True when no session holds a score."""
        return all(pair.before is None and pair.after is None for pair in self.pairs)


@dataclass(frozen=True, slots=True)
class TrialPair:
    """One pair of a tape trial: the mean score of each period, 0-10, on its middle day.

    A mean is None where no day of the period was scored.
    """

    number: int
    tape_day: date
    no_tape_day: date
    tape: float | None
    no_tape: float | None

    def __post_init__(self) -> None:
        for mean in (self.tape, self.no_tape):
            if mean is not None:
                _check_score(mean)

    @property
    def places(self) -> tuple[tuple[date, float, bool], ...]:
        """Day, mean and whether taped, of each period that has a mean, the earlier first."""
        both = ((self.tape_day, self.tape, True), (self.no_tape_day, self.no_tape, False))
        found = [(day, mean, taped) for day, mean, taped in both if mean is not None]
        return tuple(sorted(found))


@dataclass(frozen=True, slots=True)
class TrialChartWords:
    """The words drawn in the chart of a trial."""

    score_axis: str = "Mean pain of a period, 0 to 10"
    tape: str = "With tape"
    no_tape: str = "Without tape"
    pairs: str = "Pairs"
    nothing: str = "Nothing recorded yet"


@dataclass(frozen=True, slots=True)
class TrialChart:
    """The pairs of a tape trial over its days, the two means of each pair joined.

    Raises ValueError when the days run backwards or a period lies outside them.
    """

    title: str
    first_day: date
    last_day: date
    pairs: tuple[TrialPair, ...] = ()
    words: TrialChartWords = field(default_factory=TrialChartWords)
    description: str = ""

    def __post_init__(self) -> None:
        if self.last_day < self.first_day:
            raise ValueError(f"chart ends {self.last_day} before it begins {self.first_day}")
        for pair in self.pairs:
            for day in (pair.tape_day, pair.no_tape_day):
                if not self.first_day <= day <= self.last_day:
                    raise ValueError(f"pair {pair.number} on {day} lies outside the chart")

    @property
    def is_empty(self) -> bool:
        """True when no period holds a score."""
        return not any(pair.places for pair in self.pairs)

    @property
    def labels(self) -> tuple[tuple[float, str], ...]:
        """For each pair the ordinal of the day halfway between its periods, and its number."""
        return tuple(
            ((pair.tape_day.toordinal() + pair.no_tape_day.toordinal()) / 2, str(pair.number))
            for pair in self.pairs
        )


def runs_of_consecutive_days(points: Iterable[DayPoint]) -> tuple[tuple[DayPoint, ...], ...]:
    """Split points of one kind into runs in which every day follows the one before.

    A line is drawn inside a run only: joining across an unrecorded day would invent an answer.
    Raises ValueError when a day comes twice, because then the line would be ambiguous.
    """
    ordered = sorted(points, key=lambda point: point.day)
    for earlier, later in pairwise(ordered):
        if earlier.day == later.day:
            raise ValueError(f"two points of one kind on {earlier.day}")
    runs: list[list[DayPoint]] = []
    for point in ordered:
        if runs and point.day - runs[-1][-1].day == _ONE_DAY:
            runs[-1].append(point)
        else:
            runs.append([point])
    return tuple(tuple(run) for run in runs)


def spans_of_days(days: Iterable[date]) -> tuple[DaySpan, ...]:
    """Join days into spans of neighbours, repeated days counted once."""
    spans: list[DaySpan] = []
    for day in sorted(set(days)):
        if spans and day - spans[-1].last_day == _ONE_DAY:
            spans[-1] = DaySpan(spans[-1].first_day, day)
        else:
            spans.append(DaySpan(day, day))
    return tuple(spans)


def day_label(day: date) -> str:
    """A day as drawn under an axis: "2 Nov"."""
    return short_day(day)


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
            return _with_years(days, day_label, first_day, last_day)
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


def _check_score(score: float) -> None:
    # NaN fails both comparisons and is refused too.
    if not 0 <= score <= 10:
        raise ValueError(f"score {score} is not on the 0-10 scale")
