"""What would be taken in from a file, shown before anything is.

Only values go in and out. Whoever wants it done hands `new` and `new_plans` to the store, which
takes both in one transaction.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from companion.care.records import AnyEntry, Diary, Plan, PlanSide
from companion.exchange.cross_checks import same_content

WhyRefused = Literal[
    "another_person",
    "another_birth_year",
    "entries_differ",
    "plan_differs",
    "plan_here",
    "plan_older",
    "nothing_new",
]


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why nothing of a file is taken in, and what the sentence about it names: `theirs` and `ours`
    (code, birth year or version of the file and of what is here), `person`, `n` entries."""

    why: WhyRefused
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Preview:
    """What a file would bring. When it is `refused`, `new` and `new_plans` are empty.

    `known` entries are here already. `corrections` are those of `new` that replace an entry.
    `conflicts` are ids that stand for something else here. `side_changes` holds the side so far and
    the side from now on where they differ: taking that in needs an explicit yes.
    """

    refused: Refusal | None = None
    new: tuple[AnyEntry, ...] = ()
    new_plans: tuple[Plan, ...] = ()
    known: int = 0
    corrections: int = 0
    conflicts: tuple[str, ...] = ()
    side_changes: tuple[PlanSide, PlanSide] | None = None


def preview(own: Diary | None, incoming: Diary) -> Preview:
    """What taking in the diary `incoming` would bring. `own` None: nothing is here yet."""
    own_plans = own.plans if own is not None else ()
    refused = _wrong_person(own_plans, incoming.plan) or _rival_plan(own_plans, incoming.plans)
    if refused is not None:
        return Preview(refused)
    here = {entry.id: entry for entry in own.entries} if own is not None else {}
    conflicts = tuple(e.id for e in incoming.entries if not same_content(here.get(e.id, e), e))
    if conflicts:
        return Preview(Refusal("entries_differ", {"n": len(conflicts)}), conflicts=conflicts)
    new = tuple(entry for entry in incoming.entries if entry.id not in here)
    versions = {plan.version for plan in own_plans}
    new_plans = tuple(plan for plan in incoming.plans if plan.version not in versions)
    known = len(incoming.entries) - len(new)
    if not new and not new_plans:
        return Preview(Refusal("nothing_new"), known=known)
    return Preview(
        new=new,
        new_plans=new_plans,
        known=known,
        corrections=sum(entry.replaces is not None for entry in new),
        side_changes=_side_changes(own_plans, new_plans),
    )


def preview_plan(own: Sequence[Plan], incoming: Plan) -> Preview:
    """What taking in the plan `incoming` would bring, given the plan versions that are here."""
    refused = _wrong_person(own, incoming)
    if refused is not None:
        return Preview(refused)
    same = next((plan for plan in own if plan.version == incoming.version), None)
    if same is not None and same_content(same, incoming):
        return Preview(Refusal("plan_here", {"theirs": incoming.version}))
    refused = _rival_plan(own, (incoming,))
    if refused is not None:
        return Preview(refused)
    newest = max((plan.version for plan in own), default=0)
    if incoming.version < newest:
        return Preview(Refusal("plan_older", {"theirs": incoming.version, "ours": newest}))
    return Preview(new_plans=(incoming,), side_changes=_side_changes(own, (incoming,)))


def _wrong_person(own: Sequence[Plan], incoming: Plan) -> Refusal | None:
    if not own:
        return None
    in_force = max(own, key=lambda plan: plan.version)
    if incoming.person != in_force.person:
        return Refusal("another_person", {"theirs": incoming.person, "ours": in_force.person})
    ours, theirs = in_force.birth_year, incoming.birth_year
    if ours is not None and theirs is not None and ours != theirs:
        values = {"person": incoming.person, "theirs": theirs, "ours": ours}
        return Refusal("another_birth_year", values)
    return None


def _rival_plan(own: Sequence[Plan], incoming: Sequence[Plan]) -> Refusal | None:
    here = {plan.version: plan for plan in own}
    rivals = [p.version for p in incoming if not same_content(here.get(p.version, p), p)]
    return Refusal("plan_differs", {"theirs": rivals[0]}) if rivals else None


def _side_changes(own: Sequence[Plan], new: Sequence[Plan]) -> tuple[PlanSide, PlanSide] | None:
    """The side of the plan in force now, and of the one in force afterwards, if another."""
    if not own:
        return None
    before = max(own, key=lambda plan: plan.version)
    after = max((before, *new), key=lambda plan: plan.version)
    return None if after.side == before.side else (before.side, after.side)
