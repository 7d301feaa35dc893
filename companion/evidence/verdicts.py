"""The one answer to each of the clinic's questions, as a code with the numbers behind it.

Nothing else on a page judges. What is behind a verdict is a list of codes with numbers; pages word
them.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, replace
from datetime import date, timedelta
from typing import get_args

from companion.care.adherence import (
    RoutinePart,
    counted_days,
    days_a_week,
    days_done,
    plan_in_force,
)
from companion.care.days import week_of
from companion.care.finding import Entries, find
from companion.care.last_fortnight import last_fortnight
from companion.care.policy import Policy
from companion.care.records import (
    AnyEntry,
    DayPage,
    Event,
    EventKind,
    LastFortnight,
    Session,
    Side,
)
from companion.care.trial_days import fixed_schedule
from companion.evidence.change_model import (
    DAYS_NEEDED,
    FALLS,
    LATER_START_DAYS,
    PLATEAU_DAYS,
    RECENT_NEEDED,
    RECORDED_NEEDED,
    Fit,
    ModelSeries,
    days_to_go,
    fits,
    record_start,
    series_of,
    told,
)
from companion.evidence.figures import (
    Able,
    Because,
    BecauseCode,
    Better,
    Closed,
    Kept,
    Model,
    ModelRun,
    StatedVerdict,
    TapeWorth,
    TrialResult,
    Unsafe,
    UnsafeCode,
    UnsafeTold,
)
from companion.evidence.readings import Readings
from companion.evidence.sign_flip import LEVEL
from companion.evidence.trial_in_diary import held_trial

TREATMENTS: frozenset[EventKind] = frozenset(
    ("injection", "new_tablets", "brace", "stick", "illness", "other_care")
)
"""Events that may explain a change as well as the plan does."""
LOOKS_SAID_FROM = 3
"""From so many visits on it is said how often the same first days were looked at (C)."""
POINT = 1.0  # (fact: pain_noise)


def because(code: BecauseCode, **numbers: float) -> Because:
    """A reason with its numbers."""
    return Because(code=code, numbers=numbers)


# ---------------------------------------------------------------- better?


_OF_FIT = (
    *("before", "after", "change", "low", "high"),
    *("p_lower", "p_higher", "p_same", "worse_from"),
)


def run_of(series: ModelSeries | None, fit: Fit | None) -> ModelRun:
    """The model of a series, as the findings hold it."""
    return ModelRun(
        first_day=None if series is None else series.first_day,
        last_day=None if series is None else series.last_day,
        **{} if fit is None else {name: getattr(fit, name) for name in _OF_FIT},
    )


def model_of(
    series: ModelSeries | None, fit: Fit | None, later: Fit | None, said: LastFortnight | None
) -> Model:
    """The model of the pain, with its run from day 15; `said` of the fortnight before the start."""
    run = run_of(series, fit)
    return Model(
        **{field.name: getattr(run, field.name) for field in fields(run)},
        bad_spell=None if said not in ("worse", "not_worse") else said == "worse",
        from_day_15=None if series is None or later is None else run_of(series.later(), later),
    )


def upside_down(run: ModelRun) -> ModelRun:
    """The model of a scale that was fitted from its other end: 10 less the score."""

    def less(points: float | None, of: float = 0.0) -> float | None:
        return None if points is None else of - points

    return replace(
        run,
        before=less(run.before, 10.0),
        after=less(run.after, 10.0),
        change=less(run.change),
        low=less(run.high),
        high=less(run.low),
        p_lower=run.p_higher,
        p_higher=run.p_lower,
    )


def told_of(run: ModelRun | None) -> Better:
    """What is said of a model; `cannot_tell` below its minimum."""
    if run is None or run.change is None:
        return "cannot_tell"
    assert run.p_lower is not None
    assert run.p_higher is not None
    assert run.p_same is not None
    assert run.worse_from is not None
    return told(run.change, run.p_lower, run.p_higher, run.p_same, run.worse_from)


ABLE: dict[Better, Able] = {
    "lower": "more",
    "probably_lower": "probably_more",
    "lower_little": "more_little",
    "probably_higher": "probably_less",
    "same": "same",
    "cannot_tell": "cannot_tell",
}
"""What is said of an activity by the model of its trouble, 10 less the score."""


def said_at_the_start(
    entries: Entries, side: Side, series: ModelSeries | None
) -> LastFortnight | None:
    """What was said of the fortnight before the record, before its day 15: later it is another
    fortnight."""
    if series is None:
        return None
    return last_fortnight(entries, side, series.first_day + timedelta(days=LATER_START_DAYS - 1))


def better(
    record: Readings,
    series: ModelSeries | None,
    fit: Fit | None,
    model: Model,
    said: LastFortnight | None,
    closed: Closed,
) -> StatedVerdict[Better]:
    """Whether pain is lower, by the model over all days, and what else stands beside it."""
    alone = better_alone(series, fit, model, said)
    return replace(alone, because=(*alone.because, *_beside(record, model, closed)))


def better_alone(
    series: ModelSeries | None, fit: Fit | None, model: Model, said: LastFortnight | None
) -> StatedVerdict[Better]:
    """The same by the scores, and what was said of the fortnight before them, alone."""
    verdict = told_of(model)
    return StatedVerdict(
        verdict=verdict,
        because=(*_missing(series, fit), *_size(model), *_reserved(verdict, model, said)),
        need=days_to_go(series, fit),
    )


def better_by(
    scores: Mapping[date, int], entries: Entries, side: Side
) -> tuple[StatedVerdict[Better], Model]:
    """What is said of scores 0-10 by day, without what else stands beside it. `entries` say how it
    was before they began."""
    series = series_of(scores)
    fit, later = fits((series, None if series is None else series.later()))
    said = said_at_the_start(entries, side, series)
    model = model_of(series, fit, later, said)
    return better_alone(series, fit, model, said), model


def _missing(series: ModelSeries | None, fit: Fit | None) -> Iterator[Because]:
    if series is None:
        yield because("not_begun")
    elif fit is None:
        lacking: tuple[tuple[BecauseCode, int, int], ...] = (
            ("days_spanned", series.days, DAYS_NEEDED),
            ("days_recorded", len(series.scores), RECORDED_NEEDED),
            ("days_recent", series.recent, RECENT_NEEDED),
        )
        for code, have, need in lacking:
            if have < need:
                yield because(code, have=have, need=need)


def _size(model: Model) -> Iterator[Because]:
    if model.change is None or model.low is None or model.high is None or model.after is None:
        return
    yield because("change", points=model.change, low=model.low, high=model.high)
    yield because("level", points=model.after)
    if model.after < 1 or model.after > 8:
        yield because("near_end", points=model.after)  # (fact: scale_ends)


_OF_THE_FORTNIGHT: dict[LastFortnight | None, BecauseCode] = {
    "worse": "bad_spell",
    "not_worse": "no_bad_spell",
    "cannot_tell": "bad_spell_cannot_tell",
    None: "bad_spell_unknown",
}


def _reserved(verdict: Better, model: Model, said: LastFortnight | None) -> Iterator[Because]:
    """What may have made a fall that is none: a bad spell that passed after the start."""
    if verdict not in FALLS:
        return
    yield because(_OF_THE_FORTNIGHT[said])
    again = model.from_day_15
    if again is None or again.change is None or again.low is None or again.high is None:
        yield because("from_day_15_short")
    elif told_of(again) not in FALLS:
        yield because("from_day_15_open", points=again.change, low=again.low, high=again.high)


def _beside(record: Readings, model: Model, closed: Closed) -> Iterator[Because]:
    """What else was different between the first days and the last."""
    if model.change is None or model.first_day is None or model.last_day is None:
        return
    first, last = model.first_day, model.last_day
    begin, end = first + timedelta(days=PLATEAU_DAYS - 1), last - timedelta(days=PLATEAU_DAYS - 1)
    early = _medicine(record, first, begin)
    late = _medicine(record, end, last)
    if any(early) or any(late):
        yield because(
            "medicine", first=sum(early), first_of=len(early), last=sum(late), last_of=len(late)
        )
    events = [
        event
        for event in find(record.entries, Event, first_day=first, last_day=last)
        if event.what in TREATMENTS and event.side in (None, record.side)
    ]
    if events:
        yield because("care_between", count=len(events))
    if closed.days:
        yield because("days_closed", count=closed.days, of=closed.of_days)
    trial = [_trial_days(record, first, begin), _trial_days(record, end, last)]
    if any(trial):
        yield because("trial_days", first=trial[0], last=trial[1])
    looks = _looks(record)
    if looks >= LOOKS_SAID_FROM:
        yield because("looks", count=looks)


def _medicine(record: Readings, first: date, last: date) -> list[bool]:
    """Whether extra medicine was taken, of each day on which that was answered."""
    found = []
    for day, pages in record.person_pages.items():
        answers = [page.medicine for page in pages if page.medicine is not None]
        if answers and first <= day <= last:
            found.append(any(answers))
    return found


def _trial_days(record: Readings, first: date, last: date) -> int:
    """Days of a tape trial of this knee that lie between two days, both included."""
    held = held_trial(record.plans, record.side)
    schedule = None if held is None else fixed_schedule(held.trial)
    if held is None or schedule is None:
        return 0
    ends = schedule.last_day
    if held.dropped_on is not None:
        ends = min(ends, held.dropped_on - timedelta(days=1))
    return max((min(ends, last) - max(schedule.first_day, first)).days + 1, 0)


def _looks(record: Readings) -> int:
    """How many visits there were after the first, the one at which this is read among them."""
    visits = {plan.written_on for plan in record.plans}
    visits |= {s.for_day for s in find(record.entries, Session) if s.place == "clinic"}
    return len(visits)


# ---------------------------------------------------------------- kept to?


def kept_to(record: Readings, policy: Policy, read_on: date) -> StatedVerdict[Kept]:
    """Weeks kept of weeks, from the first entry at home under a plan to `read_on`.

    A week is seven days counted from there, and counts when it is over. It is kept when four of
    five days prescribed on its open days were done; a week in which nothing at all was written is
    not known, and named first where it is the latest.
    """
    versions = record.plans
    if not any(days_a_week(plan, part) for plan in versions for part in _PARTS):
        return StatedVerdict(verdict="not_prescribed")
    at_home = [entry for entry in record.entries if entry.written_by != "clinic"]
    written = sorted(
        {e.for_day for e in at_home if plan_in_force(versions, record.side, e.for_day) is not None}
    )
    start = _begun(record, written, at_home)
    if start is None:
        return StatedVerdict(verdict="cannot_tell", because=(because("not_begun"),))
    last = because("last_written", days=(read_on - written[-1]).days)
    weeks = ((read_on - start).days + 1) // 7
    if weeks < 1:
        days = (read_on - start).days + 1
        return StatedVerdict(verdict="cannot_tell", because=(last,), need=7 - max(days, 0))
    known = {week_of(day, start) for day in written}
    counts = tuple(
        _weeks(record, at_home, policy, start, weeks, known, part, read_on) for part in _PARTS
    )
    return StatedVerdict(
        verdict="weeks" if weeks - 1 in known else "silent",
        because=(last, *(each for each in counts if each is not None)),
    )


KEPT_PERCENT = 80  # (fact: week_kept)
_PARTS: tuple[RoutinePart, RoutinePart] = ("exercise", "hands")


def _begun(record: Readings, written: list[date], at_home: list[AnyEntry]) -> date | None:
    """The first day that is more than a stray page: of any other entry, or of the record."""
    others = {entry.for_day for entry in at_home if not isinstance(entry, DayPage)}
    found = [day for day in written if day in others][:1]
    page = record_start([day for day in written if day in record.pages])
    if page is not None:
        found.append(page)
    return min(found or written, default=None)


def needed_of(prescribed: int) -> int:
    """The days that keep a week of so many prescribed: four of five, rounded up (fact:
    week_kept)."""
    return -(-KEPT_PERCENT * prescribed // 100)


def _weeks(
    record: Readings,
    at_home: list[AnyEntry],
    policy: Policy,
    start: date,
    weeks: int,
    known: set[int],
    part: RoutinePart,
    read_on: date,
) -> Because | None:
    """Of one part: weeks kept, not kept and not known; None where none was prescribed in any."""
    last_day = start + timedelta(days=7 * weeks - 1)
    versions, side = record.plans, record.side
    counted = counted_days(record.entries, side, versions, start, last_day, part, policy=policy)
    done = days_done(at_home, side, part, first_day=start)
    asked = [0] * weeks
    did = [0] * weeks
    for day in counted.open_days:
        plan = plan_in_force(versions, side, day)
        assert plan is not None  # an open day has one
        asked[week_of(day, start)] += days_a_week(plan, part)
        did[week_of(day, start)] += day in done
    # As many as the plan's days a week over the open days, rounded half up.
    wanted = [(2 * each + 7) // 14 for each in asked]
    told_weeks = [week for week in range(weeks) if wanted[week]]
    if not told_weeks:
        return None
    held = sum(week in known and did[week] >= needed_of(wanted[week]) for week in told_weeks)
    unknown = sum(week not in known for week in told_weeks)
    most = max(days_a_week(plan, part) for plan in versions)
    return because(
        "exercise_weeks" if part == "exercise" else "hands_weeks",
        **({"last_done_days": (read_on - max(done)).days} if done else {}),
        kept=held,
        not_kept=len(told_weeks) - held - unknown,
        not_known=unknown,
        of=len(told_weeks),
        days=needed_of(most),
        a_week=most,
    )


# ---------------------------------------------------------------- tape worth it?


def tape_worth(trial: TrialResult | None) -> StatedVerdict[TapeWorth]:
    """What a finished randomised trial says, and nothing but one."""
    if trial is None:
        return StatedVerdict(verdict="no_trial")
    found = trial.estimate
    reasons = [because("trial_pairs", complete=found.pairs, of=trial.design.pairs)]
    if "not_over" in trial.limitations:
        ends = trial.design.last_day
        reached = trial.flow.last_day_reached
        left = None if reached is None else (ends - reached).days
        return StatedVerdict(
            verdict="cannot_tell", because=(*reasons, because("trial_goes_on")), need=left
        )
    if "broken_off" in trial.limitations:
        return StatedVerdict(verdict="cannot_tell", because=(*reasons, because("trial_broken_off")))
    if found.low is None or found.high is None or found.p is None:
        return StatedVerdict(verdict="cannot_tell", because=tuple(reasons))
    mean = found.mean_difference
    assert mean is not None  # an interval has one
    without = trial.first_day_dropped.mean_difference
    reasons[0] = because(
        "trial_pairs", complete=found.pairs, of=trial.design.pairs, favouring=found.favouring
    )
    reasons.append(
        because("trial_estimate", points=mean, low=found.low, high=found.high, p=found.p)
    )
    if without is not None:
        reasons.append(because("trial_first_day_left_out", points=without))
    if trial.flow.days_not_followed:
        reasons.append(because("trial_days_not_followed", count=trial.flow.days_not_followed))
    verdict: TapeWorth = "cannot_tell"
    if found.p <= LEVEL and without is not None and without * mean > 0:
        verdict = "lower_with_tape" if mean < 0 else "higher_with_tape"
        if found.high <= -POINT or found.low >= POINT:
            reasons.append(because("trial_surely_a_point"))
    elif found.p > LEVEL and found.low >= -POINT and found.high <= POINT:
        verdict = "no_difference"
    return StatedVerdict(verdict=verdict, because=tuple(reasons))


# ---------------------------------------------------------------- anything unsafe?

_UNSAFE_TOLD: dict[UnsafeCode, UnsafeTold] = {
    "silent_after_card": "silent",
    "open_card": "open_card",
    "fall": "fall_or_skin",
    "head_knock": "fall_or_skin",
    "skin": "fall_or_skin",
    "open_sign": "open_sign",
    "step_stopped": "step_or_swelling",
    "woken": "step_or_swelling",
    "swelling": "step_or_swelling",
    "stiff": "step_or_swelling",
    "rising": "rising",
    "signal": "signal",
    "silent": "silent",
}


def unsafe_told(found: Iterable[Unsafe]) -> StatedVerdict[UnsafeTold]:
    """The first thing that may be unsafe, and how many there are of each."""
    counts: dict[UnsafeCode, int] = {}
    for each in found:
        counts[each.code] = counts.get(each.code, 0) + 1
    order = [code for code in get_args(UnsafeCode) if code in counts]
    return StatedVerdict(
        verdict=_UNSAFE_TOLD[order[0]] if order else "none_written",
        because=tuple(because(code, count=counts[code]) for code in order),
    )
