"""The 30-second chair stand at home: the chair, how it is done, one try, the count, how many.

Rules: seat about 43 cm (fact: chair_stand_seat), against a wall, arms crossed, feet flat, full
stands; arms used score 0 (fact: chair_stand_arms); more than half-way up at the end counts. It is
offered only where the plan allows it. What is closed wins, pain above the plan's ceiling ends it,
and a try comes first: whoever cannot stand up is not asked to do it against the clock. Nothing is
filled in; what was not counted over the whole 30 seconds is not written.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from companion.care.catalogue import Catalogue
from companion.care.finding import Entries, find
from companion.care.flow import Walk
from companion.care.ready import Readied, make_ready
from companion.care.records import Measurement, Plan, Safe
from companion.care.stopping import (
    Ended,
    Gate,
    GateStart,
    SignTicked,
    closed_now,
    gate_walk,
)

SECONDS = 30  # (fact: chair_stand_seconds)
GET_READY_SECONDS = 5
"""Between "ready" and the count: long enough to put the hands where they belong (C)."""
MOST_STANDS = 60
"""More than two a second is a slip of the hand (C)."""
FIRST_DAYS = 7
"""Of a plan, in which a first count is due (C)."""
BEFORE_REVIEW_DAYS = 14

NotNowSaid = Literal[
    "locked", "bad_day", "not_ready", "nobody_there", "pain", "no_stand", "stopped"
]
NotNow = Literal[NotNowSaid, "short"]
"""Too short a time has a page of its own that says so."""
"""Why nothing is counted. short: the 30 seconds were not over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChairStart(GateStart):
    """What held when it began.

    `closed_by`: an open sign that closes everything, whose card comes first and last. `bad_day`:
    it is one by a session of today.
    """

    safe: Safe
    ceiling: int
    closed_by: str | None = None
    bad_day: bool = False


# ---------------------------------------------------------------- pages


@dataclass(frozen=True, slots=True, kw_only=True)
class ChairClosedPage:
    """The card of an open sign; nothing is done today. Given nothing."""

    sign: str
    key: str = "closed"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChairPage:
    """The chair and its place. Given: `seat_cm` or None."""

    safe: Safe
    key: str = "chair"


@dataclass(frozen=True, slots=True, kw_only=True)
class SomeonePage:
    """The plan asks for someone there. Given: `there` yes | no."""

    key: str = "someone"


@dataclass(frozen=True, slots=True, kw_only=True)
class HowPage:
    """How it is done, what counts and when to stop. Given nothing."""

    ceiling: int
    key: str = "how"


@dataclass(frozen=True, slots=True, kw_only=True)
class TryPage:
    """One stand, to practise; above `ceiling` nothing is counted. Given: `stood` yes | arms | no,
    `pain`."""

    ceiling: int
    key: str = "try"


@dataclass(frozen=True, slots=True, kw_only=True)
class CountPage:
    """The 30 seconds. Given: `seconds` counted or None, and `outcome` done | stopped."""

    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortPage:
    """The 30 seconds were not over. Given: `again` yes | no."""

    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HowManyPage:
    """How many full stands. Given: `count`, `arms` yes | no."""

    key: str = "how_many"


@dataclass(frozen=True, slots=True, kw_only=True)
class NotNowPage:
    """Nothing is counted, and why. Given nothing."""

    reason: NotNowSaid
    ceiling: int
    key: str = "not_now"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChairLookOverPage:
    """What will be written, to look over. Given nothing."""

    end: "ChairEnd"
    key: str = "look_over"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChairEnd:
    """How it ended. `count` None: nothing was counted."""

    count: int | None = None
    arms_used: bool = False
    seat_cm: int | None = None
    signs: tuple[SignTicked, ...] = ()


# ---------------------------------------------------------------- the walk


def chair_walk(catalogue: Catalogue, start: ChairStart) -> Walk[ChairEnd]:
    """The gate unless it was answered today, the rules, one try, the count, how many."""
    if start.closed_by is not None:
        yield ChairClosedPage(sign=start.closed_by)
        return ChairEnd()
    gate = Gate()
    try:
        yield from gate_walk(catalogue, start, gate)
    except Ended:
        return ChairEnd(signs=tuple(gate.ticked))
    reason: NotNow | None = None
    seat_cm: int | None = None
    if "check_move" in closed_now(catalogue, start, gate.still_open, gate.ticked):
        reason = "locked"
    elif start.bad_day:
        reason = "bad_day"
    if reason is None:
        readied = Readied()
        yield from make_ready(catalogue, start, gate.ticked, ("check_move",), readied)
        reason = "not_ready" if readied.closed else None
    if reason is None:
        seat_cm = (yield ChairPage(safe=start.safe)).get("seat_cm")
        if start.safe == "with_someone" and (yield SomeonePage())["there"] != "yes":
            reason = "nobody_there"
    if reason is None:
        yield HowPage(ceiling=start.ceiling)
        tried = yield TryPage(ceiling=start.ceiling)
        if tried["pain"] > start.ceiling:
            reason = "pain"
        elif tried["stood"] == "no":
            reason = "no_stand"
        elif tried["stood"] == "arms":
            # With arms it scores 0 however often: nobody is asked to do it against the clock.
            end = ChairEnd(count=0, arms_used=True, seat_cm=seat_cm, signs=tuple(gate.ticked))
            yield ChairLookOverPage(end=end)
            return end
        else:
            reason = yield from _count()
    if reason is not None:
        if reason != "short":  # its own page has said so
            yield NotNowPage(reason=reason, ceiling=start.ceiling)
        return ChairEnd(signs=tuple(gate.ticked))
    said = yield HowManyPage()
    end = ChairEnd(
        count=int(said["count"]),
        arms_used=said["arms"] == "yes",
        seat_cm=seat_cm,
        signs=tuple(gate.ticked),
    )
    yield ChairLookOverPage(end=end)
    return end


def _count() -> Walk[NotNow | None]:
    """The 30 seconds, again when they were not over; None once they were."""
    turn = 0
    while True:
        turn += 1
        submitted = yield CountPage(key=f"count:{turn}")
        if submitted.get("outcome") == "stopped":
            return "stopped"
        if (submitted.get("seconds") or 0) >= SECONDS:
            return None
        if (yield ShortPage(key=f"short:{turn}"))["again"] != "yes":
            return "short"


# ---------------------------------------------------------------- when it is due


def chair_stand_due(plan: Plan, entries: Entries, today: date) -> bool:
    """Whether a count is due: in a plan's first days, and in the 14 days before its review.

    One count is enough for either. Nothing is due where the plan does not offer it.
    """
    if plan.chair_stand is None:
        return False
    spans = (
        (plan.written_on, plan.written_on + timedelta(days=FIRST_DAYS - 1)),
        (plan.review_on - timedelta(days=BEFORE_REVIEW_DAYS), plan.review_on),
    )
    return any(
        first <= today <= last
        and not any(
            measured.test == "chair_stand_30_s"
            for measured in find(entries, Measurement, first_day=first, last_day=last)
        )
        for first, last in spans
    )
