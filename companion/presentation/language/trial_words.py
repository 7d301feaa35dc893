"""What a tape trial lets be said, in a line for the clinic and in a sentence for the person.

Three outcomes from the interval: lower or higher, little change, cannot tell. Nothing is promised,
and a cause is never named.
"""

from __future__ import annotations

from companion.care.trial_schedule import PAIRS_NEEDED
from companion.evidence.figures import Outcome, TrialEstimate, TrialLimitation, TrialResult
from companion.presentation.language.code_table import CodeTable, Wording
from companion.presentation.language.figures_in_words import (
    half_point,
    one_decimal,
    signed,
    smallest_chance,
)
from companion.presentation.language.phrases import phrase, short_day


class OutcomeWords(Wording):
    """What an interval lets be said: alone, in a line, and of a trial to clinic and person."""

    short: str
    line: str
    sentence: str
    own: str


OUTCOMES: CodeTable[Outcome, OutcomeWords] = CodeTable(
    Outcome,
    {
        "lower": OutcomeWords(
            "lower",
            "lower by about {by} ({range})",
            "With tape, pain was lower by about {by} points ({range}) than without: {end}.",
            "On tape days your pain was lower by about {by} than on days without. Talk it over at "
            "your visit.",
        ),
        "higher": OutcomeWords(
            "higher",
            "higher by about {by} ({range})",
            "With tape, pain was higher by about {by} points ({range}) than without: {end}.",
            "On tape days your pain was higher by about {by} than on days without. Talk it over at "
            "your visit.",
        ),
        "little_change": OutcomeWords(
            "little change",
            "little change ({range})",
            "With tape and without, pain was much the same ({range} points): {end}.",
            "Your pain was much the same on days with tape and without. Talk it over at your "
            "visit.",
        ),
        "cannot_tell": OutcomeWords(
            "cannot tell",
            "cannot tell: could be {range}",
            "Cannot tell: with tape, pain could be {range} points against without: {end}.",
            "Days with tape and without cannot tell if tape makes a difference. Talk it over at "
            "your visit.",
        ),
    },
)


def outcome_words(outcome: Outcome, change: float, low: float, high: float) -> str:
    """The three outcomes of an interval."""
    by, bounds = one_decimal(abs(change)), range_words(low, high)
    return OUTCOMES[outcome].filled(by=by, range=bounds).line


def range_words(low: float, high: float) -> str:
    """Both ends of an interval, signed."""
    return phrase("{low} to {high}", low=signed(low), high=signed(high))


def trial_words(trial: TrialResult) -> tuple[str, str]:
    """The trial's answer in a line: the number, and the words after it.

    While the trial goes on the line holds no number: it stands in the summary too, which whoever
    scores the days can print.
    """
    if goes_on(trial):
        return phrase("not over yet:"), phrase(
            "{n} of {all} pairs complete, last day {day}",
            n=trial.estimate.pairs,
            all=trial.design.pairs,
            day=short_day(trial.design.last_day),
        )
    lead, rest = estimate_words(trial.estimate, trial.design.pairs)
    marks = [phrase("not blinded")]
    if trial.flow.days_not_followed:
        marks.append(
            phrase("{n} day not followed", "{n} days not followed", n=trial.flow.days_not_followed)
        )
    marks += [phrase(short) for mark, short in _SHORT.items() if mark in trial.limitations]
    return lead, phrase("{words}; {marks}", words=rest, marks=", ".join(marks))


_SHORT: dict[TrialLimitation, str] = {
    "broken_off": "broken off",
    "schedule_not_fixed_before": "not the schedule fixed before",
}


def trial_sentence(trial: TrialResult) -> str:
    """The answer as one sentence or two, with its pairs."""
    found = trial.estimate
    pairs = phrase("{n} of {all} pairs", n=found.pairs, all=trial.design.pairs)
    if found.mean_difference is None:
        return phrase("Cannot tell: no pair has a score on both sides yet.")
    if found.low is None or found.high is None:
        return phrase(
            "Cannot tell: {n} complete pair, and {need} are needed. {reach}",
            "Cannot tell: {n} complete pairs, and {need} are needed. {reach}",
            n=found.pairs,
            need=PAIRS_NEEDED,
            reach=_reach(found),
        )
    by, bounds = one_decimal(abs(found.mean_difference)), range_words(found.low, found.high)
    end = phrase("{pairs}, {p}", pairs=pairs, p=p_words(found.p))
    return OUTCOMES[found.outcome].filled(by=by, range=bounds, end=end).sentence


def p_words(p: float | None) -> str:
    """`p 0.016`, unbroken; what is smaller than a thousandth is said so."""
    if p is None:
        return phrase("no p")
    return phrase("p under 0.001") if p < 0.001 else phrase("p\u00a0{p:.3f}", p=p)


def _reach(found: TrialEstimate) -> str:
    return phrase(
        "{n} pair all one way reaches p {p} at best, so it cannot reach the usual threshold.",
        "{n} pairs all one way reach p {p} at best, so they cannot reach the usual threshold.",
        n=found.pairs,
        p=smallest_chance(found.smallest_p),
    )


def estimate_words(found: TrialEstimate, pairs: int) -> tuple[str, str]:
    """An estimate in a line: the number, and the words after it."""
    if found.mean_difference is None:
        return (phrase("cannot tell:"), phrase("no complete pair"))
    if found.low is None or found.high is None:
        words = phrase(
            "{n} complete pair, {need} needed",
            "{n} complete pairs, {need} needed",
            n=found.pairs,
            need=PAIRS_NEEDED,
        )
        return (phrase("cannot tell:"), words)
    return (
        signed(found.mean_difference),
        phrase(
            "points with tape: {outcome}, {n} of {pairs} pairs, {p}",
            outcome=outcome_words(found.outcome, found.mean_difference, found.low, found.high),
            n=found.pairs,
            pairs=pairs,
            p=p_words(found.p),
        ),
    )


def goes_on(trial: TrialResult) -> bool:
    """Whether the diary ends before the trial does."""
    return "not_over" in trial.limitations


def own_words_of(trial: TrialResult) -> str:
    """The same for the person: half points, and no more than the days show."""
    found = trial.estimate
    if goes_on(trial):
        return phrase("The days with tape and without are not over yet.")
    by = half_point(abs(found.mean_difference or 0))
    return OUTCOMES[found.outcome].filled(by=by).own
