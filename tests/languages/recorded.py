"""What `phrase` is really given, while something is shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager

from companion.presentation.language import phrases
from companion.presentation.language.holes import CLOSED, members
from companion.presentation.language.phrases import Forms, Rendered
from companion.presentation.language.translated import Translated
from tests.languages.code_texts import Text
from tests.languages.template import HOLE, texts


def said_by(change: Callable[[str], str]) -> Translated:
    """A language whose sentences are the English ones, changed."""
    return Translated(
        lambda text, many, _context, n: change(text if many is None or n == 1 else many), Forms()
    )


def forms_by(change: Callable[[str], str]) -> Forms:
    """The English forms of days and lists, their words changed."""
    made = Forms()
    for name in ("weekdays", "months", "short_months"):
        setattr(made, name, tuple(map(change, getattr(made, name))))
    for name in ("last_of_two", "last_of_many"):
        setattr(made, name, change(getattr(made, name)))
    return made


marked = said_by(lambda text: f"<{text}>")


class Recorded:
    """The texts that were given, and what filled a closed hole with words that are not its own."""

    def __init__(self) -> None:
        self.texts: set[Text] = set()
        self.loose: set[tuple[str, str, str]] = set()

    def _say(self, text: str, many: str | None, context: str, values: Mapping[str, object]) -> str:
        for name in CLOSED:
            held = values.get(name)
            if "{" + name + "}" in text and not (
                isinstance(held, Rendered) and held.english in members(name, text)
            ):
                self.loose.add((text, name, str(held)))
        return self._said(text, many, context, values)

    def _find(self, text: str, many: str | None, context: str, n: int) -> str:
        self.texts.add(Text(text, many, context))
        return text if many is None or n == 1 else many

    def unknown(self) -> list[str]:
        """What no translator would be given; what fills a closed hole and is not of its words."""
        known = {(text.context, text.one): text for text in texts()}
        missed = [
            f"{text.one!r} is in no catalogue"
            for text in self.texts
            if any(letter.isalpha() for letter in HOLE.sub("", text.one))
            and (text.context, text.one) not in known
        ]
        return sorted(
            [*missed, *(f"{text!r}: {{{hole}}} is {held!r}" for text, hole, held in self.loose)]
        )

    @contextmanager
    def listening(self) -> Iterator[None]:
        """While this lasts, texts are kept; everything is said in English."""
        self._said = Translated(self._find, Forms())
        before = phrases._translate
        phrases._translate = self._say
        try:
            yield
        finally:
            phrases._translate = before
