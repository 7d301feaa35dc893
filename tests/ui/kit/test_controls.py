"""What a person can do with each control, by keyboard and by mouse."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from companion.presentation.view.page import PhoneLine
from companion.ui.kit.buttons import ActionRow, ChoiceRow, TickRow
from companion.ui.kit.controls import (
    Bullets,
    Card,
    Choice,
    ChoiceList,
    HoldTimer,
    NoteField,
    NumberField,
    PainScale,
    Problem,
    Steps,
    TextField,
    TickList,
)
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph, one_line_width, set_text
from companion.ui.kit.theme import DARK, HIGH_CONTRAST, LIGHT, Palette, Theme, Type, apply
from companion.ui.kit.window import PageWindow
from tests.languages.pseudo import pseudo_spoken
from tests.ui.kit import accessibility
from tests.ui.kit.accessibility import Role
from tests.ui.kit.conftest import Shown
from tests.ui.kit.gallery import settle

Key = Qt.Key


def focus_name() -> str:
    focused = QApplication.focusWidget()
    return "" if focused is None else focused.accessibleName()


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    focused = QApplication.focusWidget()
    assert focused is not None
    QTest.keyClick(focused, key, modifier)


def type_words(words: str) -> None:
    focused = QApplication.focusWidget()
    assert focused is not None
    QTest.keyClicks(focused, words)


def scale_page() -> tuple[Page, PainScale, list[object]]:
    page = Page("How much did it hurt?")
    scale = page.add(
        PainScale(
            "How much did it hurt?",
            low="no pain",
            high="worst possible pain",
            cant_say="I cannot say",
        )
    )
    answers: list[object] = []
    scale.answered.connect(answers.append)
    return page, scale, answers


class TestPainScale:
    def test_begins_with_nothing(self, window: PageWindow) -> None:
        page, scale, _ = scale_page()
        window.show_page(page)
        assert scale.value() is None
        assert not scale.cannot_say()
        assert not any(s.checked for s in accessibility.walk(page))

    @pytest.mark.parametrize("score", range(10))
    def test_a_digit_answers_from_anywhere_on_the_page(
        self, window: PageWindow, score: int
    ) -> None:
        page, scale, answers = scale_page()
        window.show_page(page)
        assert QApplication.focusWidget() is page.heading
        press(Key(int(Key.Key_0) + score))
        assert answers == [score]
        assert scale.value() == score

    def test_t_is_ten(self, window: PageWindow) -> None:
        page, scale, answers = scale_page()
        window.show_page(page)
        press(Key.Key_T)
        assert scale.value() == 10
        assert answers == [10]

    def test_one_and_then_zero_is_ten_however_slowly(self, window: PageWindow) -> None:
        """It asks no clock: by one, a slow hand's worst pain was written down as none."""
        page, scale, answers = scale_page()
        window.show_page(page)
        press(Key.Key_1)
        assert scale.value() == 1
        press(Key.Key_0)
        press(Key.Key_0)
        assert answers == [1, 10, 0]
        press(Key.Key_1)
        press(Key.Key_Backspace)
        press(Key.Key_0)
        assert scale.value() == 0, "another key stood between"

    def test_an_arrow_between_one_and_zero_makes_them_two(self, window: PageWindow) -> None:
        page, scale, answers = scale_page()
        window.show_page(page)
        for key in (Key.Key_1, Key.Key_Right, Key.Key_0):
            press(key)
        assert scale.value() == 0
        assert answers == [1, 0]

    def test_backspace_takes_the_answer_away(self, window: PageWindow) -> None:
        page, scale, answers = scale_page()
        window.show_page(page)
        press(Key.Key_7)
        press(Key.Key_Backspace)
        assert scale.value() is None
        assert answers == [7, None]

    def test_arrows_move_and_do_not_answer(self, window: PageWindow) -> None:
        page, scale, answers = scale_page()
        window.show_page(page)
        scale.boxes[0].setFocus()
        press(Key.Key_Right)
        press(Key.Key_Right)
        assert focus_name() == "2"
        assert answers == []
        press(Key.Key_Space)
        assert answers == [2]
        press(Key.Key_Left)
        assert scale.value() == 2

    def test_a_second_press_keeps_the_answer(self, window: PageWindow) -> None:
        page, scale, answers = scale_page()
        window.show_page(page)
        for _ in range(2):
            QTest.mouseClick(scale.boxes[6], Qt.MouseButton.LeftButton)
        assert scale.value() == 6
        assert answers == [6, 6]

    def test_cannot_say_is_an_answer_of_its_own(self, window: PageWindow) -> None:
        page, scale, answers = scale_page()
        window.show_page(page)
        press(Key.Key_3)
        row = next(w for w in scale.findChildren(QWidget) if w.accessibleName() == "I cannot say")
        QTest.mouseClick(row, Qt.MouseButton.LeftButton)
        assert scale.cannot_say()
        assert scale.value() is None
        assert answers == [3, None]
        press(Key.Key_4)
        assert not scale.cannot_say()
        assert scale.value() == 4

    def test_tab_stops_once(self, window: PageWindow) -> None:
        page, _scale, _ = scale_page()
        page.main_button("Next")
        window.show_page(page)
        press(Key.Key_5)
        stops = []
        for _ in range(6):
            stops.append(focus_name())
            press(Key.Key_Tab)
        assert stops[:3] == ["5", "I cannot say", "Next"]

    def test_ends_are_said_with_their_words(self, window: PageWindow) -> None:
        page, _, _ = scale_page()
        window.show_page(page)
        settle()
        names = [s.name for s in accessibility.walk(page) if s.role is Role.RadioButton]
        assert names[0] == "0, no pain"
        assert names[10] == "10, worst possible pain"
        assert names[1:10] == [str(n) for n in range(1, 10)]

    @pytest.mark.parametrize(("percent", "rows"), [(100, 1), (200, 1)])
    def test_boxes_are_equal_and_keep_their_order(
        self, shown: Shown, percent: int, rows: int
    ) -> None:
        scales: list[PainScale] = []

        def build() -> Page:
            page, scale, _ = scale_page()
            scales.append(scale)
            return page

        shown(build, percent)
        boxes = scales[0].boxes
        assert len({box.y() for box in boxes}) == rows
        widths = [box.width() for box in boxes]
        assert max(widths) - min(widths) <= 1
        assert len({box.height() for box in boxes}) == 1
        places = [(box.y(), box.x()) for box in boxes]
        assert places == sorted(places)

    def test_a_score_off_the_scale_is_refused(self, qtbot: QtBot) -> None:
        scale = PainScale("Pain", low="no pain", high="worst possible pain")
        qtbot.addWidget(scale)
        with pytest.raises(ValueError, match="0-10"):
            scale.set_value(11)


def choice_page() -> tuple[Page, ChoiceList, list[object]]:
    page = Page("Skin")
    choices = page.add(
        ChoiceList("Skin", [Choice("a", "Clear"), Choice("b", "Itchy"), Choice("c", "A blister")])
    )
    answers: list[object] = []
    choices.chosen.connect(answers.append)
    return page, choices, answers


class TestChoiceList:
    def test_begins_with_nothing_and_digits_choose(self, window: PageWindow) -> None:
        page, choices, answers = choice_page()
        window.show_page(page)
        assert choices.value() is None
        press(Key.Key_2)
        assert answers == ["b"]
        press(Key.Key_4)
        press(Key.Key_0)
        assert choices.value() == "b"

    def test_one_at_a_time(self, window: PageWindow) -> None:
        page, choices, _ = choice_page()
        window.show_page(page)
        for row in (0, 2):
            QTest.mouseClick(choices.rows[row], Qt.MouseButton.LeftButton)
        assert [row.isChecked() for row in choices.rows] == [False, False, True]

    def test_arrows_move_and_do_not_choose(self, window: PageWindow) -> None:
        page, choices, answers = choice_page()
        window.show_page(page)
        choices.rows[0].setFocus()
        press(Key.Key_Down)
        assert focus_name() == "Itchy"
        assert answers == []

    def test_enter_on_a_row_goes_on_and_chooses_nothing(self, window: PageWindow) -> None:
        page, choices, answers = choice_page()
        pressed: list[bool] = []
        page.main_button("Next").clicked.connect(lambda: pressed.append(True))
        window.show_page(page)
        choices.rows[1].setFocus()
        press(Key.Key_Return)
        assert answers == []
        assert len(pressed) == 1

    def test_of_two_questions_figures_go_to_one_and_are_shown_there(
        self, window: PageWindow
    ) -> None:
        page, choices, answers = choice_page()
        other = page.add(ChoiceList("Other", [Choice(1, "One"), Choice(2, "Two")]))
        window.show_page(page)
        assert [row.figure for row in other.rows] == ["", ""]
        assert choices.rows[0].figure == "1"
        press(Key.Key_1)
        assert answers == ["a"]
        press(Key.Key_3)  # still here: no figure moves on by itself
        assert answers == ["a", "c"]
        press(Key.Key_Tab)
        assert [row.figure for row in other.rows] == ["1", "2"]
        assert choices.rows[0].figure == ""
        press(Key.Key_2)
        assert (choices.value(), other.value()) == ("c", 2)

    def test_the_whole_row_can_be_pressed(self, window: PageWindow) -> None:
        page, choices, answers = choice_page()
        window.show_page(page)
        settle()
        row = choices.rows[2]
        QTest.mouseClick(
            row, Qt.MouseButton.LeftButton, pos=QPoint(row.width() - 8, row.height() - 8)
        )
        assert answers == ["c"]


def stop_list_page() -> tuple[Page, TickList, list[bool]]:
    page = Page("Stop and check", stop=False, enter_presses_main=False)
    ticks = page.add(TickList("Signs", [Choice(1, "One"), Choice(2, "Two"), Choice(3, "Three")]))
    pressed: list[bool] = []
    page.main_button("Done").clicked.connect(lambda: pressed.append(True))
    return page, ticks, pressed


class TestStopList:
    @pytest.mark.parametrize("key", [Key.Key_Return, Key.Key_Enter])
    def test_enter_never_ticks_and_confirms_on_the_button_alone(
        self, window: PageWindow, key: Qt.Key
    ) -> None:
        page, ticks, pressed = stop_list_page()
        window.show_page(page)
        assert page.main is not None
        for start in (page.heading, *ticks.rows):
            start.setFocus()
            press(key)
        assert ticks.values() == ()
        assert pressed == []
        page.main.setFocus()
        press(key)
        assert pressed == [True], "a button that has the focus takes Enter"

    def test_space_ticks_and_unticks(self, window: PageWindow) -> None:
        page, ticks, _ = stop_list_page()
        changes: list[object] = []
        ticks.changed.connect(changes.append)
        window.show_page(page)
        ticks.rows[1].setFocus()
        press(Key.Key_Space)
        press(Key.Key_Down)
        press(Key.Key_Space)
        press(Key.Key_Space)
        assert changes == [(2,), (2, 3), (2,)]

    def test_digits_do_not_tick(self, window: PageWindow) -> None:
        page, ticks, _ = stop_list_page()
        window.show_page(page)
        press(Key.Key_1)
        assert ticks.values() == ()

    def test_space_and_the_mouse_confirm(self, window: PageWindow) -> None:
        page, _ticks, pressed = stop_list_page()
        window.show_page(page)
        assert page.main is not None
        page.main.setFocus()
        press(Key.Key_Space)
        QTest.mouseClick(page.main, Qt.MouseButton.LeftButton)
        assert len(pressed) == 2


class TestHoldTimer:
    def build(self, window: PageWindow) -> tuple[HoldTimer, list[float], list[str]]:
        now = [100.0]
        page = Page("Hold")
        hold = page.add(HoldTimer(10, clock=lambda: now[0]))
        said: list[str] = []
        hold.finished.connect(lambda: said.append("finished"))
        window.show_page(page)
        return hold, now, said

    def test_counts_only_after_ready(self, window: PageWindow) -> None:
        hold, now, _ = self.build(window)
        now[0] += 5
        hold.tick()
        assert hold.seconds_held() == 0
        hold.button.click()
        now[0] += 4.9
        hold.tick()
        assert hold.seconds_held() == 4
        hold.reset()

    def test_a_pause_is_not_counted(self, window: PageWindow) -> None:
        hold, now, _ = self.build(window)
        hold.button.click()
        now[0] += 3
        hold.button.click()
        now[0] += 60
        hold.button.click()
        now[0] += 2
        hold.tick()
        assert hold.seconds_held() == 5
        hold.pause()

    def test_ends_once_and_stays(self, window: PageWindow) -> None:
        hold, now, said = self.build(window)
        hold.start()
        for _ in range(5):
            now[0] += 4
            hold.tick()
        assert said == ["finished"]
        assert hold.seconds_held() == 10
        assert not hold.is_running()
        assert window.page() is not None
        assert window.page().heading_text() == "Hold"  # type: ignore[union-attr]

    def test_another_page_pauses_it(self, window: PageWindow) -> None:
        hold, now, _ = self.build(window)
        hold.start()
        now[0] += 3
        page = window.page()
        window.show_sheet(Page("Question"))
        assert not hold.is_running()
        now[0] += 30
        window.drop_sheet()
        assert window.page() is page
        assert hold.seconds_held() == 3

    def test_a_clock_that_stands_or_slips_never_takes_seconds_away(
        self, window: PageWindow
    ) -> None:
        hold, now, _ = self.build(window)
        hold.start()
        now[0] -= 50
        hold.tick()
        assert hold.seconds_held() == 0
        hold.pause()

    def test_a_count_against_the_clock_gets_ready_and_has_no_pause(
        self, window: PageWindow
    ) -> None:
        now = [0.0]
        page = Page("Count")
        hold = page.add(HoldTimer(30, get_ready_seconds=5, pausable=False, clock=lambda: now[0]))
        window.show_page(page)
        hold.button.click()
        now[0] += 4.5
        hold.tick()
        assert (hold.seconds_held(), hold.is_running()) == (0, True)
        now[0] += 20
        hold.tick()
        assert hold.seconds_held() == 19
        hold.button.click()
        assert (hold.seconds_held(), hold.is_running()) == (0, False)
        hold.button.click()
        now[0] += 34.9
        hold.tick()
        assert hold.seconds_held() == 29
        now[0] += 0.1
        hold.tick()
        assert (hold.seconds_held(), hold.is_finished()) == (30, True)

    def test_a_hold_of_nothing_is_refused(self) -> None:
        with pytest.raises(ValueError, match="at least one second"):
            HoldTimer(0)


class TestFields:
    @pytest.mark.parametrize(
        ("typed", "value", "problem"),
        [
            ("", None, False),
            ("45", 45, False),
            (" 45 ", 45, False),
            ("601", None, True),
            ("-1", None, True),
            ("4.5", None, True),
            ("nan", None, True),
            ("inf", None, True),
            ("1e2", None, True),
            ("ten", None, True),
        ],
    )
    def test_whole_numbers(
        self, window: PageWindow, typed: str, value: int | None, problem: bool
    ) -> None:
        page = Page("Amounts")
        field = page.add(NumberField("Stiff", unit="minutes", high=600))
        window.show_page(page)
        field.setFocus()
        type_words(typed)
        assert field.value() == value
        assert bool(field.problem()) is problem

    def test_digits_of_another_script_are_not_guessed_at(self, window: PageWindow) -> None:
        page = Page("Amounts")
        field = page.add(NumberField("Stiff", high=600))
        window.show_page(page)
        field.setFocus()
        editor = QApplication.focusWidget()
        assert isinstance(editor, QLineEdit)
        editor.insert("\N{ARABIC-INDIC DIGIT THREE}")
        assert field.value() is None
        assert field.problem()

    @pytest.mark.parametrize(("typed", "value"), [("1.5", 1.5), ("1,5", 1.5), ("1.55", None)])
    def test_parts_of_a_number(self, window: PageWindow, typed: str, value: float | None) -> None:
        page = Page("Amounts")
        field = page.add(NumberField("Walk", unit="km", high=50, decimals=1))
        window.show_page(page)
        field.setFocus()
        type_words(typed)
        assert field.value() == value

    def test_the_problem_is_said_when_the_field_is_left(self, window: PageWindow) -> None:
        page = Page("Amounts")
        field = page.add(NumberField("Stiff", unit="minutes", high=600))
        page.main_button("Next")
        window.show_page(page)
        field.setFocus()
        type_words("700")
        assert "Write a number" not in page.reading_text()
        press(Key.Key_Tab)
        assert "Write a number from 0 to 600." in page.reading_text()
        alerts = [s.name for s in accessibility.walk(page) if s.role is Role.AlertMessage]
        assert alerts == ["Write a number from 0 to 600."]

    def test_enter_in_a_line_goes_on_and_in_a_note_begins_a_line(self, window: PageWindow) -> None:
        page = Page("Words")
        line = page.add(TextField("Name"))
        note = page.add(NoteField("Note"))
        pressed: list[bool] = []
        page.main_button("Next").clicked.connect(lambda: pressed.append(True))
        window.show_page(page)
        line.setFocus()
        type_words("steps")
        press(Key.Key_Return)
        assert len(pressed) == 1
        note.setFocus()
        type_words("one")
        press(Key.Key_Return)
        type_words("two")
        assert note.text() == "one\ntwo"
        assert len(pressed) == 1
        press(Key.Key_Tab)
        assert focus_name() == "Next"

    def test_a_note_that_is_too_long_is_cut_and_said(self, window: PageWindow) -> None:
        page = Page("Words")
        note = page.add(NoteField("Note", most_characters=5))
        window.show_page(page)
        note.setFocus()
        type_words("abcdefgh")
        assert note.text() == "abcde"
        assert "A note holds 5 letters" in page.reading_text()

    def test_digits_typed_into_a_field_answer_nothing_else(self, window: PageWindow) -> None:
        page, scale, answers = scale_page()
        field = page.add(NumberField("Stiff"))
        window.show_page(page)
        field.setFocus()
        type_words("7")
        assert field.value() == 7
        assert answers == []
        assert scale.value() is None


def test_texts_are_shown_as_typed(window: PageWindow) -> None:
    page = Page("<b>Heading</b> & more")
    page.add(Paragraph("<img src='x'> 1 < 2 & 3 > 2"))
    row = page.add(ActionRow("Salt & vinegar"))
    window.show_page(page)
    names = [s.name for s in accessibility.walk(page)]
    assert "<b>Heading</b> & more" in names
    assert "<img src='x'> 1 < 2 & 3 > 2" in names
    assert row.accessibleName() == "Salt & vinegar"


def test_a_card_is_read_with_its_level_actions_and_numbers(window: PageWindow) -> None:
    page = Page("Now")
    page.add(
        Card("today", "Be seen today", ["Rest.", "Call."], [PhoneLine("Clinic", "0555 1", "8-17")])
    )
    window.show_page(page)
    settle()
    text = page.reading_text()
    lines = text.splitlines()
    assert lines == [
        "Now",
        "Today",
        "Be seen today",
        "0555 1",
        "Clinic, 8-17",
        "1. Rest.",
        "2. Call.",
    ]
    group = next(s for s in accessibility.walk(page) if s.role is Role.Grouping)
    assert group.name == "Today"


def test_lists_are_lists(window: PageWindow) -> None:
    page = Page("How")
    page.add(Bullets(["A chair."]))
    page.add(Steps(["Sit.", "Push."], start=4))
    window.show_page(page)
    seen = accessibility.walk(page)
    assert [s.name for s in seen if s.role is Role.ListItem] == ["A chair.", "4. Sit.", "5. Push."]


def test_a_problem_takes_no_room_until_there_is_one(window: PageWindow) -> None:
    page = Page("File")
    problem = page.add(Problem())
    window.show_page(page)
    settle()
    assert not problem.isVisible()
    problem.set_text("This file is damaged. Nothing was taken in.")
    settle()
    assert problem.isVisible()
    assert problem.height() > 0


@pytest.mark.parametrize("palette", [LIGHT, DARK, HIGH_CONTRAST], ids=["light", "dark", "contrast"])
def test_a_row_under_the_pointer_never_looks_like_one_that_was_chosen(
    qtbot: QtBot, qapp: QApplication, palette: Palette
) -> None:
    """Both were painted alike: whatever lay under the pointer looked ticked."""
    apply(qapp, Theme(palette))
    for make in (ChoiceRow, TickRow):
        row = make("A blister")
        qtbot.addWidget(row)
        row.resize(400, 80)
        ground = row.grab().toImage().pixelColor(380, 40)
        row.setAttribute(Qt.WidgetAttribute.WA_UnderMouse)
        assert row.underMouse()
        assert row.grab().toImage().pixelColor(380, 40) == ground
        row.setAttribute(Qt.WidgetAttribute.WA_UnderMouse, on=False)
        row.setChecked(True)
        assert row.grab().toImage().pixelColor(380, 40) != ground


def test_a_number_is_read_with_the_decimal_sign_of_the_language(qapp: QApplication) -> None:
    with pseudo_spoken():
        field = NumberField("Walk", unit="km", high=50, decimals=1)
        field.set_value(1.5)
        editor = field.findChild(QLineEdit)
        assert isinstance(editor, QLineEdit)
        assert "." not in editor.text()
        assert field.value() == 1.5


@pytest.mark.parametrize("words", ["teď", "Ýóóúúŕ ćááŕď", "My record"])
def test_one_line_is_as_wide_as_the_ink_of_its_last_letter(qapp: QApplication, words: str) -> None:
    for kind in Type:
        wide = one_line_width(words, kind, Theme())
        assert set_text(words, kind, Theme(), wide).lines == 1, kind
