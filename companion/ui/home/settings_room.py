"""Settings and help."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from companion.care.flow import Given
from companion.care.records import Diary
from companion.presentation.home.home_pages import plan_preview_view
from companion.presentation.home.settings_pages import (
    about_view,
    aloud_view,
    calendar_view,
    data_view,
    delete_view,
    look_view,
    merge_view,
    numbers_view,
    press_view,
    reminders_view,
    settings_view,
    signs_view,
    who_view,
)
from companion.presentation.language.phrases import phrase
from companion.presentation.language.troubles import refusal_words
from companion.presentation.view.page import PageView
from companion.services.taking_in import take_in, would_bring
from companion.ui.home.desk import Desk


class SettingsRoom:
    """The pages behind the door Settings and help."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def enter(self) -> None:
        """The list of what there is."""
        settings = self._desk.doorways.settings()
        has_plan = self._desk.context.plan() is not None
        self._desk.ask(settings_view(settings, has_plan=has_plan), self._go, self._desk.show_front)

    def _go(self, given: Given) -> None:
        desk = self._desk
        plan = desk.context.plan()
        match given["room"]:
            case "look":
                desk.ask(look_view(desk.doorways.settings()), self._look, self.enter)
            case "who":
                desk.ask(who_view(desk.doorways.settings()), self._who, self.enter)
            case "numbers" if plan is not None:
                desk.ask(numbers_view(plan), self._front, self.enter)
            case "signs" if plan is not None:
                desk.ask(signs_view(plan, desk.context.catalogue), self._print_signs, self.enter)
            case "papers":
                from companion.ui.home.papers_room import PapersRoom

                PapersRoom(desk).enter()
            case "plan":
                self.open_plan()
            case "reminders":
                desk.ask(reminders_view(desk.doorways.settings()), self._reminders, self.enter)
            case "calendar" if plan is not None:
                desk.ask(calendar_view(), self._save_calendar, self.enter)
            case "press":
                desk.ask(press_view(desk.doorways.settings()), self._press, self.enter)
            case "aloud":
                has_voice = desk.doorways.has_voice()
                view = aloud_view(desk.doorways.settings(), has_voice=has_voice)
                desk.ask(view, self._aloud, self.enter)
            case "practice":
                self.look_round()
            case "about":
                desk.ask(about_view(desk.context.catalogue, plan), self._front, self.enter)
            case _:
                view = data_view(
                    desk.doorways.data_folder(), entries=desk.context.journal.summary().entries
                )
                desk.ask(view, self._data, self.enter)

    def _front(self, _given: Given) -> None:
        self._desk.show_front()

    # ------------------------------------------------------------ how it looks, who sits here

    def _look(self, given: Given) -> None:
        self._use({name: value for name, value in given.items() if value is not None})
        self.enter()

    def _who(self, given: Given) -> None:
        self._use({"helper_view": given["who"] == "helper"})
        self.enter()

    def _press(self, given: Given) -> None:
        self._use({"pressing": given["pressing"]})
        self.enter()

    def _reminders(self, given: Given) -> None:
        self._use({"reminders": given["reminders"] == "on"})
        self.enter()

    def _aloud(self, given: Given) -> None:
        if given["aloud"] is False:  # there is no voice, and nothing to set
            self._desk.show_front()
            return
        self._use({"reading_aloud": given["aloud"] == "on"})
        self.enter()

    def _use(self, wanted: Given) -> None:
        doorways = self._desk.doorways
        doorways.use_settings(replace(doorways.settings(), **wanted))

    # ------------------------------------------------------------ paper, plan

    def _print_signs(self, _given: Given) -> None:
        sentence = self._desk.doorways.save_stop_list()
        if sentence is not None:
            self._desk.tell(phrase("The stop list"), sentence)

    def _save_calendar(self, _given: Given) -> None:
        sentence = self._desk.doorways.save_calendar()
        if sentence is not None:
            self._desk.tell(phrase("Your calendar file"), sentence)

    def open_plan(self) -> None:
        """Let the person pick a plan file, look at it, and take it in with all it brings."""
        desk = self._desk
        found = desk.doorways.read_plan()
        if found is None:
            return
        if isinstance(found, str):
            desk.tell(phrase("This file was not taken in"), found)
            return
        plan = found.plan if isinstance(found, Diary) else found
        brings = would_bring(desk.context, found)
        view = plan_preview_view(plan, side_changes=brings.side_changes, comes_with=brings.new)
        self._ask_to_take(view, partial(take_in, desk.context, brings))

    def _ask_to_take(self, view: PageView, take: Callable[[], None]) -> None:
        """Take in what was shown on a yes, and on a yes of its own for another knee."""
        desk = self._desk

        def chosen(given: Given) -> None:
            if given["take"] and given.get("another_knee") == "no":
                desk.tell(
                    phrase("Nothing was taken in"),
                    phrase("Your plan stays as it is. Ask your clinic which knee is meant."),
                )
                return
            if given["take"]:
                desk.attempt(take)
            desk.show_front()

        desk.ask(view, chosen, desk.show_front)

    def look_round(self) -> None:
        """Open a second window on an invented person."""
        self._desk.doorways.look_round()

    # ------------------------------------------------------------ data

    def _data(self, given: Given) -> None:
        desk = self._desk
        match given["do"]:
            case "copy":
                sentence = desk.doorways.save_copy()
                if sentence is not None:
                    desk.tell(phrase("A copy of the diary"), sentence)
            case "merge":
                self.take_in_diary()
            case _:
                plan = desk.context.plan()
                person = "" if plan is None else plan.person
                journal = desk.context.journal
                view = delete_view(person, journal.count(), journal.last_day())
                desk.ask(view, self._delete, self.enter)

    def take_in_diary(self) -> None:
        """Let the person pick a diary file, say what it would add, and take it in."""
        desk = self._desk
        found = desk.doorways.read_diary()
        if found is None:
            return
        if isinstance(found, str):
            desk.tell(phrase("This file was not taken in"), found)
            return
        brings = would_bring(desk.context, found)
        if brings.refused is None:
            self._ask_to_take(merge_view(brings), partial(take_in, desk.context, brings))
        else:
            desk.tell(phrase("Nothing was taken in"), refusal_words(brings.refused))

    def _delete(self, given: Given) -> None:
        desk = self._desk
        plan = desk.context.plan()
        if given["do"] == "delete" and plan is not None and given["code"] == plan.person:
            desk.doorways.take_everything_away()
        elif given["do"] == "delete":
            desk.tell(
                phrase("Everything is still here"),
                phrase("The code you wrote is not the code of this diary."),
            )
        else:
            desk.show_front()
