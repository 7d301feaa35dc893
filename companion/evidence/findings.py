"""Findings: what a diary says of one knee, for the clinician who reads it.

They are computed from the diary alone, without a clock. The plan in force on a day is the highest
version written on or before it, and before the first of them the lowest version. Late entries
are counted in. Each figure carries its method, number of values and source in `provenance`; each
one that cannot be given has its reason in `cannot_tell`.
"""

from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from companion.care.records import Diary, Event, Measure, Measurement, Side, WarningSign
from companion.evidence.activities import activities
from companion.evidence.chair_stand import OLDEST, YOUNGEST, chair_stands
from companion.evidence.change_interval import change_interval
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
    NextMorning,
    Outcome,
    Overlap,
    Pain,
    Period,
    Provenance,
    Warned,
    Why,
    Window,
    WithoutLate,
)
from companion.evidence.flare_signal import decide, decisions, signals, what_is_missing
from companion.evidence.flares import REFERENCE_NEEDED, most_earlier_days, recorded_flares
from companion.evidence.keeping import adherence, keeping, period
from companion.evidence.limits import REFERENCE_NEEDED as LIMITS_NEEDED
from companion.evidence.limits import RISE_CANNOT_BE_RECORDED, limits
from companion.evidence.next_morning import amounts_by_day, next_morning
from companion.evidence.outcome import outcome, scale_end
from companion.evidence.overlap import DAYS_NEEDED as OVERLAP_DAYS_NEEDED
from companion.evidence.overlap import overlap
from companion.evidence.process_chart import DAYS_NEEDED as CHART_DAYS_NEEDED
from companion.evidence.process_chart import process_chart
from companion.evidence.readings import Readings, is_late_page, readings, sides
from companion.evidence.sources import SOURCES
from companion.evidence.taping import tape
from companion.evidence.trend import WEEKS_NEEDED, trend
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
    within,
)

__all__ = ["VERSION", "Findings", "as_json", "findings", "sides"]

VERSION = 1
"""Of the findings' JSON; `resources/schemas/findings-1.schema.json` describes it."""


def findings(
    diary: Diary, side: Side | None = None, *, with_next_morning: bool = False
) -> Findings:
    """All findings of one knee of `diary`; without `side`, of the plan's main knee.

    `with_next_morning` asks for what a day's amounts go with in the next day's pain; it is off
    unless asked for, because it is easily taken for a cause.

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
    late = {day for day, page in record.pages.items() if is_late_page(page) and day in scores}
    pain = _pain(plan.measure, scores, late, span, windows)
    mornings, mornings_unknown = _next_mornings(record, scores) if with_next_morning else ((), ())
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
        **dict.fromkeys(
            ("pain.low", "pain.high", "pain.outcome"), pain.baseline.days + pain.latest.days
        ),
        "pain.band": pain.baseline.days + pain.latest.days,
        "pain.beyond_measurement_error": pain.baseline.days + pain.latest.days,
        "pain.acceptable_state": pain.latest.days,
        "pain.trend": pain.trend.weeks,
        "pain.flares": len(scores),
        "pain.nap": pain.baseline.days * pain.latest.days,
        "pain.scale_end": pain.baseline.days + pain.latest.days,
        "pain.limits": pain.limits.days,
        "pain.signals": len(scores),
        "pain.process_chart": pain.process_chart.days,
        "pain.without_late": 0
        if pain.without_late is None
        else pain.without_late.baseline_days + pain.without_late.latest_days,
        "trial": 0,
        "next_morning": sum(each.pairs for each in mornings),
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
        next_morning=mornings,
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
            *mornings_unknown,
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


def _pain(
    measure: Measure,
    scores: Mapping[date, int],
    late: AbstractSet[date],
    span: Period,
    windows: Windows | None,
) -> Pain:
    nothing = Sample(days=0, total=0)
    a = nothing if windows is None else sample(scores, windows.baseline)
    b = nothing if windows is None else sample(scores, windows.latest)
    change_ = _change(scores, windows)
    points = change_.points
    share = None if points is None or a.mean is None else percent(points, a.mean)
    decided = decisions(scores)
    return Pain(
        measure=measure,
        baseline=_window(a, None if windows is None else windows.baseline),
        latest=_window(b, None if windows is None else windows.latest),
        change_points=_number(points),
        change_percent=_number(share),
        low=change_.low,
        high=change_.high,
        outcome=change_.outcome,
        band=None if points is None else band(points, share),
        beyond_measurement_error=None if points is None else abs(points) > PAIN_ERROR,
        acceptable_state=None if b.mean is None else b.mean <= ACCEPTABLE_PAIN,
        trend=trend(scores, span.first_day),
        flares=recorded_flares(scores),
        nap=Overlap(value=None, low=None, high=None)
        if windows is None or not windows.apart
        else overlap(
            list(within(scores, windows.baseline).values()),
            list(within(scores, windows.latest).values()),
        ),
        scale_end=scale_end(_number(a.mean), _number(b.mean)),
        limits=limits(scores, span.last_day),
        signals=signals(decided),
        signal_decision="no_decision"
        if span.last_day is None
        else decide(scores, span.last_day).decision,
        process_chart=process_chart(scores),
        without_late=_without_late(scores, late, windows) if late else None,
    )


@dataclass(frozen=True, slots=True)
class _Change:
    """A change with its interval and what it lets be said; nothing known by default."""

    points: Fraction | None = None
    low: float | None = None
    high: float | None = None
    outcome: Outcome | None = None


def _change(scores: Mapping[date, int], windows: Windows | None) -> _Change:
    if windows is None or not windows.apart:
        return _Change()
    baseline, latest = within(scores, windows.baseline), within(scores, windows.latest)
    a, b = (Sample(days=len(found), total=sum(found.values())) for found in (baseline, latest))
    points = change(a.mean, b.mean) if enough(a, b) else None
    if points is None:
        return _Change()
    found = change_interval(baseline, latest)
    if found is None:
        return _Change(points=points)
    return _Change(
        points=points,
        low=found.low,
        high=found.high,
        outcome=outcome(float(points), found.low, found.high),
    )


def _without_late(
    scores: Mapping[date, int], late: AbstractSet[date], windows: Windows | None
) -> WithoutLate:
    """The change from the scores that were written in time, over the same windows."""
    timely = {day: score for day, score in scores.items() if day not in late}
    change_ = _change(timely, windows)
    return WithoutLate(
        late_days=len(late),
        baseline_days=0 if windows is None else len(within(timely, windows.baseline)),
        latest_days=0 if windows is None else len(within(timely, windows.latest)),
        change_points=_number(change_.points),
        low=change_.low,
        high=change_.high,
        outcome=change_.outcome,
    )


def _next_mornings(
    record: Readings, scores: Mapping[date, int]
) -> tuple[tuple[NextMorning, ...], tuple[CannotTell, ...]]:
    pages = (page for day in sorted(record.person_pages) for page in record.person_pages[day])
    figures: list[NextMorning] = []
    unknown: list[CannotTell] = []
    for (label, unit), amounts in amounts_by_day(pages).items():
        figure, gap = next_morning(label, unit, amounts, scores)
        figures.append(figure)
        if gap is not None:
            unknown.append(
                CannotTell(
                    finding="next_morning.points",
                    why=gap.why,
                    have=gap.have,
                    need=gap.need,
                    label=label,
                )
            )
    return tuple(figures), tuple(unknown)


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
        for end in ("pain.low", "pain.high"):
            yield CannotTell(finding=end, why=why, have=have, need=need)
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
    if pain.trend.verdict == "too_short":
        yield CannotTell(
            finding="pain.trend",
            why="too few usable weeks",
            have=pain.trend.weeks,
            need=WEEKS_NEEDED,
        )
    if pain.nap.value is None:
        shared = windows is not None and not windows.apart
        yield CannotTell(
            finding="pain.nap",
            why="windows share days" if shared else "too few recorded days",
            have=span.days if shared else days,
            need=PERIOD_NEEDED if shared else OVERLAP_DAYS_NEEDED,
        )
    yield from _limits_unknown(pain, scores, span.last_day)


def _limits_unknown(
    pain: Pain, scores: Mapping[date, int], last_day: date | None
) -> Iterator[CannotTell]:
    own = pain.limits
    if own.mean is None:
        yield CannotTell(
            finding="pain.limits",
            why="too few recorded days",
            have=own.days,
            need=LIMITS_NEEDED,
        )
    elif own.rise_noticed is None:
        yield CannotTell(
            finding="pain.limits.rise_noticed",
            why="a rise of 2 cannot be recorded",
            have=own.mean,
            need=RISE_CANNOT_BE_RECORDED,
        )
    if pain.signal_decision == "no_decision":
        missing: tuple[Why, int, int] = ("no day pages", 0, 1)
        if last_day is not None:
            missing = what_is_missing(scores, last_day)
        why, have, need = missing
        yield CannotTell(finding="pain.signal_decision", why=why, have=have, need=need)
    if pain.process_chart.centre is None:
        few = pain.process_chart.days < CHART_DAYS_NEEDED
        yield CannotTell(
            finding="pain.process_chart",
            why="too few recorded days" if few else "no two days running",
            have=pain.process_chart.days if few else 0,
            need=CHART_DAYS_NEEDED if few else 1,
        )


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
