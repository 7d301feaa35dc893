"""A second place for copies, and moving to another computer, in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from companion.care.records import Plan
from companion.presentation.home.settings_pages import phones
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.view.page import (
    ActionList,
    Block,
    Button,
    Callout,
    DefinitionList,
    Numbered,
    Option,
    PageView,
    Text,
    make_page,
    next_page,
)
from companion.services.second_place import PlaceState, SecondPlace


@dataclass(frozen=True, slots=True)
class FoundDiary:
    """A diary that was found somewhere: whose it is, and what is in it."""

    person: str
    things: int
    days: int
    newest: date | None


def second_place_view(
    said: SecondPlace, state: PlaceState, *, same_disk: bool, refused: str = ""
) -> PageView:
    """What a second place is for, and what is set.

    `state`: whether it is where it was, or another stick is; `refused`: why the last attempt
    failed. Given: `way` choose | now | later | never | stop.
    """
    if said.wanted != "yes":
        return _asking(refused)
    if said.failed and not refused:
        refused = phrase("The last copy could not be written. Is there room on the stick?")
    blocks: list[Block] = [Callout(refused)] if refused else []
    last = dated(said.last) if said.last else phrase("None yet")
    blocks.append(DefinitionList(((phrase("Where"), said.place), (phrase("Last copy"), last))))
    if state == "other":
        blocks.append(Callout(phrase("Another stick is plugged in now. Nothing is written to it.")))
    elif state == "away":
        blocks.append(Text(phrase("It is not plugged in there now. That is all right.")))
    elif same_disk:
        blocks.append(_same_disk())
    blocks.append(Text(phrase("A copy is written each week and at each visit, when it is there.")))
    blocks.append(_who_reads())
    choose = phrase("Choose another place")
    now: tuple[Option, ...] = ()
    if state == "other":
        choose = phrase("Use this stick from now on")
    else:
        line = phrase("To the stick you chose before")
        now = (Option("now", phrase("Write a copy now"), line),)
    blocks.append(
        ActionList(
            "way",
            (
                *now,
                Option("choose", choose),
                Option("stop", phrase("Write no more copies there"), phrase("What is there stays")),
            ),
        )
    )
    return PageView(
        key="second_place", heading=phrase("A copy in a second place"), blocks=tuple(blocks)
    )


def _asking(refused: str) -> PageView:
    return make_page(
        "second_place",
        phrase("A copy in a second place"),
        *((Callout(refused),) if refused else ()),
        Text(phrase("A computer can break. Then your diary is lost with it."), "strong"),
        Text(phrase("A copy on a stick keeps it. Choose the stick once.")),
        Text(phrase("Then a copy is written each week and at each visit, when the stick is in.")),
        _who_reads(),
        ActionList(
            "way",
            (
                Option("choose", phrase("Choose the stick or a folder")),
                Option("later", phrase("Not now"), phrase("You are asked again in a month")),
                Option(
                    "never",
                    phrase("I do not want this"),
                    phrase("You are not asked again. It stays under Your data"),
                ),
            ),
        ),
    )


def _same_disk() -> Callout:
    return Callout(phrase("This is on the same disk as your diary. A stick would be safer."))


def _who_reads() -> Callout:
    return Callout(phrase("Whoever finds the stick can read the copy. Keep it in a safe place."))


def writing_view() -> PageView:
    """While files are written beside the window."""
    return make_page(
        "writing",
        phrase("Writing"),
        Text(phrase("Leave the stick in. This may take a minute.")),
        back=False,
        stop=False,
    )


def copied_view(place: str, *, same_disk: bool) -> PageView:
    """After a copy was written."""
    return next_page(
        "copied",
        phrase("The copy is written"),
        Text(phrase("It is in {folder}.", folder=place), "strong"),
        _same_disk() if same_disk else Text(phrase("You can take the stick out now.")),
        main=phrase("To the front page"),
    )


def move_view(refused: str = "") -> PageView:
    """Before everything is written for another computer."""
    return next_page(
        "move",
        phrase("Move to another computer"),
        *((Callout(refused),) if refused else ()),
        Text(phrase("Everything you wrote and your plan go onto a stick.")),
        Numbered(
            (
                phrase("Plug in a stick."),
                phrase("Press the button below and choose the stick."),
                phrase("Take the stick to the other computer."),
                phrase("Start this program there. Press “I have used this before”."),
            )
        ),
        Text(phrase("Your private notes go along, for they are yours.")),
        _who_reads(),
        main=phrase("Choose the stick"),
    )


def moved_view(folder: str) -> PageView:
    """After everything was written for another computer."""
    return make_page(
        "moved",
        phrase("Everything is on the stick"),
        Text(phrase("It is in the folder {folder}.", folder=folder), "strong"),
        Numbered(
            (
                phrase("Take the stick to the other computer."),
                phrase("Start this program there. Press “I have used this before”."),
                phrase("Choose the stick. Your diary is found by itself."),
                phrase("From then on write there, and no more here."),
            )
        ),
        Text(phrase("Nothing is taken off this computer. Nothing more is written on it.")),
        main=Button(phrase("I have read this")),
        back=False,
        stop=False,
    )


def moved_away_view(on: date, plan: Plan | None) -> PageView:
    """In place of the front page where the diary moved to another computer on a day: days told on
    both would be told twice. Given: `way` signs | here_again | close."""
    ways = (
        Option("signs", phrase("Read the warning signs"), phrase("When to call for help")),
        Option(
            "here_again", phrase("Write here again"), phrase("And no more on the other computer")
        ),
        Option("close", phrase("Close"), phrase("Nothing is changed")),
    )
    return make_page(
        "moved_away",
        phrase("Your diary is on another computer"),
        Text(phrase("It moved there on {day}. Write there.", day=dated(on)), "strong"),
        Text(phrase("Nothing is written here, so that no day is told twice.")),
        ActionList("way", ways if plan is not None else ways[1:]),
        *(phones(plan) if plan is not None else ()),
        back=False,
        stop=False,
        enter_answers=False,
    )


def used_before_view(said: str = "") -> PageView:
    """Where what was saved is. Given: `way` folder | file | back."""
    return make_page(
        "used_before",
        phrase("You have used this before"),
        *((Callout(said),) if said else ()),
        Text(phrase("Where is what you saved? Plug in the stick first."), "strong"),
        ActionList(
            "way",
            (
                Option(
                    "folder",
                    phrase("On a stick or in a folder"),
                    phrase("Diaries and copies in it are found by themselves"),
                ),
                Option("file", phrase("In one file"), phrase("A diary file or a copy")),
            ),
        ),
        stop=False,
    )


def searching_view() -> PageView:
    """While it is looked for diaries."""
    return make_page(
        "searching",
        phrase("Looking for your diary"),
        Text(phrase("Leave the stick in. Nothing on it is changed.")),
        back=False,
        stop=False,
    )


def found_view(found: Sequence[FoundDiary]) -> PageView:
    """What was found. Given: `person`, whose diary it goes on with."""
    return make_page(
        "found",
        phrase("Is this your diary?"),
        Text(phrase("Press it to go on with it. The plan comes along.")),
        ActionList("person", tuple(Option(d.person, *_found_words(d)) for d in found)),
        stop=False,
    )


def _found_words(found: FoundDiary) -> tuple[str, str]:
    word = phrase("The diary of {person}", person=found.person)
    if found.newest is None:
        return word, phrase("A plan. Nothing is written down yet")
    things = phrase("{n} thing written down", "{n} things written down", n=found.things)
    days = phrase("on {n} day", "on {n} days", n=found.days)
    return word, phrase(
        "{things} {days}, the newest for {day}", things=things, days=days, day=dated(found.newest)
    )


def moved_in_words(found: FoundDiary) -> str:
    """What came along to this computer."""
    return phrase(
        "{n} things you wrote down are here now, and your plan. Write here from now on, and no "
        "more on the other computer.",
        n=found.things,
    )


READ_ME = (
    "This folder holds a diary of the home knee companion.\n"
    "On the other computer: start the program, press “I have used this before”,\n"
    "then “On a stick or in a folder”, and choose this stick.\n"
    "Whoever finds the stick can read the diary. Keep it in a safe place.\n"
)
