"""Today's dose: how much of what the plan prescribes is done, by how the knee took the last
routines.

It is worked out from the diary each time, and never stored. A step down takes one hands round and a
share of the repeats, never past the floor; sessions the knee took as usual give it back, up to what
the plan prescribes. More than that is the clinic's to offer.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from heapq import merge
from typing import TYPE_CHECKING, Literal

from companion.care.bad_days import median
from companion.care.finding import Entries, find, newest_first
from companion.care.history import seniority
from companion.care.records import (
    AfterLast,
    DayPage,
    GateAnswer,
    Plan,
    Record,
    Session,
    Side,
    record,
)

if TYPE_CHECKING:
    from companion.care.policy import Policy

DoseWhy = Literal[
    "as_planned",
    "more_next_morning_1",
    "more_next_morning_2_of_3",
    "more_goes_on",
    "more_expected",
    "two_above_usual",
    "given_back",
]
"""Why the dose is what it is. more_next_morning_1: once more pain the next morning; the dose stays.
more_next_morning_2_of_3: a step down. more_goes_on: still so on the lower dose, or there is
none; call. more_expected: the same in the weeks for which the plan expects it. two_above_usual:
the pain of the day has been up for a week; call. given_back: the knee took the lower dose, so a
step of it is back."""


@record
class DoseRule(Record):
    """The numbers of the policy (facts: dose_step, dose_floor, dose_goes_on).

    `more_of` of the last `last` answers "more next morning" take a step down; after `sessions`
    answers on a lower dose it is judged anew, and that many usual ones give a step back. A step
    takes one round and leaves `keep` of `keep_of` repeats; the floor is `floor_rounds` and
    `floor_percent` of the repeats unless the plan sets its own. The day's pain is up when it is
    `above_usual` over the median of the `usual_days` before, on every page of `days` days, with
    pages on `days_needed` of them and on `usual_needed` of those before.
    """

    more_of: int
    last: int
    sessions: int
    keep: int
    keep_of: int
    floor_rounds: int
    floor_percent: int
    above_usual: int
    days: int
    days_needed: int
    usual_days: int
    usual_needed: int


def dose_rule(policy: "Policy", plan: Plan) -> DoseRule:
    """The numbers as the policy has them, and the plan where it sets its own."""
    rule = DoseRule(**policy.numbers("more_next_morning_2_of_3", "two_above_usual"))
    return replace(rule, more_of=plan.mornings_down or rule.more_of)


@record
class Dose(Record):
    """Today's dose of one knee. `steps` down from the plan, 0 is the plan's own; `rounds` of hands,
    and the `repeats` of each exercise of the plan in its order. `told`: the clinic knows.
    """

    steps: int
    rounds: int
    repeats: tuple[int, ...]
    why: DoseWhy
    told: bool = False

    @property
    def call(self) -> bool:
        """Whether the clinic is to be told."""
        return self.why in ("more_goes_on", "two_above_usual") and not self.told


def dose_today(
    policy: "Policy",
    plan: Plan,
    entries: Entries,
    side: Side,
    today: date,
    said: AfterLast | None = None,
) -> Dose:
    """Today's dose. `entries` are those that count; `said` is today's answer about the last
    session, where it is in no entry yet.

    More pain once is common at first (fact: pain_more_at_first), so it changes nothing yet. A new
    version of the plan is a new dose: only what was said of sessions under it counts.
    """
    rule = dose_rule(policy, plan)
    steps, usual = 0, 0
    why: DoseWhy = "as_planned"
    most = _most_steps(rule, plan)
    here: list[AfterLast] = []
    """What was said since the dose was last changed."""
    for answer in _answers(plan, entries, side, said):
        here.append(answer)
        more = answer == "more_next_morning"
        usual = 0 if more else usual + 1
        often = here[-rule.last :].count("more_next_morning") >= rule.more_of
        # On a lower dose the knee is given its sessions before that dose is judged.
        if often and (steps == 0 or len(here) >= rule.sessions):
            why = "more_goes_on" if steps or most == 0 else "more_next_morning_2_of_3"
            steps, here = min(steps + 1, most), []
        elif steps and usual >= rule.sessions:
            why = "given_back"
            steps, usual, here = steps - 1, 0, []
        elif steps == 0:
            why = "more_next_morning_1" if more else "as_planned"
    until = expected_until(plan)
    if why == "more_goes_on" and until is not None and today <= until:
        why = "more_expected"
    if why != "more_goes_on" and _two_above_usual(rule, entries, side, today):
        why = "two_above_usual"
    return _dose(rule, plan, steps, why)


def one_step_down(policy: "Policy", plan: Plan) -> Dose:
    """What two sore mornings of three make of the plan's dose: for paper, which knows no diary. As
    planned where the plan is at its floor."""
    rule = dose_rule(policy, plan)
    steps = min(1, _most_steps(rule, plan))
    return _dose(rule, plan, steps, "more_next_morning_2_of_3" if steps else "as_planned")


def _dose(rule: DoseRule, plan: Plan, steps: int, why: DoseWhy) -> Dose:
    return Dose(
        steps=steps,
        rounds=max(plan.rounds - steps, _floor_rounds(rule, plan)),
        repeats=tuple(_repeats(rule, plan, one.repeats, steps) for one in plan.exercises),
        why=why,
    )


def expected_until(plan: Plan) -> date | None:
    """The last day on which the plan expects more pain the next morning; None where it does not
    say."""
    if plan.expected_weeks is None:
        return None
    return plan.written_on + timedelta(days=7 * plan.expected_weeks - 1)


def _most_steps(rule: DoseRule, plan: Plan) -> int:
    """How many steps there are from the plan's dose to its floor, in what it prescribes."""
    hands = plan.rounds - _floor_rounds(rule, plan) if plan.techniques else 0
    exercise, floor = 0, _floor_percent(rule, plan)
    # That many steps leave more than the floor of the repeats: one more is there to take.
    while plan.exercises and 100 * rule.keep**exercise > floor * rule.keep_of**exercise:
        exercise += 1
    return max(hands, exercise)


def _repeats(rule: DoseRule, plan: Plan, planned: int, steps: int) -> int:
    """The repeats so many steps down, rounded up."""
    kept, of = int(rule.keep**steps), int(rule.keep_of**steps)
    left = -(-planned * kept // of)
    return max(left, -(-planned * _floor_percent(rule, plan) // 100))


def _floor_percent(rule: DoseRule, plan: Plan) -> int:
    return plan.floor_repeats_percent or rule.floor_percent


def _floor_rounds(rule: DoseRule, plan: Plan) -> int:
    return min(plan.floor_rounds or rule.floor_rounds, plan.rounds)


def _answers(plan: Plan, entries: Entries, side: Side, now: AfterLast | None) -> list[AfterLast]:
    """What was said of each session under this version of the plan, in order of the sessions.

    An answer is about the session before it in which something was done; the last one counts.
    Nothing is learned where it could not be recalled.
    """
    since = plan.written_on
    asked: tuple[Session | GateAnswer, ...] = (
        *find(entries, Session, side=side, first_day=since, words=["after_last"]),
        *find(entries, GateAnswer, first_day=since, words=["after_last"]),
    )
    if not any(entry.after_last is not None for entry in asked):
        # Most diaries: then no more of the sessions is read than whether there is one.
        if now is None or now == "cannot_recall":
            return []
        sessions = newest_first(entries, Session, side=side)
        return [now] if any(_is_done(plan, session) for session in sessions) else []
    said: dict[str, AfterLast] = {}
    last: str | None = None
    for entry in _in_order(plan, entries, side):
        if entry.after_last is not None and last is not None:
            said[last] = entry.after_last
        if isinstance(entry, Session) and (entry.rounds or entry.exercises):
            last = entry.id
            said[last] = "cannot_recall"
    if now is not None and last is not None:
        said[last] = now
    return [one for one in said.values() if one != "cannot_recall"]


def _is_done(plan: Plan, session: Session) -> bool:
    """Whether something was done in a session under this version of the plan."""
    here = session.plan_version == plan.version and session.for_day >= plan.written_on
    return here and bool(session.rounds or session.exercises)


def _in_order(plan: Plan, entries: Entries, side: Side) -> Iterator[Session | GateAnswer]:
    since = plan.written_on
    sessions = find(entries, Session, side=side, first_day=since)
    gates = find(entries, GateAnswer, first_day=since, words=["after_last"])
    both: Iterator[Session | GateAnswer] = merge(sessions, gates, key=_age)
    return (
        entry for entry in both if entry.plan_version == plan.version and entry.side in (None, side)
    )


def _age(entry: Session | GateAnswer) -> tuple[date, datetime, str]:
    return entry.for_day, *seniority(entry)


def _two_above_usual(rule: DoseRule, entries: Entries, side: Side, today: date) -> bool:
    """Whether the pain of the day has been up on every page of the last days."""
    first = today - timedelta(days=rule.days - 1)
    lately = _averages(entries, side, first, today)
    # Nothing is usual below 0, so most days are told by these pages alone.
    if len(lately) < rule.days_needed or min(lately) < rule.above_usual:
        return False
    before = _averages(
        entries, side, first - timedelta(days=rule.usual_days), first - timedelta(days=1)
    )
    return len(before) >= rule.usual_needed and min(lately) >= median(before) + rule.above_usual


def _averages(entries: Entries, side: Side, first_day: date, last_day: date) -> list[int]:
    """The average pain of each page that says it."""
    pages = find(entries, DayPage, side=side, first_day=first_day, last_day=last_day)
    return [page.pain_average for page in pages if page.pain_average is not None]
