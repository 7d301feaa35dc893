"""The bundled typeface, a face made for low vision, loaded from its package's files.

Without it a machine that has no fonts would show, and print, no words at all; so a missing or
unreadable file is an error here, not something to be quiet about.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from PySide6.QtGui import QFontDatabase

FAMILY = "Atkinson Hyperlegible"
FILES = ("AtkinsonHyperlegible-Regular.ttf", "AtkinsonHyperlegible-Bold.ttf")

_PACKAGE = "fontpkg_atkinson_hyperlegible"
_loaded: set[str] = set()


class FontMissing(RuntimeError):
    """The bundled font is not installed or cannot be read."""


def font_files() -> tuple[Path, ...]:
    """Where the regular and the bold face lie. Raises FontMissing when they do not.

    `find_spec` finds the package folder without reading the metadata of every installed package.
    """
    spec = find_spec(_PACKAGE)
    if spec is None or spec.origin is None:
        raise FontMissing(f"The font package {_PACKAGE} is not installed. Run the setup again.")
    folder = Path(spec.origin).parent / "files"
    paths = tuple(folder / name for name in FILES)
    for path in paths:
        if not path.is_file():
            raise FontMissing(f"The font file {path.name} is missing. Run the setup again.")
    return paths


def load_fonts() -> str:
    """Load the regular and bold faces once in this process and return the family's name.

    Needs a QGuiApplication. Raises FontMissing when a file is absent or is not a font.
    """
    for path in font_files():
        if path.name in _loaded:
            continue
        font_id = QFontDatabase.addApplicationFont(str(path))
        if font_id == -1 or FAMILY not in QFontDatabase.applicationFontFamilies(font_id):
            raise FontMissing(f"The font file {path.name} cannot be read. Run the setup again.")
        _loaded.add(path.name)
    return FAMILY
