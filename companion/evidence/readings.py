"""What a diary says of one knee, gathered once: pages, sessions and scores by day.

Everything here rests on the effective entries (`care.history`): corrections applied, and of two
pages for one day and knee the one that counts.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from companion.care.adherence import plan_on
from companion.care.answered_signs import answered_elsewhere
from companion.care.clocks import that_count
from companion.care.coded import KNEES, KnownFault, coded
from companion.care.days import is_late
from companion.care.records import (
    AnyEntry,
    DayPage,
    Diary,
    Measure,
    OpenSignSaid,
    Plan,
    Session,
    Side,
)


@dataclass(frozen=True, slots=True)
class Readings:
    """One knee of one diary. `pages` are of this knee, `entries` are all, oldest first.
    `answered`: see `answered_elsewhere`."""

    side: Side
    plans: tuple[Plan, ...]
    entries: tuple[AnyEntry, ...]
    pages: Mapping[date, DayPage]
    person_pages: Mapping[date, tuple[DayPage, ...]]
    sessions: tuple[Session, ...]
    answered: Mapping[str, tuple[Plan, OpenSignSaid]]

    @property
    def first_day(self) -> date | None:
        """The first day with a page of this knee."""
        return min(self.pages, default=None)

    @property
    def last_day(self) -> date | None:
        """The last day with a page of this knee."""
        return max(self.pages, default=None)

    def plan_of(self, session: Session) -> Plan:
        """The plan version a session names; should it be missing, the one in force that day."""
        for plan in self.plans:
            if plan.version == session.plan_version:
                return plan
        return plan_on(self.plans, session.for_day)

    def pain_by_day(self, measure: Measure) -> dict[date, int]:
        """The scores 0-10 of one measure; days without it are absent."""
        scores = ((day, pain_of(page, measure)) for day, page in sorted(self.pages.items()))
        return {day: score for day, score in scores if score is not None}

    def activity_by_day(self) -> dict[str, dict[date, int]]:
        """The scores of each activity by day, from any page of that day, the main knee first."""
        found: dict[str, dict[date, int]] = {}
        for day, pages in sorted(self.person_pages.items()):
            for page in pages:
                for answer in page.activities:
                    found.setdefault(answer.label, {}).setdefault(day, answer.score)
        return found


def pain_of(page: DayPage, measure: Measure) -> int | None:
    """The score of one measure on a page; None when it was not answered."""
    if measure == "worst":
        return page.pain_worst
    return page.pain_now if measure == "now" else page.pain_average


def holds_pain(page: DayPage) -> bool:
    """True when the page holds any pain value."""
    return (page.pain_now, page.pain_average, page.pain_worst) != (None, None, None)


def is_late_page(page: DayPage) -> bool:
    """True for a page written late; one copied from paper is never late."""
    return page.written_by != "paper" and is_late(page.for_day, page.written_at)


def sides(diary: Diary) -> tuple[Side, ...]:
    """The knees of the plan in force, the main one first, then those of earlier versions."""
    in_force = diary.plan
    found = dict.fromkeys(in_force.sides)
    for plan in sorted(diary.plans, key=lambda plan: plan.version, reverse=True):
        found.update(dict.fromkeys(plan.sides))
    return tuple(found)


def readings(diary: Diary, side: Side | None = None) -> Readings:
    """Gather what `diary` says of one knee, by default the plan's main one.

    Raises KnownFault when no plan version treats that knee.
    """
    if not diary.plans:
        raise KnownFault(coded("diary_without_plan"))
    known = sides(diary)
    knee = known[0] if side is None else side
    if knee not in known:
        raise KnownFault(coded("knee_not_in_plan", main=KNEES[known[0]], knee=KNEES[knee]))
    entries = that_count(diary)
    main = known[0]
    by_day: dict[date, list[DayPage]] = {}
    for entry in entries:
        if isinstance(entry, DayPage):
            by_day.setdefault(entry.for_day, []).append(entry)
    return Readings(
        side=knee,
        plans=tuple(sorted(diary.plans, key=lambda plan: plan.version)),
        entries=entries,
        pages=_of_side(by_day.values(), knee),
        person_pages={
            day: tuple(sorted(pages, key=lambda page: page.side != main))
            for day, pages in by_day.items()
        },
        sessions=tuple(
            entry for entry in entries if isinstance(entry, Session) and entry.side == knee
        ),
        answered=answered_elsewhere(diary.plans, diary.entries),
    )


def _of_side(days: Iterable[Sequence[DayPage]], side: Side) -> dict[date, DayPage]:
    return {page.for_day: page for pages in days for page in pages if page.side == side}
