"""Findings of many diaries as a table: one row a diary and side, the plain figures as columns.

A folder may hold thousands of diaries. They are read by several processes at once, and told in the
order they were asked for. One bad file never stops the rest: neither one that cannot be read, nor
one that brings down the process that reads it.
"""

import csv
import io
import os
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

from companion.care.coded import Coded, coded
from companion.care.json_values import JsonValue
from companion.evidence.figures import Findings
from companion.evidence.findings import figures_as_json, findings, sides
from companion.exchange.files import read
from companion.exchange.table_cells import shown
from companion.wire.resource_reading import shipped_policy

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
FEW_FILES = 8
"""So many are read before a second process would have started."""
MOST_PROCESSES = 32


Cell = None | bool | int | float | str
Row = dict[str, Cell]


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
    for number, given in _in_processes(paths, read_one, max(1, min(wanted, MOST_PROCESSES))):
        done[number] = given
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
                        given = future.result()
                        yield running.pop(future), given
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


def table_text(rows: Iterable[Row]) -> str:
    """RFC 4180, header row first; what a spreadsheet would take for a formula is defused."""
    rows = list(rows)
    columns = list(dict.fromkeys(key for row in rows for key in row)) or ["file"]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([_cell(row.get(column)) for column in columns] for row in rows)
    return out.getvalue()


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
