"""Walks on the screen: a page, its answer, the next page; Back, Stop and what was written down."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from companion.care.caution_rules import tape_looked_at_daily
from companion.care.course import EndReason
from companion.care.day_pages_kept import page_of
from companion.care.day_questions import DayStart, SignOfAnswerPage
from companion.care.flow import Given, WalkPage
from companion.care.journeys import pages_to_type
from companion.care.open_things import OpenThing, OpenWalk, knees_of, tape_things, wear_of
from companion.care.outing_questions import OutingAfterStart, OutingMorningStart, OutingStart
from companion.care.patch_looks import PATCH_CALL, red_test
from companion.care.records import Outing, PatchTest, Plan, Record, Side, WrittenBy
from companion.care.routine import StepHurtPage, StepStoppedPage
from companion.care.stopping import SIGN_PAGES, GatePage
from companion.care.tape_applications import WearClock
from companion.presentation.home.chair_pages import chair_result_view
from companion.presentation.home.home_pages import (
    day_choice_view,
    finished_view,
    half_page_view,
    patch_missed_view,
    tape_choice_view,
    tape_late_view,
    tape_room_view,
)
from companion.presentation.home.looking_over import (
    inner_view,
    line_of,
    other_pages_view,
    say_by_stop_view,
    written_view,
)
from companion.presentation.home.numbers import plan_here
from companion.presentation.home.open_lines import tape_words
from companion.presentation.home.second_voice import alone_view, whose_no_view
from companion.presentation.home.walk_pages import ViewContext, about, page_view
from companion.presentation.home.walk_view import in_walk
from companion.presentation.language.words import knee
from companion.presentation.view.page import PageView
from companion.services.chair_stand import stands_counted
from companion.services.correcting import CorrectWalk
from companion.services.journeys import journey_told
from companion.services.open_now import open_now
from companion.services.patch_test import late_rash_asked, patch_waiting
from companion.services.walk_kinds import WALK_KINDS
from companion.services.walks import (
    WalkName,
    WalkResult,
    WalkState,
    WalkStep,
    back,
    begin,
    follows,
    give,
    load,
    stop,
    to_page,
)
from companion.ui.home.desk import HomeHost

DAYS_TO_CHOOSE = 7
"""How far back a day page may still be written here; older days come from paper."""
DOOR_WALKS: Mapping[str, WalkName] = {
    "routine": "routine",
    "chair": "chair",
    "card": "clear",
    "add": "stop",
}
"""The walks that lie straight behind a door."""
_TAPE_WALKS: Mapping[str, WalkName] = {
    "off": "tape_off",
    "check": "tape_check",
    "on": "tape_on",
    "place": "patch",
    "read": "patch_reading",
    "card": "clear",
}
"""By what was chosen behind the door to tape."""

_NOT_HELD_UP = (SignOfAnswerPage, StepHurtPage, StepStoppedPage)
"""Pages that come at once also where a changed answer leads to them."""
_NOT_LEFT: tuple[WalkName, ...] = ("stop",)
"""Stop is not left lying: it is answered, or gone back from."""

Step = WalkStep[Record]


def _of_both(state: WalkState[Record]) -> bool:
    """Whether a walk is of both knees."""
    start = state.start
    if isinstance(start, OutingStart | OutingAfterStart):
        return len(start.knees) > 1
    if isinstance(start, OutingMorningStart):
        return len(start.sides) > 1
    return isinstance(start, DayStart) and start.other is not None


Outcome = Step | WalkResult[Record, object]


class Walking:
    """The walk on screen, if there is one."""

    def __init__(self, desk: HomeHost) -> None:
        self._desk = desk
        self._step: Step | None = None
        self._looked_over: Step | None = None
        self._stopped_in: tuple[WalkName, Side] | None = None
        self._came_from: Callable[[], None] | None = None
        self._said_no: Step | None = None
        """The gate of which a helper said that every no is the person's own."""

    def let_go(self) -> None:
        """Show nothing of a walk any more; what was answered stays on disk."""
        self._step = self._looked_over = self._said_no = None
        self._stopped_in = self._came_from = None

    @property
    def on_screen(self) -> WalkName | None:
        """The name of the walk on screen."""
        return None if self._step is None else self._step.state.walk

    # ------------------------------------------------------------ rooms

    def enter(self, room: str, side: Side) -> None:
        """The walk behind a door, for one knee."""
        match room:
            case "tape":
                self._tape(side)
            case "patch":
                self._patch(side)
            case "outing":
                self._outing(side)
            case "day":
                self._which_day(side)
            case _:
                self._begin(DOOR_WALKS[room], side)

    def go_on(self, walk: OpenWalk, side: Side, day: date | None) -> None:
        """A walk that was begun, or that a line of the front page leads to. How an outing was is
        kept under its first knee, whichever the plan is for by now."""
        waits = (one.entry for one in self._open() if walk in one.walks)
        outing = next((entry for entry in waits if isinstance(entry, Outing)), None)
        self._begin(walk, side if outing is None else outing.sides[0], day)

    def _open(self) -> tuple[OpenThing, ...]:
        return open_now(self._desk.context, self._plan())

    def _tape(self, side: Side) -> None:
        context, plan = self._desk.context, self._plan()
        things, now = tape_things(self._open(), side), context.clock.now()

        def chosen(submitted: Given) -> None:
            self._begin(_TAPE_WALKS[submitted["do"]], side)
            if self._step is not None:  # Back leads to this room again
                self._came_from = lambda: self.enter("tape", side)

        if wear_of(things, side) is not None:
            look = tape_looked_at_daily(plan, context.catalogue.policy)
            off = tape_words(things, side, now)
            view = tape_room_view(knee(side), off, looked_at_daily=look)
            self._desk.ask(view, chosen, self._desk.show_front)
            return
        if things:
            self._begin("skin", side)
            return
        patch = patch_waiting(plan, context.entries, now, context.catalogue)
        red = red_test(context.entries) is not None
        known = patch is None or patch.state == "clear"
        late = patch is not None and late_rash_asked(patch, context.entries, now, context.catalogue)
        if patch is None or (known and not red and not late):
            self._begin("tape_on", side)
            return
        card = next((one.sign for one in self._open() if one.code == "card"), None)
        view = (
            tape_late_view(knee(side), patch.make)
            if late and not red
            else tape_choice_view(
                knee(side),
                patch.make,
                patch.state,
                read_on=patch.read_on,
                to_call=card == PATCH_CALL,
            )
        )
        self._desk.ask(view, chosen, self._desk.show_front)

    def _patch(self, side: Side) -> None:
        """The test piece: the look at it, or what to do where that was missed."""
        missed = next((one.entry for one in self._open() if one.code == "patch_missed"), None)
        if not isinstance(missed, PatchTest):
            self._begin("patch_reading", side)
            return

        def chosen(submitted: Given) -> None:
            self._begin(_TAPE_WALKS[submitted["do"]], side)

        self._desk.ask(patch_missed_view(missed.make), chosen, self._desk.show_front)

    def _outing(self, side: Side) -> None:
        waits = (one for one in self._open() if isinstance(one.entry, Outing))
        first = next(waits, None)
        self.go_on("outing" if first is None else first.walks[0], side, None)

    def _which_day(self, side: Side) -> None:
        context = self._desk.context
        today = context.clock.today()
        under_way = load(context, WALK_KINDS["day"], side)
        if under_way is not None and under_way.answers:
            if under_way.for_day == today or page_of(context.entries, today, side) is not None:
                self._begin("day", side, under_way.for_day)
                return

            def picked(submitted: Given) -> None:
                self._begin("day", side, date.fromisoformat(submitted["day"]))

            view = half_page_view(under_way.for_day, today, knee(side))
            self._desk.ask(view, picked, self._desk.show_front)
            return
        entries = context.entries
        first = self._plan().written_on
        lately = [today - timedelta(days=ago) for ago in range(DAYS_TO_CHOOSE)]
        to_type = pages_to_type(entries, side, today)
        days = [
            (day, page_of(entries, day, side) is not None)
            for day in (*lately, *reversed([day for day in to_type if day not in lately]))
            if day >= first or day == today
        ]
        if not days[0][1] and all(written for _, written in days[1:2]) and not to_type:
            self._begin("day", side, today)
            return

        def chosen(submitted: Given) -> None:
            day = date.fromisoformat(submitted["day"])
            self._begin("day", side, day, by="paper" if day in to_type else None)

        view = day_choice_view(days, today, knee(side), to_type)
        self._desk.ask(view, chosen, self._desk.show_front)

    def put_right(self, entry_id: str, side: Side, came_from: Callable[[], None]) -> None:
        """Correct an entry, and go back to where it was chosen."""
        self._came_from = came_from
        context, kind = self._desk.context, CorrectWalk(entry_id)

        by = self._by
        self._do(lambda: begin(context, kind, side, written_by=by))

    # ------------------------------------------------------------ one page after the other

    def _begin(
        self,
        walk: WalkName,
        side: Side,
        for_day: date | None = None,
        by: WrittenBy | None = None,
    ) -> None:
        self._came_from = None if walk not in ("stop", "correct") else self._came_from
        context, kind, writer = self._desk.context, WALK_KINDS[walk], by or self._by
        self._do(lambda: begin(context, kind, side, for_day, written_by=writer))

    def _do(self, work: Callable[[], Outcome]) -> None:
        """Go on beside the window, and show where that leads."""
        beside = self._desk.doorways.beside
        self._desk.attempt(lambda: self._show(beside(work)))

    @property
    def _by(self) -> WrittenBy:
        """Who sits here."""
        return "helper" if self._desk.doorways.settings().helper_view else "person"

    def _show(self, outcome: Outcome) -> None:
        if isinstance(outcome, WalkResult):
            self._finished(outcome)
            return
        self._step = outcome
        if not outcome.changes:
            self._looked_over = None
        self._desk.ask(
            self._view(outcome),
            self._give,
            self._back,
            given_before=outcome.given_before,
            leave=outcome.state.walk not in _NOT_LEFT,
        )

    def _view(self, step: Step) -> PageView:
        return page_view(step.page, self._setting(step.state, step.passed))

    def _give(self, submitted: Given) -> None:
        step, context = self._step, self._desk.context
        if step is None:
            return
        kind = WALK_KINDS[step.state.walk]
        if "helper" in submitted:
            self._let_answer(step, alone=submitted["helper"] == "alone")
        elif self._by == "helper" and step is not self._said_no and _all_no(step, submitted):
            self._ask_whose_no(step, submitted)
        elif "door" in submitted:
            self._looked_over = step
            self._show(to_page(step, submitted["door"]))
        elif "sums" in submitted:
            self._show_lines(step, submitted["sums"])
        elif step.changes:
            self._change(step, submitted)
        else:
            self._do(lambda: give(context, kind, step, submitted))

    def _let_answer(self, step: Step, *, alone: bool) -> None:
        """Another sits here from now on; where the person does not answer beside somebody, once
        they are alone."""

        def swap() -> None:
            settings = self._desk.doorways.settings()
            self._desk.doorways.use_settings(
                replace(settings, helper_view=not settings.helper_view)
            )
            self._show(replace(step, state=replace(step.state, written_by=self._by)))

        def said(answer: Given) -> None:
            if answer["alone"] == "now":
                swap()
            else:
                self._desk.show_front()

        if alone:
            self._ask_in(step, alone_view(), said, lambda: self._show(step))
        else:
            swap()

    def _ask_whose_no(self, step: Step, submitted: Given) -> None:
        """No on every question, pressed by a helper: whose no it is."""

        def said(answer: Given) -> None:
            if answer["whose"] == "person":
                self._said_no = step
                self._give(submitted)
            else:
                self._show(step)

        self._ask_in(step, whose_no_view(), said, lambda: self._show(step))

    def _ask_in(
        self,
        step: Step,
        view: PageView,
        answered: Callable[[Given], None],
        went_back: Callable[[], None],
    ) -> None:
        """Ask something between two pages of a walk, which is left as it is."""
        shown = in_walk(view, self._setting(step.state))
        self._desk.ask(shown, answered, went_back, leave=True)

    def _show_lines(self, step: Step, name: str) -> None:
        """What one line of a page that looks all over sums up."""
        line = line_of(self._view(step), name)

        def chosen(submitted: Given) -> None:
            if "door" in submitted:
                self._give(submitted)
            else:
                self._show(step)

        self._ask_in(step, inner_view(line), chosen, lambda: self._show(step))

    def _change(self, step: Step, submitted: Given) -> None:
        """Change an answer that a line led back to. Where other pages follow from it than before,
        that is asked first; but nothing holds up what the answer may mean for safety."""
        context, kind = self._desk.context, WALK_KINDS[step.state.walk]
        looked_over = self._looked_over
        if looked_over is None:
            raise LookupError("no page that looks all over led here")
        what, page = follows(context, kind, step, submitted)
        line = line_of(self._view(looked_over), step.page.key)

        def change() -> None:
            self._do(lambda: give(context, kind, step, submitted))

        def agreed(answer: Given) -> None:
            if answer["change"]:
                change()
            else:
                self._show(looked_over)

        def back_to_all(_given: Given | None = None) -> None:
            self._show(looked_over)

        def by_stop(answer: Given) -> None:
            if answer.get("stop"):
                self.stop()
            else:
                self._show(looked_over)

        if isinstance(page, SIGN_PAGES):
            # From the middle of the walk the rest of it would be lost: Stop keeps what was done.
            self._ask_in(step, say_by_stop_view(), by_stop, back_to_all)
        elif what == "what_is_written":
            self._ask_in(step, written_view(line), back_to_all, back_to_all)
        elif what == "other_pages" and not isinstance(page, _NOT_HELD_UP):
            self._ask_in(step, other_pages_view(line), agreed, back_to_all)
        else:
            change()

    def _back(self) -> None:
        step, context = self._step, self._desk.context
        if step is None:
            self._desk.show_front()
        elif step.changes and self._looked_over is not None:
            self._show(self._looked_over)
        elif step.can_go_back:
            kind = WALK_KINDS[step.state.walk]
            self._do(lambda: back(context, kind, step))
        elif step.state.walk == "stop":
            self._after_stop(None)
        else:
            self._leave()

    def _leave(self) -> None:
        """Back to where the walk was come from."""
        (self._came_from or self._desk.show_front)()

    def _finished(self, done: WalkResult[Record, Any]) -> None:
        self._step = None
        state = done.state
        if state.walk == "stop":
            self._after_stop(done.end.ends)
            return
        if not done.tells:
            self._leave()
            return
        if state.walk == "chair":
            stands = stands_counted(self._desk.context, state.plan)
            view = chair_result_view(done.at, stands, state.plan)
        else:
            view = finished_view(
                done.end,
                done.at,
                self._setting(state),
                wears=self._wears(state),
                now=self._desk.context.clock.now(),
            )

        def read(submitted: Given) -> None:
            if submitted.get("again") and state.walk == "day":
                self._begin("day", state.side, state.for_day)
            elif submitted.get("again"):
                self._leave()
            else:
                self._desk.show_front()

        self._desk.ask(view, read, self._desk.show_front)

    def _wears(self, state: WalkState[Record]) -> dict[Side, WearClock]:
        """The tape that is on the knees a walk was about."""
        sides = knees_of(state.plan) if _of_both(state) else (state.side,)
        things = self._open()
        found = ((side, wear_of(things, side)) for side in sides)
        return {side: wear for side, wear in found if wear is not None}

    # ------------------------------------------------------------ stop

    def stop(self) -> None:
        """What Stop opens, from whichever page."""
        if self._step is not None:
            self._stopped_in = (self._step.state.walk, self._step.state.side)
        side = self._plan().sides[0] if self._stopped_in is None else self._stopped_in[1]
        self._begin("stop", side)

    def _after_stop(self, ends: EndReason | None) -> None:
        """Back to where Stop was pressed, or the end of what was under way."""
        context = self._desk.context
        stopped_in, self._stopped_in = self._stopped_in, None
        if stopped_in is None:
            self._desk.show_front()
            return
        walk, side = stopped_in
        if ends is None:
            state = load(context, WALK_KINDS[walk], side)
            self._begin(walk, side, None if state is None else state.for_day)
            return
        self._desk.attempt(lambda: stop(context, WALK_KINDS[walk], side, ends))
        self._desk.show_front()

    def _plan(self) -> Plan:
        plan = self._desk.context.plan()
        if plan is None:
            raise LookupError("a walk needs a plan")
        return plan

    def _setting(self, state: WalkState[Record], passed: tuple[WalkPage, ...] = ()) -> ViewContext:
        context = self._desk.context
        today = context.clock.today()
        told = WALK_KINDS[state.walk].told_day(state)
        return ViewContext(
            plan=plan_here(state.plan, journey_told(context), today),
            side=state.side,
            catalogue=context.catalogue,
            helping=self._desk.doorways.settings().helper_view,
            day=told if told < today else None,
            now=context.clock.now(),
            about=about(state.walk, state.side, state.for_day, today, both=_of_both(state)),
            passed=passed,
            fixed=state.wrote,
        )


def _all_no(step: Step, submitted: Given) -> bool:
    """Whether every question of the gate is answered no."""
    replies = [said for name, said in submitted.items() if name.startswith("q")]
    return isinstance(step.page, GatePage) and bool(replies) and set(replies) == {"no"}
