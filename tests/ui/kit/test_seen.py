"""Targets, focus and marks, measured on what is painted, in every palette and sight of colours.

WCAG 2.2: 1.4.11 asks 3:1 of what tells a control and its state apart, 2.4.7 and 2.4.13 of a focus
that is seen, 2.5.8 targets of 24 pixels; 1.4.1 that colour alone says nothing.
"""

from __future__ import annotations

from itertools import groupby, product

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from companion.ui.kit.buttons import ActionRow, DoorButton, MainButton, QuietButton, StopButton
from companion.ui.kit.controls import Choice, ChoiceList, PainScale, TextField, TickList
from companion.ui.kit.page import Page
from companion.ui.kit.theme import PALETTES, REACH, Palette, Theme, apply
from companion.ui.kit.window import PageWindow
from tests.ui.kit.colour_sight import SIGHTS, seen
from tests.ui.kit.contrast import contrast_ratio as contrast
from tests.ui.kit.gallery import settle

LEAST = 3.0
TARGET = 44
"""Pixels: the 24 of WCAG 2.2, 2.5.8 and the 44 of its 2.5.5, for hands that shake."""


def across(widget: QWidget) -> list[str]:
    """The colours from the left edge of a widget inwards, at half its height."""
    image: QImage = widget.window().grab().toImage()
    at = widget.mapTo(widget.window(), widget.rect().topLeft())
    middle = at.y() + widget.height() // 2
    return [image.pixelColor(at.x() + step, middle).name() for step in range(REACH + 6)]


def bands(colours: list[str]) -> list[tuple[str, int]]:
    """Runs of one colour, those softened at their edges left out."""
    runs = [(colour, len(list(group))) for colour, group in groupby(colours)]
    return [(colour, wide) for colour, wide in runs if wide > 1]


def controls() -> tuple[Page, dict[str, QWidget]]:
    page = Page("Seen")
    choices = [Choice(1, "Yes"), Choice(2, "No")]
    rows = page.add(ChoiceList("Same?", choices)).rows
    ticks = page.add(TickList("Which?", choices)).rows
    scale = page.add(PainScale("How much?", low="none", high="worst"))
    field = page.add(TextField("Where?"))
    found: dict[str, QWidget] = {
        "answer": rows[0],
        "chosen answer": rows[1],
        "tick": ticks[0],
        "ticked": ticks[1],
        "box": scale.boxes[3],
        "chosen box": scale.boxes[4],
        "field": field.frame,
        "row": page.add(ActionRow("Record")),
        "door": page.add(DoorButton("Visit", "By Tuesday")),
        "quiet": page.add(QuietButton("More")),
        "stop": page.add(StopButton("Stop")),
        "main": page.add(MainButton("Next")),
    }
    rows[1].setChecked(True)
    ticks[1].setChecked(True)
    scale.set_value(4)
    return page, found


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_each_control_and_its_focus_are_seen_by_everybody(
    palette: Palette, window: PageWindow, qapp: QApplication
) -> None:
    apply(qapp, Theme(palette))
    window.resize(900, 1700)
    page, found = controls()
    window.show_page(page)
    settle()
    poor = []
    for name, widget in found.items():
        page.heading.setFocus()
        settle()
        bare = bands(across(widget))
        (widget.focusProxy() or widget).setFocus(Qt.FocusReason.TabFocusReason)
        settle()
        ringed = bands(across(widget))
        paper = bare[0][0]
        assert (paper, bare[0][1]) == (palette.paper.lower(), REACH), f"{name}: {bare}"
        ring, wide = next((band for band in ringed if band[0] != paper), ("", 0))
        if wide < 2:
            poor.append(f"{name}: a ring of {wide} pixels in {ringed}")
            continue
        for sight in SIGHTS:
            against = contrast(seen(ring, sight), seen(paper, sight))
            if against < LEAST:
                poor.append(f"{name}, {sight}: ring {against:.2f}")
            edge = contrast(seen(bare[1][0], sight), seen(paper, sight))
            if edge < LEAST:
                poor.append(f"{name}, {sight}: edge {edge:.2f}")
    assert poor == []
    apply(qapp, Theme())


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES)
def test_what_is_chosen_is_told_by_more_than_its_colour(
    palette: Palette, window: PageWindow, qapp: QApplication
) -> None:
    """In shades of grey the chosen one of each pair still differs, by a mark or by its fill."""
    apply(qapp, Theme(palette))
    window.resize(900, 1700)
    page, found = controls()
    window.show_page(page)
    settle()
    for open_one, chosen in (
        ("answer", "chosen answer"),
        ("tick", "ticked"),
        ("box", "chosen box"),
    ):
        pictures = [found[name].grab().toImage() for name in (open_one, chosen)]
        wide = min(60, *(picture.width() for picture in pictures))
        strong = sum(
            contrast(*(seen(one.pixelColor(x, y).name(), "grey") for one in pictures)) >= LEAST
            for x, y in product(
                range(REACH, wide, 2), range(REACH, pictures[0].height() - REACH, 2)
            )
        )
        assert strong >= 20, f"{chosen}: {strong} points differ"
    apply(qapp, Theme())


def test_every_target_is_large(window: PageWindow) -> None:
    page, found = controls()
    window.resize(900, 1700)
    window.show_page(page)
    settle()
    small = {
        name: (widget.width() - 2 * REACH, widget.height() - 2 * REACH)
        for name, widget in found.items()
        if min(widget.width(), widget.height()) - 2 * REACH < TARGET
    }
    assert small == {}


def test_white_stays_white_in_every_sight() -> None:
    assert {seen("#ffffff", sight) for sight in SIGHTS} == {"#ffffff"}
    assert seen("#ff0000", "no red") != "#ff0000"
