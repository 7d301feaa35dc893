"""Going out: tape before something that matters, how it was, and the morning after.

Three walks. An outing without tape is possible and is never closed; what may be closed is tape. An
open emergency or today card is shown first all the same.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from companion.care.catalogue import Catalogue
from companion.care.finding import Entries, find
from companion.care.flow import Walk
from companion.care.pacing import PacedWeek
from companion.care.ranges import EntryId
from companion.care.ready import asked_in
from companion.care.records import (
    Amount,
    AmountPlan,
    NextMorning,
    Outing,
    OutingEnded,
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
class OutingStart(GateStart):
    """What held when going out began.

    `closed_by`: an open emergency or today sign, whose card comes first. `wearing`: the tape that
    is on. `tape_in_plan`: the plan allows tape before an outing. `tape_by_trial`: a tape trial runs
    on this knee, so no tape goes on for an outing. `refused`: reasons against tape that are known
    before anything is asked.
    """

    closed_by: str | None = None
    labels: tuple[str, ...] = ()
    amounts: tuple[AmountPlan, ...] = ()
    aims: tuple[PacedWeek, ...] = ()
    wearing: EntryId | None = None
    tape_in_plan: bool = False
    tape_by_trial: bool = False
    stage: int = 1
    refused: tuple[TapeReason, ...] = ()
    helper_needed: bool = False
    next_wear: int = ANY_LATER_WEAR


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
class OutingLookOverPage:
    """The outing without new tape, to look over and write down. Given: `going` yes | no."""

    what_for: str
    amount: Amount | None
    tape: OutingTape
    key: str = "look_over"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingEnd:
    """How going out began. `going` False: it was given up, or a card ended it (`card`)."""

    going: bool
    card: bool = False
    what_for: str | None = None
    amount: Amount | None = None
    tape: OutingTape = "none"
    signs: tuple[SignTicked, ...] = ()


def outing_walk(catalogue: Catalogue, start: OutingStart) -> Walk[OutingEnd]:
    """The gate unless it was answered today, what for, how much, and tape as the plan allows.

    When tape went on nothing more is asked: whoever has put it on leaves the screen.
    """
    gate = Gate()
    try:
        if start.closed_by is not None:
            yield CardFirstPage(sign=start.closed_by)
        yield from gate_walk(catalogue, start, gate)
    except Ended:
        return OutingEnd(going=False, card=True, signs=tuple(gate.ticked))
    if start.tape_by_trial:
        yield TapeByTrialPage()
    what_for = yield from _what_for(start.labels)
    amount = yield from _amount_meant(start, what_for)
    tape: OutingTape = "none"
    if start.wearing is not None:
        check = yield from tape_check_walk()
        gate.ticked += check.signs
        tape = "none" if check.off else "was_on"
    elif start.tape_in_plan and not start.tape_by_trial:
        tape = yield from _tape(catalogue, start, gate, what_for, amount)
    going = tape == "put_on"
    if not going:
        submitted = yield OutingLookOverPage(what_for=what_for, amount=amount, tape=tape)
        going = submitted["going"] == "yes"
    return OutingEnd(
        going=going, what_for=what_for, amount=amount, tape=tape, signs=tuple(gate.ticked)
    )


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


def _tape(
    catalogue: Catalogue, start: OutingStart, gate: Gate, what_for: str, amount: Amount | None
) -> Walk[OutingTape]:
    refused = start.refused
    closed = closed_now(catalogue, start, gate.still_open, gate.ticked)
    if "outing_tape" in closed and not {"locked", "patch_red"} & {*refused}:
        refused = (*refused, "locked")
    if not refused:
        submitted = yield TapeForOutingPage(what_for=what_for, amount=amount)
        if submitted["tape"] != "yes":
            return "none"
        refused = yield from tape_questions(
            start.stage,
            helper_needed=start.helper_needed,
            asks=asked_in(catalogue, start, (), "outing_tape"),
        )
    if refused:
        yield NoTapePage(reasons=refused)
        return "none"
    put_on = yield from tape_steps(catalogue, 0, start.stage, start.next_wear)
    return "put_on" if put_on else "none"


# ---------------------------------------------------------------- after


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingAfterStart(Record):
    """The outing that is told of. `label` and `unit`: what is counted, when something is.

    `taped`: tape was on for it. `tape_now`: tape is on now, put on for this outing or not, and
    `wearing` is which. `day`: that of the outing, where it is over; then nothing is asked of how
    things are now.
    """

    outing: EntryId
    day: date | None = None
    what_for: str
    meant: Amount | None = None
    label: str | None = None
    unit: str | None = None
    taped: bool = False
    tape_now: Literal["for_outing", "other"] | None = None
    wearing: EntryId | None = None


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
class TapeStillOnPage:
    """Whether the tape is still on. Given: `tape` on | off | by_itself."""

    key: str = "tape_still_on"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingAfterLookOverPage:
    """How it was, to look over and write down. Given nothing."""

    end: "OutingAfterEnd"
    key: str = "after_look_over"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingAfterEnd(Record):
    """How an outing was. `gone` False: nobody went.

    `removed`: how the tape came off, where it is off. `next_with_tape`: take it off now, or leave
    it until it is due; None where none is on.
    """

    what_for: str
    gone: bool = True
    because: OutingEnded | None = None
    amount: Amount | None = None
    pain_worst: int | None = None
    removed: TapeOffEnd | None = None
    next_with_tape: NextWithTape | None = None

    @property
    def empty(self) -> bool:
        """True when nothing was said of the outing itself."""
        return self.because is None and self.amount is None and self.pain_worst is None


def outing_after_walk(start: OutingAfterStart) -> Walk[OutingAfterEnd]:
    """Why it ended, how much was done, the worst pain, and what becomes of the tape. Where it is
    off already, it is asked when and how the skin is: no second errand is left."""
    said = (yield WhyEndedPage(what_for=start.what_for, taped=start.taped)).get("because")
    gone = said != "not_gone"
    because: OutingEnded | None = said if gone else "other"
    amount, pain = None, None
    if not gone:
        amount = Amount(label=start.label or start.what_for, unit=start.unit or TIMES, amount=0.0)
    else:
        if start.label is not None and start.unit is not None:
            submitted = yield AmountDonePage(label=start.label, unit=start.unit, meant=start.meant)
            amount = _amount(start.label, start.unit, submitted.get("amount"))
        pain = (yield OutingPainPage(what_for=start.what_for)).get("score")
    removed: TapeOffEnd | None = None
    tape: str | None = None
    if start.tape_now is not None and start.day is not None:
        tape = "on"
    elif start.tape_now is not None:
        tape = (yield TapeStillOnPage()).get("tape")
        if tape in ("off", "by_itself"):
            removed = yield from came_off_walk("earlier" if tape == "off" else "by_itself")
    end = OutingAfterEnd(
        what_for=start.what_for,
        gone=gone,
        because=because,
        amount=amount,
        pain_worst=pain,
        removed=removed,
        next_with_tape=_next_with_tape(start, because, tape),
    )
    yield OutingAfterLookOverPage(end=end)
    return end


def _next_with_tape(
    start: OutingAfterStart, because: OutingEnded | None, tape: str | None
) -> NextWithTape | None:
    if tape != "on":
        return None
    return "take_off" if because == "tape" or start.tape_now == "for_outing" else "leave"


# ---------------------------------------------------------------- the morning after


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingMorningStart(Record):
    """The outings of yesterday whose morning is asked about.

    `more_pain_before`: the morning before this one had more pain too. `aim`: what the plan paces
    of it this week.
    """

    outings: tuple[EntryId, ...]
    what_for: str
    more_pain_before: bool = False
    aim: PacedWeek | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MorningAfterPage:
    """How the knee was this morning. Given: `next_morning` or None."""

    key: str
    what_for: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingMorningEnd:
    """The morning after. None: it was not said."""

    what_for: str
    next_morning: NextMorning | None
    signs: tuple[SignTicked, ...] = ()
    aim: PacedWeek | None = None


def outing_morning_walk(start: OutingMorningStart) -> Walk[OutingMorningEnd]:
    """One question. More pain shows its card, two mornings running the one that says: call.

    A card that was a mistake brings the question back.
    """
    ticked: list[SignTicked] = []
    sign = MORE_PAIN_TWO_DAYS if start.more_pain_before else MORE_PAIN
    turn = 0
    while True:
        turn += 1
        key = f"next_morning:{turn}"
        answer = (yield MorningAfterPage(key=key, what_for=start.what_for)).get("next_morning")
        if answer == "more_pain":
            ticked.append((yield from card_walk(CardPage(key=f"{key}:card", sign=sign))))
            if ticked[-1].mistake:
                continue
        return OutingMorningEnd(
            what_for=start.what_for, next_morning=answer, signs=tuple(ticked), aim=start.aim
        )


# ---------------------------------------------------------------- what is due


def more_pain_the_morning_before(entries: Entries, side: Side, today: date) -> bool:
    """Whether yesterday's morning had more pain: after an outing, or ticked as such a sign."""
    yesterday = today - timedelta(days=1)
    day_out = yesterday - timedelta(days=1)
    outings = find(entries, Outing, side=side, first_day=day_out, last_day=day_out)
    signs = find(entries, WarningSign, first_day=yesterday, last_day=yesterday)
    return any(outing.next_morning == "more_pain" for outing in outings) or any(
        sign.sign in (MORE_PAIN, MORE_PAIN_TWO_DAYS) and sign.cleared != "ticked_by_mistake"
        for sign in signs
    )
