"""Walks on the screen: a page, its answer, the next page; Back, Stop and what was written down."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from companion.care.caution_rules import tape_looked_at_daily
from companion.care.chair_questions import ChairEnd
from companion.care.day_pages_kept import page_of
from companion.care.outings_waiting import outing_waiting
from companion.care.records import Plan, Side
from companion.care.stopping import StopEnd
from companion.presentation.home.chair_pages import chair_page_view, chair_result_view
from companion.presentation.home.day_pages import day_page_view
from companion.presentation.home.front import off_words
from companion.presentation.home.home_pages import (
    day_choice_view,
    finished_view,
    tape_choice_view,
    tape_room_view,
)
from companion.presentation.home.outing_pages import outing_page_view
from companion.presentation.home.patch_pages import patch_page_view
from companion.presentation.home.routine_pages import Setting, page_view
from companion.presentation.language.words import knee
from companion.presentation.view.page import PageView
from companion.services.chair_stand import ChairConduct, stands_counted
from companion.services.day_page import DayConduct
from companion.services.front import KneeToday, front
from companion.services.outing import OutingAfterConduct, OutingConduct, OutingMorningConduct
from companion.services.patch_test import PatchConduct, PatchReadingConduct, patch_waiting
from companion.services.routine import RoutineConduct, end_early
from companion.services.signs import ClearConduct, StopConduct
from companion.services.tape import (
    SkinConduct,
    TapeCheckConduct,
    TapeOffConduct,
    TapeOnConduct,
)
from companion.services.walks import (
    Conduct,
    Finished,
    Underway,
    back,
    begin,
    give,
    leave,
    load,
    nothing_to_tell,
)
from companion.ui.home.desk import Desk, Given

DAYS_TO_CHOOSE = 7
"""How far back a day page may still be written here; older days come from paper."""
_OUTINGS = (OutingConduct, OutingAfterConduct, OutingMorningConduct)
_PATCHES = (PatchConduct, PatchReadingConduct)


class Walking:
    """The walk on screen, if there is one."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._conduct: Conduct | None = None
        self._underway: Underway | None = None
        self._stopped_in: tuple[Conduct, Side] | None = None

    def let_go(self) -> None:
        """Show nothing of a walk any more; what was answered stays on disk."""
        self._conduct = self._underway = self._stopped_in = None

    @property
    def on_screen(self) -> str | None:
        """The name of the walk on screen, such as `tape_off`."""
        return None if self._conduct is None or self._underway is None else self._conduct.name

    # ------------------------------------------------------------ rooms

    def enter(self, room: str, side: Side) -> None:
        """The walk behind a door, for one knee."""
        match room:
            case "routine":
                self._begin(RoutineConduct(), side)
            case "tape":
                self._tape(side)
            case "outing":
                self._outing(side)
            case "day":
                self._which_day(side)
            case "chair":
                self._begin(ChairConduct(), side)
            case "card":
                self._begin(ClearConduct(), side)

    def _knee_today(self, side: Side) -> KneeToday:
        return next(k for k in front(self._desk.context).knees if k.side == side)

    def _tape(self, side: Side) -> None:
        context, plan = self._desk.context, self._plan()
        today = self._knee_today(side)
        if today.wear is not None:
            off = off_words(front(context), today.wear)

            def chosen(given: Given) -> None:
                self._begin(TapeOffConduct() if given["do"] == "off" else TapeCheckConduct(), side)

            view = tape_room_view(
                knee(side), off, looked_at_daily=tape_looked_at_daily(plan, context.catalogue)
            )
            self._desk.ask(view, chosen, self._desk.show_front)
            return
        if today.skin_look_at is not None:
            self._begin(SkinConduct(), side)
            return
        patch = patch_waiting(plan, context.entries, context.clock.now(), context.catalogue)
        if patch is None or patch.state == "clear":
            self._begin(TapeOnConduct(), side)
            return

        def picked(given: Given) -> None:
            conducts: dict[str, Callable[[], Conduct]] = {
                "on": TapeOnConduct,
                "place": PatchConduct,
                "read": PatchReadingConduct,
            }
            self._begin(conducts[given["do"]](), side)

        view = tape_choice_view(knee(side), patch.make, under_way=patch.look_from is not None)
        self._desk.ask(view, picked, self._desk.show_front)

    def _outing(self, side: Side) -> None:
        context = self._desk.context
        waiting = outing_waiting(context.entries, context.clock.today(), context.clock.now(), side)
        if waiting is None:
            self._begin(OutingConduct(), side)
        elif waiting.what == "after":
            self._begin(OutingAfterConduct(), side)
        else:
            self._begin(OutingMorningConduct(), side)

    def _which_day(self, side: Side) -> None:
        context = self._desk.context
        today = context.clock.today()
        under_way = load(context, DayConduct(), side)
        if under_way is not None and under_way.answers:
            self._begin(DayConduct(), side, under_way.for_day)
            return
        entries = context.entries
        first = self._plan().written_on
        days = [
            (day, page_of(entries, day, side) is not None)
            for day in (today - timedelta(days=ago) for ago in range(DAYS_TO_CHOOSE))
            if day >= first or day == today
        ]
        if not days[0][1] and all(written for _, written in days[1:2]):
            self._begin(DayConduct(), side, today)
            return

        def chosen(given: Given) -> None:
            self._begin(DayConduct(), side, date.fromisoformat(given["day"]))

        view = day_choice_view(days, today, knee(side))
        self._desk.ask(view, chosen, self._desk.show_front)

    # ------------------------------------------------------------ one page after the other

    def _begin(self, conduct: Conduct, side: Side, for_day: date | None = None) -> None:
        context = self._desk.context
        context.written_by = "helper" if self._desk.doorways.settings().helper_view else "person"
        self._desk.attempt(lambda: self._show(conduct, begin(context, conduct, side, for_day)))

    def _show(self, conduct: Conduct, outcome: Underway | Finished) -> None:
        self._conduct = conduct
        if isinstance(outcome, Finished):
            self._finished(outcome)
            return
        self._underway = outcome
        self._desk.ask(self._view(conduct, outcome), self._give, self._back)

    def _view(self, conduct: Conduct, outcome: Underway) -> PageView:
        setting = self._setting(outcome.plan, outcome.begun.side)
        if isinstance(conduct, DayConduct):
            day = outcome.begun.for_day
            today = self._desk.context.clock.today()
            return day_page_view(outcome.page, setting, day, today=today)
        if isinstance(conduct, _OUTINGS):
            return outing_page_view(outcome.page, setting)
        if isinstance(conduct, _PATCHES):
            return patch_page_view(outcome.page, setting)
        if isinstance(conduct, ChairConduct):
            return chair_page_view(outcome.page, setting)
        return page_view(outcome.page, setting)

    def _give(self, given: Given) -> None:
        conduct, underway, context = self._conduct, self._underway, self._desk.context
        if conduct is not None and underway is not None:
            self._desk.attempt(lambda: self._show(conduct, give(context, conduct, underway, given)))

    def _back(self) -> None:
        conduct, underway, context = self._conduct, self._underway, self._desk.context
        if conduct is None or underway is None:
            self._desk.show_front()
        elif isinstance(conduct, StopConduct) and not underway.can_go_back:
            self._after_stop(None)
        elif not underway.can_go_back:
            self._desk.show_front()
        else:
            self._desk.attempt(lambda: self._show(conduct, back(context, conduct, underway)))

    def _finished(self, done: Finished) -> None:
        self._underway = None
        if isinstance(done.end, StopEnd):
            self._after_stop(done.end)
            return
        if nothing_to_tell(done.end):
            self._desk.show_front()
            return
        side = done.begun.side
        if isinstance(done.end, ChairEnd):
            stands = stands_counted(self._desk.context, done.plan)
            view = chair_result_view(done.at, stands, done.plan)
        else:
            view = finished_view(
                done.end,
                done.at,
                self._setting(done.plan, side),
                wear=self._knee_today(side).wear,
                now=self._desk.context.clock.now(),
            )
        begun = done.begun

        def read(given: Given) -> None:
            if given.get("again"):
                self._begin(DayConduct(), begun.side, begun.for_day)
            else:
                self._desk.show_front()

        self._desk.ask(view, read, self._desk.show_front)

    # ------------------------------------------------------------ stop

    def stop(self) -> None:
        """What Stop opens, from whichever page."""
        if self._conduct is not None and self._underway is not None:
            self._stopped_in = (self._conduct, self._underway.begun.side)
        side = self._plan().sides[0] if self._stopped_in is None else self._stopped_in[1]
        self._begin(StopConduct(), side)

    def _after_stop(self, end: StopEnd | None) -> None:
        """Back to where Stop was pressed, or the end of what was under way."""
        context = self._desk.context
        stopped_in, self._stopped_in = self._stopped_in, None
        if stopped_in is None:
            self._desk.show_front()
            return
        conduct, side = stopped_in
        if end is None or end.ends is None:
            begun = load(context, conduct, side)
            self._begin(conduct, side, None if begun is None else begun.for_day)
            return
        reason = end.ends
        if isinstance(conduct, RoutineConduct):
            self._desk.attempt(lambda: end_early(context, side, reason))
        elif not isinstance(conduct, DayConduct):
            self._desk.attempt(lambda: leave(context, conduct, side))
        self._desk.show_front()

    def _plan(self) -> Plan:
        plan = self._desk.context.plan()
        if plan is None:
            raise LookupError("a walk needs a plan")
        return plan

    def _setting(self, plan: Plan, side: Side) -> Setting:
        return Setting(
            plan=plan,
            side=side,
            catalogue=self._desk.context.catalogue,
            helping=self._desk.doorways.settings().helper_view,
        )
