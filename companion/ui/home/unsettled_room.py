"""What waits for a word of the person: the clock, days written under a wrong one, and what two
computers tell differently."""

from __future__ import annotations

from datetime import date

from companion.care.flow import Given
from companion.care.records import AnyEntry
from companion.presentation.home.unsettled_pages import (
    clock_view,
    other_day_view,
    rivals_view,
    set_clock_view,
    wrong_clock_view,
)
from companion.presentation.language.phrases import phrase
from companion.presentation.language.typed_days import typed_day_before
from companion.services.unsettled import (
    ClockDoubt,
    choose,
    clock_is_right,
    on_day,
    one_episode,
)
from companion.ui.home.desk import HomeHost


class UnsettledRoom:
    """Its pages, one after the other until nothing waits or the person goes back."""

    def __init__(self, host: HomeHost) -> None:
        self._host = host

    def ask_clock(self, doubt: ClockDoubt) -> None:
        """Ask whether the clock is right, before anything else."""

        def answered(submitted: Given) -> None:
            if submitted["clock"] == "right":
                self._host.attempt(self._right)
            else:
                self._host.ask(set_clock_view(doubt), again, lambda: self.ask_clock(doubt))

        def again(_submitted: Given) -> None:
            self._host.show_front()

        self._host.ask(clock_view(doubt), answered, lambda: None)

    def enter(self) -> None:
        """The next thing that waits; the front page when nothing does."""
        found = self._host.look_over()
        if found.wrong_clock:
            self._ask_day(one_episode(found.wrong_clock))
        elif found.rivals:
            self._ask_rivals(found.rivals)
        else:
            self._host.show_front()

    def _right(self) -> None:
        clock_is_right(self._host.context)
        self.enter()

    def _ask_day(self, entries: tuple[AnyEntry, ...]) -> None:
        today = self._host.context.clock.today()

        def answered(submitted: Given) -> None:
            if submitted["day"] == "other":
                self._ask_other_day(entries)
            else:
                self._put(entries, date.fromisoformat(str(submitted["day"])))

        self._host.ask(wrong_clock_view(entries, today), answered, self._host.show_front)

    def _ask_other_day(self, entries: tuple[AnyEntry, ...], said: str = "") -> None:
        def answered(submitted: Given) -> None:
            typed = str(submitted.get("day") or "")
            day = typed_day_before(typed, self._host.context.clock.today())
            if day is None:
                no_day = phrase("That is no day. Write day, month and year, such as 2.11.2026.")
                self._ask_other_day(entries, no_day)
            else:
                self._put(entries, day)

        view = other_day_view(entries, said)
        self._host.ask(view, answered, lambda: self._ask_day(entries))

    def _put(self, entries: tuple[AnyEntry, ...], day: date) -> None:
        def put() -> None:
            on_day(self._host.context, entries, day)
            self.enter()

        try:
            self._host.attempt(put)
        except ValueError:
            self._ask_other_day(entries, phrase("That day is still to come. Write an earlier one."))

    def _ask_rivals(self, groups: tuple[tuple[AnyEntry, ...], ...]) -> None:
        group = groups[0]

        def answered(submitted: Given) -> None:
            def put() -> None:
                choose(self._host.context, group, str(submitted["keep"]))
                self.enter()

            self._host.attempt(put)

        view = rivals_view(group, self._host.context.catalogue, len(groups) - 1)
        self._host.ask(view, answered, self._host.show_front)
