"""Taking a file into the diary at home: what it would bring first, and then on a yes."""

from functools import partial

from companion.care.answered_signs import told_by_plan
from companion.care.records import AnyEntry, Diary, Plan
from companion.exchange.taking_in import Preview, preview, preview_plan
from companion.services.context import PLAN_WAITS, Context, derived_id


def would_bring(context: Context, found: Plan | Diary) -> Preview:
    """What taking in a plan or a diary would bring to the diary at hand."""
    if isinstance(found, Diary):
        return preview(context.diary(), found)
    return preview_plan(context.journal.plans(), found)


def take_in(context: Context, brings: Preview) -> None:
    """Take in what a preview holds, all of it or nothing, with what its plans say of open signs.

    It is appended, not written: none of it was told here. Each entry keeps the machine and the turn
    it came with, and what a plan says has none, for the clinic said it (`care/answered_signs`).
    """
    told = _told_by_plans(context, brings)
    context.journal.append(*brings.new, *told, plans=brings.new_plans)


def _told_by_plans(context: Context, brings: Preview) -> tuple[AnyEntry, ...]:
    answering = [plan for plan in brings.new_plans if plan.open_signs]
    if not answering:
        return ()
    own = context.diary()
    before = [*(() if own is None else own.entries), *brings.new]
    told: list[AnyEntry] = []
    for plan in sorted(answering, key=lambda plan: plan.version):
        entry_id = partial(derived_id, "open_sign", plan.person, str(plan.version))
        told += told_by_plan(plan, [*before, *told], context.policy, entry_id)
    return tuple(told)


def keep_waiting(context: Context, found: Plan | Diary) -> None:
    """Keep a plan that came until it is taken in or left: the front page says that it waits."""
    from companion.exchange.files import diary_bytes, plan_bytes

    plan = found.plan if isinstance(found, Diary) else found
    file = diary_bytes(found) if isinstance(found, Diary) else plan_bytes(found)
    context.journal.save_draft(PLAN_WAITS, {"version": plan.version, "file": file.decode()})


def waiting(context: Context) -> Plan | Diary | None:
    """The plan that waits."""
    from companion.exchange.files import read_bytes

    draft = context.journal.draft(PLAN_WAITS)
    if draft is None:
        return None
    reading = read_bytes(str(draft["file"]).encode(), today=context.clock.today())
    return reading.plan or reading.diary


def drop_waiting(context: Context) -> None:
    """It was taken in, or left."""
    context.journal.drop_draft(PLAN_WAITS)
