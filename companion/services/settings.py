"""What is set on a machine: how the windows look, who sits at it, who signed a plan last."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import asdict, fields
from typing import Any, Literal, get_args

from companion.care.records import Record, record
from companion.services.trouble import known_troubles
from companion.system.settings import SettingsFile

Colours = Literal["computer", "light", "dark", "high_contrast"]
Pressing = Literal["quick", "steady", "slow"]
Motion = Literal["computer", "moves", "still"]
"""Of pictures; computer: less where the machine is set to less."""
SkinTone = Literal["light", "medium", "dark", "lines"]
"""Of the people in pictures; lines: none. It follows nothing that is known of the person."""
DrawnPerson = Literal["woman", "man"]
"""Who is drawn in pictures; it follows nothing that is known of the person either."""
Paper = Literal["guess", "a4", "letter"]
"""The size of paper there is; guess: that of where the machine says it stands."""
TEXT_PERCENTS = (100, 125, 150, 175, 200, 250, 300, 400)
Speaking = Literal["slow", "usual", "quick"]
ENGLISH = "en"
OF_COMPUTER = "computer"
"""The language of the desktop, where it is offered; English else."""


@record
class Settings(Record):
    """`text_percent` is one of TEXT_PERCENTS; `colours` "computer" follows the machine's wish.

    `skin_tone` is that of the people in pictures, `drawn_person` who they are, `moving` whether
    these move.

    `pressing` is how long a page and a button rest before the next press counts;
    `single_keys`: figures and letters answer from anywhere on a page.
    `helper_view` shows steps from the helper's side; `reading_aloud` offers it where a voice is,
    which speaks as fast as `speaking` says; `reminders` are shown while the program runs; `ring`:
    with a sound; `when_closed`: by the desktop too while no window is open. `long_way`: each
    evening page by page, also where the steps are known. `paper` is what is printed on.
    `language` is that of what is shown and printed: a tag such as "de", or OF_COMPUTER.
    """

    text_percent: int = 100
    colours: Colours = "computer"
    skin_tone: SkinTone = "light"
    drawn_person: DrawnPerson = "woman"
    moving: Motion = "computer"
    pressing: Pressing = "quick"
    single_keys: bool = True
    helper_view: bool = False
    reading_aloud: bool = False
    speaking: Speaking = "usual"
    reminders: bool = True
    ring: bool = False
    when_closed: bool = False
    long_way: bool = False
    paper: Paper = "guess"
    language: str = OF_COMPUTER


@record
class Language(Record):
    """A language that is offered: its tag, what it calls itself, and what is to be said of it, in
    itself, where no native clinician has read it yet."""

    tag: str
    name: str
    unread: str = ""


def language_of(wanted: str, desktop: Iterable[str], whole: Callable[[], Collection[str]]) -> str:
    """The tag to speak in: the one that is set, where it is whole, else the first of the desktop's
    that is. `whole` is asked for those besides English, and only where one could be meant."""
    for tag in desktop if wanted == OF_COMPUTER else (wanted, *desktop):
        if _base(tag) == ENGLISH:
            return ENGLISH
        there = whole()
        near = (one for one in there if _base(one) == _base(tag))
        found = tag if tag in there else next(near, None)
        if found is not None:
            return found
    return ENGLISH


def _base(tag: str) -> str:
    return tag.partition("-")[0]


@record
class Signer(Record):
    """Who signs plans at a clinic's desk, as typed."""

    name: str = ""
    registration: str = ""


def read_settings(file: SettingsFile) -> Settings:
    """The settings kept there. What is missing or makes no sense is the default: nobody is kept
    from their routine by a settings file."""
    kept = _of_its_type(file, Settings())
    one_of = {field.name: get_args(field.type) for field in fields(Settings)}
    one_of["text_percent"] = TEXT_PERCENTS
    return Settings(**{n: v for n, v in kept.items() if not one_of[n] or v in one_of[n]})


def read_signer(file: SettingsFile) -> Signer:
    """Who signed last at this desk; empty where nobody did."""
    return Signer(**_of_its_type(file, Signer()))


def keep(file: SettingsFile, values: Settings | Signer) -> None:
    """Keep them on the machine. Raises Trouble."""
    with known_troubles():
        file.write(asdict(values))


def _of_its_type(file: SettingsFile, default: Settings | Signer) -> dict[str, Any]:
    """The kept values of the fields of `default` that are of their type."""
    found = file.read()
    return {
        field.name: found[field.name]
        for field in fields(default)
        if type(found.get(field.name)) is type(getattr(default, field.name))
    }
