"""How bad today is for a knee and how much of the routine it gets; and a bad spell, as the person
says that it began or is over.

This is on the way to the first paint: it loads neither the walks nor the content of the trade.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from companion.care.bad_days import BadDays, Spell, bad_days
from companion.care.dose import Dose, dose_today
from companion.care.finding import Entries
from companion.care.patch_looks import red_test
from companion.care.records import AfterLast, Event, PatchTest, Plan, Side
from companion.care.state_calls import StateCall, told_of
from companion.services.context import Context

if TYPE_CHECKING:
    from companion.care.policy import Policy


def bad_days_of(context: Context, side: Side) -> BadDays:
    """Usual score, mark and spell of a knee today; no call that was answered for. Raises ValueError
    without a plan."""
    return _bad_days(context.policy, context.journal.versions, context.entries, side, _day(context))


def dose_of(context: Context, plan: Plan, side: Side, said: AfterLast | None = None) -> Dose:
    """Today's dose of a knee; `said` is an answer about the last routine, in no entry yet."""
    return _dose(context.policy, plan, context.entries, side, _day(context), said)


def _day(context: Context) -> date:
    return context.clock.today()


def _bad_days(
    policy: "Policy", versions: Mapping[int, Plan], entries: Entries, side: Side, today: date
) -> BadDays:
    found = bad_days(policy, versions, entries, side, today)
    spell = found.spell
    if spell is None or spell.call is None:
        return found
    if not told_of(policy, entries, "spell_call", today, spell.since):
        return found
    return replace(found, spell=replace(spell, call=None))


def _dose(
    policy: "Policy",
    plan: Plan,
    entries: Entries,
    side: Side,
    today: date,
    said: AfterLast | None = None,
) -> Dose:
    dose = dose_today(policy, plan, entries, side, today, said)
    if not dose.call:
        return dose
    return replace(dose, told=told_of(policy, entries, "dose_call", today))


def calls_due(
    red: PatchTest | None, spells: Iterable[Spell | None], doses: Iterable[Dose | None]
) -> tuple[StateCall, ...]:
    """The calls that nobody answered for yet: by a test piece that was not clear, and by the spells
    and doses of the knees."""
    due: list[StateCall] = [] if red is None else ["patch_call"]
    if any(spell is not None and spell.call is not None for spell in spells):
        due.append("spell_call")
    if any(dose is not None and dose.call for dose in doses):
        due.append("dose_call")
    return tuple(due)


def calls_of(context: Context, plan: Plan) -> tuple[StateCall, ...]:
    """The same, for the knees of a plan."""
    return calls_in(context.policy, context.journal.versions, context.entries, plan, _day(context))


def calls_in(
    policy: "Policy", versions: Mapping[int, Plan], entries: Entries, plan: Plan, today: date
) -> tuple[StateCall, ...]:
    """The same of any diary: of all its plans, and of the entries that count."""
    return calls_due(
        red_test(entries),
        (_bad_days(policy, versions, entries, side, today).spell for side in plan.sides),
        (_dose(policy, plan, entries, side, today) for side in plan.sides),
    )


def say_bad_spell(context: Context, *, over: bool = False) -> Event:
    """Write down that a bad spell began today, or is over. Raises LookupError without a plan."""
    event = Event(**context.stamp(), what="bad_spell_over" if over else "bad_spell")
    return context.journal.write(event)[0]
