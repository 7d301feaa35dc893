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
    "pain.trend": Source(
        "weeks with at least 4 recorded days, counted from the first day",
        "Sen 1968, on weekly means",
        "F",
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
        "below average if fewer stands than the table; change of more than 2.5 stands",
        "CDC, 30-Second Chair Stand, 2017; Gill 2022, Musculoskelet Care",
        "F",
    ),
}
