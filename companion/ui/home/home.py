"""Home: one window, one page at a time. An intention goes to a service; what comes of it is shown
on the next page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from PySide6.QtCore import QObject

from companion.care.records import Plan, Side
from companion.care.stopping import StopEnd
from companion.journal.faults import JournalFault
from companion.presentation.day_pages import day_page_view
from companion.presentation.front import Door, front_view, off_words, room_line
from companion.presentation.home_pages import (
    day_choice_view,
    finished_view,
    knee_choice_view,
    not_saved_view,
    tape_room_view,
    told_view,
)
from companion.presentation.page_view import PageView
from companion.presentation.routine_pages import Setting, page_view
from companion.presentation.words import knee
from companion.services.day_page import DayConduct, page_of
from companion.services.front import Front, front, settle_left_behind
from companion.services.house import House
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
from companion.ui.home.desk import Answered, Doorways, Given
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow

DAYS_TO_CHOOSE = 7
"""How far back a day page may still be written here; older days come from paper."""


class Home(QObject):
    """The person's side, and the desk its rooms work at. It holds what is shown; everything else
    is read anew for each page."""

    def __init__(self, window: PageWindow, house: House, doorways: Doorways) -> None:
        super().__init__(window)
        self.house = house
        self.doorways = doorways
        self._window = window
        self._conduct: Conduct | None = None
        self._underway: Underway | None = None
        self._answered: Answered | None = None
        self._went_back: Callable[[], None] | None = None
        self._stopped_in: tuple[Conduct, Side] | None = None

    # ------------------------------------------------------------ the front page

    def show_front(self) -> None:
        """The front page, as things stand now."""
        self._conduct = self._underway = self._stopped_in = None
        self.attempt(lambda: settle_left_behind(self.house))
        page = FrontPage(front_view(front(self.house), self.house.catalogue))
        page.door_opened.connect(self.open)
        page.stop_wanted.connect(self._stop)
        self._window.show_page(page)

    def open(self, door: Door) -> None:
        """Go through a door."""
        if door.name in ("plan", "merge", "practice", "visit", "settings"):
            self._room(door.name)
        elif door.name == "card":
            self._begin(ClearConduct(), self._plan().sides[0])
        elif door.side is not None:
            self._enter(door.name, door.side)
        else:
            self._ask_knee(door)

    def _ask_knee(self, door: Door) -> None:
        def chosen(given: Given) -> None:
            self._enter(door.name, given["side"])

        lines = {
            each.side: line
            for each in self._front().knees
            if (line := room_line(self._front(), each, door.name))
        }
        self.ask(knee_choice_view(self._plan().sides, lines), chosen, self.show_front)

    def _enter(self, name: str, side: Side) -> None:
        match name:
            case "routine":
                self._begin(RoutineConduct(), side)
            case "tape":
                self._tape(side)
            case "day":
                self._which_day(side)
            case "record":
                self._record(side)

    def _room(self, name: str) -> None:
        # Rooms load when their door is opened: the front page waits for none of them.
        if name == "visit":
            from companion.ui.home.visit_room import VisitRoom

            VisitRoom(self).enter()
            return
        from companion.ui.home.settings_room import SettingsRoom

        room = SettingsRoom(self)
        match name:
            case "plan":
                room.open_plan()
            case "merge":
                room.take_in_diary()
            case "practice":
                room.look_round()
            case _:
                room.enter()

    # ------------------------------------------------------------ walks

    def _begin(self, conduct: Conduct, side: Side, for_day: date | None = None) -> None:
        self.house.written_by = "helper" if self.doorways.settings().helper_view else "person"
        self.attempt(lambda: self._show(conduct, begin(self.house, conduct, side, for_day)))

    def _show(self, conduct: Conduct, outcome: Underway | Finished) -> None:
        self._conduct = conduct
        if isinstance(outcome, Finished):
            self._finished(outcome)
            return
        self._underway = outcome
        setting = self._setting(outcome.plan, outcome.begun.side)
        if isinstance(conduct, DayConduct):
            day = outcome.begun.for_day
            late = (self.house.clock.today() - day).days >= 2
            view = day_page_view(outcome.page, setting, day, late=late)
        else:
            view = page_view(outcome.page, setting)
        self.ask(view, self._give, self._back)

    def _give(self, given: Given) -> None:
        conduct, underway = self._conduct, self._underway
        if conduct is not None and underway is not None:
            self.attempt(lambda: self._show(conduct, give(self.house, conduct, underway, given)))

    def _back(self) -> None:
        conduct, underway = self._conduct, self._underway
        if conduct is None or underway is None:
            self.show_front()
        elif isinstance(conduct, StopConduct) and not underway.can_go_back:
            self._after_stop(None)
        elif not underway.can_go_back:
            self.show_front()
        else:
            self.attempt(lambda: self._show(conduct, back(self.house, conduct, underway)))

    def _finished(self, done: Finished) -> None:
        self._underway = None
        if isinstance(done.end, StopEnd):
            self._after_stop(done.end)
            return
        if nothing_to_tell(done.end):
            self.show_front()
            return
        side = done.begun.side
        today = self._front()
        wear = next((k.wear for k in today.knees if k.side == side), None)
        view = finished_view(
            done.end, done.at, self._setting(done.plan, side), wear=wear, now=today.now
        )
        self.ask(view, lambda _given: self.show_front(), self.show_front)

    # ------------------------------------------------------------ stop

    def _stop(self) -> None:
        if self._conduct is not None and self._underway is not None:
            self._stopped_in = (self._conduct, self._underway.begun.side)
        side = self._plan().sides[0] if self._stopped_in is None else self._stopped_in[1]
        self._begin(StopConduct(), side)

    def _after_stop(self, end: StopEnd | None) -> None:
        """Back to where Stop was pressed, or the end of what was under way."""
        stopped_in, self._stopped_in = self._stopped_in, None
        if stopped_in is None:
            self.show_front()
            return
        conduct, side = stopped_in
        if end is None or end.ends is None:
            begun = load(self.house, conduct, side)
            self._begin(conduct, side, None if begun is None else begun.for_day)
            return
        reason = end.ends
        if isinstance(conduct, RoutineConduct):
            self.attempt(lambda: end_early(self.house, side, reason))
        elif not isinstance(conduct, DayConduct):
            self.attempt(lambda: leave(self.house, conduct, side))
        self.show_front()

    # ------------------------------------------------------------ tape, day page, record

    def _tape(self, side: Side) -> None:
        knee_today = next(k for k in self._front().knees if k.side == side)
        if knee_today.wear is None:
            if knee_today.skin_look_at is not None:
                self._begin(SkinConduct(), side)
            else:
                self._begin(TapeOnConduct(), side)
            return
        view = tape_room_view(knee(side), off_words(self._front(), knee_today.wear))

        def chosen(given: Given) -> None:
            self._begin(TapeOffConduct() if given["do"] == "off" else TapeCheckConduct(), side)

        self.ask(view, chosen, self.show_front)

    def _which_day(self, side: Side) -> None:
        today = self.house.clock.today()
        under_way = load(self.house, DayConduct(), side)
        if under_way is not None and under_way.answers:
            self._begin(DayConduct(), side, under_way.for_day)
            return
        entries = self.house.lately()
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

        self.ask(day_choice_view(days, today, knee(side)), chosen, self.show_front)

    def _record(self, side: Side) -> None:
        # Charts load slowly; nobody waits for them before this door is opened.
        from companion.ui.home.record_page import RecordPage

        page = RecordPage(self.house, side)
        page.back_wanted.connect(self.show_front)
        page.stop_wanted.connect(self._stop)
        self._window.show_page(page)

    # ------------------------------------------------------------ the desk

    def ask(self, view: PageView, answered: Answered, went_back: Callable[[], None]) -> None:
        """Show a page; `answered` gets what was given."""
        self._answered, self._went_back = answered, went_back
        page = AskingPage(view)
        page.given.connect(self._on_given)
        page.back_wanted.connect(self._on_back)
        page.stop_wanted.connect(self._stop)
        self._window.show_page(page)

    def _on_given(self, given: Given) -> None:
        if self._answered is not None:
            self._answered(given)

    def _on_back(self) -> None:
        if self._went_back is not None:
            self._went_back()

    def tell(self, heading: str, sentence: str) -> None:
        """Show one thing to know, and the way to the front page."""
        self.ask(told_view(heading, sentence), lambda _given: self.show_front(), self.show_front)

    def attempt(self, act: Callable[[], object]) -> None:
        """Do something that saves; when the machine fails say so, keep what is here, try again."""
        try:
            act()
        except JournalFault as fault:
            underway, conduct = self._underway, self._conduct

            def again(answer: Given) -> None:
                self._underway, self._conduct = underway, conduct
                if answer.get("leave"):
                    self.show_front()
                else:
                    self.attempt(act)

            self.ask(not_saved_view(str(fault)), again, self.show_front)

    def shown(self) -> Page | None:
        """The page on screen."""
        return self._window.page()

    def _front(self) -> Front:
        return front(self.house)

    def _plan(self) -> Plan:
        plan = self.house.plan()
        if plan is None:
            raise LookupError("this room needs a plan")
        return plan

    def _setting(self, plan: Plan, side: Side) -> Setting:
        return Setting(
            plan=plan,
            side=side,
            catalogue=self.house.catalogue,
            helping=self.doorways.settings().helper_view,
        )
