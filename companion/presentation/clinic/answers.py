"""The clinic's six answers, as rows of numbers, each with its days and its source.

Means have one decimal and are shown raw where no change can be told. What cannot be told says what
it lacks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING, Literal, get_args

from companion.care.bad_days import bad_days, by_version
from companion.care.day_answers import value_of
from companion.care.days import diary_day
from companion.care.dose import dose_today
from companion.care.history import instant, rivals
from companion.care.levels import PARTS
from companion.care.open_things import open_things
from companion.care.policy import Policy
from companion.care.records import (
    AnyEntry,
    DayPage,
    Event,
    Outing,
    Part,
    Plan,
    ScoringTaught,
    Session,
    Side,
    newest_in_force,
)
from companion.care.scoring_taught import first_ten_run
from companion.evidence.figures import (
    Adherence,
    AmountChange,
    ChairStand,
    Closed,
    ClosedReason,
    Findings,
    PublishedRow,
    SkinSource,
    StoppedStep,
    Unsafe,
    UnsafeCode,
    Warned,
    Why,
)
from companion.presentation.clinic.told_apart import rivals_words
from companion.presentation.clinic.unsafe_words import UNSAFE
from companion.presentation.home.record_view import medicine_by_day
from companion.presentation.language import codes
from companion.presentation.language.caution_words import (
    answered_yes,
    not_asked_words,
    yes_words,
)
from companion.presentation.language.code_table import CodeTable, capital, inside
from companion.presentation.language.fact_words import short_source
from companion.presentation.language.field_words import key_words
from companion.presentation.language.figures_in_words import (
    one_decimal,
    signed,
    whole_percent,
)
from companion.presentation.language.phrases import (
    dated,
    in_figures,
    joined,
    listed,
    parted,
    phrase,
    short_day,
)
from companion.presentation.language.plan_changes import (
    move_words,
    plan_changes,
    replacement_words,
    side_of,
)
from companion.presentation.language.trial_words import trial_words
from companion.presentation.language.unsigned_words import unsigned_for_clinic
from companion.presentation.language.verdict_words import (
    TAPE,
    able_words,
    amount_words,
    better_words,
    kept_words,
)
from companion.presentation.language.words import answer_words, became_words, dose_why
from companion.presentation.view.chart import DaySpan

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue
from companion.care.facts import Facts

WINDOW_DAYS = 14


@dataclass(frozen=True, slots=True)
class Cell:
    """What a row says of one knee: the number itself, set strong, and the words after it."""

    lead: str
    rest: str = ""

    @property
    def words(self) -> str:
        """Both, as read aloud."""
        return f"{self.lead} {self.rest}".strip()


@dataclass(frozen=True, slots=True)
class AnswerRow:
    """One line of an answer: a cell for each knee, or one cell that spans them all.

    Where a page is full, `brief` cells stand in place of the others, where there are any; a row
    that is `spare` says that there is nothing to say, and goes.
    """

    label: str
    cells: tuple[Cell, ...]
    spare: bool = False
    brief: tuple[Cell, ...] = ()

    @classmethod
    def of(cls, label: str, lead: str, rest: str = "", *, spare: bool = False) -> AnswerRow:
        return cls(label, (Cell(lead, rest),), spare)


@dataclass(frozen=True, slots=True)
class ReviewQuestion:
    """One of the clinic's questions with its rows; `notes` are whole sentences, `signed` says on a
    screen, under the rows, that nobody licensed signed their wording."""

    question: str
    rows: tuple[AnswerRow, ...]
    notes: tuple[str, ...] = ()
    signed: str = ""


@dataclass(frozen=True, slots=True)
class KneeFindings:
    """One knee's findings beside the entries that count; `pages` and `sessions` are its own."""

    found: Findings
    entries: tuple[AnyEntry, ...]
    pages: Mapping[date, DayPage]
    sessions: tuple[Session, ...]
    rivals: tuple[tuple[AnyEntry, ...], ...] = ()
    """What was told differently in the whole diary, each group with what counts as its last."""

    @property
    def side(self) -> Side:
        return self.found.side


def knee_of(
    found: Findings, entries: tuple[AnyEntry, ...], every: Sequence[AnyEntry] = ()
) -> KneeFindings:
    """Gather one knee; `entries` are those that count, of the whole diary. Of `every` entry as it
    was written what was told differently is named."""
    return KneeFindings(
        found=found,
        entries=entries,
        pages={e.for_day: e for e in entries if isinstance(e, DayPage) and e.side == found.side},
        sessions=tuple(e for e in entries if isinstance(e, Session) and e.side == found.side),
        rivals=rivals(every) if found.unsettled.rivals else (),
    )


def clinic_answers(
    knees: Sequence[KneeFindings], plans: Sequence[Plan], period: DaySpan, catalogue: Catalogue
) -> tuple[ReviewQuestion, ...]:
    """The six answers in their order, over `knees` (the main one first; at least one)."""
    plan = newest_in_force(plans)
    return (
        _better(knees, plan, catalogue.facts),
        _keeping(knees, plans, period, catalogue),
        _tape(knees, plan),
        _unsafe(knees, catalogue),
        _other_care(knees, plan, period, catalogue),
        _versions(plans, catalogue),
    )


def by_knee(
    label: str, knees: Sequence[KneeFindings], cell: Callable[[KneeFindings], Cell | None]
) -> AnswerRow | None:
    """A row with a cell for each knee, one where all say the same; None when there is nothing for
    any of them."""
    cells = [cell(knee) for knee in knees]
    if all(words is None for words in cells):
        return None
    found = tuple(Cell("", phrase("not recorded")) if c is None else c for c in cells)
    return AnswerRow(label, found[:1] if len(set(found)) == 1 else found)


def _in_brief(
    label: str,
    knees: Sequence[KneeFindings],
    cell: Callable[[KneeFindings], Cell | None],
    brief: Callable[[KneeFindings], Cell | None],
) -> AnswerRow | None:
    """The same, with cells that say less where a page is full."""
    whole, less = by_knee(label, knees, cell), by_knee(label, knees, brief)
    return whole if whole is None or less is None else replace(whole, brief=less.cells)


def rows_of(*rows: AnswerRow | None) -> tuple[AnswerRow, ...]:
    """The rows that are there."""
    return tuple(row for row in rows if row is not None)


# ---------------------------------------------------------------- better


def _better(knees: Sequence[KneeFindings], plan: Plan, facts: Facts) -> ReviewQuestion:
    activities = tuple(_activities(knees))
    stands = _chair_stand(knees)
    hands = by_knee(phrase("After hands"), knees, _after_hands)
    notes = [
        phrase(
            "Pain 0 to 10, {measure}, by one model of all days; ranges 95 %. The first days are "
            "already under treatment.",
            measure=codes.MEASURES[plan.measure].clinic,
        )
    ]
    if activities:
        notes.append(phrase("Activities: 10 is as before; the same model."))
    if hands is not None:
        notes.append(
            phrase(
                "After hands: scored at once; politeness of 2 points alone makes 90 in 100 lower."
            )
        )
    if stands is not None:
        notes.append(_stand_note(knees[0].found, plan, facts))
    return ReviewQuestion(
        question=phrase("Better?"),
        rows=rows_of(
            by_knee(phrase("Pain"), knees, _pain),
            *activities,
            stands,
            by_knee(phrase("Check move"), knees, _eased),
            hands,
            _scoring_taught(knees[0].entries),
        ),
        notes=(phrase("Check move: {move}.", move=move_words(plan.check_move)), *notes)
        if any(knee.sessions for knee in knees)
        else tuple(notes),
    )


def _pain(knee: KneeFindings) -> Cell | None:
    if knee.found.period.days == 0:
        return None
    return Cell(*better_words(knee.found.verdicts.better, knee.found.pain.model))


def _after_hands(knee: KneeFindings) -> Cell | None:
    """Scored at once by whoever did it: what politeness alone would show stands beside it."""
    counts = _counted(hands_counts(knee.sessions))
    if counts is None:
        return None
    polite = phrase("{counts}; politeness alone: 90 in 100 lower", counts=counts.rest)
    return replace(counts, rest=polite)


def _eased(knee: KneeFindings) -> Cell | None:
    ease = knee.found.ease
    if not ease.sessions and not ease.not_comparable:
        return None
    parts = [
        phrase(
            "session eased by {target}\u00a0% or more",
            "sessions eased by {target}\u00a0% or more",
            n=ease.sessions_scored,
            target=ease.target_percent,
        )
    ]
    if ease.median_percent is not None:
        parts.append(phrase("median {percent}", percent=whole_percent(ease.median_percent)))
    elif ease.sessions_scored:
        parts.append(phrase("median: cannot tell, 6 sessions needed"))
    if ease.not_comparable:
        parts.append(phrase("{n} done differently, left out", n=ease.not_comparable))
    return Cell(
        phrase("{met} of {scored}", met=ease.met, scored=ease.sessions_scored), listed(parts)
    )


def _scoring_taught(entries: Iterable[AnyEntry]) -> AnswerRow | None:
    """The newest words by which the clinic taught what 0 and 10 are."""
    taught = [entry for entry in entries if isinstance(entry, ScoringTaught)]
    if not taught:
        return None
    newest = max(taught, key=lambda entry: entry.for_day)
    words = short_day(newest.for_day) + _quoted(newest.words)
    return AnswerRow.of(phrase("Scoring, as taught"), "", words)


def _activities(knees: Sequence[KneeFindings]) -> Iterable[AnswerRow]:
    """Activities belong to the person; where the knees' periods differ each keeps its column."""
    labels: dict[str, None] = {}
    for knee in knees:
        labels.update(dict.fromkeys(activity.label for activity in knee.found.activities))
    for label in labels:
        row = by_knee(label, knees, partial(_activity, label))
        if row is not None:
            yield replace(row, label=capital(label))
    row = by_knee(phrase("Mean of activities"), knees, _activities_mean)
    if row is not None:
        yield row
    # What the plan paces is the person's too, and the same for both knees.
    for amount in knees[0].found.amounts:
        if amount.model.change is not None:
            yield AnswerRow(amount_label(amount), (Cell(*amount_words(amount)),))


def amount_label(amount: AmountChange) -> str:
    """`Walk to the fish quay, m a day`."""
    return phrase("{label}, {unit} a day", label=capital(amount.label), unit=amount.unit)


def _activity(label: str, knee: KneeFindings) -> Cell | None:
    activity = next((each for each in knee.found.activities if each.label == label), None)
    if activity is None or (activity.baseline is None and activity.latest is None):
        return None
    return Cell(*able_words(activity.verdict, activity.model))


def _activities_mean(knee: KneeFindings) -> Cell | None:
    mean = knee.found.activities_mean
    if mean.model.change is None or len(knee.found.activities) < 2:
        return None
    return Cell(*able_words(mean.verdict, mean.model))


def _chair_stand(knees: Sequence[KneeFindings]) -> AnswerRow | None:
    stands = knees[0].found.chair_stand
    if not stands:
        return None
    last = stands[-1]
    # A change is one from the first without arms, so that one is told beside it.
    first = stands[0] if last.change is None else next(s for s in stands if not s.arms_used)
    told = [_stand(stand) for stand in (stands if len(stands) == 1 else (first, last))]
    words = phrase("in 30 s; {stands}", stands=parted(told))
    if last.change is not None and len(stands) > 1:
        words = phrase(
            "{words}; change {change}, {error}",
            words=words,
            change=signed(last.change, "1"),
            error=phrase("of which practice gives about 1")
            if last.beyond_measurement_error
            else phrase("may be chance"),
        )
    return AnswerRow.of(phrase("Chair stand"), str(last.count), words)


def _stand(stand: ChairStand) -> str:
    if stand.arms_used:
        return phrase(
            "{day}: {count} with arms, score 0", day=short_day(stand.day), count=stand.count
        )
    return phrase("{day}: {count}", day=short_day(stand.day), count=stand.count)


def _stand_note(found: Findings, plan: Plan, facts: Facts) -> str:
    """The newest chair stand beside the published table, and what of a change may be chance."""
    last = found.chair_stand[-1]
    if last.below_average is None:
        return phrase(
            "Chair stand: cannot tell if below average: {why}; real is +3 or more in one session, "
            "of which practice gives about 1 ({error}).",
            error=short_source(facts, "chair_stand_change"),
            why=why_not(found, "chair_stand.below_average"),
        )
    return phrase(
        "Chair stand {score}, {verdict}: {rows} ({table}), a table about falls, no grade of a "
        "knee; real is +3 or more in one session, of which practice gives about 1 ({error}).",
        table=short_source(facts, "chair_stand_table"),
        error=short_source(facts, "chair_stand_change"),
        score=last.score,
        verdict=phrase("below average") if last.below_average else phrase("not below average"),
        rows=joined(_row_words(row, plan) for row in last.published),
    )


def _row_words(row: PublishedRow, plan: Plan) -> str:
    if plan.sex is None:
        return phrase(
            "under {men} (men), {women} (women) at {young} to {old}",
            young=row.age_from,
            old=row.age_to,
            men=row.men,
            women=row.women,
        )
    return phrase(
        "under {limit} for {people} of {young} to {old}",
        people=phrase("men") if plan.sex == "male" else phrase("women"),
        young=row.age_from,
        old=row.age_to,
        limit=row.men if plan.sex == "male" else row.women,
    )


_WHY: CodeTable[Why, str] = CodeTable(
    Why,
    {
        "no_day_pages": "no day page yet",
        "too_few_recorded_days": "{have} recorded days in a window, {need} needed",
        "windows_share_days": (
            "first and last 14 days share days; {have} days so far, {need} needed"
        ),
        "baseline_zero": "the first mean is 0",
        "not_asked_on_paper": "not asked on paper",
        "nothing_prescribed": "nothing is prescribed",
        "no_entry_under_plan": "no entry under a plan yet",
        "every_day_left_out": "every day was left out",
        "too_few_for_one_prescribed": "too few days for one that was prescribed",
        "too_few_sessions": "{have} sessions, {need} needed",
        "too_few_earlier_days": "{have} earlier days, {need} needed",
        "no_activity_in_both_windows": "no activity in both windows",
        "no_value_for_age": "no published value for this age",
        "birth_year_not_in_plan": "birth year not in the plan",
        "sex_not_in_plan": "sex not in the plan",
        "day_of_birth_not_in_plan": "the day of birth decides between two rows",
        "too_few_usable_weeks": "{have} usable weeks, {need} needed",
        "no_score_on_last_day": "no score on the last day",
        "no_two_days_running": "no two days running",
        "rise_not_recordable": "a rise of 2 cannot be recorded",
        "too_few_day_pairs": "{have} pairs of days, {need} needed",
        "amount_never_varies": "the amount never varies",
        "scores_never_vary": "the scores never vary",
        "amount_not_separable": ("the amount goes with the time or the day before"),
        "too_few_complete_pairs": "{have} complete pairs, {need} needed",
        "schedule_not_as_fixed": "the schedule is not the one that was fixed",
    },
)


def why_not(found: Findings, key: str) -> str:
    """Why a finding is not given, with what there is and what it takes."""
    for gap in found.cannot_tell:
        if gap.finding == key:
            return _WHY.said(gap.why, have=in_figures(gap.have), need=in_figures(gap.need))
    return phrase("too little was recorded")


# ---------------------------------------------------------------- keeping to it


def _keeping(
    knees: Sequence[KneeFindings], plans: Sequence[Plan], period: DaySpan, catalogue: Catalogue
) -> ReviewQuestion:
    today, policy = period.last_day, catalogue.policy
    return ReviewQuestion(
        question=phrase("Keeping to it?"),
        rows=rows_of(
            by_knee(
                phrase("Weeks kept"),
                knees,
                lambda knee: Cell(*kept_words(knee.found.verdicts.kept, knee.found.read_on)),
            ),
            _closed(knees, catalogue),
            by_knee(phrase("Dose now"), knees, lambda knee: _dose_now(knee, plans, today, policy)),
            by_knee(phrase("Bad days"), knees, lambda knee: _bad_days(knee, plans, today, policy)),
            by_knee(phrase("Day pages"), knees, _pages_kept),
            _open_row(knees, plans, policy),
            unsettled(knees[0], catalogue),
        ),
        notes=(
            phrase(
                "Weeks count to the day of reading. Days may be missing because they were bad or "
                "good. Which days are left out is our choice."
            ),
        ),
    )


def _open_row(
    knees: Sequence[KneeFindings], plans: Sequence[Plan], policy: Policy
) -> AnswerRow | None:
    """What was open when the diary ends, told by the owner of it; it goes where a page is full."""
    row = by_knee(phrase("Open now"), knees, lambda knee: _open_now(knee, plans, policy))
    return None if row is None else replace(row, spare=True)


def _open_now(knee: KneeFindings, plans: Sequence[Plan], policy: Policy) -> Cell | None:
    ends = max((entry.written_at for entry in knee.entries), key=instant, default=None)
    if ends is None or ends.tzinfo is None:
        return None
    things = open_things(
        newest_in_force(plans),
        knee.entries,
        today=diary_day(ends),
        now=ends,
        zone=ends.tzinfo,
        policy=policy,
    )
    told = [
        codes.OPEN_THINGS[one.code]
        .filled(
            at="" if one.at is None else short_day(one.at.date()),
            day="" if one.day is None else short_day(one.day),
        )
        .clinic
        for one in things
        if one.side in (None, knee.side)
    ]
    return Cell("", parted(dict.fromkeys(told))) if told else None


def _dose_now(
    knee: KneeFindings, plans: Sequence[Plan], today: date, policy: Policy
) -> Cell | None:
    """Today's dose and why; None where nothing was answered about any routine."""
    said = [one.after_last for one in knee.sessions if one.after_last is not None]
    if not said:
        return None
    plan = newest_in_force(plans)
    dose = dose_today(policy, plan, knee.entries, knee.side, today)
    parts = []
    if dose.rounds < plan.rounds and plan.techniques:
        parts.append(phrase("rounds {now} of {planned}", now=dose.rounds, planned=plan.rounds))
    if dose.steps and plan.exercises:
        planned = sum(one.repeats for one in plan.exercises)
        parts.append(phrase("repeats {now} of {planned}", now=sum(dose.repeats), planned=planned))
    more = said.count("more_next_morning")
    if more:
        parts.append(phrase("more next morning {more} of {n} times", more=more, n=len(said)))
    lead = dose_why(dose.why, plan, policy).clinic
    if dose.why in ("more_next_morning_2_of_3", "given_back") and dose.steps:
        lead = phrase("{n} step down", "{n} steps down", n=dose.steps)
    return Cell(phrase("{why};", why=lead) if parts else lead, listed(parts))


def _bad_days(
    knee: KneeFindings, plans: Sequence[Plan], today: date, policy: Policy
) -> Cell | None:
    """How many sessions were bad days, by which mark, and the bad spell under way."""
    scored = [one for one in knee.sessions if one.place == "home" and one.moves]
    if not scored:
        return None
    bad = bad_days(policy, by_version(plans), knee.entries, knee.side, today)
    count = sum(one.reason == "bad_day" for one in scored)
    parts = [phrase("no mark") if bad.mark is None else phrase("mark {n}", n=bad.mark)]
    if bad.usual is not None:
        parts.append(phrase("usual score {n}", n=in_figures(bad.usual)))
    if bad.spell is not None:
        parts.append(phrase("bad spell since {day}", day=short_day(bad.spell.since)))
        if bad.spell.call is not None:
            parts.append(codes.SPELL_CALLS[bad.spell.call].clinic)
    return Cell(phrase("{n} of {of} scored,", n=count, of=len(scored)), parted(parts))


def _closed(knees: Sequence[KneeFindings], catalogue: Catalogue) -> AnswerRow | None:
    """What was closed; in brief what closed most, and the rules by which the rest did."""
    return _in_brief(
        phrase("Closed"),
        knees,
        lambda knee: closed_by_rule(knee.found.closed, catalogue),
        lambda knee: _closed_in_brief(knee.found.closed, catalogue),
    )


def closed_by_rule(closed: Closed, catalogue: Catalogue) -> Cell | None:
    """On how many days anything was closed, and by what, each with its rule; None for none."""
    if not closed.days:
        return None
    by = []
    for one in closed.by:
        told = _parts_words(one.parts)
        if one.days != closed.days:
            told = phrase("{parts}, {n} day", "{parts}, {n} days", n=one.days, parts=told)
        what = _what_closed(one, catalogue)
        by.append(phrase("{what} ({told}; rule {rule})", what=what, told=told, rule=_rule(one)))
    return Cell(_days_closed(closed), phrase("by: {what}", what=parted(by)))


def _closed_in_brief(closed: Closed, catalogue: Catalogue) -> Cell | None:
    if not closed.days:
        return None
    first, *others = closed.by
    words = phrase(
        "by: {what} (rule {rule})", what=_what_closed(first, catalogue), rule=_rule(first)
    )
    rules = sorted({_rule(one) for one in others} - {_rule(first)})
    if rules:
        words = phrase("{first}; also by rule {rules}", first=words, rules=joined(map(str, rules)))
    return Cell(_days_closed(closed), words)


def _days_closed(closed: Closed) -> str:
    return phrase("{n} of {of} days,", n=closed.days, of=closed.of_days)


def _rule(one: ClosedReason) -> int:
    """The rule by its number: by that it is found in the printed policy."""
    return int(one.rule.removeprefix("r"))


def _parts_words(parts: Sequence[Part]) -> str:
    if {*parts} == {*PARTS}:
        return phrase("everything")
    return joined(codes.PARTS[part].clinic for part in parts)


def _what_closed(one: ClosedReason, catalogue: Catalogue) -> str:
    if one.sign is not None:
        first, _, _ = key_words("sign", one.sign, catalogue).partition(". ")
        return phrase("“{words}”", words=first.rstrip("."))
    state = "" if one.state is None else phrase(codes.DAY_STATES[one.state])
    if one.caution is None:
        return state
    words = phrase("“{words}”", words=key_words("caution", one.caution, catalogue))
    return phrase("{state}, {why}", state=state, why=words) if state else words


def done_of_prescribed(part: Adherence) -> Cell:
    """The days done of those prescribed, above and below the line the same days; those done on
    days left out are named beside them. A percent only where it can be one."""
    done = part.sessions_done - part.done_on_days_left_out
    asked = part.sessions_prescribed
    if asked == 0:
        if not part.sessions_done:
            return Cell("", phrase("not prescribed"))
        lead = phrase("{n} day done,", "{n} days done,", n=part.sessions_done)
        return Cell(lead, phrase("none prescribed"))
    if asked is None:
        lead, words = phrase("cannot tell:"), _not_counted(part)
        if done:
            words = phrase("{n} day done; {words}", "{n} days done; {words}", n=done, words=words)
    elif done > asked or part.done_percent is None:
        lead = phrase("{n} day done,", "{n} days done,", n=done)
        words = phrase("{asked} prescribed", asked=asked)
    else:
        lead = phrase("{done} of {asked}", done=done, asked=asked)
        words = phrase(
            "prescribed day, {percent}",
            "prescribed days, {percent}",
            n=asked,
            percent=whole_percent(100 * done / asked),
        )
    if part.stopped or part.left:
        words = phrase(
            "{words}; {stopped} stopped, {left} left unfinished",
            words=words,
            stopped=part.stopped,
            left=part.left,
        )
    left_out = [
        phrase("{n} {why}", n=days, why=why)
        for days, why in (
            (part.days_without_plan, phrase("without a plan")),
            (part.days_locked, phrase("closed")),
            (part.days_resting, phrase("rest")),
            (part.days_taped, phrase("taped")),
            (part.days_in_trial, phrase("tape trial")),
        )
        if days
    ]
    if left_out:
        words = phrase("{words}; left out: {days}", words=words, days=listed(left_out))
    if part.done_on_days_left_out:
        words = phrase("{words}; done on {n} of these", words=words, n=part.done_on_days_left_out)
    return Cell(lead, words)


def _not_counted(part: Adherence) -> str:
    if part.first_day is None:
        return phrase("nothing was written under a plan for this knee")
    if not part.days_counted:
        return phrase("every day is left out")
    return phrase(
        "{n} day is too few for a prescribed one",
        "{n} days are too few for a prescribed one",
        n=part.days_counted,
    )


_MOST_NAMED = 3


def unsettled(knee: KneeFindings, catalogue: Catalogue) -> AnswerRow | None:
    """What of the diary counts in no figure, and what was told differently; None for most."""
    open_ends = knee.found.unsettled
    parts = []
    if open_ends.wrong_clock:
        parts.append(
            phrase(
                "{n} entry under a wrong clock, not counted",
                "{n} entries under a wrong clock, not counted",
                n=open_ends.wrong_clock,
            )
        )
    if open_ends.rivals:
        parts.append(
            phrase(
                "{n} thing told in two ways, the later counted",
                "{n} things told in two ways, the later counted",
                n=open_ends.rivals,
            )
        )
        named = [rivals_words(group, catalogue) for group in knee.rivals[:_MOST_NAMED]]
        if named:
            parts[-1] = phrase("{words} ({named})", words=parts[-1], named=listed(named))
    if open_ends.left_out:
        parts.append(
            phrase(
                "{n} entry that does not fit the rest, left out",
                "{n} entries that do not fit the rest, left out",
                n=open_ends.left_out,
            )
        )
    return AnswerRow.of(phrase("Not settled"), "", parted(parts)) if parts else None


def _pages_kept(knee: KneeFindings) -> Cell | None:
    """Pages of the days up to the day of reading; today's may still come."""
    kept, period = knee.found.diary, knee.found.period
    if period.first_day is None or period.last_day is None:
        return None
    last_day = max(period.last_day, knee.found.read_on - timedelta(days=1))
    days = (last_day - period.first_day).days + 1
    missing = whole_percent(100 - 100 * kept.days_kept / days)
    words = phrase("days; missing {missing}", missing=missing)
    gap = max(kept.longest_gap_days or 0, (last_day - period.last_day).days)
    if gap:
        words = phrase(
            "{words}, longest gap {n} day", "{words}, longest gap {n} days", n=gap, words=words
        )
    if kept.late_entries:
        words = phrase("{words}; {late} written late", words=words, late=kept.late_entries)
    put_right = sum(one.replaces is not None for one in (*knee.pages.values(), *knee.sessions))
    if put_right:
        words = phrase("{words}; {n} put right later", n=put_right, words=words)
    return Cell(phrase("{kept} of {days}", kept=kept.days_kept, days=days), words)


# ---------------------------------------------------------------- tape


@dataclass(frozen=True, slots=True)
class ScoreCounts:
    """How many times a later score was lower, the same or higher than the one before it."""

    lower: int
    same: int
    higher: int

    @property
    def total(self) -> int:
        """All that could be compared."""
        return self.lower + self.same + self.higher


def hands_counts(sessions: Iterable[Session]) -> ScoreCounts:
    """Before score against the last score after hands alone, where the two compare."""
    return _counts(
        (before, hands)
        for before, hands, _ in map(_three_scores, sessions)
        if before is not None and hands is not None
    )


def tape_counts(sessions: Iterable[Session]) -> ScoreCounts:
    """The last score without tape against the last one with it, where the two compare."""
    pairs: list[tuple[int, int]] = []
    for before, hands, taped in map(_three_scores, sessions):
        bare = before if hands is None else hands
        if bare is not None and taped is not None:
            pairs.append((bare, taped))
    return _counts(pairs)


def _three_scores(session: Session) -> tuple[int | None, int | None, int | None]:
    if not session.comparable:
        return None, None, None
    last = {move.role: move.score for move in session.moves}
    return last.get("before"), last.get("after_hands"), last.get("after_tape")


def _counts(pairs: Iterable[tuple[int, int]]) -> ScoreCounts:
    lower = same = higher = 0
    for first, later in pairs:
        lower += later < first
        same += later == first
        higher += later > first
    return ScoreCounts(lower, same, higher)


def _tape(knees: Sequence[KneeFindings], plan: Plan) -> ReviewQuestion:
    outings = [entry for entry in knees[0].entries if isinstance(entry, Outing)]
    taped = (
        (plan.tape.highest > 0 and plan.tape.when != "never")
        or bool(outings)
        or any(knee.found.tape.applications or knee.found.trial for knee in knees)
    )
    if not taped:
        return ReviewQuestion(
            question=phrase("Tape worth it?"),
            rows=(
                AnswerRow.of(phrase("Tape"), "", phrase("none in this plan, and none was put on")),
            ),
        )
    tried = any(knee.found.trial is not None for knee in knees)
    return ReviewQuestion(
        question=phrase("Tape worth it?"),
        rows=rows_of(
            by_knee(phrase("Tape"), knees, _worth),
            by_knee(
                phrase("After added tape"),
                knees,
                lambda knee: (
                    _counted(tape_counts(knee.sessions))
                    or Cell(phrase("cannot tell:"), phrase("no session was scored with added tape"))
                ),
            ),
            by_knee(phrase("Wear"), knees, _worn),
            AnswerRow(phrase("Outings"), (_outings(outings),)) if outings else None,
        ),
        notes=(
            phrase(
                "In the trial chance chose the days with tape. The other rows are counts, and "
                "cannot tell tape from time or from hands."
            )
            if tried
            else phrase("The rows are counts, and cannot tell tape from time or from hands."),
        ),
    )


def _worth(knee: KneeFindings) -> Cell:
    if knee.found.trial is None:
        none = TAPE["no_trial"]
        return Cell(none.lead, none.line)
    return Cell(*trial_words(knee.found.trial, knee.found.verdicts.tape))


def _counted(counts: ScoreCounts) -> Cell | None:
    if not counts.total:
        return None
    return Cell(
        phrase("{lower} of {total} lower,", lower=counts.lower, total=counts.total),
        phrase("{same} same, {higher} higher", same=counts.same, higher=counts.higher),
    )


def _worn(knee: KneeFindings) -> Cell:
    tape = knee.found.tape
    words = phrase(
        "time on, {days} days worn, {overdue} off after it was due",
        "times on, {days} days worn, {overdue} off after it was due",
        n=tape.applications,
        days=tape.days_worn,
        overdue=tape.overdue,
    )
    if tape.end_not_known:
        words = phrase("{words}, {n} of unknown end", words=words, n=tape.end_not_known)
        if knee.found.on_paper.alone:
            words = phrase("{words}: not asked on paper", words=words)
    return Cell(str(tape.applications), words)


def _outings(outings: Sequence[Outing]) -> Cell:
    ended = [outing.ended_because for outing in outings]
    return Cell(
        phrase("{n}:", n=len(outings)),
        phrase(
            "{taped} with tape; ended for pain {pain}, for the tape {tape}; more pain next "
            "morning {mornings}",
            taped=sum(outing.taped for outing in outings),
            pain=ended.count("pain"),
            tape=ended.count("tape"),
            mornings=sum("more_pain" in outing.mornings for outing in outings),
        ),
    )


# ---------------------------------------------------------------- anything unsafe


def _unsafe(knees: Sequence[KneeFindings], catalogue: Catalogue) -> ReviewQuestion:
    """The rows stand in the order of the codes, what is counted without alarm where its code
    does."""
    tens = first_ten_run(knees[0].entries)
    quiet = _quiet_answers(knees)
    rows: list[AnswerRow | None] = []
    for code in UNSAFE:
        if code == "woken" and quiet is not None:
            rows.append(quiet)
        if quiet is None or code not in get_args(WatchedAnswer):
            rows.append(_unsafe_row(code, unsafe_of(knees, code), knees, catalogue))
    return ReviewQuestion(
        question=phrase("Anything unsafe?"),
        rows=rows_of(
            *rows,
            _past_cards(knees, catalogue),
            _stairs(knees),
            None
            if tens is None
            else AnswerRow.of(
                phrase("Scores of 10"),
                "",
                phrase("five sessions running began at 10, from {day}", day=short_day(tens)),
            ),
        ),
        signed=unsigned_for_clinic(catalogue),
    )


def unsafe_of(knees: Sequence[KneeFindings], *codes: UnsafeCode) -> list[Unsafe]:
    """What is told by these codes; what is of the person is found at each knee and told once."""
    found = (each for knee in knees for each in knee.found.unsafe if each.code in codes)
    return list(dict.fromkeys(found))


def _unsafe_row(
    code: UnsafeCode, items: Sequence[Unsafe], knees: Sequence[KneeFindings], catalogue: Catalogue
) -> AnswerRow | None:
    label, sided = UNSAFE[code].label, len(knees) > 1
    match code:
        case "fall":
            return _fallen(items, knees, catalogue)
        case "skin":
            return _skin_seen(items, knees)
        case "step_stopped":
            return _steps_stopped(items, knees, catalogue)
        case "woken" | "swelling" | "stiff":
            tell = partial(_of_answer, code, items)
            return by_knee(label, knees, tell)
        case "open_card" | "open_sign":
            told = [_open_card(each, knees, catalogue, sided=sided) for each in items]
        case "head_knock":
            told = [_knock(each, knees, catalogue) for each in items]
        case "rising":
            told = [_going_up(each, sided=sided) for each in items]
        case "signal":
            told = [_over_limit(each, sided=sided) for each in items]
        case "silent" | "silent_after_card":
            return _silence(label, items)
    return _listed(label, told) if told else None


def _silence(label: str, items: Sequence[Unsafe]) -> AnswerRow | None:
    if not items or items[0].day is None:
        return None
    words = phrase("{n} day", "{n} days", n=items[0].days or 0)
    chance = items[0].by_chance
    if chance is not None:
        words = phrase(
            "{days}; by chance in {chance} of 100, going by the days left out before",
            days=words,
            chance=phrase("under 1") if chance < 0.01 else in_figures(100 * chance, ".0f"),
        )
    if items[0].code == "silent_after_card":
        words = phrase("{days}; a card came before", days=words)
    return AnswerRow.of(label, dated(items[0].day) + ":", words)


def _open_card(
    item: Unsafe, knees: Sequence[KneeFindings], catalogue: Catalogue, *, sided: bool
) -> str:
    """The sign, and what was said of the routine so far where anybody was told of it."""
    warned = (each for knee in knees for each in knee.found.warnings if _same(each, item))
    said = next((each for each in warned if each.told is not None), None)
    words = phrase(
        "{sign}{side}{said}",
        sign=_dated_sign(item, catalogue),
        side=side_of(item.side) if sided else "",
        said="" if said is None else phrase(" ({cleared})", cleared=_cleared(said)),
    )
    if item.answer is None or item.plan_version is None or item.plan_written_on is None:
        return words
    return phrase(
        "{sign} (answered in plan {version} of {day}: {answer}; not yet written at home)",
        sign=words,
        version=item.plan_version,
        day=short_day(item.plan_written_on),
        answer=codes.OPEN_SIGN_SAID[item.answer].clinic,
    )


def _knock(item: Unsafe, knees: Sequence[KneeFindings], catalogue: Catalogue) -> str:
    """The row's first sentence says enough: its level stands before it."""
    first, _, _ = _dated_sign(item, catalogue).partition(". ")
    warned = (each for knee in knees for each in knee.found.warnings)
    how = next(_cleared(each) for each in warned if _same(each, item))
    return phrase("{sign} ({cleared})", sign=first, cleared=how)


def _same(warning: Warned, item: Unsafe) -> bool:
    return (warning.day, warning.sign) == (item.day, item.sign)


def _dated_sign(item: Unsafe, catalogue: Catalogue) -> str:
    assert item.day is not None
    assert item.level is not None
    assert item.sign is not None
    return phrase(
        "{day}, {level}: {words}",
        day=short_day(item.day),
        level=codes.LEVELS[item.level].clinic,
        words=key_words("sign", item.sign, catalogue).rstrip("."),
    )


def _going_up(item: Unsafe, *, sided: bool) -> str:
    return phrase(
        "probably higher by {rise}, from {before}{side}; by chance of 2 to 7 in 100 diaries in "
        "which nothing changes, of 9 to 12 where pain comes and goes by the month",
        rise=one_decimal(item.highest or 0),
        before=one_decimal(item.usual or 0),
        side=side_of(item.side) if sided else "",
    )


def _over_limit(item: Unsafe, *, sided: bool) -> str:
    assert item.day is not None
    return phrase(
        "{day}, {rise} above the usual, limit {limit}{side}; one or two a quarter come by chance",
        day=short_day(item.day),
        rise=one_decimal(item.highest or 0),
        limit=one_decimal(item.usual or 0),
        side=side_of(item.side) if sided else "",
    )


def _cards_came(knees: Sequence[KneeFindings]) -> bool:
    return any(knee.found.warnings for knee in knees)


def _fallen(
    items: Sequence[Unsafe], knees: Sequence[KneeFindings], catalogue: Catalogue
) -> AnswerRow | None:
    """Falls, or in one line that there was none of falls, skin and cards. What paper does not ask
    is not said to be none."""
    sided, paper = len(knees) > 1, knees[0].found.on_paper
    days = {day for day, _ in falls(knees[0].entries, sided=sided)}
    days |= {
        warning.day
        for knee in knees
        for warning in knee.found.warnings
        if warning.sign in catalogue.policy.watch.falls and warning.cleared != "ticked_by_mistake"
    }
    if days:
        told = [_fall(each, catalogue, sided=sided) for each in items]
        return _of_late(UNSAFE["fall"].label, told, sorted(days))
    skin = any(knee.found.tape.skin_events for knee in knees)
    if skin or _cards_came(knees):
        not_asked = Cell("", phrase("not asked on paper"))
        return AnswerRow(UNSAFE["fall"].label, (not_asked if paper.alone else counted(0, ""),))
    if paper.alone:
        words = phrase("skin: none written down; falls and cards: not asked on paper")
    else:
        words = phrase("none written down")
        steps = any(knee.found.stopped_steps for knee in knees)
        sessions = (session for knee in knees for session in knee.sessions)
        if not steps and any(each.rounds or each.exercises for each in sessions):
            words = phrase("none written down, no step stopped")
        if paper.days:
            words = phrase(
                "{words}; on {n} day of paper skin alone was asked",
                "{words}; on {n} days of paper skin alone was asked",
                n=paper.days,
                words=words,
            )
    return AnswerRow.of(phrase("Falls, skin, cards"), "", words)


def _fall(item: Unsafe, catalogue: Catalogue, *, sided: bool) -> str:
    """The day of a fall, with what was written of it or the sign that tells of it."""
    assert item.day is not None
    note = _quoted(item.note)
    if item.sign is not None:
        note = phrase(": {sign}", sign=inside(key_words("sign", item.sign, catalogue).rstrip(".")))
    return phrase(
        "{day}{side}{note}{year}",
        day=short_day(item.day),
        side=side_of(item.side) if sided else "",
        note=note,
        year="" if (item.count or 0) < 2 else phrase(" ({n} in a year)", n=item.count),
    )


def _skin_seen(items: Sequence[Unsafe], knees: Sequence[KneeFindings]) -> AnswerRow | None:
    every = dict.fromkeys(event for knee in knees for event in knee.found.tape.skin_events)
    if not every:
        return None
    told = [_skin(each, sided=len(knees) > 1) for each in items]
    return _of_late(UNSAFE["skin"].label, told, [event.day for event in every])


def _of_late(label: str, told: Sequence[str], days: Sequence[date]) -> AnswerRow:
    """How many there were, those of late one by one, and how many came earlier."""
    before = len(days) - len(told)
    if before:
        newest = sorted(days)[before - 1]
        told = [*told, phrase("{n} before, last {day}", n=before, day=dated(newest))]
    return AnswerRow(label, (counted(len(days), parted(told)),))


def _steps_stopped(
    items: Sequence[Unsafe], knees: Sequence[KneeFindings], catalogue: Catalogue
) -> AnswerRow | None:
    """Steps stopped again and again or by very high pain; then how many ended in pain at all, and
    the newest. The page of warnings has them all."""
    sided = len(knees) > 1
    stopped = [(step, knee.side) for knee in knees for step in knee.found.stopped_steps]
    if not stopped:
        return None
    often = [
        phrase(
            "{name}{side} in {n} of {of} sessions{pain}",
            name=key_words("step", each.step or "", catalogue),
            side=side_of(each.side) if sided else "",
            n=each.count,
            of=each.of,
            pain=""
            if each.highest is None
            else phrase(", up to {pain}", pain=in_figures(each.highest)),
        )
        for each in items
    ]
    step, side = max(stopped, key=lambda each: each[0].day)
    told = phrase(
        "{day} {name}{side}{pain}",
        day=short_day(step.day),
        name=key_words("step", step.step, catalogue),
        side=side_of(side) if sided else "",
        pain=_past_the_limit(step),
    )
    label = UNSAFE["step_stopped"].label
    if len(stopped) == 1:
        return _listed(label, [*often, told])
    lead = phrase("{n}, newest:", n=len(stopped))
    if often:
        lead = phrase("{n}:", n=len(stopped))
        told = phrase("{often}; newest {told}", often=parted(often), told=told)
    return AnswerRow.of(label, lead, told)


def _past_the_limit(step: StoppedStep) -> str:
    if step.pain is None:
        return phrase(", hurt too much")
    if step.limit_points is None:
        return phrase(", pain {pain}, hurt too much", pain=step.pain)
    if step.limit == "above_rest":
        return phrase(
            ", pain {pain}, limit {most} (at rest {rest})",
            pain=step.pain,
            most=step.limit_points,
            rest=step.rest_pain,
        )
    return phrase(", pain {pain}, limit {most}", pain=step.pain, most=step.limit_points)


WatchedAnswer = Literal["woken", "swelling", "stiff"]
_COUNTED_FROM: dict[WatchedAnswer, int] = {"woken": 1, "swelling": 2, "stiff": 31}
"""What is counted: woken, swollen a lot, stiff for longer than `sign_inflamed` says (C)."""


def _quiet_answers(knees: Sequence[KneeFindings]) -> AnswerRow | None:
    """One row for all these answers, where none of them was new for the person of late."""
    if unsafe_of(knees, *get_args(WatchedAnswer)):
        return None
    return by_knee(phrase("Night, swelling, stiffness"), knees, _quiet)


def _quiet(knee: KneeFindings) -> Cell | None:
    asked = {code: _asked(code, knee) for code in get_args(WatchedAnswer)}
    days = len({day for values in asked.values() for day in values})
    if not days:
        return Cell("", phrase("not asked on paper")) if knee.found.on_paper.alone else None
    often = {
        code: sum(value >= _COUNTED_FROM[code] for value in values.values())
        for code, values in asked.items()
    }
    if not any(often.values()):
        return Cell("", phrase("none on {n} answered day", "none on {n} answered days", n=days))
    told = joined(_counted_of(code, n) for code, n in often.items() if asked[code])
    on_days = phrase("of {n} answered day", "of {n} answered days", n=days)
    return Cell("", phrase("{told} {on_days}", told=told, on_days=on_days))


def _asked(code: WatchedAnswer, knee: KneeFindings) -> Mapping[date, int]:
    """An answer as a number, by the days it was given on."""
    values = ((day, value_of(page, code)) for day, page in knee.pages.items())
    return {day: value for day, value in values if value is not None}


def _of_answer(code: WatchedAnswer, items: Sequence[Unsafe], knee: KneeFindings) -> Cell | None:
    """How often an answer was given, and on which of the last days it was new for the person."""
    asked = _asked(code, knee)
    if not asked:
        paper = code == "woken" and knee.found.on_paper.alone
        return Cell("", phrase("not asked on paper")) if paper else None
    lowest = _COUNTED_FROM[code]
    often = _counted_of(code, sum(value >= lowest for value in asked.values()))
    lead = phrase("{often} of {of}", often=often, of=len(asked))
    words = phrase("answered day", "answered days", n=len(asked))
    last_day = knee.found.period.last_day
    if last_day is not None:
        late = [value for day, value in asked.items() if (last_day - day).days < WINDOW_DAYS]
        words = phrase(
            "{words}; last 14 days {n} of {asked}",
            words=words,
            n=sum(value >= lowest for value in late),
            asked=len(late),
        )
    new = next((each for each in items if each.side == knee.side), None)
    if new is not None:
        words = phrase("{words}; {new}", words=words, new=_new_answer(code, new))
    return Cell(lead, words)


def _counted_of(code: WatchedAnswer, n: int) -> str:
    """On how many days it was so."""
    match code:
        case "woken":
            return phrase("woken on {n}", n=n)
        case "swelling":
            return phrase("swollen a lot on {n}", n=n)
        case "stiff":
            return phrase("stiff over 30 min on {n}", n=n)


def _new_answer(code: WatchedAnswer, item: Unsafe) -> str:
    """`new on 3, last 4 Nov (usual: not woken)`."""
    assert item.day is not None
    words = phrase("new on {n}, last {day}", n=item.count, day=short_day(item.day))
    if item.usual is None:
        return words
    usual = answer_words(code, int(item.usual))
    return phrase("{words} (usual: {usual})", words=words, usual=usual)


_MOST_CARDS = 6
"""So many cards that are over are told one by one (C)."""


def _past_cards(knees: Sequence[KneeFindings], catalogue: Catalogue) -> AnswerRow | None:
    """Cards that do not stand above, the newest with how each ended, and how many came earlier;
    that there was none, where something else was. The review has a page of them all."""
    label, sided = phrase("Warning cards"), len(knees) > 1
    told_above = unsafe_of(knees, "open_card", "open_sign", "head_knock")
    cards = {
        (card.day, card.sign, card.sides): card
        for knee in knees
        for card in knee.found.warnings
        if not any(_same(card, item) for item in told_above)
    }
    every = sorted(cards.values(), key=lambda card: (card.day, card.sign))
    if every:
        told = [_card(card, catalogue) for card in every[-_MOST_CARDS:]]
        return _of_late(label, told, [card.day for card in every])
    if _cards_came(knees) or not (
        falls(knees[0].entries, sided=sided) or any(knee.found.tape.skin_events for knee in knees)
    ):
        return None
    alone = knees[0].found.on_paper.alone
    return AnswerRow(label, (Cell("", phrase("not asked on paper")) if alone else counted(0, ""),))


def _listed(label: str, items: Sequence[str]) -> AnswerRow:
    """How many, and each of them."""
    return AnswerRow(label, (counted(len(items), parted(items)),))


def counted(count: int, words: str) -> Cell:
    """`2: this; that`, and `none written down` for none."""
    if not count:
        return Cell("", phrase("none written down"))
    return Cell(phrase("{count}:", count=count), words)


def falls(entries: Iterable[AnyEntry], *, sided: bool) -> list[tuple[date, str]]:
    """The day of each fall and, behind a comma, what was written about it."""
    return sorted(
        (
            entry.for_day,
            (side_of(entry.side) if sided else "") + _quoted(entry.note),
        )
        for entry in entries
        if isinstance(entry, Event) and entry.what == "fall"
    )


def _quoted(note: str | None) -> str:
    """The beginning of a note in quotation marks; the diary file holds all of it."""
    if note is None:
        return ""
    line = " ".join(note.split())
    if len(line) > 90:
        line = line[:87].rstrip() + "..."
    return phrase(": \u201c{words}\u201d", words=line)


_SKIN_SOURCES: CodeTable[SkinSource, str] = CodeTable(
    SkinSource,
    {
        "day_page": "day page",
        "tape_on": "before tape",
        "tape_off": "after tape",
        "patch_test": "patch test",
    },
)


def _skin(item: Unsafe, *, sided: bool) -> str:
    assert item.day is not None
    assert item.skin is not None
    assert item.source is not None
    return phrase(
        "{day} {found} ({where}{side})",
        day=short_day(item.day),
        found=codes.SKIN[item.skin].clinic,
        where=_SKIN_SOURCES[item.source],
        side=side_of(item.side) if sided else "",
    )


def _card(warning: Warned, catalogue: Catalogue) -> str:
    return phrase(
        "{day}, {level}: {words} ({cleared})",
        day=short_day(warning.day),
        level=codes.LEVELS[warning.level].clinic,
        words=key_words("sign", warning.sign, catalogue).rstrip("."),
        cleared=_cleared(warning),
    )


def _cleared(warning: Warned) -> str:
    """How it ended."""
    words = became_words(warning.cleared, warning.told, warning.told_by)
    if not words:
        return phrase("for that session alone")
    how, on = " ".join(words), warning.cleared_on or warning.told_on
    return how if on is None else phrase("{how} {day}", how=how, day=short_day(on))


def _stairs(knees: Sequence[KneeFindings]) -> AnswerRow | None:
    """Stairs are the person's: a day counts once, whichever page holds it."""
    ways: dict[date, set[str]] = {}
    for knee in knees:
        for day, page in knee.pages.items():
            if page.stairs is not None:
                ways.setdefault(day, set()).add(page.stairs)
    if not ways:
        not_asked = Cell("", phrase("not asked on paper"))
        alone = knees[0].found.on_paper.alone
        return AnswerRow(phrase("Stairs backwards"), (not_asked,)) if alone else None
    backwards = sorted(day for day, found in ways.items() if "backwards" in found)
    words = phrase("answered day", "answered days", n=len(ways))
    if backwards:
        words = phrase("{words}, last {day}", words=words, day=short_day(backwards[-1]))
    lead = phrase("{backwards} of {asked}", backwards=len(backwards), asked=len(ways))
    return AnswerRow.of(phrase("Stairs backwards"), lead, words, spare=not backwards)


# ---------------------------------------------------------------- other care and versions


def _other_care(
    knees: Sequence[KneeFindings], plan: Plan, period: DaySpan, catalogue: Catalogue
) -> ReviewQuestion:
    entries = knees[0].entries
    answered = medicine_by_day(entries, period.first_day, period.last_day)
    events = [
        _event(e, sided=len(knees) > 1)
        for e in entries
        if isinstance(e, Event) and e.what != "fall"
    ]
    return ReviewQuestion(
        question=phrase("Medicine and other care"),
        rows=rows_of(
            AnswerRow(phrase("Extra pain medicine"), (_medicine(answered, period),)),
            _listed(phrase("Other care, events"), events)
            if events or not knees[0].found.on_paper.alone
            else AnswerRow.of(phrase("Other care, events"), "", phrase("not asked on paper")),
            AnswerRow.of(
                phrase("Knee replacement"),
                "",
                replacement_words(plan),
                spare=plan.replacement == "none",
            ),
            _cautions(plan, catalogue),
            _notes(entries),
        ),
    )


def _cautions(plan: Plan, catalogue: Catalogue) -> AnswerRow | None:
    """What is a yes, with what was opened on judgement and why; and what was never asked."""
    told = [yes_words(answer, catalogue) for answer in answered_yes(plan, catalogue)]
    unasked = not_asked_words(plan, catalogue)
    if unasked is not None:
        told.append(unasked)
    return AnswerRow.of(phrase("Cautions, yes"), "", parted(told)) if told else None


def _notes(entries: Iterable[AnyEntry]) -> AnswerRow | None:
    """How many days carry a note meant for the clinic, and the newest of them."""
    written = sorted(
        {
            (entry.for_day, entry.note)
            for entry in entries
            if isinstance(entry, DayPage) and entry.note is not None and not entry.note_private
        }
    )
    if not written:
        return None
    newest = parted(short_day(day) + _quoted(note) for day, note in reversed(written[-2:]))
    lead = phrase("{n}, newest", n=len(written)) if len(written) > 2 else str(len(written))
    cell = Cell(phrase("{count}:", count=lead), newest)
    last = short_day(written[-1][0]) + _quoted(written[-1][1])
    brief = Cell(phrase("{n}, newest:", n=len(written)), last) if len(written) > 1 else cell
    return AnswerRow(phrase("Day notes"), (cell,), brief=(brief,))


def _medicine(answered: Mapping[date, bool], period: DaySpan) -> Cell:
    if not answered:
        return Cell("", phrase("not answered"))
    lead = phrase("{taken} of {asked}", taken=sum(answered.values()), asked=len(answered))
    words = phrase("answered day", "answered days", n=len(answered))
    if period.days < 2 * WINDOW_DAYS:
        return Cell(lead, words)
    window = timedelta(days=WINDOW_DAYS)
    first = [taken for day, taken in answered.items() if day < period.first_day + window]
    last = [taken for day, taken in answered.items() if day > period.last_day - window]
    return Cell(
        lead,
        phrase(
            "{words}; first 14 days {first_taken} of {first}, last 14 days {last_taken} of {last}",
            words=words,
            first_taken=sum(first),
            first=len(first),
            last_taken=sum(last),
            last=len(last),
        ),
    )


def _event(event: Event, *, sided: bool) -> str:
    return phrase(
        "{day} {what}{side}{note}",
        day=short_day(event.for_day),
        what=codes.EVENTS[event.what],
        side=side_of(event.side) if sided else "",
        note=_quoted(event.note),
    )


def _versions(plans: Iterable[Plan], catalogue: Catalogue) -> ReviewQuestion:
    ordered = sorted(plans, key=lambda plan: plan.version)
    rows: list[AnswerRow] = []
    for place, plan in enumerate(ordered):
        if place == 0:
            words = phrase("the first plan in this diary")
        else:
            changes = plan_changes(ordered[place - 1], plan, catalogue)
            words = parted(changes) or phrase("dates only")
        label = phrase("Plan {version}", version=plan.version)
        row = AnswerRow.of(label, dated(plan.written_on) + ":", words, spare=len(ordered) == 1)
        rows.append(row)
    return ReviewQuestion(question=phrase("What each plan changed"), rows=tuple(rows))
