"""Small records for the tests of the rules: a plan and entries with sensible fields."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from itertools import count
from typing import Any

from companion.care.records import (
    DayPage,
    Event,
    GateAnswer,
    MoveScore,
    PatchTest,
    Plan,
    Session,
    TapeOff,
    TapeOn,
    TapePlan,
    WarningSign,
)

DAY = date(2026, 3, 2)
_numbers = count(1)


def new_id() -> str:
    return f"{next(_numbers):032x}"


def at(day: date | int, hour: int = 18, minute: int = 0, offset_hours: float = 0) -> datetime:
    """An instant by the wall clock of an offset; a whole number counts days from `DAY`."""
    if isinstance(day, int):
        day = DAY + timedelta(days=day)
    zone = timezone(timedelta(hours=offset_hours)) if offset_hours else UTC
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone)


def plan(tape: dict[str, Any] | None = None, **fields: Any) -> Plan:
    """A plan for the right knee; `tape` changes its tape part."""
    base = Plan(
        person="K-07",
        version=1,
        written_on=DAY,
        review_on=DAY + timedelta(days=56),
        side="right",
        main_side="right",
        tape=TapePlan(when="if_missed", start=1, highest=2, make="Slate 50"),
    )
    made = replace(base, **fields)
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


def gate(day: int, answer: str = "none", **fields: Any) -> GateAnswer:
    return GateAnswer(**_fields(day, {"gate": answer, "happened_at": at(day)} | fields))


def event(day: int | date, what: str = "injection", **fields: Any) -> Event:
    return Event(**_fields(day, {"what": what} | fields))


def patch_test(placed: datetime, make: str = "Slate 50", **fields: Any) -> PatchTest:
    return PatchTest(**_fields(placed.date(), {"make": make, "happened_at": placed} | fields))
