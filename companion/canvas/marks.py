"""What a thing on a page is, said while it is painted: for whoever hears the page read.

A paper that is tagged (`paper/tagged`) listens while it is painted; elsewhere nobody does, and
nothing here costs anything. Words that nobody said anything of are a paragraph in the order in
which they are painted.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Literal, Protocol

from PySide6.QtGui import QPainter

Role = Literal["H1", "H2", "P", "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "Figure"]
"""Structure types of PDF (ISO 32000-1, 14.8.4, from memory)."""


@dataclass(frozen=True, slots=True, eq=False)
class Tag:
    """One thing of a page. What is painted in several places under the same tag is one thing.
    `inside` is what it is part of; `alt` says a picture in words; `scope` is what of its table a
    heading of it is for."""

    role: Role
    inside: Tag | None = None
    alt: str = ""
    scope: Literal["", "Row", "Column"] = ""


PARAGRAPH = Tag("P")
"""Words of which nothing else is said; each is a paragraph of its own."""


class Listener(Protocol):
    """Who hears what is painted."""

    def begin(self, painter: QPainter, tag: Tag) -> bool:
        """From here on it is this; False where it is part of what began before."""

    def end(self, painter: QPainter) -> None:
        """What began last ends here."""

    def hush(self, *, on: bool) -> None:
        """What is painted between is for the eye alone: head, foot and lines of a page."""


_listening: ContextVar[Listener | None] = ContextVar("_listening", default=None)
"""Of one thread alone: a window paints while a paper is made beside it."""


@contextmanager
def heard_by(listener: Listener) -> Iterator[None]:
    """Let somebody hear what is painted meanwhile."""
    before = _listening.set(listener)
    try:
        yield
    finally:
        _listening.reset(before)


@contextmanager
def tagged(painter: QPainter, tag: Tag | None) -> Iterator[None]:
    """What is painted meanwhile is this."""
    listener = _listening.get()
    if tag is None or listener is None or not listener.begin(painter, tag):
        yield
        return
    try:
        yield
    finally:
        listener.end(painter)


@contextmanager
def for_the_eye() -> Iterator[None]:
    """What is painted meanwhile is not read out."""
    listener = _listening.get()
    if listener is not None:
        listener.hush(on=True)
    try:
        yield
    finally:
        if listener is not None:
            listener.hush(on=False)
