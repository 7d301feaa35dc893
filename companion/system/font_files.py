"""Where the bundled font lies. One place for screen and paper; nothing is loaded here."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

FAMILY = "Atkinson Hyperlegible"
_PACKAGE = "fontpkg_atkinson_hyperlegible"
_NAMES = ("AtkinsonHyperlegible-Regular.ttf", "AtkinsonHyperlegible-Bold.ttf")


class FontFileError(Exception):
    """The bundled font is not there; the text is one plain sentence."""


def font_files() -> tuple[Path, Path]:
    """The regular and the bold face of `FAMILY`, as files that exist.

    Raises FontFileError. Without them a machine that has no fonts prints pages with no words,
    and says nothing about it.
    """
    spec = find_spec(_PACKAGE)
    places = list(spec.submodule_search_locations or ()) if spec is not None else []
    for place in places:
        regular, bold = (Path(place, "files", name) for name in _NAMES)
        if regular.is_file() and bold.is_file():
            return regular, bold
    raise FontFileError(
        "The font Atkinson Hyperlegible is missing: install this program again with its packages."
    )
