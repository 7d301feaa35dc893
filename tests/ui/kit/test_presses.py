"""Which press counts: a page rests before the first one, a button after each."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from companion.presentation.clinic.plan_form import Field
from companion.presentation.view.page import Button, Choose, Option, PageView
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import (
    ActionRow,
    ChoiceRow,
    DoorButton,
    LookOverRow,
    Pressable,
    QuietButton,
)
from companion.ui.kit.controls import Choice, ChoiceList, PainScale, TickList
from companion.ui.kit.form import YesNoBox
from companion.ui.kit.knee_picture import ZonePicture
from companion.ui.kit.page import Page
from companion.ui.kit.presses import Presses, use_presses
from companion.ui.kit.theme import current
from companion.ui.kit.window import PageWindow

Key = Qt.Key


class Clock:
    """Seconds, as they are set."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    """A clock, by which presses rest half a second."""
    made = Clock()
    use_presses(Presses(0.5, made))
    return made


def _page(window: PageWindow, clock: Clock) -> tuple[Page, ChoiceList, list[bool]]:
    page = Page("How is the skin?")
    choices = page.add(ChoiceList("Skin", [Choice("a", "Clear"), Choice("b", "Pink")]))
    pressed: list[bool] = []
    page.main_button("Next").clicked.connect(lambda: pressed.append(True))
    window.show_page(page)
    QApplication.processEvents()
    return page, choices, pressed


def test_nothing_counts_before_the_page_was_seen_and_let_alone() -> None:
    clock = Clock()
    presses = Presses(0.5, clock)
    clock.now += 10
    assert not presses.counts("a"), "no page was seen yet"
    presses.page_comes()
    clock.now += 10
    assert not presses.counts("b"), "it was not painted yet"
    presses.page_is_seen()
    clock.now += 0.4
    assert not presses.counts("c")
    clock.now += 0.2
    assert presses.counts("d")
    assert not presses.counts("d"), "the same again at once"
    clock.now += 0.4
    assert not presses.counts("d"), "a press that does not count makes the rest begin anew"
    clock.now += 0.4
    assert not presses.counts("d")
    clock.now += 0.5
    assert presses.counts("d")


@pytest.mark.parametrize("flagged", [True, False])
def test_a_held_enter_never_runs_on(window: PageWindow, clock: Clock, flagged: bool) -> None:
    """Not every screen says that a press is a repeat."""
    page, choices, pressed = _page(window, clock)
    clock.now += 1
    held = QKeyEvent(
        QEvent.Type.KeyPress, Key.Key_Return, Qt.KeyboardModifier.NoModifier, "\r", flagged
    )
    for _ in range(100):
        clock.now += 0.033
        QApplication.sendEvent(page, held)
    assert len(pressed) == (0 if flagged else 1)
    assert choices.value() is None


def test_a_double_press_presses_once(window: PageWindow, clock: Clock) -> None:
    page, _choices, pressed = _page(window, clock)
    assert page.main is not None
    clock.now += 1
    QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
    clock.now += 0.15
    QTest.mouseDClick(page.main, Qt.MouseButton.LeftButton)
    assert len(pressed) == 1


def test_a_press_meant_for_the_page_before_does_nothing(window: PageWindow, clock: Clock) -> None:
    page, choices, pressed = _page(window, clock)
    assert page.main is not None
    clock.now += 0.15
    QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
    QTest.mouseClick(choices.rows[0], Qt.MouseButton.LeftButton)
    QTest.keyClick(page, Key.Key_1)
    assert (pressed, choices.value()) == ([], None)
    clock.now += 0.6
    QTest.keyClick(page, Key.Key_1)
    assert choices.value() == "a"


def test_stop_and_help_never_wait(window: PageWindow, clock: Clock) -> None:
    page, _choices, _pressed = _page(window, clock)
    wanted: list[str] = []
    page.stop_wanted.connect(lambda: wanted.append("stop"))
    page.help_wanted.connect(lambda: wanted.append("help"))
    assert page.bar.stop is not None
    QTest.mouseClick(page.bar.stop, Qt.MouseButton.LeftButton)
    QTest.keyClick(page, Key.Key_F9)
    QTest.keyClick(page, Key.Key_F1)
    assert wanted == ["stop", "stop", "help"]


def test_one_then_nought_is_ten_however_slow_the_presses(window: PageWindow) -> None:
    clock = Clock()
    use_presses(Presses(2, clock))
    page = Page("How much does it hurt?")
    scale = page.add(PainScale("Pain", low="no pain", high="worst"))
    window.show_page(page)
    QApplication.processEvents()
    clock.now += 3
    for wait in (0.0, 0.1, 0.3):  # the 1 twice: a tremor
        clock.now += wait
        QTest.keyClick(page, Key.Key_1)
    clock.now += 0.2
    QTest.keyClick(page, Key.Key_0)
    assert scale.value() == 10


def test_a_key_held_since_the_page_before_does_nothing_until_it_was_seen_up() -> None:
    """Its first repeat may come after the page has rested, and not be told as one."""
    clock = Clock()
    presses = Presses(0.5, clock)
    presses.page_comes()
    presses.page_is_seen()
    clock.now += 1
    assert presses.counts("next", key=1)
    presses.page_comes()
    presses.page_is_seen()
    clock.now += 0.66
    assert not presses.counts("next", key=1)
    for _ in range(60):  # told as let go and pressed again, which no hand does as fast
        clock.now += 0.02
        presses.key_is_up(1)
        clock.now += 0.01
        assert not presses.counts("next", key=1)
    presses.key_is_up(1)
    clock.now += 0.6
    assert presses.counts("next", key=1)


def test_a_key_let_go_over_another_window_is_not_held_for_ever() -> None:
    clock = Clock()
    presses = Presses(0.5, clock)
    presses.page_comes()
    presses.page_is_seen()
    clock.now += 1
    assert presses.counts("next", key=1)
    clock.now += 3
    assert presses.counts("next", key=1)


def test_pages_that_only_show_do_not_rest() -> None:
    clock = Clock()
    presses = Presses(2, clock)
    presses.page_comes(rests=False)
    assert presses.counts("later")
    assert presses.counts("later")


def test_tape_off_never_waits_but_a_held_key_does_not_say_so(
    window: PageWindow, clock: Clock
) -> None:
    use_presses(Presses(2, clock))
    off = Button("The tape is off", (("tape", "off"),), at_once=True)
    page = AskingPage(PageView(key="off", heading="Take the tape off now", main=off))
    given: list[object] = []
    page.submitted.connect(given.append)
    window.show_page(page)
    QApplication.processEvents()
    assert page.main is not None
    held = QKeyEvent(QEvent.Type.KeyPress, Key.Key_Return, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(page, held)
    assert len(given) == 1
    clock.now += 0.03
    QApplication.sendEvent(page, held)
    assert len(given) == 1
    QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
    assert len(given) == 2


def test_figures_go_to_one_framed_question_and_move_it_nowhere(
    window: PageWindow, clock: Clock
) -> None:
    page = Page("Two questions")
    first = page.add(PainScale("Pain", low="no pain", high="worst"))
    rows = page.add(ChoiceList("The same?", [Choice("a", "Yes"), Choice("b", "No")]))
    window.show_page(page)
    QApplication.processEvents()
    assert (first.framed, rows.framed) == (True, False)
    for figure in (Key.Key_6, Key.Key_1):
        clock.now += 1
        QTest.keyClick(page, figure)
    assert (first.value(), rows.value()) == (1, None)
    assert (first.framed, rows.framed) == (True, False)
    QTest.keyClick(first.boxes[1], Key.Key_Tab)
    assert (first.framed, rows.framed) == (False, True)
    clock.now += 1
    QTest.keyClick(page, Key.Key_2)
    assert (first.value(), rows.value()) == (1, "b")
    assert rows.framed
    page.grab()  # the frame is drawn


def test_one_question_alone_needs_no_frame(window: PageWindow, clock: Clock) -> None:
    _, choices, _pressed = _page(window, clock)
    assert not choices.framed
    assert choices.rows[0].figure == "1"


def test_a_held_letter_answers_one_question_of_a_form(window: PageWindow, clock: Clock) -> None:
    """The focus goes on by itself: a held Y would say yes to every caution."""
    page = Page("Cautions")
    asked = [Field(key=f"{n}", kind="yes_no", label=f"Caution {n}", value=None) for n in range(3)]
    boxes = [page.add(YesNoBox(field)) for field in asked]
    for box, after in pairwise(boxes):
        box.answered_by_key.connect(lambda _box, to=after: to.setFocus())
    window.show_page(page)
    QApplication.processEvents()
    boxes[0].setFocus()
    clock.now += 1
    held = QKeyEvent(QEvent.Type.KeyPress, Key.Key_Y, Qt.KeyboardModifier.NoModifier, "y")
    for _ in range(40):
        clock.now += 0.033
        focused = QApplication.focusWidget()
        assert focused is not None
        QApplication.sendEvent(focused, held)
    assert [box.answer() for box in boxes] == [True, None, None]


@pytest.mark.parametrize(
    "made",
    [
        lambda: ChoiceRow("Clear"),
        lambda: ActionRow("Clear"),
        lambda: DoorButton("Clear"),
        lambda: LookOverRow("Skin", "clear"),
        lambda: QuietButton("Clear"),
    ],
    ids=["choice", "action", "door", "looked over", "quiet"],
)
def test_the_pointer_over_something_never_looks_like_chosen(
    window: PageWindow, made: Callable[[], Pressable]
) -> None:
    page = Page("A page")
    button = page.add(made())
    window.show_page(page)
    button.setAttribute(Qt.WidgetAttribute.WA_UnderMouse, True)
    assert button.underMouse()
    picture = button.grab().toImage()
    inside = picture.pixelColor(button.width() - 24, button.height() // 2 - 12).name()
    assert inside != current().palette.chosen.lower()
    assert inside == current().palette.surface.lower()


def _double(window: PageWindow, clock: Clock, press: Callable[[], object]) -> None:
    """Press, and once more 150 milliseconds later, on a page that was seen for a second."""
    QApplication.processEvents()
    clock.now += 1
    press()
    clock.now += 0.15
    press()


@pytest.mark.parametrize("by", ["key", "mouse"])
def test_a_double_press_ticks_and_does_not_untick(
    window: PageWindow, clock: Clock, by: str
) -> None:
    page = Page("Tick what is true now")
    ticks = page.add(TickList("Signs", [Choice("chest", "Chest pain, sudden short breath")]))
    window.show_page(page)
    (row,) = ticks.rows
    row.setFocus()
    if by == "key":
        _double(window, clock, lambda: QTest.keyClick(row, Key.Key_Space))
    else:
        _double(window, clock, lambda: QTest.mouseClick(row, Qt.MouseButton.LeftButton))
    assert ticks.values() == ("chest",)


def test_a_double_press_on_the_picture_marks_and_does_not_unmark(
    window: PageWindow, clock: Clock
) -> None:
    page = Page("Sore places")
    picture = page.add(ZonePicture("right", "own"))
    window.show_page(page)
    pressed: list[str] = []
    picture.zone_pressed.connect(pressed.append)
    picture.setFocus()
    _double(window, clock, lambda: QTest.keyClick(picture, Key.Key_Space))
    assert len(pressed) == 1


def test_after_an_error_the_question_has_the_focus_and_no_answer(
    window: PageWindow, clock: Clock
) -> None:
    options = (Option("none", "None of these"), Option("some", "One of these"))
    view = PageView(
        key="gate",
        heading="Before you begin",
        blocks=(Choose("signs", "Is one of these true?", options),),
        main=Button("Next"),
    )
    page = AskingPage(view)
    given: list[object] = []
    page.submitted.connect(given.append)
    window.show_page(page)
    QApplication.processEvents()
    for _ in range(8):
        clock.now += 2
        focused = QApplication.focusWidget()
        assert focused is not None
        QTest.keyClick(focused, Key.Key_Return)
        assert not isinstance(QApplication.focusWidget(), ChoiceRow)
    assert given == []
    assert not page.is_begun()


def test_a_page_says_for_how_long_it_was_seen(window: PageWindow, clock: Clock) -> None:
    done = Button("Step done", (("outcome", "done"),))
    view = PageView(key="step:1:1", heading="Stroke the thigh", main=done, timed=True)
    told: list[object] = []
    for met_before in (False, True):
        page = AskingPage(view)
        if met_before:
            page.show_answers({"outcome": "done"})
        page.submitted.connect(told.append)
        window.show_page(page)
        QApplication.processEvents()
        clock.now += 3.5
        QTest.keyClick(page, Key.Key_Return)
    assert told == [{"took": 3, "outcome": "done"}, {"outcome": "done"}]
