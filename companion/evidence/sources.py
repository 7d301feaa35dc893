"""Where each figure comes from: method, source and status, keyed by the finding's dotted key."""

from dataclasses import dataclass

from companion.evidence.figures import Status


@dataclass(frozen=True, slots=True)
class Source:
    """How a figure is made and who says so. Status letters: see `figures.Status`."""

    method: str
    source: str
    status: Status


_PSFS = "Stratford 1995, Physiother Can 47:258"
_INTERVAL = Source(
    "95 % t interval of the change; the days that count are fewer than those recorded because a "
    "day is like the day before it (autoregression of order 1); spread at least 0.5 where neither "
    "window varies",
    "chosen by simulation, coverage 88 to 98 % up to autocorrelation 0.6",
    "V",
)

SOURCES: dict[str, Source] = {
    "period": Source("first to last day page of the knee, both included", "our definition", "C"),
    "diary": Source(
        "days with any pain value, of all days of the period; late entries counted in",
        "electronic against paper diaries: Stone 2003, Control Clin Trials 24:182",
        "F",
    ),
    "routine": Source(
        "days with hands done, of days prescribed; locked, rest and taped days left out",
        "share of what was prescribed, rest days out: Bailey 2018, BJSM 54:326",
        "F",
    ),
    "exercise": Source(
        "days with exercise done, of days prescribed; locked and rest days left out",
        "share of what was prescribed, rest days out: Bailey 2018, BJSM 54:326",
        "F",
    ),
    "pain.baseline": Source(
        "mean of the recorded days among the first 14 calendar days; already under treatment",
        "one moment is not a week: Stone 2010",
        "F",
    ),
    "pain.latest": Source(
        "mean of the recorded days among the last 14 calendar days",
        "one moment is not a week: Stone 2010",
        "F",
    ),
    "pain.change_points": Source(
        "latest mean minus baseline mean; 10 recorded days in each window, none shared",
        "arithmetic on the two means",
        "D",
    ),
    "pain.change_percent": Source(
        "change as a share of the baseline mean", "arithmetic on the two means", "D"
    ),
    "pain.band": Source(
        "-1 point or -15 % slight, -2 points or -33 % clear, mirrored for worse",
        "Salaffi 2004, Eur J Pain 8:283",
        "F",
    ),
    "pain.beyond_measurement_error": Source(
        "change of more than 1.33 points", "Alghadir 2018, J Pain Res 11:851", "F"
    ),
    "pain.acceptable_state": Source(
        "latest mean of 3.23 or less", "Tubach 2005, Ann Rheum Dis 64:34", "F"
    ),
    "pain.low": _INTERVAL,
    "pain.high": _INTERVAL,
    "pain.outcome": Source(
        "interval on one side of 0 and change beyond 1 point: lower or higher; interval within "
        "1 point either way: little change; else cannot tell",
        "1 point is noise: Alghadir 2018, J Pain Res 11:851; the three outcomes are ours",
        "F",
    ),
    "pain.trend": Source(
        "median slope between weekly means, weeks with at least 4 recorded days by their real "
        "number; exact interval; 5 usable weeks, 8 for a useful width",
        "Sen 1968; null distribution of Kendall 1938, computed exactly",
        "V",
    ),
    "pain.nap": Source(
        "share of all pairs of a baseline and a latest day in which the latest is lower, ties "
        "half; n counts pairs; Newcombe interval, which takes days as independent",
        "Parker and Vannest 2009, Behav Ther 40:357; Newcombe 2006, Stat Med 25:559",
        "V",
    ),
    "pain.scale_end": Source(
        "a window's mean under 1 or over 8: little or no room for change", "our definition", "C"
    ),
    "pain.limits": Source(
        "spread: standard deviation of the last 28 days, at least 0.5; one day against another: "
        "1.96 x sqrt 2 x spread; rise of three days: 4/3 points or 2.5 standard errors, the larger",
        "smallest detectable change as in Alghadir 2018, from this person's own days; "
        "limits chosen by simulation",
        "V",
    ),
    "pain.signals": Source(
        "mean of three days past the person's own limit over the 28 days that end three days "
        "before; a new episode after 5 quiet days; about one a quarter comes by chance, one and "
        "a half or a little more with sharp peaks",
        "chosen by simulation; not the published flare",
        "V",
    ),
    "pain.process_chart": Source(
        "mean of all recorded days, and 2.66 and 3.268 mean moving ranges between consecutive "
        "days, within 0 to 10; a picture, not an alarm",
        "NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2",
        "S",
    ),
    "pain.without_late": Source(
        "the same change and interval without pages written late",
        "paper diaries filled in later: Stone 2003, Control Clin Trials 24:182",
        "F",
    ),
    "trial": Source(
        "sign-flip randomisation test on pair differences, interval by inverting it, "
        "Hodges-Lehmann beside it; analysed as scheduled; n counts complete pairs",
        "Fisher 1935; CENT 2015 headings",
        "V",
    ),
    "trial.flow": Source(
        "a day is taped with tape on for half or more of 08:00 to 21:00, or by its paper page; "
        "days not followed are counted and analysed as scheduled; n counts recorded scored days",
        "our definition",
        "C",
    ),
    "next_morning": Source(
        "least squares of the next day's score on the day's amount, the day's score, weekend and "
        "time held equal; n counts pairs of days; other causes are possible",
        "our choice by simulation; recomputed with a reference library",
        "V",
    ),
    "pain.flares": Source(
        "2 or more above the median of the 28 days before, on 2 or more days running; over after "
        "5 usual days running",
        "Parry, Ogollah and Peat",
        "F",
    ),
    "ease": Source(
        "fall from before to last after score as a share of before; the target is the plan's",
        "half is the usual mark: common practice, no source",
        "C",
    ),
    "activities": Source(
        "means of the two windows, 0 unable to 10 as before; one activity: 3 points or more",
        _PSFS,
        "F",
    ),
    "activities_mean": Source(
        "mean over the same activities in both windows; 2 points or more", _PSFS, "F"
    ),
    "tape": Source(
        "times tape was put on, days worn, times it came off after it was due by the plan",
        "wear hours are the plan's: common practice, no source",
        "C",
    ),
    "tape.skin_events": Source(
        "skin red past 30 minutes, itchy, blistered or broken",
        "redness past 30 minutes is an injury: MARSI consensus, McNichol 2013",
        "F",
    ),
    "warnings": Source("signs ticked on the stop list, all kept", "the diary", "C"),
    "events": Source("dated events as written", "the diary", "C"),
    "chair_stand": Source(
        "below average if fewer stands than the table, a flag for falls and no grade of the knee; "
        "arms used score 0; change of more than 2.5 stands; a second trial gains 0.5 to 0.8 by "
        "practice",
        "CDC, 30-Second Chair Stand, 2017; Gill 2022, Musculoskelet Care",
        "F",
    ),
}
