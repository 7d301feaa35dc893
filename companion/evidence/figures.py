"""What findings are made of: frozen figures whose attribute names are the keys of the JSON.

Change = latest - baseline. What is not known is None, never NaN and never 0.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Generic, Literal, NamedTuple, TypeVar

from companion.care.closed_days import DayState
from companion.care.coded import Coded
from companion.care.records import (
    Cleared,
    EventKind,
    Level,
    Measure,
    OpenSignSaid,
    Part,
    Side,
    Skin,
    Told,
    ToldBy,
)
from companion.care.step_limits import StepStop

Band = Literal["clear_better", "slight_better", "little", "slight_worse", "clear_worse"]
TrendVerdict = Literal["falling", "rising", "unclear", "too_short"]
Better = Literal[
    "lower", "probably_lower", "lower_little", "probably_higher", "same", "cannot_tell"
]
"""What is said of pain: the first that holds (see `change_model.told`)."""
Able = Literal["more", "probably_more", "more_little", "probably_less", "same", "cannot_tell"]
"""What is said of an activity or an amount, in the same order."""
Kept = Literal["weeks", "silent", "not_prescribed", "cannot_tell"]
"""Counted weeks, or that nothing was written in the latest whole week."""
TapeWorth = Literal[
    "lower_with_tape", "higher_with_tape", "no_difference", "cannot_tell", "no_trial"
]
UnsafeTold = Literal[
    "open_card",
    "fall_or_skin",
    "open_sign",
    "step_or_swelling",
    "rising",
    "signal",
    "silent",
    "none_written",
]
"""The first of these that holds."""
ScaleEnd = Literal["at_bottom", "near_bottom", "near_top", "at_top"]
Decision = Literal["signal", "no_signal", "no_decision"]
SkinSource = Literal["day_page", "tape_on", "tape_off", "patch_test"]
Why = Literal[
    "no_day_pages",
    "too_few_recorded_days",
    "windows_share_days",
    "baseline_zero",
    "nothing_prescribed",
    "no_entry_under_plan",
    "not_asked_on_paper",
    "every_day_left_out",
    "too_few_for_one_prescribed",
    "too_few_sessions",
    "too_few_earlier_days",
    "no_activity_in_both_windows",
    "no_value_for_age",
    "birth_year_not_in_plan",
    "sex_not_in_plan",
    "day_of_birth_not_in_plan",
    "too_few_usable_weeks",
    "no_score_on_last_day",
    "no_two_days_running",
    "rise_not_recordable",
    "too_few_day_pairs",
    "amount_never_varies",
    "scores_never_vary",
    "amount_not_separable",
    "too_few_complete_pairs",
    "schedule_not_as_fixed",
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

    `sessions_prescribed` is 0 only where the plan prescribes none, and None where it cannot be
    counted. The days run from `first_day` to `last_day`, both included and None without an entry
    under a plan; `days_counted` of them were open. `days_without_plan`, `days_locked`,
    `days_resting`, `days_in_trial` and `days_taped` left the count, each under the first of these
    that holds; of `sessions_done`, `done_on_days_left_out` fell on those.
    """

    sessions_done: int
    sessions_prescribed: int | None
    done_percent: float | None = None
    stopped: int = 0
    left: int = 0
    first_day: date | None = None
    last_day: date | None = None
    days_counted: int = 0
    done_on_days_left_out: int = 0
    days_without_plan: int = 0
    days_locked: int = 0
    days_resting: int = 0
    days_taped: int = 0
    days_in_trial: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysOfPart:
    """On how many days one part was closed."""

    part: Part
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedReason:
    """One sign, caution or state of a day that closed something: its rule, the parts, on how many
    days."""

    sign: str | None
    caution: str | None
    state: DayState | None
    rule: str
    parts: tuple[Part, ...]
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """On how many of `of_days` days under a plan anything was closed, each part, and by what."""

    days: int
    of_days: int
    parts: tuple[DaysOfPart, ...] = ()
    by: tuple[ClosedReason, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Fourteen calendar days: how many were recorded, and their mean from one day on."""

    days: int
    mean: float | None
    first_day: date | None
    last_day: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """Points a week. `weeks` counts the usable ones: at least four recorded days each.

    The interval is exact and covers `attained_percent`, at least 95.
    """

    slope_per_week: float | None = None
    low: float | None = None
    high: float | None = None
    weeks: int
    verdict: TrendVerdict
    attained_percent: float | None = None


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
class Signal:
    """An episode of the flare signal: three-day means past this person's own limit.

    Not a recorded flare. `rise_points` is the highest three-day mean above the usual of its day,
    `limit_points` what the first day had to reach.
    """

    first_day: date
    last_day: date
    rise_points: float
    limit_points: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """This person's usual: the last 28 calendar days of the period.

    `mean` leaves out the lowest and the highest quarter, `spread` is that of the days below it, at
    least 0.6. `most_days` of `days` were from `most_low` to `most_high`. One day against another,
    both picked beforehand, means something from `real_change_points` on; the mean of three days is
    a signal from
    `rise_limit_points` above the usual on. `rise_noticed` is the chance, 0 to 1, of noticing two
    points more for three days; None where the scale has no room for them.
    """

    days: int
    mean: float | None = None
    spread: float | None = None
    most_low: int | None = None
    most_high: int | None = None
    most_days: int | None = None
    real_change_points: float | None = None
    rise_limit_points: float | None = None
    rise_noticed: float | None = None
    rise_recordable: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcessChart:
    """Centre and limits of a process chart, within 0 to 10: a picture, never an alarm."""

    days: int
    centre: float | None = None
    low: float | None = None
    high: float | None = None
    moving_range: float | None = None
    range_high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WithoutLate:
    """The change again without the scores of pages written late."""

    late_days: int
    baseline_days: int
    latest_days: int
    change_points: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NextMorning:
    """What a day's amount goes with in the next day's score, that of the day before held equal.

    `low` and `high` are the `range_percent` % range. `points` is for one usual step of the amount
    (`spread`, its standard deviation); a plus is more pain after more. It shows what goes together:
    other causes are possible.
    """

    label: str
    unit: str
    pairs: int
    range_percent: int
    spread: float | None
    points: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """The chance, 0 to 1, that a latest day is better than a baseline day."""

    value: float | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelRun:
    """The model of a change over some days: level before and after, and the posterior of the
    change: its mean, 95 % limits, and the chances that it is below 0, above 0 and within one point.
    `worse_from` is the chance from which a change for the worse is told. All but the days are None
    below its minimum."""

    first_day: date | None
    last_day: date | None
    before: float | None = None
    after: float | None = None
    change: float | None = None
    low: float | None = None
    high: float | None = None
    p_lower: float | None = None
    p_higher: float | None = None
    p_same: float | None = None
    worse_from: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Model(ModelRun):
    """The model of the pain. `bad_spell`: whether the fortnight before the start was worse than
    usual, None where it was not asked or not known. `from_day_15` is None where it is too short."""

    bad_spell: bool | None
    from_day_15: ModelRun | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pain:
    """Pain 0-10 by the plan's measure; a negative change is better.

    `model` is what the verdict rests on; the windows, `low` and `high` (the 95 % interval of their
    change), band, error, acceptable state, trend and overlap are no verdicts. `flares` are recorded
    flares; `signals` are another thing, and `signal_decision` is that of the last day.
    `without_late` is None where no page with a score was late.
    """

    measure: Measure
    model: Model
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
    scale_end: ScaleEnd | None
    limits: Limits
    signals: tuple[Signal, ...]
    signal_decision: Decision
    process_chart: ProcessChart
    without_late: WithoutLate | None


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
    """One activity 0-10, higher is better: the means of the two windows of the pain, and the model
    of the change over all days, of which `verdict` is told."""

    label: str
    baseline: float | None
    latest: float | None
    change: float | None
    beyond_measurement_error: bool | None
    baseline_days: int
    latest_days: int
    model: ModelRun
    verdict: Able


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountChange:
    """One amount that the plan paces, in its unit: on how many days it was written down, and the
    model of the change over all of them, in which what lies beyond the goal counts as the goal.
    `p_same` is within a tenth of the goal."""

    label: str
    unit: str
    goal: float
    days: int
    model: ModelRun
    verdict: Able


@dataclass(frozen=True, slots=True, kw_only=True)
class ActivitiesMean:
    """The mean over the same activities in both windows, named in `labels`; the model is of the
    days on which all of them were scored."""

    baseline: float | None
    latest: float | None
    change: float | None
    beyond_measurement_error: bool | None
    labels: tuple[str, ...]
    model: ModelRun
    verdict: Able


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
    told: Told | None = None
    told_by: ToldBy | None = None
    told_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StoppedStep:
    """A step or exercise that ended because of pain 0-10, None where no number was given.

    `limit` is the plan's limit that the pain passed and `limit_points` the highest pain that it
    lets pass; both None where the person stopped below it, saying that it hurt too much.
    """

    day: date
    part: Literal["hands", "exercise"]
    step: str
    pain: int | None
    rest_pain: int | None
    limit: StepStop | None
    limit_points: int | None


UnsafeCode = Literal[
    "silent_after_card",
    "open_card",
    "fall",
    "head_knock",
    "skin",
    "open_sign",
    "step_stopped",
    "woken",
    "swelling",
    "stiff",
    "rising",
    "signal",
    "silent",
]
"""What may be unsafe, in the order in which it is told. open_card: a sign to act on at once or
today; open_sign: any other that is not answered for. rising: pain is probably higher; signal: the
person's own limit, passed on the last day."""

BecauseCode = (
    UnsafeCode
    | Literal[
        "not_begun",
        "days_spanned",
        "days_recorded",
        "days_recent",
        "change",
        "level",
        "from_day_15_open",
        "from_day_15_short",
        "bad_spell",
        "no_bad_spell",
        "bad_spell_cannot_tell",
        "bad_spell_unknown",
        "medicine",
        "care_between",
        "days_closed",
        "trial_days",
        "near_end",
        "looks",
        "exercise_weeks",
        "hands_weeks",
        "last_written",
        "trial_pairs",
        "trial_estimate",
        "trial_first_day_left_out",
        "trial_goes_on",
        "trial_broken_off",
        "trial_days_not_followed",
        "trial_surely_a_point",
    ]
)
"""A reason behind a verdict. days_recent: among the last fourteen. from_day_15_open: the model from
day 15 does not reach the verdict; from_day_15_short: there are too few days for it. bad_spell,
no_bad_spell, bad_spell_cannot_tell, bad_spell_unknown: what was said of the fortnight before the
start, the last that nothing was. medicine:
`first` and `last` days with extra medicine of `first_of` and `last_of` answered in the first and
last fourteen. looks: visits that held the same first days against new ones."""

V = TypeVar("V", bound=str)


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """One reason, as a code with its numbers by name."""

    code: BecauseCode
    numbers: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedVerdict(Generic[V]):
    """The answer to one question. `need` are the days that would decide, None where it is decided
    or no number of days would."""

    verdict: V
    because: tuple[Because, ...] = ()
    need: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdicts:
    """One answer a question."""

    better: StatedVerdict[Better]
    kept: StatedVerdict[Kept]
    tape: StatedVerdict[TapeWorth]
    unsafe: StatedVerdict[UnsafeTold]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsafe:
    """One thing that may be unsafe. What a code does not have is None; `side` is None for the
    person.

    `day` is its newest day. `count` of `of`: falls of a year; sessions in which a step was stopped,
    of those that had it; days with a new answer, of those answered. `days` are those without an
    entry. `highest` is the worst pain of a step, the highest answer (woken 1, minutes, swelling
    0-2), or the rise in points; `usual` what is usual of the answer, the level before the rise, or
    the limit that was passed. Of silence `count` of `of` earlier days held nothing, and `by_chance`
    is the chance that `days` running do so by themselves. An open sign that a plan answers, and
    home has not written yet, has the answer and that plan's version and day.
    """

    code: UnsafeCode
    side: Side | None
    day: date | None
    sign: str | None = None
    level: Level | None = None
    skin: Skin | None = None
    source: SkinSource | None = None
    step: str | None = None
    note: str | None = None
    count: int | None = None
    of: int | None = None
    days: int | None = None
    highest: float | None = None
    usual: float | None = None
    by_chance: float | None = None
    answer: OpenSignSaid | None = None
    plan_version: int | None = None
    plan_written_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPaper:
    """Days copied from paper, which asks less than the program. `alone` when nothing was written
    at home but on paper."""

    days: int
    alone: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsettled:
    """What is in the diary and counts in no figure, and what two tell differently, of both knees.

    `wrong_clock` entries were written under a wrong clock, from `first_day` to `last_day` by that
    clock. Of `rivals` the one written later counts, until a person chooses. `left_out` entries do
    not belong to the rest of their file.
    """

    wrong_clock: int
    first_day: date | None
    last_day: date | None
    rivals: int
    left_out: int


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
    birth alone). `below_average` is None unless they say the same, for men and for women too where
    the plan does not hold the sex. `change` is against the first stand without arms.
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
class PairOfPeriods:
    """One pair of a tape trial: means of the recorded scored days, and tape minus no tape.

    `difference` is None when either period holds no recorded day: the pair is dropped, counted.
    """

    pair: int
    tape_first: bool
    tape_days: int
    no_tape_days: int
    tape_mean: float | None
    no_tape_mean: float | None
    difference: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialEstimate:
    """Tape minus no tape over the complete pairs; a minus is less pain with tape.

    `p` is two-sided, from the random order alone, and cannot be under `smallest_p`. `favouring`
    pairs have less pain with tape. Below six pairs there is no interval and nothing is told.
    """

    pairs: int
    favouring: int
    mean_difference: float | None = None
    low: float | None = None
    high: float | None = None
    hodges_lehmann: float | None = None
    p: float | None = None
    smallest_p: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialDesign:
    """CENT 2015, methods: trial design, interventions, outcome, sample size."""

    measure: Measure
    first_day: date
    last_day: date
    pairs: int
    scored_days: int
    bare_days: int
    smallest_p: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialRandomisation:
    """CENT 2015, methods: sequence generation, and that it was fixed before the first day.

    `as_fixed` is False where the schedule was not written down before the trial began, and None
    where that day is not known.
    """

    seed: str
    sha256: str
    tape_first: tuple[bool, ...]
    as_fixed: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialFlow:
    """CENT 2015, results: participant flow and numbers analysed, in days and pairs.

    `last_day_reached` is the last scored day with a score, or day of which it is known whether
    tape was on. From `broken_off_on` on a later plan version held the trial no more: nothing of
    that day or later is counted. Days not followed were analysed as scheduled.
    """

    last_day_reached: date | None
    broken_off_on: date | None
    pairs_complete: int
    pairs_dropped: int
    days_scheduled: int
    days_recorded: int
    days_not_followed: int
    days_followed_unknown: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialHarms:
    """CENT 2015, results: harms. Skin events and warnings within the trial's days and the day
    after them, on which the last tape comes off. Pink fades within 30 minutes and is no skin event;
    the days it was seen on are counted apart.
    """

    skin_events: tuple[SkinEvent, ...]
    warnings: tuple[Warned, ...]
    pink_days: int


TrialLimitation = Literal[
    "not_blinded",
    "carry_over_hides_difference",
    "days_not_followed",
    "pairs_dropped",
    "broken_off",
    "not_over",
    "schedule_not_fixed_before",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialResult:
    """An on/off tape trial in one person, under the headings of CENT 2015."""

    design: TrialDesign
    randomisation: TrialRandomisation
    blinded: Literal[False]
    flow: TrialFlow
    pairs: tuple[PairOfPeriods, ...]
    estimate: TrialEstimate
    first_day_dropped: TrialEstimate
    harms: TrialHarms
    limitations: tuple[TrialLimitation, ...]


class Lack(NamedTuple):
    """Why a figure is not known: the reason, what there is, what is needed."""

    why: Why
    have: float
    need: float


@dataclass(frozen=True, slots=True)
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
    """Where a figure comes from: its method, how many values it rests on and of which days, and
    the ids of the facts behind it. The days are None where there is nothing yet."""

    method: Coded
    n: int
    first_day: date | None
    last_day: date | None
    facts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """All findings of one knee. They depend on the diary alone; `verdicts.kept` and silence among
    `unsafe` on `read_on` too.

    `next_morning` is empty unless it was asked for.
    """

    version: int
    person: str
    side: Side
    plan_version: int
    verdicts: Verdicts
    period: Period
    diary: Keeping
    routine: Adherence
    exercise: Adherence
    closed: Closed
    pain: Pain
    ease: Ease
    activities: tuple[Activity, ...]
    activities_mean: ActivitiesMean
    amounts: tuple[AmountChange, ...]
    tape: Tape
    trial: TrialResult | None
    next_morning: tuple[NextMorning, ...]
    warnings: tuple[Warned, ...]
    stopped_steps: tuple[StoppedStep, ...]
    unsafe: tuple[Unsafe, ...]
    read_on: date
    events: tuple[Happened, ...]
    on_paper: OnPaper
    unsettled: Unsettled
    chair_stand: tuple[ChairStand, ...]
    cannot_tell: tuple[CannotTell, ...]
    provenance: Mapping[str, Provenance] = field(default_factory=dict)
