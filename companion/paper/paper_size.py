"""Which size of paper this machine prints on: as it is set here, else as far as one can guess."""

from __future__ import annotations

from typing import Literal

from PySide6.QtCore import QLocale
from PySide6.QtGui import QPageSize

from companion.system.machine import paper_locale, paper_said

LETTER_PAPER = ("BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
"""Where paper is Letter rather than A4 (fact: letter_paper)."""
PaperSize = Literal["guess", "a4", "letter"]
_used: list[PaperSize] = ["guess"]


def use_paper(size: PaperSize) -> None:
    """Draw on this size from now on."""
    _used[0] = size


def on_letter_paper() -> bool:
    """Whether papers are Letter: as it was set here, as this machine is set, or where it stands."""
    if _used[0] != "guess":
        return _used[0] == "letter"
    said = paper_said()
    if said is not None:
        return said == "letter"
    zone = paper_locale()
    locale = QLocale.system() if zone is None else QLocale(zone)
    return QLocale.territoryToCode(locale.territory()) in LETTER_PAPER


def page_size(*, letter: bool) -> QPageSize:
    """The size for the toolkit."""
    return QPageSize(QPageSize.PageSizeId.Letter if letter else QPageSize.PageSizeId.A4)
