"""Does tape help this person: randomised pairs of periods with and without, in one person.

It is analysed as scheduled, whatever was followed, and reported under the headings of CENT 2015
(Vohra 2015, BMJ 350:h1738). p and interval come by counting out every order chance could have
drawn, because with so few pairs no bell curve can be trusted. The schedule itself stands in
`care.trial_schedule`. Skin and stop rules are not here: they are the house's, and they win.
"""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from itertools import pairwise

from companion.care.records import Measure
from companion.care.trial_schedule import BARE_DAYS, PAIRS_NEEDED, Schedule, TrialPeriod
from companion.evidence.figures import (
    PairOfPeriods,
    SkinEvent,
    TrialDesign,
    TrialEstimate,
    TrialFlow,
    TrialHarms,
    TrialLimitation,
    TrialRandomisation,
    TrialResult,
    Warned,
)
from companion.evidence.sign_flip import hodges_lehmann, sign_flip, smallest_p


def trial_result(
    planned: Schedule,
    scores: Mapping[date, int],
    taped: Mapping[date, bool],
    *,
    measure: Measure = "average",
    written_on: date | None = None,
    broken_off_on: date | None = None,
    diary_ends: date | None = None,
    skin_events: Sequence[SkinEvent] = (),
    pink: Collection[date] = (),
    warnings: Sequence[Warned] = (),
) -> TrialResult:
    """The result of a trial, whole, broken off, or not over yet.

    `scores` 0-10 of `measure` by day; `taped` whether tape was on, by day where that is known;
    `written_on` the day its schedule was written down with its hash; `broken_off_on` the day from
    which the plan holds the trial no more, and `diary_ends` the last day written about. Skin
    events, days of `pink` skin and warnings outside the trial's days and the day after them are
    left out.
    """
    if broken_off_on is not None:
        scores = {day: score for day, score in scores.items() if day < broken_off_on}
        taped = {day: on for day, on in taped.items() if day < broken_off_on}
    pairs = _pairs(planned, scores, dropped_days=0)
    flow = _flow(planned, pairs, scores, taped, broken_off_on)
    over = planned.last_day + timedelta(days=1)
    until = over if broken_off_on is None else min(over, broken_off_on)

    def within(day: date) -> bool:
        return planned.first_day <= day <= until

    randomisation = TrialRandomisation(
        seed=planned.seed,
        sha256=planned.sha256,
        tape_first=planned.tape_first,
        as_fixed=None if written_on is None else written_on < planned.first_day,
    )
    return TrialResult(
        design=TrialDesign(
            measure=measure,
            first_day=planned.first_day,
            last_day=planned.last_day,
            pairs=planned.pairs,
            scored_days=planned.scored_days,
            bare_days=BARE_DAYS,
            smallest_p=smallest_p(planned.pairs),
        ),
        randomisation=randomisation,
        blinded=False,
        flow=flow,
        pairs=pairs,
        estimate=estimate([pair.difference for pair in pairs if pair.difference is not None]),
        first_day_dropped=estimate(
            [
                pair.difference
                for pair in _pairs(planned, scores, dropped_days=1)
                if pair.difference is not None
            ]
        ),
        harms=TrialHarms(
            skin_events=tuple(each for each in skin_events if within(each.day)),
            warnings=tuple(each for each in warnings if within(each.day)),
            pink_days=sum(within(day) for day in set(pink)),
        ),
        limitations=_limitations(planned, pairs, scores, flow, randomisation, diary_ends),
    )


def estimate(differences: Sequence[float]) -> TrialEstimate:
    """What the differences of the complete pairs say; below six pairs it cannot be told."""
    k = len(differences)
    if not differences:
        return TrialEstimate(pairs=0, favouring=0, smallest_p=1.0)
    found = sign_flip(differences)
    mean = sum(differences) / k
    known = k >= PAIRS_NEEDED and found.low is not None and found.high is not None
    low, high = (found.low, found.high) if known else (None, None)
    return TrialEstimate(
        pairs=k,
        favouring=sum(each < 0 for each in differences),
        mean_difference=mean,
        low=low,
        high=high,
        hodges_lehmann=hodges_lehmann(differences),
        p=found.p,
        smallest_p=smallest_p(k),
    )


def _pairs(
    planned: Schedule, scores: Mapping[date, int], dropped_days: int
) -> tuple[PairOfPeriods, ...]:
    """Each pair without the first `dropped_days` scored days of either period."""
    return tuple(
        _pair(first, second, scores, dropped_days)
        for at, (first, second) in enumerate(pairwise(planned.periods))
        if at % 2 == 0
    )


def _pair(
    first: TrialPeriod, second: TrialPeriod, scores: Mapping[date, int], dropped_days: int
) -> PairOfPeriods:
    tape, bare = (first, second) if first.arm == "tape" else (second, first)
    with_tape = [scores[day] for day in tape.scored_days[dropped_days:] if day in scores]
    without = [scores[day] for day in bare.scored_days[dropped_days:] if day in scores]
    tape_mean = sum(with_tape) / len(with_tape) if with_tape else None
    no_tape_mean = sum(without) / len(without) if without else None
    return PairOfPeriods(
        pair=first.pair,
        tape_first=first is tape,
        tape_days=len(with_tape),
        no_tape_days=len(without),
        tape_mean=tape_mean,
        no_tape_mean=no_tape_mean,
        difference=None if tape_mean is None or no_tape_mean is None else tape_mean - no_tape_mean,
    )


def _flow(
    planned: Schedule,
    pairs: Sequence[PairOfPeriods],
    scores: Mapping[date, int],
    taped: Mapping[date, bool],
    broken_off_on: date | None,
) -> TrialFlow:
    scored = [(day, period.arm) for period in planned.periods for day in period.scored_days]
    bare = [(period.bare_day, "no_tape") for period in planned.periods]
    days = [*scored, *bare]
    reached = [day for day, _ in scored if day in scores] + [day for day, _ in days if day in taped]
    complete = sum(pair.difference is not None for pair in pairs)
    return TrialFlow(
        last_day_reached=max(reached, default=None),
        broken_off_on=broken_off_on,
        pairs_complete=complete,
        pairs_dropped=len(pairs) - complete,
        days_scheduled=len(scored),
        days_recorded=sum(day in scores for day, _ in scored),
        days_not_followed=sum(day in taped and taped[day] != (arm == "tape") for day, arm in days),
        days_followed_unknown=sum(day not in taped for day, _ in days),
    )


def _limitations(
    planned: Schedule,
    pairs: Sequence[PairOfPeriods],
    scores: Mapping[date, int],
    flow: TrialFlow,
    randomisation: TrialRandomisation,
    diary_ends: date | None,
) -> tuple[TrialLimitation, ...]:
    found: list[TrialLimitation] = [
        "not_blinded",
        "carry_over_hides_difference",
    ]
    if flow.days_not_followed:
        found.append("days_not_followed")
    # A pair the diary has not reached the end of is not lacking yet.
    over = [
        pair
        for pair, last in zip(pairs, planned.periods[1::2], strict=True)
        if diary_ends is None or last.last_day <= diary_ends
    ]
    if any(pair.difference is None for pair in over):
        found.append("pairs_dropped")
    last_day, last_period = planned.last_day, planned.periods[-1].bare_day
    if flow.broken_off_on is not None:
        found.append("broken_off")
    elif diary_ends is not None and diary_ends < last_day:
        found.append("not_over")
    elif flow.last_day_reached is None or flow.last_day_reached < last_period:
        found.append("broken_off")
    elif diary_ends == last_day and last_day not in scores:
        found.append("not_over")
    if randomisation.as_fixed is False:
        found.append("schedule_not_fixed_before")
    return tuple(found)
