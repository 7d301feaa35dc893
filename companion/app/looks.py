"""How the windows look on this machine: size of text and colours, read, applied and kept."""

from __future__ import annotations

import contextlib
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from companion.services.settings import Settings, keep, read_settings
from companion.services.trouble import Trouble
from companion.system.settings import SettingsFile
from companion.ui.kit.presses import SETTLE_SECONDS, Presses, use_presses
from companion.ui.kit.theme import PALETTES, Theme, apply


class Looks:
    """The settings of this machine, and what they do to the screen."""

    def __init__(self, application: QApplication, folder: Path) -> None:
        self._application = application
        self.folder = folder
        self._file = SettingsFile(folder)
        self.settings = read_settings(self._file)
        self._apply()

    def use(self, settings: Settings) -> None:
        """Use these from now on, and keep them; a machine that cannot keep them still uses them."""
        pressing = self.settings.pressing
        self.settings = settings
        self._apply()
        if settings.pressing != pressing:
            self.settle_presses()
        with contextlib.suppress(Trouble):
            keep(self._file, settings)

    def settle_presses(self) -> None:
        """Let presses count as is set here."""
        use_presses(Presses(SETTLE_SECONDS[self.settings.pressing]))

    def _apply(self) -> None:
        palette = PALETTES[self._palette_name()]
        apply(self._application, Theme(palette, self.settings.text_percent))

    def _palette_name(self) -> str:
        if self.settings.colours != "computer":
            return self.settings.colours
        wish = self._application.styleHints().colorScheme()
        return "dark" if wish == Qt.ColorScheme.Dark else "light"
