"""Entries put right from My record: which there are of a day, and the walk that corrects one."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from companion.care.catalogue import Catalogue
from companion.care.closures import closures, open_warnings
from companion.care.correcting import (
    KNEE_KINDS,
    CorrectEnd,
    CorrectStart,
    Opens,
    Settled,
    Ticked,
    correct_walk,
    is_out,
)
from companion.care.day_answers import RowOffer
from companion.care.days import diary_day
from companion.care.finding import happened_at, side_of
from companion.care.flow import Answer, Given, Walk, WalkPage, replay
from companion.care.history import (
    current,
    last_of,
    naming_tapes,
    seniority,
    tapes_named,
    tree_of,
    trees,
)
from companion.care.records import (
    AnyEntry,
    DayPage,
    GateAnswer,
    Outing,
    PatchTest,
    Plan,
    Session,
    Side,
    TapeOff,
    TapeOn,
    WarningSign,
)
from companion.care.tape_gate import patch_test_state
from companion.services.context import Context, derived_id
from companion.services.day_page import offers_on
from companion.services.signs import SEEN_ON_SKIN, SignWalk, asked_signs
from companion.services.walks import ExpiryReason, WalkState

DAYS_ROUND = 7
"""How far off the right day may be."""


@dataclass(frozen=True, slots=True)
class EntryHistory:
    """One thing of the diary: what counts of it, or withdraws it, and every version, the oldest
    first."""

    entry: AnyEntry
    versions: tuple[AnyEntry, ...]


def told_by_day(entries: Iterable[AnyEntry], side: Side) -> dict[date, tuple[EntryHistory, ...]]:
    """What may be put right, by its day, the newest day first: of one knee, and of the whole
    person. `entries` are all, not only those that count."""
    every = tuple(entries)
    counting = {entry.id for entry in current(every)}
    found: dict[date, list[EntryHistory]] = {}
    for tree in trees(every):
        entry = last_of(tree)
        if side_of(entry) not in (None, side):
            continue
        if entry.id in counting or is_out(entry):
            found.setdefault(entry.for_day, []).append(EntryHistory(entry, tree))
    return {
        day: tuple(sorted(found[day], key=lambda one: (happened_at(one.entry), one.entry.id)))
        for day in sorted(found, reverse=True)
    }


def may_be_put_right(entry: AnyEntry) -> bool:
    """Not what the clinic wrote: that is the clinic's to say."""
    return entry.written_by != "clinic"


class CorrectWalk(SignWalk[CorrectStart, CorrectEnd]):
    """One entry put right, by the id of any version of it."""

    name = "correct"
    start_type = CorrectStart
    outlives_stop = True

    def __init__(self, entry_id: str = "") -> None:
        self._entry_id = entry_id

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> CorrectStart:
        """The entry, what was written of it before, and where else it may belong. Raises
        LookupError for an id that is unknown."""
        every, entries = context.journal.entries(), context.entries
        tree = sorted(tree_of(every, self._entry_id), key=seniority)
        if not tree:
            raise LookupError(f"no entry {self._entry_id}")
        entry = last_of(tree)
        counting = current(every)
        after, before = _neighbours(counting, entry)
        return CorrectStart(
            entry=entry,
            earlier_versions=tuple(one for one in tree if one.id != entry.id),
            today=for_day,
            days=_other_days(counting, entry, for_day, tree[0]),
            other_knee=_other_knee(context, counting, entry),
            not_before=after,
            not_after=before,
            ticked=_ticked(context, entry, tree),
            asked_signs=asked_signs(context, plan, entries),
            earlier=tuple(one.sign for one in open_warnings(entries, context.policy)),
            two_knees=len(plan.sides) > 1,
            known=plan.known_signs,
            offers=_offers(context, entry),
        )

    def told_day(self, state: WalkState[CorrectStart]) -> date:
        """The day of the entry."""
        return state.start.entry.for_day

    def walk(self, context: Context, state: WalkState[CorrectStart]) -> Walk[CorrectEnd]:
        """Its answers, each as a door."""
        return correct_walk(context.catalogue, state.start, _opens(context, state), Settled())

    def on_shown(
        self, context: Context, state: WalkState[CorrectStart], page: WalkPage
    ) -> tuple[AnyEntry, ...]:
        """The warnings of a card: ticked today, of the time of the entry."""
        at = getattr(state.start.entry, "happened_at", None)
        shown = super().on_shown(context, state, page)
        return tuple(replace(one, happened_at=at) for one in shown if isinstance(one, WarningSign))

    def on_answer(
        self, context: Context, state: WalkState[CorrectStart], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """The correction, as soon as it is settled and before any card of it is shown."""
        answer = Answer(page=page.key, submitted=dict(submitted), at=context.clock.now())
        settled = _settled(context, state, (*state.answers, answer))
        return (*settled, *super().on_answer(context, state, page, submitted))

    def finish(
        self, context: Context, state: WalkState[CorrectStart], end: CorrectEnd
    ) -> tuple[AnyEntry, ...]:
        """Nothing more: it is on disk since it was settled."""
        return ()

    def tells(self, state: WalkState[CorrectStart], end: CorrectEnd) -> bool:
        """Not where all stays as it was."""
        return end.entry is not None

    def expiry(self, context: Context, state: WalkState[CorrectStart]) -> ExpiryReason | None:
        """Another entry is meant, or it was changed elsewhere, or nothing was answered yet."""
        start = state.start
        as_it_was = last_of(tree_of(context.journal.entries(), start.entry.id)).id
        if as_it_was not in (start.entry.id, *state.entry_ids):
            return "stale"
        if not self._entry_id:
            return None
        versions = (start.entry, *start.earlier_versions)
        meant = any(one.id == self._entry_id for one in versions)
        return None if meant and state.answers else "stale"


def _offers(context: Context, entry: AnyEntry) -> tuple[RowOffer, ...]:
    """What the answers of a day page lead to on its day, under its plan."""
    plan = context.plan_of(entry.plan_version)
    if not isinstance(entry, DayPage) or plan is None:
        return ()
    return offers_on(context, plan, entry.side, entry.for_day)


# ---------------------------------------------------------------- where else it may belong


def _other_days(
    counting: Iterable[AnyEntry], entry: AnyEntry, today: date, first: AnyEntry
) -> tuple[date, ...]:
    """The days round its own on which nothing stands in its place."""
    if isinstance(entry, WarningSign) or is_out(entry):
        return ()
    last = min(today, diary_day(first.written_at), entry.for_day + timedelta(days=DAYS_ROUND))
    taken = {
        other.for_day
        for other in counting
        if isinstance(entry, DayPage) and isinstance(other, DayPage) and other.side == entry.side
    }
    days = (last - timedelta(days=ago) for ago in range(2 * DAYS_ROUND + 1))
    earliest = entry.for_day - timedelta(days=DAYS_ROUND)
    return tuple(
        day for day in days if day >= earliest and day != entry.for_day and day not in taken
    )


def _other_knee(context: Context, counting: Iterable[AnyEntry], entry: AnyEntry) -> bool:
    """Whether it may be of the other knee: one of its plan, with no page of that day."""
    plan = context.plan_of(entry.plan_version)
    if not isinstance(entry, KNEE_KINDS) or is_out(entry) or side_of(entry) is None:
        return False
    if plan is None or plan.side != "both":
        return False
    return not (
        isinstance(entry, DayPage)
        and any(
            isinstance(other, DayPage)
            and other.side != entry.side
            and other.for_day == entry.for_day
            for other in counting
        )
    )


def _neighbours(
    counting: Iterable[AnyEntry], entry: AnyEntry
) -> tuple[datetime | None, datetime | None]:
    """Between which times tape on and off stays in its place among the others of its knee."""
    if not isinstance(entry, TapeOn | TapeOff):
        return None, None
    at = happened_at(entry)
    others = [
        happened_at(other)
        for other in counting
        if isinstance(other, TapeOn | TapeOff) and other.side == entry.side and other.id != entry.id
    ]
    return (
        max((other for other in others if other <= at), default=None),
        min((other for other in others if other > at), default=None),
    )


def _ticked(context: Context, entry: AnyEntry, versions: Sequence[AnyEntry]) -> tuple[Ticked, ...]:
    """The open signs of the days on which a gate was answered or put right."""
    if not isinstance(entry, Session | GateAnswer):
        return ()
    days = {entry.for_day, *(diary_day(one.written_at) for one in versions)}
    return tuple(
        Ticked(
            warning=warning.id,
            sign=warning.sign,
            question=_question_of(context.catalogue, warning.sign),
        )
        for warning in open_warnings(context.entries, context.policy)
        if warning.for_day in days
    )


def _question_of(catalogue: Catalogue, sign_id: str) -> int | None:
    """The question of the gate behind which a sign stands, or the row that leads to it."""
    for sign in catalogue.stop_list.signs:
        if sign.question is not None and (
            sign.id == sign_id or any(lead.sign == sign_id for lead in sign.leads)
        ):
            return sign.question
    unsure = (one for one in catalogue.short_gate.questions if one.not_sure == sign_id)
    return next((question.number for question in unsure), None)


# ---------------------------------------------------------------- what is written


def _settled(
    context: Context, state: WalkState[CorrectStart], answers: Sequence[Answer]
) -> tuple[AnyEntry, ...]:
    """What is written once it is settled what is right; nothing before."""
    settled = Settled()
    opens = _opens(context, state)
    replay(lambda: correct_walk(context.catalogue, state.start, opens, settled), answers)
    if settled.entry is None:
        return ()
    now = context.clock.now()
    taken_back = (
        replace(
            state.corrected(warning, derived_id(state.id, "mistake", warning.id), now),
            cleared="ticked_by_mistake",
            cleared_on=context.clock.today(),
        )
        for warning in map(context.journal.entry, settled.mistaken)
        if isinstance(warning, WarningSign)
    )
    return (*_corrections(context, state, settled.entry), *taken_back)


def _corrections(
    context: Context, state: WalkState[CorrectStart], right: AnyEntry
) -> tuple[AnyEntry, ...]:
    """The correction of the entry, which stays under its plan, and of those that name it."""
    start, now = state.start, context.clock.now()

    def stamped(entry: AnyEntry) -> AnyEntry:
        return state.corrected(entry, derived_id(state.id, "corrected", entry.id), now)

    correction = stamped(right)
    versions = {start.entry.id, *(one.id for one in start.earlier_versions)}
    named = _renamed(context, versions, correction) if isinstance(correction, TapeOn) else ()
    return (correction, *map(stamped, named))


def _renamed(context: Context, versions: set[str], tape: TapeOn) -> Iterator[AnyEntry]:
    """What names tape that was put right: how it came off goes where it goes, and an outing with
    it names it where it can."""
    for entry in context.entries:
        if isinstance(entry, TapeOff) and entry.tape_on in versions:
            yield replace(entry, tape_on=tape.id, side=tape.side, withdrawn=tape.withdrawn)
        elif isinstance(entry, Outing) and versions.intersection(tapes_named(entry)):
            of = next(one.side for one in entry.knees if one.tape_on in versions)
            still = tape.withdrawn is None and tape.side == of
            yield naming_tapes(entry, dict.fromkeys(versions, tape.id if still else None))


def _opens(context: Context, state: WalkState[CorrectStart]) -> Opens:
    """What a correction would open, told from the diary as it was when it was begun."""

    def found(right: AnyEntry) -> tuple[str | None, ...]:
        before = tuple(e for e in context.journal.entries() if e.id not in state.entry_ids)
        after = (*before, *_corrections(context, state, right))
        was, now = _closed_by(context, state.plan, before), _closed_by(context, state.plan, after)
        return tuple(dict.fromkeys(sign for _, sign in was if (_, sign) not in now))

    return found


def _closed_by(
    context: Context, plan: Plan, entries: Iterable[AnyEntry]
) -> dict[tuple[str, str | None], None]:
    """What closes something of a knee, or of a make of tape, in one order. What the plan closes by
    itself is none of a correction."""
    counting, today = current(entries), context.clock.today()
    closed: dict[tuple[str, str | None], None] = {}
    for side in plan.sides:
        for one in closures(context.policy, plan, counting, side, today=today).by:
            if one.sign is not None:
                closed[side, one.sign.sign] = None
            elif one.state is not None:
                closed[side, SEEN_ON_SKIN] = None
    readings = context.catalogue.tape_steps.patch_test.readings
    for test in counting:
        if isinstance(test, PatchTest):
            state = patch_test_state(plan, counting, test.make, context.clock.now(), readings)
            if state == "not_clear":
                closed[test.make.strip().casefold(), None] = None
    return closed
