"""The language of what is shown and printed. English is the source; the others are loaded whole."""

import json
from contextlib import suppress
from pathlib import Path

from companion.app.exits import Refused
from companion.presentation.language.phrases import Forms, listed, phrase, speak, spoken
from companion.services.settings import ENGLISH, Language, language_of, read_settings
from companion.system.machine import desktop_languages
from companion.system.resources import COMPILED, whole_languages
from companion.system.settings import SettingsFile


def offered() -> tuple[Language, ...]:
    """The languages there are: English, and every one whose catalogue is whole."""
    found = {ENGLISH: Forms()}
    for tag, folder in whole_languages().items():
        with suppress(OSError, ValueError):
            found[tag] = _forms(folder)
    return tuple(
        Language(tag=tag, name=forms.name, unread=forms.unread) for tag, forms in found.items()
    )


def choose(tag: str) -> None:
    """Say everything in this language. Raises Refused for one that is not there."""
    whole = whole_languages()
    if tag != ENGLISH and tag not in whole:
        there = listed((ENGLISH, *whole))
        raise Refused(
            phrase("The language {tag} is not there. There are: {there}.", tag=tag, there=there)
        )
    if tag == ENGLISH:
        speak(tag, None, Forms())
    else:
        _load(tag, whole[tag])


def follow(tag: str) -> None:
    """The same for one that was chosen before. English where it cannot be read: nobody is kept from
    their routine by a catalogue."""
    if tag == spoken():
        return
    try:
        choose(tag)
    except (Refused, OSError, ValueError):
        choose(ENGLISH)


def follow_settings(folder: Path) -> None:
    """The same for what is set in a data folder, where no window is open."""
    wanted = read_settings(SettingsFile(folder)).language
    follow(language_of(wanted, desktop_languages(), whole_languages))


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

    with (folder / COMPILED).open("rb") as file:
        catalogue = GNUTranslations(file)
    catalogue.add_fallback(_Nothing())
    forms = _forms(folder)

    def find(text: str, many: str | None, context: str, n: int) -> str:
        if many is None:
            said = catalogue.pgettext(context, text) if context else catalogue.gettext(text)
            # A text whose plural is said elsewhere has one message with it.
            return said or (catalogue.ngettext(text, text, 1) if not context else "")
        if context:
            return catalogue.npgettext(context, text, many, n)
        return catalogue.ngettext(text, many, n)

    speak(tag, Translated(find, forms), forms)


def _forms(folder: Path) -> Forms:
    forms = Forms()
    for name, value in json.loads((folder / "forms.json").read_bytes()).items():
        setattr(forms, name, tuple(value) if isinstance(value, list) else value)
    return forms
