"""Walking through pages with every answer on disk before the next page is shown.

One `Conduct` for each kind of walk says what it starts from, which entries it writes and when.
A walk under way is a draft in the journal: its start and its answers. Entries that cannot wait
(a warning, tape on) are written in the same transaction as the answer.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Literal, Protocol

from companion.care.chair_questions import ChairEnd
from companion.care.flow import Answer, Given, Page, Position, Walk, replay
from companion.care.records import AnyEntry, Plan, Side
from companion.care.routine import RoutineEnd
from companion.care.taping import SkinEnd, TapeOnEnd
from companion.services.context import Context
from companion.system.ids import new_id


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A walk under way. `start` is its conduct's start record as plain JSON.

    `wrote` holds the keys of pages whose entries are on disk for good: nobody goes back over them.
    `entry_ids` are the entries this walk wrote, those too whose answer may still be changed.
    """

    walk: str
    id: str
    side: Side
    plan_version: int
    for_day: date
    begun_at: datetime
    start: dict[str, Any]
    answers: tuple[Answer, ...] = ()
    wrote: tuple[str, ...] = ()
    entry_ids: tuple[str, ...] = ()

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Underway:
    """A page to show."""

    begun: Begun
    plan: Plan
    page: Page

    @property
    def can_go_back(self) -> bool:
        """False on the first page, and where the answer before was written down for good."""
        answers = self.begun.answers
        return bool(answers) and answers[-1].page not in self.begun.wrote


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """A walk that ended; `end` is its conduct's own, `entries` what was written at the end."""

    begun: Begun
    plan: Plan
    end: Any
    entries: tuple[AnyEntry, ...]
    at: datetime


Overtaken = Literal["left_behind", "card", "tape_on", "trial", "stale"]
"""Why a walk under way is not taken up again: its day is over, a sign ticked elsewhere closes it,
tape went on meanwhile, a plan came whose tape trial rules the day, or nothing of it was answered
and things may have changed."""


class Conduct(Protocol):
    """One kind of walk."""

    name: str

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> dict[str, Any]:
        """What the walk stands on, as plain JSON."""
        ...

    def walk(self, context: Context, plan: Plan, begun: Begun) -> Callable[[], Walk[Any]]:
        """The walk itself, to be replayed."""
        ...

    def on_shown(
        self, context: Context, plan: Plan, begun: Begun, page: Page
    ) -> tuple[AnyEntry, ...]:
        """Entries to write before `page` is shown."""
        return ()

    def on_answer(
        self, context: Context, plan: Plan, begun: Begun, page: Page, given: Given
    ) -> tuple[AnyEntry, ...]:
        """Entries to write with the answer to `page`."""
        return ()

    def may_change(self, begun: Begun, page: Page, given: Given) -> bool:
        """Whether Back leads over this answer though entries were written with it: the conduct
        then writes a changed answer as their correction."""
        return False

    def finish(self, context: Context, plan: Plan, begun: Begun, end: Any) -> tuple[AnyEntry, ...]:
        """Entries to write at the end."""
        ...

    def overtaken(self, context: Context, plan: Plan, begun: Begun) -> Overtaken | None:
        """Why this walk of today must not be taken up again, though it is under way."""
        return None

    def left(
        self, context: Context, plan: Plan, begun: Begun, why: Overtaken
    ) -> tuple[AnyEntry, ...]:
        """Entries to write for a walk that is not taken up again: what it holds so far."""
        return ()


def begin(
    context: Context, conduct: Conduct, side: Side, for_day: date | None = None
) -> Underway | Finished:
    """Take up the walk of this kind and knee where it was left, or begin it.

    One of another day, and one that was overtaken, is settled first: what it holds is written.
    """
    for_day = for_day or context.clock.today()
    begun = load(context, conduct, side)
    if begun is not None:
        plan = context.plan_of(begun.plan_version)
        why: Overtaken | None = "left_behind"
        if plan is not None and begun.for_day == for_day:
            why = conduct.overtaken(context, plan, begun)
            if why is None:
                return _stand(context, conduct, plan, begun)
        settle(context, conduct, begun, why or "left_behind")
    plan = context.plan()
    if plan is None:
        raise LookupError("a walk needs a plan")
    begun = Begun(
        walk=conduct.name,
        id=new_id(),
        side=side,
        plan_version=plan.version,
        for_day=for_day,
        begun_at=context.clock.now(),
        start=conduct.start(context, plan, side, for_day),
    )
    context.journal.save_draft(begun.key, as_draft(begun))
    return _stand(context, conduct, plan, begun)


def settle(context: Context, conduct: Conduct, begun: Begun, why: Overtaken) -> None:
    """End a walk that is not taken up again; what it holds is written with its draft dropped."""
    plan = context.plan_of(begun.plan_version)
    entries = () if plan is None else conduct.left(context, plan, begun, why)
    context.journal.append(*_new(context, entries), drop_draft=begun.key)


def leave(context: Context, conduct: Conduct, side: Side) -> None:
    """End the walk of this kind and knee for a card; what it holds is written."""
    begun = load(context, conduct, side)
    if begun is not None:
        settle(context, conduct, begun, "card")


def nothing_to_tell(end: object) -> bool:
    """Whether a walk ended with nothing done, so that no page says what was written."""
    match end:
        case RoutineEnd(reason="locked") | SkinEnd(skin=None) | TapeOnEnd(by_trial=True):
            return True
        case ChairEnd(count=None):
            return True
    return False


def give(
    context: Context, conduct: Conduct, underway: Underway, given: Given
) -> Underway | Finished:
    """Answer the page. The answer is on disk when this returns."""
    plan, page = underway.plan, underway.page
    begun = underway.begun
    entries = _new(context, conduct.on_answer(context, plan, begun, page, given))
    if entries:
        kept = () if conduct.may_change(begun, page, given) else (page.key,)
        begun = _wrote(begun, kept, entries)
    answer = Answer(page=page.key, given=dict(given), at=context.clock.now())
    begun = replace(begun, answers=(*begun.answers, answer))
    return _stand(context, conduct, plan, begun, entries)


def back(context: Context, conduct: Conduct, underway: Underway) -> Underway | Finished:
    """Take the last answer back. Never past one whose entries are on disk for good."""
    if not underway.can_go_back:
        return underway
    begun = replace(underway.begun, answers=underway.begun.answers[:-1])
    return _stand(context, conduct, underway.plan, begun)


def load(context: Context, conduct: Conduct, side: Side) -> Begun | None:
    """The walk of this kind and knee that is under way, if one is."""
    draft = context.journal.draft(f"{conduct.name}:{side}")
    return None if draft is None else from_draft(draft)


def _stand(
    context: Context,
    conduct: Conduct,
    plan: Plan,
    begun: Begun,
    entries: tuple[AnyEntry, ...] = (),
) -> Underway | Finished:
    position: Position[Any] = replay(conduct.walk(context, plan, begun), begun.answers)
    begun = replace(begun, answers=position.answers)
    if position.page is None:
        ending = _new(context, conduct.finish(context, plan, begun, position.end))
        context.journal.append(*entries, *ending, drop_draft=begun.key)
        return Finished(
            begun=begun,
            plan=plan,
            end=position.end,
            entries=(*entries, *ending),
            at=context.clock.now(),
        )
    shown = _new(context, conduct.on_shown(context, plan, begun, position.page))
    if shown:
        # What led here is on disk too: going back over it would leave an entry nobody explains.
        answers = begun.answers
        begun = _wrote(begun, (answers[-1].page if answers else "",), shown)
    context.journal.append(*entries, *shown, save_draft=(begun.key, as_draft(begun)))
    return Underway(begun=begun, plan=plan, page=position.page)


def _wrote(begun: Begun, for_good: tuple[str, ...], entries: tuple[AnyEntry, ...]) -> Begun:
    return replace(
        begun,
        wrote=(*begun.wrote, *for_good),
        entry_ids=(*begun.entry_ids, *(entry.id for entry in entries)),
    )


def _new(context: Context, entries: tuple[AnyEntry, ...]) -> tuple[AnyEntry, ...]:
    """Those not on disk yet: ids follow from the page, so a page shown twice writes once."""
    return tuple(entry for entry in entries if context.journal.entry(entry.id) is None)


def as_draft(begun: Begun) -> dict[str, Any]:
    """A walk under way as plain JSON."""
    return {
        "walk": begun.walk,
        "id": begun.id,
        "side": begun.side,
        "plan_version": begun.plan_version,
        "for_day": begun.for_day.isoformat(),
        "begun_at": begun.begun_at.isoformat(),
        "start": begun.start,
        "answers": [
            {"page": answer.page, "given": dict(answer.given), "at": answer.at.isoformat()}
            for answer in begun.answers
        ],
        "wrote": list(begun.wrote),
        "entry_ids": list(begun.entry_ids),
    }


def from_draft(draft: dict[str, Any]) -> Begun:
    """A walk under way from its draft."""
    return Begun(
        walk=draft["walk"],
        id=draft["id"],
        side=draft["side"],
        plan_version=draft["plan_version"],
        for_day=date.fromisoformat(draft["for_day"]),
        begun_at=datetime.fromisoformat(draft["begun_at"]),
        start=draft["start"],
        answers=tuple(
            Answer(
                page=answer["page"],
                given=answer["given"],
                at=datetime.fromisoformat(answer["at"]),
            )
            for answer in draft["answers"]
        ),
        wrote=tuple(draft["wrote"]),
        entry_ids=tuple(draft.get("entry_ids", ())),
    )
