"""What lies outside the clinic's window, and what its rooms may use."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from companion.exchange.case_files import CaseFolder
from companion.journal.drafts import DraftFolder
from companion.journal.people import PeopleStore
from companion.presentation.language.phrases import phrase
from companion.system.clock import Clock
from companion.system.settings import Settings

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue


@dataclass(frozen=True, slots=True, kw_only=True)
class Doorways:
    """Files a person picks, and the settings of this machine. None: nothing was picked.

    `pick_folder` is given what the folder is for, `save_as` the name to offer.
    """

    pick_file: Callable[[], str | None]
    pick_folder: Callable[[str], str | None]
    save_as: Callable[[str], str | None]
    settings: Callable[[], Settings]
    use_settings: Callable[[Settings], None]


@dataclass(slots=True, kw_only=True)
class Practice:
    """The clinic's own things: the list, the folder it is made from, the plans that are half
    written, the clock, the trade."""

    people: PeopleStore
    folder: CaseFolder
    drafts: DraftFolder
    clock: Clock
    catalogue: Callable[[], Catalogue]


def not_saved(fault: OSError) -> str:
    """The sentence for a place that could not be written to."""
    return phrase(
        "It could not be saved there ({why}). Nothing is lost. Choose another place.",
        why=(fault.strerror or phrase("unknown trouble")).lower(),
    )
