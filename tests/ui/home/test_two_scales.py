"""Several scales on one page, in large text: each as easy to answer as the other."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication

from companion.presentation.view import page as view
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.controls import PainScale
from companion.ui.kit.theme import Theme, apply
from companion.ui.kit.window import PageWindow
from tests.tour_visit import settle

ASKED = ("How much does your right knee hurt now?", "How much does your left knee hurt now?")


@pytest.fixture
def page(window: PageWindow, qapp: QApplication) -> AskingPage:
    apply(qapp, Theme(text_percent=200))
    scales = (view.Scale(q, q, low="no pain", high="worst possible pain") for q in ASKED)
    asked = view.PageView("rest", "Pain now, at rest", (*scales,), main=view.Button("Next"))
    shown = AskingPage(asked)
    window.resize(1366, 768)
    window.show_page(shown)
    settle()
    return shown


def test_two_scales_have_their_boxes_in_the_same_places(page: AskingPage) -> None:
    first, second = page.findChildren(PainScale)
    assert first.width() == second.width()
    places = [[box.geometry() for box in scale.boxes] for scale in (first, second)]
    assert places[0] == places[1]


def test_in_a_small_window_the_eleven_boxes_of_each_stand_in_one_row(
    window: PageWindow, qapp: QApplication
) -> None:
    """Of three the first stood in two rows and the others in one, at 1024 by 600 pixels."""
    apply(qapp, Theme())
    scales = (
        view.Scale(str(n), q, low="no pain", high="worst possible pain", cannot_say="I can’t say")
        for n, q in enumerate((*ASKED, "How bad was the worst pain?"))
    )
    shown = AskingPage(view.PageView("p", "Pain", (*scales,), main=view.Button("Next")))
    window.resize(1024, 600)
    window.show_page(shown)
    settle()
    assert shown.scroll_bar().maximum() == 0
    for scale in shown.findChildren(PainScale):
        assert len({box.geometry().top() for box in scale.boxes}) == 1
        assert min(box.width() for box in scale.boxes) >= 40
