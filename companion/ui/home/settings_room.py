"""Settings and help."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from companion.care.flow import Given
from companion.care.open_things import went_back
from companion.care.records import Diary, Plan, WrittenBy
from companion.presentation.home.home_pages import draft_view, plan_before_view, plan_preview_view
from companion.presentation.home.language_pages import language_view
from companion.presentation.home.numbers import plan_here
from companion.presentation.home.plan_news import becomes_lines, news_lines
from companion.presentation.home.settings_pages import (
    about_view,
    aloud_view,
    calendar_view,
    data_view,
    delete_view,
    look_view,
    merge_view,
    motion_view,
    numbers_view,
    press_view,
    reminders_view,
    settings_view,
    signs_view,
    way_view,
    who_view,
)
from companion.presentation.language.open_sign_words import home_answers
from companion.presentation.language.phrases import phrase
from companion.presentation.language.troubles import refusal_words
from companion.presentation.view.page import PageView
from companion.services.doctor import Checked
from companion.services.journeys import journey_told
from companion.services.open_now import open_now
from companion.services.plan_before import go_back, go_on, may_go_back
from companion.services.settings import Settings
from companion.services.taking_in import (
    drop_waiting,
    keep_waiting,
    take_in,
    waiting,
    would_bring,
)
from companion.ui.home.desk import HomeHost
from companion.ui.home.journey_room import JourneyRoom
from companion.ui.home.second_room import SecondRoom

_SET: dict[str, tuple[Callable[[Settings], PageView], Callable[[Given], Given]]] = {
    "look": (
        look_view,
        lambda given: {name: value for name, value in given.items() if value is not None},
    ),
    "who": (who_view, lambda given: {"helper_view": given["who"] == "helper"}),
    "press": (press_view, lambda given: {"pressing": given["pressing"]}),
    "way": (way_view, lambda given: {"long_way": given["way"] == "long"}),
    "motion": (motion_view, lambda given: {"moving": given["motion"]}),
}
"""What is set on a page of its own: that page, and the settings that its answers stand for."""


class SettingsRoom:
    """The pages behind the door Settings and help."""

    def __init__(self, desk: HomeHost) -> None:
        self._desk = desk

    def enter(self) -> None:
        """The list of what there is."""
        settings = self._desk.doorways.settings()
        context = self._desk.context
        view = settings_view(
            settings,
            has_plan=context.plan() is not None,
            may_go_back=may_go_back(context) is not None,
            languages=self._desk.doorways.languages(),
        )
        self._desk.ask(view, self._go, self._desk.show_front)

    def _go(self, submitted: Given) -> None:
        desk = self._desk
        plan = desk.context.plan()
        straight = {
            "plan": self.open_plan,
            "plan_before": self.plan_before,
            "practice": self.look_round,
        }
        if submitted["room"] in straight:
            straight[submitted["room"]]()
            return
        match submitted["room"]:
            case room if room in _SET:
                view, _ = _SET[room]
                desk.ask(view(desk.doorways.settings()), partial(self._set, room), self.enter)
            case "language":
                told = language_view(desk.doorways.settings(), desk.doorways.languages())
                desk.ask(told, self._language, self.enter)
            case "numbers" if plan is not None:
                desk.ask(numbers_view(self._here(plan)), self._front, self.enter)
            case "signs" if plan is not None:
                signs = signs_view(self._here(plan), desk.context.catalogue)
                saved = partial(self._tell, phrase("The stop list"), desk.doorways.save_stop_list)
                desk.ask(signs, lambda _given: saved(), self.enter)
            case "papers":
                from companion.ui.home.papers_room import PapersRoom

                PapersRoom(desk).enter()
            case "journey" if plan is not None:
                JourneyRoom(desk, self.enter).enter()
            case "reminders":
                may = desk.doorways.may_remind_closed()
                told = reminders_view(desk.doorways.settings(), may_remind_closed=may)
                desk.ask(told, self._reminders, self.enter)
            case "calendar" if plan is not None:
                doorway = desk.doorways.save_calendar
                saved = partial(self._tell, phrase("Your calendar file"), doorway)
                desk.ask(calendar_view(), lambda _given: saved(), self.enter)
            case "aloud":
                has_voice = desk.doorways.has_voice()
                aloud = aloud_view(desk.doorways.settings(), has_voice=has_voice)
                desk.ask(aloud, self._aloud, self.enter)
            case "all_well":
                desk.doorways.look_over_all(self._looked_over)
            case "about":
                desk.ask(about_view(desk.context.catalogue, plan), self._front, self.enter)
            case _:
                self._show_data()

    def _here(self, plan: Plan) -> Plan:
        """The plan with the numbers of where the person is."""
        context = self._desk.context
        return plan_here(plan, journey_told(context), context.clock.today())

    def _show_data(self) -> None:
        desk = self._desk
        view = data_view(
            desk.doorways.data_folder(),
            entries=desk.context.journal.summary().entries,
            has_plan=desk.context.plan() is not None,
        )
        desk.ask(view, self._data, self.enter)

    def _looked_over(self, checked: tuple[Checked, ...]) -> None:
        from companion.presentation.home.doctor_pages import doctor_view

        self._desk.ask(doctor_view(checked), self._front, self.enter)

    def _front(self, _given: Given) -> None:
        self._desk.show_front()

    # ------------------------------------------------------------ how it looks, who sits here

    def _set(self, room: str, submitted: Given) -> None:
        _, wanted = _SET[room]
        self._use(wanted(submitted))
        self.enter()

    def _language(self, submitted: Given) -> None:
        self._use({"language": submitted["language"]})
        self.enter()

    def _reminders(self, submitted: Given) -> None:
        said = submitted["reminders"]
        self._use({"reminders": said != "off", "ring": said == "ring"})
        closed, doorways = submitted.get("when_closed"), self._desk.doorways
        if closed is not None and not doorways.remind_closed(closed == "on" and said != "off"):
            self._use({"when_closed": False})
            self._desk.tell(
                phrase("Reminders"),
                phrase("Your desktop did not take it on. Save the calendar file, it rings."),
            )
            return
        if closed is not None:
            self._use({"when_closed": closed == "on"})
        self.enter()

    def _aloud(self, submitted: Given) -> None:
        if submitted["aloud"] is False:  # there is no voice, and nothing to set
            self._desk.show_front()
            return
        pace = submitted.get("speaking") or self._desk.doorways.settings().speaking
        self._use({"reading_aloud": submitted["aloud"] == "on", "speaking": pace})
        self.enter()

    def _use(self, wanted: Given) -> None:
        doorways = self._desk.doorways
        doorways.use_settings(replace(doorways.settings(), **wanted))

    # ------------------------------------------------------------ paper, plan

    def _tell(self, heading: str, save: Callable[[], str | None]) -> None:
        """Save something, and say where it is where that was picked."""
        sentence = save()
        if sentence is not None:
            self._desk.tell(heading, sentence)

    def open_plan(self) -> None:
        """Let the person pick a plan file, look at it, and take it in with all it brings."""
        self._desk.doorways.read_plan(self._plan_read)

    def _plan_read(self, found: Plan | Diary | str) -> None:
        desk = self._desk
        if isinstance(found, str):
            desk.tell(phrase("This file was not taken in"), found)
            return
        plan = found.plan if isinstance(found, Diary) else found
        brings = desk.doorways.beside(lambda: would_bring(desk.context, found))
        if brings.refused is not None:
            self._look_round_with(found, refusal_words(brings.refused))
            return
        so_far, context = desk.context.plan(), desk.context
        view = plan_preview_view(
            plan,
            side_changes=brings.side_changes,
            comes_with=brings.new,
            of_signs=home_answers(plan, context.catalogue),
            news=None if so_far is None else news_lines(so_far, plan, context.catalogue),
            becomes=()
            if so_far is None
            else becomes_lines(plan, open_now(context, so_far), context.clock.now()),
        )
        if so_far is not None:
            desk.attempt(lambda: keep_waiting(context, found))

        def leave() -> None:
            drop_waiting(context)

        self._ask_to_take(view, partial(take_in, desk.context, brings), leave)

    def plan_before(self) -> None:
        """Back to the plan before for today, or on by the new one."""
        desk, context = self._desk, self._desk.context
        by: WrittenBy = "helper" if desk.doorways.settings().helper_view else "person"
        before, going = may_go_back(context), went_back(context.entries, context.clock.today())
        plan = before or context.plan()
        if plan is None:
            desk.show_front()
            return

        def chosen(submitted: Given) -> None:
            if submitted["go"]:
                desk.attempt(lambda: go_on(context, by) if going else go_back(context, by))
            desk.show_front()

        view = plan_before_view(plan, going=going is not None)
        desk.ask(view, chosen, desk.show_front)

    def look_at_waiting(self) -> None:
        """The plan that came and was neither taken in nor left."""
        found = waiting(self._desk.context)
        if found is None:
            self._desk.show_front()
        else:
            self._plan_read(found)

    def _look_round_with(self, draft: Plan | Diary, why: str) -> None:
        """A plan nobody signed is not taken in beside a signed one: it opens in a look round."""
        desk = self._desk

        def chosen(submitted: Given) -> None:
            if submitted["look"]:
                desk.doorways.look_round(draft)
            desk.show_front()

        desk.ask(draft_view(why), chosen, desk.show_front)

    def _ask_to_take(
        self, view: PageView, take: Callable[[], None], leave: Callable[[], None] | None = None
    ) -> None:
        """Take in what was shown on a yes, and on a yes of its own for another knee; with a no
        `leave` it."""
        desk = self._desk

        def chosen(submitted: Given) -> None:
            if submitted["take"] and submitted.get("another_knee") == "no":
                desk.tell(
                    phrase("Nothing was taken in"),
                    phrase("Your plan stays as it is. Ask your clinic which knee is meant."),
                )
                return
            if submitted["take"] and submitted.get("becomes") == "no":
                desk.tell(
                    phrase("Nothing was taken in"),
                    phrase("Your plan stays as it is. Ask your clinic what to do first."),
                )
                return
            if submitted["take"]:
                desk.attempt(lambda: desk.doorways.beside(take))
                desk.look_over()
            if leave is not None:
                desk.attempt(leave)
            desk.show_front()

        desk.ask(view, chosen, desk.show_front)

    def look_round(self) -> None:
        """Open a second window on an invented person."""
        self._desk.doorways.look_round(None)

    # ------------------------------------------------------------ data

    def _data(self, submitted: Given) -> None:
        desk = self._desk
        match submitted["do"]:
            case "copy":
                self._tell(phrase("A copy of the diary"), desk.doorways.save_copy)
            case "second":
                SecondRoom(desk, self._show_data).enter()
            case "move":
                SecondRoom(desk, self._show_data).move()
            case "merge":
                self.take_in_diary()
            case _:
                plan = desk.context.plan()
                person = "" if plan is None else plan.person
                journal = desk.context.journal
                view = delete_view(person, journal.count(), journal.last_day())
                desk.ask(view, self._delete, self.enter)

    def take_in_file(self, file: str) -> None:
        """Look at a file that was handed in, a plan or a diary, and take it in."""
        self._desk.doorways.open_file(file, self._plan_read, self._diary_read)

    def take_in_diary(self) -> None:
        """Let the person pick a diary file, say what it would add, and take it in."""
        self._desk.doorways.read_diary(self._diary_read)

    def _diary_read(self, found: Diary | str) -> None:
        desk = self._desk
        if isinstance(found, str):
            desk.tell(phrase("This file was not taken in"), found)
            return
        brings = desk.doorways.beside(lambda: would_bring(desk.context, found))
        if brings.refused is None:
            view = merge_view(brings, left_out=found.left_out)
            self._ask_to_take(view, partial(take_in, desk.context, brings))
        else:
            desk.tell(phrase("Nothing was taken in"), refusal_words(brings.refused))

    def _delete(self, submitted: Given) -> None:
        desk = self._desk
        plan = desk.context.plan()
        if submitted["do"] == "delete" and plan is not None and submitted["code"] == plan.person:
            desk.doorways.take_everything_away()
        elif submitted["do"] == "delete":
            desk.tell(
                phrase("Everything is still here"),
                phrase("The code you wrote is not the code of this diary."),
            )
        else:
            desk.show_front()
