"""A second place for copies of the diary: whether one is wanted, when a copy is due, writing it.

What is set is of this computer, never of the diary. This is on the way to the first paint: what
writes a copy is loaded when one is written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import asdict, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal, get_args

from companion.care.records import Record, record
from companion.services.trouble import known_troubles
from companion.system.ids import new_id
from companion.system.settings import SettingsFile

if TYPE_CHECKING:
    from companion.care.records import Diary

FILE = "second-place.json"
EVERY = timedelta(days=7)
OLD = timedelta(days=30)
"""From then on the front page says it clearly."""
ASKED_AGAIN = timedelta(days=30)
ASKED_FROM = 5
"""So many things are written down before anybody is asked: there is something to lose (C)."""

Wanted = Literal["unsaid", "later", "never", "yes"]
PlaceState = Literal["there", "away", "other"]
"""The place is where it was, nothing is there, or another one is: another stick."""


@record
class SecondPlace(Record):
    """What was said of a second place. `place` is the folder of the copies, `mark` tells this
    computer's files from those of others. `place_id` is what is written there to know it by.

    `said_on` is the day of "not now", `last` that of the last copy; `failed`: the last attempt was
    refused by the machine; `other`: another stick was in its place. `moved_on` is the day the
    diary moved to another computer: until the person says otherwise nothing is written here.
    """

    wanted: Wanted = "unsaid"
    said_on: date | None = None
    place: str = ""
    mark: str = ""
    place_id: str = ""
    last: date | None = None
    failed: bool = False
    other: bool = False
    moved_on: date | None = None


@record
class SecondPlaceToday(Record):
    """What the front page says. `days` since the last copy: None where there is none, or where
    it was written by a clock that was ahead."""

    asks: bool = False
    kept: bool = False
    days: int | None = None
    old: bool = False
    failed: bool = False
    other: bool = False


def read_second_place(file: SettingsFile) -> SecondPlace:
    """What was said; nothing where it makes no sense."""
    found = file.read()

    def day(name: str) -> date | None:
        try:
            return date.fromisoformat(str(found.get(name)))
        except ValueError:
            return None

    known: tuple[Wanted, ...] = get_args(Wanted)
    wanted = [each for each in known if each == found.get("wanted")]
    return SecondPlace(
        wanted=wanted[0] if wanted else "unsaid",
        said_on=day("said_on"),
        place=str(found.get("place") or ""),
        mark=str(found.get("mark") or ""),
        place_id=str(found.get("place_id") or ""),
        last=day("last"),
        failed=found.get("failed") is True,
        other=found.get("other") is True,
        moved_on=day("moved_on"),
    )


def keep_second_place(file: SettingsFile, said: SecondPlace) -> None:
    """Keep what was said. Raises Trouble."""
    values = asdict(said)
    with known_troubles():
        file.write({n: v.isoformat() if isinstance(v, date) else v for n, v in values.items()})


def second_place_today(said: SecondPlace, today: date, entries: int) -> SecondPlaceToday:
    """What there is to say of it on the front page of a diary of so many entries."""
    if said.wanted == "yes":
        days = None if said.last is None or said.last > today else (today - said.last).days
        old = days is None or days > OLD.days
        return SecondPlaceToday(kept=True, days=days, old=old, failed=said.failed, other=said.other)
    asked_lately = said.wanted == "later" and (
        said.said_on is not None and said.said_on <= today < said.said_on + ASKED_AGAIN
    )
    asks = said.wanted != "never" and not asked_lately and entries >= ASKED_FROM
    return SecondPlaceToday(asks=asks)


def is_due(said: SecondPlace, today: date) -> bool:
    """Whether a copy is to be written when the place is there: weekly, or after one that failed."""
    if said.wanted != "yes":
        return False
    lately = said.last is not None and said.last <= today < said.last + EVERY
    return said.failed or not lately


def chosen_place(said: SecondPlace, chosen: str) -> SecondPlace:
    """A place was picked: where its copies are to be, from now on."""
    from companion.exchange.second_place import place_in

    mark = said.mark or new_id()[:6]
    place = place_in(chosen)
    return SecondPlace(wanted="yes", place=place, mark=mark, moved_on=said.moved_on)


def copy_there(
    said: SecondPlace,
    diary: Callable[[], Diary],
    today: date,
    *,
    begin: bool = False,
    roots: Callable[[], Iterable[str]] = tuple,
) -> SecondPlace:
    """Write a copy when the place is there, on whichever of the disks with these `roots`; what is
    to be kept of it, with `last` as it was where it is on none. To be called beside the window. A
    stick that is not plugged in is no fault, and nothing is written to another one.

    `diary` gives what is to be written. `begin` makes the folder first: the place was just picked.
    Raises Trouble; whoever catches it keeps that it failed.
    """
    from companion.exchange.second_place import found_again, make_ready, state_of, write_copy

    with known_troubles():
        state = "there" if begin else state_of(said.place, said.place_id, said.mark)
        if state != "there":
            again = found_again(said.place, said.place_id, roots())
            if again is None:
                return replace(said, other=state == "other")
            said = replace(said, place=again)
        said = replace(said, place_id=make_ready(said.place))
        write_copy(said.place, diary(), today, said.mark)
    return replace(said, last=today, failed=False, other=False)
