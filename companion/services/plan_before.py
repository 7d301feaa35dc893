"""Going back to the plan before for a day, and on to the one in force again."""

from dataclasses import replace

from companion.care.open_things import went_back
from companion.care.plan_before import plan_to_go_back_to
from companion.care.records import Event, Plan, WrittenBy
from companion.services.context import Context


def may_go_back(context: Context) -> Plan | None:
    """The plan that may be gone back to today; None where there is none, or it was done already."""
    plan = context.journal.plan_in_force()
    if plan is None or went_back(context.entries, context.clock.today()) is not None:
        return None
    return plan_to_go_back_to(plan, context.journal.versions)


def go_back(context: Context, written_by: WrittenBy) -> Event:
    """Write down that today goes by the plan before: the clinic reads it. Raises LookupError where
    there is none."""
    if may_go_back(context) is None:
        raise LookupError("there is no plan to go back to")
    return context.journal.write(Event(**context.stamp(written_by), what="plan_before"))[0]


def go_on(context: Context, written_by: WrittenBy) -> None:
    """Go by the plan in force again. What was written in between stays."""
    event = went_back(context.entries, context.clock.today())
    if event is not None:
        context.correct(replace(event, withdrawn="taken_back"), written_by)
