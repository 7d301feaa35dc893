"""Plans, entries and diaries for tests: sensible fields, of which a test names what it is about."""

import dataclasses
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta, timezone
from itertools import chain, count
from typing import Any, TypeVar, get_args

from companion.care.records import (
    ActivityScore,
    AnyEntry,
    DayPage,
    Diary,
    Event,
    GateAnswer,
    MoveScore,
    Outing,
    OutingKnee,
    PatchTest,
    Plan,
    Session,
    Side,
    TapeOff,
    TapeOn,
    TapePlan,
    WarningSign,
)
from companion.services.settings import DrawnPerson, SkinTone

E = TypeVar("E", bound=AnyEntry)
DAY = date(2026, 3, 2)
START = date(2026, 8, 31)
SKIN_TONES: tuple[SkinTone, ...] = get_args(SkinTone)
DRAWN_PEOPLE: tuple[DrawnPerson, ...] = get_args(DrawnPerson)
"""The first day of a diary that is built entry by entry."""
_numbers = count(1)


def new_id() -> str:
    return f"{next(_numbers):032x}"


def at(day: date | int, hour: int = 18, minute: int = 0, offset_hours: float = 0) -> datetime:
    """An instant by the wall clock of an offset; a whole number counts days from `DAY`."""
    if isinstance(day, int):
        day = DAY + timedelta(days=day)
    zone = timezone(timedelta(hours=offset_hours)) if offset_hours else UTC
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone)


def small_plan(**fields: Any) -> Plan:
    """The least plan there is, for the right knee: nothing prescribed, no tape."""
    base: dict[str, Any] = {
        "person": "K-07",
        "version": 1,
        "written_on": DAY,
        "review_on": DAY + timedelta(days=56),
        "side": "right",
        "main_side": "right",
    }
    return Plan(**(base | fields))


def plan(tape: dict[str, Any] | None = None, **fields: Any) -> Plan:
    """A plan with tape for the right knee; `tape` changes its tape part."""
    usual = TapePlan(when="if_missed", start=1, highest=2, make="Slate 50")
    made = small_plan(**({"tape": usual} | fields))
    return replace(made, tape=replace(made.tape, **tape)) if tape else made


def _fields(day: int | date, fields: dict[str, Any]) -> dict[str, Any]:
    if isinstance(day, int):
        day = DAY + timedelta(days=day)
    common = {
        "id": new_id(),
        "for_day": day,
        "written_at": fields.get("happened_at") or at(day),
        "written_by": "person",
        "plan_version": 1,
    }
    return common | fields


def page(day: int | date, **fields: Any) -> DayPage:
    return DayPage(**_fields(day, {"side": "right"} | fields))


def session(
    day: int | date, before: int | None = None, *after: int | tuple[int, int], **fields: Any
) -> Session:
    """A session; each `after` is a score after hands, or (stage, score) after tape."""
    moves = [] if before is None else [MoveScore(role="before", score=before)]
    for score in after:
        if isinstance(score, tuple):
            moves.append(MoveScore(role="after_tape", stage=score[0], score=score[1]))
        else:
            moves.append(MoveScore(role="after_hands", score=score))
    return Session(
        **_fields(
            day,
            {"side": "right", "ended": "finished", "moves": tuple(moves), "gate": "none"} | fields,
        )
    )


def tape_on(happened_at: datetime, **fields: Any) -> TapeOn:
    base = {"side": "right", "stage": 1, "make": "Slate 50", "happened_at": happened_at}
    return TapeOn(**_fields(happened_at.date(), base | fields))


def tape_off(happened_at: datetime | None, **fields: Any) -> TapeOff:
    day = (happened_at or fields["written_at"]).date()
    return TapeOff(**_fields(day, {"side": "right", "happened_at": happened_at} | fields))


def warning(
    day: int | date, sign: str = "knee_stuck", level: str = "today", **fields: Any
) -> WarningSign:
    return WarningSign(**_fields(day, {"sign": sign, "card": sign, "level": level} | fields))


NOTHING_NEW: dict[str, Any] = {f"q{number}": "no" for number in (1, 2, 3, 4)}
"""What is given at the gate by whoever has nothing new."""
SOMETHING_NEW: dict[str, Any] = dict.fromkeys(NOTHING_NEW, "yes")
"""And by whoever wants to see the rows of all four questions."""


def gate(day: int, answer: str = "none", **fields: Any) -> GateAnswer:
    return GateAnswer(**_fields(day, {"gate": answer, "happened_at": at(day)} | fields))


def event(day: int | date, what: str = "injection", **fields: Any) -> Event:
    return Event(**_fields(day, {"what": what} | fields))


def outing(day: int | date, what_for: str = "To the quay", **fields: Any) -> Outing:
    """An outing of one knee, the right one where nothing else is said, or of `knees`."""
    return Outing(**of_knees(_fields(day, {"what_for": what_for} | fields)))


def of_knees(fields: dict[str, Any]) -> dict[str, Any]:
    """What is given for one knee (`side`, `pain_worst`, ...) as the `knees` of an outing."""
    names = [field.name for field in dataclasses.fields(OutingKnee)]
    knee = {"side": "right"} | {name: fields[name] for name in names if name in fields}
    kept = {name: value for name, value in fields.items() if name not in names}
    return {"knees": (OutingKnee(**knee),)} | kept


def patch_test(placed: datetime, make: str = "Slate 50", **fields: Any) -> PatchTest:
    return PatchTest(**_fields(placed.date(), {"make": make, "happened_at": placed} | fields))


# ---------------------------------------------------------------- scores of a check move


def before(score: int, *zones: Any) -> MoveScore:
    """The score before anything."""
    return MoveScore(role="before", score=score, zones=zones)


def after_hands(score: int) -> MoveScore:
    """The score after a hands round, at the same depth."""
    return MoveScore(role="after_hands", score=score, same_depth=True)


def after_tape(score: int, stage: int = 1) -> MoveScore:
    """The score after tape, at the same depth."""
    return MoveScore(role="after_tape", score=score, stage=stage, same_depth=True)


# ---------------------------------------------------------------- whole diaries


def scores(text: str) -> list[int | None]:
    """Scores by day from a row of text: `-` is a day without a page, `/` only parts weeks."""
    return [None if word == "-" else int(word) for word in text.replace("/", " ").split()]


def by_day(values: Iterable[int | None], first: date = DAY) -> dict[date, int]:
    """Scores by day from `first` on, gaps left out."""
    return {
        first + timedelta(days=step): score
        for step, score in enumerate(values)
        if score is not None
    }


def pages(values: str | Sequence[int | None], first: int = 0, **fields: Any) -> list[DayPage]:
    """A page for each score of average pain, the first on day `first`."""
    row = scores(values) if isinstance(values, str) else values
    return [
        page(first + step, pain_average=score, **fields)
        for step, score in enumerate(row)
        if score is not None
    ]


def answers(**by_label: int) -> tuple[ActivityScore, ...]:
    return tuple(ActivityScore(label=label, score=score) for label, score in by_label.items())


def diary(*entries: AnyEntry | Iterable[AnyEntry], plans: Sequence[Plan] = ()) -> Diary:
    """A diary of one plan for the right knee unless `plans` says otherwise."""
    flat = chain.from_iterable([e] if isinstance(e, AnyEntry) else e for e in entries)
    return Diary(plans=tuple(plans) or (plan(),), entries=tuple(flat))


@dataclass
class DiaryBuilder:
    """Writes entries one by one, each with an id of its own, in the harbour's summer time."""

    start: date = START
    side: Side = "right"
    entries: list[AnyEntry] = field(default_factory=list)
    made: int = 0

    def day(self, n: int) -> date:
        """The n-th day from the start, from 0."""
        return self.start + timedelta(days=n)

    def add(self, kind: type[E], n: int, **fields: Any) -> E:
        """Any entry on day `n`."""
        return self._put(kind, self.day(n), fields)

    def page(self, n: int, average: int | None = None, **more: Any) -> DayPage:
        """A day page for day `n`."""
        return self.add(DayPage, n, **({"side": self.side, "pain_average": average} | more))

    def session(self, n: int, *moves: MoveScore, **more: Any) -> Session:
        """A finished session on day `n`."""
        usual: dict[str, Any] = {
            "side": self.side,
            "moves": moves,
            "ended": "finished",
            "happened_at": at(self.day(n), 18, offset_hours=2),
            "ended_at": at(self.day(n), 18, 15, offset_hours=2),
        }
        return self.add(Session, n, **(usual | more))

    def tape(self, n: int, hours: int | None, stage: int = 1, **off: Any) -> TapeOn:
        """Tape on at 18:30 of day `n`, and off `hours` later; never off when None."""
        begun = at(self.day(n), 18, 30, offset_hours=2)
        on = self.add(TapeOn, n, side=self.side, happened_at=begun, stage=stage)
        if hours is not None:
            when = begun + timedelta(hours=hours)
            usual = {"tape_on": on.id, "happened_at": when, "skin_at_once": "clear"}
            self._put(TapeOff, when.date(), {"side": self.side} | usual | off)
        return on

    def _put(self, kind: type[E], day: date, fields: dict[str, Any]) -> E:
        self.made += 1
        own = {"id": f"{self.made:032x}", "written_at": at(day, 20, offset_hours=2)}
        entry = kind(**_fields(day, own | fields))
        self.entries.append(entry)
        return entry
