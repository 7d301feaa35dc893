"""How bad today is for a knee and how much of the routine it gets; and a bad spell, as the person
says that it began or is over.

This is on the way to the first paint: it loads neither the walks nor the content of the trade.
"""

from companion.care.bad_days import BadDays, bad_days
from companion.care.dose import Dose, dose_today
from companion.care.records import AfterLast, Event, Plan, Side
from companion.services.context import Context
from companion.system.ids import new_id


def bad_days_of(context: Context, side: Side) -> BadDays:
    """Usual score, mark and spell of a knee today. Raises ValueError without a plan."""
    today = context.clock.today()
    return bad_days(context.policy, context.journal.plans(), context.entries, side, today)


def dose_of(context: Context, plan: Plan, side: Side, said: AfterLast | None = None) -> Dose:
    """Today's dose of a knee; `said` is an answer about the last routine, in no entry yet."""
    return dose_today(context.policy, plan, context.entries, side, context.clock.today(), said)


def say_bad_spell(context: Context, *, over: bool = False) -> Event:
    """Write down that a bad spell began today, or is over. Raises LookupError without a plan."""
    plan = context.plan()
    if plan is None:
        raise LookupError("a bad spell is that of a plan")
    event = Event(
        id=new_id(),
        for_day=context.clock.today(),
        written_at=context.clock.now(),
        written_by="person",
        plan_version=plan.version,
        what="bad_spell_over" if over else "bad_spell",
    )
    context.journal.append(event)
    return event
