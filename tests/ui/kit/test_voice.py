"""Reading aloud with a voice that only writes down what it was told to say."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest
from PySide6.QtCore import QLocale, QObject, Signal
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from companion.presentation.language.phrases import Forms, speak, spoken
from companion.services.settings import Speaking
from companion.ui.kit.accessible import in_sentences
from companion.ui.kit.buttons import QuietButton
from companion.ui.kit.controls import Choice, ChoiceList, PainScale, Steps
from companion.ui.kit.facts import FactList
from companion.ui.kit.page import Page, ReadFrame
from companion.ui.kit.table import DataTable
from companion.ui.kit.text import Paragraph
from companion.ui.kit.voice import RATES, ReadingAloud, find_voice
from companion.ui.kit.window import PageWindow
from tests.languages.invented import as_before
from tests.ui.kit import accessibility, clipping
from tests.ui.kit.conftest import Shown
from tests.ui.kit.gallery import settle
from tests.ui.kit.test_light_start import loaded

Reading = Callable[..., ReadingAloud]


class WrittenVoice:
    """Says nothing; `said` holds what it would have, and how fast."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.rates: list[float] = []
        self.speaking = False
        self.done: Callable[[], None] | None = None
        self.word: Callable[[int], None] | None = None

    def say(self, text: str, rate: float) -> None:
        self.said.append(text)
        self.rates.append(rate)
        self.speaking = True

    def stop(self) -> None:
        self.speaking = False

    def when_done(self, done: Callable[[], None]) -> None:
        self.done = done

    def when_word(self, word: Callable[[int], None]) -> None:
        self.word = word

    def finish(self) -> None:
        """Come to the end of what was said."""
        self.speaking = False
        assert self.done is not None
        self.done()


def page(heading: str = "Rest pain") -> Page:
    made = Page(heading)
    made.add(Paragraph("How much does it hurt?"))
    return made


@pytest.fixture
def reading(window: PageWindow, qtbot: QtBot) -> Iterator[Reading]:
    """Begin reading aloud in the window, on the page it shows; the voice is waited for."""
    begun: list[ReadingAloud] = []

    def begin(voice: WrittenVoice, speed: Speaking = "usual") -> ReadingAloud:
        begun.append(ReadingAloud(window, lambda: True, lambda: speed, lambda: voice))
        shown = window.page()
        assert shown is not None
        qtbot.waitUntil(lambda: shown.bar.read_aloud is not None)
        return begun[-1]

    yield begin
    for one in begun:
        one.stop()


def button(window: PageWindow) -> QuietButton:
    shown = window.sheet() or window.page()
    assert shown is not None
    assert shown.bar.read_aloud is not None
    return shown.bar.read_aloud


def test_a_page_is_read_line_by_line_with_a_pause_that_keeps_its_place(
    window: PageWindow, reading: Reading, qtbot: QtBot
) -> None:
    voice = WrittenVoice()
    window.show_page(page("Before"))
    reading(voice, "slow")
    button(window).click()
    qtbot.waitUntil(lambda: voice.said == ["Before."])
    assert voice.rates == [RATES["slow"]]
    assert button(window).word == "Pause"
    voice.finish()
    qtbot.waitUntil(lambda: len(voice.said) == 2)
    assert voice.said[-1] == "How much does it hurt?"
    button(window).click()
    qtbot.waitUntil(lambda: not voice.speaking)
    assert button(window).word == "Go on reading"
    button(window).click()
    qtbot.waitUntil(lambda: voice.said == ["Before.", *["How much does it hurt?"] * 2])
    voice.finish()
    qtbot.waitUntil(lambda: button(window).word == "Read aloud")


def test_what_is_read_is_framed_and_going_on_is_silence(
    window: PageWindow, reading: Reading, qtbot: QtBot
) -> None:
    voice = WrittenVoice()
    first = page("Before")
    window.show_page(first)
    reading(voice)
    button(window).click()
    qtbot.waitUntil(lambda: voice.speaking)
    frame = first.column.findChild(ReadFrame)
    assert isinstance(frame, ReadFrame)
    assert frame.isVisible()
    assert frame.geometry() == first.heading.geometry()
    window.show_page(page("After"))
    qtbot.waitUntil(lambda: not voice.speaking)
    sheet = page("A sheet")
    window.show_sheet(sheet)
    button(window).click()
    qtbot.waitUntil(lambda: voice.said[-1] == "A sheet.")


def test_the_word_that_is_spoken_is_marked_where_the_voice_tells(
    window: PageWindow, reading: Reading, qtbot: QtBot
) -> None:
    voice = WrittenVoice()
    shown = Page("Before")
    words = "Right knee · step 2: press it slowly towards the inner side, and hold it there"
    line = shown.add(Paragraph(words))
    window.show_page(shown)
    settle()

    def picture(word: int | None) -> QImage:
        line.mark_word(word)
        image = line.grab().toImage()
        line.mark_word(None)
        return image

    # The dot is written and not spoken, so places are not those of the text.
    wanted = {"Right": picture(0), "step": picture(3), "there": picture(len(words.split()) - 1)}
    bare = picture(None)
    assert all(image != bare for image in wanted.values())
    reading(voice)
    button(window).click()
    qtbot.waitUntil(lambda: voice.said == ["Before."])
    assert voice.word is not None
    voice.finish()
    qtbot.waitUntil(lambda: len(voice.said) == 2)
    for word, image in wanted.items():
        voice.word(voice.said[-1].index(word))
        qtbot.waitUntil(lambda image=image: line.grab().toImage() == image)  # type: ignore[misc]
    voice.finish()
    qtbot.waitUntil(lambda: line.grab().toImage() == bare)
    window.show_page(page("After"))
    qtbot.waitUntil(lambda: not voice.speaking)
    voice.word(0)
    settle()


def test_without_a_wish_nobody_looks_for_a_voice(window: PageWindow, qtbot: QtBot) -> None:
    wanted = False
    looked: list[bool] = []

    def find() -> WrittenVoice:
        looked.append(threading.current_thread() is threading.main_thread())
        return WrittenVoice()

    made = ReadingAloud(window, lambda: wanted, find=find)
    window.show_page(page())
    shown = window.page()
    assert shown is not None
    assert shown.bar.read_aloud is None
    assert looked == []
    wanted = True
    window.show_page(page())
    window.show_page(page())
    last = window.page()
    assert last is not None
    qtbot.waitUntil(lambda: last.bar.read_aloud is not None)
    assert looked == [False], "it is looked for once, and the window does not wait for it"
    made.stop()


def test_in_another_language_another_voice_is_looked_for(window: PageWindow, qtbot: QtBot) -> None:
    looked: list[str] = []
    made = ReadingAloud(window, lambda: True, find=lambda: looked.append(spoken()))
    with as_before():
        window.show_page(page())
        qtbot.waitUntil(lambda: looked == ["en"])
        speak("eo", None, Forms())
        window.show_page(page())
        qtbot.waitUntil(lambda: looked == ["en", "eo"])
        window.show_page(page())
        settle()
        made.stop()
    assert looked == ["en", "eo"]


def test_a_computer_without_a_voice_shows_no_button(window: PageWindow, qtbot: QtBot) -> None:
    looked: list[int] = []
    made = ReadingAloud(window, lambda: True, find=lambda: looked.append(1))
    window.show_page(page())
    qtbot.waitUntil(lambda: looked == [1])
    settle()
    shown = window.page()
    assert shown is not None
    assert shown.bar.read_aloud is None
    made.stop()


def test_a_page_is_read_in_the_order_it_was_made_in_whole_sentences(window: PageWindow) -> None:
    """The main button stands at the foot, whatever is below it in the column."""
    made = Page("Score", above="Right knee · round 1")
    made.main_button("Next")
    made.add(Paragraph("Rise from the chair once", strong=True))
    made.add(PainScale("How much?", low="no pain", high="worst pain", cant_say="I can’t say"))
    made.add(ChoiceList("Same?", [Choice(1, "Yes"), Choice(2, "No", "tell how")]))
    made.add(FactList([("Hand", "flat")]))
    made.add(Steps(["Sit.", "Push."]))
    made.add(DataTable("Days", ("Day",), [("14 Sep",)]))
    window.show_page(made)
    settle()
    assert [in_sentences(line.words) for line in made.reading_lines()] == [
        "Right knee, round 1.",
        "Score.",
        "Rise from the chair once.",
        "0 to 10. 0 is no pain, 10 is worst pain. I can’t say.",
        "Answers: Yes; No, tell how.",
        "Hand: flat.",
        "1. Sit.",
        "2. Push.",
        "A table, Days: 1 row.",
        "Next.",
    ]


@pytest.mark.parametrize("percent", [100, 150, 200])
def test_the_bar_with_four_buttons_is_whole(percent: int, shown: Shown, window: PageWindow) -> None:
    made = shown(page, percent)
    made.offer_reading_aloud()
    settle()
    assert clipping.faults(made) + clipping.overlaps(made) + accessibility.faults(made) == []
    assert [button.word for button in made.bar.buttons()] == ["Back", "Help", "Read aloud", "Stop"]
    assert all(button.isVisible() for button in made.bar.buttons())


# ---------------------------------------------------------------- finding a voice


class _Speech(QObject):
    """The toolkit's speech, as far as it is used here."""

    class State:
        Ready, Speaking, Error = "ready", "speaking", "error"

    stateChanged = Signal(str)  # noqa: N815 - the toolkit's own name
    sayingWord = Signal(str, int, int, int)  # noqa: N815 - the toolkit's own name
    engines: tuple[str, ...] = ("mock",)
    voices: tuple[str, ...] = ("a voice",)
    fails = False

    def __init__(self, engine: str) -> None:
        super().__init__()
        self.engine = engine
        self.now = self.State.Error if self.fails else self.State.Ready

    @classmethod
    def availableEngines(cls) -> list[str]:
        return list(cls.engines)

    def availableVoices(self) -> list[str]:
        return list(self.voices)

    def state(self) -> str:
        return self.now

    def setLocale(self, locale: QLocale) -> None:
        self.language = locale.name()

    def setRate(self, rate: float) -> None:
        self.rate = rate

    def say(self, _text: str) -> None:
        self.turn(self.State.Speaking)

    def stop(self) -> None:
        self.turn(self.State.Ready)

    def turn(self, state: str) -> None:
        self.now = state
        self.stateChanged.emit(state)


@pytest.mark.parametrize(
    ("engines", "voices", "fails", "found"),
    [
        (("mock", "speechd"), ("a voice",), False, True),
        (("mock",), ("a voice",), False, False),
        ((), ("a voice",), False, False),
        (("speechd",), (), False, False),
        (("speechd",), ("a voice",), True, False),
    ],
)
def test_a_voice_is_found_only_where_it_can_be_heard(
    engines: tuple[str, ...],
    voices: tuple[str, ...],
    fails: bool,
    found: bool,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import PySide6

    module = ModuleType("PySide6.QtTextToSpeech")
    kind = type("Speech", (_Speech,), {"engines": engines, "voices": voices, "fails": fails})
    module.QTextToSpeech = kind  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "PySide6.QtTextToSpeech", module)
    monkeypatch.setattr(PySide6, "QtTextToSpeech", module, raising=False)
    voice = find_voice()
    assert (voice is not None) is found
    if voice is not None:
        ended: list[str] = []
        voice.when_done(lambda: ended.append("done"))
        speech = voice._speech  # type: ignore[attr-defined]
        assert speech.language.startswith("en"), "not the language of the desktop"
        voice.say("Rest pain", -0.4)
        assert (speech.now, speech.rate) == ("speaking", -0.4)
        voice.stop()
        assert ended == [], "what was stopped is not done"
        voice.say("Rest pain", 0.0)
        speech.turn("ready")
        assert ended == ["done"]


def test_without_the_extra_there_is_no_voice(monkeypatch: pytest.MonkeyPatch) -> None:
    import PySide6

    monkeypatch.setitem(sys.modules, "PySide6.QtTextToSpeech", None)
    monkeypatch.delattr(PySide6, "QtTextToSpeech", raising=False)
    assert find_voice() is None


def test_speech_is_loaded_by_nobody_who_does_not_want_it() -> None:
    assert "PySide6.QtTextToSpeech" not in loaded("import companion.ui.kit.voice")


def test_a_clock_is_heard_where_reading_aloud_is_wanted(
    window: PageWindow, reading: Reading, qtbot: QtBot
) -> None:
    voice = WrittenVoice()
    step = Page("Step")
    window.show_page(step)
    reading(voice)
    step.say_wanted.emit("1 of 2")
    qtbot.waitUntil(lambda: voice.said[-1:] == ["1 of 2"])


def test_a_step_with_busy_hands_is_read_by_itself(
    window: PageWindow, reading: Reading, qtbot: QtBot
) -> None:
    voice = WrittenVoice()
    window.show_page(Page("Before"))
    reading(voice)
    step = Page("Press and glide")
    step.reads_itself = True
    window.show_page(step)
    qtbot.waitUntil(lambda: voice.said == ["Press and glide."])
