"""Reading a page aloud, where this computer has a voice. Nothing needs it or waits for it.

The toolkit's speech is an extra of this program (`speech`): it is loaded when reading aloud is
wanted, and where it is missing, or knows no voice, there is no button.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from PySide6.QtCore import QObject, Slot

from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow

SILENT_ENGINES = frozenset({"mock", "none"})
"""Engines of the toolkit that make no sound."""


class Voice(Protocol):
    """What speaks."""

    def say(self, text: str) -> None:
        """Begin to speak; what was being said is left off."""

    def stop(self) -> None:
        """Be silent at once."""

    def is_speaking(self) -> bool:
        """Whether anything is being said now."""


FindVoice = Callable[[], Voice | None]


class SpokenVoice:
    """The toolkit's speech as a voice."""

    def __init__(self, speech: QObject, silent: tuple[object, ...]) -> None:
        self._speech = speech
        self._silent = silent

    def say(self, text: str) -> None:
        """Begin to speak."""
        self._speech.say(text)  # type: ignore[attr-defined]

    def stop(self) -> None:
        """Be silent at once."""
        self._speech.stop()  # type: ignore[attr-defined]

    def is_speaking(self) -> bool:
        """Whether anything is being said now."""
        return self._speech.state() not in self._silent  # type: ignore[attr-defined]


def find_voice() -> Voice | None:
    """The voice of this computer; None where the extra, an engine or a voice is missing."""
    try:
        from PySide6 import QtTextToSpeech
    except ImportError:
        return None
    kind = QtTextToSpeech.QTextToSpeech
    engines = [name for name in kind.availableEngines() if name not in SILENT_ENGINES]
    for name in engines:
        speech = kind(name)
        if speech.state() != kind.State.Error and speech.availableVoices():
            return SpokenVoice(speech, (kind.State.Ready, kind.State.Error))
    return None


class ReadingAloud(QObject):
    """Puts Read aloud on each page of a window while it is `wanted` and a voice is found.

    Pressing it reads the page; pressing it again, or going on, is silence.
    """

    def __init__(
        self, window: PageWindow, wanted: Callable[[], bool], find: FindVoice = find_voice
    ) -> None:
        super().__init__(window)
        self._window = window
        self._wanted = wanted
        self._find = find
        self._voice: Voice | None = None
        self._looked = False
        window.page_shown.connect(self._offer)
        window.sheet_shown.connect(self._offer)
        page = window.page()
        if page is not None:
            self._offer(page)

    def voice(self) -> Voice | None:
        """The voice, looked for once."""
        if not self._looked:
            self._looked = True
            self._voice = self._find()
        return self._voice

    def stop(self) -> None:
        """Be silent."""
        if self._voice is not None:
            self._voice.stop()

    @Slot(object)
    def _offer(self, page: Page) -> None:
        self.stop()
        if self._wanted() and self.voice() is not None:
            page.offer_reading_aloud()
            page.read_aloud_wanted.connect(self._read)
            page.say_wanted.connect(self._say)

    @Slot(str)
    def _say(self, words: str) -> None:
        if self._voice is not None:
            self._voice.say(words)

    @Slot()
    def _read(self) -> None:
        page = self._window.sheet() or self._window.page()
        if self._voice is None or page is None:
            return
        if self._voice.is_speaking():
            self._voice.stop()
        else:
            self._voice.say(page.reading_text())
