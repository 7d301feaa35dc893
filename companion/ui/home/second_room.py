"""A second place for copies, and moving to another computer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.care.flow import Given
from companion.presentation.home.second_place_pages import (
    copied_view,
    move_view,
    second_place_view,
    writing_view,
)
from companion.services.second_place import SecondPlace
from companion.ui.home.desk import HomeHost


class SecondRoom:
    """The pages of what is kept outside the diary's folder. `went_back` leads to where it was
    opened from."""

    def __init__(self, desk: HomeHost, went_back: Callable[[], None]) -> None:
        self._desk = desk
        self._went_back = went_back

    def enter(self, refused: str = "") -> None:
        """What a second place is for, and what is set."""
        elsewhere = self._desk.doorways.elsewhere
        state, same_disk = elsewhere.standing()
        view = second_place_view(elsewhere.said, state, same_disk=same_disk, refused=refused)
        self._desk.ask(view, self._go, self._went_back)

    def _go(self, given: Given) -> None:
        desk, elsewhere = self._desk, self._desk.doorways.elsewhere
        match given["way"]:
            case "choose":
                chosen = elsewhere.pick()
                if chosen is not None:
                    self._copy(chosen)
            case "now":
                self._copy(None)
            case "later":
                said_on = desk.context.clock.today()
                self._say(replace(elsewhere.said, wanted="later", said_on=said_on))
            case "never":
                self._say(replace(elsewhere.said, wanted="never"))
            case _:
                self._say(replace(elsewhere.said, wanted="never", place="", failed=False))

    def _say(self, said: SecondPlace) -> None:
        self._desk.doorways.elsewhere.use(said)
        self._desk.show_front()

    def _copy(self, chosen: str | None) -> None:
        desk, elsewhere = self._desk, self._desk.doorways.elsewhere

        def told(why: str) -> None:
            if why:
                self.enter(why)
            else:
                _state, same_disk = elsewhere.standing()
                view = copied_view(elsewhere.said.place, same_disk=same_disk)
                desk.ask(view, lambda _given: desk.show_front(), self._went_back)

        self._wait()
        elsewhere.copy_now(chosen, told)

    def _wait(self) -> None:
        self._desk.ask(writing_view(), lambda _given: None, self._went_back)

    # ------------------------------------------------------------ another computer

    def move(self, refused: str = "") -> None:
        """Before everything is written for another computer."""
        self._desk.ask(move_view(refused), lambda _given: self._move(), self._went_back)

    def _move(self) -> None:
        desk, elsewhere = self._desk, self._desk.doorways.elsewhere
        chosen = elsewhere.pick()
        if chosen is None:
            return

        def told(folder: str, why: str) -> None:
            if why:
                self.move(why)
            else:
                desk.doorways.moved_away(folder)

        self._wait()
        elsewhere.move_away(chosen, told)
