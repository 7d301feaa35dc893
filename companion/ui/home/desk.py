"""What a room of Home may use: the window's pages, the diary, and what lies outside."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from companion.care.flow import Given

if TYPE_CHECKING:
    from companion.care.records import Diary, Plan, Side
    from companion.presentation.home.record_view import Span
    from companion.presentation.view.chart import DaySpan
    from companion.presentation.view.page import PageView
    from companion.services.context import Context
    from companion.services.settings import Settings
    from companion.ui.kit.page import Page

Answered = Callable[[Given], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Doorways:
    """What lies outside the window: files a person picks, pages for print, the machine itself.

    Whatever lets the person pick something gives None when nothing was picked, and a sentence
    where it went wrong or to say where it was put.
    """

    read_plan: Callable[[], Plan | Diary | str | None]
    read_diary: Callable[[], Diary | str | None]
    save_visit: Callable[[], str | None]
    save_copy: Callable[[], str | None]
    save_stop_list: Callable[[], str | None]
    save_record: Callable[[Side, Span | DaySpan], str | None]
    save_calendar: Callable[[], str | None]
    save_booklet: Callable[[], str | None]
    save_cutting_sheet: Callable[[], str | None]
    has_voice: Callable[[], bool]
    settings: Callable[[], Settings]
    use_settings: Callable[[Settings], None]
    data_folder: Callable[[], str]
    take_everything_away: Callable[[], None]
    look_round: Callable[[], None]
    mend: Callable[[], None]


class Desk(Protocol):
    """The window, as a room sees it."""

    context: Context
    doorways: Doorways

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

    def show(self, page: Page, went_back: Callable[[], None]) -> None:
        """Show a page of the room's own making."""

    def tell(self, heading: str, sentence: str) -> None:
        """Show one thing to know, and the way to the front page."""

    def show_front(self) -> None:
        """Go to the front page."""

    def walk(self, name: str) -> None:
        """Begin a walk that is the person's, not one knee's."""

    def attempt(self, act: Callable[[], object]) -> None:
        """Do something that saves; when the machine fails, say so and offer to try again."""
