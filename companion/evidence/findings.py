"""Findings: what a diary says of one knee, for the clinician who reads it.

They are computed from the diary and the policy alone, without a clock. The plan in force on a day
is the highest version written on or before it, and before the first of them the lowest version.
Late entries are counted in. Each figure carries its method, number of values, days and facts in
`provenance`; each one that cannot be given has its reason in `cannot_tell`.

A finding is a module here with its minimum, a frozen figure in `figures`, a row in `sources` that
names its facts, its keys in the schema, what it lacks in `cannot_tell`, and outside values in
`tests/oracles`. numpy is imported inside the functions that need it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from companion.care.adherence import days_under_plan
from companion.care.clocks import uncounted
from companion.care.coded import Say
from companion.care.facts import Facts
from companion.care.history import rivals
from companion.care.json_values import JsonObject, JsonValue
from companion.care.policy import Policy
from companion.care.records import Diary, Event, Measurement, Plan, Side, WarningSign
from companion.evidence.activities import activities, troubles
from companion.evidence.chair_stand import OLDEST, YOUNGEST, chair_stands
from companion.evidence.change_model import fits, series_of
from companion.evidence.closed import closed
from companion.evidence.easing import MEDIAN_NEEDED, ease
from companion.evidence.figures import (
    ActivitiesMean,
    Activity,
    Adherence,
    Because,
    CannotTell,
    ChairStand,
    Ease,
    Findings,
    Happened,
    Lack,
    NextMorning,
    OnPaper,
    Period,
    Provenance,
    Unsettled,
    Verdicts,
    Warned,
    Why,
)
from companion.evidence.keeping import adherence, keeping, period
from companion.evidence.limits import REFERENCE_DAYS
from companion.evidence.next_morning import amounts_by_day, next_morning
from companion.evidence.pain import change_unknown, pain, pain_unknown
from companion.evidence.planned_amounts import amount_changes, lacking
from companion.evidence.readings import Readings, is_late_page, readings, sides
from companion.evidence.sources import SOURCES
from companion.evidence.stopped_steps import stopped_steps
from companion.evidence.taping import tape
from companion.evidence.trial_in_diary import trial_of
from companion.evidence.unsafe import unsafe
from companion.evidence.verdicts import (
    better,
    kept_to,
    model_of,
    said_at_the_start,
    tape_worth,
    unsafe_told,
)
from companion.evidence.windows import Windows

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["VERSION", "Findings", "as_json", "figures_as_json", "findings", "sides"]

VERSION = 1
"""Of the findings' JSON; `resources/schemas/findings-1.schema.json` describes it."""

_OF_BOTH_WINDOWS = (
    *("pain.change_points", "pain.change_percent", "pain.low", "pain.high"),
    *("pain.band", "pain.beyond_measurement_error", "pain.scale_end"),
)
_OF_THE_DIARY = (
    *("ease", "tape", "tape.skin_events", "warnings", "stopped_steps", "unsafe", "events"),
    *("on_paper", "chair_stand", "unsettled"),
)
"""Figures over all entries, before the first and after the last day page too."""


def findings(
    diary: Diary,
    side: Side | None = None,
    *,
    policy: Policy,
    read_on: date | None = None,
    with_next_morning: bool = False,
) -> Findings:
    """All findings of one knee of `diary`; without `side`, of the plan's main knee.

    `read_on` is the day up to which keeping and silence are counted, that of the last entry unless
    given; nothing else depends on it. `with_next_morning` asks for what a day's amounts go with in
    the next day's pain; it is off unless asked for, because it is easily taken for a cause.

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
    doing = days_under_plan(record.entries, record.side, record.plans)
    hands = adherence(record.entries, record.side, record.plans, doing, "hands", policy)
    exercise = adherence(record.entries, record.side, record.plans, doing, "exercise", policy)
    shut = closed(record, policy, doing)
    late = {day for day, page in record.pages.items() if is_late_page(page) and day in scores}
    series, doing_series = series_of(scores), troubles(record)
    short_of = lacking(record)
    wanted = (series, None if series is None else series.later(), *short_of, *doing_series)
    fit, later, *others = fits(wanted)
    short_fits, doing_fits = others[: len(short_of)], others[len(short_of) :]
    said = said_at_the_start(record.entries, record.side, series)
    model = model_of(series, fit, later, said)
    hurt = pain(plan.measure, scores, late, span, windows, model)
    mornings, mornings_unknown = _next_mornings(record, scores) if with_next_morning else ((), ())
    easing = ease(record, plan.ease_target_percent)
    each, mean = activities(record, windows, [*zip(doing_series, doing_fits, strict=True)])
    paced = amount_changes(record, [*zip(short_of, short_fits, strict=True)])
    taping = tape(record)
    stands = chair_stands(
        [entry for entry in record.entries if isinstance(entry, Measurement)],
        plan.birth_year,
        plan.sex,
    )
    warnings = tuple(_warnings(record))
    stopped = stopped_steps(record)
    events = tuple(_events(record))
    paper = _on_paper(record)
    open_ends = _unsettled(diary)
    written = max((entry.for_day for entry in record.entries), default=plan.written_on)
    read_to = written if read_on is None else read_on
    trial, trial_unknown = trial_of(record, taping.skin_events, warnings)
    lower = better(record, series, fit, model, said, shut)
    told = unsafe(record, hurt, lower.verdict, taping.skin_events, policy, read_to)
    counts = {
        "period": len(record.pages),
        "diary": kept.days_kept,
        "routine": hands.sessions_done,
        "verdicts.kept": hands.sessions_done + exercise.sessions_done,
        "exercise": exercise.sessions_done,
        "closed": shut.of_days,
        "pain.model": 0 if series is None else len(series.scores),
        "pain.baseline": hurt.baseline.days,
        "pain.latest": hurt.latest.days,
        **dict.fromkeys(_OF_BOTH_WINDOWS, hurt.baseline.days + hurt.latest.days),
        "pain.acceptable_state": hurt.latest.days,
        "pain.trend": hurt.trend.weeks,
        "pain.flares": len(scores),
        "pain.nap": hurt.baseline.days * hurt.latest.days,
        "pain.limits": hurt.limits.days,
        "pain.signals": len(scores),
        "pain.process_chart": hurt.process_chart.days,
        "pain.without_late": 0
        if hurt.without_late is None
        else hurt.without_late.baseline_days + hurt.without_late.latest_days,
        "trial": 0 if trial is None else trial.estimate.pairs,
        "trial.flow": 0 if trial is None else trial.flow.days_recorded,
        "next_morning": sum(each.pairs for each in mornings),
        "ease": easing.sessions_scored,
        "activities": sum(0 if one is None else len(one.scores) for one in doing_series[:-1]),
        "activities_mean": 0 if doing_series[-1] is None else len(doing_series[-1].scores),
        "amounts": sum(each.days for each in paced),
        "tape": taping.applications,
        "tape.skin_events": len(taping.skin_events),
        "warnings": len(warnings),
        "stopped_steps": len(stopped),
        "unsafe": len(told),
        "events": len(events),
        "on_paper": paper.days,
        "unsettled": open_ends.wrong_clock + open_ends.rivals + open_ends.left_out,
        "chair_stand": len(stands),
    }
    days = _days(record, windows)
    tried = (None, None) if trial is None else (trial.design.first_day, trial.design.last_day)
    days["trial"] = days["trial.flow"] = tried
    days["routine"] = days["exercise"] = days["closed"] = doing or (None, None)
    days["verdicts.kept"] = days["routine"]
    days["pain.model"] = (model.first_day, model.last_day)
    whole = (span.first_day, span.last_day)
    return Findings(
        version=VERSION,
        person=plan.person,
        side=record.side,
        plan_version=plan.version,
        verdicts=Verdicts(
            better=lower,
            kept=kept_to(record, policy, read_to),
            tape=tape_worth(trial),
            unsafe=unsafe_told(told),
        ),
        period=span,
        diary=kept,
        routine=hands,
        exercise=exercise,
        closed=shut,
        pain=hurt,
        ease=easing,
        activities=each,
        activities_mean=mean,
        amounts=paced,
        tape=taping,
        trial=trial,
        next_morning=mornings,
        warnings=warnings,
        stopped_steps=stopped,
        unsafe=told,
        read_on=read_to,
        events=events,
        on_paper=paper,
        unsettled=open_ends,
        chair_stand=stands,
        cannot_tell=(
            *pain_unknown(hurt, span, windows, scores),
            *_doing_unknown("routine", hands),
            *_doing_unknown("exercise", exercise),
            *_ease_unknown(easing),
            *_activities_unknown(each, mean, span, windows),
            *_chair_stand_unknown(stands, plan),
            *_not_asked(paper, warnings=warnings, stopped_steps=stopped, events=events),
            *trial_unknown,
            *mornings_unknown,
        ),
        provenance={
            key: Provenance(
                method=known.method,
                n=counts[key],
                first_day=days.get(key, whole)[0],
                last_day=days.get(key, whole)[1],
                facts=known.facts,
            )
            for key, known in SOURCES.items()
        },
    )


def _days(record: Readings, windows: Windows | None) -> dict[str, tuple[date | None, date | None]]:
    """First and last day of what a figure rests on, where that is not the period."""
    written = [entry.for_day for entry in record.entries]
    diary_days = (min(written, default=None), max(written, default=None))
    found: dict[str, tuple[date | None, date | None]] = dict.fromkeys(_OF_THE_DIARY, diary_days)
    if windows is not None:
        found["pain.baseline"] = windows.baseline
        found["pain.latest"] = found["pain.acceptable_state"] = windows.latest
        usual_from = windows.last_day - timedelta(days=REFERENCE_DAYS - 1)
        found["pain.limits"] = (usual_from, windows.last_day)
    return found


def as_json(found: Findings, facts: Facts, say: Say) -> JsonObject:
    """The findings as JSON values, keys as in the schema; days ISO, what is not known null.

    Each figure's `provenance` says its method and the sources of its facts, and names the letter of
    the least sure.
    """
    provenance = {
        key: {
            **_object(made),
            "method": say(made.method),
            "source": "; ".join(fact.named for fact in facts.sources(made.facts)),
            "status": facts.least_firm(made.facts),
        }
        for key, made in found.provenance.items()
    }
    return {**figures_as_json(found), "provenance": provenance}


def figures_as_json(found: Findings) -> JsonObject:
    """The same without `provenance`."""
    return {key: value for key, value in _object(found).items() if key != "provenance"}


def _object(figure: "DataclassInstance") -> JsonObject:
    return {field.name: _plain(getattr(figure, field.name)) for field in fields(figure)}


def _plain(value: Any) -> JsonValue:
    if isinstance(value, Because):
        return {"code": value.code, **value.numbers}
    if is_dataclass(value) and not isinstance(value, type):
        return _object(value)
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value.isoformat() if isinstance(value, date) else value


# ---------------------------------------------------------------- next morning


def _next_mornings(
    record: Readings, scores: Mapping[date, int]
) -> tuple[tuple[NextMorning, ...], tuple[CannotTell, ...]]:
    pages = (page for day in sorted(record.person_pages) for page in record.person_pages[day])
    figures: list[NextMorning] = []
    unknown: list[CannotTell] = []
    by_amount = amounts_by_day(pages)
    for (label, unit), amounts in by_amount.items():
        figure, gap = next_morning(label, unit, amounts, scores, of=len(by_amount))
        figures.append(figure)
        if gap is not None:
            unknown.append(CannotTell("next_morning.points", *gap, label))
    return tuple(figures), tuple(unknown)


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
                told=entry.told,
                told_by=entry.told_by,
                told_on=entry.told_on,
            )


def _events(record: Readings) -> Iterator[Happened]:
    for entry in record.entries:
        if isinstance(entry, Event) and entry.side in {None, record.side}:
            yield Happened(day=entry.for_day, what=entry.what, side=entry.side, note=entry.note)


def _unsettled(diary: Diary) -> Unsettled:
    wrong = [entry.for_day for entry in uncounted(diary)]
    return Unsettled(
        wrong_clock=len(wrong),
        first_day=min(wrong, default=None),
        last_day=max(wrong, default=None),
        rivals=len(rivals(diary.entries)),
        left_out=diary.left_out,
    )


def _on_paper(record: Readings) -> OnPaper:
    at_home = [entry for entry in record.entries if entry.written_by != "clinic"]
    copied = [entry for entry in at_home if entry.written_by == "paper"]
    return OnPaper(
        days=len({entry.for_day for entry in copied}),
        alone=bool(copied) and len(copied) == len(at_home),
    )


# ---------------------------------------------------------------- what cannot be told


def _not_asked(paper: OnPaper, **found: tuple[object, ...]) -> Iterator[CannotTell]:
    """What the paper table has no column for (exchange/FORMAT.md): none of it is no news there."""
    for finding, written in found.items():
        if paper.alone and not written:
            yield CannotTell(finding, "not_asked_on_paper", 0, 1)


def _doing_unknown(key: str, found: Adherence) -> Iterator[CannotTell]:
    if found.done_percent is not None:
        return
    why: Why
    if found.sessions_prescribed == 0:
        why = "nothing_prescribed"
    elif found.first_day is None:
        why = "no_entry_under_plan"
    else:
        why = "too_few_for_one_prescribed" if found.days_counted else "every_day_left_out"
    for figure in ("sessions_prescribed", "done_percent"):
        if getattr(found, figure) is None:
            yield CannotTell(f"{key}.{figure}", why, 0, 1)


def _ease_unknown(found: Ease) -> Iterator[CannotTell]:
    for key, value, need in (
        ("ease.met_percent", found.met_percent, 1),
        ("ease.median_percent", found.median_percent, MEDIAN_NEEDED),
    ):
        if value is None:
            have = found.sessions_scored
            yield CannotTell(key, "too_few_sessions", have, need)


def _activities_unknown(
    each: tuple[Activity, ...], mean: ActivitiesMean, span: Period, windows: Windows | None
) -> Iterator[CannotTell]:
    for item in each:
        if item.change is None:
            days = min(item.baseline_days, item.latest_days)
            lack = change_unknown(span, windows, days) or Lack("no_day_pages", 0, 1)
            yield CannotTell("activities.change", *lack, label=item.label)
    if each and mean.change is None:
        most = max(min(item.baseline_days, item.latest_days) for item in each)
        lack = change_unknown(span, windows, most) or Lack("no_day_pages", 0, 1)
        if windows is not None and not mean.labels:
            lack = Lack("no_activity_in_both_windows", 0, 1)
        yield CannotTell("activities_mean.change", *lack)


def _chair_stand_unknown(stands: tuple[ChairStand, ...], plan: Plan) -> Iterator[CannotTell]:
    """Why the last chair stand is neither below average nor not."""
    if not stands or stands[-1].below_average is not None:
        return
    key, birth_year = "chair_stand.below_average", plan.birth_year
    if birth_year is None:
        yield CannotTell(key, "birth_year_not_in_plan", 0, 1)
        return
    age = stands[-1].day.year - birth_year
    if age - 1 < YOUNGEST or age > OLDEST:
        young = age - 1 < YOUNGEST
        yield CannotTell(
            key, "no_value_for_age", age - 1 if young else age, YOUNGEST if young else OLDEST
        )
        return
    why: Why = "sex_not_in_plan" if plan.sex is None else "day_of_birth_not_in_plan"
    yield CannotTell(key, why, 0, 1)
