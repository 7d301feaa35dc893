"""What a tape trial lets be said, in a line for the clinic and in a sentence for the person.

The words follow the verdict, which follows the test, and nothing else. Nothing is promised, and a
cause is never named.
"""

from __future__ import annotations

from companion.care.trial_schedule import PAIRS_NEEDED
from companion.evidence.figures import (
    StatedVerdict,
    TapeWorth,
    TrialEstimate,
    TrialLimitation,
    TrialResult,
)
from companion.presentation.language.figures_in_words import one_decimal, signed, smallest_chance
from companion.presentation.language.phrases import listed, parted, phrase, short_day
from companion.presentation.language.verdict_words import TAPE, half_points, range_words, reason


def trial_words(trial: TrialResult, told: StatedVerdict[TapeWorth]) -> tuple[str, str]:
    """The trial's answer in a line: the verdict, and the words after it.

    While the trial goes on the line holds no number: it stands in the summary too, which whoever
    scores the days can print.
    """
    if goes_on(trial):
        return phrase("Not over yet:"), phrase(
            "{n} of {all} pairs complete, last day {day}",
            n=trial.estimate.pairs,
            all=trial.design.pairs,
            day=short_day(trial.design.last_day),
        )
    marks = [phrase("not blinded")]
    if trial.flow.days_not_followed:
        marks.append(
            phrase("{n} day not followed", "{n} days not followed", n=trial.flow.days_not_followed)
        )
    marks += [phrase(short) for mark, short in _SHORT.items() if mark in trial.limitations]
    lead, words = _told_words(trial, told)
    return lead, phrase("{words}; {marks}", words=words, marks=listed(marks))


_SHORT: dict[TrialLimitation, str] = {
    "broken_off": "broken off",
    "schedule_not_fixed_before": "not the schedule fixed before",
}


def _told_words(trial: TrialResult, told: StatedVerdict[TapeWorth]) -> tuple[str, str]:
    found = trial.estimate
    words = TAPE[told.verdict]
    if "broken_off" in trial.limitations:
        return words.lead, phrase(
            "only a finished trial tells; {n} of {all} pairs complete",
            n=found.pairs,
            all=trial.design.pairs,
        )
    if found.mean_difference is None or found.low is None or found.high is None:
        return words.lead, too_few(found)
    filled = words.filled(
        by=one_decimal(abs(found.mean_difference)),
        points=half_points(found.mean_difference),
        range=range_words(found.low, found.high),
    )
    parts = [phrase("{line}, {p}", line=filled.line, p=p_words(found.p)), pairs_words(trial)]
    if told.verdict in ("lower_with_tape", "higher_with_tape"):
        sure = reason(told, "trial_surely_a_point") is not None
        parts.append(phrase("surely by a point") if sure else phrase("not surely by a point"))
        parts.append(phrase("a hope worth 0.7 points is found so in 22 of 100 such trials"))
    elif _first_day_differs(trial):
        parts.append(phrase("without the first day of each period it turns round"))
    return filled.lead, parted(parts)


def _first_day_differs(trial: TrialResult) -> bool:
    whole, without = trial.estimate.mean_difference, trial.first_day_dropped.mean_difference
    return whole is not None and without is not None and whole * without < 0


def pairs_words(trial: TrialResult) -> str:
    """`all 8 pairs counted, lower with tape in 7`."""
    found = trial.estimate
    counted = (
        phrase("all {n} pairs counted", n=found.pairs)
        if found.pairs == trial.design.pairs
        else phrase("{n} of {all} pairs counted", n=found.pairs, all=trial.design.pairs)
    )
    return phrase("{counted}, lower with tape in {n}", counted=counted, n=found.favouring)


def too_few(found: TrialEstimate) -> str:
    """What an estimate lacks: too few pairs for any."""
    if not found.pairs:
        return phrase("no complete pair")
    return phrase(
        "{n} complete pair, {need} needed",
        "{n} complete pairs, {need} needed",
        n=found.pairs,
        need=PAIRS_NEEDED,
    )


def trial_sentence(trial: TrialResult, told: StatedVerdict[TapeWorth]) -> str:
    """The answer as a sentence or two, with its pairs; numbers of a trial that goes on too."""
    found = trial.estimate
    if found.mean_difference is None:
        return phrase("Cannot tell: no pair has a score on both sides yet.")
    if found.low is None or found.high is None:
        return phrase("Cannot tell: {few}. {reach}", few=too_few(found), reach=_reach(found))
    lead, words = _told_words(trial, told)
    return phrase("{lead} {words}.", lead=lead, words=words)


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


def estimate_words(found: TrialEstimate) -> tuple[str, str]:
    """An estimate in a line, which judges nothing: the number, and the words after it."""
    if found.mean_difference is None or found.low is None or found.high is None:
        return phrase("cannot tell:"), too_few(found)
    return (
        signed(found.mean_difference),
        phrase(
            "points with tape ({range}), {n} pairs, {p}",
            range=range_words(found.low, found.high),
            n=found.pairs,
            p=p_words(found.p),
        ),
    )


def goes_on(trial: TrialResult) -> bool:
    """Whether the diary ends before the trial does."""
    return "not_over" in trial.limitations


def own_words_of(trial: TrialResult, told: StatedVerdict[TapeWorth]) -> str:
    """The same for the person: half points, and no more than the days show."""
    if goes_on(trial):
        return phrase("The days with tape and without are not over yet.")
    return TAPE[told.verdict].filled(points=half_points(trial.estimate.mean_difference or 0)).own
