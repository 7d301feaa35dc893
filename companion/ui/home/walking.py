"""Walks on the screen: a page, its answer, the next page; Back, Stop and what was written down."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from companion.care.caution_rules import tape_looked_at_daily
from companion.care.course import EndReason
from companion.care.day_pages_kept import page_of
from companion.care.flow import Given
from companion.care.outings_waiting import outing_waiting
from companion.care.records import Plan, Record, Side, WrittenBy
from companion.presentation.home.chair_pages import chair_result_view
from companion.presentation.home.front import off_words
from companion.presentation.home.home_pages import (
    day_choice_view,
    finished_view,
    tape_choice_view,
    tape_late_view,
    tape_room_view,
)
from companion.presentation.home.walk_pages import Setting, about, page_view
from companion.presentation.language.words import knee
from companion.presentation.view.page import PageView
from companion.services.chair_stand import stands_counted
from companion.services.front import KneeToday, front
from companion.services.patch_test import late_rash_asked, patch_waiting
from companion.services.walk_kinds import WALK_KINDS
from companion.services.walks import (
    WalkName,
    WalkResult,
    WalkState,
    WalkStep,
    back,
    begin,
    give,
    load,
    stop,
)
from companion.ui.home.desk import Desk

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
}
"""By what was chosen behind the door to tape."""

_NOT_LEFT: tuple[WalkName, ...] = ("stop",)
"""Stop is not left lying: it is answered, or gone back from."""

Step = WalkStep[Record]
Outcome = Step | WalkResult[Record, object]


class Walking:
    """The walk on screen, if there is one."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._step: Step | None = None
        self._stopped_in: tuple[WalkName, Side] | None = None

    def let_go(self) -> None:
        """Show nothing of a walk any more; what was answered stays on disk."""
        self._step = self._stopped_in = None

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
            case "outing":
                self._outing(side)
            case "day":
                self._which_day(side)
            case _:
                self._begin(DOOR_WALKS[room], side)

    def _knee_today(self, side: Side) -> KneeToday:
        return next(k for k in front(self._desk.context).knees if k.side == side)

    def _tape(self, side: Side) -> None:
        context, plan = self._desk.context, self._plan()
        today = self._knee_today(side)
        if today.wear is not None:
            off = off_words(front(context), today.wear)

            def chosen(given: Given) -> None:
                self._begin(_TAPE_WALKS[given["do"]], side)

            look = tape_looked_at_daily(plan, context.catalogue.policy)
            view = tape_room_view(knee(side), off, looked_at_daily=look)
            self._desk.ask(view, chosen, self._desk.show_front)
            return
        if today.skin_look_at is not None:
            self._begin("skin", side)
            return
        patch = patch_waiting(plan, context.entries, context.clock.now(), context.catalogue)
        now, catalogue = context.clock.now(), context.catalogue
        late = patch is not None and late_rash_asked(patch, context.entries, now, catalogue)
        if patch is None or (patch.state == "clear" and not late):
            self._begin("tape_on", side)
            return

        def picked(given: Given) -> None:
            self._begin(_TAPE_WALKS[given["do"]], side)

        view = (
            tape_late_view(knee(side), patch.make)
            if late
            else tape_choice_view(knee(side), patch.make, under_way=patch.look_from is not None)
        )
        self._desk.ask(view, picked, self._desk.show_front)

    def _outing(self, side: Side) -> None:
        context = self._desk.context
        waiting = outing_waiting(context.entries, context.clock.today(), context.clock.now(), side)
        if waiting is None:
            self._begin("outing", side)
        elif waiting.what == "after":
            self._begin("outing_after", side)
        else:
            self._begin("outing_morning", side)

    def _which_day(self, side: Side) -> None:
        context = self._desk.context
        today = context.clock.today()
        under_way = load(context, WALK_KINDS["day"], side)
        if under_way is not None and under_way.answers:
            self._begin("day", side, under_way.for_day)
            return
        entries = context.entries
        first = self._plan().written_on
        days = [
            (day, page_of(entries, day, side) is not None)
            for day in (today - timedelta(days=ago) for ago in range(DAYS_TO_CHOOSE))
            if day >= first or day == today
        ]
        if not days[0][1] and all(written for _, written in days[1:2]):
            self._begin("day", side, today)
            return

        def chosen(given: Given) -> None:
            self._begin("day", side, date.fromisoformat(given["day"]))

        view = day_choice_view(days, today, knee(side))
        self._desk.ask(view, chosen, self._desk.show_front)

    # ------------------------------------------------------------ one page after the other

    def _begin(self, walk: WalkName, side: Side, for_day: date | None = None) -> None:
        context, kind = self._desk.context, WALK_KINDS[walk]
        by: WrittenBy = "helper" if self._desk.doorways.settings().helper_view else "person"
        self._desk.attempt(lambda: self._show(begin(context, kind, side, for_day, written_by=by)))

    def _show(self, outcome: Outcome) -> None:
        if isinstance(outcome, WalkResult):
            self._finished(outcome)
            return
        self._step = outcome
        self._desk.ask(
            self._view(outcome),
            self._give,
            self._back,
            given_before=outcome.given_before,
            leave=outcome.state.walk not in _NOT_LEFT,
        )

    def _view(self, step: Step) -> PageView:
        return page_view(step.page, self._setting(step.state))

    def _give(self, given: Given) -> None:
        step, context = self._step, self._desk.context
        if step is not None:
            kind = WALK_KINDS[step.state.walk]
            self._desk.attempt(lambda: self._show(give(context, kind, step, given)))

    def _back(self) -> None:
        step, context = self._step, self._desk.context
        if step is None:
            self._desk.show_front()
        elif step.can_go_back:
            kind = WALK_KINDS[step.state.walk]
            self._desk.attempt(lambda: self._show(back(context, kind, step)))
        elif step.state.walk == "stop":
            self._after_stop(None)
        else:
            self._desk.show_front()

    def _finished(self, done: WalkResult[Record, Any]) -> None:
        self._step = None
        state = done.state
        if state.walk == "stop":
            self._after_stop(done.end.ends)
            return
        if not done.tells:
            self._desk.show_front()
            return
        if state.walk == "chair":
            stands = stands_counted(self._desk.context, state.plan)
            view = chair_result_view(done.at, stands, state.plan)
        else:
            view = finished_view(
                done.end,
                done.at,
                self._setting(state),
                wear=self._knee_today(state.side).wear,
                now=self._desk.context.clock.now(),
            )

        def read(given: Given) -> None:
            if given.get("again"):
                self._begin("day", state.side, state.for_day)
            else:
                self._desk.show_front()

        self._desk.ask(view, read, self._desk.show_front)

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

    def _setting(self, state: WalkState[Record]) -> Setting:
        context = self._desk.context
        today = context.clock.today()
        return Setting(
            plan=state.plan,
            side=state.side,
            catalogue=context.catalogue,
            helping=self._desk.doorways.settings().helper_view,
            past=state.for_day < today,
            now=context.clock.now(),
            about=about(state.walk, state.side, state.for_day, today),
        )
