"""Which language: asked at the very first start and in the settings, each named in itself."""

from collections.abc import Sequence

from companion.presentation.language.phrases import forms, listed, phrase
from companion.presentation.view.page import ActionList, Option, PageView, Text
from companion.services.settings import OF_COMPUTER, Language, Settings


def language_row(languages: Sequence[Language]) -> Option:
    """The way to the page, found by whoever reads one of them."""
    return Option("language", phrase("Language"), listed(each.name for each in languages))


def first_language_view(languages: Sequence[Language]) -> PageView:
    """The first page of all. One press answers it."""
    return PageView(
        key="first_language",
        heading=phrase("Language"),
        blocks=(ActionList("language", tuple(map(_option, languages))),),
        back=False,
        stop=False,
    )


def language_view(settings: Settings, languages: Sequence[Language]) -> PageView:
    """The same later, and to follow the computer."""
    now = next((each.name for each in languages if each.tag == settings.language), None)
    follows = Option(OF_COMPUTER, phrase("As my computer is set"))
    return PageView(
        key="language",
        heading=phrase("Language"),
        blocks=(
            Text(phrase("Now: {now}.", now=now or follows.word), "quiet"),
            ActionList("language", (*map(_option, languages), follows)),
        ),
    )


def unread_lines() -> tuple[Text, ...]:
    """What is said of the language itself, where no native clinician has read it."""
    if not forms().unread:
        return ()
    return (Text(phrase("No clinician who speaks this language has read it yet."), "strong"),)


def _option(language: Language) -> Option:
    return Option(language.tag, language.name, language.unread)
