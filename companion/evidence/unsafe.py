"""What may be unsafe in a diary, in the order in which it is read: codes with their numbers.

Open cards first, then falls, the head and the skin, signs nobody answered for, steps that were
stopped, answers of day pages that are new for this person, pain going up, and nothing written.
Pages word it; nothing else decides what is unsafe.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date, timedelta
from typing import get_args

from companion.care.adherence import plan_on
from companion.care.closures import concerns, open_warnings, still_holds
from companion.care.day_answers import offer_of, value_of
from companion.care.levels import level_rank
from companion.care.policy import Policy, WatchPolicy
from companion.care.records import AnyEntry, Event, Plan, WarningSign, newest_in_force
from companion.evidence.figures import Better, Pain, SkinEvent, Unsafe, UnsafeCode
from companion.evidence.readings import Readings

SILENT: tuple[UnsafeCode, ...] = ("silent_after_card", "silent")
"""What grows with the days and is in no entry."""
EARLIER_NEEDED = 14  # (fact: silence_by_chance)
_YEAR = timedelta(days=365)


def unsafe(
    readings: Readings,
    pain: Pain,
    better: Better,
    skin: Iterable[SkinEvent],
    policy: Policy,
    read_on: date,
) -> tuple[Unsafe, ...]:
    """Everything of one knee, and of the person, that may be unsafe, the most pressing first;
    `better` is what is said of its pain.

    What happened counts for some weeks before the last entry; `read_on` is the day up to which
    silence is counted, and nothing else depends on it.
    """
    last_day = max((entry.for_day for entry in readings.entries), default=None)
    if last_day is None:
        return tuple(_silent(readings, policy, read_on))
    recent = last_day - timedelta(days=policy.watch.recent_days - 1)
    found = (
        *_open(readings, policy),
        *_falls(readings, policy, recent),
        *_heads(readings, policy, recent),
        *_skin(skin, recent),
        *_steps(readings, policy, recent),
        *_answers(readings, policy),
        *_rising(readings, pain, better),
        *_silent(readings, policy, read_on),
    )
    order = get_args(UnsafeCode)
    return tuple(sorted(found, key=lambda each: order.index(each.code)))


def _open(readings: Readings, policy: Policy) -> Iterator[Unsafe]:
    """The signs that still hold; those below call that close nothing are no news."""
    for warning in open_warnings(readings.entries, policy):
        if not concerns(warning, readings.side):
            continue
        pressing = level_rank(warning.level) >= level_rank("today")
        plan, answer = readings.answered.get(warning.id, (None, None))
        yield Unsafe(
            code="open_card" if pressing else "open_sign",
            side=readings.side if len(warning.sides) == 1 and not pressing else None,
            day=warning.for_day,
            sign=warning.sign,
            level=warning.level,
            answer=answer,
            plan_version=None if plan is None else plan.version,
            plan_written_on=None if plan is None else plan.written_on,
        )


def _falls(readings: Readings, policy: Policy, recent: date) -> Iterator[Unsafe]:
    """Every day of late with a fall, written as an event or told by a sign, with how many such days
    there were in the year before it. An event says more than a sign of the same day."""
    events = [e for e in readings.entries if isinstance(e, Event) and e.what == "fall"]
    written = {event.for_day for event in events}
    signs = [s for s in _ticked(readings, policy.watch.falls) if s.for_day not in written]
    days = written.union(sign.for_day for sign in signs)
    fallen: list[Event | WarningSign] = [*events, *signs]
    for fall in sorted(fallen, key=lambda each: each.for_day):
        if fall.for_day >= recent:
            event = fall if isinstance(fall, Event) else None
            yield Unsafe(
                code="fall",
                side=None if event is None else event.side,
                day=fall.for_day,
                sign=fall.sign if isinstance(fall, WarningSign) else None,
                note=None if event is None else event.note,
                count=sum(fall.for_day - _YEAR < day <= fall.for_day for day in days),
            )


def _heads(readings: Readings, policy: Policy, recent: date) -> Iterator[Unsafe]:
    """Knocks to the head that are answered for; one that is not is a card."""
    for sign in _ticked(readings, policy.watch.heads):
        if sign.for_day >= recent and not still_holds(sign, policy):
            yield Unsafe(
                code="head_knock", side=None, day=sign.for_day, sign=sign.sign, level=sign.level
            )


def _ticked(readings: Readings, signs: Collection[str]) -> list[WarningSign]:
    """The times one of these signs was ticked, and not by mistake."""
    return [
        entry
        for entry in readings.entries
        if isinstance(entry, WarningSign)
        and entry.sign in signs
        and entry.cleared != "ticked_by_mistake"
    ]


def _skin(seen: Iterable[SkinEvent], recent: date) -> Iterator[Unsafe]:
    for event in seen:
        if event.day >= recent:
            yield Unsafe(
                code="skin", side=event.side, day=event.day, skin=event.skin, source=event.source
            )


def _steps(readings: Readings, policy: Policy, recent: date) -> Iterator[Unsafe]:
    """A step that was stopped in several of its last sessions, or by very high pain."""
    watch = policy.watch
    for step, sessions in _sessions_by_step(readings, recent).items():
        last = sorted(sessions.items())[-watch.step_sessions :]
        stopped = [(day, pain) for (day, _), pain in last if pain is not None]
        highest = max((pain for _, pain in stopped), default=0)
        if len(stopped) >= watch.step_stopped or highest > watch.step_above:
            yield Unsafe(
                code="step_stopped",
                side=readings.side,
                day=stopped[-1][0],
                step=step,
                count=len(stopped),
                of=len(last),
                highest=highest or None,
            )


def _sessions_by_step(
    readings: Readings, recent: date
) -> dict[str, dict[tuple[date, str], int | None]]:
    """For each step its sessions by day and id: the pain it was stopped at, 0 where none was
    given; None where it was not stopped."""
    found: dict[str, dict[tuple[date, str], int | None]] = {}
    for session in readings.sessions:
        if session.for_day < recent:
            continue
        steps = [step for one in session.rounds for step in one.steps]
        for step in (*steps, *session.exercises):
            if step.outcome == "skipped":
                continue
            at = found.setdefault(step.step, {})
            key = (session.for_day, session.id)
            pain = (step.pain or 0) if step.outcome == "stopped" else None
            known = at.get(key)
            at[key] = known if pain is None else max(pain, known or 0)
    return found


def _answers(readings: Readings, policy: Policy) -> Iterator[Unsafe]:
    """Answers of the last pages that were new for this person on their day."""
    if readings.last_day is None:
        return
    first = readings.last_day - timedelta(days=policy.watch.answer_days - 1)
    of_knee = [page for _, page in sorted(readings.pages.items())]
    pages = [page for page in of_knee if page.for_day >= first]
    for rule in policy.answers:
        if rule.answer == "worst":
            continue  # told by pain going up, which one day is not
        values = [(page.for_day, value_of(page, rule.answer)) for page in pages]
        answered = [(day, value) for day, value in values if value is not None]
        new = []
        for day, value in answered:
            plan = plan_on(readings.plans, day)
            offer = offer_of(rule, plan, of_knee, readings.side, day)
            if offer is not None and value >= offer.at_least:
                new.append((day, value, offer.usual))
        if new:
            yield Unsafe(
                code=rule.answer,
                side=readings.side,
                day=new[-1][0],
                count=len(new),
                of=len(answered),
                highest=max(value for _, value, _ in new),
                usual=new[-1][2],
            )


def _rising(readings: Readings, pain: Pain, better: Better) -> Iterator[Unsafe]:
    if better == "probably_higher":
        yield Unsafe(
            code="rising",
            side=readings.side,
            day=pain.model.last_day,
            highest=pain.model.change,
            usual=pain.model.before,
        )
    if pain.signal_decision == "signal":
        signal = pain.signals[-1]
        yield Unsafe(
            code="signal",
            side=readings.side,
            day=signal.last_day,
            highest=signal.rise_points,
            usual=signal.limit_points,
        )


def _silent(readings: Readings, policy: Policy, read_on: date) -> Iterator[Unsafe]:
    since = heard_of(readings.entries, readings.plans)
    after_card = card_before(readings.entries, policy)
    code = silence(policy.watch, since, read_on, after_card=after_card)
    if code is not None:
        days, (empty, of) = (read_on - since).days, _empty_days(readings)
        # As if each day were left out for itself, with one more of two added so that none is never.
        chance = ((empty + 1) / (of + 2)) ** days
        yield Unsafe(
            code=code,
            side=None,
            day=since,
            days=days,
            count=empty,
            of=of,
            by_chance=chance if of >= EARLIER_NEEDED else None,
        )


def _empty_days(readings: Readings) -> tuple[int, int]:
    """On how many days from the first entry at home to the last there is none, and of how many."""
    written = {entry.for_day for entry in readings.entries if entry.written_by != "clinic"}
    of = (max(written) - min(written)).days + 1 if written else 0
    return of - len(written), of


def heard_of(entries: Iterable[AnyEntry], plans: Sequence[Plan]) -> date:
    """The last day the person was heard of: the last entry, or the plan in force where that is
    newer."""
    written_on = newest_in_force(plans).written_on
    return max((written_on, *(entry.for_day for entry in entries)))


def silence(
    watch: WatchPolicy, since: date, read_on: date, *, after_card: bool
) -> UnsafeCode | None:
    """Whether nothing was written for too long up to `read_on`; `since` is when the person
    was last heard of."""
    days = (read_on - since).days
    if after_card and days >= watch.silent_days_after_card:
        return "silent_after_card"
    return "silent" if days >= watch.silent_days else None


def card_before(entries: Sequence[AnyEntry], policy: Policy) -> bool:
    """Whether a card to call or be seen is open, or came in the days before the last entry."""
    last = max((entry.for_day for entry in entries), default=None)
    return last is not None and any(
        isinstance(sign, WarningSign)
        and level_rank(sign.level) >= level_rank("call")
        and sign.cleared != "ticked_by_mistake"
        and (still_holds(sign, policy) or (last - sign.for_day).days < policy.watch.silent_days)
        for sign in entries
    )
