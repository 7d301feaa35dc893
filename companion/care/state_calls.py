"""Calls that nobody ticked: the days say that the clinic is to be told.

A dose that stays too much and a bad spell that does not settle are worked out from the diary each
time. Once somebody said what came of the call, the sign that stands for it is in the diary, and it
is not asked for again until the days for that are over.
"""

from datetime import date, timedelta
from typing import Literal

from companion.care.closures import still_holds
from companion.care.finding import Entries, find
from companion.care.policy import Policy
from companion.care.records import WarningSign

StateCall = Literal["patch_call", "dose_call", "spell_call"]
"""Their signs in the stop list. patch_call: the skin under a test piece was not clear. dose_call:
the knee takes not even the lower dose, or was sore for a week. spell_call: a bad spell has not
settled, rises, or the plan says nothing for it."""


def told_of(
    policy: Policy, entries: Entries, call: StateCall, today: date, since: date | None = None
) -> bool:
    """Whether a call was answered for lately, or has its card open. What was said before `since`,
    the day on which the state began, is not about it."""
    days = timedelta(days=policy.clearing.ask_again_days)
    return any(
        sign.sign == call
        and (
            still_holds(sign, policy)
            or (today - sign.for_day < days and (since is None or sign.for_day >= since))
        )
        for sign in find(entries, WarningSign)
    )
