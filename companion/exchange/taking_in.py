"""What would be taken in from a file, shown before anything is.

Only values go in and out. Whoever wants it done hands `new` and `new_plans` to the store, which
takes both in one transaction.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from companion.care.records import AnyEntry, Diary, Plan, PlanSide, newest_in_force
from companion.exchange.cross_checks import beside, same_content

WhyRefused = Literal[
    "another_person",
    "another_birth_year",
    "practice_plan",
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
    `conflicts` are ids that stand for something else here: of each, `new` holds what the file says
    as a rival of what is here. `side_changes` holds the side so far and the side from now on where
    they differ: taking that in needs an explicit yes.
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
    refused = (
        _wrong_person(own_plans, incoming.plan)
        or _for_looking_round(own_plans, incoming.plan)
        or _rival_plan(own_plans, incoming.plans)
    )
    if refused is not None:
        return Preview(refused)
    here = {entry.id: entry for entry in own.entries} if own is not None else {}
    differ = {e.id: beside(e) for e in incoming.entries if not same_content(here.get(e.id, e), e)}
    every = (*incoming.entries, *differ.values())
    new = tuple(entry for entry in every if entry.id not in here)
    own_version = {plan.version: plan for plan in own_plans}
    # A plan nobody signed comes beside a signed one only where entries were written under it.
    needed = {entry.plan_version for entry in new}
    drafts_wait = any(not plan.practice for plan in own_plans)
    new_plans = tuple(
        plan
        for plan in incoming.plans
        if (
            plan.version not in own_version
            and not (plan.practice and drafts_wait and plan.version not in needed)
        )
        or (plan.version in own_version and _signed_now(own_version[plan.version], plan))
    )
    known = len(every) - len(new)
    if not new and not new_plans:
        return Preview(Refusal("nothing_new"), known=known)
    return Preview(
        new=new,
        new_plans=new_plans,
        known=known,
        corrections=sum(entry.replaces is not None for entry in new),
        conflicts=tuple(name for name, rival in differ.items() if rival.id not in here),
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
    refused = _for_looking_round(own, incoming) or _rival_plan(own, (incoming,))
    if refused is not None:
        return Preview(refused)
    counting = [plan for plan in own if incoming.practice or not plan.practice]
    newest = max((plan.version for plan in counting), default=0)
    if incoming.version < newest:
        return Preview(Refusal("plan_older", {"theirs": incoming.version, "ours": newest}))
    return Preview(new_plans=(incoming,), side_changes=_side_changes(own, (incoming,)))


def _wrong_person(own: Sequence[Plan], incoming: Plan) -> Refusal | None:
    if not own:
        return None
    in_force = newest_in_force(own)
    if incoming.person != in_force.person:
        return Refusal("another_person", {"theirs": incoming.person, "ours": in_force.person})
    ours, theirs = in_force.birth_year, incoming.birth_year
    if ours is not None and theirs is not None and ours != theirs:
        values = {"person": incoming.person, "theirs": theirs, "ours": ours}
        return Refusal("another_birth_year", values)
    return None


def _for_looking_round(own: Sequence[Plan], incoming: Plan) -> Refusal | None:
    """A plan nobody signed takes the place of no signed one: it is for looking round."""
    signed = [plan.version for plan in own if not plan.practice]
    if incoming.practice and signed and incoming not in own:
        return Refusal("practice_plan", {"theirs": incoming.version, "ours": max(signed)})
    return None


def _signed_now(here: Plan, incoming: Plan) -> bool:
    """Whether a plan that nobody had signed comes signed: it stands in its place."""
    return here.practice and not incoming.practice


def _rival_plan(own: Sequence[Plan], incoming: Sequence[Plan]) -> Refusal | None:
    here = {plan.version: plan for plan in own}
    rivals = [
        plan.version
        for plan in incoming
        if (known := here.get(plan.version, plan)).practice == plan.practice
        and not same_content(known, plan)
    ]
    return Refusal("plan_differs", {"theirs": rivals[0]}) if rivals else None


def _side_changes(own: Sequence[Plan], new: Sequence[Plan]) -> tuple[PlanSide, PlanSide] | None:
    """The side of the plan in force now, and of the one in force afterwards, if another."""
    if not own:
        return None
    before = newest_in_force(own)
    after = newest_in_force((before, *new))
    return None if after.side == before.side else (before.side, after.side)
