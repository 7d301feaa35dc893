"""What a room of Home may use: the window's pages, the diary, and what lies outside."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol, TypeVar

from companion.care.records import Record, record

if TYPE_CHECKING:
    from companion.care.flow import Given
    from companion.care.records import Diary, Plan, Side
    from companion.presentation.home.record_view import Span
    from companion.presentation.papers.home_sheets import HomePaper
    from companion.presentation.view.chart import DaySpan
    from companion.presentation.view.page import PageView
    from companion.services.context import Context
    from companion.services.doctor import Checked
    from companion.services.second_place import PlaceState, SecondPlace
    from companion.services.settings import Language, Settings
    from companion.services.unsettled import Waiting
    from companion.ui.kit.page import Page

Answered = Callable[["Given"], None]
FileT = TypeVar("FileT")
T = TypeVar("T")
Found = Callable[["FileT | str"], None]
"""Is given what was in a file, or the sentence why it is not taken in; nothing where none was
picked or reading was cancelled. A file is read beside the window."""


class Aside(Protocol):
    """Waits for work without holding the window up, and gives what came of it."""

    def __call__(self, work: Callable[[], T], /) -> T:
        """What `work` gives; raises what it raises."""


def at_once(work: Callable[[], T], /) -> T:
    """The same where nothing has to be shown meanwhile."""
    return work()


@record
class HomeDoorways(Record):
    """What lies outside the window: files a person picks, pages for print, the machine itself.

    Whatever lets the person pick something gives None when nothing was picked, and a sentence
    where it went wrong or to say where it was put.
    """

    read_plan: Callable[[Found[Plan | Diary]], None]
    read_diary: Callable[[Found[Diary]], None]
    open_file: Callable[[str, Found[Plan | Diary], Found[Diary]], None]
    save_visit: Callable[[], str | None]
    save_copy: Callable[[], str | None]
    save_stop_list: Callable[[], str | None]
    save_record: Callable[[Side, Span | DaySpan], str | None]
    save_calendar: Callable[[], str | None]
    save_paper: Callable[[HomePaper], str | None]
    save_papers: Callable[[bool], str | None]
    save_stay: Callable[[int], str | None]
    on_letter_paper: Callable[[], bool]
    may_remind_closed: Callable[[], bool]
    """Whether this desktop has a way to remind while no window is open."""
    remind_closed: Callable[[bool], bool]
    """Let it do so, or no more; whether that went well."""
    has_voice: Callable[[], bool]
    look_over_all: Callable[[Callable[[tuple[Checked, ...]], None]], None]
    settings: Callable[[], Settings]
    use_settings: Callable[[Settings], None]
    languages: Callable[[], tuple[Language, ...]]
    """Those to choose from; none where there is no choice."""
    data_folder: Callable[[], str]
    take_everything_away: Callable[[], None]
    look_round: Callable[[Plan | Diary | None], None]
    mend: Callable[[], None]
    used_before: Callable[[], None]
    moved_away: Callable[[str], None]
    """Everything is in that folder of a stick: from here on it is written on another computer."""
    elsewhere: KeptElsewhere
    beside: Aside = at_once
    """Does what takes a while, and touches no window, beside the window."""


class KeptElsewhere(Protocol):
    """What of the diary is kept outside its folder. What is written there is written beside the
    window; then whoever asked is told: "" or the sentence why it could not be."""

    @property
    def said(self) -> SecondPlace:
        """What was said of a second place."""

    def use(self, said: SecondPlace) -> None:
        """Keep what was said."""

    def standing(self) -> tuple[PlaceState, bool]:
        """Whether the second place is where it was, and whether that is the diary's own disk."""

    def pick(self) -> str | None:
        """Let the person pick a place."""

    def copy_now(self, chosen: str | None, told: Callable[[str], None]) -> None:
        """Write a copy to a place that was picked, from now on, or to the one that is set."""

    def move_away(self, chosen: str, told: Callable[[str, str], None]) -> None:
        """Write everything for another computer; `told` gets the folder's name too."""


class HomeHost(Protocol):
    """The window, as a room sees it."""

    context: Context
    doorways: HomeDoorways

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

    def shown(self) -> Page | None:
        """The page on screen."""

    def tell(self, heading: str, sentence: str) -> None:
        """Show one thing to know, and the way to the front page."""

    def show_front(self) -> None:
        """Go to the front page."""

    def walk(self, name: str) -> None:
        """Begin a walk that is the person's, not one knee's."""

    def put_right(self, entry_id: str, side: Side, came_from: Callable[[], None]) -> None:
        """Correct an entry; `came_from` shows again where it was chosen."""

    def look_over(self) -> Waiting:
        """What in the diary needs a word of the person; the front page says it from then on."""

    def attempt(self, act: Callable[[], object]) -> None:
        """Do something that saves; when the machine fails, say so and offer to try again."""
