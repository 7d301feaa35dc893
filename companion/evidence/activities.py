"""The person's own activities, 0 unable to 10 as before, in the two windows of the pain.

Smallest detectable change: 3 points for one activity, 2 for the mean over the same activities.
"""

from collections.abc import Iterable
from fractions import Fraction

from companion.evidence.figures import ActivitiesMean, Activity
from companion.evidence.readings import Readings
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


def activities(
    readings: Readings, windows: Windows | None
) -> tuple[tuple[Activity, ...], ActivitiesMean]:
    """Each activity, and the mean over the same activities in both windows.

    The mean is over the activities whose change is known; when there is none, over those scored
    in both windows, and then without a change.
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
    each = tuple(_activity(label, a, b, label in known) for label, (a, b) in samples.items())
    return each, _mean(samples, known)


def _activity(label: str, baseline: Sample, latest: Sample, known: bool) -> Activity:
    points = change(baseline.mean, latest.mean) if known else None
    return Activity(
        label=label,
        baseline=_number(baseline.mean),
        latest=_number(latest.mean),
        change=_number(points),
        beyond_measurement_error=None if points is None else abs(points) >= ACTIVITY_ERROR,
        baseline_days=baseline.days,
        latest_days=latest.days,
    )


def _mean(samples: dict[str, tuple[Sample, Sample]], known: list[str]) -> ActivitiesMean:
    same = known or [label for label, (a, b) in samples.items() if a.days and b.days]
    baseline = _mean_of(samples[label][0] for label in same)
    latest = _mean_of(samples[label][1] for label in same)
    points = change(baseline, latest) if known else None
    return ActivitiesMean(
        baseline=_number(baseline),
        latest=_number(latest),
        change=_number(points),
        beyond_measurement_error=None if points is None else abs(points) >= ACTIVITIES_MEAN_ERROR,
        labels=tuple(same),
    )


def _mean_of(samples: Iterable[Sample]) -> Fraction | None:
    means = [mean for mean in (each.mean for each in samples) if mean is not None]
    return sum(means, Fraction(0)) / len(means) if means else None


def _number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)
