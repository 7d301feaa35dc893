"""What became of a sign that is open: asked at the gate, and behind its card on the front page.

A sign opens by what the person may say of it themselves, by what a professional told them, or
because the tick was a mistake (rule r08). What is answered comes to one `Became`; what is closed
after it is in `closures`.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import count

from companion.care.catalogue import Catalogue
from companion.care.closures import (
    UNTOLD,
    asked_of,
    cleared,
    row_of,
    still_closes,
    told_asked,
)
from companion.care.flow import Answer, Completed, Walk, replay
from companion.care.levels import PARTS, level_rank
from companion.care.policy import Opener, Policy
from companion.care.records import (
    Cleared,
    Level,
    Part,
    Record,
    Side,
    Told,
    ToldBy,
    WarningSign,
)

ASKED = "open"
"""Begins the keys of the pages about an open sign."""
SPOKEN: tuple[Told, ...] = ("all", "only_these", "not_yet", "not_spoken_of")
"""Somebody was reached."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSign(Record):
    """An open sign, as far as it may be asked about today.

    `asks` is what the person may say of it by now, None where they may not; `talk`: whether it may
    be told what a professional said. `closes` is what it closes now, `asks_opens` what of that the
    person opens. `days_open` is for how long it is open. `side`: in a walk of both knees, the one
    it is about; the keys of its pages say so.
    """

    sign: str
    level: Level
    closes: tuple[Part, ...] = ()
    asks: Opener | None = None
    asks_opens: tuple[Part, ...] = ()
    talk: bool = False
    days_open: int = 0
    side: Side | None = None

    @property
    def key(self) -> str:
        """Begins the keys of the pages about it."""
        key = f"{ASKED}:{self.sign}"
        return key if self.side is None else f"{self.side}:{key}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Became:
    """What became of a sign. `how`: what the person said of it. `told`: what a professional said
    of the routine, `parts` what alone they allowed. Neither: nothing is written.
    """

    how: Cleared | None = None
    told: Told | None = None
    parts: tuple[Part, ...] = ()
    by: ToldBy | None = None
    name: str | None = None
    days_ago: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSignPage:
    """Whether what opens a sign is so. Given: yes | no | not_sure by question id."""

    key: str
    sign: str
    asks: Opener


@dataclass(frozen=True, slots=True, kw_only=True)
class TalkedPage:
    """What a professional said of the routine. Given: `told`, one of `Told`, or not_called.
    `closes`: the sign closes something, a part of which they may have allowed."""

    key: str
    sign: str
    closes: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldPartsPage:
    """What of the routine they allowed. Given: `parts`, of those shown."""

    key: str
    sign: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedPage:
    """Who said so and when. Given: `by`, `who` a name or nothing, `days_ago` 0 to `most_days_ago`.

    What was said before the sign was ticked is not about it, so no earlier day is offered.
    """

    key: str
    sign: str
    most_days_ago: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MistakePage:
    """The sign once more, before it is taken back. Given: `mistake` yes | no, or `another` where
    the list can come back for the one that was meant.
    """

    key: str
    sign: str
    another: bool = False


def mistake_key(card: str) -> str:
    """The key of the page after a card that was ticked by mistake."""
    return f"{card}:mistake"


AskingPage = OpenSignPage | TalkedPage | ToldPartsPage | CheckedPage
"""The pages of `became_walk`."""


def became_walk(catalogue: Catalogue, sign: OpenSign) -> Walk[Became]:
    """Ask about an open sign: what the person may say themselves, else what they were told.

    "Not sure" opens nothing.
    """
    if sign.asks is not None:
        submitted = yield OpenSignPage(key=sign.key, sign=sign.sign, asks=sign.asks)
        questions = catalogue.opening_questions(sign.sign, sign.asks)
        if all(submitted.get(question.id) == question.opens_on for question in questions):
            return Became(how=sign.asks)
    return (yield from _told_walk(sign)) if sign.talk else Became()


def _told_walk(sign: OpenSign) -> Walk[Became]:
    """What a professional said of the routine, of which parts, who it was and when."""
    key = sign.key
    page = TalkedPage(key=f"{key}:talked", sign=sign.sign, closes=bool(sign.closes))
    told = (yield page).get("told")
    if told not in SPOKEN:
        return Became(told=told if told in UNTOLD else None)
    parts: tuple[Part, ...] = ()
    if told == "only_these":
        asked = ToldPartsPage(key=f"{key}:parts", sign=sign.sign, parts=sign.closes)
        ticked = (yield asked)["parts"]
        parts = tuple(part for part in sign.closes if part in ticked)
    said = yield CheckedPage(key=f"{key}:checked", sign=sign.sign, most_days_ago=sign.days_open)
    return Became(
        told=told,
        parts=parts,
        by=said["by"],
        name=said.get("who") or None,
        days_ago=int(said["days_ago"]),
    )


def open_signs_walk(
    catalogue: Catalogue, signs: Iterable[OpenSign]
) -> Walk[dict[str, frozenset[Part]]]:
    """Ask about each open sign; those that are open still, with what they close by now."""
    still: dict[str, frozenset[Part]] = {}
    for sign in signs:
        end = yield from became_walk(catalogue, sign)
        closes = closed_after(sign, end)
        if not is_over(sign, end):
            still[sign.sign] = closes | still.get(sign.sign, frozenset())
    return still


def is_over(sign: OpenSign, end: Became) -> bool:
    """Whether a sign is cleared by what was said of it. One that closed nothing is over once
    somebody was spoken to, unless they said "not yet"."""
    if end.how is not None or end.told in ("all", "only_these"):
        return not closed_after(sign, end)
    return end.told == "not_spoken_of" and not sign.closes


def closed_after(sign: OpenSign, end: Became) -> frozenset[Part]:
    """What a sign closes once it was asked about (rule r08).

    Where nobody spoke of the routine, seated exercise is open; where nobody was reached, only below
    today: a sign to be seen with is seen by somebody first.
    """
    opened: tuple[Part, ...] = ()
    match end.told:
        case "all":
            opened = sign.closes
        case "only_these":
            opened = end.parts
        case "not_spoken_of":
            opened = ("seated",)
        case "not_reached" if level_rank(sign.level) < level_rank("today"):
            opened = ("seated",)
        case None if end.how == "ticked_by_mistake":
            opened = sign.closes
        case None if end.how is not None:
            opened = sign.asks_opens
    return frozenset(sign.closes).difference(opened)


def written(
    warning: WarningSign,
    sign: OpenSign,
    end: Became,
    *,
    today: date,
    policy: Policy,
) -> WarningSign | None:
    """An open sign as it is after it was asked about; None where nothing is to be written.

    Whoever is told to do all of it, or all that is closed, has the sign cleared.
    """
    if end.how is None and end.told is None:
        return None
    on = today - timedelta(days=end.days_ago)
    still = closed_after(sign, end)
    how = end.how
    if end.told is not None and is_over(sign, end):
        how = "checked_by_professional"
    if end.told is not None:
        warning = replace(warning, told=end.told, told_by=end.by, told_name=end.name, told_on=on)
    if how is not None:
        return cleared(warning, how, on=on, policy=policy)
    opened = {*warning.opened, *(set(sign.closes) - still)}
    return replace(
        warning,
        opened=tuple(part for part in PARTS if part in opened),
        opened_on=on if opened != {*warning.opened} else warning.opened_on,
    )


def open_sign(warning: WarningSign, policy: Policy, today: date, *, card: bool = False) -> OpenSign:
    """What may be asked today of an open sign, at a gate or behind its `card`: there what a
    professional said may be told at any time."""
    asked = asked_of(warning, policy, today)
    first = asked[0] if asked else None
    closes = still_closes(warning, policy)
    row = row_of(warning, policy)
    told = any("checked_by_professional" in one.opens for one in row.closes)
    # A sign that closes nothing is there to be told of, unless the person may end it.
    tell = bool(closes) or (not row.parts and first is None)
    return OpenSign(
        sign=warning.sign,
        level=warning.level,
        closes=closes,
        asks=None if first is None else first.asked,
        asks_opens=() if first is None else first.parts,
        talk=told and tell and (card or told_asked(warning, policy, today)),
        days_open=max(0, (today - warning.for_day).days),
    )


def became(catalogue: Catalogue, sign: OpenSign, answers: Iterable[Answer]) -> Became | None:
    """What became of a sign by the answers of a walk so far; None while it is being asked."""
    begins = sign.key
    mine = [one for one in answers if one.page == begins or one.page.startswith(f"{begins}:")]
    position = replay(lambda: became_walk(catalogue, sign), mine)
    return position.end if isinstance(position, Completed) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearStart(Record):
    """The entry of the open sign whose card is on the front page, and what may be asked of it;
    None for a call that the days ask for and no entry holds yet."""

    warning: str | None
    sign: OpenSign


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCardPage:
    """The card again. Given: `how` asked | mistake | not_yet; asked where anything may open it."""

    key: str
    sign: OpenSign


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearEnd:
    """What became of the card's sign."""

    sign: OpenSign
    became: Became


def clear_walk(catalogue: Catalogue, start: ClearStart) -> Walk[ClearEnd]:
    """Show the card again and ask what became of it. Who wavers over a mistake sees it again."""
    sign = start.sign
    for turn in count(1):
        key = "open_card" if turn == 1 else f"open_card:{turn}"
        submitted = yield OpenCardPage(key=key, sign=sign)
        match submitted["how"]:
            case "mistake":
                sure = yield MistakePage(key=mistake_key(key), sign=sign.sign)
                if sure["mistake"] == "yes":
                    return ClearEnd(sign=sign, became=Became(how="ticked_by_mistake"))
            case "asked":
                end = yield from became_walk(catalogue, sign)
                return ClearEnd(sign=sign, became=end)
            case _:
                break
    return ClearEnd(sign=sign, became=Became())
