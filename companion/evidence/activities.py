"""The person's own activities, 0 unable to 10 as before: the two windows of the pain, and the model
of the change over all days.

The model is fitted to the trouble, 10 less the score, so that one ladder of verdicts serves pain
and activities. 3 points for one activity and 2 for the mean over the same activities are the errors
of a single rating, not of a mean of days.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from companion.evidence.change_model import Fit, ModelSeries, series_of
from companion.evidence.figures import ActivitiesMean, Activity
from companion.evidence.readings import Readings
from companion.evidence.verdicts import ABLE, run_of, told_of, upside_down
from companion.evidence.windows import Sample, Windows, change, enough, sample

ACTIVITY_ERROR = 3  # (fact: activity_detectable_change)
ACTIVITIES_MEAN_ERROR = 2  # (fact: activities_detectable_change)


def labels(readings: Readings) -> tuple[str, ...]:
    """Activities of the plan in force, then of earlier versions, then others ever scored."""
    found: dict[str, None] = {}
    for plan in reversed(readings.plans):
        found.update(dict.fromkeys(plan.activities))
    for pages in (readings.person_pages[day] for day in sorted(readings.person_pages)):
        for page in pages:
            found.update(dict.fromkeys(answer.label for answer in page.activities))
    return tuple(found)


def troubles(readings: Readings) -> tuple[ModelSeries | None, ...]:
    """What the model is fitted to: 10 less the score of each of the `labels`, then of the mean over
    those that have a record, on the days on which all of them were scored."""
    scores = readings.activity_by_day()
    each = [
        series_of({day: 10 - score for day, score in scores.get(label, {}).items()})
        for label in labels(readings)
    ]
    known = [one.scores for one in each if one is not None]
    days = set.intersection(*map(set, known)) if known else set()
    mean = {day: sum(one[day] for one in known) / len(known) for day in days}
    return (*each, series_of(mean))


def activities(
    readings: Readings,
    windows: Windows | None,
    fitted: Sequence[tuple[ModelSeries | None, Fit | None]],
) -> tuple[tuple[Activity, ...], ActivitiesMean]:
    """Each activity, and the mean over the same activities in both windows.

    The mean is over the activities whose change is known; when there is none, over those scored
    in both windows, and then without a change. `fitted` are the `troubles` with their fits.
    """
    scores = readings.activity_by_day()
    samples: dict[str, tuple[Sample, Sample]] = {}
    for label in labels(readings):
        by_day = scores.get(label, {})
        samples[label] = (
            (Sample(0, 0), Sample(0, 0))
            if windows is None
            else (sample(by_day, windows.baseline), sample(by_day, windows.latest))
        )
    apart = windows is not None and windows.apart
    known = [label for label, (a, b) in samples.items() if apart and enough(a, b)]
    each = tuple(
        _activity(label, a, b, label in known, *fit)
        for (label, (a, b)), fit in zip(samples.items(), fitted, strict=False)
    )
    return each, _mean(samples, known, *fitted[-1])


def _activity(
    label: str,
    baseline: Sample,
    latest: Sample,
    known: bool,
    series: ModelSeries | None,
    fit: Fit | None,
) -> Activity:
    points = change(baseline.mean, latest.mean) if known else None
    run = run_of(series, fit)
    return Activity(
        label=label,
        baseline=_number(baseline.mean),
        latest=_number(latest.mean),
        change=_number(points),
        beyond_measurement_error=None if points is None else abs(points) >= ACTIVITY_ERROR,
        baseline_days=baseline.days,
        latest_days=latest.days,
        model=upside_down(run),
        verdict=ABLE[told_of(run)],
    )


def _mean(
    samples: Mapping[str, tuple[Sample, Sample]],
    known: Sequence[str],
    series: ModelSeries | None,
    fit: Fit | None,
) -> ActivitiesMean:
    same = known or [label for label, (a, b) in samples.items() if a.days and b.days]
    baseline = _mean_of(samples[label][0] for label in same)
    latest = _mean_of(samples[label][1] for label in same)
    points = change(baseline, latest) if known else None
    run = run_of(series, fit)
    return ActivitiesMean(
        baseline=_number(baseline),
        latest=_number(latest),
        change=_number(points),
        beyond_measurement_error=None if points is None else abs(points) >= ACTIVITIES_MEAN_ERROR,
        labels=tuple(same),
        model=upside_down(run),
        verdict=ABLE[told_of(run)],
    )


def _mean_of(samples: Iterable[Sample]) -> Fraction | None:
    means = [mean for mean in (each.mean for each in samples) if mean is not None]
    return sum(means, Fraction(0)) / len(means) if means else None


def _number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)
