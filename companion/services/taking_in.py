"""Taking a file into the diary at home: what it would bring first, and then on a yes."""

from companion.care.records import Diary, Plan
from companion.exchange.taking_in import Preview, preview, preview_plan
from companion.services.context import Context


def would_bring(context: Context, found: Plan | Diary) -> Preview:
    """What taking in a plan or a diary would bring to the diary at hand."""
    if isinstance(found, Diary):
        return preview(context.diary(), found)
    return preview_plan(context.journal.plans(), found)


def take_in(context: Context, brings: Preview) -> None:
    """Take in what a preview holds, all of it or nothing."""
    context.journal.append(*brings.new, plans=brings.new_plans)
