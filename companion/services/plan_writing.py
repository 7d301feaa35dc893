"""Writing a plan at the clinic's desk: what a draft begins from, and the file it ends as."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Literal

from companion.care.coded import Coded
from companion.care.records import AnyEntry, Diary, Plan
from companion.exchange.case_files import diary_name, look_at
from companion.exchange.files import diary_bytes
from companion.exchange.taking_in import Refusal
from companion.services.at_hand import at_hand
from companion.services.clinic_import import Reason
from companion.services.plan_draft import (
    DraftFault,
    PlanDraft,
    drawn,
    plan_file,
    plan_of,
    sign,
)
from companion.services.plan_first_session import first_session, start_file
from companion.services.practice import Practice, is_in_list, take_made
from companion.services.saving import save_file
from companion.services.settings import Signer, keep, read_signer
from companion.services.trouble import Trouble
from companion.system.ids import new_id
from companion.wire.sign_off import content_sha256


def taken_up(draft: PlanDraft, diary: Diary | None) -> PlanDraft:
    """A draft as it is written on, with what the diary at hand says beside it."""
    return drawn(replace(draft, at_hand=None if diary is None else at_hand(diary)), new_id())


def content_hash(draft: PlanDraft) -> str:
    """The SHA-256 of what would be signed."""
    return content_sha256(plan_of(draft))


# ---------------------------------------------------------------- a practice plan, gone on with

NotGoneOn = Literal["unreadable", "diary", "signed", "another_person"]


@dataclass(frozen=True, slots=True)
class PickedPlan:
    """A file that was picked to go on with; `refused` says why its plan is not to be. `said` is
    what the reader says where it cannot be read."""

    name: str
    plan: Plan | None = None
    refused: NotGoneOn | None = None
    said: Coded | None = None


def picked_plan(practice: Practice, path: str, last: Plan | None) -> PickedPlan:
    """Read a plan that was kept unsigned, for whoever has the plan `last` or for nobody yet.

    A plan is read in a moment; a diary, which may take seconds, is not read at all.
    """
    diary = diary_name(path)
    if diary is not None:
        return PickedPlan(diary, refused="diary")
    looked = look_at(path, practice.clock.today())
    plan = looked.reading.plan
    if plan is None:
        return PickedPlan(looked.name, refused="unreadable", said=looked.reading.said)
    if plan.sign_off is not None:
        return PickedPlan(looked.name, plan, "signed")
    if last is not None and plan.person != last.person:
        return PickedPlan(looked.name, plan, "another_person")
    return PickedPlan(looked.name, plan)


# ---------------------------------------------------------------- the sign-off


def last_signer(practice: Practice) -> Signer:
    """Who signed last at this desk; empty where nobody did."""
    return read_signer(practice.signer)


def signed(practice: Practice, draft: PlanDraft, signer: Signer) -> Plan | tuple[DraftFault, ...]:
    """The plan, signed now; or what stands in the way."""
    return sign(
        draft,
        practice.catalogue(),
        name=signer.name,
        registration=signer.registration,
        at=practice.clock.now(),
    )


# ---------------------------------------------------------------- the file


@dataclass(frozen=True, slots=True)
class PlanFile:
    """What a draft became: one file to be given away, by the name to offer for it.

    A signed plan takes the entries of a first session along, where one was held.
    """

    plan: Plan
    entries: tuple[AnyEntry, ...]
    name: str
    data: bytes


def made_file(draft: PlanDraft, plan: Plan) -> PlanFile:
    """The file of a plan that was signed from a draft, or is kept unsigned for practice."""
    name = f"{plan.person}-{plan.version}.homeknee"
    if plan.sign_off is None:
        return PlanFile(plan, (), f"practice-plan-{name}", plan_file(plan))
    entries = first_session(draft, plan, plan.sign_off.signed_at, new_id)
    if entries:
        return PlanFile(plan, entries, f"start-{name}", start_file(plan, entries))
    return PlanFile(plan, (), f"plan-{name}", plan_file(plan))


@dataclass(frozen=True, slots=True)
class SavedPlan:
    """A plan file was saved as `name`, at the path `place`. `in_list` says of a signed one whether
    it is in the list here too, and `trouble` or `left` why it is not; `changed` are the codes whose
    diaries are others since.
    """

    name: str
    place: str
    in_list: bool
    trouble: Trouble | None = None
    left: Reason | Refusal | None = None
    changed: frozenset[str] = frozenset()


def is_anothers(practice: Practice, made: PlanFile, own: Diary | None) -> bool:
    """Whether a first plan stands under a code that somebody in the list has. Raises Trouble."""
    return own is None and made.plan.sign_off is not None and is_in_list(practice, made.plan.person)


def save_plan(practice: Practice, made: PlanFile, place: str, own: Diary | None) -> SavedPlan:
    """Save the file at `place`; a signed plan also goes into the list, beside the plans of the
    diary `own`, and its signer is remembered. Raises Trouble when the file cannot be saved."""
    name = save_file(place, made.data)
    sign_off = made.plan.sign_off
    if sign_off is None:
        return SavedPlan(name, place, in_list=False)
    earlier = () if own is None else own.plans
    with suppress(Trouble):  # whoever signs next types it again
        keep(practice.signer, Signer(name=sign_off.name, registration=sign_off.registration))
    kept = Diary(plans=(*earlier, made.plan), entries=made.entries)
    try:
        taken = take_made(practice, diary_bytes(kept))
    except Trouble as trouble:
        return SavedPlan(name, place, in_list=False, trouble=trouble)
    if taken.file is None:
        return SavedPlan(name, place, in_list=False, left=taken.reason)
    return SavedPlan(name, place, in_list=True, changed=frozenset({made.plan.person}))
