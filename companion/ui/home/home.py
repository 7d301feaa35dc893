"""Home: one window, one page at a time. An intention goes to a service; what comes of it is shown
on the next page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from PySide6.QtCore import QObject

from companion.care.records import DayPage, Plan, Question, Side
from companion.care.stopping import StopEnd
from companion.journal.faults import JournalFault
from companion.presentation.day_pages import day_page_view
from companion.presentation.front import Door, front_view, off_words
from companion.presentation.home_pages import (
    day_choice_view,
    finished_view,
    knee_choice_view,
    not_saved_view,
    plan_preview_view,
    tape_room_view,
    told_view,
    visit_view,
)
from companion.presentation.page_view import PageView
from companion.presentation.phrases import phrase
from companion.presentation.routine_pages import Setting, page_view
from companion.presentation.words import knee
from companion.services.day_page import DayConduct, page_of
from companion.services.front import Front, front, settle_left_behind
from companion.services.house import House
from companion.services.routine import RoutineConduct, end_early
from companion.services.signs import ClearConduct, StopConduct
from companion.services.tape import SkinConduct, TapeOffConduct, TapeOnConduct
from companion.services.walks import Conduct, Finished, Underway, back, begin, give, load
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow

Given = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Doorways:
    """What lies outside this window: the files a person picks, and what is written for a visit.

    `read_plan` gives a plan or the sentence why not, None when nothing was picked. `save_visit`
    gives the sentence that says where, None when nothing was picked.
    """

    read_plan: Callable[[], Plan | str | None]
    save_visit: Callable[[], str | None]


class Home(QObject):
    """The person's side. Holds what is shown; everything else is read anew for each page."""

    def __init__(self, window: PageWindow, house: House, doorways: Doorways) -> None:
        super().__init__(window)
        self._window = window
        self._house = house
        self._doorways = doorways
        self._conduct: Conduct | None = None
        self._underway: Underway | None = None
        self._answered: Callable[[Given], None] | None = None
        self._went_back: Callable[[], None] | None = None
        self._stopped_in: tuple[Conduct, Side] | None = None

    # ------------------------------------------------------------ the front page

    def show_front(self) -> None:
        """The front page, as things stand now."""
        self._conduct = self._underway = self._stopped_in = None
        self._try(settle_left_behind, self._house)
        page = FrontPage(front_view(front(self._house), self._house.catalogue))
        page.door_opened.connect(self.open)
        page.stop_wanted.connect(self._stop)
        self._window.show_page(page)

    def open(self, door: Door) -> None:
        """Go through a door."""
        if door.name == "plan":
            self._read_plan()
        elif door.name == "visit":
            self._visit()
        elif door.name == "card":
            self._begin(ClearConduct(), self._plan().sides[0])
        elif door.side is not None:
            self._enter(door.name, door.side)
        else:
            self._ask_knee(door)

    def _ask_knee(self, door: Door) -> None:
        def chosen(given: Given) -> None:
            self._enter(door.name, given["side"])

        self._ask(knee_choice_view(self._plan().sides, {}), chosen, self.show_front)

    def _enter(self, room: str, side: Side) -> None:
        match room:
            case "routine":
                self._begin(RoutineConduct(), side)
            case "tape":
                self._tape(side)
            case "day":
                self._which_day(side)
            case "record":
                self._record(side)

    # ------------------------------------------------------------ walks

    def _begin(self, conduct: Conduct, side: Side, for_day: date | None = None) -> None:
        self._try(lambda: self._show(conduct, begin(self._house, conduct, side, for_day)))

    def _show(self, conduct: Conduct, outcome: Underway | Finished) -> None:
        self._conduct = conduct
        if isinstance(outcome, Finished):
            self._finished(conduct, outcome)
            return
        self._underway = outcome
        setting = self._setting(outcome.plan, outcome.begun.side)
        if isinstance(conduct, DayConduct):
            day = outcome.begun.for_day
            late = (self._house.clock.today() - day).days >= 2
            view = day_page_view(outcome.page, setting, day, late=late)
        else:
            view = page_view(outcome.page, setting)
        self._ask(view, self._give, self._back)

    def _give(self, given: Given) -> None:
        conduct, underway = self._conduct, self._underway
        if conduct is not None and underway is not None:
            self._try(lambda: self._show(conduct, give(self._house, conduct, underway, given)))

    def _back(self) -> None:
        conduct, underway = self._conduct, self._underway
        if conduct is None or underway is None:
            self.show_front()
        elif isinstance(conduct, StopConduct) and not underway.can_go_back:
            self._after_stop(None)
        elif not underway.can_go_back:
            self.show_front()
        else:
            self._try(lambda: self._show(conduct, back(self._house, conduct, underway)))

    def _finished(self, conduct: Conduct, done: Finished) -> None:
        self._underway = None
        if isinstance(done.end, StopEnd):
            self._after_stop(done.end)
            return
        side = done.begun.side
        today = front(self._house)
        wear = next((k.wear for k in today.knees if k.side == side), None)
        view = finished_view(
            done.end, done.at, self._setting(done.plan, side), wear=wear, now=today.now
        )
        self._ask(view, lambda _given: self.show_front(), self.show_front)

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
            begun = load(self._house, conduct, side)
            self._begin(conduct, side, None if begun is None else begun.for_day)
            return
        reason = end.ends
        if isinstance(conduct, RoutineConduct):
            self._try(lambda: end_early(self._house, side, "stopped", reason))
        elif not isinstance(conduct, DayConduct):
            self._house.journal.drop_draft(f"{conduct.name}:{side}")
        self.show_front()

    # ------------------------------------------------------------ rooms

    def _tape(self, side: Side) -> None:
        knee_today = next(k for k in self._front().knees if k.side == side)
        if knee_today.wear is None:
            if knee_today.skin_look_at is not None:
                self._begin(SkinConduct(), side)
            else:
                self._begin(TapeOnConduct(), side)
            return
        adding = knee_today.wear.wear.stage == 1 and self._plan().tape.highest > 1
        view = tape_room_view(knee(side), off_words(self._front(), knee_today.wear), adding=adding)

        def chosen(given: Given) -> None:
            self._begin(TapeOffConduct() if given["do"] == "off" else TapeOnConduct(), side)

        self._ask(view, chosen, self.show_front)

    def _which_day(self, side: Side) -> None:
        today = self._house.clock.today()
        under_way = load(self._house, DayConduct(), side)
        if under_way is not None and under_way.answers:
            self._begin(DayConduct(), side, under_way.for_day)
            return
        entries = self._house.lately()
        days = [
            (day, page_of(entries, day, side) is not None)
            for day in (today, today - timedelta(days=1))
        ]
        if not days[0][1] and days[1][1]:
            self._begin(DayConduct(), side, today)
            return

        def chosen(given: Given) -> None:
            self._begin(DayConduct(), side, date.fromisoformat(given["day"]))

        self._ask(day_choice_view(days, today, knee(side)), chosen, self.show_front)

    def _record(self, side: Side) -> None:
        # Charts load slowly; nobody waits for them before this door is opened.
        from companion.ui.home.record_page import RecordPage

        page = RecordPage(self._house, side)
        page.back_wanted.connect(self.show_front)
        page.stop_wanted.connect(self._stop)
        self._window.show_page(page)

    def _visit(self) -> None:
        entries = self._house.everything()
        view = visit_view(
            self._plan(),
            entries=len(entries),
            questions=[entry.text for entry in entries if isinstance(entry, Question)],
            private_notes=sum(
                isinstance(entry, DayPage) and entry.note_private for entry in entries
            ),
        )

        def save(_given: Given) -> None:
            sentence = self._doorways.save_visit()
            if sentence is not None:
                self._tell(phrase("For your visit"), sentence)

        self._ask(view, save, self.show_front)

    def _read_plan(self) -> None:
        found = self._doorways.read_plan()
        if found is None:
            return
        if isinstance(found, str):
            self._tell(phrase("This file was not taken in"), found)
            return
        plan = found

        def chosen(given: Given) -> None:
            if given["take"]:
                self._try(lambda: self._house.journal.add_plan(plan))
            self.show_front()

        self._ask(plan_preview_view(plan, replaces=self._house.plan()), chosen, self.show_front)

    # ------------------------------------------------------------ showing

    def _ask(
        self,
        view: PageView,
        answered: Callable[[Given], None],
        went_back: Callable[[], None],
    ) -> None:
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

    def _tell(self, heading: str, sentence: str) -> None:
        self._ask(told_view(heading, sentence), lambda _given: self.show_front(), self.show_front)

    def _try(self, act: Callable[..., Any], *given: Any) -> None:
        """Do something that saves; when the machine fails say so, keep what is here, try again."""
        try:
            act(*given)
        except JournalFault as fault:
            underway, conduct = self._underway, self._conduct

            def again(answer: Given) -> None:
                self._underway, self._conduct = underway, conduct
                if answer.get("leave"):
                    self.show_front()
                else:
                    self._try(act, *given)

            self._ask(not_saved_view(str(fault)), again, self.show_front)

    def _front(self) -> Front:
        return front(self._house)

    def _plan(self) -> Plan:
        plan = self._house.plan()
        if plan is None:
            raise LookupError("this room needs a plan")
        return plan

    def _setting(self, plan: Plan, side: Side) -> Setting:
        return Setting(plan=plan, side=side, catalogue=self._house.catalogue)

    def shown(self) -> Page | None:
        """The page on screen."""
        return self._window.page()
