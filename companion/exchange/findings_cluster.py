"""Findings of many diaries, read by the machines of a Dask cluster: they see the same folder.

The one place that imports it, with the extra `cluster`; nothing of a window does. What comes is
the same as from the processes of one machine, in the same order.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from pathlib import Path

from companion.care.coded import coded
from companion.exchange.findings_table import FileRows, ReadOne
from companion.exchange.table_cells import shown

FILES_TOGETHER = 32
"""Files of one task: some seconds of work, beside which handing it out costs nothing."""
TASKS_AHEAD = 4
"""Tasks for each thread of the cluster that are handed out at a time: memory stays flat."""


def rows_on_cluster(paths: Sequence[Path], read_one: ReadOne, scheduler: str) -> Iterator[FileRows]:
    """What `read_one` gives for each path, in the order of `paths`. It is a function of a module,
    and raises nothing; the cluster's machines have this program.

    A task that ends the machine it runs on is done again file by file, so that the one at fault is
    known. Raises OSError where no scheduler answers at that address.
    """
    from distributed import Client, KilledWorker

    tasks = deque(paths[at : at + FILES_TOGETHER] for at in range(0, len(paths), FILES_TOGETHER))
    with Client(scheduler) as client:
        most = max(1, TASKS_AHEAD * sum(client.nthreads().values()))
        running = deque[tuple[Sequence[Path], object]]()
        while tasks or running:
            while tasks and len(running) < most:
                task = tasks.popleft()
                running.append((task, client.submit(_read_all, task, read_one, pure=False)))
            task, future = running.popleft()
            try:
                yield from future.result()  # type: ignore[attr-defined] # its package is untyped
            except KilledWorker:
                yield from _one_by_one(client, task, read_one)


def _read_all(paths: Sequence[Path], read_one: ReadOne) -> list[FileRows]:
    return [read_one(path) for path in paths]


def _one_by_one(client: object, paths: Sequence[Path], read_one: ReadOne) -> Iterator[FileRows]:
    from distributed import Client, KilledWorker

    assert isinstance(client, Client)
    for path in paths:
        try:
            yield from client.submit(_read_all, [path], read_one, pure=False).result()
        except KilledWorker:
            yield FileRows(fault=coded("ended_its_process", name=shown(path.name)))
