"""What a room of the clinic may use: the window's pages, the practice, and what lies outside."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from datetime import date

    from companion.care.catalogue import Catalogue
    from companion.care.flow import Given
    from companion.presentation.view.page import PageView
    from companion.services.clinic_papers import DrawHomePapers, DrawPaper
    from companion.services.practice import Practice
    from companion.services.settings import Language, Settings
    from companion.ui.clinic.clinic_page import ClinicPage
    from companion.ui.kit.page import Page


@dataclass(frozen=True, slots=True, kw_only=True)
class ClinicDoorways:
    """Places a person picks, the settings of this machine, and what draws on paper. None: nothing
    was picked.

    `pick_file` and `pick_folder` open the machine's own window, for what is read; `save_as` and
    `folder_for` lead through doors to where a file, or several, of a name go. `show_saved` then
    says where they are, and prints what is drawn. `print_out` is given a name and what draws; it
    gives what came of it.
    """

    pick_file: Callable[[], str | None]
    pick_folder: Callable[[str], str | None]
    save_as: Callable[[str], str | None]
    folder_for: Callable[[str], str | None]
    show_saved: Callable[[str, Callable[[], object] | None], None]
    settings: Callable[[], Settings]
    use_settings: Callable[[Settings], None]
    languages: Callable[[], tuple[Language, ...]]
    """Those to choose from; none where there is no choice."""
    draw_paper: DrawPaper
    draw_home_papers: DrawHomePapers
    print_out: Callable[[str, Callable[[], object]], str]
    on_letter_paper: Callable[[], bool]
    draw_wording: Callable[[Catalogue, date], bytes]


class ClinicHost(Protocol):
    """The window, as a room sees it."""

    practice: Practice
    doorways: ClinicDoorways

    def ask(
        self,
        view: PageView,
        answered: Callable[[Given], None],
        went_back: Callable[[], None],
        stopped: Callable[[], None] | None = None,
    ) -> None:
        """Show a page; `answered` gets what was given, `stopped` hears of its Stop."""

    def show(self, page: Page) -> None:
        """Show a page of the room's own making."""

    def show_over(self, page: ClinicPage) -> None:
        """Lay a page over the one on screen; its Back takes it away."""

    def tell(self, heading: str, sentence: str) -> None:
        """Show one thing to know, and the way back to the list."""

    def changed(self, codes: frozenset[str]) -> None:
        """A service changed these people's diaries: what shows one of them is made anew."""
