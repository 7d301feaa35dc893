"""How each figure is made and the facts it rests on, keyed by the finding's dotted key.

The facts are ids of `resources/facts.csv`; their sources and letters stand there alone.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """How a figure is made, and the ids of the facts behind it."""

    method: str
    facts: tuple[str, ...]


_INTERVAL = Source(
    "95 % t interval of the change; the days that count are fewer than those recorded because a "
    "day is like the day before it (autoregression of order 1); spread at least 0.5 where neither "
    "window varies; coverage 88 to 98 % up to autocorrelation 0.6",
    ("change_interval",),
)
_OF_WHAT_WAS_PRESCRIBED = ("adherence_share", "adherence_days_out")

SOURCES: dict[str, Source] = {
    "period": Source("first to last day page of the knee, both included", ("own_definition",)),
    "diary": Source(
        "days with any pain value, of all days of the period; late entries counted in",
        ("diary_on_time",),
    ),
    "routine": Source(
        "days with hands done, of days prescribed, from the first to the last entry of any kind "
        "under a plan; locked, rest and taped days left out",
        _OF_WHAT_WAS_PRESCRIBED,
    ),
    "exercise": Source(
        "days with exercise done, of days prescribed, from the first to the last entry of any kind "
        "under a plan; locked and rest days left out",
        _OF_WHAT_WAS_PRESCRIBED,
    ),
    "pain.baseline": Source(
        "mean of the recorded days among the first 14 calendar days; already under treatment",
        ("day_mean",),
    ),
    "pain.latest": Source(
        "mean of the recorded days among the last 14 calendar days", ("day_mean",)
    ),
    "pain.change_points": Source(
        "latest mean minus baseline mean; 10 recorded days in each window, none shared",
        ("window_days_needed",),
    ),
    "pain.change_percent": Source(
        "change as a share of the baseline mean", ("window_days_needed",)
    ),
    "pain.band": Source(
        "-1 point or -15 % slight, -2 points or -33 % clear, mirrored for worse; the marks are "
        "alternatives, so a clear change by percent may be within the error of one rating",
        (
            "pain_change_slight",
            "pain_change_slight_percent",
            "pain_change_clear",
            "pain_change_clear_percent",
        ),
    ),
    "pain.beyond_measurement_error": Source(
        "change of more than 1.33 points", ("pain_detectable_change",)
    ),
    "pain.acceptable_state": Source("latest mean of 3.23 or less", ("pain_acceptable",)),
    "pain.low": _INTERVAL,
    "pain.high": _INTERVAL,
    "pain.outcome": Source(
        "interval on one side of 0 and change beyond 1 point: lower or higher; interval within "
        "1 point either way: little change; else cannot tell",
        ("pain_detectable_change", "cannot_tell"),
    ),
    "pain.trend": Source(
        "median slope between weekly means, weeks with at least 4 recorded days by their real "
        "number; exact interval; 5 usable weeks, 8 for a useful width",
        ("trend_slope", "trend_interval", "day_mean"),
    ),
    "pain.nap": Source(
        "share of all pairs of a baseline and a latest day in which the latest is lower, ties "
        "half; n counts pairs; Newcombe interval, which takes days as independent",
        ("nap", "nap_interval"),
    ),
    "pain.scale_end": Source(
        "a window’s mean under 1 or over 8: little or no room for change", ("scale_ends",)
    ),
    "pain.limits": Source(
        "spread: standard deviation of the last 28 days, at least 0.5; one day against another: "
        "1.96 x sqrt 2 x spread; rise of three days: 4/3 points or 2.5 standard errors, the larger",
        ("pain_detectable_change", "own_limits"),
    ),
    "pain.signals": Source(
        "mean of three days past the person’s own limit over the 28 days that end three days "
        "before; a new episode after 5 quiet days; about one a quarter comes by chance, one and "
        "a half or a little more with sharp peaks; not the published flare",
        ("flare_signal",),
    ),
    "pain.process_chart": Source(
        "mean of all recorded days, and 2.66 and 3.268 mean moving ranges between consecutive "
        "days, within 0 to 10; a picture, not an alarm",
        ("process_chart",),
    ),
    "pain.without_late": Source(
        "the same change and interval without pages written late", ("diary_on_time",)
    ),
    "trial": Source(
        "sign-flip randomisation test on pair differences, interval by inverting it, "
        "Hodges-Lehmann beside it; analysed as scheduled; n counts complete pairs",
        ("sign_flip", "hodges_lehmann", "trial_report"),
    ),
    "trial.flow": Source(
        "a day is taped with tape on for half or more of 08:00 to 21:00, or by its paper page; "
        "days not followed are counted and analysed as scheduled; n counts recorded scored days",
        ("trial_taped_day",),
    ),
    "next_morning": Source(
        "least squares of the next day’s score on the day’s amount, the day’s score, weekend and "
        "time held equal; n counts pairs of days; other causes are possible",
        ("next_morning",),
    ),
    "pain.flares": Source(
        "2 or more above usual on 2 or more days running; over after 5 usual days running; usual "
        "is here the median of the 28 days before, in the paper the person’s own rating of it",
        ("flare_points", "flare_days", "flare_over", "flare_usual"),
    ),
    "ease": Source(
        "fall from before to last after score as a share of before; the target is the plan’s",
        ("ease_target",),
    ),
    "activities": Source(
        "means of the two windows, 0 unable to 10 as before; one activity: 3 points or more",
        ("activity_detectable_change",),
    ),
    "activities_mean": Source(
        "mean over the same activities in both windows; 2 points or more",
        ("activities_detectable_change",),
    ),
    "tape": Source(
        "times tape was put on, days worn, times it came off after it was due by the plan",
        ("wear_usual", "wear_cap"),
    ),
    "tape.skin_events": Source(
        "skin red past 30 minutes, itchy, blistered or broken", ("skin_red_minutes",)
    ),
    "warnings": Source("signs ticked on the stop list, all kept", ("own_definition",)),
    "stopped_steps": Source(
        "steps and exercises that ended in pain, by the limits of the plan of their session",
        ("own_definition",),
    ),
    "on_paper": Source(
        "days copied from paper, which asks of no fall, sign, stopped step, night or stairs",
        ("own_definition",),
    ),
    "events": Source("dated events as written", ("own_definition",)),
    "chair_stand": Source(
        "below average if fewer stands than the table, a flag for falls and no grade of the knee; "
        "arms used score 0; change of more than 2.5 stands, an error found within one session; a "
        "second trial gains 0.5 to 0.8 by practice",
        ("chair_stand_table", "chair_stand_arms", "chair_stand_change", "chair_stand_practice"),
    ),
}
