"""What two computers, or two people, told differently, for the clinic: named with every value. The
person says at home which is right; here nothing is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from companion.care.finding import side_of
from companion.care.history import rivals
from companion.care.records import AnyEntry
from companion.presentation.home.handed_over import told_apart
from companion.presentation.home.record_view import RecordTable
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, clinic_words, inside
from companion.presentation.language.phrases import clock_time, dated, phrase, short_day

if TYPE_CHECKING:
    from companion.care.catalogue import Catalogue


def rivals_words(group: Sequence[AnyEntry], catalogue: Catalogue) -> str:
    """One thing that was told differently, in a few words: what counts now, and what else is told
    of the first answer that differs."""
    last, told = group[-1], told_apart(group, catalogue)
    what = phrase(
        "{what} of {day}", what=codes.KINDS[last.kind].clinic, day=short_day(last.for_day)
    )
    if not told:
        return what
    name, values = told[0]
    words = phrase(
        "{what}: {name} {counted}, or {others}",
        what=what,
        name=inside(name),
        counted=values[-1],
        others=", ".join(each for each in dict.fromkeys(values) if each != values[-1]),
    )
    more = len(told) - 1
    return phrase("{words}, and {n} more", words=words, n=more) if more else words


def rivals_table(every: Sequence[AnyEntry], catalogue: Catalogue) -> RecordTable:
    """Each answer that was told differently, of `every` entry: what counts now, and what does not,
    with who wrote it when."""
    headers = (
        phrase("Day"),
        phrase("What"),
        phrase("Knee"),
        phrase("Told differently"),
        phrase("Counts now"),
        phrase("Does not count"),
    )
    rows = [
        (
            short_day(group[-1].for_day),
            capital(codes.KINDS[group[-1].kind].clinic),
            clinic_words(codes.SIDES, side_of(group[-1])),
            name,
            _by(values[-1], group[-1]),
            "; ".join(map(_by, values[:-1], group[:-1])),
        )
        for group in rivals(every)
        for name, values in told_apart(group, catalogue)
    ]
    return RecordTable(headers, tuple(rows))


def _by(value: str, entry: AnyEntry) -> str:
    written = entry.written_at.date()
    return phrase(
        "{value} ({who}, {day} {time})",
        value=value,
        who=codes.WRITERS[entry.written_by].clinic,
        day=short_day(written) if written.year == entry.for_day.year else dated(written),
        time=clock_time(entry.written_at),
    )
