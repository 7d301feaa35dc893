"""What is closed for a knee and by what: the one question of every walk, door, page and paper.

The policy says what a sign, a caution or a state closes; this joins it with a diary. It also says
how a sign is opened again. A sign that the policy does not know goes by the row of its level: it
always closes. Tape off, the record, Stop, the numbers, Visit and reading the plan are no part, so
nothing here can close them.
"""

from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta

from companion.care.caution_rules import CautionReason, caution_judgement, counting_answers
from companion.care.days import diary_day
from companion.care.finding import Entries, find, newest_first
from companion.care.history import seniority
from companion.care.levels import PARTS, level_rank
from companion.care.patch_looks import PATCH_CALL, red_test
from companion.care.policy import Closing, Opener, Policy, SignPolicy, State, Until
from companion.care.records import (
    Cleared,
    DayPage,
    Level,
    Part,
    Plan,
    Record,
    Side,
    Skin,
    TapeOff,
    TapeOn,
    Told,
    WarningSign,
    record,
)

UNTOLD: tuple[Told, ...] = ("not_spoken_of", "not_reached")
"""Nobody has said anything of the routine yet."""
NOT_WHOLE: tuple[Skin, ...] = ("blister", "broken")
OF_BOTH_KNEES: tuple[Part, ...] = ("standing", "check_move")
"""Closed for one knee they are closed for both: nobody stands on one alone (rule r14)."""


@record
class ClosedBy(Record):
    """One thing that closes a part: a sign of the diary, a caution of the plan or a state.
    `but_at_support`: what of the part is done holding on stays open."""

    part: Part
    rule: str
    until: Until
    opens: tuple[Opener, ...]
    sign: WarningSign | None = None
    state: State | None = None
    caution: str | None = None
    but_at_support: bool = False

    @property
    def of_patch_test(self) -> bool:
        """Whether it is the skin under a test piece."""
        return self.state == "patch_red" or (self.sign is not None and self.sign.sign == PATCH_CALL)


@record
class Closures(Record):
    """Everything that is closed for one knee."""

    by: tuple[ClosedBy, ...]

    @property
    def parts(self) -> frozenset[Part]:
        """The closed parts."""
        return frozenset(one.part for one in self.by)

    def closed(self, part: Part) -> bool:
        """Whether a part is closed."""
        return part in self.parts

    def closed_exercise(self, policy: Policy, exercise_id: str) -> bool:
        """Whether an exercise is closed; one done holding on may be open where its part is not."""
        part = policy.exercise_part(exercise_id)
        holds_on = exercise_id in policy.at_support
        return any(not (holds_on and one.but_at_support) for one in self.why(part))

    def by_sign(self, part: Part) -> bool:
        """Whether a sign or a state of the day closes a part, and not the plan's cautions alone."""
        return any(one.caution is None for one in self.why(part))

    def by_other_sign(self, part: Part) -> bool:
        """The same, without the skin under a test piece."""
        return any(one.caution is None and not one.of_patch_test for one in self.why(part))

    def by_patch_test(self, part: Part) -> bool:
        """Whether a test piece that was not clear closes a part, told of or not."""
        return any(one.of_patch_test for one in self.why(part))

    def why(self, part: Part) -> tuple[ClosedBy, ...]:
        """What closes a part; empty when it is open."""
        return tuple(one for one in self.by if one.part == part)


def closures(
    policy: Policy,
    plan: Plan,
    entries: Entries,
    side: Side,
    *,
    today: date,
    on: date | None = None,
) -> Closures:
    """What is closed for a knee: now, or on the day `on` as the diary tells it today.

    `entries` are those that count. What a walk under way adds is in `parts_closed`.
    """
    return Closures(
        by=(
            *closed_by_cautions(
                policy, plan, entries=entries, side=side, day=today if on is None else on
            ),
            *_by_signs(policy, entries, side, on),
            *(by_state(policy, "skin_seen") if on is None and skin_to_ask(entries, side) else ()),
            *(by_state(policy, "patch_red") if on is None and red_test(entries) else ()),
        )
    )


def closed_by_plan(policy: Policy, plan: Plan) -> frozenset[Part]:
    """What the plan closes by itself: for papers and previews, which know no diary and no day."""
    return frozenset(one.part for one in closed_by_cautions(policy, plan))


def parts_closed(
    policy: Policy, signs: Iterable[str], states: Iterable[State] = (), *, at_support: bool = False
) -> frozenset[Part]:
    """What signs ticked in a walk, or open still, and states of its session close; `at_support`:
    of what is done holding on."""
    found = map(policy.sign, signs)
    rows = (row.parts_at_support if at_support else row.parts for row in found)
    return frozenset(
        part for parts in (*rows, *(policy.state(one).closes for one in states)) for part in parts
    )


_UNTIL: dict[CautionReason, Until] = {"flare": "as_before", "resting": "days", "no_helper": "days"}
"""Until when an answer to a caution closes a part, where that is not until the clinician ticks."""


def closed_by_cautions(
    policy: Policy,
    plan: Plan,
    *,
    entries: Entries = (),
    side: Side | None = None,
    day: date | None = None,
) -> Iterable[ClosedBy]:
    """What the cautions of a plan close: as it stands, or on a day with what passes by itself."""
    counting = counting_answers(plan)
    for part in PARTS:
        judged = caution_judgement(
            plan, part, policy, entries=entries, side=side, today=day, counting=counting
        )
        for one in judged.blocked:
            rule = policy.caution(one.caution).rule
            until = _UNTIL.get(one.reason, "ticked")
            yield ClosedBy(part=part, rule=rule, until=until, opens=(), caution=one.caution)


def _by_signs(policy: Policy, entries: Entries, side: Side, on: date | None) -> Iterable[ClosedBy]:
    for warning in find(entries, WarningSign):
        if not _holds(warning, policy, on):
            continue
        row = row_of(warning, policy)
        for closing in row.closes:
            for part in closing.parts:
                if not concerns(warning, side) and part not in OF_BOTH_KNEES:
                    continue
                if part in warning.opened and (
                    on is None or warning.opened_on is None or warning.opened_on <= on
                ):
                    continue
                yield ClosedBy(
                    part=part,
                    rule=row.rule,
                    until=closing.until,
                    opens=closing.opens,
                    sign=warning,
                    but_at_support=closing.but_at_support,
                )


def by_state(policy: Policy, state: State) -> tuple[ClosedBy, ...]:
    """What a state closes."""
    row = policy.state(state)
    return tuple(
        ClosedBy(part=part, rule=row.rule, until=row.until, opens=row.opens, state=state)
        for part in row.closes
    )


def row_of(warning: WarningSign, policy: Policy) -> SignPolicy:
    """The row of a sign. A level that the diary holds can raise what the policy says, never lower
    it; without a row the level decides (rule r01)."""
    row = policy.of_sign(warning.sign)
    high = level_rank(warning.level) >= level_rank("today")
    if row is not None and not (high and set(row.parts) < set(PARTS)):
        return row
    return policy.unknown_sign(warning.sign, warning.level)


def concerns(warning: WarningSign, side: Side) -> bool:
    """Whether a sign is about this knee. Emergency and today are about the whole person."""
    whole = not warning.sides or level_rank(warning.level) >= level_rank("today")
    return whole or side in warning.sides


def open_warnings(entries: Entries, policy: Policy) -> tuple[WarningSign, ...]:
    """The signs that still hold, the highest level first, then the oldest.

    `entries` are those that count. Signs that hold for their own session alone are not among them.
    """
    still = [sign for sign in find(entries, WarningSign) if still_holds(sign, policy)]
    return tuple(sorted(still, key=lambda sign: (-level_rank(sign.level), sign.for_day, sign.id)))


def still_holds(warning: WarningSign, policy: Policy) -> bool:
    """Whether a sign holds now: not cleared, or by nothing that can clear it. One that held for
    its own session alone does not."""
    return _holds(warning, policy, None)


def most_pressing(entries: Entries, policy: Policy) -> WarningSign | None:
    """The open warning to show, the first of those to act on."""
    return next(iter(open_to_act_on(entries, policy)), None)


def open_to_act_on(entries: Entries, policy: Policy) -> tuple[WarningSign, ...]:
    """The open warnings: the highest level, then the oldest. Below call only those that close
    something."""
    return tuple(
        warning
        for warning in open_warnings(entries, policy)
        if level_rank(warning.level) >= level_rank("call") or row_of(warning, policy).parts
    )


def asked_of(warning: WarningSign, policy: Policy, today: date) -> tuple[Closing, ...]:
    """What of an open sign the person may open when asked today."""
    return tuple(
        closing
        for closing in row_of(warning, policy).closes
        if closing.asked is not None
        and not (closing.parts and set(closing.parts) <= set(warning.opened))
        and today >= warning.for_day + timedelta(days=closing.after_days)
    )


def told_asked(warning: WarningSign, policy: Policy, today: date) -> bool:
    """Whether a gate asks what a professional said of an open sign (rule r08).

    Daily while nobody said anything of the routine, else once the days for that are over. Of a sign
    that nobody was told of yet only below today: the others have their card on the front page.
    """
    row = row_of(warning, policy)
    told = any("checked_by_professional" in one.opens and one.parts for one in row.closes)
    if not told:
        return False
    if warning.told is None:
        return level_rank(warning.level) < level_rank("today")
    since = warning.told_on or warning.for_day
    days = 1 if warning.told in UNTOLD else policy.clearing.ask_again_days
    return today >= since + timedelta(days=days)


def nobody_told(warning: WarningSign, policy: Policy, today: date) -> bool:
    """Whether a sign is open for so long without a word on the routine that somebody else should
    be called."""
    asked = warning.told in UNTOLD
    return asked and today >= warning.for_day + timedelta(days=policy.clearing.whom_else_days)


def to_ask_at_gate(entries: Entries, policy: Policy, today: date) -> tuple[WarningSign, ...]:
    """The open signs the next short gate asks about: those the person may open by now, and those
    that a professional may have been told of."""
    return tuple(
        sign
        for sign in open_warnings(entries, policy)
        if asked_of(sign, policy, today) or told_asked(sign, policy, today)
    )


def still_closes(warning: WarningSign, policy: Policy) -> tuple[Part, ...]:
    """What an open sign closes now."""
    return tuple(part for part in row_of(warning, policy).parts if part not in warning.opened)


def closed_but_for(
    found: Closures, asked: Collection[WarningSign], *, at_support: bool = False
) -> frozenset[Part]:
    """What stays closed whatever the person answers about the signs `asked`, and about the skin
    where a look found it; `at_support`: of what is done holding on."""
    ids = {warning.id for warning in asked}
    return frozenset(
        one.part
        for one in found.by
        if one.state != "skin_seen"
        and not (one.sign is not None and one.sign.id in ids)
        and not (at_support and one.but_at_support)
    )


def skin_to_ask(entries: Entries, side: Side) -> bool:
    """Whether the last look at this knee's skin found a blister or broken skin.

    It is asked again at the gate; any later look that finds neither ends it.
    """
    looks: list[tuple[date, tuple[datetime, str], Skin]] = []
    for kind, fields in _SKIN_SEEN:
        for entry in newest_first(entries, kind, side=side, words=fields):
            skin = _skin(entry)
            if skin is not None:
                looks.append((entry.for_day, seniority(entry), skin))
                break
    looks += [
        (sign.cleared_on or diary_day(sign.written_at), seniority(sign), "clear")
        for sign in find(entries, WarningSign)
        if sign.cleared == "skin_read_clear" and concerns(sign, side)
    ]
    return bool(looks) and max(looks)[2] in NOT_WHOLE


def _skin(entry: DayPage | TapeOn | TapeOff) -> Skin | None:
    if isinstance(entry, TapeOff):
        return entry.skin_after_30_min or entry.skin_at_once
    return entry.skin_before if isinstance(entry, TapeOn) else entry.skin


_SKIN_SEEN: tuple[tuple[type[DayPage | TapeOn | TapeOff], tuple[str, ...]], ...] = (
    (DayPage, ("skin",)),
    (TapeOn, ("skin_before",)),
    (TapeOff, ("skin_at_once", "skin_after_30_min")),
)
"""Entries that hold a look at the skin, and in which fields."""


def ways_to_clear(warning: WarningSign, policy: Policy) -> tuple[Cleared, ...]:
    """What may be written to end a sign, of all its closings. A tick by mistake can always be
    taken back."""
    closes = row_of(warning, policy).closes
    every = dict.fromkeys(how for one in closes for how in one.opens)
    whole = [how for how in every if all(how in one.opens for one in closes)]
    return (*whole, "ticked_by_mistake")


def cleared(warning: WarningSign, how: Cleared, *, on: date | None, policy: Policy) -> WarningSign:
    """A sign that is over, or of which those parts are open that `how` opens. It keeps the day on
    which it was ticked.

    `on` is the day of the check or the look, required for "checked by a professional" and not
    before the sign. Raises ValueError for a way that opens nothing of this sign.
    """
    closes = row_of(warning, policy).closes
    opened = {part for one in closes if how in one.opens for part in one.parts}
    whole = how in ways_to_clear(warning, policy)
    if not whole and not opened:
        raise ValueError(f"{how} does not clear the sign {warning.sign}")
    if how == "checked_by_professional" and (on is None or on < warning.for_day):
        raise ValueError("a check by a professional needs its date, not before the sign")
    if whole:
        return replace(warning, cleared=how, cleared_on=on, cleared_by=None)
    parts = tuple(part for part in PARTS if part in {*warning.opened, *opened})
    return replace(warning, opened=parts, opened_on=on)


def days_closed(
    warning: WarningSign, part: Part, policy: Policy
) -> tuple[date, date | None] | None:
    """The day a sign began to close a part and the first day it no longer did, None while it does;
    None for a part it does not close.

    A sign cleared on its own day closed nothing for a whole day.
    """
    if part not in row_of(warning, policy).parts:
        return None
    over = _over_on(warning, policy)
    if part in warning.opened and warning.opened_on is not None:
        over = warning.opened_on if over is None else min(over, warning.opened_on)
    return warning.for_day, over


def highest(levels: Iterable[Level]) -> Level | None:
    """The highest of some levels; None of none."""
    return max(levels, key=level_rank, default=None)


def _holds(warning: WarningSign, policy: Policy, on: date | None) -> bool:
    over = _over_on(warning, policy)
    if on is None:
        return over is None
    return warning.for_day <= on and (over is None or on < over)


def _over_on(warning: WarningSign, policy: Policy) -> date | None:
    """The first day on which a sign no longer holds.

    What was written counts only if it can clear this sign: a skin read clear does not clear an
    emergency, and a check without a date, or dated before the sign, is no check. Below that every
    way counts which any version of the program offered: an older diary stays as it was told.
    """
    row = row_of(warning, policy)
    if row.for_session:
        return warning.for_day
    how = warning.cleared
    to_be_seen = any(one.until in ("seen", "seen_told") for one in row.closes)
    if how is None or (to_be_seen and how not in ways_to_clear(warning, policy)):
        return None
    if how == "checked_by_professional":
        on = warning.cleared_on
        return on if on is not None and on >= warning.for_day else None
    return max(warning.cleared_on or diary_day(warning.written_at), warning.for_day)
