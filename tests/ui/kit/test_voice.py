"""Reading aloud with a voice that only writes down what it was told to say."""

from __future__ import annotations

import sys
from types import ModuleType

import pytest

from companion.ui.kit.controls import Paragraph
from companion.ui.kit.page import Page
from companion.ui.kit.voice import ReadingAloud, find_voice
from companion.ui.kit.window import PageWindow
from tests.ui.kit import accessibility, clipping
from tests.ui.kit.conftest import Shown
from tests.ui.kit.gallery import settle
from tests.ui.kit.test_light_start import loaded


class WrittenVoice:
    """Says nothing; `said` holds what it would have."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.speaking = False

    def say(self, text: str) -> None:
        self.said.append(text)
        self.speaking = True

    def stop(self) -> None:
        self.speaking = False

    def is_speaking(self) -> bool:
        return self.speaking


def page(heading: str = "Rest pain") -> Page:
    made = Page(heading)
    made.add(Paragraph("How much does it hurt?"))
    return made


def test_each_page_and_sheet_has_the_button_and_it_reads_what_is_shown(window: PageWindow) -> None:
    voice = WrittenVoice()
    window.show_page(page("Before"))
    reading = ReadingAloud(window, lambda: True, lambda: voice)
    for heading in ("Before", "After"):
        shown = window.page()
        assert shown is not None
        assert shown.bar.read_aloud is not None
        shown.bar.read_aloud.click()
        assert voice.said[-1] == f"{heading}\nHow much does it hurt?"
        assert voice.speaking
        window.show_page(page("After"))
        assert not voice.speaking, "going on is silence"
    sheet = page("A sheet")
    window.show_sheet(sheet)
    assert sheet.bar.read_aloud is not None
    sheet.bar.read_aloud.click()
    assert voice.said[-1].startswith("A sheet")
    sheet.bar.read_aloud.click()
    assert not voice.speaking, "pressed again it is silent"
    assert len(voice.said) == 3
    reading.stop()


def test_without_a_voice_or_a_wish_there_is_no_button(window: PageWindow) -> None:
    wanted = False
    voice = WrittenVoice()
    looked: list[int] = []

    def find() -> WrittenVoice:
        looked.append(1)
        return voice

    ReadingAloud(window, lambda: wanted, find)
    window.show_page(page())
    shown = window.page()
    assert shown is not None
    assert shown.bar.read_aloud is None
    assert looked == [], "nobody looks for a voice that is not wanted"
    wanted = True
    window.show_page(page())
    window.show_page(page())
    shown = window.page()
    assert shown is not None
    assert shown.bar.read_aloud is not None
    assert looked == [1], "the voice is looked for once"


def test_a_computer_without_a_voice_shows_no_button(window: PageWindow) -> None:
    ReadingAloud(window, lambda: True, lambda: None)
    window.show_page(page())
    shown = window.page()
    assert shown is not None
    assert shown.bar.read_aloud is None


@pytest.mark.parametrize("percent", [100, 150, 200])
def test_the_bar_with_four_buttons_is_whole(percent: int, shown: Shown, window: PageWindow) -> None:
    reading = ReadingAloud(window, lambda: True, WrittenVoice)
    made = shown(page, percent)
    settle()
    assert clipping.faults(made) + clipping.overlaps(made) + accessibility.faults(made) == []
    assert [button.word for button in made.bar.buttons()] == ["Back", "Help", "Read aloud", "Stop"]
    assert all(button.isVisible() for button in made.bar.buttons())
    reading.stop()


# ---------------------------------------------------------------- finding a voice


class _Speech:
    """The toolkit's speech, as far as it is used here."""

    class State:
        Ready, Speaking, Error = "ready", "speaking", "error"

    engines: tuple[str, ...] = ("mock",)
    voices: tuple[str, ...] = ("a voice",)
    fails = False

    def __init__(self, engine: str) -> None:
        self.engine = engine
        self.now = self.State.Error if self.fails else self.State.Ready

    @classmethod
    def availableEngines(cls) -> list[str]:
        return list(cls.engines)

    def availableVoices(self) -> list[str]:
        return list(self.voices)

    def state(self) -> str:
        return self.now

    def say(self, _text: str) -> None:
        self.now = self.State.Speaking

    def stop(self) -> None:
        self.now = self.State.Ready


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
        assert not voice.is_speaking()
        voice.say("Rest pain")
        assert voice.is_speaking()
        voice.stop()
        assert not voice.is_speaking()


def test_without_the_extra_there_is_no_voice(monkeypatch: pytest.MonkeyPatch) -> None:
    import PySide6

    monkeypatch.setitem(sys.modules, "PySide6.QtTextToSpeech", None)
    monkeypatch.delattr(PySide6, "QtTextToSpeech", raising=False)
    assert find_voice() is None


def test_speech_is_loaded_by_nobody_who_does_not_want_it() -> None:
    assert "PySide6.QtTextToSpeech" not in loaded("import companion.ui.kit.voice")


def test_a_clock_is_heard_where_reading_aloud_is_wanted(window: PageWindow) -> None:
    voice = WrittenVoice()
    ReadingAloud(window, lambda: True, lambda: voice)
    step = Page("Step")
    window.show_page(step)
    step.say_wanted.emit("1 of 2")
    assert voice.said[-1:] == ["1 of 2"]
