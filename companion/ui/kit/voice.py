"""Reading a page aloud, where this computer has a voice. Nothing needs it or waits for it.

The toolkit's speech is an extra of this program (`speech`): it is loaded when reading aloud is
wanted, in a thread of its own, for a speech service may take many seconds to answer. Until it did,
and where the extra or a voice is missing, there is no button.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol

from PySide6.QtCore import QObject, Qt, QThread, Signal, Slot

from companion.presentation.language.phrases import phrase, spoken
from companion.services.settings import Speaking
from companion.ui.kit.accessible import in_sentences
from companion.ui.kit.page import Page, Readable
from companion.ui.kit.text import WrappedText
from companion.ui.kit.window import PageWindow

SILENT_ENGINES = frozenset({"mock", "none"})
"""Engines of the toolkit that make no sound."""
RATES: Mapping[Speaking, float] = {"slow": -0.4, "usual": 0.0, "quick": 0.4}
"""On the toolkit's scale from -1 to 1 (our choice, no source)."""
LEAVES_IN_MS = 3000
"""How long the end of the program waits for a speech service that does not answer."""


class Voice(Protocol):
    """What speaks."""

    def say(self, text: str, rate: float) -> None:
        """Begin to speak, from -1, slowest, to 1; what was being said is left off."""

    def stop(self) -> None:
        """Be silent at once."""

    def when_done(self, done: Callable[[], None]) -> None:
        """Call this whenever all that was to be said is said."""

    def when_word(self, word: Callable[[int], None]) -> None:
        """Call this with the place in the text of each word as it is spoken. Not every voice can
        tell."""


class SpokenVoice:
    """The toolkit's speech as a voice."""

    def __init__(self, speech: QObject, silent: tuple[object, ...]) -> None:
        self._speech = speech
        self._silent = silent
        self._done: Callable[[], None] | None = None
        self._word: Callable[[int], None] | None = None
        self._speaks = False
        speech.stateChanged.connect(self._changed)  # type: ignore[attr-defined]
        speech.sayingWord.connect(self._word_said)  # type: ignore[attr-defined]

    def say(self, text: str, rate: float) -> None:
        self._speaks = True
        self._speech.setRate(rate)  # type: ignore[attr-defined]
        self._speech.say(text)  # type: ignore[attr-defined]

    def stop(self) -> None:
        self._speaks = False
        self._speech.stop()  # type: ignore[attr-defined]

    def when_done(self, done: Callable[[], None]) -> None:
        """Call this at each end of what was said; not where it was stopped."""
        self._done = done

    def when_word(self, word: Callable[[int], None]) -> None:
        """Call this at each word, where the engine tells."""
        self._word = word

    def _word_said(self, _word: str, _spoken: int, start: int, _length: int) -> None:
        if self._speaks and self._word is not None:
            self._word(start)

    def _changed(self, state: object) -> None:
        if self._speaks and state in self._silent:
            self._speaks = False
            if self._done is not None:
                self._done()


def find_voice() -> Voice | None:
    """The voice of this computer for the language of the pages; None where the extra, an engine or
    a voice is missing. It may take many seconds."""
    try:
        from PySide6 import QtTextToSpeech
    except ImportError:
        return None
    from PySide6.QtCore import QLocale

    kind = QtTextToSpeech.QTextToSpeech
    engines = [name for name in kind.availableEngines() if name not in SILENT_ENGINES]
    for name in engines:
        speech = kind(name)
        if speech.state() != kind.State.Error:
            # Else the pages would be read as if they were in the language of the desktop.
            speech.setLocale(QLocale(spoken()))
            if speech.availableVoices():
                return SpokenVoice(speech, (kind.State.Ready, kind.State.Error))
    return None


FindVoice = Callable[[], Voice | None]


class _Speaker(QObject):
    """Looks for a voice and speaks with it, in the thread it was moved to."""

    found = Signal(bool)
    done = Signal()
    word = Signal(int)

    def __init__(self, find: FindVoice) -> None:
        super().__init__()
        self._find = find
        self._voice: Voice | None = None

    @Slot()
    def look(self) -> None:
        """Find the voice; `found` tells whether there is one."""
        self._voice = self._find()
        if self._voice is not None:
            self._voice.when_done(self.done.emit)
            self._voice.when_word(self.word.emit)
        self.found.emit(self._voice is not None)

    @Slot(str, float)
    def say(self, text: str, rate: float) -> None:
        if self._voice is not None:
            self._voice.say(text, rate)

    @Slot()
    def stop(self) -> None:
        if self._voice is not None:
            self._voice.stop()

    @Slot()
    def leave(self) -> None:
        """Let go of the voice, in the thread it was made in."""
        self.stop()
        self._voice = None


class ReadingAloud(QObject):
    """Puts Read aloud on each page of a window while it is `wanted` and a voice is found.

    Pressing it reads the page, line by line, each framed while it is read, and each word marked
    where the voice tells which it says; pressing it again is a
    pause, and once more goes on with that line. Going on to another page is silence. A page that is
    done with both hands is read by itself.
    """

    _look_now = Signal()
    _say_now = Signal(str, float)
    _stop_now = Signal()

    def __init__(
        self,
        window: PageWindow,
        wanted: Callable[[], bool],
        speed: Callable[[], Speaking] = lambda: "usual",
        find: FindVoice = find_voice,
    ) -> None:
        super().__init__(window)
        self._window = window
        self._wanted = wanted
        self._speed = speed
        self._find = find
        self._thread: QThread | None = None
        self._has_voice = False
        self._language = spoken()
        self._lines: list[Readable] = []
        self._speaks = False
        self._read_on: Page | None = None
        window.page_shown.connect(self._offer)
        window.sheet_shown.connect(self._offer)
        page = window.page()
        if page is not None:
            self._offer(page)

    def stop(self) -> None:
        """Be silent, and let go of the voice."""
        self._be_silent()
        thread, self._thread = self._thread, None
        if thread is not None:
            self._has_voice = False
            thread.quit()
            if thread.wait(LEAVES_IN_MS):
                _AT_WORK.remove(thread)

    def _look(self) -> None:
        """Look for a voice of the language, once, while the window goes on."""
        self._language = spoken()
        self._thread = QThread()
        _AT_WORK.append(self._thread)
        self._speaker = _Speaker(self._find)
        self._speaker.moveToThread(self._thread)
        queued = Qt.ConnectionType.QueuedConnection
        self._look_now.connect(self._speaker.look, queued)
        self._say_now.connect(self._speaker.say, queued)
        self._stop_now.connect(self._speaker.stop, queued)
        self._speaker.found.connect(self._found, queued)
        self._speaker.done.connect(self._line_done, queued)
        self._speaker.word.connect(self._word_said, queued)
        self._thread.finished.connect(self._speaker.leave, Qt.ConnectionType.DirectConnection)
        self._thread.start()
        self._look_now.emit()

    @Slot(bool)
    def _found(self, there_is: bool) -> None:
        self._has_voice = there_is and self._thread is not None
        for page in (self._window.page(), self._window.sheet()):
            if self._has_voice and page is not None:
                self._offer(page)

    @Slot(object)
    def _offer(self, page: Page) -> None:
        self._be_silent()
        if not self._wanted():
            return
        if self._thread is not None and self._language != spoken():
            self.stop()  # that voice has another language
        if self._thread is None:
            self._look()
        elif self._has_voice:
            page.offer_reading_aloud()
            page.read_aloud_wanted.connect(self._pressed)
            page.say_wanted.connect(self._say)
            if page.reads_itself:
                self._begin(page)

    @Slot(str)
    def _say(self, words: str) -> None:
        """Say what cannot wait, such as a count: it cuts off the reading."""
        self._be_silent()
        self._say_now.emit(words, RATES[self._speed()])

    @Slot()
    def _pressed(self) -> None:
        page = self._window.sheet() or self._window.page()
        if page is None:
            return
        if self._speaks:
            self._speaks = False
            self._stop_now.emit()
            page.name_reading_aloud(phrase("Go on reading"))
        elif self._lines and self._read_on is page:
            self._next_line()
        else:
            self._begin(page)

    def _begin(self, page: Page) -> None:
        self._lines = page.reading_lines()
        self._read_on = page
        self._next_line()

    def _next_line(self) -> None:
        page = self._read_on
        if page is None or not self._lines:
            self._be_silent()
            return
        self._speaks = True
        page.name_reading_aloud(phrase("Pause"))
        page.frame_what_is_read(self._lines[0].widget)
        self._say_now.emit(in_sentences(self._lines[0].words), RATES[self._speed()])

    @Slot()
    def _line_done(self) -> None:
        if self._speaks:
            self._mark(None)
            del self._lines[0]
            self._next_line()

    @Slot(int)
    def _word_said(self, start: int) -> None:
        if self._speaks:
            self._mark(start)

    def _mark(self, start: int | None) -> None:
        """Mark the word at a place of what is spoken, where the same words stand on the page."""
        line = self._lines[0]
        if not isinstance(line.widget, WrappedText):
            return
        spoken = in_sentences(line.words)
        if start is None:
            line.widget.mark_word(None)
        elif spoken == in_sentences(line.widget.text()):
            written = line.widget.text().split()
            places = [place for place, word in enumerate(written) if word != "·"]  # not spoken
            line.widget.mark_word(places[len(spoken[:start].split())])

    def _be_silent(self) -> None:
        page, self._read_on = self._read_on, None
        if self._lines and page in (self._window.page(), self._window.sheet()):
            self._mark(None)
        self._lines = []
        self._speaks = False
        if self._thread is not None:
            self._stop_now.emit()
        if page is not None and page in (self._window.page(), self._window.sheet()):
            page.name_reading_aloud(phrase("Read aloud"))
            page.frame_what_is_read(None)


_AT_WORK: list[QThread] = []
"""A thread that runs, or waits for a speech service, must not be deleted: it ends with the program
at the latest."""
