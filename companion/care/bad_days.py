"""Bad days and bad spells: when the knee hurts much more than it usually does.

Everything is measured against the person's own usual, never against one number for all (fact:
bad_day_fixed): who always scores 8 has no bad day at 8. What is usual is read from the diary; a
mark or a limit that the plan sets comes first. Nothing here is a statistic of the day pages: a
spell begins by the person's press or by sessions that were bad one after the other.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import islice, pairwise
from math import ceil
from typing import TYPE_CHECKING, Literal

from companion.care.finding import Entries, happened_at, newest_first, oldest_first
from companion.care.records import Event, EventKind, Plan, Record, Session, Side, record

if TYPE_CHECKING:
    from companion.care.policy import Policy

SpellCall = Literal["flare_days_used_up", "flare_worsens", "no_flare_plan"]
"""Why the clinic is called in a bad spell: it has not settled in the plan's days, the scores rise
from session to session, or the plan does not say what to do."""


@record
class BadDayRule(Record):
    """The numbers of the policy (facts: bad_day_usual, bad_day_mark, bad_spell). Scores 0-10.

    The usual is the median of the last `scores` comparable before scores; with fewer than
    `scores_needed` it is the first. The mark lies `above_usual` over it, at least `above_ceiling`
    over the plan's ceiling, and is `mark_without_usual` where no score is known. From a usual of
    `no_mark_from` on no mark is offered. `running` bad sessions make a spell; one that lasted
    `days` days is told the clinic, and so is one whose last `rising` scores rose each time. Bad
    sessions that go back more than `let_go_days` are no spell any longer but the usual.
    """

    scores: int
    scores_needed: int
    above_usual: int
    above_ceiling: int
    mark_without_usual: int
    no_mark_from: int
    running: int
    days: int
    rising: int
    let_go_days: int


def bad_day_rule(policy: "Policy") -> BadDayRule:
    """The numbers as the policy has them."""
    bad, spell = policy.numbers("bad_day"), policy.numbers("third_bad_day")
    return BadDayRule(**bad, **spell, **policy.numbers("flare_days_used_up", "flare_worsens"))


@record
class Scored(Record):
    """One session as far as bad days go: its before score and its pain at rest, if it has them.
    `comparable`: the score is of the plan's move, to its depth."""

    day: date
    before: int | None
    comparable: bool
    rest_pain: int | None


@record
class Spell(Record):
    """A bad spell. `since` is the day it was pressed or of the first of the bad sessions that made
    it; `sessions` how many of the last sessions were bad, one after the other."""

    since: date
    pressed: bool
    sessions: int
    call: SpellCall | None

    def day(self, today: date) -> int:
        """Which day of it a day is, from 1."""
        return (today - self.since).days + 1


@record
class BadDays(Record):
    """How bad days stand for one knee. `mark` None: no score makes a bad day; `usual` None: no
    comparable score is known. `running` bad sessions came last."""

    usual: float | None = None
    mark: int | None = None
    running: int = 0
    spell: Spell | None = None


NO_BAD_DAYS = BadDays()
"""Nothing is known, and no score makes a bad day."""


def by_version(plans: Iterable[Plan]) -> dict[int, Plan]:
    """Plans at hand, by their version."""
    return {plan.version: plan for plan in plans}


def bad_days(
    policy: "Policy",
    versions: Mapping[int, Plan],
    entries: Entries,
    side: Side,
    today: date,
) -> BadDays:
    """Usual, mark and spell of a knee today, by the newest of `versions`, all plans there are.

    `entries` are those that count. Of the plans too only those are looked at that the scores need:
    a store reads each when it is first touched.
    """
    sessions = _Sessions(policy, versions, entries, side)
    run, usual = _bad_run(sessions)
    mark = mark_in_force(sessions.rule, sessions.plan, usual)
    spell = _spell(entries, run, sessions, today)
    return BadDays(usual=usual, mark=mark, running=run, spell=spell)


def was_bad_on(
    policy: "Policy",
    versions: Mapping[int, Plan],
    entries: Entries,
    side: Side,
    day: date,
    *,
    by_score: bool = False,
) -> bool:
    """Whether the last session of a knee was a bad one, and on that day; `by_score`: by the score
    before it, and not by the pain at rest, which is asked about anew each time."""
    sessions = _Sessions(policy, versions, entries, side)
    newest = sessions.at(0)
    if newest is None or newest.day != day or (by_score and newest.before is None):
        return False
    return _bad_run(sessions)[0] > 0


def offered_mark(rule: BadDayRule, usual: float | None, ceiling: int) -> int | None:
    """The bad-day mark for somebody of that usual score; None where the clinic has to decide.

    Without a usual it is a number of its own. It never lies at or below the ceiling, or every
    session with a step that stops would be a bad one, nor above 10.
    """
    if usual is None:
        wanted = rule.mark_without_usual
    elif usual >= rule.no_mark_from:
        return None
    else:
        wanted = ceil(usual + rule.above_usual)
    return min(10, max(wanted, ceiling + rule.above_ceiling))


def mark_in_force(rule: BadDayRule, plan: Plan, usual: float | None) -> int | None:
    """The mark of the plan; where it says none and does not leave it off, the one offered."""
    if plan.bad_day_mark_off:
        return None
    if plan.bad_day_mark is not None:
        return plan.bad_day_mark
    return offered_mark(rule, usual, plan.pain_ceiling)


def rest_pain_limit(plan: Plan) -> int:
    """The most pain at rest with which hands, standing exercise and the check move stay open."""
    return plan.pain_ceiling if plan.rest_pain_limit is None else plan.rest_pain_limit


def usual_rest_pain(policy: "Policy", entries: Entries, side: Side) -> float | None:
    """The usual pain at rest, taken as the usual score is; None where none is known. It needs no
    move, so every session compares."""
    newest = newest_first(entries, Session, side=side)
    oldest = oldest_first(entries, Session, side=side)
    first = next((one.rest_pain for one in oldest if one.rest_pain is not None), None)
    rule = bad_day_rule(policy)
    return _usual(rule, (one.rest_pain for one in newest if one.rest_pain is not None), first)


class _Sessions:
    """The sessions of a knee from the newest on that say how bad it was, read as far as asked; with
    the rule and the plan they are judged by."""

    def __init__(
        self, policy: "Policy", versions: Mapping[int, Plan], entries: Entries, side: Side
    ) -> None:
        self.rule = bad_day_rule(policy)
        self.plan = versions[max(versions)]
        self._depths = (None, self.plan.check_move.depth)
        self._versions = versions
        self._alike: dict[int, bool] = {}
        self._newest = self._read(newest_first(entries, Session, side=side))
        self._taken: list[Scored] = []
        oldest = self._read(oldest_first(entries, Session, side=side))
        self.first = next((one.before for one in oldest if one.comparable), None)
        """The first before score of all."""

    def at(self, number: int) -> Scored | None:
        """The session of that number, the newest is 0; None past the last."""
        while len(self._taken) <= number:
            one = next(self._newest, None)
            if one is None:
                return None
            self._taken.append(one)
        return self._taken[number]

    def befores_from(self, number: int) -> Iterator[int]:
        """Comparable before scores from that session on to older ones."""
        while (one := self.at(number)) is not None:
            if one.comparable and one.before is not None:
                yield one.before
            number += 1

    def _read(self, sessions: Iterator[Session]) -> Iterator[Scored]:
        for session in sessions:
            before = next((m.score for m in session.moves if m.role == "before"), None)
            if before is None and session.rest_pain is None:
                continue
            yield Scored(
                day=session.for_day,
                before=before,
                comparable=before is not None
                and self._is_alike(session.plan_version)
                and session.depth in self._depths,
                rest_pain=session.rest_pain,
            )

    def _is_alike(self, version: int) -> bool:
        """A score of another move, or to another depth, says nothing of the usual of this one."""
        if version not in self._alike:
            of = self._versions.get(version)
            self._alike[version] = of is not None and of.check_move == self.plan.check_move
        return self._alike[version]


def _usual(rule: BadDayRule, newest: Iterator[int], first: int | None) -> float | None:
    last = list(islice(newest, rule.scores))
    if len(last) >= rule.scores_needed:
        return median(last)
    return None if first is None else float(first)


def _bad_run(sessions: _Sessions) -> tuple[int, float | None]:
    """How many of the newest sessions were bad one after the other, and what was usual before.

    The longest run counts of which each reaches the mark by what was usual before the run: a spell
    must not raise its own usual, and so end by itself. Where too few scores lie before it to say
    what that was, its own count too: the very first score may have been a good day's.

    No run goes over a session that no usual at all makes a bad one: so no more is read than it
    takes to say so.
    """
    rule, plan = sessions.rule, sessions.plan
    found, usual = 0, _usual(rule, sessions.befores_from(0), sessions.first)
    with_it = usual
    lowest = mark_in_force(rule, plan, 0.0)
    newest = sessions.at(0)
    number = 1
    while newest is not None and (one := sessions.at(number - 1)) is not None:
        if newest.day - one.day > timedelta(days=rule.let_go_days):
            break
        if not was_bad(plan, lowest, one):
            break
        earlier = list(islice(sessions.befores_from(number), rule.scores))
        before_run = median(earlier) if len(earlier) >= rule.scores_needed else with_it
        mark = mark_in_force(rule, plan, before_run)
        run = (sessions.at(n) for n in range(number))
        if all(each is not None and was_bad(plan, mark, each) for each in run):
            found, usual = number, before_run
        number += 1
    return found, usual


def median(scores: Sequence[int]) -> float:
    """The middle of some scores, one at least. The module of the language that has it takes longer
    to load than the front page may wait."""
    row = sorted(scores)
    half = len(row) // 2
    return float(row[half]) if len(row) % 2 else (row[half - 1] + row[half]) / 2


def was_bad(plan: Plan, mark: int | None, session: Scored) -> bool:
    """Whether a session was a bad one: by its before score, or by its pain at rest, with which
    none is taken."""
    if session.before is not None and mark is not None and session.before >= mark:
        return True
    return session.rest_pain is not None and session.rest_pain > rest_pain_limit(plan)


def _spell(entries: Entries, run: int, sessions: _Sessions, today: date) -> Spell | None:
    rule, plan = sessions.rule, sessions.plan
    pressed = _pressed(entries)
    newest = sessions.at(0)
    first = sessions.at(run - 1) if run >= rule.running else None
    if newest is None or today - newest.day > timedelta(days=rule.let_go_days):
        first = None
    begun = [day for day in (pressed, None if first is None else first.day) if day is not None]
    if not begun:
        return None
    since = min(begun)
    call: SpellCall | None = None
    if (today - since).days >= (plan.flare_days or rule.days):
        call = "flare_days_used_up"
    elif _rises(sessions, since):
        call = "flare_worsens"
    elif plan.flare_plan is None and first is not None:
        call = "no_flare_plan"
    return Spell(since=since, pressed=pressed is not None, sessions=run, call=call)


def _pressed(entries: Entries) -> date | None:
    """The day the person said that a bad spell began, while it is not said to be over. Said at one
    instant, it is over."""
    begun, over = _last(entries, "bad_spell"), _last(entries, "bad_spell_over")
    if begun is None or (over is not None and happened_at(over) >= happened_at(begun)):
        return None
    return begun.for_day


def _last(entries: Entries, what: EventKind) -> Event | None:
    events = newest_first(entries, Event, by="time", words=[what])
    return next((one for one in events if one.what == what), None)


def _rises(sessions: _Sessions, since: date) -> bool:
    """Whether the last scores of the spell, of the move or at rest, rose each time."""
    last: list[Scored] = []
    while len(last) < sessions.rule.rising:
        one = sessions.at(len(last))
        if one is None or one.day < since:
            return False
        last.append(one)

    def rose(row: Iterable[int | None]) -> bool:
        pairs = pairwise(row)
        return all(new is not None and old is not None and new > old for new, old in pairs)

    return rose(one.before for one in last) or rose(one.rest_pain for one in last)
