"""The patch test of one make of tape: the piece on, and the two looks at the skin.

The test belongs to the person. When a look counts is in `patch_looks`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from companion.care.catalogue import Catalogue
from companion.care.closures import NOT_WHOLE
from companion.care.flow import Walk
from companion.care.outing_questions import one_line
from companion.care.patch_looks import (
    Look,
    LookHours,
    first_look_counts,
    look_from,
    look_until,
    moment,
    next_look,
)
from companion.care.ranges import Instant
from companion.care.records import PatchTest, Record, Skin
from companion.care.stopping import CardPage, SignTicked, card_walk
from companion.care.tape_applications import same_make
from companion.care.tape_gate import PatchState, TapeReason
from companion.care.taping import NoTapePage

# ---------------------------------------------------------------- the piece on


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeTested(Record):
    """A make that is known, and how its test stands. `look_from`: when the next look is."""

    make: str
    state: PatchState
    look_from: Instant | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchStart(Record):
    """The makes that are known, the plan's first, and the reasons against any test piece."""

    makes: tuple[MakeTested, ...] = ()
    refused: tuple[TapeReason, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MakePage:
    """Which make. Given: `make` 1 to the number of `makes` as text, or own, and `own`.

    `again`: another make was chosen and none was written.
    """

    key: str
    makes: tuple[str, ...]
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchClearPage:
    """The make is recorded as clear; no piece is needed. Given nothing, or `look` reaction.

    `late`: asked after the looks, when a rash that comes late can still be said.
    """

    make: str
    late: bool = False
    key: str = "patch_clear"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchNotClearPage:
    """No tape of this make. Given: `skin` kept, or mistake where the answer was just given."""

    make: str
    just_given: bool = False
    key: str = "patch_not_clear"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchUnderWayPage:
    """A piece of this make is on. Given: `again` yes | no, yes when it came off."""

    make: str
    look_from: datetime | None
    key: str = "patch_under_way"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchSkinPage:
    """The skin where the piece goes. Given: `skin` clear | not_clear, `clean` yes | no."""

    make: str
    key: str = "patch_skin"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchStepPage:
    """One step of putting the piece on, `index` from 0."""

    key: str
    index: int
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchOnPage:
    """Is the piece on? Given: `piece` on | not_on. Written at once."""

    make: str
    key: str = "patch_on"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchEnd:
    """Whether a piece went on, and of which make."""

    make: str | None
    placed: bool


def patch_walk(catalogue: Catalogue, start: PatchStart) -> Walk[PatchEnd]:
    """Which make, whether it may be tested, the skin, the steps, and whether the piece is on."""
    if start.refused:
        yield NoTapePage(reasons=start.refused)
        return PatchEnd(make=None, placed=False)
    make = yield from _make(tuple(one.make for one in start.makes))
    known = next((one for one in start.makes if same_make(one.make, make)), None)
    nothing = PatchEnd(make=make, placed=False)
    match None if known is None else known.state:
        case "not_clear":
            yield PatchNotClearPage(make=make)
            return nothing
        case "clear":
            yield PatchClearPage(make=make)
            return nothing
        case "waiting" | "first_reading_due" | "second_reading_due":
            begins = None if known is None else known.look_from
            submitted = yield PatchUnderWayPage(make=make, look_from=begins)
            if submitted["again"] != "yes":
                return nothing
    submitted = yield PatchSkinPage(make=make)
    against: tuple[TapeReason, ...] = ("skin",) if submitted["skin"] != "clear" else ()
    if submitted["clean"] != "yes":
        against = (*against, "not_clean")
    if against:
        yield NoTapePage(reasons=against)
        return nothing
    steps = catalogue.tape_steps.patch_test.place
    for index in range(len(steps)):
        yield PatchStepPage(key=f"patch_step:{index + 1}", index=index, count=len(steps))
    submitted = yield PatchOnPage(make=make)
    return PatchEnd(make=make, placed=submitted["piece"] == "on")


def _make(makes: tuple[str, ...]) -> Walk[str]:
    turn = 0
    while True:
        turn += 1
        submitted = yield MakePage(key=f"make:{turn}", makes=makes, again=turn > 1)
        chosen = submitted.get("make") if makes else "own"
        if chosen != "own":
            return makes[int(str(chosen)) - 1]
        own = one_line(submitted.get("own"))
        if own:
            return next((make for make in makes if same_make(make, own)), own)


# ---------------------------------------------------------------- the two looks


WhyNoLook = Literal["looked", "too_early", "too_late", "gone", "known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchReadingStart(Record):
    """The test as it stood when the look began."""

    test: PatchTest


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchNotNowPage:
    """It is too early or too late to look. Given: `look` no | reaction.

    A reaction is taken down at any time; clear skin counts only in its time.
    """

    make: str
    when: Literal["too_early", "too_late"]
    look_from: datetime
    look_until: datetime
    key: str = "patch_not_now"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchLookPage:
    """The skin at the piece. Given: `skin`, or gone when the piece came off and it is clear.

    `counts` False: out of its time, so that clear skin is not taken down.
    """

    key: str
    make: str
    look: Look
    counts: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchLookOverPage:
    """Clear skin in its time, to look over and write down: it lets the make on. Given nothing."""

    key: str
    make: str
    look: Look


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchGonePage:
    """The piece is gone, so this look does not count. Given nothing."""

    make: str
    key: str = "patch_gone"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchReadingEnd:
    """How a look ended. `skin` None: nothing was taken down, for the reason `why`.

    `look_from` and `look_until`: when the next look is; None when there is none.
    """

    make: str
    look: Look
    skin: Skin | None
    why: WhyNoLook = "looked"
    look_from: datetime | None = None
    look_until: datetime | None = None
    signs: tuple[SignTicked, ...] = ()


def patch_reading_walk(
    readings: Sequence[LookHours], start: PatchReadingStart, at: datetime
) -> Walk[PatchReadingEnd]:
    """One look at the skin, `at` being when it is made.

    Skin that is not clear is written with the answer, before the page that says what to do; clear
    skin once it was looked over.
    """
    test = start.test
    now = moment(test, at, readings)
    look: Look = "second" if first_look_counts(test, readings) else "first"
    begins = look_from(test, readings).astimezone(at.tzinfo)
    ends = look_until(test, readings).astimezone(at.tzinfo)
    counts, early = now in ("first", "second"), ends if now == "too_early" else None
    ticked: list[SignTicked] = []

    def ended(
        skin: Skin | None, why: WhyNoLook = "looked", until: datetime | None = None
    ) -> PatchReadingEnd:
        return PatchReadingEnd(
            make=test.make,
            look=look,
            skin=skin,
            why=why,
            look_from=None
            if until is None
            else (next_look(test, at, readings) if counts else begins),
            look_until=until,
            signs=tuple(ticked),
        )

    match now:
        case "clear":
            submitted = yield PatchClearPage(make=test.make, late=True)
            if submitted.get("look") != "reaction":
                return ended(None, "known")
        case "not_clear":
            yield PatchNotClearPage(make=test.make)
            return ended(None, "known")
        case "too_early" | "too_late":
            page = PatchNotNowPage(make=test.make, when=now, look_from=begins, look_until=ends)
            if (yield page)["look"] != "reaction":
                return ended(None, now, early)
    turn = 0
    while True:
        turn += 1
        key = f"look:{turn}"
        skin = (yield PatchLookPage(key=key, make=test.make, look=look, counts=counts))["skin"]
        if skin == "gone":
            yield PatchGonePage(make=test.make)
            return ended(None, "gone")
        if skin == "clear":
            if counts:
                yield PatchLookOverPage(key=f"look_over:{turn}", make=test.make, look=look)
            break
        if skin in NOT_WHOLE:
            card = CardPage(key=f"{key}:card", sign="skin_broken")
            ticked.append((yield from card_walk(card)))
            if ticked[-1].mistake:
                continue
        submitted = yield PatchNotClearPage(key=f"{key}:not_clear", make=test.make, just_given=True)
        if submitted["skin"] != "mistake":
            return ended(skin)
    match now:
        case "clear":  # what was clear before is clear still
            return ended(None, "known")
        case "too_early" | "too_late":
            return ended(None, now, early)
    return ended("clear", until=None if look == "second" else ends)
