"""Findings of many diaries as a table: one row a diary and side, the plain figures as columns.

Its columns are those of the findings' schema, whatever the diaries hold, and its rows are written
as they come. So a folder may be read in parts, by as many machines as there are, and the parts
joined make the very bytes of the whole.

A folder may hold thousands of diaries. They are read by several processes at once, and told in the
order they were asked for. One bad file never stops the rest: neither one that cannot be read, nor
one that brings down the process that reads it.
"""

import csv
import io
import itertools
import json
import os
import shutil
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import cache
from multiprocessing import get_context
from pathlib import Path
from typing import BinaryIO, Literal

from companion.care.coded import Coded, KnownFault, coded
from companion.care.json_values import JsonObject, JsonValue
from companion.evidence.figures import Findings
from companion.evidence.findings import figures_as_json, findings, sides
from companion.exchange.files import read
from companion.exchange.table_cells import shown
from companion.system.atomic import whole_file
from companion.system.resources import resource
from companion.wire.resource_reading import shipped_policy

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
FEW_FILES = 8
"""So many are read before a second process would have started."""
MOST_PROCESSES = 32
ROWS_TOGETHER = 5000
"""Rows of one group of a Parquet file: some 5 MB in memory."""


Cell = None | bool | int | float | str
Row = dict[str, Cell]
CellType = Literal["boolean", "integer", "number", "string"]


@dataclass(frozen=True, slots=True)
class FileRows:
    """What one file gave: its rows, or why there are none."""

    rows: tuple[Row, ...] = ()
    fault: Coded | None = None


ReadOne = Callable[[Path], FileRows]


def rows_of_file(path: Path) -> FileRows:
    """The rows of one diary file, one a side."""
    reading = read(path)
    if reading.state != "whole":
        return FileRows(fault=reading.said)
    diary = reading.diary
    if diary is None:
        return FileRows(fault=coded("plan_left_out", name=shown(path.name)))
    return FileRows(
        tuple(
            row_of(path.name, findings(diary, side, policy=shipped_policy()))
            for side in sides(diary)
        )
    )


def rows_of_files(
    paths: Sequence[Path], read_one: ReadOne = rows_of_file, *, processes: int | None = None
) -> Iterator[FileRows]:
    """What `read_one` gives for each path, in the order of `paths`, as soon as it is known.

    With more than a few files `read_one` is called in other processes: it is a function of a
    module, and raises nothing. `processes` None: as many as this process may use processors.
    """
    if len(paths) <= FEW_FILES:
        yield from map(read_one, paths)
        return
    wanted = _processors() if processes is None else processes
    done: dict[int, FileRows] = {}
    told = 0
    for number, submitted in _in_processes(paths, read_one, max(1, min(wanted, MOST_PROCESSES))):
        done[number] = submitted
        while told in done:
            yield done.pop(told)
            told += 1


def _in_processes(
    paths: Sequence[Path], read_one: ReadOne, processes: int
) -> Iterator[tuple[int, FileRows]]:
    """Each path by its number, in any order.

    When a process dies, nobody knows which of the files being read was the reason. Those are read
    again, one at a time: then the one that brings its process down is known.
    """
    waiting = deque(range(len(paths)))
    suspects: deque[int] = deque()
    while waiting or suspects:
        alone = bool(suspects)
        queue, most = (suspects, 1) if alone else (waiting, 2 * processes)
        running: dict[Future[FileRows], int] = {}
        with ProcessPoolExecutor(
            1 if alone else processes,
            # A child that is not a fork shares no lock, thread or window with us.
            mp_context=get_context("spawn"),
            initializer=_leave_interrupts_to_the_parent,
        ) as pool:
            try:
                while queue or running:
                    while queue and len(running) < most:
                        running[pool.submit(read_one, paths[queue[0]])] = queue[0]
                        queue.popleft()
                    for future in wait(running, return_when=FIRST_COMPLETED).done:
                        submitted = future.result()
                        yield running.pop(future), submitted
            except BrokenProcessPool:
                if not alone:
                    suspects.extend(sorted(running.values()))
                    continue
                for number in running.values():
                    said = coded("ended_its_process", name=shown(paths[number].name))
                    yield number, FileRows(fault=said)


def _leave_interrupts_to_the_parent() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _processors() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def row_of(file: str, findings: Findings) -> Row:
    """One row: the file, then every single figure under its dotted key of the findings.

    Lists are given as how many they hold; where each figure comes from is left to the JSON.
    """
    return {"file": file} | dict(_flat("", figures_as_json(findings)))


def _flat(prefix: str, value: Mapping[str, JsonValue]) -> Iterable[tuple[str, Cell]]:
    for key, item in value.items():
        name = f"{prefix}{key}"
        if item is None or isinstance(item, str | int | float):
            yield name, item
        elif isinstance(item, Mapping):
            yield from _flat(f"{name}.", item)
        else:
            yield f"{name}.count", len(item)


# ---------------------------------------------------------------- the columns


@cache
def columns() -> Mapping[str, CellType]:
    """Every column and what it holds, in order: the file, then each single figure of the schema,
    and of each list how many are in it."""
    file = resource("schemas", "findings-1.schema.json")
    schema = json.loads(file.read_text(encoding="utf-8"))
    figures = {name: one for name, one in schema["properties"].items() if name != "provenance"}
    found: dict[str, CellType] = {"file": "string"}
    found.update(_columns_in("", figures, schema["$defs"]))
    return found


def _columns_in(
    prefix: str, figures: JsonObject, defs: JsonObject
) -> Iterator[tuple[str, CellType]]:
    for name, figure in figures.items():
        shape = _shape(figure, defs)
        inside = shape.get("properties")
        if isinstance(inside, dict):
            yield from _columns_in(f"{prefix}{name}.", inside, defs)
        elif shape.get("type") == "array":
            yield f"{prefix}{name}.count", "integer"
        else:
            yield f"{prefix}{name}", _cell_type(shape)


def _shape(figure: JsonValue, defs: JsonObject) -> JsonObject:
    """What a figure is where it is known."""
    assert isinstance(figure, dict)
    reference, choices = figure.get("$ref"), figure.get("anyOf")
    if isinstance(reference, str):
        return _shape(defs[reference.rpartition("/")[2]], defs)
    if isinstance(choices, list):
        shapes = (_shape(choice, defs) for choice in choices)
        return next(shape for shape in shapes if shape.get("type") != "null")
    return figure


def _cell_type(shape: JsonObject) -> CellType:
    said = shape.get("type")
    kinds = set(said if isinstance(said, list) else [said])
    values = shape.get("enum", [shape.get("const")])
    assert isinstance(values, list)
    kinds |= {_KINDS[type(value)] for value in values if value is not None}
    (kind,) = (one for one in _KINDS.values() if one in kinds)
    return kind


_KINDS: Mapping[type, CellType] = {
    bool: "boolean",
    int: "integer",
    float: "number",
    str: "string",
}


# ---------------------------------------------------------------- writing and joining


def write_csv(file: BinaryIO, rows: Iterable[Row]) -> None:
    """RFC 4180, header row first; what a spreadsheet would take for a formula is defused."""
    text = io.TextIOWrapper(file, encoding="utf-8", newline="", write_through=True)
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns())
    writer.writerows([_cell(row.get(column)) for column in columns()] for row in rows)
    text.detach()


def write_parquet(file: BinaryIO, rows: Iterable[Row]) -> None:
    """Apache Parquet, each column of its type. Raises ImportError without the extra `parquet`."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    types = {"boolean": pa.bool_(), "integer": pa.int64(), "number": pa.float64()}
    schema = pa.schema([(name, types.get(kind, pa.string())) for name, kind in columns().items()])
    with pq.ParquetWriter(file, schema) as writer:
        left = iter(rows)
        while group := list(itertools.islice(left, ROWS_TOGETHER)):
            writer.write_table(pa.Table.from_pylist(group, schema=schema))


def is_parquet(path: Path) -> bool:
    """Whether a table of that name is a Parquet file."""
    return path.suffix == ".parquet"


def write_rows(path: Path, rows: Iterable[Row]) -> None:
    """Write a table as its name says: rows go to the disk as they come, and the file is there
    whole or not at all. Raises OSError."""
    with whole_file(path) as file:
        (write_parquet if is_parquet(path) else write_csv)(file, rows)


def join(path: Path, parts: Sequence[Path]) -> None:
    """Join tables of parts of a folder, in the order they are given, to that of the whole. Raises
    KnownFault for what is no such table; OSError."""
    if any(is_parquet(part) != is_parquet(path) for part in parts):
        raise KnownFault(coded("parts_of_another_kind"))
    if is_parquet(path):
        write_rows(path, itertools.chain.from_iterable(map(_parquet_rows, parts)))
        return
    header = ",".join(columns()).encode() + b"\r\n"
    with whole_file(path) as file:
        file.write(header)
        for part in parts:
            with part.open("rb") as lines:
                if lines.readline() != header:
                    raise KnownFault(coded("no_part_of_a_table", name=shown(part.name)))
                shutil.copyfileobj(lines, file)


def _parquet_rows(part: Path) -> Iterator[Row]:
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        with pq.ParquetFile(part) as file:
            if file.schema_arrow.names != list(columns()):
                raise KnownFault(coded("no_part_of_a_table", name=shown(part.name)))
            for batch in file.iter_batches(ROWS_TOGETHER):
                yield from batch.to_pylist()
    except pa.ArrowInvalid:
        raise KnownFault(coded("no_part_of_a_table", name=shown(part.name))) from None


def part_of(paths: Sequence[Path], number: int, of: int) -> Sequence[Path]:
    """The `number`th of so many parts of a folder, from 1: files that stand together by name."""
    return paths[len(paths) * (number - 1) // of : len(paths) * number // of]


def _cell(value: Cell) -> Cell:
    match value:
        case None:
            return ""
        case bool():
            return int(value)
        case str() if value.startswith(_FORMULA_STARTS):
            return f"'{value}"
        case _:
            return value
