"""The bundled typeface, a face made for low vision, loaded from its package's files.

Without it a machine that has no fonts would show, and print, no words at all; so a missing or
unreadable file is an error here, not something to be quiet about.
"""

from __future__ import annotations

from PySide6.QtGui import QFontDatabase

from companion.system.font_files import FAMILY, FontFileError, font_files

_loaded: set[str] = set()


def load_fonts() -> str:
    """Load the regular and bold faces once in this process and return the family's name.

    Needs a QGuiApplication. Raises FontFileError when a file is absent or is not a font.
    """
    for path in font_files():
        if path.name in _loaded:
            continue
        font_id = QFontDatabase.addApplicationFont(str(path))
        if font_id == -1 or FAMILY not in QFontDatabase.applicationFontFamilies(font_id):
            raise FontFileError(
                f"The font file {path.name} cannot be read: install this program again."
            )
        _loaded.add(path.name)
    return FAMILY
