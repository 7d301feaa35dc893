"""Tape on, the tape check, tape off and the look at the skin: the pages, one step at a time."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Literal

from companion.care.catalogue import Catalogue, Step
from companion.care.flow import Walk
from companion.care.policy import Ask
from companion.care.ranges import Instant
from companion.care.ready import asked_in
from companion.care.records import Record, Skin, TapeFeeling
from companion.care.step_limits import felt_from_tape
from companion.care.stopping import (
    CardPage,
    Ended,
    Gate,
    GateStart,
    SignTicked,
    card_walk,
    closed_now,
    gate_walk,
)
from companion.care.tape_applications import ANY_LATER_WEAR
from companion.care.tape_gate import TapeReason, against_today
from companion.care.trial_days import TrialRefusal


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeReadyPage:
    """Questions before tape. Given: `skin`, `clean`, `reach` alone | helper | no.

    `asks` is what cautions ask for, such as to keep off varicose veins.
    """

    stage: int
    helper_needed: bool
    asks: tuple[Ask, ...] = ()
    key: str = "tape_ready"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoTapePage:
    """Why no tape goes on today. `tape_day`: the tape trial asked for it."""

    reasons: tuple[TapeReason, ...]
    tape_day: bool = False
    key: str = "no_tape"


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeStepPage:
    """Steps of putting tape on that are done without a press between: `steps` of `part`.

    `stage` is the steps' own, and before the tape the one that is to be put on. After the last
    the day it must come off is written on it: `write` is then which wear it is (1, 2, 3 and on).
    Given: `outcome` stopped, where it hurts.
    """

    key: str
    stage: int
    part: Literal["before", "stage"]
    steps: tuple[int, ...]
    number: int
    count: int
    write: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeStoppedPage:
    """It hurt while tape was laid: what was laid comes off again. `over` is the stage that was on
    before and stays on, 0 for bare skin."""

    key: str
    over: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeOnPage:
    """Is the tape on? Given: `tape` on | not_on, and `by` person | helper. Written at once."""

    key: str
    stage: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeCheckPage:
    """What is felt from the tape that is on. Given: `feelings`, any of `TapeFeeling`."""

    key: str = "tape_check"


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeTakenOffPage:
    """Tape comes off now. Given: `tape` off. Written at once.

    `felt` is what asks for it; empty when it is new tape that made it worse.
    """

    felt: tuple[TapeFeeling, ...] = ()
    key: str = "tape_taken_off"


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovalPage:
    """How tape comes off. Given: `off` now | earlier | by_itself."""

    key: str = "removal"


@dataclass(frozen=True, slots=True, kw_only=True)
class OffWhenPage:
    """When it came off. Given: `day` today | yesterday | unknown, and `hour` 0-23 or None."""

    key: str = "off_when"


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinTooEarlyPage:
    """It is not time yet to look at the skin again."""

    at: datetime
    key: str = "skin_too_early"


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinPage:
    """How the skin is, `when` at_once | after_30_min. Given: `skin`."""

    when: Literal["at_once", "after_30_min"]
    key: str = "skin"


def tape_questions(
    stage: int, *, helper_needed: bool, asks: tuple[Ask, ...] = ()
) -> Walk[tuple[TapeReason, ...]]:
    """Ask what only the person can see; the reasons against tape today, none to go on."""
    submitted = yield TapeReadyPage(stage=stage, helper_needed=helper_needed, asks=asks)
    return against_today(
        skin=submitted["skin"],
        clean=submitted["clean"] == "yes",
        reach=submitted["reach"] == "alone",
        helper_there=submitted["reach"] == "helper",
        helper_needed=helper_needed,
    )


def tape_steps(
    catalogue: Catalogue, on_now: int, stage: int, wear: int = ANY_LATER_WEAR
) -> Walk[bool]:
    """The steps from the stage that is on to `stage`, then whether it is on. `wear` is which one
    of this make it will be."""
    steps = catalogue.tape_steps
    ahead: list[tuple[Literal["before", "stage"], int, tuple[int, ...]]] = []
    if on_now == 0:
        ahead += [("before", stage, together) for together in pages_of_steps(steps.before)]
    added = [part for part in steps.stages if on_now < part.stage <= stage]
    for part, *later in (added[i:] for i in range(len(added))):
        again = {step.person for one in later for step in one.steps}
        ahead += [
            ("stage", part.stage, together)
            for together in pages_of_steps(part.steps)
            if not again.issuperset(part.steps[i].person for i in together)
        ]
    for number, (kind, of_stage, together) in enumerate(ahead, 1):
        last = number == len(ahead)
        submitted = yield TapeStepPage(
            key=f"tape:{stage}:{number}",
            stage=of_stage,
            part=kind,
            steps=together,
            number=number,
            count=len(ahead),
            write=wear if last and on_now == 0 else None,
        )
        if submitted.get("outcome") == "stopped":
            yield TapeStoppedPage(key=f"tape_stopped:{stage}", over=on_now)
            return False
    submitted = yield TapeOnPage(key=f"tape_on:{stage}", stage=stage)
    return bool(submitted["tape"] == "on")


def pages_of_steps(steps: Sequence[Step]) -> list[tuple[int, ...]]:
    """The steps of each page: one begins where a step opens it."""
    opens = [i for i, step in enumerate(steps) if i == 0 or step.opens is not None]
    return [tuple(range(a, b)) for a, b in pairwise([*opens, len(steps)])]


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeOnStart(GateStart):
    """What held when tape-on began. `refused` are reasons known before anything is asked.

    `by_trial` is the reason of the tape trial against any tape now; `tape_day` says that the
    trial asks for tape. `next_wear` is which wear of its make this will be.
    """

    stage: int
    refused: tuple[TapeReason, ...] = ()
    by_trial: TrialRefusal | None = None
    tape_day: bool = False
    helper_needed: bool = False
    next_wear: int = ANY_LATER_WEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeOnEnd:
    """How tape-on ended. The tape itself was written when it was said to be on.

    `by_trial`: nothing was asked, the tape trial lets no tape on now.
    """

    put_on: bool
    signs: tuple[SignTicked, ...] = ()
    signs_over: tuple[str, ...] = ()
    by_trial: bool = False


def tape_on_walk(catalogue: Catalogue, start: TapeOnStart) -> Walk[TapeOnEnd]:
    """Tape alone: the gate unless it was answered today, the questions, the steps.

    Where the tape trial lets no tape on nothing is asked: no answer would change it.
    """
    if start.by_trial is not None:
        yield NoTapePage(reasons=(start.by_trial,))
        return TapeOnEnd(put_on=False, by_trial=True)
    gate = Gate()
    put_on = False
    try:
        yield from gate_walk(catalogue, start, gate)
        refused = start.refused
        closed = closed_now(catalogue, start, gate.still_open, gate.ticked)
        if "tape_on" in closed and not {"locked", "patch_red"} & {*refused}:
            refused = (*refused, "locked")
        if not refused:
            refused = yield from tape_questions(
                start.stage,
                helper_needed=start.helper_needed,
                asks=asked_in(catalogue, start, gate.ticked, "tape_on"),
            )
        if refused:
            yield NoTapePage(reasons=refused, tape_day=start.tape_day)
        else:
            put_on = yield from tape_steps(catalogue, 0, start.stage, start.next_wear)
    except Ended:
        put_on = False
    return TapeOnEnd(put_on=put_on, signs=tuple(gate.ticked), signs_over=tuple(gate.over))


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeOffEnd(Record):
    """How tape came off. `off_day` and `hour` only when it was not just now. `skin` None: nothing
    was said of it."""

    off: Literal["now", "earlier", "by_itself"]
    off_day: Literal["today", "yesterday", "unknown"] | None = None
    hour: int | None = None
    skin: Skin | None = None
    signs: tuple[SignTicked, ...] = ()


def tape_off_walk() -> Walk[TapeOffEnd]:
    """Tape off: how, when if not just now, and the skin. Nothing closes it."""
    return (yield from came_off_walk((yield RemovalPage())["off"]))


def came_off_walk(off: Literal["now", "earlier", "by_itself"]) -> Walk[TapeOffEnd]:
    """What is asked of tape that is off: when, if it was not just now, and the skin."""
    off_day, hour = None, None
    if off != "now":
        when = yield OffWhenPage()
        off_day, hour = when.get("day"), when.get("hour")
    skin = (yield SkinPage(when="at_once")).get("skin")
    signs = yield from skin_card(skin)
    return TapeOffEnd(off=off, off_day=off_day, hour=hour, skin=skin, signs=signs)


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeCheckEnd:
    """How the tape check ended. What came off was written when it was said to be off."""

    off: bool
    signs: tuple[SignTicked, ...] = ()


def tape_check_walk() -> Walk[TapeCheckEnd]:
    """The tape check: itch, pinching, numbness or pain from the tape means off now."""
    submitted = yield TapeCheckPage()
    felt = felt_from_tape(submitted["feelings"])
    if not felt:
        return TapeCheckEnd(off=False)
    yield TapeTakenOffPage(felt=felt)
    submitted = yield SkinPage(when="at_once")
    signs = yield from skin_card(submitted["skin"])
    return TapeCheckEnd(off=True, signs=signs)


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeWornStart(Record):
    """The tape that is checked or taken off: the id of its last tape-on."""

    tape_on: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinStart(Record):
    """The tape-off whose skin is looked at again. `too_early_until` None: the time has come."""

    tape_off: str
    too_early_until: Instant | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinEnd:
    """The second look at the skin. `skin` None: it was too early to look."""

    skin: Skin | None
    signs: tuple[SignTicked, ...]


def skin_walk(start: SkinStart) -> Walk[SkinEnd]:
    """The look at the skin half an hour after the tape came off."""
    if start.too_early_until is not None:
        yield SkinTooEarlyPage(at=start.too_early_until)
        return SkinEnd(skin=None, signs=())
    submitted = yield SkinPage(when="after_30_min")
    signs = yield from skin_card(submitted["skin"])
    return SkinEnd(skin=submitted["skin"], signs=signs)


def skin_card(skin: Skin | None, prefix: str = "") -> Walk[tuple[SignTicked, ...]]:
    """Broken skin shows its card at once, and closes hands and tape there until read clear."""
    if skin not in ("blister", "broken"):
        return ()
    return ((yield from card_walk(CardPage(key=f"{prefix}skin:card", sign="skin_broken"))),)
