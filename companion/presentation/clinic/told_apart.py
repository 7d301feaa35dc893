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
from companion.presentation.language.phrases import (
    clock_time,
    dated,
    listed,
    parted,
    phrase,
    short_day,
)

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
        others=listed(each for each in dict.fromkeys(values) if each != values[-1]),
    )
    more = len(told) - 1
    return phrase("{words}, and {n} more", words=words, n=more) if more else words


def rivals_table(every: Sequence[AnyEntry], catalogue: Catalogue) -> RecordTable:
    """Each answer that was told differently, of `every` entry: what counts now, and what does not,
    with who wrote it when."""
    return RecordTable.of(
        [
            (group, group[-1], name, values)
            for group in rivals(every)
            for name, values in told_apart(group, catalogue)
        ],
        (phrase("Day"), lambda told: short_day(told[1].for_day)),
        (phrase("What"), lambda told: capital(codes.KINDS[told[1].kind].clinic)),
        (phrase("Knee"), lambda told: clinic_words(codes.SIDES, side_of(told[1]))),
        (phrase("Told differently"), lambda told: told[2]),
        (phrase("Counts now"), lambda told: _by(told[3][-1], told[1])),
        (phrase("Does not count"), lambda told: parted(map(_by, told[3][:-1], told[0][:-1]))),
    )


def _by(value: str, entry: AnyEntry) -> str:
    written = entry.written_at.date()
    return phrase(
        "{value} ({who}, {day} {time})",
        value=value,
        who=codes.WRITERS[entry.written_by].clinic,
        day=short_day(written) if written.year == entry.for_day.year else dated(written),
        time=clock_time(entry.written_at),
    )
