"""Figures and letters from anywhere on a page can be switched off (WCAG 2.2, 2.1.4)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt

from companion.presentation.view.page import Button, Number, PageView
from companion.ui.clinic.clinic_page import ClinicPage, Way
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.buttons import QuietButton
from companion.ui.kit.controls import PainScale
from companion.ui.kit.keys import use_single_keys
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow
from tests.ui.kit.test_controls import press


@pytest.fixture(params=(True, False), ids=("on", "off"))
def wanted(request: pytest.FixtureRequest) -> Iterator[bool]:
    use_single_keys(request.param)
    yield request.param
    use_single_keys(True)


def test_figures_answer_from_elsewhere_only_where_that_is_wanted(
    wanted: bool, window: PageWindow
) -> None:
    page = Page("Rest pain")
    scale = page.add(PainScale("How much?", low="none", high="worst"))
    other = page.add(QuietButton("More"))
    window.show_page(page)
    other.setFocus()
    press(Qt.Key.Key_7)
    assert scale.value() == (7 if wanted else None)
    scale.boxes[0].setFocus()
    press(Qt.Key.Key_4)
    assert scale.value() == 4, "where the focus is they always answer"


def test_a_lone_field_takes_figures_from_elsewhere_only_where_that_is_wanted(
    wanted: bool, window: PageWindow
) -> None:
    page = AskingPage(
        PageView("far", "How far?", (Number("m", "Metres", "m", 0, 900),), Button("Next"))
    )
    window.show_page(page)
    press(Qt.Key.Key_7)
    assert page.answers_now() == {"m": 7 if wanted else None}


def test_letters_lead_on_only_where_that_is_wanted(wanted: bool, window: PageWindow) -> None:
    ways = (Way("people", "People", "P"), Way("export", "Export", "E"))
    page = ClinicPage("Review", ways, "people", contents_name="Pages")
    went: list[str] = []
    page.way_chosen.connect(went.append)
    window.show_page(page)
    press(Qt.Key.Key_E)
    assert went == (["export"] if wanted else [])
