"""Home: one window, one page at a time. An intention goes to a service; what comes of it is shown
on the next page.

This is the way to the first paint. What only a door needs is loaded when that door is opened.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from companion.care.records import Plan, Side
from companion.presentation.home.front import Door, Notice, front_view, room_line
from companion.services.context import Context
from companion.services.front import expire_left_behind, front
from companion.services.trouble import Trouble, known_troubles
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from companion.care.flow import Given
    from companion.presentation.view.page import PageView
    from companion.ui.home.desk import Answered, Doorways
    from companion.ui.home.walking import Walking

_ROOMS = ("plan", "merge", "practice", "visit", "settings", "mend")
"""Doors that lead to no single knee."""


class Home(QObject):
    """The person's side, and the desk its rooms work at. It holds what is shown; everything else
    is read anew for each page."""

    def __init__(self, window: PageWindow, context: Context, doorways: Doorways) -> None:
        super().__init__(window)
        self.context = context
        self.doorways = doorways
        self._window = window
        self._walking: Walking | None = None
        self._answered: Answered | None = None
        self._went_back: Callable[[], None] | None = None
        self._notice: Notice | None = None

    # ------------------------------------------------------------ the front page

    def show_front(self) -> None:
        """The front page, as things stand now."""
        if self._walking is not None:
            self._walking.let_go()
        self.attempt(lambda: expire_left_behind(self.context))
        page = FrontPage(
            front_view(front(self.context), lambda: self.context.catalogue, self._notice)
        )
        page.door_opened.connect(self.open)
        page.stop_wanted.connect(self._stop)
        page.help_wanted.connect(self._help)
        self._window.show_page(page)

    def note(self, sentence: str, *, mend: bool) -> None:
        """Say something of the diary itself on the front page, with the door to `mend` it where
        it is damaged; at once where that page is shown."""
        self._notice = Notice(sentence, mend)
        if isinstance(self._window.page(), FrontPage) and self._window.sheet() is None:
            self.show_front()

    def open(self, door: Door) -> None:
        """Go through a door."""
        if door.name in _ROOMS:
            self._room(door.name)
        elif door.name == "spell":
            self._bad_spell()
        elif door.name == "card":
            self._enter("card", self._plan().sides[0])
        elif door.name == "add":
            self._enter("add", self._plan().sides[0])
        elif door.side is not None:
            self._enter(door.name, door.side)
        else:
            self._ask_knee(door)

    def _ask_knee(self, door: Door) -> None:
        from companion.presentation.home.home_pages import knee_choice_view

        def chosen(given: Given) -> None:
            self._enter(door.name, given["side"])

        today = front(self.context)
        lines = {k.side: line for k in today.knees if (line := room_line(today, k, door.name))}
        sides = self._plan().sides
        if door.name == "tape":
            sides = tuple(k.side for k in today.knees)
        self.ask(knee_choice_view(sides, lines), chosen, self.show_front)

    def _enter(self, name: str, side: Side) -> None:
        if name == "record":
            self._record(side)
        else:
            self.walking.enter(name, side)

    def _room(self, name: str) -> None:
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

        def answered(given: Given) -> None:
            if "spell" in given:
                over = given["spell"] == "over"
                self.attempt(lambda: say(over))
            else:
                self.show_front()

        view = bad_spell_view(front(self.context), self._plan(), self.context.policy)
        self.ask(view, answered, self.show_front)

    def _record(self, side: Side) -> None:
        from companion.ui.home.record_room import RecordRoom

        RecordRoom(self, side, self._plan()).enter()

    @property
    def walking(self) -> Walking:
        """The walk on screen."""
        if self._walking is None:
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
        from companion.presentation.home.settings_pages import help_view
        from companion.ui.kit.asking import AskingPage

        plan = self.context.plan()
        if plan is None or self._window.sheet() is not None:
            return
        sheet = AskingPage(help_view(plan))
        sheet.given.connect(self._window.drop_sheet)
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
        """Show a page; `answered` gets what was given. It shows what was `given_before`, and with
        `leave` a way to the front page that keeps everything."""
        from companion.ui.kit.asking import AskingPage

        self._answered = answered
        page = AskingPage(view, help_offered=self.context.plan() is not None)
        if leave:
            page.offer_leaving()
        if given_before is not None:
            page.show_answers(given_before)
        page.given.connect(self._on_given)

        def left() -> None:
            # A sign that was ticked is written and its card shown, also when the person leaves.
            if not page.give_kept():
                self.show_front()

        page.leave_wanted.connect(left)
        self.show(page, went_back)

    def show(self, page: Page, went_back: Callable[[], None]) -> None:
        """Show a page of a room's own making."""
        self._went_back = went_back
        page.back_wanted.connect(self._on_back)
        page.stop_wanted.connect(self._stop)
        page.help_wanted.connect(self._help)
        self._window.show_page(page)

    def _on_given(self, given: Given) -> None:
        if self._answered is not None:
            self._answered(given)

    def _on_back(self) -> None:
        if self._went_back is not None:
            self._went_back()

    def tell(self, heading: str, sentence: str) -> None:
        """Show one thing to know, and the way to the front page."""
        from companion.presentation.home.home_pages import told_view

        self.ask(told_view(heading, sentence), lambda _given: self.show_front(), self.show_front)

    def walk(self, name: str) -> None:
        """Begin a walk that is the person's, not one knee's."""
        self._enter(name, self._plan().sides[0])

    def attempt(self, act: Callable[[], object]) -> None:
        """Do something that saves; when the machine fails say so, keep what is here, try again."""
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
        """The page on screen."""
        return self._window.page()

    def _plan(self) -> Plan:
        plan = self.context.plan()
        if plan is None:
            raise LookupError("this room needs a plan")
        return plan
