"""What the diary file of a visit holds, field by field: what a person reads before it leaves.

Everything is derived from the records that are written, by the table of `field_words`: a field
that the file holds is shown, and one without words is a fault here, not a gap.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING, get_args

from companion.care.clocks import that_count, uncounted
from companion.care.finding import side_of
from companion.care.history import current, instant
from companion.care.records import ENTRY_KINDS, AnyEntry, DayPage, Diary, Entry, Plan, Record, Side
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.field_words import field_words, value_words
from companion.presentation.language.phrases import dated, long_day, month_year, parted, phrase
from companion.presentation.language.unsigned_words import unsigned_words
from companion.presentation.view.page import (
    ActionList,
    Block,
    Bulleted,
    Button,
    DefinitionList,
    Heading,
    Option,
    PageView,
    Text,
    make_page,
)
from companion.wire.plain import encode

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue

PLAN = "plan"
ROWS_A_PAGE = 60
"""Two or three full day pages; an entry is never broken across pages."""

_IN_HEADINGS = ("kind", "for_day")
"""What the heading of the page and the heading of an entry say."""
_WITH_SIGNS = (PLAN, "warning", "gate", "session")
"""What may hold the words of warning signs and cautions."""
_WRITING = "Written down"
_OF_THE_WRITING = (
    *("written_at", "written_by", "plan_version", "id", "replaces"),
    *("machine", "turn", "over", "beside"),
)


@dataclass(frozen=True, slots=True)
class HeldRow:
    """One line: what it is called, what is held, and which fields of the record it tells."""

    name: str
    value: str
    told: tuple[str, ...]
    part: str = ""
    """The field this line is a part of, where a record holds another one."""


def counted_kinds(diary: Diary) -> dict[str, str]:
    """How many things of each kind are handed over, in words; a changed answer is one thing, and so
    is what both knees were told of together. What was written under a wrong clock goes along and is
    not counted."""
    count = Counter((entry.kind, side_of(entry)) for entry in that_count(diary))
    held = {entry.kind for entry in current(diary.entries)}
    found: dict[str, str] = {}
    for kind, words in codes.KINDS.items():
        if kind not in held:
            continue
        knees = [count[kind, side] for side in get_args(Side)]
        both = kind in _OF_EACH_KNEE and all(knees)
        n = max(knees) if both else sum(n for (of, _), n in count.items() if of == kind)
        told = words.counted("one", "many", n)
        found[kind] = phrase("{what} of both knees", what=told) if both else told
    return found


_OF_EACH_KNEE = ("day_page", "session")
"""Kinds that are kept for each knee, and told of both in one go."""


def uncounted_words(diary: Diary, kind: str | None = None) -> str:
    """How many entries of a kind, or of any, go along and are not counted; "" where none are."""
    n = sum(kind in (None, entry.kind) for entry in uncounted(diary))
    if not n:
        return ""
    return phrase(
        "{n} entry under a wrong clock, not counted",
        "{n} entries under a wrong clock, not counted",
        n=n,
    )


def private_notes(diary: Diary) -> int:
    """How many notes were marked as the person's own; their words are in no entry."""
    return sum(isinstance(e, DayPage) and e.note_private for e in current(diary.entries))


def held_rows(record: Record, catalogue: Catalogue) -> tuple[HeldRow, ...]:
    """Every field of a plan or an entry that its file holds, in words.

    What was never answered is in no file, and in no row. Fields that only say how an entry was
    written down share one row; what is made of parts comes last.
    """
    held = encode(record)
    of_the_writing = _OF_THE_WRITING if isinstance(record, Entry) else ()
    rows = [
        row
        for name in held
        if name not in (*_IN_HEADINGS, *of_the_writing)
        for row in _field_rows(record, name, catalogue)
    ]
    writing = [
        row
        for name in of_the_writing
        if name in held
        for row in _field_rows(record, name, catalogue)
    ]
    if writing:
        told = tuple(place for row in writing for place in row.told)
        rows.append(HeldRow(phrase(_WRITING), _in_one_line(writing), told))
    return tuple(sorted(rows, key=lambda row: bool(row.part)))


def told_apart(
    group: Sequence[AnyEntry], catalogue: Catalogue
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What some versions of one thing say differently: names, each with what every one of them
    says; not how each was written down."""
    told = [
        {phrase("Day"): dated(entry.for_day)}
        | {
            row.name: row.value
            for row in held_rows(entry, catalogue)
            if not {*_OF_THE_WRITING} & {*row.told}
        }
        for entry in group
    ]
    rows = {
        name: tuple(each.get(name, phrase("not written")) for each in told)
        for name in dict.fromkeys(name for each in told for name in each)
    }
    return tuple((name, values) for name, values in rows.items() if len({*values}) > 1)


def _in_one_line(rows: Sequence[HeldRow]) -> str:
    return parted(phrase("{name}: {value}", name=inside(row.name), value=row.value) for row in rows)


def _field_rows(record: Record, name: str, catalogue: Catalogue) -> Iterator[HeldRow]:
    words = field_words(type(record), name, catalogue.plan_form)
    value = getattr(record, name)
    called = phrase(words.name)
    if isinstance(value, Record):
        yield from _parts(value, called, name, catalogue)
    elif _is_records(value):
        for number, item in enumerate(value):
            place = f"{name}[{number}]"
            numbered = phrase("{name} {number}", name=called, number=number + 1)
            if any(_is_records(getattr(item, each.name)) for each in fields(item)):
                yield from _parts(item, numbered, place, catalogue)
            else:
                first, *rest = _flat(item, place, catalogue)
                yield HeldRow(
                    first.value,
                    _in_one_line(rest) or phrase("nothing more"),
                    tuple(told for each in (first, *rest) for told in each.told),
                    called,
                )
    else:
        told = value_words(words, value, catalogue) or phrase("none")
        yield HeldRow(called, told, (name,))


def _is_records(value: object) -> bool:
    return isinstance(value, tuple) and bool(value) and isinstance(value[0], Record)


def _parts(record: Record, part: str, place: str, catalogue: Catalogue) -> Iterator[HeldRow]:
    """A record inside another, a row for each of its own fields."""
    rows = list(_flat(record, place, catalogue))
    if not rows:
        yield HeldRow(part, phrase("not said"), (place,))
    for row in rows:
        yield HeldRow(row.name, row.value, row.told, part)


def _flat(record: Record, place: str, catalogue: Catalogue) -> Iterator[HeldRow]:
    """The rows of a record inside another, with the place of each field."""
    for field in encode(record):
        for row in _field_rows(record, field, catalogue):
            name = row.name
            if row.part and not _is_records(getattr(record, field)):
                name = phrase("{part}, {name}", part=row.part, name=inside(name))
            yield HeldRow(name, row.value, tuple(f"{place}.{told}" for told in row.told))


def _blocks(heading: str, record: Record, catalogue: Catalogue) -> tuple[Block, ...]:
    blocks: list[Block] = [Heading(heading)]
    for part, rows in groupby(held_rows(record, catalogue), key=lambda row: row.part):
        told = tuple((row.name, row.value) for row in rows)
        if part:
            blocks.append(Text(part, "strong"))
        blocks.append(DefinitionList(told))
    return tuple(blocks)


# ---------------------------------------------------------------- the pages


def handed_view(diary: Diary) -> PageView:
    """What is in the file, by kind, and what stays at home."""
    private = private_notes(diary)
    plans = phrase("{n} version", "{n} versions", n=len(diary.plans))
    counting = current(diary.entries)
    options = [Option(PLAN, phrase("Your plan"), plans)]
    for kind, words in counted_kinds(diary).items():
        found = [entry for entry in diary.entries if entry.kind == kind]
        line = _span([entry.for_day for entry in found])
        changed = len(found) - sum(entry.kind == kind for entry in counting)
        if changed:
            line = phrase(
                "{days}, and {n} earlier answer",
                "{days}, and {n} earlier answers",
                n=changed,
                days=line,
            )
        wrong = uncounted_words(diary, kind)
        if wrong:
            line = phrase("{line}; {wrong}", line=line, wrong=wrong)
        options.append(Option(kind, capital(words), line))
    return make_page(
        "handed",
        phrase("What is handed over"),
        Text(
            phrase(
                "The file holds what is behind these rows, and no more. "
                "The two printed pages are made from it."
            )
        ),
        ActionList("kind", tuple(options)),
        Heading(phrase("What stays here")),
        Bulleted(
            (
                phrase("{n} private note", "{n} private notes", n=private)
                if private
                else phrase("Private notes: there are none"),
                phrase("What is begun and not finished yet"),
                phrase("Your settings"),
            )
        ),
        above=phrase("Under the code {person}", person=diary.plan.person),
    )


def _span(days: Sequence[date]) -> str:
    first, last = min(days), max(days)
    if first == last:
        return dated(first)
    # A year is said once, and two lines hold the days on a narrow row.
    begin = dated(first).removesuffix(f" {first.year}") if first.year == last.year else dated(first)
    return phrase("{first} to {last}", first=begin, last=dated(last))


def kind_view(diary: Diary, kind: str) -> PageView:
    """One kind: which fields are filled in and how often, and the months to read it by."""
    found = of_kind(diary, kind)
    filled: Counter[str] = Counter()
    for entry in found:
        filled.update(encode(entry).keys())
    rows = [
        (
            phrase(field_words(ENTRY_KINDS[kind], each.name).name),
            phrase("in all {n}", n=len(found))
            if filled[each.name] == len(found) > 1
            else phrase("in {some} of {n}", some=filled[each.name], n=len(found)),
        )
        for each in fields(ENTRY_KINDS[kind])
        if filled[each.name] and each.name not in (*_IN_HEADINGS, *_OF_THE_WRITING)
    ]
    rows.append((phrase(_WRITING), phrase("the time, by whom, plan version, numbers")))
    if filled["replaces"]:
        changed = phrase("{some} of {n}", some=filled["replaces"], n=len(found))
        rows.append((phrase("In place of an earlier one"), changed))
    months = [
        Option(month, month_year(of_month[0].for_day), phrase("{n} to read", n=len(of_month)))
        for month, of_month in ((m, list(es)) for m, es in groupby(found, key=_month_of))
    ]
    how = phrase("Read them all, newest first. Or begin with a month.")
    earlier = len(found) - sum(entry.kind == kind for entry in current(diary.entries))
    if earlier:
        among = phrase(
            "{n} earlier answer is among them.", "{n} earlier answers are among them.", n=earlier
        )
        how = f"{how} {among}"
    return make_page(
        "handed_kind",
        capital(counted_kinds(diary)[kind]),
        Text(how),
        ActionList("month", tuple(months)),
        Heading(phrase("What is filled in")),
        DefinitionList(tuple(rows)),
        main=Button(phrase("Read them, newest first"), (("month", ""),)),
        above=phrase("What is handed over"),
    )


def _month_of(entry: AnyEntry) -> str:
    return f"{entry.for_day.year}-{entry.for_day.month:02}"


def of_kind(diary: Diary, kind: str) -> list[AnyEntry]:
    """The entries of a kind, corrected ones too, newest day first."""
    return sorted(
        (entry for entry in diary.entries if entry.kind == kind),
        key=lambda entry: (entry.for_day, instant(entry.written_at), entry.id),
        reverse=True,
    )


def pages_of(diary: Diary, kind: str, catalogue: Catalogue) -> tuple[tuple[Record, ...], ...]:
    """The entries of a kind, or the plans, as they are shown: page by page, newest first."""
    if kind == PLAN:
        return tuple((plan,) for plan in sorted(diary.plans, key=lambda p: -p.version))
    pages: list[list[Record]] = []
    room = 0
    for entry in of_kind(diary, kind):
        rows = len(held_rows(entry, catalogue))
        if not pages or rows > room:
            pages.append([])
            room = ROWS_A_PAGE
        pages[-1].append(entry)
        room -= rows
    return tuple(map(tuple, pages))


def page_of_month(pages: Sequence[Sequence[Record]], month: str) -> int:
    """The first page that holds an entry of the month."""
    return next(
        (
            number
            for number, page in enumerate(pages)
            if any(isinstance(each, Entry) and _month_of(each) == month for each in page)  # type: ignore[arg-type]
        ),
        0,
    )


def entries_view(
    kind: str, pages: Sequence[Sequence[Record]], number: int, catalogue: Catalogue
) -> PageView:
    """One page of entries, every field of each."""
    blocks = tuple(
        block for record in pages[number] for block in _blocks(_heading(record), record, catalogue)
    )
    if kind in _WITH_SIGNS and (note := unsigned_words(catalogue)):
        blocks = (*blocks, Text(note, "quiet"))
    more = number + 1 < len(pages)
    words = codes.KINDS.find(kind)
    return PageView(
        key="handed_entries",
        heading=phrase("Your plan") if words is None else words.heading,
        blocks=blocks,
        main=Button(phrase("Show the ones before"), (("do", "more"),))
        if more
        else Button(phrase("Back to what is handed over"), (("do", "list"),)),
        others=(Button(phrase("Back to what is handed over"), (("do", "list"),)),) if more else (),
        above=phrase("Page {number} of {count}", number=number + 1, count=len(pages)),
    )


def _heading(record: Record) -> str:
    if isinstance(record, Plan):
        return phrase("Version {version}", version=record.version)
    day = record.for_day  # type: ignore[attr-defined]
    return phrase("{day} {year}", day=long_day(day), year=day.year)
