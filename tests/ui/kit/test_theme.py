"""Contrast, sizes and the font, measured."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QFontInfo, QFontMetricsF, QPalette
from PySide6.QtWidgets import QApplication, QLineEdit

from companion.canvas import fonts
from companion.canvas.fonts import load_fonts
from companion.system.font_files import FAMILY, FontFileError
from companion.ui.kit.theme import (
    HIGH_CONTRAST,
    LIGHT,
    PALETTES,
    Palette,
    Theme,
    Type,
    apply,
    current,
    faint_line,
    grown,
    qt_palette,
    style_sheet,
)
from companion.ui.kit.window import PageWindow
from tests.ui.kit.contrast import contrast_ratio

TEXT_PAIRS = (
    ("ink", "paper"),
    ("ink", "surface"),
    ("ink", "chosen"),
    ("quiet", "paper"),
    ("quiet", "surface"),
    ("quiet", "chosen"),
    ("action", "paper"),
    ("on_action", "action"),
    ("on_action", "action_pressed"),
    ("paper", "ink"),
    ("on_emergency", "emergency"),
    ("on_today", "today"),
    ("on_call", "call"),
    ("on_care", "care"),
)
EDGE_PAIRS = (
    ("line", "paper"),
    ("line", "surface"),
    ("action", "surface"),
    ("action", "chosen"),
    ("ring", "paper"),
    ("ring", "surface"),
    ("card_edge", "paper"),
)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # WCAG 2.2, definition of contrast ratio: white on black is 21:1, equal colours 1:1.
        ("#FFFFFF", "#000000", 21.0),
        ("#777777", "#777777", 1.0),
        # W3C, Understanding SC 1.4.3: #767676 on white is the lightest grey at 4.5:1; from memory.
        ("#767676", "#FFFFFF", 4.54),
        # Our own figures for the cards.
        ("#FFFFFF", "#A4003A", 8.0),
        ("#000000", "#F2AE3A", 10.9),
        ("#FFFFFF", "#004B87", 8.9),
    ],
)
def test_contrast_ratio_is_the_published_one(one: str, other: str, ratio: float) -> None:
    assert contrast_ratio(one, other) == pytest.approx(ratio, abs=0.06)
    assert contrast_ratio(other, one) == contrast_ratio(one, other)


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda p: p.name)
@pytest.mark.parametrize("pair", TEXT_PAIRS, ids=lambda p: f"{p[0]}-on-{p[1]}")
def test_text_reaches_seven_to_one(palette: Palette, pair: tuple[str, str]) -> None:
    # WCAG 2.2, SC 1.4.6 Contrast (Enhanced).
    assert contrast_ratio(getattr(palette, pair[0]), getattr(palette, pair[1])) >= 7


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda p: p.name)
def test_the_card_of_today_is_black_on_an_amber_of_our_own(palette: Palette) -> None:
    assert contrast_ratio(palette.on_today, palette.today) >= 10
    # One palette published for charts has exactly this amber.
    assert palette.today != "#FFB000"


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda p: p.name)
@pytest.mark.parametrize("pair", EDGE_PAIRS, ids=lambda p: f"{p[0]}-on-{p[1]}")
def test_edges_and_the_ring_reach_three_to_one(palette: Palette, pair: tuple[str, str]) -> None:
    # WCAG 2.2, SC 1.4.11 Non-text Contrast and SC 2.4.13 Focus Appearance.
    assert contrast_ratio(getattr(palette, pair[0]), getattr(palette, pair[1])) >= 3


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda p: p.name)
def test_qt_draws_placeholders_and_disabled_words_to_be_read(palette: Palette) -> None:
    made = qt_palette(palette)
    role, group = QPalette.ColorRole, QPalette.ColorGroup
    base = made.color(role.Base).name()
    assert contrast_ratio(made.color(role.PlaceholderText).name(), base) >= 7
    for target, ground in ((role.Text, role.Base), (role.ButtonText, role.Button)):
        words = made.color(group.Disabled, target).name()
        assert contrast_ratio(words, made.color(ground).name()) >= 7


@pytest.mark.parametrize("percent", [99, 401, 0, -100])
def test_a_text_size_outside_the_range_is_refused(percent: int) -> None:
    with pytest.raises(ValueError, match="100 and 400"):
        Theme(LIGHT, percent)


def test_sizes_follow_the_leaflet_and_double(qapp: QApplication) -> None:
    apply(qapp, Theme())
    for kind, points in ((Type.BODY, 16), (Type.HEADING, 26), (Type.LABEL, 14)):
        assert Theme().font(kind).pointSizeF() == points
        assert Theme(LIGHT, 200).font(kind).pointSizeF() == 2 * points
        assert kind.points >= 14
    assert Theme(LIGHT, 400).font(Type.BODY).pointSizeF() == 64
    large = {kind: Theme(LIGHT, 400).points(kind) for kind in Type}
    assert max(large[Type.HEADING], large[Type.PHONE]) <= 72, "a heading leaves room for the rest"
    assert large[Type.COUNT] == Theme(LIGHT, 200).points(Type.COUNT) <= 80
    pixels = QFontInfo(Theme().font(Type.BODY)).pixelSize()
    assert Theme().line_height(Type.BODY) == pytest.approx(1.45 * pixels)


def test_the_sheet_scales_in_points_only(qapp: QApplication) -> None:
    sizes = re.findall(r"font-size:\s*([\d.]+)(\w+)", style_sheet(Theme(LIGHT, 150)))
    assert {unit for _, unit in sizes} == {"pt"}
    assert {float(size) for size, _ in sizes} == {24.0, 21.0}


def test_a_change_of_theme_reaches_editors(window: PageWindow, qapp: QApplication) -> None:
    editor = QLineEdit(window)
    editor.ensurePolished()
    small = QFontMetricsF(editor.font()).height()
    apply(qapp, Theme(HIGH_CONTRAST, 200))
    editor.ensurePolished()
    assert QFontMetricsF(editor.font()).height() == pytest.approx(2 * small, rel=0.05)
    assert current() == Theme(HIGH_CONTRAST, 200)
    assert editor.palette().color(QPalette.ColorRole.Text).name().upper() == HIGH_CONTRAST.ink


def test_the_bundled_font_is_the_one_that_is_used(qapp: QApplication) -> None:
    assert load_fonts() == FAMILY
    info = QFontInfo(Theme().font(Type.HEADING))
    assert info.family() == FAMILY
    assert info.bold()


def test_a_missing_font_is_said_plainly(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "Regular.ttf"
    broken.write_bytes(b"not a font")
    monkeypatch.setattr(fonts, "font_files", lambda: (broken,))
    monkeypatch.setattr(fonts, "_loaded", set())
    with pytest.raises(FontFileError, match="cannot be read"):
        load_fonts()


@pytest.mark.parametrize("palette", PALETTES.values(), ids=lambda p: p.name)
def test_lines_between_rows_are_seen_and_weaker_than_edges(palette: Palette) -> None:
    under, line = QColor(palette.surface), faint_line(palette)
    share = line.alphaF()
    mixed = QColor.fromRgbF(
        line.redF() * share + under.redF() * (1 - share),
        line.greenF() * share + under.greenF() * (1 - share),
        line.blueF() * share + under.blueF() * (1 - share),
    )
    # Common practice, no source: a rule that only parts rows needs no 3:1, yet must not vanish.
    seen = contrast_ratio(mixed.name(), palette.surface)
    assert 1.6 <= seen < contrast_ratio(palette.line, palette.surface)


@pytest.mark.parametrize(
    ("size", "chosen", "percent"),
    [
        ((1024, 600), 100, 100),
        ((1919, 1200), 100, 100),
        ((1920, 1080), 100, 125),
        ((1920, 1080), 150, 190),
        ((2560, 1440), 100, 170),
        ((3840, 2160), 100, 200),
        ((3840, 2160), 200, 200),
        ((2560, 400), 100, 100),
        ((2560, 400), 150, 150),
    ],
)
def test_on_a_large_screen_the_type_grows_by_itself(
    size: tuple[int, int], chosen: int, percent: int
) -> None:
    """Up to the largest size there is, in steps of five, and never below what was chosen."""
    assert grown(chosen, *size) == percent


@pytest.mark.parametrize(("width", "height"), [(1366, 768), (1920, 1080)])
def test_the_letters_of_a_stage_are_twelve_millimetres_high(
    width: int, height: int, qapp: QApplication
) -> None:
    """On a screen of 15.6 inches; at 200 % no larger than they are on the largest screen."""
    load_fonts()
    millimetres = 15.6 * 25.4 / math.hypot(width, height)
    theme = Theme(LIGHT, grown(100, width, height))
    assert QFontMetricsF(theme.font(Type.STAGE)).capHeight() * millimetres >= 11.9
    assert Theme(LIGHT, 200).points(Type.STAGE) == Theme(LIGHT, 125).points(Type.STAGE)
