"""Whether the skin of a knee has shown that it takes tape again and again, as a tape trial asks.

A trial is offered only after two wears that ended with clear skin.
Read strictly: of the wears of the plan's make on that knee that are over, the last two. Each must
be written as off with clear skin at once, and with no other than clear skin where it was looked at
again after 30 minutes. A wear whose end nobody wrote down, or whose skin nobody looked at, has
shown nothing; pink skin is not clear.
"""

from typing import Literal

from companion.care.finding import Entries, find
from companion.care.records import Side, TapeOff
from companion.care.tape_applications import same_make, tape_applications

WEARS_NEEDED = 2  # (fact: trial_clear_wears)
TrialSkin = Literal["clear", "too_few", "not_clear"]


def trial_skin(entries: Entries, side: Side, make: str | None) -> TrialSkin:
    """What the last two wears have shown. `entries` are those that count."""
    over = [
        wear
        for wear in tape_applications(entries, side)
        if wear.ended and same_make(wear.make, make)
    ][-WEARS_NEEDED:]
    offs = {off.id: off for off in find(entries, TapeOff, side=side)}
    if not all(_clear(None if wear.off_id is None else offs[wear.off_id]) for wear in over):
        return "not_clear"
    return "clear" if len(over) == WEARS_NEEDED else "too_few"


def _clear(off: TapeOff | None) -> bool:
    return (
        off is not None and off.skin_at_once == "clear" and off.skin_after_30_min in (None, "clear")
    )
