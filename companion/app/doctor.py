"""Whether all is well, for a terminal, for programs and for a page of Settings."""

from __future__ import annotations

import contextlib
import json
import platform
from collections.abc import Callable, Generator
from pathlib import Path
from typing import TYPE_CHECKING

from companion import __version__
from companion.app.exits import DONE, REFUSED
from companion.journal.health import store_health
from companion.presentation.home.doctor_pages import checked_lines, subject_words
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.services.doctor import Checked, DiaryFolder, Machine, all_checked
from companion.services.second_place import FILE, read_second_place
from companion.system.clock import Clock
from companion.system.font_files import FontFileError, font_files
from companion.system.machine import can_write, free_bytes, others_may_look
from companion.system.settings import SettingsFile

if TYPE_CHECKING:
    from companion.ui.kit.window import PageWindow


def look(folder: Path, clock: Clock, *, display: bool, as_json: bool) -> int:
    """Print how everything is; the exit code: REFUSED where something is to be mended."""
    from PySide6.QtGui import QGuiApplication

    application = QGuiApplication.instance() or QGuiApplication(["homeknee"])
    checked = looked_over(folder, _machine(display=display), clock)
    del application
    well = all(one.state != "to_mend" for one in checked)
    print(_object(checked, well=well) if as_json else "\n".join(checked_lines(checked)))
    return DONE if well else REFUSED


def looked_over(folder: Path, machine: Machine, clock: Clock) -> tuple[Checked, ...]:
    """Everything that is told. Reads the whole store and its newest copy, so a window has it done
    beside itself. Writes nothing. Raises OSError where the disk fails."""
    kept = DiaryFolder(
        can_write=can_write(folder),
        others_may_look=others_may_look(folder),
        free_bytes=free_bytes(folder),
        store=store_health(folder),
        elsewhere=read_second_place(SettingsFile(folder, FILE)),
    )
    return all_checked(kept, machine, clock)


def look_in_window(
    window: PageWindow, folder: Path, clock: Clock, told: Callable[[tuple[Checked, ...]], None]
) -> None:
    """Look at everything beside the window, under a sheet with Cancel, and tell."""
    from companion.ui.kit.reading_sheet import read_under_sheet

    machine = _machine(display=True)

    def steps() -> Generator[int, None, tuple[Checked, ...]]:
        yield 0
        return looked_over(folder, machine, clock)

    read_under_sheet(window, phrase("the diary and its copies"), steps(), told, note="")


def _machine(*, display: bool) -> Machine:
    from PySide6 import __version__ as toolkit
    from PySide6.QtPrintSupport import QPrinterInfo

    from companion.ui.kit.voice import find_voice

    fonts = False
    with contextlib.suppress(FontFileError):
        fonts = bool(font_files())
    return Machine(
        program=__version__,
        python=platform.python_version(),
        toolkit=toolkit,
        fonts=fonts,
        display=display,
        printers=len(QPrinterInfo.availablePrinterNames()),
        voice=find_voice() is not None,
    )


def _object(checked: tuple[Checked, ...], *, well: bool) -> str:
    """One JSON object: codes for programs, and the words a person would be told."""
    return json.dumps(
        {
            "well": well,
            "checks": [
                {
                    "check": one.subject,
                    "name": subject_words(one.subject),
                    "state": one.state,
                    "code": one.said.code,
                    "values": {name: _plain(value) for name, value in one.said.values},
                    "words": said_words(one.said),
                    "remedy": None if one.remedy is None else said_words(one.remedy),
                }
                for one in checked
            ],
        },
        ensure_ascii=False,
        indent=1,
    )


def _plain(value: object) -> str | int | float:
    return value if isinstance(value, str | int | float) else str(value)
