"""Signs that are open when a plan is written, as the clinician answered them in it.

A signed plan answers for each of them (rule r08). When it is taken in at home, what it says becomes
a correction of the sign, told by the clinician who signed: once, whatever comes twice. A sign that
was ticked, opened or told of by somebody else since stays as it is.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date

from companion.care.closures import UNTOLD, still_holds, ways_to_clear
from companion.care.days import diary_day
from companion.care.history import corrected, current, instant, tree_of
from companion.care.policy import Policy
from companion.care.records import (
    AnsweredSign,
    AnyEntry,
    Cleared,
    OpenSignSaid,
    Plan,
    SignOff,
    WarningSign,
)


def answers_for(sign_id: str, policy: Policy) -> tuple[OpenSignSaid, ...]:
    """What may be said of an open sign. A sign that closes until it was seen, or until the skin is
    clear, is not let go on unseen; known is what the policy lets be known."""
    row = policy.of_sign(sign_id)
    said: list[OpenSignSaid] = ["seen"]
    if row is not None and row.known_since:
        said.append("known")
    if row is not None and all(
        one.until != "seen_told" and "checked_by_professional" in one.opens for one in row.closes
    ):
        said.append("go_on")
    return (*said, "still_open")


def told_by_plan(
    plan: Plan,
    entries: Iterable[AnyEntry],
    policy: Policy,
    entry_id: Callable[[str], str],
) -> tuple[WarningSign, ...]:
    """The corrections that a signed plan makes in a diary, of all whose `entries` there are.

    Each takes the day and the name of the sign-off. `entry_id` gives the id of the correction of an
    entry; the same one each time, so that the same plan taken in twice is one correction.
    """
    sign_off = plan.sign_off
    if sign_off is None or not plan.open_signs:
        return ()
    signs = [entry for entry in entries if isinstance(entry, WarningSign)]
    counting = {entry.id for entry in current(signs)}
    found = []
    for answer in plan.open_signs:
        here = [sign for sign in tree_of(signs, answer.warning) if sign.id in counting]
        found += [
            _told(plan.version, answer, sign, sign_off, policy, entry_id(sign.id))
            for sign in here
            if still_holds(sign, policy) and not _told_before_or_since(plan.version, sign, sign_off)
        ]
    return tuple(found)


def answered_elsewhere(
    plans: Iterable[Plan], entries: Iterable[AnyEntry]
) -> Mapping[str, tuple[Plan, OpenSignSaid]]:
    """What signed plans answer and home has not written yet, of all plans and entries at hand: by
    the id of the sign that counts, the newest such plan and its answer."""
    signs = [entry for entry in entries if isinstance(entry, WarningSign)]
    counting = {entry.id for entry in current(signs)}
    found: dict[str, tuple[Plan, OpenSignSaid]] = {}
    for plan in sorted(plans, key=lambda one: one.version):
        sign_off = plan.sign_off
        if sign_off is None:
            continue
        for answer in plan.open_signs:
            for sign in tree_of(signs, answer.warning):
                if sign.id in counting and not _told_before_or_since(plan.version, sign, sign_off):
                    found[sign.id] = plan, answer.answer
    return found


def _told_before_or_since(version: int, sign: WarningSign, sign_off: SignOff) -> bool:
    """Whether this plan said it before, or somebody said something of the routine on a later day
    than it was signed."""
    if (sign.written_by, sign.plan_version) == ("clinic", version):
        return True
    day = _day(sign_off)
    return sign.told is not None and sign.told not in UNTOLD and (sign.told_on or day) > day


def _told(
    version: int,
    answer: AnsweredSign,
    sign: WarningSign,
    sign_off: SignOff,
    policy: Policy,
    entry_id: str,
) -> WarningSign:
    day = _day(sign_off)
    # A home clock ahead of the clinic's wrote the sign: its correction is no older.
    at = max(sign_off.signed_at, sign.written_at, key=instant)
    told = replace(
        corrected(sign, entry_id, at, "clinic"),
        plan_version=version,
        # The clinic said it: no store at home wrote it, so none saw it in its turn.
        machine=None,
        turn=None,
        told="not_yet" if answer.answer == "still_open" else "all",
        told_by="clinic",
        told_name=sign_off.name,
        told_on=max(day, sign.for_day),
    )
    if answer.answer == "still_open":
        return told
    return replace(
        told,
        cleared=_how(sign, policy),
        cleared_on=max(day, sign.for_day),
        cleared_by=sign_off.name,
    )


def _how(sign: WarningSign, policy: Policy) -> Cleared:
    """As it is written that a professional opened it; of skin, that it was read clear."""
    ways = ways_to_clear(sign, policy)
    return "checked_by_professional" if "checked_by_professional" in ways else ways[0]


def _day(sign_off: SignOff) -> date:
    return diary_day(sign_off.signed_at)
