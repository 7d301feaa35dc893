"""Walking through pages with every answer on disk before the next page is shown.

One `WalkKind` for each kind of walk says what it starts from, which entries it writes and when;
`walk_kinds` lists them. A walk under way is a draft in the journal: its start and its answers.
Entries that cannot wait (a warning, tape on) are written in the same transaction as the answer.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, ClassVar, Generic, Literal, TypeVar

from companion.care.course import EndReason
from companion.care.flow import (
    Answer,
    Completed,
    Given,
    Paused,
    Walk,
    WalkPage,
    replay,
    replay_changed,
)
from companion.care.history import corrected
from companion.care.json_values import JsonObject
from companion.care.records import AnyEntry, Plan, Record, Side, Stamp, WrittenBy
from companion.services.context import Context
from companion.system.ids import new_id
from companion.wire.plain import decode, encode

WalkName = Literal[
    "routine",
    "evening",
    "day",
    "tape_on",
    "tape_check",
    "tape_off",
    "skin",
    "outing",
    "outing_after",
    "outing_morning",
    "patch",
    "patch_reading",
    "chair",
    "stop",
    "clear",
    "correct",
]
ExpiryReason = Literal["left_behind", "card", "tape_on", "trial", "stale"]
"""Why a walk under way is not taken up again: its day is over, a sign ticked elsewhere closes it,
tape went on meanwhile, a plan came whose tape trial rules the day, or nothing of it was answered
and things may have changed."""

StartT = TypeVar("StartT", bound=Record)
StartT_co = TypeVar("StartT_co", bound=Record, covariant=True)
EndT = TypeVar("EndT")
EndT_co = TypeVar("EndT_co", covariant=True)
EntryT = TypeVar("EntryT", bound=AnyEntry)


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkState(Generic[StartT_co]):
    """A walk under way. `start` is what held when it began; `written_by` who answers now.

    `wrote` holds the keys of pages whose entries are on disk for good: nobody goes back over them.
    `entry_ids` are the entries this walk wrote, those too whose answer may still be changed.
    `taken_back` are answers over which Back led: their pages show them again.
    """

    walk: WalkName
    id: str
    side: Side
    plan: Plan
    for_day: date
    begun_at: datetime
    written_by: WrittenBy
    start: StartT_co
    answers: tuple[Answer, ...] = ()
    wrote: tuple[str, ...] = ()
    entry_ids: tuple[str, ...] = ()
    taken_back: tuple[Answer, ...] = ()

    @property
    def last_at(self) -> datetime:
        """When the last answer was given, or the walk begun."""
        return self.answers[-1].at if self.answers else self.begun_at

    @property
    def untouched(self) -> bool:
        """Nothing of it was answered, nor written before the last answer was taken back."""
        return not self.answers and not self.entry_ids

    @property
    def key(self) -> str:
        """The draft's name: one walk of a kind for a knee at a time."""
        return f"{self.walk}:{self.side}"

    def stamp(self, entry_id: str, *, at: datetime, for_day: date | None = None) -> Stamp:
        """The fields every entry of this walk has."""
        return Stamp(
            id=entry_id,
            for_day=for_day or self.for_day,
            written_at=at,
            written_by=self.written_by,
            plan_version=self.plan.version,
        )

    def corrected(self, entry: EntryT, entry_id: str, at: datetime) -> EntryT:
        """An entry as a correction of itself by whoever answers this walk."""
        return corrected(entry, entry_id, at, self.written_by)


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkStep(Generic[StartT_co]):
    """A page to show. `passed` are the pages behind it, one an answer of the state.

    `changes`: it is one of these, gone back to by a line of a page that looks all over. Nothing is
    taken back for it: until it is answered anew the walk waits where that line was pressed.
    """

    state: WalkState[StartT_co]
    page: WalkPage
    passed: tuple[WalkPage, ...] = field(default=(), compare=False)
    changes: bool = False

    @property
    def can_go_back(self) -> bool:
        """False on the first page, and where the answer before was written down for good."""
        answers = self.state.answers
        return bool(answers) and answers[-1].page not in self.state.wrote

    @property
    def given_before(self) -> Given | None:
        """What was answered on this page before; None for a page met anew."""
        among = self.state.answers if self.changes else self.state.taken_back
        return next((one.submitted for one in among if one.page == self.page.key), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkResult(Generic[StartT_co, EndT_co]):
    """A walk that ended. `entries` is what was written at the end. `tells`: a page says so."""

    state: WalkState[StartT_co]
    end: EndT_co
    entries: tuple[AnyEntry, ...]
    at: datetime
    tells: bool = True


class WalkKind(ABC, Generic[StartT, EndT]):
    """One kind of walk: what it starts from, its pages, what it writes, and when it expires."""

    name: ClassVar[WalkName]
    start_type: type[StartT]
    outlives_stop: ClassVar[bool] = False
    """A walk that Stop does not end: it is gone on with afterwards."""

    @abstractmethod
    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> StartT:
        """What the walk stands on. Raises LookupError where there is nothing to walk through."""

    @abstractmethod
    def walk(self, context: Context, state: WalkState[StartT]) -> Walk[EndT]:
        """The walk itself, from its first page."""

    def on_shown(
        self, context: Context, state: WalkState[StartT], page: WalkPage
    ) -> tuple[AnyEntry, ...]:
        """Entries to write before `page` is shown."""
        return ()

    def on_answer(
        self, context: Context, state: WalkState[StartT], page: WalkPage, submitted: Given
    ) -> tuple[AnyEntry, ...]:
        """Entries to write with the answer to `page`."""
        return ()

    def may_change(self, state: WalkState[StartT], page: WalkPage, submitted: Given) -> bool:
        """Whether Back leads over this answer though entries were written with it: the kind then
        writes a changed answer as their correction."""
        return False

    def finish(self, context: Context, state: WalkState[StartT], end: EndT) -> tuple[AnyEntry, ...]:
        """Entries to write at the end."""
        return ()

    def tells(self, state: WalkState[StartT], end: EndT) -> bool:
        """Whether a page says what was written; not where nothing was done, or where the last page
        of the walk said it all."""
        return True

    def told_day(self, state: WalkState[StartT]) -> date:
        """The day its questions are about."""
        return state.for_day

    def is_past(self, state: WalkState[StartT], today: date) -> bool:
        """Whether its day is over."""
        return state.for_day != today

    def expiry(self, context: Context, state: WalkState[StartT]) -> ExpiryReason | None:
        """Why this walk of today must not be taken up again, though it is under way: anew where
        nothing of it was answered, or what it stands on has changed."""
        return "stale" if state.untouched or self.has_changed(context, state) else None

    def has_changed(self, context: Context, state: WalkState[StartT]) -> bool:
        """Whether what it stands on is no longer as it was."""
        return False

    def taken_up(self, context: Context, state: WalkState[StartT]) -> WalkState[StartT]:
        """The walk as it goes on now, after it was left lying."""
        return state

    def on_expired(
        self, context: Context, state: WalkState[StartT], why: ExpiryReason
    ) -> tuple[AnyEntry, ...]:
        """Entries to write for a walk that is not taken up again: what it holds so far."""
        return ()

    def on_stopped(
        self, context: Context, state: WalkState[StartT], reason: EndReason
    ) -> tuple[AnyEntry, ...]:
        """Entries to write for a walk that Stop ends."""
        return self.on_expired(context, state, "card")


def begin(
    context: Context,
    kind: WalkKind[StartT, EndT],
    side: Side,
    for_day: date | None = None,
    *,
    written_by: WrittenBy = "person",
) -> WalkStep[StartT] | WalkResult[StartT, EndT]:
    """Take up the walk of this kind and knee where it was left, or begin it.

    One of another day, and one that expired, is ended first: what it holds is written.
    """
    for_day = for_day or context.clock.today()
    state = load(context, kind, side)
    if state is not None:
        state = replace(state, written_by=written_by)
        why: ExpiryReason | None = "left_behind"
        if state.for_day == for_day:
            why = kind.expiry(context, state)
        if why is None:
            return _advance(context, kind, kind.taken_up(context, state))
        expire(context, kind, state, why)
    plan = context.plan()
    if plan is None:
        raise LookupError("a walk needs a plan")
    state = WalkState(
        walk=kind.name,
        id=new_id(),
        side=side,
        plan=plan,
        for_day=for_day,
        begun_at=context.clock.now(),
        written_by=written_by,
        start=kind.start(context, plan, side, for_day),
    )
    context.journal.save_draft(state.key, as_draft(state))
    return _advance(context, kind, state)


def expire(
    context: Context, kind: WalkKind[StartT, EndT], state: WalkState[StartT], why: ExpiryReason
) -> None:
    """End a walk that is not taken up again; what it holds is written with its draft dropped."""
    entries = kind.on_expired(context, state, why)
    context.journal.write(*_new(context, entries), drop_draft=state.key)


def stop(
    context: Context, kind: WalkKind[StartT, EndT], side: Side, reason: EndReason
) -> tuple[AnyEntry, ...]:
    """End the walk of this kind and knee as Stop does; what it held and is written now."""
    state = load(context, kind, side)
    if state is None or kind.outlives_stop:
        return ()
    entries = _new(context, kind.on_stopped(context, state, reason))
    return context.journal.write(*entries, drop_draft=state.key)


def give(
    context: Context, kind: WalkKind[StartT, EndT], step: WalkStep[StartT], submitted: Given
) -> WalkStep[StartT] | WalkResult[StartT, EndT]:
    """Answer the page. The answer is on disk when this returns."""
    if step.changes:
        return _change(context, kind, step, submitted)
    state, page = step.state, step.page
    entries = _new(context, kind.on_answer(context, state, page, submitted))
    if entries:
        kept = () if kind.may_change(state, page, submitted) else (page.key,)
        state = _wrote(state, kept, entries)
    answer = Answer(page=page.key, submitted=dict(submitted), at=context.clock.now())
    state = replace(
        state,
        answers=(*state.answers, answer),
        taken_back=tuple(one for one in state.taken_back if one.page != page.key),
    )
    return _advance(context, kind, state, entries)


def back(
    context: Context, kind: WalkKind[StartT, EndT], step: WalkStep[StartT]
) -> WalkStep[StartT] | WalkResult[StartT, EndT]:
    """Go back to the last answer, which is kept and shown. Never past one whose entries are on
    disk for good."""
    if not step.can_go_back:
        return step
    *answers, last = step.state.answers
    others = tuple(one for one in step.state.taken_back if one.page != last.page)
    state = replace(step.state, answers=tuple(answers), taken_back=(*others, last))
    return _advance(context, kind, state)


def to_page(step: WalkStep[StartT], key: str) -> WalkStep[StartT]:
    """Through a line of a page that looks all over, to the page it came from. Raises LookupError
    for one that was not answered, or whose entries are on disk for good."""
    if key in step.state.wrote:
        raise LookupError("this answer is on disk for good")
    page = next((one for one in step.passed if one.key == key), None)
    if page is None:
        raise LookupError("this page was not answered")
    return replace(step, page=page, changes=True)


Follows = Literal["nothing", "other_pages", "what_is_written"]
"""What changing an answer leads to: nothing but that answer; other pages than before; away from
what was written down for good, which cannot be."""


def follows(
    context: Context, kind: WalkKind[StartT, EndT], step: WalkStep[StartT], submitted: Given
) -> tuple[Follows, WalkPage | None]:
    """What this answer to a page gone back to would lead to, and the page that would come; None
    where the walk would end. Nothing is written."""
    position = _replay_changed(context, kind, step, submitted)
    used = {answer.page for answer in position.answers}
    came = isinstance(position, Paused)
    page = position.page if isinstance(position, Paused) else None
    if any(one.page in step.state.wrote and one.page not in used for one in step.state.answers):
        return "what_is_written", page
    waiting = replay(lambda: kind.walk(context, step.state), step.state.answers)
    assert isinstance(waiting, Paused)
    same = came and page is not None and page.key == waiting.page.key
    return ("nothing" if same else "other_pages"), page


def _replay_changed(
    context: Context, kind: WalkKind[StartT, EndT], step: WalkStep[StartT], submitted: Given
) -> Paused | Completed[EndT]:
    answers = step.state.answers
    before = next(answer for answer in answers if answer.page == step.page.key)
    changed = replace(before, submitted=dict(submitted))
    return replay_changed(lambda: kind.walk(context, step.state), step.passed, answers, changed)


def _change(
    context: Context, kind: WalkKind[StartT, EndT], step: WalkStep[StartT], submitted: Given
) -> WalkStep[StartT] | WalkResult[StartT, EndT]:
    """Change one answer and go on where that leads; answers that are asked no more are kept."""
    if follows(context, kind, step, submitted)[0] == "what_is_written":
        raise ValueError("what is on disk for good follows from the answer before")
    state, page = step.state, step.page
    place = [answer.page for answer in state.answers].index(page.key)
    before = replace(state, answers=state.answers[:place])
    entries = _new(context, kind.on_answer(context, before, page, submitted))
    used = _replay_changed(context, kind, step, submitted).answers
    pages = {answer.page for answer in used}
    left = tuple(one for one in state.answers if one.page not in pages)
    others = tuple(one for one in state.taken_back if one.page not in pages)
    if entries:
        kept = () if kind.may_change(before, page, submitted) else (page.key,)
        state = _wrote(state, kept, entries)
    return _advance(
        context, kind, replace(state, answers=used, taken_back=(*others, *left)), entries
    )


def load(context: Context, kind: WalkKind[StartT, EndT], side: Side) -> WalkState[StartT] | None:
    """The walk of this kind and knee that is under way, if one is.

    One that another version of the program kept in another shape is none: what it wrote is in the
    diary, and it is begun anew. Raises LookupError for a plan that is not here.
    """
    draft = context.journal.draft(f"{kind.name}:{side}")
    try:
        return None if draft is None else from_draft(context, kind, draft)
    except (KeyError, TypeError, ValueError):
        return None


def _advance(
    context: Context,
    kind: WalkKind[StartT, EndT],
    state: WalkState[StartT],
    entries: tuple[AnyEntry, ...] = (),
) -> WalkStep[StartT] | WalkResult[StartT, EndT]:
    """Replay the answers and save where that leads: to a page, or to the end."""
    position = replay(lambda: kind.walk(context, state), state.answers)
    state = replace(state, answers=position.answers)
    if isinstance(position, Completed):
        ending = _new(context, kind.finish(context, state, position.end))
        written = context.journal.write(*entries, *ending, drop_draft=state.key)
        return WalkResult(
            state=state,
            end=position.end,
            entries=written,
            at=context.clock.now(),
            tells=kind.tells(state, position.end),
        )
    shown = _new(context, kind.on_shown(context, state, position.page))
    if shown:
        # What led here is on disk too: going back over it would leave an entry nobody explains.
        answers = state.answers
        state = _wrote(state, (answers[-1].page if answers else "",), shown)
    context.journal.write(*entries, *shown, save_draft=(state.key, as_draft(state)))
    return WalkStep(state=state, page=position.page, passed=position.passed)


def _wrote(
    state: WalkState[StartT], for_good: tuple[str, ...], entries: tuple[AnyEntry, ...]
) -> WalkState[StartT]:
    return replace(
        state,
        wrote=(*state.wrote, *for_good),
        entry_ids=(*state.entry_ids, *(entry.id for entry in entries)),
    )


def _new(context: Context, entries: tuple[AnyEntry, ...]) -> tuple[AnyEntry, ...]:
    """Those not on disk yet: ids follow from the page, so a page shown twice writes once."""
    return tuple(entry for entry in entries if context.journal.entry(entry.id) is None)


def as_draft(state: WalkState[Record]) -> JsonObject:
    """A walk under way as plain JSON."""
    return {
        "walk": state.walk,
        "id": state.id,
        "side": state.side,
        "plan_version": state.plan.version,
        "for_day": state.for_day.isoformat(),
        "begun_at": state.begun_at.isoformat(),
        "written_by": state.written_by,
        "start": encode(state.start),
        "answers": [_answer_as_draft(answer) for answer in state.answers],
        "taken_back": [_answer_as_draft(answer) for answer in state.taken_back],
        "wrote": list(state.wrote),
        "entry_ids": list(state.entry_ids),
    }


def from_draft(
    context: Context, kind: WalkKind[StartT, EndT], draft: dict[str, Any]
) -> WalkState[StartT]:
    """A walk under way from its draft. Raises LookupError for a plan that is not here."""
    plan = context.plan_of(draft["plan_version"])
    if plan is None:
        raise LookupError("the plan of a walk is not here")
    return WalkState(
        walk=kind.name,
        id=draft["id"],
        side=draft["side"],
        plan=plan,
        for_day=date.fromisoformat(draft["for_day"]),
        begun_at=datetime.fromisoformat(draft["begun_at"]),
        written_by=draft.get("written_by", "person"),
        start=decode(kind.start_type, draft["start"]),
        answers=tuple(map(_answer_of_draft, draft["answers"])),
        taken_back=tuple(map(_answer_of_draft, draft.get("taken_back", ()))),
        wrote=tuple(draft["wrote"]),
        entry_ids=tuple(draft.get("entry_ids", ())),
    )


def _answer_as_draft(answer: Answer) -> JsonObject:
    return {"page": answer.page, "given": dict(answer.submitted), "at": answer.at.isoformat()}


def _answer_of_draft(draft: JsonObject) -> Answer:
    submitted = draft["given"]
    assert isinstance(submitted, dict)
    at = datetime.fromisoformat(str(draft["at"]))
    return Answer(page=str(draft["page"]), submitted=submitted, at=at)
