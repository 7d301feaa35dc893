"""Home: one window, one page at a time. An intention goes to a service; what comes of it is shown
on the next page.

This is the way to the first paint. What only a door needs is loaded when that door is opened.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from companion.care.records import Plan, Side
from companion.presentation.home.front import (
    WEEK_IS_TOLD_ON,
    DiaryNotice,
    FrontView,
    front_view,
    room_line,
    tape_sides,
)
from companion.presentation.home.open_lines import Door
from companion.presentation.language.phrases import spoken
from companion.services.context import Context
from companion.services.front import Front, expire_left_behind, front
from companion.services.second_place import second_place_today
from companion.services.trouble import Trouble, known_troubles
from companion.services.unsettled import clock_doubt
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from companion.care.flow import Given
    from companion.presentation.view.page import PageView
    from companion.services.unsettled import Waiting
    from companion.ui.home.desk import Answered, HomeDoorways
    from companion.ui.home.walking import Walking

_ROOMS = (
    "plan",
    "used_before",
    "second",
    "practice",
    "visit",
    "settings",
    "mend",
    "journey",
    "plan_waits",
    "plan_before",
)
"""Doors that lead to no single knee."""
_LOADED_AHEAD = ("walking", "record_room", "visit_room", "settings_room")
"""Rooms that are loaded while nobody waits; each is loaded at its door else."""
_OF_PERSON = ("card", "add", "patch", "chair", "outing")
"""Walks of the whole person; a knee only names where one is kept under way."""


def _nothing() -> None:
    """Nothing is to be said of the diary itself."""


class Home(QObject):
    """The person's side, and the desk its rooms work at. It holds what is shown; everything else
    is read anew for each page."""

    def __init__(self, window: PageWindow, context: Context, doorways: HomeDoorways) -> None:
        super().__init__(window)
        self.context = context
        self.doorways = doorways
        self._window = window
        self._walking: Walking | None = None
        self._answered: Answered | None = None
        self._went_back: Callable[[], None] | None = None
        self._noted: Callable[[], DiaryNotice | None] = _nothing
        self._all_read = False
        self._week: tuple[object, tuple[str, ...]] = (None, ())

    # ------------------------------------------------------------ the front page

    def ask_language(self) -> None:
        """Before anything else, in which language: each stands there in itself."""
        from companion.presentation.home.language_pages import first_language_view

        def chosen(submitted: Given) -> None:
            settings = replace(self.doorways.settings(), language=submitted["language"])
            self.doorways.use_settings(settings)
            self.show_front()

        self.ask(first_language_view(self.doorways.languages()), chosen, self.show_front)

    def show_front(self) -> None:
        """The front page, as things stand now."""
        if self._walking is not None:
            self._walking.let_go()
        doubt = clock_doubt(self.context)
        if doubt is not None:
            from companion.ui.home.unsettled_room import UnsettledRoom

            UnsettledRoom(self).ask_clock(doubt)
            return
        self.attempt(lambda: expire_left_behind(self.context))
        page = FrontPage(self.view_of(front(self.context)))
        page.door_opened.connect(self.open)
        page.stop_wanted.connect(self._stop)
        page.help_wanted.connect(self._help)
        self._window.show_page(page)

    def view_of(self, facts: Front) -> FrontView:
        """What the front page says of these facts, of the diary itself and of its copies."""
        second = second_place_today(
            self.doorways.elsewhere.said, facts.today, self.context.journal.count()
        )
        return front_view(
            facts,
            lambda: self.context.catalogue,
            self._noted(),
            second,
            helping=self.doorways.settings().helper_view,
            week=self._week_lines(facts.today),
        )

    def _week_lines(self, today: date) -> tuple[str, ...]:
        """How the week went, on the days on which that is said, once the diary was read."""
        if not self._all_read or self.context.plan() is None:
            return ()
        told_of = today, self.context.journal.count(), spoken()
        if self._week[0] != told_of:
            said: tuple[str, ...] = ()
            if today.weekday() == WEEK_IS_TOLD_ON:
                from companion.care.clocks import that_count
                from companion.presentation.home.how_it_goes import week_lines

                diary = self.context.journal.diary()
                said = week_lines(diary, that_count(diary), today)
            self._week = told_of, said
        return self._week[1]

    def look_over(self) -> Waiting:
        """Look through the whole diary for what needs a word of the person. The front page says it
        from its next showing on."""
        from companion.presentation.home.unsettled_pages import unsettled_words
        from companion.services.unsettled import unsettled

        found = self.doorways.beside(lambda: unsettled(self.context))

        def noted() -> DiaryNotice | None:
            sentences = unsettled_words(found)
            return DiaryNotice(sentences, "unsettled") if sentences else None

        before = self._noted()
        if before is None or before.door == "unsettled":
            self._noted = noted
        return found

    def say_what_waits(self) -> None:
        """The same once nobody waits for the diary to be read, and said at once."""
        before, self._all_read = self._noted(), True
        self.look_over()
        if self._noted() != before or self._week_lines(self.context.clock.today()):
            self.show_anew()

    def note(self, sentence: Callable[[], str], *, mend: bool) -> None:
        """Say something of the diary itself on the front page, with the door to `mend` it where
        it is damaged; at once where that page is shown."""
        self._noted = lambda: DiaryNotice((sentence(),), "mend" if mend else None)
        self.show_anew()

    def show_anew(self) -> None:
        """Show the front page as things stand by now, where that is the page shown."""
        if isinstance(self._window.page(), FrontPage) and self._window.sheet() is None:
            self.show_front()

    def open(self, door: Door) -> None:
        if door.name in _ROOMS:
            self._room(door.name)
        elif door.name == "unsettled":
            from companion.ui.home.unsettled_room import UnsettledRoom

            UnsettledRoom(self).enter()
        elif door.name == "who":
            settings = self.doorways.settings()
            self.doorways.use_settings(replace(settings, helper_view=not settings.helper_view))
            self.show_front()
        elif door.name == "spell":
            self._bad_spell()
        elif door.name in _OF_PERSON:
            self._enter(door, door.side or self._plan().sides[0])
        elif door.side is not None:
            self._enter(door, door.side)
        elif door.name == "day" and self._writes_both():
            self._enter(door, self._plan().sides[0])
        elif door.name == "routine" and self._one_evening():
            self.walking.go_on("evening", self._plan().sides[0], None)
        else:
            self._ask_knee(door)

    def _one_evening(self) -> bool:
        from companion.services.evening import one_evening

        return one_evening(self.context, self._plan(), self.context.clock.today())

    def _writes_both(self) -> bool:
        from companion.services.day_page import writes_both

        return writes_both(self.context, self._plan(), self.context.clock.today())

    def _ask_knee(self, door: Door) -> None:
        from companion.presentation.home.home_pages import knee_choice_view

        def chosen(submitted: Given) -> None:
            self._enter(door, submitted["side"])

        today = front(self.context)
        sides = self._plan().sides
        if door.name == "tape":
            sides = tape_sides(today)
        elif door.name == "record":
            sides = today.recorded
        lines = {side: line for side in sides if (line := room_line(today, side, door.name))}
        self.ask(knee_choice_view(sides, lines), chosen, self.show_front)

    def _enter(self, door: Door, side: Side) -> None:
        if door.name == "record":
            self._record(side)
        elif door.name == "trial":
            self._trial(side)
        elif door.walk is not None:
            self.walking.go_on(door.walk, side, door.day)
        else:
            self.walking.enter(door.name, side)

    def load_ahead(self) -> Iterator[object]:
        """Load the rooms behind the doors, one at a step: for a thread beside the window, while
        nobody waits for them. The plotting library behind My record is the most of it."""
        from importlib import import_module

        yield self.context.catalogue
        for room in _LOADED_AHEAD:
            yield import_module(f"companion.ui.home.{room}")

    def _ready(self, room: str) -> None:
        """Load a room and what the trade says, beside the window: it may take a while."""
        from importlib import import_module

        self.doorways.beside(
            lambda: (import_module(f"companion.ui.home.{room}"), self.context.catalogue)
        )

    def _room(self, name: str) -> None:
        if name == "visit":
            self._ready("visit_room")
            from companion.ui.home.visit_room import VisitRoom

            VisitRoom(self).enter()
            return
        if name == "journey":
            from companion.ui.home.journey_room import JourneyRoom

            JourneyRoom(self, self.show_front).enter()
            return
        self._ready("settings_room")
        from companion.ui.home.settings_room import SettingsRoom

        room = SettingsRoom(self)
        match name:
            case "plan":
                room.open_plan()
            case "plan_before":
                room.plan_before()
            case "plan_waits":
                room.look_at_waiting()
            case "used_before":
                self.doorways.used_before()
            case "second":
                from companion.ui.home.second_room import SecondRoom

                SecondRoom(self, self.show_front).enter()
            case "practice":
                room.look_round()
            case "mend":
                self.doorways.mend()
            case _:
                room.enter()

    def _bad_spell(self) -> None:
        from companion.presentation.home.bad_spell_pages import bad_spell_view
        from companion.services.bad_spell import say_bad_spell

        def say(over: bool) -> None:
            say_bad_spell(self.context, over=over)
            self.show_front()

        def answered(submitted: Given) -> None:
            if "spell" in submitted:
                over = submitted["spell"] == "over"
                self.attempt(lambda: say(over))
            else:
                self.show_front()

        view = bad_spell_view(front(self.context), self._plan(), self.context.policy)
        self.ask(view, answered, self.show_front)

    def _trial(self, side: Side) -> None:
        from companion.presentation.home.trial_pages import trial_view
        from companion.presentation.language.words import knee
        from companion.services.trial_answer import trial_answer

        def show() -> None:
            found = trial_answer(self.context, side)
            if found is None:
                self.show_front()
                return
            view = trial_view(*found, knee(side))
            self.ask(view, lambda _given: self.show_front(), self.show_front)

        self.attempt(show)

    def _record(self, side: Side) -> None:
        self._ready("record_room")
        from companion.ui.home.record_room import RecordRoom

        known = front(self.context).recorded
        other = next((knee for knee in known if knee != side), None)
        RecordRoom(self, side, self._plan(), other=other).enter()

    @property
    def walking(self) -> Walking:
        """The walk on screen."""
        if self._walking is None:
            self._ready("walking")
            from companion.ui.home.walking import Walking

            self._walking = Walking(self)
        return self._walking

    @property
    def walk_on_screen(self) -> str | None:
        """The name of the walk on screen, None when there is none."""
        return None if self._walking is None else self._walking.on_screen

    def _stop(self) -> None:
        self.walking.stop()

    def _help(self) -> None:
        """Whom to call, over the page: what is half answered below stays as it is."""
        from companion.presentation.home.numbers import plan_here
        from companion.presentation.home.settings_pages import help_view
        from companion.services.journeys import journey_told
        from companion.ui.kit.asking import AskingPage

        plan = self.context.plan()
        if plan is None or self._window.sheet() is not None:
            return
        today = self.context.clock.today()
        sheet = AskingPage(help_view(plan_here(plan, journey_told(self.context), today)))
        sheet.submitted.connect(self._window.drop_sheet)
        sheet.back_wanted.connect(self._window.drop_sheet)
        self._window.show_sheet(sheet)

    # ------------------------------------------------------------ the desk

    def ask(
        self,
        view: PageView,
        answered: Answered,
        went_back: Callable[[], None],
        *,
        given_before: Given | None = None,
        leave: bool = False,
    ) -> None:
        from companion.ui.kit.asking import AskingPage

        self._answered = answered
        page = AskingPage(view, help_offered=self.context.plan() is not None)
        if leave:
            page.offer_leaving()
        if given_before is not None:
            page.show_answers(given_before)
        page.submitted.connect(self._on_given)

        def left() -> None:
            # A sign that was ticked is written and its card shown, also when the person leaves.
            if not page.give_kept():
                self.show_front()

        page.leave_wanted.connect(left)
        self.show(page, went_back)

    def show(self, page: Page, went_back: Callable[[], None]) -> None:
        self._went_back = went_back
        page.back_wanted.connect(self._on_back)
        page.stop_wanted.connect(self._stop)
        page.help_wanted.connect(self._help)
        self._window.show_page(page)

    def _on_given(self, submitted: Given) -> None:
        if self._answered is not None:
            self._answered(submitted)

    def _on_back(self) -> None:
        if self._went_back is not None:
            self._went_back()

    def tell(self, heading: str, sentence: str) -> None:
        from companion.presentation.home.home_pages import notice_view

        self.ask(notice_view(heading, sentence), lambda _given: self.show_front(), self.show_front)

    def walk(self, name: str) -> None:
        self.walking.enter(name, self._plan().sides[0])

    def put_right(self, entry_id: str, side: Side, came_from: Callable[[], None]) -> None:
        self.walking.put_right(entry_id, side, came_from)

    def attempt(self, act: Callable[[], object]) -> None:
        try:
            with known_troubles():
                act()
        except Trouble as trouble:
            if trouble.damage:
                self.doorways.mend()
                return
            from companion.presentation.home.home_pages import not_saved_view
            from companion.presentation.language.troubles import trouble_words

            def again(answer: Given) -> None:
                if answer.get("leave"):
                    self.show_front()
                else:
                    self.attempt(act)

            self.ask(not_saved_view(trouble_words(trouble)), again, self.show_front)

    def shown(self) -> Page | None:
        return self._window.page()

    def _plan(self) -> Plan:
        plan = self.context.plan()
        if plan is None:
            raise LookupError("this room needs a plan")
        return plan
