"""What a screen reader is told of a page, with accessibility switched on before it is made."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QApplication, QWidget

from companion.presentation.view.page import (
    Button,
    CardBlock,
    Choose,
    Option,
    PageView,
    PhoneLine,
    Scale,
    Text,
)
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.chart import ChartView
from companion.ui.kit.controls import (
    Bullets,
    Card,
    HoldTimer,
    LevelGroup,
    Notice,
    NumberField,
    PainScale,
    SubHeading,
)
from companion.ui.kit.facts import FactList
from companion.ui.kit.page import Page
from companion.ui.kit.side_by_side import SideBySide
from companion.ui.kit.window import PageWindow
from tests.ui.kit import accessibility
from tests.ui.kit.accessibility import Role, Said
from tests.ui.kit.gallery import day_chart, settle
from tests.ui.kit.test_controls import press


@pytest.fixture(autouse=True)
def reader_runs() -> Iterator[None]:
    with accessibility.switched_on():
        yield


def told(page: QWidget) -> list[tuple[str, str]]:
    """Roles and names, without the boxes that only hold others."""
    seen = accessibility.walk(page)
    return [(one.role.name, one.name) for one in seen if one.role is not Role.Client]


def test_everything_keeps_its_role_while_a_reader_runs(window: PageWindow) -> None:
    page = Page("How it goes")
    page.add(SubHeading("Your knee"))
    page.add(Bullets(["Warm.", "Not swollen."]))
    page.add(FactList([("Hand", "Your whole flat hand"), ("Time", "Two minutes")]))
    page.add(SideBySide(("Here", "There"), [("Average", ("3", "4"))]))
    page.add(Notice("It hurts more than 5 of 10.", heading="Stop this step if"))
    page.add(LevelGroup("call", "Call your clinic", Bullets(["A lump."])))
    page.add(Card("today", "Be seen today", ["Rest.", "Call."], [PhoneLine("Clinic", "0555 1")]))
    window.show_page(page)
    settle()
    assert accessibility.page_faults(page) == []
    seen = told(page)
    start = seen.index(("Heading", "How it goes"))
    assert seen[start : start + 24] == [
        ("Heading", "How it goes"),
        ("Heading", "Your knee"),
        ("List", ""),
        ("ListItem", "Warm."),
        ("ListItem", "Not swollen."),
        ("List", ""),
        ("ListItem", "Hand: Your whole flat hand"),
        ("ListItem", "Time: Two minutes"),
        ("Heading", "Here"),
        ("StaticText", "Average: 3"),
        ("Heading", "There"),
        ("StaticText", "Average: 4"),
        ("Heading", "Stop this step if"),
        ("StaticText", "It hurts more than 5 of 10."),
        ("Heading", "Call your clinic"),
        ("List", ""),
        ("ListItem", "A lump."),
        ("Grouping", "Today"),
        ("Heading", "Be seen today"),
        ("StaticText", "0555 1"),
        ("StaticText", "Clinic"),
        ("List", ""),
        ("ListItem", "1. Rest."),
        ("ListItem", "2. Call."),
    ]


def test_what_is_wrong_is_found(window: PageWindow) -> None:
    page = Page("How it goes")
    page.add(Bullets([""]))
    page.add(SubHeading("Twice"))
    page.add(SubHeading("Twice"))
    lost = page.add(PainScale("", low="none", high="worst"))
    window.show_page(page)
    settle()
    found = "\n".join(accessibility.page_faults(page))
    assert "an empty ListItem" in found
    assert '"Twice" is said twice' in found
    assert 'the answer "0, none" belongs to no question' in found
    lost.hide()


def asking(*blocks: object, heading: str = "Before") -> AskingPage:
    return AskingPage(
        PageView(
            key="page",
            heading=heading,
            above="Right knee, round 1, step 2 of 4",
            mark="Practice plan",
            blocks=blocks,  # type: ignore[arg-type]
            main=Button("Next"),
        )
    )


SCALE = Scale("pain", "How much does it hurt?", low="no pain", high="worst pain")
SAME = Choose("same", "Was it the same?", (Option("yes", "Yes"), Option("no", "No")), needed=True)


def test_a_page_comes_with_one_focus_and_one_word_before_its_first_answer(
    window: PageWindow, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.show_page(asking(SAME))
    settle()
    heard = accessibility.listening(monkeypatch)
    went: list[QWidget | None] = []

    def note(_old: QWidget | None, new: QWidget | None) -> None:
        went.append(new)

    qapp.focusChanged.connect(note)
    page = asking(Text("Sit down."), SCALE)
    window.show_page(page)
    settle()
    assert went == [page.heading]
    assert heard == [Said("Right knee, round 1, step 2 of 4. Practice plan. Sit down.")]
    window.show_page(asking(SCALE, heading="How much does it hurt?"))
    assert heard[1:] == [Said("Right knee, round 1, step 2 of 4. Practice plan.")], (
        "what the heading says is not said again"
    )
    sheet = Page("Help")
    went.clear()
    window.show_sheet(sheet)
    window.drop_sheet()
    current = window.page()
    assert current is not None
    assert went == [sheet.heading, current.heading]
    qapp.focusChanged.disconnect(note)


def test_an_emergency_is_said_at_once_with_its_number_first(
    window: PageWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard = accessibility.listening(monkeypatch)
    card = CardBlock("emergency", "Chest pain", ("Sit down.",), (PhoneLine("Ambulance", "112"),))
    window.show_page(asking(card, heading="What to do now"))
    assert heard == [
        Said(
            "Emergency. Call 112 now. Chest pain. Right knee, round 1, step 2 of 4. Practice plan.",
            at_once=True,
        )
    ]


def test_what_is_missing_is_named_once_with_its_question_and_goes_with_the_answer(
    window: PageWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = asking(SAME, Choose("more", "And more?", SAME.options, needed=True))
    window.show_page(page)
    settle()
    heard = accessibility.listening(monkeypatch)
    assert page.main is not None
    page.main.click()
    focused = QApplication.focusWidget()
    assert focused is not None
    assert focused.accessibleName() == "Was it the same?"
    assert focused.accessibleDescription() == "Choose an answer first."
    assert heard == [], "the focus tells it; more would be twice"
    page.main.click()
    assert heard == [Said("Was it the same? Choose an answer first.")], "the focus was there"
    press(Qt.Key.Key_1)
    assert focused.accessibleDescription() == ""
    gone = [words for role, words in told(page) if role == "AlertMessage"]
    assert gone == ["Choose an answer first."], "that of the other question stays"


def test_a_field_carries_what_is_wrong_with_it(window: PageWindow) -> None:
    page = Page("Amount")
    field = page.add(NumberField("How far?", unit="m", high=600, hint="Leave it empty if unsure."))
    window.show_page(page)
    field.show_problem("Write a number from 0 to 600.")
    editor = field.focusProxy()
    assert editor is not None
    said = editor.accessibleDescription()
    assert said == "Write a number from 0 to 600. Leave it empty if unsure."
    field.show_problem("")
    assert editor.accessibleDescription() == "Leave it empty if unsure."


def test_each_answer_says_which_of_how_many_it_is(window: PageWindow) -> None:
    page = asking(SAME, SCALE)
    window.show_page(page)
    settle()
    rows = [seen for seen in accessibility.walk(page) if seen.role is Role.RadioButton]
    assert [(row.name, row.description) for row in rows[:2]] == [
        ("Yes", "1 of 2"),
        ("No", "2 of 2"),
    ]
    assert rows[2].name == "0, no pain"
    assert ("StaticText", "no pain") not in told(page), "it is said with its box"


def test_a_hold_is_a_value_and_is_heard_at_its_start_half_and_end(
    window: PageWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [0.0]
    page = Page("Hold")
    hold = page.add(HoldTimer(30, clock=lambda: now[0]))
    window.show_page(page)
    settle()
    heard = accessibility.listening(monkeypatch)
    hold.start()
    for at in (5, 15, 20, 30):
        now[0] = at
        hold.tick()
    assert [said.words for said in heard] == [
        "Hold for 30 seconds",
        "Half",
        "30 seconds held",
    ]
    assert not any(said.at_once for said in heard)
    bar = next(
        interface
        for interface in accessibility.interfaces(hold)
        if interface.role() is Role.ProgressBar
    )
    assert bar.text(QAccessible.Text.Name) == "Hold for 30 seconds"
    value = bar.valueInterface()
    assert (value.currentValue(), value.minimumValue(), value.maximumValue()) == (30, 0, 30)


def test_a_chart_is_one_thing(window: PageWindow) -> None:
    page = Page("Pain")
    page.add(ChartView(day_chart()))
    window.show_page(page)
    settle()
    roles = [role for role, _ in told(page)]
    assert roles.count("Chart") == 1
    assert "Graphic" not in roles
