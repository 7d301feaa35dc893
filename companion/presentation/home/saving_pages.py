"""Where something is to be saved, and where it is now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import ActionList, Button, Option, PageView, Text, make_page

ELSEWHERE, PRINT = "elsewhere", "print"


@dataclass(frozen=True, slots=True)
class SavePlace:
    """A folder that is offered: a stick by its name, or one of the person's own."""

    kind: Literal["stick", "documents", "desktop", "last"]
    path: str
    name: str = ""


def where_view(name: str, places: Sequence[SavePlace], *, prints: bool) -> PageView:
    """The doors to where `name` may be put; `prints` offers the printer."""
    doors = [Option(str(number), place_words(place)) for number, place in enumerate(places)]
    if prints:
        doors.append(Option(PRINT, phrase("To the printer"), phrase("Nothing is saved")))
    doors.append(
        Option(
            ELSEWHERE, phrase("Somewhere else"), phrase("In the window for files of this computer")
        )
    )
    return make_page(
        "where_to",
        phrase("Where to put it?"),
        Text(name),
        ActionList("place", tuple(doors)),
        stop=False,
    )


def place_words(place: SavePlace) -> str:
    """A place as a door says it."""
    match place.kind:
        case "stick":
            return phrase("On the stick {name}", name=place.name)
        case "documents":
            return phrase("In Documents")
        case "desktop":
            return phrase("On the Desktop")
        case "last":
            return phrase("Where it went last: {name}", name=place.name)


def saved_view(name: str, folder: str, *, prints: bool, told: str = "") -> PageView:
    """Where it is now, and what may be done with it; `told`: what came of that."""
    others = [
        Button(phrase("Open it"), (("do", "open"),)),
        Button(phrase("Show the folder"), (("do", "folder"),)),
    ]
    if prints:
        others.insert(1, Button(phrase("Print it"), (("do", PRINT),)))
    return make_page(
        "saved",
        phrase("It is saved"),
        Text(name, "strong"),
        Text(phrase("It is in the folder {folder}.", folder=folder)),
        *((Text(told),) if told else ()),
        main=Button(phrase("Done")),
        others=tuple(others),
        back=False,
        stop=False,
    )
