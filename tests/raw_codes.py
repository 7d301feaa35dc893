"""What no page may show: a code, a dotted key, None, a piece of Python.

The texts are gathered from a view as frozen data, from a page of the window, or from a PDF.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QTableView, QWidget

from companion.care.coded import Coded
from companion.presentation.home.open_lines import Door
from companion.presentation.language.said import said_words
from companion.presentation.view.page import LookOverLine
from companion.ui.kit.buttons import Pressable
from companion.ui.kit.text import WrappedText

TYPED = "Steps <b>& rope</b> {2} %s"
"""What a person may type: marks that mean something to whoever puts text together."""

CODE = re.compile(r"\b[a-z0-9]+(?:_[a-z0-9]+)+\b")
_DOTTED = re.compile(
    r"\b[a-z_]{2,}(?:\.[a-z_]{2,})+\b(?<!\.homeknee)(?<!\.pdf)(?<!\.csv)(?<!\.ics)(?!/)"
)
_PYTHON = re.compile(
    r"\bTrue\b|\bFalse\b|\bnan\b|\binf\b|[{}]|<[\w.]+ object|\bdatetime\.|\bLiteral\b|\w\(\w+="
)
_NONE = re.compile(r"^None$|[^.!?:;“] None\b|: None\b(?! )|\bNone[,;)]")


def raw(said: str) -> list[str]:
    """What in a text is no word: a code, a dotted key, None, a piece of Python."""
    said = said.replace(TYPED, "it").replace("{2}", "2")
    return [
        found.group()
        for pattern in (CODE, _DOTTED, _PYTHON, _NONE)
        for found in pattern.finditer(said)
    ]


_UNSEEN = {"key", "name", "value", "submitted", "kind", "door"}
"""Fields of a page that name an answer or a page, and are shown nowhere."""


def said(view: Any) -> Iterator[str]:
    """Every text of a view: all strings but those of a code and of a name for an answer."""
    if isinstance(view, Enum):
        return
    if isinstance(view, str):
        yield view
    elif isinstance(view, Coded):
        yield said_words(view)
    elif is_dataclass(view) and not isinstance(view, type):
        for name in _shown_fields(type(view)):
            yield from said(getattr(view, name))
    elif isinstance(view, tuple | list):
        for each in view:
            yield from said(each)


@cache
def _shown_fields(cls: type[Any]) -> tuple[str, ...]:
    if cls.__module__.startswith("companion.picture") and "description" in cls.__annotations__:
        return ("description",)
    if cls is Door:  # the rest is where it leads
        return ("word", "line")
    if cls is LookOverLine:
        return ("name", "value", "lines")
    places = ("view.page", "plan_form", "plan_signing", "open_lines")
    unseen = _UNSEEN if cls.__module__.endswith(places) else set()
    return tuple(
        each.name
        for each in fields(cls)
        if each.name not in unseen and not str(each.type).startswith(("Literal", "Callable"))
    )


def on_page(page: QWidget) -> Iterator[str]:
    """Every text of a page of the window: shown, or told to a screen reader."""
    for part in [page, *page.findChildren(QWidget)]:
        yield part.accessibleName()
        yield part.accessibleDescription()
        if isinstance(part, WrappedText):
            yield part.text()
        if isinstance(part, Pressable):
            yield from (part.word, part.line)
        if isinstance(part, QTableView) and (model := part.model()) is not None:
            for column in range(model.columnCount()):
                yield str(model.headerData(column, Qt.Orientation.Horizontal) or "")
                for row in range(model.rowCount()):
                    yield str(model.index(row, column).data() or "")


def in_pdf(data: bytes) -> Iterator[str]:
    """Every line of a PDF."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "paper.pdf"
        path.write_bytes(data)
        command = ("pdftotext", "-layout", str(path), "-")
        done = subprocess.run(command, capture_output=True, text=True, check=True)
    yield from done.stdout.replace("\u00a0", " ").splitlines()


def codes_in(texts: Iterable[str]) -> list[str]:
    """The texts that show a code, each once."""
    return sorted({f"{code} in: {text}" for text in texts for code in raw(text)})
