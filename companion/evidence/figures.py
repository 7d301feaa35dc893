"""What findings are made of: frozen figures whose attribute names are the keys of the JSON.

Change = latest - baseline. What is not known is None, never NaN and never 0.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from companion.care.records import EventKind, Level, Measure, Side, Skin

Band = Literal["clear_better", "slight_better", "little", "slight_worse", "clear_worse"]
Verdict = Literal["falling", "rising", "unclear", "too_short"]
Status = Literal["F", "S", "M", "C", "D", "V"]
"""F read in the source, S in a secondary page, M from memory, C common practice without a
source, D arithmetic on those, V recomputed."""
SkinSource = Literal["day_page", "tape_on", "tape_off", "patch_test"]
Cleared = Literal[
    "checked_by_professional", "ticked_by_mistake", "skin_read_clear", "well_again", "asked_again"
]
Why = Literal[
    "not computed",
    "no day pages",
    "too few recorded days",
    "windows share days",
    "baseline mean is 0",
    "nothing prescribed",
    "too few sessions",
    "too few earlier days",
    "no activity in both windows",
    "no published value for this age",
    "birth year not in the plan",
    "sex not in the plan",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """First to last day page of the knee, both included."""

    first_day: date | None
    last_day: date | None
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """How the diary was kept. A day is kept when its page holds any pain value."""

    days_kept: int
    days_expected: int
    kept_percent: float | None
    late_entries: int
    longest_gap_days: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Adherence:
    """What was done of what was prescribed, in days. The percent is not capped at 100.

    `days_locked`, `days_resting` and `days_taped` are the days of the period that left the count;
    a day may be in more than one.
    """

    sessions_done: int
    sessions_prescribed: int
    done_percent: float | None
    stopped: int
    left: int
    days_locked: int = 0
    days_resting: int = 0
    days_taped: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Fourteen calendar days: how many were recorded, and their mean from one day on."""

    days: int
    mean: float | None
    first_day: date | None
    last_day: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """Points a week. `weeks` counts the usable ones: at least four recorded days each."""

    slope_per_week: float | None
    low: float | None
    high: float | None
    weeks: int
    verdict: Verdict | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flare:
    """A recorded flare. `over`: five usual days running were recorded after it."""

    first_day: date
    last_day: date
    days: int
    peak: int
    usual: float
    over: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """The chance, 0 to 1, that a latest day is better than a baseline day."""

    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pain:
    """Pain 0-10 by the plan's measure; a negative change is better."""

    measure: Measure
    baseline: Window
    latest: Window
    change_points: float | None
    change_percent: float | None
    low: float | None
    high: float | None
    band: Band | None
    beyond_measurement_error: bool | None
    acceptable_state: bool | None
    trend: Trend
    flares: tuple[Flare, ...]
    nap: Overlap


@dataclass(frozen=True, slots=True, kw_only=True)
class Ease:
    """Before against after in sessions. `by_stage` counts sessions by the stage of the last score.

    Sessions in the clinic are among them, and `clinic_sessions` says how many. Sessions whose
    moves could not be compared have no ease: they are in `not_comparable` alone.
    """

    sessions: int
    sessions_scored: int
    target_percent: int
    met: int
    met_percent: float | None
    median_percent: float | None
    by_stage: Mapping[str, int]
    not_comparable: int
    clinic_sessions: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """One activity 0-10, higher is better: the means of the two windows of the pain."""

    label: str
    baseline: float | None
    latest: float | None
    change: float | None
    beyond_measurement_error: bool | None
    baseline_days: int
    latest_days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ActivitiesMean:
    """The mean over the same activities in both windows, named in `labels`."""

    baseline: float | None
    latest: float | None
    change: float | None
    beyond_measurement_error: bool | None
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinEvent:
    """Skin that was not clear. A patch test belongs to the person: its side is None."""

    day: date
    side: Side | None
    skin: Skin
    source: SkinSource


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """Tape on the knee. `overdue` counts wears known to have ended after they were due.

    `end_not_known` counts wears still on, without a known time of removal, or copied from paper.
    """

    applications: int
    days_worn: int
    overdue: int
    skin_events: tuple[SkinEvent, ...]
    end_not_known: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """A sign of the stop list that was ticked; `sides` is empty for the whole person."""

    day: date
    sign: str
    card: str
    level: Level
    sides: tuple[Side, ...]
    cleared: Cleared | None
    cleared_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """Something dated that may explain a change."""

    day: date
    what: EventKind
    side: Side | None
    note: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedRow:
    """One age band of the published chair stand table: below average if fewer stands than."""

    age_from: int
    age_to: int
    men: int
    women: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChairStand:
    """A 30-second chair stand. `score` is 0 when the arms were used.

    `published` holds the rows of the ages the person may have had (the plan knows the year of
    birth alone). The plan does not hold the sex: `below_average` is None unless the rows for men
    and for women say the same. `change` is against the first stand without arms.
    """

    day: date
    count: int
    arms_used: bool
    score: int
    below_average: bool | None
    published: tuple[PublishedRow, ...]
    change: int | None
    beyond_measurement_error: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CannotTell:
    """A finding that cannot be given: what there is and what is needed, as numbers.

    `finding` is a dotted key of the JSON; `label` names the activity where there is one.
    """

    finding: str
    why: Why
    have: float
    need: float
    label: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Provenance:
    """Where a figure comes from: its method, how many values it rests on, its source."""

    method: str
    n: int
    source: str
    status: Status


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """All findings of one knee. They depend on the diary alone, never on today."""

    version: int
    person: str
    side: Side
    plan_version: int
    period: Period
    diary: Keeping
    routine: Adherence
    exercise: Adherence
    pain: Pain
    ease: Ease
    activities: tuple[Activity, ...]
    activities_mean: ActivitiesMean
    tape: Tape
    trial: None
    warnings: tuple[Warned, ...]
    events: tuple[Happened, ...]
    chair_stand: tuple[ChairStand, ...]
    cannot_tell: tuple[CannotTell, ...]
    provenance: Mapping[str, Provenance] = field(default_factory=dict)

    @property
    def shown_cannot_tell(self) -> tuple[CannotTell, ...]:
        """Those a page shows: what lacks data, not what is not computed."""
        return tuple(item for item in self.cannot_tell if item.why != "not computed")
