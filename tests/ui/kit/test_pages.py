"""Every page of the gallery, in every size: named for a screen reader, and nothing clipped."""

from __future__ import annotations

from itertools import cycle

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QApplication

from companion.ui.kit.buttons import Pressable
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import PALETTES, Theme, apply
from companion.ui.kit.window import LEAST_SIZE, SMALLEST, PageWindow
from tests.ui.kit import accessibility, clipping
from tests.ui.kit.conftest import Shown
from tests.ui.kit.gallery import PAGES, settle

STOPLESS = ("stop", "cards", "fault")
"""Pages after Stop."""
SIZES = ((1024, 600), (1366, 768), LEAST_SIZE)


@pytest.mark.parametrize("percent", [100, 150, 200])
@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_clipped_in_any_window(
    shown: Shown, window: PageWindow, name: str, percent: int
) -> None:
    page = shown(PAGES[name], percent)
    assert (page.bar.stop is None) == (name in STOPLESS)
    stop_is_in_its_place(page)
    for size in SIZES:
        window.resize(*size)
        settle()
        assert window.size().toTuple() == size
        assert clipping.faults(page) == [], size
        assert clipping.overlaps(page) == [], size
        assert clipping.beyond_the_column(page.column) == [], size


@pytest.mark.parametrize(("percent", "size"), [(300, SIZES[1]), (400, SIZES[0])])
def test_very_large_text_is_whole_on_common_screens(
    shown: Shown, percent: int, size: tuple[int, int]
) -> None:
    """Twice what WCAG 2.2, 1.4.4 asks. In smaller windows words of very large text are broken."""
    for name, build in PAGES.items():
        page = shown(build, percent, size)
        assert clipping.faults(page) == [], name
        assert clipping.overlaps(page) == [], name
        assert page.column.visibleRegion().boundingRect().height() >= 150, name


@pytest.mark.parametrize("name", PAGES)
def test_on_the_smallest_screen_everything_is_reached_by_scrolling(
    shown: Shown, window: PageWindow, name: str
) -> None:
    page = shown(PAGES[name])
    window.setMinimumSize(*SMALLEST)
    buttons = page.bar.buttons()
    for size in (SMALLEST, (1024, 600), SMALLEST):
        window.resize(*size)
        settle()
        assert clipping.faults(page) == [], size
        assert clipping.overlaps(page) == [], size
        assert all(button.isVisible() for button in buttons)
    assert page.bar.height() <= 90
    window.resize(1024, 600)
    settle()
    assert page.bar.buttons() == buttons


def stop_is_in_its_place(page: Page) -> None:
    """Low on the right and large, where there is a Stop."""
    stop = page.bar.stop
    if stop is None:
        return
    corner = stop.mapTo(page, QPoint(stop.width(), stop.height()))
    assert stop.height() >= 64
    assert stop.width() >= 64
    # The bar grows past the column only where its words need it, and then to both sides alike.
    assert page.height() - corner.y() <= 8
    assert corner.x() >= page.width() / 2 + 720 / 2 - 1


@pytest.mark.parametrize("name", PAGES)
def test_every_control_has_a_name_and_a_role_and_none_is_a_window(
    shown: Shown, qapp: QApplication, name: str
) -> None:
    page = shown(PAGES[name])
    # A part shown before it has its place would be a window, and take the focus.
    assert [w for w in qapp.topLevelWidgets() if w.isVisible()] == [page.window()]
    assert qapp.activeWindow() is page.window()
    assert qapp.focusWidget() is not None
    assert accessibility.faults(page) == []
    headings = [s for s in accessibility.walk(page) if s.role is accessibility.Role.Heading]
    assert headings[0].name == page.heading_text()


@pytest.mark.parametrize("name", PAGES)
def test_a_change_of_theme_reaches_a_page_that_is_shown(
    shown: Shown, qapp: QApplication, name: str
) -> None:
    """Colours move nothing, so each palette comes with a size of its own."""
    page = shown(PAGES[name])
    for palette, percent in zip(cycle(PALETTES.values()), (200, 100, 170), strict=False):
        apply(qapp, Theme(palette, percent))
        settle()
        assert clipping.faults(page) == [], (palette.name, percent)


def words_in_sight(page: Page) -> list[str]:
    return [button.word for button in page.findChildren(Pressable) if button.isVisible()]


@pytest.mark.parametrize("name", PAGES)
def test_everything_can_be_scrolled_to_and_the_page_says_so(shown: Shown, name: str) -> None:
    page = shown(PAGES[name], 200)
    bar = page.scroll_bar()
    if bar.maximum() == 0:
        pytest.skip("fits without scrolling")
    assert bar.isVisible()
    assert bar.width() >= 20
    assert "More below" in words_in_sight(page)
    assert "More below" not in [s.name for s in accessibility.walk(page)], "a reader has it all"
    bar.setValue(bar.maximum())
    settle()
    assert "End of this page" in words_in_sight(page)
    column = page.column
    lowest = column.mapTo(page, QPoint(0, column.height())).y()
    # The end of the column lies above the button and the bar, never under them.
    assert lowest <= page.bar.mapTo(page, QPoint(0, 0)).y()


@pytest.mark.parametrize("stop", [True, False])
def test_the_line_that_says_more_follows_stands_in_the_bar(shown: Shown, stop: bool) -> None:
    """On a card too, where there is no Stop: every line of reading counts."""

    def build() -> Page:
        page = Page("Card", stop=stop, back=False)
        page.add(Paragraph("Call the clinic. " * 80))
        return page

    page = shown(build, 200)
    more = next(b for b in page.bar.findChildren(Pressable) if b.word == "More below")
    assert more.isVisible()
    for button in page.bar.buttons():
        assert not more.geometry().intersects(button.geometry())
    assert page.bar.rect().contains(more.geometry())
