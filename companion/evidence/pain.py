"""The pain of one knee: two windows, the change between them, the trend and what is usual.

Each figure has its own module and its minimum; here they are put together, and what cannot be told
says what it lacks.
"""

from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from companion.care.records import Measure
from companion.evidence.change_interval import change_interval
from companion.evidence.figures import (
    CannotTell,
    Lack,
    Model,
    Overlap,
    Pain,
    Period,
    Window,
    WithoutLate,
)
from companion.evidence.flare_signal import decide, decisions, signals, what_is_missing
from companion.evidence.flares import REFERENCE_NEEDED, most_earlier_days, recorded_flares
from companion.evidence.limits import REFERENCE_NEEDED as LIMITS_NEEDED
from companion.evidence.limits import RISE_CANNOT_BE_RECORDED, limits
from companion.evidence.overlap import DAYS_NEEDED as OVERLAP_DAYS_NEEDED
from companion.evidence.overlap import overlap
from companion.evidence.process_chart import DAYS_NEEDED as CHART_DAYS_NEEDED
from companion.evidence.process_chart import process_chart
from companion.evidence.scale_end import scale_end
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


def pain(
    measure: Measure,
    scores: Mapping[date, int],
    late: AbstractSet[date],
    span: Period,
    windows: Windows | None,
    model: Model,
) -> Pain:
    """All figures of the pain of one knee. `late`: the days whose score was written late; `model`:
    what the verdict rests on."""
    nothing = Sample(days=0, total=0)
    a = nothing if windows is None else sample(scores, windows.baseline)
    b = nothing if windows is None else sample(scores, windows.latest)
    change_ = _change(scores, windows)
    points = change_.points
    share = None if points is None or a.mean is None else percent(points, a.mean)
    decided = decisions(scores)
    return Pain(
        measure=measure,
        model=model,
        baseline=_window(a, None if windows is None else windows.baseline),
        latest=_window(b, None if windows is None else windows.latest),
        change_points=_number(points),
        change_percent=_number(share),
        low=change_.low,
        high=change_.high,
        band=None if points is None else band(points, share),
        beyond_measurement_error=None if points is None else abs(points) > PAIN_ERROR,
        acceptable_state=None if b.mean is None else b.mean <= ACCEPTABLE_PAIN,
        trend=trend(scores, span.first_day),
        flares=recorded_flares(scores),
        nap=Overlap()
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
    """A change with its interval; nothing known by default."""

    points: Fraction | None = None
    low: float | None = None
    high: float | None = None


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
    return _Change(points=points, low=found.low, high=found.high)


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
    )


def _window(of: Sample, days: tuple[date, date] | None) -> Window:
    first, last = days or (None, None)
    return Window(days=of.days, mean=_number(of.mean), first_day=first, last_day=last)


def _number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


# ---------------------------------------------------------------- what cannot be told


def change_unknown(span: Period, windows: Windows | None, days: int) -> Lack | None:
    """Why there is no change; None when there is one."""
    if windows is None:
        return Lack("no_day_pages", 0, 1)
    if not windows.apart:
        return Lack("windows_share_days", span.days, PERIOD_NEEDED)
    return Lack("too_few_recorded_days", days, DAYS_NEEDED) if days < DAYS_NEEDED else None


def pain_unknown(
    found: Pain, span: Period, windows: Windows | None, scores: Mapping[date, int]
) -> Iterator[CannotTell]:
    """What cannot be told of the pain, and why."""
    days = min(found.baseline.days, found.latest.days)
    if windows is None:
        yield CannotTell("period", "no_day_pages", 0, 1)
    for key, window in (("pain.baseline", found.baseline), ("pain.latest", found.latest)):
        if window.mean is None:
            yield CannotTell(key, "too_few_recorded_days", 0, 1)
    lack = change_unknown(span, windows, days)
    if lack is not None:
        for key in ("pain.change_points", "pain.low", "pain.high"):
            yield CannotTell(key, *lack)
    elif found.change_percent is None:
        # One point on one day would give a mean above 0.
        yield CannotTell("pain.change_percent", "baseline_zero", 0, 1)
    reference = most_earlier_days(scores)
    if reference < REFERENCE_NEEDED:
        yield CannotTell("pain.flares", "too_few_earlier_days", reference, REFERENCE_NEEDED)
    if found.trend.verdict == "too_short":
        yield CannotTell("pain.trend", "too_few_usable_weeks", found.trend.weeks, WEEKS_NEEDED)
    if found.nap.value is None:
        shared = windows is not None and not windows.apart
        yield CannotTell(
            "pain.nap",
            "windows_share_days" if shared else "too_few_recorded_days",
            span.days if shared else days,
            PERIOD_NEEDED if shared else OVERLAP_DAYS_NEEDED,
        )
    yield from _limits_unknown(found, scores, span.last_day)


def _limits_unknown(
    found: Pain, scores: Mapping[date, int], last_day: date | None
) -> Iterator[CannotTell]:
    own = found.limits
    if own.mean is None:
        yield CannotTell("pain.limits", "too_few_recorded_days", own.days, LIMITS_NEEDED)
    elif own.rise_noticed is None:
        yield CannotTell(
            "pain.limits.rise_noticed", "rise_not_recordable", own.mean, RISE_CANNOT_BE_RECORDED
        )
    if found.signal_decision == "no_decision":
        none = Lack("no_day_pages", 0, 1)
        missing = none if last_day is None else what_is_missing(scores, last_day)
        yield CannotTell("pain.signal_decision", *missing)
    if found.process_chart.centre is None:
        few = found.process_chart.days < CHART_DAYS_NEEDED
        yield CannotTell(
            "pain.process_chart",
            "too_few_recorded_days" if few else "no_two_days_running",
            found.process_chart.days if few else 0,
            CHART_DAYS_NEEDED if few else 1,
        )
