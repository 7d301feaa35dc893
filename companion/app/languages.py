"""The language of what is shown and printed. English is the source; the others are loaded whole."""

import json
from pathlib import Path

from companion.app.exits import Refused
from companion.presentation.language.phrases import Forms, listed, phrase, speak
from companion.system.resources import resource

SOURCE = "en"
_COMPILED = "homeknee.mo"


def offered() -> tuple[str, ...]:
    """The languages there are: the source, and every one whose catalogue is whole."""
    others = resource("languages").glob(f"*/{_COMPILED}")
    return (SOURCE, *sorted(path.parent.name for path in others))


def choose(tag: str) -> None:
    """Say everything in this language. Raises Refused for one that is not there."""
    if tag not in offered():
        there = listed(offered())
        raise Refused(
            phrase("The language {tag} is not there. There are: {there}.", tag=tag, there=there)
        )
    if tag == SOURCE:
        speak(tag, None, Forms())
    else:
        _load(tag, resource("languages", tag))


def _load(tag: str, folder: Path) -> None:
    from gettext import GNUTranslations, NullTranslations

    from companion.presentation.language.translated import Translated

    class _Nothing(NullTranslations):
        """What is in no catalogue."""

        def gettext(self, message: str) -> str:
            return ""

        def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
            return ""

        def pgettext(self, context: str, message: str) -> str:
            return ""

        def npgettext(self, context: str, msgid1: str, msgid2: str, n: int) -> str:
            return ""

    with (folder / _COMPILED).open("rb") as file:
        catalogue = GNUTranslations(file)
    catalogue.add_fallback(_Nothing())
    forms = Forms()
    for name, value in json.loads((folder / "forms.json").read_bytes()).items():
        setattr(forms, name, tuple(value) if isinstance(value, list) else value)

    def find(text: str, many: str | None, context: str, n: int) -> str:
        if many is None:
            said = catalogue.pgettext(context, text) if context else catalogue.gettext(text)
            # A text whose plural is said elsewhere has one message with it.
            return said or (catalogue.ngettext(text, text, 1) if not context else "")
        if context:
            return catalogue.npgettext(context, text, many, n)
        return catalogue.ngettext(text, many, n)

    speak(tag, Translated(find, forms), forms)
