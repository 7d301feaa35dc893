"""What a person is told of a damaged diary: what is good, what is gone by day, and the ways on."""

from collections.abc import Sequence
from datetime import date

from companion.care.days import diary_day
from companion.journal.salvage import Lost, Salvage
from companion.presentation.home.settings_pages import phones
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.view.page import (
    ActionList,
    Block,
    Bulleted,
    Button,
    Callout,
    Heading,
    Option,
    PageView,
    Text,
    make_page,
)

_MOST_LINES = 8
"""Lost things told one by one; beyond that they are counted."""


def looking_view() -> PageView:
    """While it is looked at what is good."""
    return make_page(
        "looking_at_damage",
        phrase("Your diary needs mending"),
        Text(phrase("Part of what is stored on this machine is damaged."), "strong"),
        Text(phrase("Looking at what is good. Nothing is changed.")),
        back=False,
        stop=False,
    )


def bringing_up_view() -> PageView:
    """While an older diary is brought up to date."""
    return make_page(
        "bringing_up",
        phrase("Your diary is brought up to date"),
        Text(phrase("This program is newer than your diary. A copy is kept first."), "strong"),
        Text(phrase("It may take a minute. Leave the computer on. Nothing is lost.")),
        back=False,
        stop=False,
    )


def mending_view(found: Salvage, copy_until: date | None, *, said: str = "") -> PageView:
    """What is good and what is gone, and the ways on.

    `copy_until` is the day of the last entry in the newest good copy, None where no copy is good.
    `said` is what became of the last attempt. Given: `way` mend | copy | file | signs | close.
    """
    ways = []
    if found.plans:
        ways.append(Option("mend", phrase("Mend it from everything here"), _kept_line(found)))
    if copy_until is not None and found.lost:
        ways.append(
            Option(
                "copy",
                phrase("Go on with the copy of {day}", day=dated(copy_until)),
                phrase("Without what was written after that day"),
            )
        )
    ways.append(
        Option(
            "file",
            phrase("Add a diary file"),
            phrase("From a stick, another computer or your clinic"),
        )
    )
    if found.plans:
        ways.append(
            Option("signs", phrase("Read the warning signs"), phrase("When to call for help"))
        )
    ways.append(Option("close", phrase("Close for now"), phrase("Nothing is changed")))
    blocks: list[Block] = [Callout(said)] if said else []
    if found.rows or found.store_read:
        blocks += [
            Text(phrase("Part of what is stored on this machine is damaged."), "strong"),
            *_good(found),
            *_gone(found),
            Text(phrase("The damaged file is kept. Nothing is thrown away.")),
        ]
    else:
        blocks.append(Text(phrase("Nothing that was written down can be read here."), "strong"))
    blocks += [
        ActionList("way", tuple(ways)),
        *(phones(found.plan) if found.plan else ()),
    ]
    if found.plan is None:
        blocks.append(
            Text(phrase("Ask your clinic for your plan and for the last diary you gave them."))
        )
    return PageView(
        key="mending",
        heading=phrase("Your diary needs mending"),
        blocks=tuple(blocks),
        back=False,
        stop=False,
    )


def gone_view(on: date, entries: int, folder: str) -> PageView:
    """A diary was in the folder on a day and is not. Given: `way` again | copy | anew | close."""
    return make_page(
        "gone",
        phrase("Where is your diary?"),
        Text(phrase("Your diary is not where it was. Is a disk or a stick missing?"), "strong"),
        Text(
            phrase(
                "On {day} there were {n} things written down in {folder}.",
                day=dated(on),
                n=entries,
                folder=folder,
            )
        ),
        Text(phrase("Nothing was begun in its place.")),
        ActionList(
            "way",
            (
                Option(
                    "again",
                    phrase("Look again"),
                    phrase("After you plugged in the disk or the stick"),
                ),
                Option("copy", phrase("Go on from a copy"), phrase("On a stick or in a folder")),
                Option(
                    "anew",
                    phrase("Begin a new diary here"),
                    phrase("The old one stays wherever it is"),
                ),
                Option("close", phrase("Close for now"), phrase("Nothing is changed")),
            ),
        ),
        back=False,
        stop=False,
    )


def no_answer_view() -> PageView:
    """The disk gave no answer while something was read."""
    return make_page(
        "no_answer",
        phrase("The diary cannot be read just now"),
        Text(phrase("The disk it is on gives no answer."), "strong"),
        Text(phrase("Nothing that was saved is changed. Is the disk or the stick plugged in?")),
        main=Button(phrase("Try again")),
        back=False,
        stop=False,
    )


def _kept_line(found: Salvage) -> str:
    if not found.lost:
        return phrase("All of it is kept")
    return phrase("Keeps all that is good")


def _good(found: Salvage) -> tuple[Block, ...]:
    count = len(found.rows)
    until = found.written_until
    if until is None:
        return (Text(phrase("No entry can be read. The plan can.")),)
    day = dated(diary_day(until))
    if not found.lost and found.store_read:
        words = phrase("All {n} things you wrote down are good, up to {day}.", n=count, day=day)
    elif found.store_read:
        words = phrase(
            "{n} of {all} things you wrote down are good, up to {day}.",
            n=count,
            all=count + len(found.lost),
            day=day,
        )
    else:
        words = phrase(
            "The file itself cannot be read. Its copies hold {n} things you wrote down, up to "
            "{day}. What was written after that is gone here.",
            n=count,
            day=day,
        )
    return (Text(words),)


def _gone(found: Salvage) -> tuple[Block, ...]:
    if not found.lost:
        return ()
    heading = phrase("Gone here, unless another file has it")
    return (Heading(heading), Bulleted(tuple(_lost_lines(found.lost))))


def _lost_lines(lost: Sequence[Lost]) -> list[str]:
    """A line for each lost thing, by day; many are counted."""
    ordered = sorted(lost, key=lambda one: (one.for_day or date.max, one.kind or ""))
    lines = [_lost_line(one) for one in ordered[:_MOST_LINES]]
    if len(ordered) > _MOST_LINES:
        lines.append(phrase("{n} more", n=len(ordered) - _MOST_LINES))
    return lines


def _lost_line(lost: Lost) -> str:
    what = phrase(codes.KINDS[lost.kind].home) if lost.kind else phrase("something")
    if lost.for_day is None:
        return capital(phrase("{what}, of a day that cannot be read", what=what))
    return phrase("{day}: {what}", day=dated(lost.for_day), what=what)


def mended_words(found: Salvage, aside: str | None) -> str:
    """What was done, and where the damaged file is."""
    kept = (
        phrase("All {n} things you wrote down are there.", n=len(found.rows))
        if not found.lost
        else phrase("{n} things you wrote down are there.", n=len(found.rows))
    )
    if aside is None:
        return kept
    return phrase("{kept} The damaged file is kept as {name}.", kept=kept, name=aside)
