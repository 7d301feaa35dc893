"""What waits for a word of the person: whether the clock is right, of which days something was that
was written while it was wrong, and which of two tellings is right. No Qt."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from companion.care.catalogue import Catalogue
from companion.care.finding import side_of
from companion.care.records import AnyEntry
from companion.presentation.home.handed_over import told_apart
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.phrases import clock_time, dated, long_day, phrase, weekday
from companion.presentation.language.words import knee
from companion.presentation.view.page import (
    ActionList,
    Block,
    Bulleted,
    Callout,
    Option,
    PageView,
    Tellings,
    Text,
    Write,
    make_page,
    next_page,
)
from companion.services.unsettled import ClockDoubt, Waiting, days_written

_DAYS_OFFERED = 7
_MOST_NAMED = 8


def clock_view(doubt: ClockDoubt) -> PageView:
    """Whether the clock is right. Given: `clock` right | wrong."""
    last = _in_full(doubt.last.date())
    if doubt.what == "ahead":
        since = phrase("You wrote last on {day}, weeks before.", day=last)
    else:
        since = phrase("You wrote last on {day}, which is still to come.", day=last)
    says = phrase(
        "This computer says {day}, {time}.",
        day=weekday(doubt.now.date()),
        time=clock_time(doubt.now),
    )
    return make_page(
        "clock",
        phrase("Is it really {day}?", day=dated(doubt.now.date())),
        Text(phrase("{says} {since}", says=says, since=since)),
        ActionList(
            "clock",
            (
                Option("right", phrase("Yes, it is that day")),
                Option("wrong", phrase("No, the clock is wrong")),
            ),
        ),
        Text(
            phrase("With a wrong day the plan counts wrongly, so nothing opens before."),
            "quiet",
        ),
        back=False,
        enter_answers=False,
    )


def set_clock_view(doubt: ClockDoubt) -> PageView:
    """How a clock is put right. Given: nothing; the clock is looked at again."""
    return next_page(
        "set_clock",
        phrase("Put the clock right"),
        Text(
            phrase(
                "This computer says {day}, {time}.",
                day=_in_full(doubt.now.date()),
                time=clock_time(doubt.now),
            ),
            "strong",
        ),
        Bulleted(
            (
                phrase("Open the computer’s own settings, and there date and time."),
                phrase("Set the day and the time, or let the computer find them by itself."),
                phrase("If you are not sure how, ask somebody to do it."),
            )
        ),
        Callout(phrase("All you wrote is still here. Stop and Help work all the same.")),
        main=phrase("I have put it right"),
    )


def wrong_clock_view(entries: Sequence[AnyEntry], today: date) -> PageView:
    """Of which day it was, what was written while the clock was wrong.

    Given: `day` an ISO day, or "other".
    """
    first, last = days_written(entries)
    latest = today - (last - first)
    offered = [latest - timedelta(days=ago) for ago in range(_DAYS_OFFERED)]
    options = [Option(day.isoformat(), _day_words(day, today)) for day in offered]
    if last <= today and first not in offered:
        options.append(
            Option(first.isoformat(), phrase("The day is right: {day}", day=dated(first)))
        )
    options.append(Option("other", phrase("Another day")))
    return make_page(
        "wrong_clock",
        phrase("Of which day was this?"),
        *_told(entries),
        Text(_asked(entries), "strong"),
        ActionList("day", tuple(options)),
        enter_answers=False,
    )


def other_day_view(entries: Sequence[AnyEntry], said: str = "") -> PageView:
    """The day, typed; `said` is what was wrong with the last one. Given: `day` as typed."""
    return next_page(
        "wrong_clock_day",
        phrase("Of which day was this?"),
        *([Callout(said)] if said else []),
        *_told(entries),
        Write("day", phrase("The day, such as 2.11.2026"), 20, "one"),
        main=phrase("It was that day"),
    )


def rivals_view(group: Sequence[AnyEntry], catalogue: Catalogue, left: int) -> PageView:
    """What was told differently, side by side, and which is right; `left` counts those
    after it. Given: `keep` the id of the one that is right."""
    heads = tuple(
        phrase("{number}. {who}", number=number, who=_written(entry))
        for number, entry in enumerate(group, 1)
    )
    blocks: list[Block] = [
        Text(phrase("This was written down in more than one way. All are kept.")),
        Tellings(heads, told_apart(group, catalogue)),
    ]
    options = tuple(
        Option(entry.id, phrase("Number {number} is right", number=number))
        for number, entry in enumerate(group, 1)
    )
    last = group[-1]
    about = phrase("{what}, {day}", what=_what(last), day=_in_full(last.for_day))
    return make_page(
        "rivals",
        phrase("Which one is right?"),
        Text(about, "strong"),
        *blocks,
        ActionList("keep", options),
        above=phrase("{n} more after this", n=left) if left else "",
        enter_answers=False,
    )


def unsettled_words(found: Waiting) -> tuple[str, ...]:
    """What waits, in a sentence each."""
    lines = []
    if found.wrong_clock:
        lines.append(
            phrase(
                "{n} entry was written while the clock was wrong. It is not counted yet.",
                "{n} entries were written while the clock was wrong. They are not counted yet.",
                n=len(found.wrong_clock),
            )
        )
    if found.rivals:
        lines.append(
            phrase(
                "{n} thing was written down in two ways. Say which is right.",
                "{n} things were written down in two ways. Say which is right.",
                n=len(found.rivals),
            )
        )
    return tuple(lines)


def _told(entries: Sequence[AnyEntry]) -> list[Block]:
    lines = [
        phrase(
            "{what}, {day} {time}",
            what=_what(e),
            day=dated(e.written_at.date()),
            time=clock_time(e.written_at),
        )
        for e in entries[:_MOST_NAMED]
    ]
    more = len(entries) - _MOST_NAMED
    if more > 0:
        lines.append(phrase("and {n} more", n=more))
    return [
        Text(
            phrase(
                "This entry was written while the clock was wrong:",
                "These {n} entries were written while the clock was wrong:",
                n=len(entries),
            )
        ),
        Bulleted(tuple(lines)),
    ]


def _asked(entries: Sequence[AnyEntry]) -> str:
    first, last = days_written(entries)
    if first == last:
        return phrase("It was written on:", "They were written on:", n=len(entries))
    return phrase("The first was written on this day, the others follow it:")


def _day_words(day: date, today: date) -> str:
    if day == today:
        return phrase("Today, {day}", day=long_day(day))
    if day == today - timedelta(days=1):
        return phrase("Yesterday, {day}", day=long_day(day))
    return long_day(day)


def _what(entry: AnyEntry) -> str:
    what = capital(codes.KINDS[entry.kind].home)
    side = side_of(entry)
    return what if side is None else phrase("{what}, {knee}", what=what, knee=inside(knee(side)))


def _written(entry: AnyEntry) -> str:
    return phrase(
        "{by}, {day} {time}",
        day=dated(entry.written_at.date()),
        time=clock_time(entry.written_at),
        by=capital(codes.WRITERS[entry.written_by].home),
    )


def _in_full(day: date) -> str:
    return phrase("{weekday} {day}", weekday=weekday(day), day=dated(day))
