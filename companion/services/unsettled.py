"""What is not settled in the diary at home: whether the clock is right, entries written while it
was wrong, and what two computers tell differently. A person says how it is, and that is a
correction.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Literal

from companion.care.clocks import CLOCK_SLACK, LEAP, moved
from companion.care.days import diary_day
from companion.care.finding import last_written, off_of
from companion.care.history import corrected, instant, naming_tapes, tapes_named
from companion.care.records import AnyEntry, DayPage, Outing, Record, TapeOn, record
from companion.services.context import CLOCK, Context
from companion.system.ids import new_id


@record
class ClockDoubt(Record):
    """The clock says `now`, and the newest entry was written at `last`: weeks before, or after."""

    now: datetime
    last: datetime
    what: Literal["ahead", "behind"]


@record
class Waiting(Record):
    """`wrong_clock` are entries that wait for their days, in the order of the days they have;
    `rivals` groups of tellings of one thing, each oldest first."""

    wrong_clock: tuple[AnyEntry, ...] = ()
    rivals: tuple[tuple[AnyEntry, ...], ...] = ()


def clock_doubt(context: Context) -> ClockDoubt | None:
    """Whether the clock is to be asked about: it is weeks ahead of the newest entry, or more than a
    day behind it, and nobody has said yet that it is right."""
    last = last_written(context.entries)
    if last is None:
        return None
    now, written = context.clock.now(), last.written_at
    if instant(now) >= instant(written) + LEAP:
        doubt = ClockDoubt(now=now, last=written, what="ahead")
    elif instant(now) + CLOCK_SLACK < instant(written):
        doubt = ClockDoubt(now=now, last=written, what="behind")
    else:
        return None
    said = context.journal.draft(CLOCK)
    if said is None or said["entry"] != last.id:
        return doubt
    then = datetime.fromisoformat(str(said["at"]))
    return None if instant(then) <= instant(now) < instant(then) + LEAP else doubt


def clock_is_right(context: Context) -> None:
    """Keep that the person said so, until more is written or weeks have passed."""
    last = last_written(context.entries)
    if last is not None:
        said = {"entry": last.id, "at": context.clock.now().isoformat()}
        context.journal.save_draft(CLOCK, {**said})


def unsettled(context: Context) -> Waiting:
    """All that waits for a word of the person. It looks at every entry."""
    from companion.care.history import current, rivals

    entries = context.journal.entries()
    wrong = _under_wrong_clock(context)
    differ = rivals(entries)
    if not wrong:
        return Waiting(rivals=differ)
    return Waiting(
        wrong_clock=tuple(entry for entry in current(entries) if entry.id in wrong),
        rivals=tuple(group for group in differ if not wrong & {entry.id for entry in group}),
    )


def _under_wrong_clock(context: Context) -> frozenset[str]:
    from companion.care.clocks import under_wrong_clock

    diary = context.diary()
    return frozenset() if diary is None else under_wrong_clock(diary)


def one_episode(entries: Sequence[AnyEntry]) -> tuple[AnyEntry, ...]:
    """The first of `entries` and those that belong to the same time under a wrong clock: less than
    weeks apart, so that one day puts all of them right."""
    in_time = sorted(entries, key=lambda entry: instant(entry.written_at))
    episode = in_time[:1]
    for entry in in_time[1:]:
        if instant(entry.written_at) - instant(episode[-1].written_at) >= LEAP:
            break
        episode.append(entry)
    return tuple(episode)


def on_day(context: Context, entries: Sequence[AnyEntry], first: date) -> tuple[AnyEntry, ...]:
    """Write that the first of `entries`, all of one wrong clock, was written on the day `first`,
    and the others as many days later as they are apart. The tape they name is named on; what they
    took over from a version under a right clock keeps its day.

    Raises ValueError where one of them would come later than today.
    """
    begun, ended = days_written(entries)
    by = first - begun
    if ended + by > context.clock.today():
        raise ValueError("what was written down cannot be of a day to come")
    now = context.clock.now()
    wrong = _under_wrong_clock(context)
    ids = {entry.id: new_id() for entry in entries}
    tapes = {entry.id: ids[entry.id] for entry in entries if isinstance(entry, TapeOn)}
    right = [
        replace(
            corrected(moved(entry, by, _before(context, entry, wrong)), ids[entry.id], now),
            beside=None,
        )
        for entry in entries
    ]
    right += [
        corrected(entry, new_id(), now)
        for tape in tapes
        for entry in _naming(context, tape)
        if entry.id not in ids
    ]
    named = [naming_tapes(entry, tapes) for entry in right]
    pages = {entry.id for entry in named if _meets_a_page(context, entry, ids)}
    written = context.journal.write(*(entry for entry in named if entry.id not in pages))
    # Whoever wrote both did not see them as one day: they stay rivals until one is chosen.
    rival = [replace(entry, machine=None, turn=None) for entry in named if entry.id in pages]
    context.journal.append(*rival)
    return (*written, *rival)


def days_written(entries: Sequence[AnyEntry]) -> tuple[date, date]:
    """The first and the last day on which `entries`, one or more, were written, as their clock
    had it.
    """
    days = [diary_day(entry.written_at) for entry in entries]
    return min(days), max(days)


def choose(context: Context, group: Sequence[AnyEntry], chosen_id: str) -> AnyEntry:
    """Write that of rivals the one of that id is right, as a further correction of it."""
    chosen = next(entry for entry in group if entry.id == chosen_id)
    others = tuple(entry.id for entry in group if entry.id != chosen_id)
    correction = corrected(chosen, new_id(), context.clock.now())
    return context.journal.write(replace(correction, over=others, beside=None))[0]


def _before(context: Context, entry: AnyEntry, wrong: Collection[str]) -> AnyEntry | None:
    """The newest version before an entry that was written under a right clock."""
    before: AnyEntry | None = entry
    while before is not None:
        before = None if before.replaces is None else context.journal.entry(before.replaces)
        if before is not None and before.id not in wrong:
            break
    return before


def _naming(context: Context, tape_on: str) -> Iterable[AnyEntry]:
    """What names a tape: its removal, and the outing it was for."""
    yield from off_of(context.entries, tape_on)
    for entry in context.entries.find(Outing):
        if tape_on in tapes_named(entry):
            yield entry


def _meets_a_page(context: Context, entry: AnyEntry, ids: dict[str, str]) -> bool:
    """Whether there is another page already for the day and knee of a page."""
    if not isinstance(entry, DayPage):
        return False
    day = entry.for_day
    there = context.entries.find(DayPage, side=entry.side, first_day=day, last_day=day)
    return any(page.id not in ids for page in there)
