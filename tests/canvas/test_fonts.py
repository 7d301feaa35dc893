"""The bundled font is there, and its absence is an error with a sentence, never silence."""

from __future__ import annotations

import pytest

from companion.canvas.fonts import load_fonts
from companion.canvas.typesetting import TextStyle, application, text_width
from companion.system import font_files
from companion.system.font_files import FAMILY, FontFileError


def test_both_faces_are_truetype_files() -> None:
    # The first four bytes of a TrueType font are 00 01 00 00 (OpenType specification, "sfnt").
    for path in font_files.font_files():
        assert path.read_bytes()[:4] == b"\x00\x01\x00\x00"


def test_a_missing_font_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(font_files, "_NAMES", ("Regular.ttf", "Bold.ttf"))
    with pytest.raises(FontFileError, match=FAMILY):
        font_files.font_files()
    monkeypatch.setattr(font_files, "_PACKAGE", "no_such_font_package")
    with pytest.raises(FontFileError, match="install this program again"):
        font_files.font_files()


def test_the_loaded_face_is_used_and_bold_is_wider() -> None:
    application()
    load_fonts()
    plain = TextStyle(12)
    assert 0 < text_width("kneecap", plain) < text_width("kneecap", plain.with_bold())
    # Metrics are linear: twice the size, twice the width.
    assert text_width("kneecap", TextStyle(24)) == pytest.approx(
        2 * text_width("kneecap", plain), rel=1e-3
    )
