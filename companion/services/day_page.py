"""The day page: what it asks today, and the page it writes."""

from dataclasses import fields, replace
from datetime import date, datetime, timedelta

from companion.care.caution_rules import answer_to
from companion.care.closures import closures, concerns, open_warnings
from companion.care.day_answers import RowOffer, row_offers
from companion.care.day_pages_kept import (
    first_page_day,
    knows_pages,
    last_full_day,
    page_of,
)
from companion.care.day_questions import DayEnd, DayEnds, DayStart, OtherKnee, day_walk
from companion.care.days import diary_day
from companion.care.due import day_form
from companion.care.finding import Entries, find
from companion.care.flow import Walk
from companion.care.last_fortnight import is_fortnight_asked
from companion.care.pacing import PacedWeek
from companion.care.records import (
    AnyEntry,
    DayPage,
    PageForm,
    Plan,
    Side,
    newest_in_force,
)
from companion.care.stopping import played_out
from companion.care.tape_applications import current_application, taped_days
from companion.services.context import PRIVATE_NOTES, Context, derived_id
from companion.services.signs import SignWalk
from companion.services.walks import ExpiryReason, WalkState


def private_note_key(entry_id: str) -> str:
    """Under what name the private note of a day page is kept on this machine."""
    return f"{PRIVATE_NOTES}{entry_id}"


def aims_on(context: Context, day: date) -> tuple[PacedWeek, ...]:
    """The aims of the week of `day`, for the paced amounts of the plan; none while
    exercise is closed, for nobody is asked to walk further then."""
    from companion.evidence.paced_amounts import paced_this_week

    plans, entries = context.journal.plans(), context.entries
    plan = newest_in_force(plans)
    found = [closures(context.policy, plan, entries, side, today=day) for side in plan.sides]
    if any(one.closed("seated") or one.closed("standing") for one in found):
        return ()
    return paced_this_week(entries, plans, day)


def offers_on(context: Context, plan: Plan, side: Side, day: date) -> tuple[RowOffer, ...]:
    """From which value on the answers of a page of this day lead to signs of the stop list."""
    entries, policy = context.entries, context.policy
    still_open = {one.sign for one in open_warnings(entries, policy) if concerns(one, side)}
    return row_offers(policy.answers, plan, entries, side, day, still_open)


def shares_pages(context: Context, side: Side) -> bool:
    """Whether the questions of this knee's page share pages: they are known, and nobody wants them
    one by one."""
    return not context.long_way() and knows_pages(context.entries, side)


def writes_both(context: Context, plan: Plan, day: date) -> bool:
    """Whether the pages of both knees of a plan are written in one for this day."""
    return len(plan.sides) > 1 and all(
        shares_pages(context, side) and page_of(context.entries, day, side) is None
        for side in plan.sides
    )


_FLARE_CAUTION = "inflamed_arthritis"


class DayWalk(SignWalk[DayStart, DayEnd]):
    """The day page of one knee."""

    name = "day"
    start_type = DayStart
    outlives_stop = True

    def start(self, context: Context, plan: Plan, side: Side, for_day: date) -> DayStart:
        """What it stands on."""
        first = side == plan.sides[0]
        both = first and writes_both(context, plan, for_day)
        own = self._knee(context, plan, side, for_day)
        return DayStart(
            **{field.name: getattr(own, field.name) for field in fields(OtherKnee)},
            person=first,
            past=for_day < context.clock.today(),
            measure=plan.measure,
            activities=plan.activities,
            amounts=plan.amounts,
            aims=aims_on(context, for_day),
            together=shares_pages(context, side),
            other=self._knee(context, plan, plan.sides[1], for_day) if both else None,
        )

    def _knee(self, context: Context, plan: Plan, side: Side, day: date) -> OtherKnee:
        """What is asked of one knee."""
        entries = context.entries
        return OtherKnee(
            side=side,
            form=day_form(plan, first_page_day(entries), day, last_full_day(entries, side)),
            taped=_taped(entries, plan, side, day),
            fortnight=is_fortnight_asked(entries, side, day),
            offers=offers_on(context, plan, side, day),
        )

    def walk(self, context: Context, state: WalkState[DayStart]) -> Walk[DayEnd]:
        """The questions."""
        return day_walk(state.start, context.catalogue)

    def finish(
        self, context: Context, state: WalkState[DayStart], end: DayEnd
    ) -> tuple[AnyEntry, ...]:
        """The page; a correction when the day has one already; nothing when all is empty."""
        return self._pages(context, state, end, context.clock.now())

    def tells(self, state: WalkState[DayStart], end: DayEnd) -> bool:
        """Not where pages are shared: what was looked over is what is written."""
        return not state.start.together

    def on_expired(
        self, context: Context, state: WalkState[DayStart], why: ExpiryReason
    ) -> tuple[AnyEntry, ...]:
        """The page as far as it came, as of its last answer; the rest is absent."""
        end = played_out(self.walk(context, state), state.answers)
        return self._pages(context, state, end, state.last_at)

    def expiry(self, context: Context, state: WalkState[DayStart]) -> ExpiryReason | None:
        """Nothing that happens meanwhile changes what is asked of a day."""
        return None

    def taken_up(self, context: Context, state: WalkState[DayStart]) -> WalkState[DayStart]:
        """Once its day is over nobody is asked how the pain is now; what was said of it stays."""
        over = state.for_day < context.clock.today()
        if not over or any(answer.page == "now" for answer in state.answers):
            return state
        return replace(state, start=replace(state.start, past=True))

    def is_past(self, state: WalkState[DayStart], today: date) -> bool:
        """Whichever day it is for, a page answered today or yesterday may be gone on with."""
        return not today - timedelta(days=1) <= diary_day(state.last_at) <= today

    def _pages(
        self, context: Context, state: WalkState[DayStart], end: DayEnd, at: datetime
    ) -> tuple[AnyEntry, ...]:
        own = self._page(context, state, end, state.start.form, at)
        other = state.start.other
        if not isinstance(end, DayEnds) or other is None:
            return own
        of_other = replace(state, side=other.side)
        return (*own, *self._page(context, of_other, end.other, other.form, at, other.side))

    def _page(
        self,
        context: Context,
        state: WalkState[DayStart],
        end: DayEnd,
        form: PageForm,
        at: datetime,
        *key: str,
    ) -> tuple[AnyEntry, ...]:
        answers = {field.name: getattr(end, field.name) for field in fields(DayEnd)}
        if DayEnd(**answers).empty:
            return ()
        before = page_of(context.entries, state.for_day, state.side)
        kept = {} if before is None else {name: getattr(before, name) for name in _FROM_PAPER}
        entry_id = derived_id(state.id, "day_page", *key)
        if end.note is not None and end.note_private:
            # A private note is kept beside the entries and never in one: entries are handed over.
            context.journal.save_draft(private_note_key(entry_id), {"note": end.note})
            answers["note"] = None
        return (
            DayPage(
                **state.stamp(entry_id, at=at),
                replaces=None if before is None else before.id,
                side=state.side,
                form=form,
                **answers,
                **kept,
            ),
        )


def in_flare(context: Context, plan: Plan, side: Side) -> bool:
    """Whether a recorded flare is under way. Looked at only where a caution depends on it."""
    answer = answer_to(plan, _FLARE_CAUTION)
    if answer is None or not answer.answer:
        return False
    from companion.evidence.flares import recorded_flares

    scores = {
        entry.for_day: score
        for entry in find(context.entries, DayPage, side=side)
        for score in [getattr(entry, f"pain_{plan.measure}")]
        if score is not None
    }
    return any(not flare.over for flare in recorded_flares(scores)[-1:])


def _taped(entries: Entries, plan: Plan, side: Side, day: date) -> bool:
    """Whether tape was on that day: when it began, or put on in it and on still."""
    wear = current_application(entries, side)
    put_on = wear is not None and diary_day(wear.on_at) <= day
    return put_on or day in taped_days(entries, side, plan.tape.cap_hours, day, first_day=day)


_FROM_PAPER = ("hands_done", "exercise_done", "tape_worn", "tape_stage")
"""What a paper page said of the routine is not asked here, so a correction keeps it."""
