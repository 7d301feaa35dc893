"""Findings: what a diary says of one knee, for the clinician who reads it.

They are computed from the diary alone, without a clock. The plan in force on a day is the highest
version written on or before it, and before the first of them the lowest version. Late entries
are counted in. Each figure carries its method, number of values and source in `provenance`; each
one that cannot be given has its reason in `cannot_tell`.
"""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from companion.care.days import week_of
from companion.care.records import Diary, Event, Measure, Measurement, Side, WarningSign
from companion.evidence.activities import activities
from companion.evidence.chair_stand import OLDEST, YOUNGEST, chair_stands
from companion.evidence.easing import MEDIAN_NEEDED, ease
from companion.evidence.figures import (
    ActivitiesMean,
    Activity,
    Adherence,
    CannotTell,
    ChairStand,
    Ease,
    Findings,
    Happened,
    Overlap,
    Pain,
    Period,
    Provenance,
    Trend,
    Warned,
    Why,
    Window,
)
from companion.evidence.flares import REFERENCE_NEEDED, most_earlier_days, recorded_flares
from companion.evidence.keeping import adherence, keeping, period
from companion.evidence.readings import Readings, readings, sides
from companion.evidence.sources import SOURCES
from companion.evidence.taping import tape
from companion.evidence.windows import (
    ACCEPTABLE_PAIN,
    DAYS_NEEDED,
    PAIN_ERROR,
    PERIOD_NEEDED,
    Sample,
    Windows,
    band,
    change,
    enough,
    percent,
    sample,
)

__all__ = ["VERSION", "Findings", "as_json", "findings", "sides"]

VERSION = 1
"""Of the findings' JSON; `resources/schemas/findings-1.schema.json` describes it."""

DAYS_OF_A_USABLE_WEEK = 4
WEEKS_NEEDED = 5
OVERLAP_DAYS_NEEDED = 5
PAIRS_NEEDED = 6


def findings(diary: Diary, side: Side | None = None) -> Findings:
    """All findings of one knee of `diary`; without `side`, of the plan's main knee.

    Raises ValueError in one plain sentence when no plan version treats that knee.
    """
    record = readings(diary, side)
    plan = record.plans[-1]
    span = period(record)
    windows = (
        None
        if span.first_day is None or span.last_day is None
        else Windows(first_day=span.first_day, last_day=span.last_day)
    )
    scores = record.pain_by_day(plan.measure)
    kept = keeping(record, span)
    hands = adherence(record, span, "hands")
    exercise = adherence(record, span, "exercise")
    pain = _pain(plan.measure, scores, windows)
    easing = ease(record, plan.ease_target_percent)
    each, mean = activities(record, windows)
    taping = tape(record)
    stands = chair_stands(
        [entry for entry in record.entries if isinstance(entry, Measurement)], plan.birth_year
    )
    warnings = tuple(_warnings(record))
    events = tuple(_events(record))
    counts = {
        "period": len(record.pages),
        "diary": kept.days_kept,
        "routine": hands.sessions_done,
        "exercise": exercise.sessions_done,
        "pain.baseline": pain.baseline.days,
        "pain.latest": pain.latest.days,
        "pain.change_points": pain.baseline.days + pain.latest.days,
        "pain.change_percent": pain.baseline.days + pain.latest.days,
        "pain.band": pain.baseline.days + pain.latest.days,
        "pain.beyond_measurement_error": pain.baseline.days + pain.latest.days,
        "pain.acceptable_state": pain.latest.days,
        "pain.trend": pain.trend.weeks,
        "pain.flares": len(scores),
        "ease": easing.sessions_scored,
        "activities": sum(item.baseline_days + item.latest_days for item in each),
        "activities_mean": sum(
            item.baseline_days + item.latest_days for item in each if item.label in mean.labels
        ),
        "tape": taping.applications,
        "tape.skin_events": len(taping.skin_events),
        "warnings": len(warnings),
        "events": len(events),
        "chair_stand": len(stands),
    }
    return Findings(
        version=VERSION,
        person=plan.person,
        side=record.side,
        plan_version=plan.version,
        period=span,
        diary=kept,
        routine=hands,
        exercise=exercise,
        pain=pain,
        ease=easing,
        activities=each,
        activities_mean=mean,
        tape=taping,
        trial=None,
        warnings=warnings,
        events=events,
        chair_stand=stands,
        cannot_tell=(
            *_pain_unknown(pain, span, windows, scores),
            *_doing_unknown("routine", hands, span),
            *_doing_unknown("exercise", exercise, span),
            *_ease_unknown(easing),
            *_activities_unknown(each, mean, span, windows),
            *_chair_stand_unknown(stands, plan.birth_year),
            CannotTell(finding="trial", why="not computed", have=0, need=PAIRS_NEEDED),
        ),
        provenance={
            key: Provenance(
                method=known.method, n=counts[key], source=known.source, status=known.status
            )
            for key, known in SOURCES.items()
        },
    )


def as_json(found: Findings) -> dict[str, Any]:
    """The findings as JSON values, keys as in the schema; days ISO, what is not known null."""
    plain: dict[str, Any] = _plain(found)
    return plain


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value.isoformat() if isinstance(value, date) else value


# ---------------------------------------------------------------- pain


def _pain(measure: Measure, scores: Mapping[date, int], windows: Windows | None) -> Pain:
    nothing = Sample(days=0, total=0)
    a = nothing if windows is None else sample(scores, windows.baseline)
    b = nothing if windows is None else sample(scores, windows.latest)
    points = change(a.mean, b.mean) if windows and windows.apart and enough(a, b) else None
    share = None if points is None or a.mean is None else percent(points, a.mean)
    return Pain(
        measure=measure,
        baseline=_window(a, None if windows is None else windows.baseline),
        latest=_window(b, None if windows is None else windows.latest),
        change_points=_number(points),
        change_percent=_number(share),
        low=None,
        high=None,
        band=None if points is None else band(points, share),
        beyond_measurement_error=None if points is None else abs(points) > PAIN_ERROR,
        acceptable_state=None if b.mean is None else b.mean <= ACCEPTABLE_PAIN,
        trend=Trend(
            slope_per_week=None,
            low=None,
            high=None,
            weeks=0 if windows is None else len(usable_weeks(scores, windows.first_day)),
            verdict=None,
        ),
        flares=recorded_flares(scores),
        nap=Overlap(value=None, low=None, high=None),
    )


def usable_weeks(scores: Mapping[date, int], first_day: date) -> tuple[int, ...]:
    """The weeks, from 0 and counted from `first_day`, with at least four recorded days."""
    counts: dict[int, int] = {}
    for day in scores:
        week = week_of(day, first_day)
        counts[week] = counts.get(week, 0) + 1
    return tuple(sorted(week for week, n in counts.items() if n >= DAYS_OF_A_USABLE_WEEK))


def _window(of: Sample, days: tuple[date, date] | None) -> Window:
    first, last = days or (None, None)
    return Window(days=of.days, mean=_number(of.mean), first_day=first, last_day=last)


def _number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


# ---------------------------------------------------------------- what happened


def _warnings(record: Readings) -> Iterator[Warned]:
    for entry in record.entries:
        if isinstance(entry, WarningSign) and (not entry.sides or record.side in entry.sides):
            yield Warned(
                day=entry.for_day,
                sign=entry.sign,
                card=entry.card,
                level=entry.level,
                sides=entry.sides,
                cleared=entry.cleared,
                cleared_on=entry.cleared_on,
            )


def _events(record: Readings) -> Iterator[Happened]:
    for entry in record.entries:
        if isinstance(entry, Event) and entry.side in {None, record.side}:
            yield Happened(day=entry.for_day, what=entry.what, side=entry.side, note=entry.note)


# ---------------------------------------------------------------- what cannot be told


def _change_unknown(
    span: Period, windows: Windows | None, days: int
) -> tuple[Why, float, float] | None:
    """Why there is no change: the reason, what there is, what is needed; None when there is one."""
    if windows is None:
        return "no day pages", 0, 1
    if not windows.apart:
        return "windows share days", span.days, PERIOD_NEEDED
    return ("too few recorded days", days, DAYS_NEEDED) if days < DAYS_NEEDED else None


def _pain_unknown(
    pain: Pain, span: Period, windows: Windows | None, scores: Mapping[date, int]
) -> Iterator[CannotTell]:
    days = min(pain.baseline.days, pain.latest.days)
    if windows is None:
        yield CannotTell(finding="period", why="no day pages", have=0, need=1)
    for key, window in (("pain.baseline", pain.baseline), ("pain.latest", pain.latest)):
        if window.mean is None:
            yield CannotTell(finding=key, why="too few recorded days", have=0, need=1)
    unknown = _change_unknown(span, windows, days)
    if unknown is not None:
        why, have, need = unknown
        yield CannotTell(finding="pain.change_points", why=why, have=have, need=need)
    elif pain.change_percent is None:
        # One point on one day would give a mean above 0.
        yield CannotTell(finding="pain.change_percent", why="baseline mean is 0", have=0, need=1)
    reference = most_earlier_days(scores)
    if reference < REFERENCE_NEEDED:
        yield CannotTell(
            finding="pain.flares",
            why="too few earlier days",
            have=reference,
            need=REFERENCE_NEEDED,
        )
    for key, have, need in (
        ("pain.low", days, DAYS_NEEDED),
        ("pain.high", days, DAYS_NEEDED),
        ("pain.trend", pain.trend.weeks, WEEKS_NEEDED),
        ("pain.nap", days, OVERLAP_DAYS_NEEDED),
    ):
        yield CannotTell(finding=key, why="not computed", have=have, need=need)


def _doing_unknown(key: str, found: Adherence, span: Period) -> Iterator[CannotTell]:
    if found.done_percent is None:
        why: Why = "nothing prescribed" if span.days else "no day pages"
        yield CannotTell(finding=f"{key}.done_percent", why=why, have=0, need=1)


def _ease_unknown(found: Ease) -> Iterator[CannotTell]:
    for key, value, need in (
        ("ease.met_percent", found.met_percent, 1),
        ("ease.median_percent", found.median_percent, MEDIAN_NEEDED),
    ):
        if value is None:
            have = found.sessions_scored
            yield CannotTell(finding=key, why="too few sessions", have=have, need=need)


def _activities_unknown(
    each: tuple[Activity, ...], mean: ActivitiesMean, span: Period, windows: Windows | None
) -> Iterator[CannotTell]:
    for item in each:
        if item.change is None:
            days = min(item.baseline_days, item.latest_days)
            why, have, need = _change_unknown(span, windows, days) or ("no day pages", 0, 1)
            yield CannotTell(
                finding="activities.change", why=why, have=have, need=need, label=item.label
            )
    if each and mean.change is None:
        most = max(min(item.baseline_days, item.latest_days) for item in each)
        why, have, need = _change_unknown(span, windows, most) or ("no day pages", 0, 1)
        if windows is not None and not mean.labels:
            why, have, need = "no activity in both windows", 0, 1
        yield CannotTell(finding="activities_mean.change", why=why, have=have, need=need)


def _chair_stand_unknown(
    stands: tuple[ChairStand, ...], birth_year: int | None
) -> Iterator[CannotTell]:
    """Why the last chair stand is neither below average nor not."""
    if not stands or stands[-1].below_average is not None:
        return
    key = "chair_stand.below_average"
    if birth_year is None:
        yield CannotTell(finding=key, why="birth year not in the plan", have=0, need=1)
        return
    age = stands[-1].day.year - birth_year
    if age - 1 < YOUNGEST or age > OLDEST:
        young = age - 1 < YOUNGEST
        yield CannotTell(
            finding=key,
            why="no published value for this age",
            have=age - 1 if young else age,
            need=YOUNGEST if young else OLDEST,
        )
        return
    yield CannotTell(finding=key, why="sex not in the plan", have=0, need=1)
