"""How the windows look on this machine: size of text, colours, where they stand; read and kept."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, Qt, QTimer
from PySide6.QtWidgets import QApplication, QWidget

from companion.presentation.language.phrases import forms, spoken
from companion.presentation.view.drawn_people import draw_person
from companion.services.settings import (
    ENGLISH,
    TEXT_PERCENTS,
    Language,
    Paper,
    Settings,
    keep,
    language_of,
    read_settings,
)
from companion.services.trouble import Trouble
from companion.system.machine import desktop_languages, keeps_languages_elsewhere
from companion.system.resources import resource, whole_languages
from companion.system.settings import SettingsFile
from companion.ui.kit.keys import use_single_keys
from companion.ui.kit.presses import SETTLE_SECONDS, Presses, use_presses
from companion.ui.kit.theme import PALETTES, Theme, apply, current, grown
from companion.ui.kit.window import PageWindow

if TYPE_CHECKING:
    from companion.app.desktop_wishes import Wishes

PLACE_FILE = "window.json"
ICON_AFTER_MS = 200
"""So long after the first paint the icon is loaded, and with it what draws it (C)."""
DESKTOP_NAME = "homeknee"
"""Of the desktop's entry, by which it knows whose a window is (resources/desktop)."""


def name_program(application: QApplication, title: str) -> None:
    """Say which program this is, to the desktop and on its windows."""
    application.setApplicationName(DESKTOP_NAME)
    application.setApplicationDisplayName(title)
    application.setDesktopFileName(DESKTOP_NAME)


class Looks:
    """The settings of this machine, and what they do to the screen."""

    def __init__(
        self, application: QApplication, folder: Path, language: str | None = None
    ) -> None:
        """`language` goes before the one that is set, until another is chosen."""
        self._language = language
        self._tag = ENGLISH
        self._application = application
        self.folder = folder
        self._file = SettingsFile(folder)
        self._window: QWidget | None = None
        self.settings = read_settings(self._file)
        self._paper: Paper = "guess"
        self._still = False
        self._least_percent = TEXT_PERCENTS[0]
        self._apply()

    def use(self, settings: Settings) -> None:
        """Use these from now on, and keep them; a machine that cannot keep them still uses them."""
        from companion.ui.kit.background import beside

        if settings.language != self.settings.language:
            self._language = None
        pressing = self.settings.pressing
        self.settings = settings
        self._apply()
        if settings.pressing != pressing:
            self.settle_presses()
        with contextlib.suppress(Trouble):
            beside(lambda: keep(self._file, settings))

    def languages(self) -> tuple[Language, ...]:
        """The languages there are to choose from; none where English is the only one."""
        if not whole_languages():
            return ()
        from companion.app.languages import offered

        return offered()

    def asks_language(self) -> bool:
        """Whether the language is to be asked for: nothing was ever set here, and there are
        several."""
        return bool(whole_languages()) and self._language is None and not self._file.read()

    def settle_presses(self) -> None:
        """Let presses count as is set here."""
        use_presses(Presses(SETTLE_SECONDS[self.settings.pressing]))

    def follow(self, window: PageWindow) -> None:
        """Let the type grow with this window where it is large."""
        self._window = window
        window.resized.connect(self._grow)
        window.destroyed.connect(self._window_gone)
        self._grow()

    def follow_system(self, window: QWidget) -> None:
        """Turn light, dark or high in contrast with the machine, as long as there is a window."""
        wishes = self._application.styleHints()
        wishes.colorSchemeChanged.connect(self._system_turned)
        wishes.accessibility().contrastPreferenceChanged.connect(self._contrast_turned)
        window.destroyed.connect(self._leave_system)

    def follow_wishes(self, window: PageWindow, address: str | None = None) -> None:
        """Let pictures stand still and text be larger where the desktop asks for it: asked once
        the window was painted, of the bus at an address or of the session's."""

        def listen() -> None:
            from companion.app.desktop_wishes import DesktopWishes

            DesktopWishes(self._wishes_told, window).listen(address)

        window.first_painted.connect(lambda: QTimer.singleShot(0, window, listen))

    def _wishes_told(self, wishes: Wishes) -> None:
        self._still = wishes.still
        # The largest that is whole on every page; what is set here goes up to it too.
        self._least_percent = min(wishes.text_percent, TEXT_PERCENTS[-1])
        self._grow()

    def place(self, window: PageWindow, width: int, height: int) -> None:
        """Put a window where it was when it was last closed; the first time in this size."""
        kept = SettingsFile(self.folder, PLACE_FILE).read().get("geometry")
        if not (
            isinstance(kept, str)
            and kept.isascii()
            and window.restoreGeometry(QByteArray.fromBase64(QByteArray(kept.encode())))
        ):
            window.fit(width, height)
        window.first_painted.connect(
            lambda: QTimer.singleShot(ICON_AFTER_MS, window, lambda: give_icon(window))
        )

    def keep_place(self, window: PageWindow) -> None:
        """Remember where a window stands. A machine that cannot keeps nobody from closing it."""
        at = window.saveGeometry().toBase64().toStdString()
        with contextlib.suppress(OSError):
            SettingsFile(self.folder, PLACE_FILE).write({"geometry": at})

    def _system_turned(self, _scheme: Qt.ColorScheme) -> None:
        self._grow()

    def _contrast_turned(self, _preference: Qt.ContrastPreference) -> None:
        self._grow()

    def _window_gone(self) -> None:
        self._window = None

    def _leave_system(self) -> None:
        """The program outlives its window by a moment: nothing is looked for in it any more."""
        wishes = self._application.styleHints()
        wishes.colorSchemeChanged.disconnect(self._system_turned)
        wishes.accessibility().contrastPreferenceChanged.disconnect(self._contrast_turned)

    def _grow(self) -> None:
        if self._theme() != current():
            self._apply()

    def _speak(self) -> None:
        """Say everything in the language that is meant. Pages that are made from here on follow."""
        tag = self._language or language_of(
            self.settings.language, _desktop_languages(), whole_languages
        )
        if tag == self._tag:
            return
        from PySide6.QtCore import QLocale

        from companion.app.languages import follow

        follow(tag)
        self._tag = tag
        QLocale.setDefault(QLocale(spoken()))
        leads = Qt.LayoutDirection
        self._application.setLayoutDirection(
            leads.RightToLeft if forms().right_to_left else leads.LeftToRight
        )

    def _apply(self) -> None:
        self._speak()
        use_single_keys(self.settings.single_keys)
        apply(self._application, self._theme())
        draw_person(self.settings.drawn_person)
        paper = self.settings.paper
        if self._paper != paper:  # not on the way to the first paint, where nothing was set
            from companion.paper.paper_size import use_paper

            self._paper = paper
            use_paper(paper)

    def _theme(self) -> Theme:
        percent = max(self.settings.text_percent, self._least_percent)
        if self._window is not None:
            percent = grown(percent, self._window.width(), self._window.height())
        skin, motion = self.settings.skin_tone, self.settings.moving
        moves = motion == "moves" or (motion == "computer" and not self._still)
        return Theme(PALETTES[self._palette_name()], percent, skin, moves)

    def _palette_name(self) -> str:
        if self.settings.colours != "computer":
            return self.settings.colours
        if self._contrast() == Qt.ContrastPreference.HighContrast:
            return "high_contrast"
        wish = self._application.styleHints().colorScheme()
        return "dark" if wish == Qt.ColorScheme.Dark else "light"

    def _contrast(self) -> Qt.ContrastPreference:
        """What contrast this machine is set to."""
        wishes = self._application.styleHints()  # held: what it gives goes with it
        return wishes.accessibility().contrastPreference()


def _desktop_languages() -> tuple[str, ...]:
    said = desktop_languages()
    if said or not keeps_languages_elsewhere():
        return said
    from PySide6.QtCore import QLocale

    return tuple(QLocale.system().uiLanguages())


def give_icon(window: PageWindow) -> None:
    """The icon of the program."""
    from PySide6.QtGui import QIcon

    window.setWindowIcon(QIcon(str(resource("desktop", "homeknee.svg"))))
