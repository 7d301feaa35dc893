"""Going out: tape before something that matters, how it was, and the morning after.

Three walks. An outing is the person's: with two knees it is told once, and tape, the worst pain
and the morning after are asked of each. One without tape is possible and is never closed; what may
be closed is tape. An open emergency or today card is shown first all the same.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from companion.care.catalogue import Catalogue
from companion.care.finding import Entries, find
from companion.care.flow import Given, Walk, WalkPage
from companion.care.pacing import PacedWeek
from companion.care.ranges import EntryId
from companion.care.ready import asked_in
from companion.care.records import (
    Amount,
    AmountPlan,
    NextMorning,
    Outing,
    OutingEnded,
    Part,
    Record,
    Side,
    WarningSign,
)
from companion.care.stopping import (
    CardPage,
    Ended,
    Gate,
    GateStart,
    SignTicked,
    card_walk,
    closed_now,
    gate_walk,
    pages_of,
)
from companion.care.tape_applications import ANY_LATER_WEAR
from companion.care.tape_gate import TapeReason
from companion.care.taping import (
    NoTapePage,
    TapeOffEnd,
    came_off_walk,
    tape_check_walk,
    tape_questions,
    tape_steps,
)

OutingTape = Literal["put_on", "was_on", "none"]
NextWithTape = Literal["take_off", "leave"]
MOST_CHARACTERS = 60
"""Of what an outing is for: a label."""
TIMES = "times"
"""The unit in which an outing that was not gone on is 0, where nothing else was to be counted."""
MORE_PAIN, MORE_PAIN_TWO_DAYS = "more_pain_after", "more_pain_two_days"
"""The signs of more pain the morning after, once and two days running (facts: pain_after_hours,
pain_more_call)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingKneeStart(Record):
    """What held for one knee when going out began.

    `closed`: parts of it that are closed whatever is said of the signs asked about; `of_other` are
    those of these signs that are the other knee's alone. `wearing`: the tape that is on.
    `tape_by_trial`: a tape trial runs on this knee, so no tape goes on for an outing. `refused`:
    reasons against tape that are known before anything is asked.
    """

    side: Side
    closed: tuple[Part, ...] = ()
    of_other: tuple[str, ...] = ()
    wearing: EntryId | None = None
    tape_by_trial: bool = False
    stage: int = 1
    refused: tuple[TapeReason, ...] = ()
    helper_needed: bool = False
    next_wear: int = ANY_LATER_WEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingStart(GateStart):
    """What held when going out began, of each knee the plan treats or tape is on.

    `closed_by`: an open emergency or today sign, whose card comes first. `tape_in_plan`: the plan
    allows tape before an outing.
    """

    knees: tuple[OutingKneeStart, ...]
    closed_by: str | None = None
    labels: tuple[str, ...] = ()
    amounts: tuple[AmountPlan, ...] = ()
    aims: tuple[PacedWeek, ...] = ()
    tape_in_plan: bool = False


# ---------------------------------------------------------------- before


@dataclass(frozen=True, slots=True, kw_only=True)
class CardFirstPage:
    """The card of an open sign, shown before anything else. Given nothing."""

    sign: str
    key: str = "card_first"


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeByTrialPage:
    """Tape goes by the trial now; going out is as before. Given nothing."""

    key: str = "tape_by_trial"


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatForPage:
    """What the outing is for. Given: `what` 1 to the number of `labels` as text, or own, and
    `own`. `again`: own words were chosen and none were written.
    """

    key: str
    labels: tuple[str, ...]
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountMeantPage:
    """How much is meant, in the unit of the plan. Given: `amount` or None."""

    planned: AmountPlan
    aim: PacedWeek | None = None
    key: str = "amount_meant"


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeForOutingPage:
    """Whether tape goes on for it. Given: `tape` yes | no. Shows what was said so far."""

    what_for: str
    amount: Amount | None
    key: str = "tape_for_outing"


@dataclass(frozen=True, slots=True, kw_only=True)
class KneeTape(Record):
    """How tape stands for an outing on one knee."""

    side: Side
    tape: OutingTape


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingLookOverPage:
    """The outing without new tape, to look over and write down. Given: `going` yes | no."""

    what_for: str
    amount: Amount | None
    tape: tuple[KneeTape, ...]
    key: str = "look_over"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingEnd:
    """How going out began. `going` False: it was given up, or a card ended it (`card`)."""

    going: bool
    card: bool = False
    what_for: str | None = None
    amount: Amount | None = None
    tape: tuple[KneeTape, ...] = ()
    signs: tuple[SignTicked, ...] = ()


def outing_walk(catalogue: Catalogue, start: OutingStart) -> Walk[OutingEnd]:
    """The gate unless it was answered today, what for, how much, and tape as the plan allows, one
    knee after the other.

    When tape went on nothing more is asked: whoever has put it on leaves the screen.
    """
    gate = Gate()
    try:
        if start.closed_by is not None:
            yield CardFirstPage(sign=start.closed_by)
        yield from gate_walk(catalogue, start, gate)
    except Ended:
        return OutingEnd(going=False, card=True, signs=tuple(gate.ticked))
    for knee in start.knees:
        if knee.tape_by_trial:
            yield from pages_of(_named(start, knee), _told(TapeByTrialPage()))
    what_for = yield from _what_for(start.labels)
    amount = yield from _amount_meant(start, what_for)
    tape: list[KneeTape] = []
    for knee in start.knees:
        walk = _tape_of(catalogue, start, knee, gate, what_for, amount)
        on = yield from pages_of(_named(start, knee), walk)
        tape.append(KneeTape(side=knee.side, tape=on))
    going = any(one.tape == "put_on" for one in tape)
    if not going:
        page = OutingLookOverPage(what_for=what_for, amount=amount, tape=tuple(tape))
        going = (yield page)["going"] == "yes"
    return OutingEnd(
        going=going, what_for=what_for, amount=amount, tape=tuple(tape), signs=tuple(gate.ticked)
    )


def _named(start: OutingStart, knee: OutingKneeStart) -> Side | None:
    """The knee that its pages name: of one knee alone it is that of the walk."""
    return knee.side if len(start.knees) > 1 else None


def _told(page: WalkPage) -> Walk[None]:
    yield page


def _what_for(labels: tuple[str, ...]) -> Walk[str]:
    turn = 0
    while True:
        turn += 1
        submitted = yield WhatForPage(key=f"what_for:{turn}", labels=labels, again=turn > 1)
        what = submitted.get("what") if labels else "own"
        if what != "own":
            return labels[int(str(what)) - 1]
        own = one_line(submitted.get("own"))
        if own:
            return next((label for label in labels if label.casefold() == own.casefold()), own)


def one_line(typed: str | None) -> str:
    """What a person typed, on one line and cut to the length of a label; empty when nothing."""
    printable = "".join(letter if letter.isprintable() else " " for letter in typed or "")
    return " ".join(printable.split())[:MOST_CHARACTERS].strip()


def _amount_meant(start: OutingStart, what_for: str) -> Walk[Amount | None]:
    planned = next((one for one in start.amounts if one.label == what_for), None)
    if planned is None:
        return None
    key = (planned.label, planned.unit)
    aim = next((aim for aim in start.aims if (aim.label, aim.unit) == key), None)
    submitted = yield AmountMeantPage(planned=planned, aim=aim)
    return _amount(planned.label, planned.unit, submitted.get("amount"))


def _amount(label: str, unit: str, amount: float | None) -> Amount | None:
    return None if amount is None else Amount(label=label, unit=unit, amount=float(amount))


def _tape_of(
    catalogue: Catalogue,
    start: OutingStart,
    knee: OutingKneeStart,
    gate: Gate,
    what_for: str,
    amount: Amount | None,
) -> Walk[OutingTape]:
    """The tape of one knee: that which is on, or new tape as the plan allows."""
    if knee.wearing is not None:
        check = yield from tape_check_walk()
        gate.ticked += check.signs
        return "none" if check.off else "was_on"
    if not start.tape_in_plan or knee.tape_by_trial:
        return "none"
    refused = knee.refused
    still = {s: parts for s, parts in gate.still_open.items() if s not in knee.of_other}
    ticked = [one for one in gate.ticked if not gate.of_other(catalogue, one, knee.side)]
    closed = closed_now(catalogue, replace(start, closed=knee.closed), still, ticked)
    if "outing_tape" in closed and not {"locked", "patch_red"} & {*refused}:
        refused = (*refused, "locked")
    if not refused:
        submitted = yield TapeForOutingPage(what_for=what_for, amount=amount)
        if submitted["tape"] != "yes":
            return "none"
        refused = yield from tape_questions(
            knee.stage,
            helper_needed=knee.helper_needed,
            asks=asked_in(catalogue, start, (), "outing_tape"),
        )
    if refused:
        yield NoTapePage(reasons=refused)
        return "none"
    put_on = yield from tape_steps(catalogue, 0, knee.stage, knee.next_wear)
    return "put_on" if put_on else "none"


# ---------------------------------------------------------------- after


@dataclass(frozen=True, slots=True, kw_only=True)
class KneeAfterStart(Record):
    """One knee of the outing that is told of. `taped`: tape was on for it. `tape_now`: tape is on
    now, put on for this outing or not, and `wearing` is which."""

    side: Side
    taped: bool = False
    tape_now: Literal["for_outing", "other"] | None = None
    wearing: EntryId | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingAfterStart(Record):
    """The outing that is told of. `label` and `unit`: what is counted, when something is. `day`:
    that of the outing, where it is over; then nothing is asked of how things are now.
    """

    outing: EntryId
    knees: tuple[KneeAfterStart, ...]
    day: date | None = None
    what_for: str
    meant: Amount | None = None
    label: str | None = None
    unit: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyEndedPage:
    """How it was. Given: `because`, one of `OutingEnded` or not_gone."""

    what_for: str
    taped: bool
    key: str = "why_ended"


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountDonePage:
    """How much was really done. Given: `amount` or None."""

    label: str
    unit: str
    meant: Amount | None
    key: str = "amount_done"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingPainPage:
    """The worst pain of the outing. Given: `score` or None."""

    what_for: str
    key: str = "outing_pain"


@dataclass(frozen=True, slots=True, kw_only=True)
class BothOutingPainPage:
    """The worst pain of the outing in each knee. Given: a score or None by knee."""

    what_for: str
    sides: tuple[Side, ...]
    key: str = "both:outing_pain"


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeStillOnPage:
    """Whether the tape is still on. Given: `tape` on | off | by_itself."""

    key: str = "tape_still_on"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingAfterLookOverPage:
    """How it was, to look over and write down. Given nothing."""

    end: "OutingAfterEnd"
    key: str = "after_look_over"


@dataclass(frozen=True, slots=True, kw_only=True)
class KneeAfterEnd(Record):
    """How an outing was for one knee. `removed`: how the tape came off, where it is off.
    `next_with_tape`: take it off now, or leave it until it is due; None where none is on.
    """

    side: Side
    pain_worst: int | None = None
    removed: TapeOffEnd | None = None
    next_with_tape: NextWithTape | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingAfterEnd(Record):
    """How an outing was. `gone` False: nobody went."""

    what_for: str
    knees: tuple[KneeAfterEnd, ...]
    gone: bool = True
    because: OutingEnded | None = None
    amount: Amount | None = None

    @property
    def empty(self) -> bool:
        """True when nothing was said of the outing itself."""
        pains = (knee.pain_worst for knee in self.knees)
        return self.because is None and self.amount is None and not any(map(_said, pains))

    @property
    def tape_off(self) -> bool:
        """Whether tape was said to be off."""
        return any(knee.removed is not None for knee in self.knees)


def _said(answer: object) -> bool:
    return answer is not None


def outing_after_walk(start: OutingAfterStart) -> Walk[OutingAfterEnd]:
    """Why it ended, how much was done, the worst pain of each knee, and what becomes of the tape.
    Where it is off already, it is asked when and how the skin is: no second errand is left."""
    taped = any(knee.taped for knee in start.knees)
    said = (yield WhyEndedPage(what_for=start.what_for, taped=taped)).get("because")
    gone = said != "not_gone"
    because: OutingEnded | None = said if gone else "other"
    amount: Amount | None = None
    pains: Given = {}
    if not gone:
        amount = Amount(label=start.label or start.what_for, unit=start.unit or TIMES, amount=0.0)
    else:
        if start.label is not None and start.unit is not None:
            submitted = yield AmountDonePage(label=start.label, unit=start.unit, meant=start.meant)
            amount = _amount(start.label, start.unit, submitted.get("amount"))
        pains = yield from _pains(start)
    knees: list[KneeAfterEnd] = []
    for knee in start.knees:
        named = knee.side if len(start.knees) > 1 else None
        own = yield from pages_of(named, _tape_after(start, knee, because))
        knees.append(replace(own, pain_worst=pains.get(knee.side)))
    end = OutingAfterEnd(
        what_for=start.what_for, gone=gone, because=because, amount=amount, knees=tuple(knees)
    )
    yield OutingAfterLookOverPage(end=end)
    return end


def _pains(start: OutingAfterStart) -> Walk[Given]:
    """The worst pain by knee."""
    sides = tuple(knee.side for knee in start.knees)
    if len(sides) == 1:
        return {sides[0]: (yield OutingPainPage(what_for=start.what_for)).get("score")}
    return (yield BothOutingPainPage(what_for=start.what_for, sides=sides))


def _tape_after(
    start: OutingAfterStart, knee: KneeAfterStart, because: OutingEnded | None
) -> Walk[KneeAfterEnd]:
    """What becomes of the tape of one knee."""
    removed: TapeOffEnd | None = None
    tape: str | None = None
    if knee.tape_now is not None and start.day is not None:
        tape = "on"
    elif knee.tape_now is not None:
        tape = (yield TapeStillOnPage()).get("tape")
        if tape in ("off", "by_itself"):
            removed = yield from came_off_walk("earlier" if tape == "off" else "by_itself")
    then: NextWithTape | None = None
    if tape == "on":
        off = because == "tape" or knee.tape_now == "for_outing"
        then = "take_off" if off else "leave"
    return KneeAfterEnd(side=knee.side, removed=removed, next_with_tape=then)


# ---------------------------------------------------------------- the morning after


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingMorningStart(Record):
    """The outings of yesterday whose morning is asked about, of each of their knees.

    `more_pain_before`: the knees whose morning before this one had more pain too. `aim`: what the
    plan paces of it this week.
    """

    outings: tuple[EntryId, ...]
    what_for: str
    sides: tuple[Side, ...]
    more_pain_before: tuple[Side, ...] = ()
    aim: PacedWeek | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MorningAfterPage:
    """How the knee was this morning. Given: `next_morning` or None."""

    key: str
    what_for: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BothMorningsPage:
    """How each knee was this morning. Given: one of `NextMorning` or None by knee."""

    key: str
    what_for: str
    sides: tuple[Side, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KneeMorning(Record):
    """The morning after of one knee. None: it was not said."""

    side: Side
    said: NextMorning | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingMorningEnd:
    """The morning after, of each knee."""

    what_for: str
    knees: tuple[KneeMorning, ...]
    signs: tuple[SignTicked, ...] = ()
    aim: PacedWeek | None = None


def outing_morning_walk(start: OutingMorningStart) -> Walk[OutingMorningEnd]:
    """One question a knee. More pain shows its card, two mornings running the one that says: call.

    A card that was a mistake brings the question back.
    """
    ticked: list[SignTicked] = []
    turn = 0
    while True:
        turn += 1
        key = f"next_morning:{turn}"
        knees = yield from _mornings(start, key)
        more = [one.side for one in knees if one.said == "more_pain"]
        mistake = False
        for side in more:
            sign = MORE_PAIN_TWO_DAYS if side in start.more_pain_before else MORE_PAIN
            card = card_walk(CardPage(key=f"{key}:card", sign=sign))
            named = side if len(start.sides) > 1 else None
            ticked.append((yield from pages_of(named, card)))
            mistake = mistake or ticked[-1].mistake
        if not mistake:
            return OutingMorningEnd(
                what_for=start.what_for, knees=knees, signs=tuple(ticked), aim=start.aim
            )


def _mornings(start: OutingMorningStart, key: str) -> Walk[tuple[KneeMorning, ...]]:
    if len(start.sides) == 1:
        said = (yield MorningAfterPage(key=key, what_for=start.what_for)).get("next_morning")
        return (KneeMorning(side=start.sides[0], said=said),)
    page = BothMorningsPage(key=f"both:{key}", what_for=start.what_for, sides=start.sides)
    submitted = yield page
    return tuple(KneeMorning(side=side, said=submitted.get(side)) for side in start.sides)


# ---------------------------------------------------------------- what is due


def more_pain_the_morning_before(entries: Entries, side: Side, today: date) -> bool:
    """Whether yesterday's morning had more pain: after an outing, or ticked as such a sign."""
    yesterday = today - timedelta(days=1)
    day_out = yesterday - timedelta(days=1)
    outings = find(entries, Outing, first_day=day_out, last_day=day_out)
    knees = (outing.of(side) for outing in outings)
    signs = find(entries, WarningSign, first_day=yesterday, last_day=yesterday)
    return any(knee is not None and knee.next_morning == "more_pain" for knee in knees) or any(
        sign.sign in (MORE_PAIN, MORE_PAIN_TWO_DAYS) and sign.cleared != "ticked_by_mistake"
        for sign in signs
    )
