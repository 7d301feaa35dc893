"""What a draft of a plan is tried on: a diary of its own with the open warnings of this one."""

from dataclasses import replace

from companion.care.closures import open_warnings
from companion.care.records import Diary, Plan
from companion.services.context import Context


def to_try(context: Context, draft: Plan) -> Diary:
    """The draft, with the signs that are open here: whoever tries it on the knee they have is not
    led past what their cards close."""
    held = (
        replace(
            sign,
            plan_version=draft.version,
            replaces=None,
            machine=None,
            turn=None,
            over=(),
            beside=None,
        )
        for sign in open_warnings(context.entries, context.policy)
    )
    return Diary(plans=(draft,), entries=tuple(held))
