"""What a refusal, fault or preview says, as it is read."""

from typing import Protocol

from companion.care.coded import Coded
from companion.presentation.language.said import said_words


class _Says(Protocol):
    @property
    def said(self) -> Coded | None: ...


def sentence(what: _Says) -> str:
    """Its sentence; "" where there is nothing to say."""
    return said_words(what.said) if what.said else ""
