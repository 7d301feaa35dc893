"""A diary as a table: paper typed into a spreadsheet comes in, a spreadsheet goes out.

The form is RFC 4180 (commas, quotes, CRLF or LF) in UTF-8, a header, then one row a day and knee.
What comes in is hostile until read: every fault is a value with its line and column, and a row with
a fault makes no entry at all. Of what goes out no cell can run as a formula.

`before`, `after_hands` and `after_tape` make a session; every other cell makes a day page. With a
session `tape_stage` is the session's, and makes no page by itself.
"""

import csv
import hashlib
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from companion.care.coded import KNEES, Coded, coded
from companion.care.days import diary_day
from companion.care.history import current
from companion.care.ranges import Words
from companion.care.records import (
    ActivityScore,
    Amount,
    AnyEntry,
    DayPage,
    Diary,
    MoveScore,
    Plan,
    Session,
    SessionEnd,
    Side,
)
from companion.care.wear import Wear, wears
from companion.exchange import table_cells as cells
from companion.exchange.table_cells import CellFault, Reader, shown
from companion.system.resources import resource

MOST_BYTES = 16 * 1024 * 1024
MOST_ROWS = 200_000
MOST_FAULTS = 1000
MOST_COLUMNS = 100
MOST_ACTIVITIES = 5
MOST_AMOUNTS = 10
"""Activities and amounts one day page holds."""

FIXED: Mapping[str, Reader] = {
    "day": cells.day,
    "side": str.strip,
    "pain_now": cells.score,
    "pain_average": cells.score,
    "pain_worst": cells.score,
    "stiffness_min": cells.stiffness_minutes,
    "before": cells.score,
    "after_hands": cells.score,
    "after_tape": cells.score,
    "tape_stage": cells.stage,
    "tape_worn": cells.yes_or_no,
    "steps_done": cells.yes_or_no,
    "exercise_done": cells.yes_or_no,
    "medicine": cells.yes_or_no,
    "skin": cells.skin,
    "note": cells.note,
}
"""The columns with a fixed name, in the order of the contract (labelled ones go before `note`)."""
MOVES = ("before", "after_hands", "after_tape")
_LABEL = Words(60)

Key = str | tuple[str, ...]
"""A fixed name, or ("activity", label), or ("amount", label, unit)."""
Row = dict[Key, Any]


@dataclass(frozen=True, slots=True)
class TableFault:
    """What is wrong, where: `line` is the line of the file on which the row begins, from 1.

    `column` is the name in the header, empty where the fault is of the whole row or file.
    """

    line: int
    column: str
    what: Coded

    @property
    def said(self) -> Coded:
        """Place and fault as one: line 12, pain_worst: 11 is not between 0 and 10."""
        if not self.column:
            return coded("at_line", line=self.line, what=self.what)
        column = self.column if self.column.isprintable() else shown(self.column)
        column = column[: cells.MOST_SHOWN * 2]
        return coded("at_cell", line=self.line, column=column, what=self.what)


@dataclass(frozen=True, slots=True)
class TableReading:
    """What a table held. `entries` are those of the rows without a fault.

    `faults_not_listed` counts faults beyond the first thousand; their rows are left out too.
    """

    entries: tuple[AnyEntry, ...]
    faults: tuple[TableFault, ...]
    faults_not_listed: int = 0


@dataclass(slots=True)
class _Faults:
    """Faults as they are found; the list is bounded, the count is not."""

    listed: list[TableFault] = field(default_factory=list)
    not_listed: int = 0

    def add(self, line: int, column: str, what: Coded) -> None:
        if len(self.listed) < MOST_FAULTS:
            self.listed.append(TableFault(line, column, what))
        else:
            self.not_listed += 1

    @property
    def count(self) -> int:
        return len(self.listed) + self.not_listed

    def reading(self, entries: Iterable[AnyEntry]) -> TableReading:
        return TableReading(tuple(entries), tuple(self.listed), self.not_listed)


@dataclass(frozen=True, slots=True)
class _Column:
    name: str
    key: Key
    read: Reader


# ---------------------------------------------------------------- reading


def read_table(data: bytes, plan: Plan, written_at: datetime) -> TableReading:
    """The entries of a table of paper records, for the person and knees of `plan`.

    `written_at` (aware) is when the table is taken in; a later day is a fault. Entries are
    written by "paper" under the version of `plan`. An id is made from person, day, knee and
    content, so the same row is the same entry however often it is read. Never raises for what
    `data` holds. A fault of the file, or of the header, leaves no entries.
    """
    faults = _Faults()
    text = _text(data, faults)
    if text is None:
        return faults.reading(())
    rows = _rows(text, faults)
    header = next(rows, None)
    if header is None:
        if not faults.listed:
            faults.add(1, "", coded("table_empty"))
        return faults.reading(())
    columns = _columns(header[1], header[0], plan, faults)
    if faults.listed:
        return faults.reading(())
    last_day = diary_day(written_at)
    seen: dict[tuple[date, Side], int] = {}
    entries: list[AnyEntry] = []
    for number, (line, texts) in enumerate(rows, 1):
        if number > MOST_ROWS:
            faults.add(line, "", coded("too_many_rows", most=MOST_ROWS))
            break
        before = faults.count
        row = _row(columns, texts, line, faults)
        place = _place(row, plan, last_day, line, faults)
        if place is None:
            continue
        earlier = seen.setdefault(place, line)
        if earlier != line:
            said = coded("day_twice", day=place[0], knee=KNEES[place[1]], line=earlier)
            faults.add(line, "day", said)
        if faults.count == before:
            entries += _entries(row, place, plan, written_at)
    return faults.reading(entries)


def _text(data: bytes, faults: _Faults) -> str | None:
    """The text of a file, or None with the fault said."""
    if len(data) > MOST_BYTES:
        faults.add(1, "", coded("table_too_large", size=len(data), most=MOST_BYTES))
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        faults.add(line, "", coded("table_not_utf8"))
        return None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        faults.add(line, "", coded("table_nul"))
        return None
    return text


def _rows(text: str, faults: _Faults) -> Iterator[tuple[int, list[str]]]:
    """Rows that hold anything, each with the line on which it begins."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    while True:
        line = reader.line_num + 1
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as fault:
            if "expected after" in str(fault):
                faults.add(line, "", coded("text_after_quote"))
                continue
            faults.add(line, "", coded("quote_open"))
            return
        if any(cell.strip() for cell in row):
            yield line, row


def _columns(names: Sequence[str], line: int, plan: Plan, faults: _Faults) -> list[_Column]:
    """The columns of a header; faults of the header stop everything."""
    if len(names) > MOST_COLUMNS:
        faults.add(line, "", coded("too_many_columns", count=len(names), most=MOST_COLUMNS))
        return []
    if len(names) == 1 and ";" in names[0]:
        faults.add(line, "", coded("semicolons"))
        return []
    columns: list[_Column] = []
    for text in names:
        name = text.strip()
        try:
            column = _column(name, plan)
            if name and any(column.key == other.key for other in columns):
                raise CellFault(coded("column_twice"))
        except CellFault as fault:
            faults.add(line, name, fault.what)
        else:
            columns.append(column)
    keys = {column.key for column in columns}
    if "day" not in keys and not faults.listed:
        faults.add(line, "day", coded("column_missing"))
    if plan.side == "both" and "side" not in keys and not faults.listed:
        faults.add(line, "side", coded("side_column_missing"))
    return columns


def _column(name: str, plan: Plan) -> _Column:
    if not name:
        return _Column("", "", cells.nothing)
    if name in FIXED:
        return _Column(name, name, FIXED[name])
    kind, colon, rest = name.partition(":")
    if kind not in ("activity", "amount") or not colon:
        raise CellFault(coded("column_unknown"))
    label, unit = rest.strip(), ""
    if kind == "amount":
        label, _, unit = (part.strip() for part in rest.rpartition(":"))
        if not label or not unit:
            raise CellFault(coded("label_and_unit_needed"))
        if unit not in cells.UNITS and not any(
            planned.label == label and planned.unit == unit for planned in plan.amounts
        ):
            raise CellFault(coded("unit_unknown", got=shown(unit), allowed=", ".join(cells.UNITS)))
    if not label:
        raise CellFault(coded("label_needed"))
    fault = _LABEL.fault(label)
    if fault is not None:
        raise CellFault(coded("label_wrong", what=fault))
    if kind == "activity":
        return _Column(name, ("activity", label), cells.score)
    return _Column(name, ("amount", label, unit), cells.amount)


def _row(columns: Sequence[_Column], texts: Sequence[str], line: int, faults: _Faults) -> Row:
    """The values of one row; what cannot be read is a fault and is left out."""
    row: Row = {}
    for column, text in zip(columns, texts, strict=False):
        if not text or text.isspace():
            continue
        try:
            row[column.key] = column.read(text)
        except CellFault as fault:
            row[column.key] = None
            faults.add(line, column.name, fault.what)
    for number, text in enumerate(texts[len(columns) :], len(columns) + 1):
        if text.strip():
            faults.add(line, "", coded("cell_beyond_header", cell=number, columns=len(columns)))
    if row.get("tape_stage") == 0 and "after_tape" in row:
        faults.add(line, "tape_stage", coded("tape_score_without_tape"))
    for kind, most in (("activity", MOST_ACTIVITIES), ("amount", MOST_AMOUNTS)):
        given = [
            column.name for column in columns if column.key in row and column.key[:1] == (kind,)
        ]
        if len(given) > most:
            faults.add(line, given[most], coded("too_many_of_kind", most=most))
    return row


def _place(
    row: Row, plan: Plan, last_day: date, line: int, faults: _Faults
) -> tuple[date, Side] | None:
    """The day and knee of a row, or None with the fault said."""
    day: date | None = row.get("day")
    if day is None and "day" not in row:
        faults.add(line, "day", coded("day_missing"))
    if day is not None and day > last_day:
        faults.add(line, "day", coded("day_in_the_future", day=day))
    typed = row.get("side")
    if typed is None:
        if plan.side == "both":
            faults.add(line, "side", coded("side_missing"))
            return None
        typed = plan.side
    side = next((side for side in plan.sides if side == typed), None)
    if side is None:
        known = " or ".join(sorted(plan.sides))
        faults.add(line, "side", coded("not_a_knee_of_the_plan", got=shown(typed), allowed=known))
    return None if day is None or side is None else (day, side)


def _entries(
    row: Row, place: tuple[date, Side], plan: Plan, written_at: datetime
) -> Iterator[AnyEntry]:
    """The entries of a row without faults: none when it holds no more than its day and knee."""
    day, side = place
    moves = {name: row[name] for name in MOVES if name in row}
    page = {key: value for key, value in row.items() if key not in (*MOVES, "day", "side")}
    stage = row.get("tape_stage")
    if moves:
        content = moves | {key: row[key] for key in ("tape_stage", "steps_done") if key in row}
        yield Session(
            id=_entry_id(plan.person, place, "session", content),
            for_day=day,
            written_at=written_at,
            written_by="paper",
            plan_version=plan.version,
            side=side,
            moves=_moves(moves, stage),
            stage=(stage or 1) if "after_tape" in moves else stage,
            ended=_ended(moves, row.get("steps_done")),
        )
        if page.keys() <= {"tape_stage"}:
            return
    if not page:
        return
    yield DayPage(
        id=_entry_id(plan.person, place, "day_page", page),
        for_day=day,
        written_at=written_at,
        written_by="paper",
        plan_version=plan.version,
        side=side,
        form="full" if page.keys() & {"pain_now", "stiffness_min"} else "short",
        pain_now=page.get("pain_now"),
        pain_average=page.get("pain_average"),
        pain_worst=page.get("pain_worst"),
        medicine=page.get("medicine"),
        skin=page.get("skin"),
        stiffness_minutes=page.get("stiffness_min"),
        activities=tuple(
            ActivityScore(label=key[1], score=value)
            for key, value in page.items()
            if key[0] == "activity"
        ),
        amounts=tuple(
            Amount(label=key[1], unit=key[2], amount=value)
            for key, value in page.items()
            if key[0] == "amount"
        ),
        hands_done=page.get("steps_done"),
        exercise_done=page.get("exercise_done"),
        tape_worn=page.get("tape_worn"),
        tape_stage=stage,
        note=page.get("note"),
    )


def _moves(moves: Mapping[str, int], stage: int | None) -> tuple[MoveScore, ...]:
    made = []
    if "before" in moves:
        made.append(MoveScore(role="before", score=moves["before"]))
    if "after_hands" in moves:
        made.append(MoveScore(role="after_hands", score=moves["after_hands"]))
    if "after_tape" in moves:
        made.append(MoveScore(role="after_tape", score=moves["after_tape"], stage=stage or 1))
    return tuple(made)


def _ended(moves: Mapping[str, int], steps_done: bool | None) -> SessionEnd:
    """A before score alone is a session left behind, unless the paper says the steps were done."""
    return "left" if moves.keys() == {"before"} and steps_done is not True else "finished"


def _entry_id(
    person: str,
    place: tuple[date, Side],
    kind: str,
    content: Mapping[str, object] | Row,
) -> str:
    values = sorted((str(key), str(value)) for key, value in content.items())
    told = repr((person, place[0].isoformat(), place[1], kind, values))
    return hashlib.sha256(told.encode("utf-8")).hexdigest()[:32]


# ---------------------------------------------------------------- writing


def data_dictionary() -> bytes:
    """What each column of the table holds, as a table of its own."""
    return resource("data_dictionary.csv").read_bytes()


def write_table(diary: Diary) -> str:
    """The table of a diary: the entries that count, a row for each day and knee with any value.

    All fixed columns, then `note` last, with a column between for each activity and amount that
    was ever written (the plan's first). A day's session is its last one at home. Notes kept
    private are left out. No BOM; rows end in CRLF.
    """
    entries = current(diary.entries)
    rows = _Rows(entries, diary.plan.tape.cap_hours).by_place
    labelled = _labelled(diary.plan, rows.values())
    fixed = [name for name in FIXED if name != "note"]
    keys: list[Key] = [*fixed, *labelled, "note"]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([key if isinstance(key, str) else ":".join(key) for key in keys])
    for row in rows.values():
        writer.writerow([_cell(row.get(key)) for key in keys])
    return out.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "1" if value else "0"
    if isinstance(value, float):
        return cells.amount_text(value)
    return cells.defused(str(value))


def _labelled(plan: Plan, rows: Iterable[Row]) -> list[Key]:
    """The columns with a label, activities first: the plan's in its order, then others by name."""
    written = {key for row in rows for key in row if not isinstance(key, str)}
    planned: list[tuple[str, ...]] = [("activity", label.strip()) for label in plan.activities]
    planned += [("amount", item.label.strip(), item.unit.strip()) for item in plan.amounts]
    known = [key for key in dict.fromkeys(planned) if key in written]
    return sorted([*known, *sorted(written - set(known))], key=lambda key: key[0])


class _Rows:
    """What the entries that count say of each day and knee."""

    def __init__(self, entries: Sequence[AnyEntry], cap_hours: int) -> None:
        self._pages = {(e.for_day, e.side): e for e in entries if isinstance(e, DayPage)}
        self._sessions: dict[tuple[date, Side], list[Session]] = {}
        for entry in entries:
            if isinstance(entry, Session) and entry.place == "home":
                self._sessions.setdefault((entry.for_day, entry.side), []).append(entry)
        sides: tuple[Side, ...] = ("left", "right")
        self._worn = {side: _stages_worn(wears(entries, side), cap_hours) for side in sides}
        places = sorted(self._pages.keys() | self._sessions.keys())
        rows = ((place, self._row(place)) for place in places)
        self.by_place = {place: row for place, row in rows if _tells(row)}
        """By day and knee, in that order; days of which a table has nothing to tell are left out,
        such as a session that was left before its first score."""

    def _row(self, place: tuple[date, Side]) -> Row:
        """The cells of one day and knee; what is not known is not in it, or None."""
        day, side = place
        sessions = self._sessions.get(place, [])
        row: Row = {"day": day.isoformat(), "side": side, **_scores(sessions)}
        page = self._pages.get(place)
        if page is not None:
            row |= _page_cells(page)
        worn = self._worn[side].get(day)
        stages = (row.get("tape_stage"), page and page.tape_stage, worn, _last_stage(sessions))
        row["tape_stage"] = next((stage for stage in stages if stage is not None), None)
        if row.get("tape_worn") is None and worn is not None:
            row["tape_worn"] = True
        hands = (step for one in sessions for held in one.rounds for step in held.steps)
        exercises = (step for one in sessions for step in one.exercises)
        for key, steps in (("steps_done", hands), ("exercise_done", exercises)):
            if row.get(key) is None and any(step.outcome == "done" for step in steps):
                row[key] = True
        return row


def _tells(row: Row) -> bool:
    """Whether a row holds more than its day and knee: reading it would make an entry."""
    return any(value is not None for key, value in row.items() if key not in ("day", "side"))


def _scores(sessions: Sequence[Session]) -> Row:
    """The scores of the last session that has any: the first before, the last after ones."""
    moves = next((session.moves for session in reversed(sessions) if session.moves), ())
    row: Row = {}
    for move in moves:
        if move.role != "before" or "before" not in row:
            row[move.role] = move.score
        if move.role == "after_tape":
            row["tape_stage"] = move.stage or 1
    return row


def _last_stage(sessions: Sequence[Session]) -> int | None:
    return next((one.stage for one in reversed(sessions) if one.stage is not None), None)


def _page_cells(page: DayPage) -> Row:
    row: Row = {
        "pain_now": page.pain_now,
        "pain_average": page.pain_average,
        "pain_worst": page.pain_worst,
        "stiffness_min": page.stiffness_minutes,
        "tape_worn": page.tape_worn,
        "steps_done": page.hands_done,
        "exercise_done": page.exercise_done,
        "medicine": page.medicine,
        "skin": page.skin,
    }
    if page.note is not None and not page.note_private and not page.note.isspace():
        row["note"] = page.note
    for activity in page.activities:
        if activity.label.strip():
            row.setdefault(("activity", activity.label.strip()), activity.score)
    for item in page.amounts:
        if item.label.strip() and item.unit.strip():
            row.setdefault(("amount", item.label.strip(), item.unit.strip()), item.amount)
    return row


def _stages_worn(worn: Iterable[Wear], cap_hours: int) -> dict[date, int]:
    """The highest stage on the knee in any part of each diary day.

    A wear whose end nobody knows counts to its latest end, and no further than the hard cap.
    """
    stages: dict[date, int] = {}
    for wear in worn:
        end = wear.off_at
        if end is None:
            end = wear.on_at + timedelta(hours=cap_hours)
            if wear.off_by is not None and wear.off_by < end:
                end = wear.off_by
        day, last = diary_day(wear.on_at), diary_day(end.astimezone(wear.on_at.tzinfo))
        while day <= last:
            stages[day] = max(wear.stage, stages.get(day, 0))
            day += timedelta(days=1)
    return stages
