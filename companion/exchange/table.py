"""A diary as a table: paper typed into a spreadsheet comes in, a spreadsheet goes out.

The form is RFC 4180 (commas, quotes, CRLF or LF) in UTF-8, a header, then one row a day and knee;
what people save instead is read too (`read_table`). What comes in is hostile until read: every
fault is a value with its line and column, and costs no more than it spoils. Of what goes out no
cell can run as a formula.

`before`, `after_hands` and `after_tape` make a session; hours of tape make entries of tape on and
off; every other cell makes a day page. With a session `tape_stage` is the session's, and makes no
page by itself.
"""

import csv
import hashlib
import io
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import partial
from itertools import chain, islice
from typing import Any, get_args

from companion.care.clocks import that_count
from companion.care.coded import KNEES, Coded, coded
from companion.care.days import DAY_ENDS_AT, diary_day
from companion.care.ranges import Words
from companion.care.records import (
    ActivityScore,
    Amount,
    AnyEntry,
    DayPage,
    Diary,
    Event,
    MoveRole,
    MoveScore,
    PaperQuestion,
    Plan,
    Session,
    SessionEnd,
    Side,
    Stamp,
    TapeOff,
    TapeOn,
)
from companion.care.tape_applications import TapeApplication, tape_applications
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
    "side": cells.side,
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
    "night_pain": cells.yes_or_no,
    "stairs": cells.stairs,
    "fell": cells.yes_or_no,
    "sign": cells.sign,
    "note": cells.note,
}
"""The columns with a fixed name, in the order of the contract (labelled ones go before `note`)."""
HOURS: Mapping[str, Reader] = {
    "tape_on": cells.clock,
    "tape_by": cells.put_on_by,
    "tape_off": cells.clock,
}
"""Columns of paper alone: when tape went on and came off. They become entries of their own, of
which a table tells the days."""
MOVES: tuple[str, ...] = get_args(MoveRole)
_QUESTIONS: tuple[PaperQuestion, ...] = get_args(PaperQuestion)
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
    """What a table held. `entries` are what is left without what is at fault.

    `faults_not_listed` counts faults beyond the first thousand.
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
class _TableColumn:
    name: str
    key: Key
    read: Reader


# ---------------------------------------------------------------- reading


@dataclass(frozen=True, slots=True)
class _Record:
    """The cells of one day and knee as they stand in the file: each on the line of its own where
    the days stand across, else all on one. `named` is added to a column's name in a fault."""

    lines: Sequence[int]
    texts: Sequence[str]
    named: str = ""

    @property
    def line(self) -> int:
        return self.lines[0]

    def line_of(self, number: int) -> int:
        return self.lines[number] if len(self.lines) > 1 else self.lines[0]


def read_table(
    data: bytes,
    plan: Plan,
    written_at: datetime,
    *,
    month_first: bool = False,
    headings: Mapping[str, str] | None = None,
) -> TableReading:
    """The entries of a table of paper records, for the person and knees of `plan`.

    `written_at` (aware) is when the table is taken in; a later day is a fault. Entries are
    written by "paper" under the version of `plan`. An id is made from person, day, knee and
    content, so the same row is the same entry however often it is read. Never raises for what
    `data` holds. A fault of the file, or of the header, leaves no entries; one of a cell leaves
    that cell out, one of a day or knee its row.

    The table may be what people save: UTF-8 with or without a byte-order mark, or else Latin-1 as
    Windows writes it; parted by commas, semicolons or tabs; the days down or across. `headings`
    gives the column of each heading as the blank pages print it; letters' case does not count.
    With `month_first` a day such as 02/11/2026 begins with its month.
    """
    faults = _Faults()
    text = _text(data, faults)
    if text is None:
        return faults.reading(())
    names = _Names(plan, headings or {}, month_first=month_first)
    rows: Iterator[_Line] = _rows(text, _delimiter(text, names), faults)
    header = next(rows, None)
    if header is None:
        if not faults.listed:
            faults.add(1, "", coded("table_empty"))
        return faults.reading(())
    below = list(islice(rows, 1))
    rows = chain(below, rows)
    if names.are_days_across(header[1], below[0][1][0] if below else ""):
        head, records = _turned([header, *rows])
    else:
        head = _Record((header[0],), header[1])
        records = (_Record((line,), texts) for line, texts in rows)
    of_header = _Faults()
    columns = _columns(head, names, of_header)
    if of_header.listed:
        return of_header.reading(())
    return _taken(records, columns, plan, written_at, faults)


def read_cells(
    head: Sequence[str], rows: Iterable[Sequence[str]], plan: Plan, written_at: datetime
) -> TableReading:
    """The entries of cells that were typed one by one, as `read_table` takes in those of a file:
    under the same names, with the same faults. A fault names its row, counted from 1."""
    faults = _Faults()
    names = _Names(plan, {}, month_first=False)
    columns = _columns(_Record((0,), head), names, faults)
    if faults.listed:
        return faults.reading(())
    records = (_Record((number,), row) for number, row in enumerate(rows, 1))
    return _taken(records, columns, plan, written_at, faults)


def _taken(
    records: Iterable["_Record"],
    columns: Sequence[_TableColumn],
    plan: Plan,
    written_at: datetime,
    faults: _Faults,
) -> TableReading:
    places: Iterable[_Placed] = _placed(records, columns, plan, written_at, faults)
    if plan.side == "both":
        places = _person_agreed(list(places), faults)
    return faults.reading(
        entry for place, _, row in places for entry in _entries(row, place, plan, written_at)
    )


_Line = tuple[int, list[str]]
"""A row of the file, and the line on which it begins."""
_Placed = tuple[tuple[date, Side], _Record, Row]


def _placed(
    records: Iterable[_Record],
    columns: Sequence[_TableColumn],
    plan: Plan,
    written_at: datetime,
    faults: _Faults,
) -> Iterator[_Placed]:
    """What of each record can be told, by its day and knee."""
    seen: dict[tuple[date, Side], _Record] = {}
    for number, record in enumerate(records, 1):
        if number > MOST_ROWS:
            faults.add(record.line, "", coded("too_many_rows", most=MOST_ROWS))
            return
        row = _row(columns, record, faults)
        place = _place(row, plan, diary_day(written_at), record, faults)
        if place is None:
            continue
        earlier = seen.setdefault(place, record)
        if earlier is not record:
            day, knee = place[0].isoformat(), KNEES[place[1]]
            said = coded("day_twice", day=day, knee=knee, line=earlier.line)
            if record.named:
                said = coded("day_twice_across", day=day, knee=knee)
            faults.add(record.line, "day", said)
            continue
        _contradictions(row, place[0], plan, record, written_at, faults)
        yield place, record, row


def _text(data: bytes, faults: _Faults) -> str | None:
    """The text of a file, or None with the fault said."""
    if len(data) > MOST_BYTES:
        faults.add(1, "", coded("table_too_large", size=len(data), most=MOST_BYTES))
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        try:
            # What is called Latin-1 is windows-1252 (WHATWG Encoding Standard, names and labels).
            text = data.decode("windows-1252")
        except UnicodeDecodeError as fault:
            line = data.count(b"\n", 0, fault.start) + 1
            faults.add(line, "", coded("table_not_utf8"))
            return None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        faults.add(line, "", coded("table_nul"))
        return None
    return text


DELIMITERS = (",", ";", "\t")


def _delimiter(text: str, names: "_Names") -> str:
    """What parts the cells: that under which most of the first row is known. A comma in doubt."""

    def known(delimiter: str) -> int:
        first = next(_rows(text, delimiter, _Faults()), None)
        return 0 if first is None else sum(map(names.knows, first[1][:MOST_ROWS]))

    return max(DELIMITERS, key=known)


def _rows(text: str, delimiter: str, faults: _Faults) -> Iterator[_Line]:
    """Rows that hold anything, each with the line on which it begins."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
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


def _turned(rows: Sequence[_Line]) -> tuple[_Record, Iterator[_Record]]:
    """The names down the first column, and a record for each column after it that holds a day."""
    lines = [line for line, _ in rows]

    def records() -> Iterator[_Record]:
        for number in range(1, max(len(texts) for _, texts in rows)):
            texts = [texts[number] if number < len(texts) else "" for _, texts in rows]
            if any(text.strip() for text in texts):
                yield _Record(lines, texts, texts[0].strip())

    return _Record(lines, [texts[0] for _, texts in rows]), records()


def _columns(head: _Record, names: "_Names", faults: _Faults) -> list[_TableColumn]:
    """The columns of a header; faults of the header stop everything."""
    line, count = head.line, len(head.texts)
    if count > MOST_COLUMNS:
        faults.add(line, "", coded("too_many_columns", count=count, most=MOST_COLUMNS))
        return []
    columns: list[_TableColumn] = []
    for number, text in enumerate(head.texts):
        name = text.strip()
        try:
            column = names.column(name)
            if name and any(column.key == other.key for other in columns):
                raise CellFault(coded("column_twice"))
        except CellFault as fault:
            faults.add(head.line_of(number), name, fault.what)
        else:
            columns.append(column)
    keys = {column.key for column in columns}
    if "day" not in keys and not faults.listed:
        faults.add(line, "day", coded("column_missing"))
    if names.plan.side == "both" and "side" not in keys and not faults.listed:
        faults.add(line, "side", coded("side_column_missing"))
    return columns


def _folded(name: str) -> str:
    """A heading as it is compared: case, and how its words are parted, do not count."""
    return " ".join(name.replace("_", " ").split()).casefold()


class _Names:
    """What headings mean: the names of the contract, the words of the blank pages, the plan's own
    labels, in letters of any case."""

    def __init__(self, plan: Plan, headings: Mapping[str, str], *, month_first: bool) -> None:
        self.plan = plan
        self._day: Reader = cells.day_month_first if month_first else cells.day
        self._columns = {_folded(name): name for name in (*FIXED, *HOURS)} | {
            _folded(words): column for words, column in headings.items()
        }
        self._labels = {_folded(label): label.strip() for label in plan.activities} | {
            _folded(amount.label): amount.label.strip() for amount in plan.amounts
        }

    def knows(self, text: str) -> bool:
        """Whether a cell of the first row is a heading, or a day where the days stand across."""
        name = _folded(text)
        if name in self._columns or name.partition(":")[0] in ("activity", "amount"):
            return True
        try:
            self._day(text)
        except CellFault:
            return False
        return True

    def are_days_across(self, first: Sequence[str], below: str) -> bool:
        """Whether the first row is the row of days, the names standing below its first cell."""
        if self._columns.get(_folded(first[0])) != "day":
            return False
        others = [text for text in first[1:] if text.strip()]
        if not others or any(map(self._is_heading, others)):
            return False
        return self._is_heading(below) or any(map(self.knows, others))

    def _is_heading(self, text: str) -> bool:
        name = _folded(text)
        return name in self._columns or ":" in name

    def column(self, name: str) -> _TableColumn:
        """The column of a heading. Raises CellFault."""
        if not name:
            return _TableColumn("", "", cells.nothing)
        fixed = self._columns.get(_folded(name), name)
        if fixed == "day":
            return _TableColumn(name, fixed, self._day)
        if fixed in FIXED or fixed in HOURS:
            return _TableColumn(name, fixed, FIXED.get(fixed) or HOURS[fixed])
        kind, colon, rest = fixed.partition(":")
        kind = kind.strip().casefold()
        if kind not in ("activity", "amount") or not colon:
            raise CellFault(coded("column_unknown"))
        label, unit = rest.strip(), ""
        if kind == "amount":
            label, unit = self._with_unit(rest)
        if not label:
            raise CellFault(coded("label_needed"))
        label = self._labels.get(_folded(label), label)
        fault = _LABEL.fault(label)
        if fault is not None:
            raise CellFault(coded("label_wrong", what=fault))
        if kind == "activity":
            return _TableColumn(name, ("activity", label), cells.score)
        return _TableColumn(name, ("amount", label, unit), partial(cells.amount, unit=unit))

    def _with_unit(self, rest: str) -> tuple[str, str]:
        label, _, unit = (part.strip() for part in rest.rpartition(":"))
        if not label or not unit:
            raise CellFault(coded("label_and_unit_needed"))
        for planned in self.plan.amounts:
            if _folded(planned.label) == _folded(label) and _folded(planned.unit) == _folded(unit):
                return label, planned.unit
        if unit not in cells.UNITS:
            raise CellFault(coded("unit_unknown", got=shown(unit), allowed=", ".join(cells.UNITS)))
        return label, unit


def _name(column: str, record: _Record) -> str:
    return f"{column}, {record.named}" if record.named else column


def _row(columns: Sequence[_TableColumn], record: _Record, faults: _Faults) -> Row:
    """The values of one record; what cannot be read is a fault and is left out."""
    row: Row = {}
    for number, (column, text) in enumerate(zip(columns, record.texts, strict=False)):
        if not text or text.isspace():
            continue
        question = _question(column.key)
        why = None if question is None else cells.unread(text)
        if why is not None:
            key = _UNREAD[why]
            row[key] = tuple(sorted({*row.get(key, ()), question}))
            continue
        try:
            row[column.key] = column.read(text)
        except CellFault as fault:
            faults.add(record.line_of(number), _name(column.name, record), fault.what)
            if column.key == "day":  # told; it is not missing
                row["day"] = None
    for number, text in enumerate(record.texts[len(columns) :], len(columns) + 1):
        if text.strip():
            what = coded("cell_beyond_header", cell=number, columns=len(columns))
            faults.add(record.line, "", what)
    return row


_UNREAD = {cells.UNCLEAR: "unclear", cells.NOT_ASKED: "not_asked"}
"""The field of a day page that holds it."""
_OF_LABELS = {"activity": "activities", "amount": "amounts"}


def _question(key: Key) -> str | None:
    """What a column asks, where it asks something that may be unclear."""
    name = key if isinstance(key, str) else _OF_LABELS[key[0]]
    return name if name in _QUESTIONS else None


def _contradictions(
    row: Row, day: date, plan: Plan, record: _Record, written_at: datetime, faults: _Faults
) -> None:
    """Take out what cannot all be so, and tell it."""

    def out(column: str, what: Coded, *keys: Key) -> None:
        faults.add(record.line, _name(column, record), what)
        for key in keys:
            row.pop(key, None)

    average, worst = row.get("pain_average"), row.get("pain_worst")
    if average is not None and worst is not None and worst < average:
        what = coded("worst_below_average", worst=worst, average=average)
        out("pain_worst", what, "pain_worst", "pain_average")
    # A score with tape on tells of a stage too: it goes with one that cannot be.
    column = "tape_stage" if "tape_stage" in row else "after_tape"
    stage = row.get("tape_stage", int("after_tape" in row))
    if stage == 0 and "after_tape" in row:
        out(column, coded("tape_score_without_tape"), "tape_stage", "after_tape")
    elif stage and row.get("tape_worn") is False:
        out(column, coded("stage_without_tape", stage=stage), "tape_stage", "after_tape")
    elif stage > plan.tape.highest:
        what = coded("stage_beyond_plan", stage=stage, most=plan.tape.highest)
        out(column, what, "tape_stage", *(() if plan.tape.highest else ("after_tape",)))
    for column in ("tape_on", "tape_off"):
        hour = row.get(column)
        if hour is not None and _at(day, hour, written_at) > written_at:
            out(column, coded("hour_in_the_future"), column)
    _hours_agreed(row, plan, out)
    for kind, most in (("activity", MOST_ACTIVITIES), ("amount", MOST_AMOUNTS)):
        submitted = [key for key in row if key[:1] == (kind,)]
        if len(submitted) > most:
            what = coded("too_many_of_kind", most=most)
            out(":".join(submitted[most]), what, *submitted[most:])


def _hours_agreed(row: Row, plan: Plan, out: Callable[..., None]) -> None:
    """Take out hours of tape that was not on, and who put it on where nobody says when."""
    bare = row.get("tape_worn") is False or row.get("tape_stage") == 0
    if row.get("tape_on") is not None and (bare or not plan.tape.highest):
        what = coded("hour_without_tape") if bare else coded("stage_beyond_plan", stage=1, most=0)
        out("tape_on", what, "tape_on", "tape_by")
    if row.get("tape_by") is not None and row.get("tape_on") is None:
        out("tape_by", coded("who_without_hour"), "tape_by")


_OF_THE_PERSON = ("medicine", "stairs", "fell", "activity", "amount")


def _person_agreed(places: Sequence[_Placed], faults: _Faults) -> Sequence[_Placed]:
    """Take out and tell what the rows of both knees of one day say of the person and differ in."""
    by_day: dict[date, list[_Placed]] = {}
    for placed in places:
        by_day.setdefault(placed[0][0], []).append(placed)
    for first, *others in by_day.values():
        for other in others:
            for key in [key for key in other[2] if key in first[2]]:
                kind = key if isinstance(key, str) else key[0]
                if kind in _OF_THE_PERSON and other[2][key] != first[2][key]:
                    name = key if isinstance(key, str) else ":".join(key)
                    what = coded("person_differs", line=first[1].line)
                    faults.add(other[1].line, _name(name, other[1]), what)
                    del first[2][key], other[2][key]
    return places


def _place(
    row: Row, plan: Plan, last_day: date, record: _Record, faults: _Faults
) -> tuple[date, Side] | None:
    """The day and knee of a record, or None with the fault said."""
    day: date | None = row.get("day")
    line = record.line
    if "day" not in row:
        faults.add(line, "day", coded("day_missing"))
    elif day is not None and day > last_day:
        faults.add(line, "day", coded("day_in_the_future", day=day.isoformat()))
        day = None
    typed = row.get("side")
    if typed is None:
        if plan.side == "both":
            faults.add(line, _name("side", record), coded("side_missing"))
            return None
        typed = plan.side
    side = next((side for side in plan.sides if side == typed), None)
    if side is None:
        known = " or ".join(sorted(plan.sides))
        what = coded("not_a_knee_of_the_plan", got=shown(typed), allowed=known)
        faults.add(line, _name("side", record), what)
    return None if day is None or side is None else (day, side)


_FIELDS = {
    "pain_now": "pain_now",
    "pain_average": "pain_average",
    "pain_worst": "pain_worst",
    "stiffness_min": "stiffness_minutes",
    "tape_worn": "tape_worn",
    "steps_done": "hands_done",
    "exercise_done": "exercise_done",
    "medicine": "medicine",
    "skin": "skin",
    "night_pain": "night_pain",
    "stairs": "stairs",
}
"""Columns that are one field of a day page."""


def _entries(
    row: Row, place: tuple[date, Side], plan: Plan, written_at: datetime
) -> Iterator[AnyEntry]:
    """The entries of a row without faults: none when it holds no more than its day and knee."""
    day, side = place
    moves = {name: row[name] for name in MOVES if name in row}
    beside = (*MOVES, *HOURS, "day", "side", "fell", "sign")
    page = {key: value for key, value in row.items() if key not in beside}
    stage = row.get("tape_stage")

    def stamp(kind: str, content: Mapping[str, object] | Row, knee: Side = side) -> Stamp:
        return Stamp(
            id=_entry_id(plan.person, (day, knee), kind, content),
            for_day=day,
            written_at=written_at,
            written_by="paper",
            plan_version=plan.version,
        )

    if row.get("fell"):
        yield Event(**stamp("fall", {}, plan.main_side), what="fall")
    # Tape off and on at the hours of a day, as it ends at 03:00, in the zone it is typed in.
    if (off := row.get("tape_off")) is not None:
        at = _at(day, off, written_at)
        yield TapeOff(**stamp("tape_off", {"tape_off": off}), side=side, happened_at=at)
    if (on := row.get("tape_on")) is not None:
        content: Row = {k: row[k] for k in ("tape_on", "tape_by", "tape_stage") if k in row}
        yield TapeOn(
            **stamp("tape_on", content),
            side=side,
            happened_at=_at(day, on, written_at),
            stage=stage or 1,
            make=plan.tape.make,
            by=row.get("tape_by") or "person",
        )
    if moves:
        told = moves | {key: row[key] for key in ("tape_stage", "steps_done") if key in row}
        yield Session(
            **stamp("session", told),
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
        **stamp("day_page", page),
        side=side,
        form="full" if page.keys() & {"pain_now", "stiffness_min"} else "short",
        **{field: page[column] for column, field in _FIELDS.items() if column in page},
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
        tape_stage=stage,
        note=page.get("note"),
        unclear=page.get("unclear", ()),
        not_asked=page.get("not_asked", ()),
    )


def _at(day: date, hour: time, written_at: datetime) -> datetime:
    """The instant of an hour of a diary day."""
    calendar_day = day + timedelta(days=1) if hour < DAY_ENDS_AT else day
    return datetime.combine(calendar_day, hour, written_at.tzinfo)


def _moves(moves: Mapping[str, int], stage: int | None) -> tuple[MoveScore, ...]:
    of_tape = {"after_tape": stage or 1}
    roles: tuple[MoveRole, ...] = get_args(MoveRole)
    return tuple(
        MoveScore(role=role, score=moves[role], stage=of_tape.get(role))
        for role in roles
        if role in moves
    )


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


def blank_table(plan: Plan, first_day: date) -> str:
    """The header of a plan's table and an empty row a day and knee, from `first_day` to the review
    of the plan, a week at least. Taken in as it is, it makes no entry."""
    named = [name for name in FIXED if name != "note" and (name != "side" or plan.side == "both")]
    if plan.tape.highest:
        named += HOURS
    days = max((plan.review_on - first_day).days + 1, 7)
    rows: Iterable[Row] = (
        {"day": (first_day + timedelta(days=number)).isoformat(), "side": side}
        for number in range(days)
        for side in plan.sides
    )
    return _written([*named, *_planned(plan), "note"], rows)


def _planned(plan: Plan) -> list[tuple[str, ...]]:
    """The columns of what the plan has labels for, activities first."""
    planned: list[tuple[str, ...]] = [("activity", label.strip()) for label in plan.activities]
    return planned + [("amount", item.label.strip(), item.unit.strip()) for item in plan.amounts]


def _written(keys: Sequence[Key], rows: Iterable[Row]) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([key if isinstance(key, str) else ":".join(key) for key in keys])
    writer.writerows([_cell(row.get(key)) for key in keys] for row in rows)
    return out.getvalue()


def write_table(diary: Diary) -> str:
    """The table of a diary: the entries that count, a row for each day and knee with any value.

    All fixed columns, then `note` last, with a column between for each activity and amount that
    was ever written (the plan's first). A day's session is its last one at home. Notes kept
    private are left out. No BOM; rows end in CRLF.
    """
    entries = that_count(diary)
    rows = _KneeDayRows(entries, diary.plan).by_place
    labelled = _labelled(diary.plan, rows.values())
    fixed = [name for name in FIXED if name != "note"]
    return _written([*fixed, *labelled, "note"], rows.values())


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
    known = [key for key in dict.fromkeys(_planned(plan)) if key in written]
    return sorted([*known, *sorted(written - set(known))], key=lambda key: key[0])


class _KneeDayRows:
    """What the entries that count say of each day and knee."""

    def __init__(self, entries: Sequence[AnyEntry], plan: Plan) -> None:
        self._pages = {(e.for_day, e.side): e for e in entries if isinstance(e, DayPage)}
        self._sessions: dict[tuple[date, Side], list[Session]] = {}
        for entry in entries:
            if isinstance(entry, Session) and entry.place == "home":
                self._sessions.setdefault((entry.for_day, entry.side), []).append(entry)
        sides: tuple[Side, ...] = ("left", "right")
        self._worn = {
            side: _stages_worn(tape_applications(entries, side), plan.tape.cap_hours)
            for side in sides
        }
        falls = (entry for entry in entries if isinstance(entry, Event) and entry.what == "fall")
        self._falls = {(fall.for_day, plan.main_side) for fall in falls}
        places = sorted(self._pages.keys() | self._sessions.keys() | self._falls)
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
        if place in self._falls:
            row["fell"] = True
        if page is not None:
            unread = dict.fromkeys(page.not_asked, cells.NOT_ASKED)
            unread |= dict.fromkeys(page.unclear, cells.UNCLEAR)
            row |= {
                name: why for name, why in unread.items() if name in FIXED and row.get(name) is None
            }
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
    row: Row = {column: getattr(page, field) for column, field in _FIELDS.items()}
    if page.note is not None and not page.note_private and not page.note.isspace():
        row["note"] = page.note
    for activity in page.activities:
        if activity.label.strip():
            row.setdefault(("activity", activity.label.strip()), activity.score)
    for item in page.amounts:
        if item.label.strip() and item.unit.strip():
            row.setdefault(("amount", item.label.strip(), item.unit.strip()), item.amount)
    return row


def _stages_worn(worn: Iterable[TapeApplication], cap_hours: int) -> dict[date, int]:
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
