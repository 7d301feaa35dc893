"""What is open in a diary as a paper is printed from a file: by the command, or at the clinic."""

from __future__ import annotations

from datetime import date
from functools import partial

from companion.care.answered_signs import told_by_plan
from companion.care.bad_days import by_version
from companion.care.history import current
from companion.care.policy import Policy
from companion.care.records import AnyEntry, Diary, Plan
from companion.care.state_calls import StateCall
from companion.services.bad_spell import calls_in
from companion.services.context import derived_id


def open_in(
    diary: Diary, plan: Plan, policy: Policy, today: date
) -> tuple[tuple[AnyEntry, ...], tuple[StateCall, ...]]:
    """The entries that count once home took the plan in, with what it says of open signs, and the
    calls that the days ask for. Nothing is written."""
    entry_id = partial(derived_id, "open_sign", plan.person, str(plan.version))
    told = told_by_plan(plan, diary.entries, policy, entry_id)
    counting = current((*diary.entries, *told))
    versions = by_version((*diary.plans, plan))
    return counting, calls_in(policy, versions, counting, plan, today)
