"""What would be taken in from a file, shown before anything is.

Only values go in and out. Whoever wants it done hands `new` and `new_plans` to the store, which
takes both in one transaction.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from companion.care.records import AnyEntry, Diary, Plan, PlanSide
from companion.exchange.cross_checks import same_content


@dataclass(frozen=True, slots=True)
class Preview:
    """What a file would bring. When not `ready`, `new` and `new_plans` are empty.

    `known` entries are here already. `corrections` are those of `new` that replace an entry.
    `conflicts` are ids that stand for something else here. `side_changes` holds the side so far and
    the side from now on where they differ: taking that in needs an explicit yes.
    """

    ready: bool
    sentence: str
    new: tuple[AnyEntry, ...] = ()
    new_plans: tuple[Plan, ...] = ()
    known: int = 0
    corrections: int = 0
    conflicts: tuple[str, ...] = ()
    wrong_person: bool = False
    side_changes: tuple[PlanSide, PlanSide] | None = None


def preview(own: Diary | None, incoming: Diary) -> Preview:
    """What taking in the diary `incoming` would bring. `own` None: nothing is here yet."""
    own_plans = own.plans if own is not None else ()
    refused = _wrong_person(own_plans, incoming.plan) or _rival_plans(own_plans, incoming.plans)
    if refused is not None:
        return refused
    here = {entry.id: entry for entry in own.entries} if own is not None else {}
    conflicts = tuple(e.id for e in incoming.entries if not same_content(here.get(e.id, e), e))
    if conflicts:
        sentence = (
            "This diary and this file tell different things of the same entry ({n} times). "
            "Nothing was taken in. Ask for a new copy of the file."
        )
        return Preview(False, sentence.format(n=len(conflicts)), conflicts=conflicts)
    new = tuple(entry for entry in incoming.entries if entry.id not in here)
    versions = {plan.version for plan in own_plans}
    new_plans = tuple(plan for plan in incoming.plans if plan.version not in versions)
    known = len(incoming.entries) - len(new)
    if not new and not new_plans:
        sentence = "All of this file is in the diary already. There is nothing to take in."
        return Preview(False, sentence, known=known)
    corrections = sum(entry.replaces is not None for entry in new)
    sentence = (
        "This file brings: new entries {new} (corrections among them {corrections}), "
        "plan versions {plans}. Known already: {known}."
    )
    return Preview(
        True,
        sentence.format(new=len(new), corrections=corrections, plans=len(new_plans), known=known),
        new=new,
        new_plans=new_plans,
        known=known,
        corrections=corrections,
        side_changes=_side_changes(own_plans, new_plans),
    )


def preview_plan(own: Sequence[Plan], incoming: Plan) -> Preview:
    """What taking in the plan `incoming` would bring, given the plan versions that are here."""
    refused = _wrong_person(own, incoming)
    if refused is not None:
        return refused
    same = next((plan for plan in own if plan.version == incoming.version), None)
    if same is not None and same_content(same, incoming):
        sentence = "Plan version {version} is here already. There is nothing to take in."
        return Preview(False, sentence.format(version=incoming.version))
    refused = _rival_plans(own, (incoming,))
    if refused is not None:
        return refused
    newest = max((plan.version for plan in own), default=0)
    if incoming.version < newest:
        sentence = (
            "This plan is older (version {version}) than the plan in force (version {newest}). "
            "Nothing was taken in. Ask the clinic for the newest plan."
        )
        return Preview(False, sentence.format(version=incoming.version, newest=newest))
    sentence = "This file brings plan version {version} for {person}: {side}."
    side = "both knees" if incoming.side == "both" else f"{incoming.side} knee"
    return Preview(
        True,
        sentence.format(version=incoming.version, person=incoming.person, side=side),
        new_plans=(incoming,),
        side_changes=_side_changes(own, (incoming,)),
    )


def _wrong_person(own: Sequence[Plan], incoming: Plan) -> Preview | None:
    if not own:
        return None
    in_force = max(own, key=lambda plan: plan.version)
    if incoming.person != in_force.person:
        sentence = (
            "This file is from another person (code {theirs}, this diary is {ours}). "
            "Nothing was taken in."
        )
        filled = sentence.format(theirs=incoming.person, ours=in_force.person)
        return Preview(False, filled, wrong_person=True)
    ours, theirs = in_force.birth_year, incoming.birth_year
    if ours is not None and theirs is not None and ours != theirs:
        sentence = (
            "This file has the same code ({code}) but another birth year ({theirs}, here {ours}). "
            "Nothing was taken in. Ask the clinic whose file it is."
        )
        filled = sentence.format(code=incoming.person, theirs=theirs, ours=ours)
        return Preview(False, filled, wrong_person=True)
    return None


def _rival_plans(own: Sequence[Plan], incoming: Sequence[Plan]) -> Preview | None:
    here = {plan.version: plan for plan in own}
    rivals = [p.version for p in incoming if not same_content(here.get(p.version, p), p)]
    if not rivals:
        return None
    sentence = (
        "Plan version {version} of this file differs from plan version {version} here. "
        "Nothing was taken in. Ask the clinic for a plan with a new version number."
    )
    return Preview(False, sentence.format(version=rivals[0]))


def _side_changes(own: Sequence[Plan], new: Sequence[Plan]) -> tuple[PlanSide, PlanSide] | None:
    """The side of the plan in force now, and of the one in force afterwards, if another."""
    if not own:
        return None
    before = max(own, key=lambda plan: plan.version)
    after = max((before, *new), key=lambda plan: plan.version)
    return None if after.side == before.side else (before.side, after.side)
