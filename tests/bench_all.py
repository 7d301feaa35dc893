"""Every figure that is promised of how fast the program is, each beside its floor: one table.

    python -m tests.bench [--runs N] [--only WORD]

Ours and its floor are measured by turns in one run, in processor time: what else a machine does
meets both, and hardly shows. A row has the median of the ratios and their quartiles, or of the
times; then goal and limit. The peak of a child is never told below that of this process, so what is
large is imported after the starts. It is no test; it ends with 1 where a figure is over its limit.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import platform
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path

from tests.bench import BARE_WINDOW, PERSON, ROOT, Start, homeknee, made_diary, start_of

YEARS, READ_YEARS, REVIEW_YEARS = 10, 3, 2
RUNS = 7
FILES, TABLE_FILES = 60, (150, 600)


@dataclass(frozen=True, kw_only=True)
class Measured:
    """One row: what was measured in each run, and what it is to stay under."""

    name: str
    each: Sequence[float]
    unit: str
    goal: float
    limit: float

    def line(self) -> str:
        """The row for a terminal and for the table of DEVELOPERS.md."""
        low, middle, high = quartiles(self.each)
        said = "" if middle <= self.goal else ("goal missed" if self.kept else "**over**")
        figures = (f"{middle:.3g} ({low:.3g}-{high:.3g})", f"{self.goal:g}", f"{self.limit:g}")
        return f"| {self.name}, {self.unit} | {' | '.join(figures)} | {said} |"

    @property
    def kept(self) -> bool:
        """Whether it is within its limit."""
        return statistics.median(self.each) <= self.limit


def quartiles(each: Sequence[float]) -> tuple[float, float, float]:
    """Lower quartile, median, upper quartile; of one value that value."""
    if len(each) == 1:
        return each[0], each[0], each[0]
    low, middle, high = statistics.quantiles(each, n=4, method="inclusive")
    return low, middle, high


def worked(work: Callable[[], object]) -> float:
    """Seconds of a processor, of all threads of this process."""
    began = time.process_time()
    work()
    return time.process_time() - began


def ratios(ours: Callable[[], float], floor: Callable[[], float], runs: int) -> list[float]:
    """By turns; the first pair fills what is kept and does not count."""
    ours()
    floor()
    return [ours() / floor() for _ in range(runs)]


class Bench:
    """What the figures share: a ten-year store, made once."""

    def __init__(self, scratch: Path, runs: int, *, whole: bool = False) -> None:
        self.scratch, self.runs = scratch, runs
        self.imported, self.tabled = (500, (2_500, 10_000)) if whole else (FILES, TABLE_FILES)
        self.environment = dict(os.environ) | {"QT_QPA_PLATFORM": "offscreen"}
        self.environment.pop("PYTHONDONTWRITEBYTECODE", None)
        self.store = scratch / "store"

    @cached_property
    def home(self) -> list[str]:
        """The command that opens Home on ten years, which are made and put in first."""
        diary = made_diary(self.scratch / "ten.homeknee", YEARS)
        command = [homeknee(), "demo", PERSON, "--data-dir", str(self.store)]
        command += ["--diary", str(diary), "--quit-when-shown"]
        self.start(command)
        return command

    def start(self, command: Sequence[str]) -> Start:
        """Start a program until it has shown itself and ended."""
        return start_of(command, self.environment)

    # ------------------------------------------------------------ the start

    def starts(self) -> Iterator[Measured]:
        """Cold start to the finished front page, and its memory, against a bare window."""
        bare = [sys.executable, "-c", BARE_WINDOW]
        self.start(self.home)
        self.start(bare)
        pairs = [(self.start(self.home), self.start(bare)) for _ in range(self.runs)]
        yield Measured(
            name="start, 10 years / bare window",
            each=[ours.worked_s / floor.worked_s for ours, floor in pairs],
            unit="processor",
            goal=1.7,
            limit=2.0,
        )
        yield Measured(
            name="memory at the front page / bare window",
            each=[ours.peak_mib / floor.peak_mib for ours, floor in pairs],
            unit="peak",
            goal=1.3,
            limit=1.5,
        )
        killed = []
        for _ in range(self.runs):
            with contextlib.closing(sqlite3.connect(self.store / "journal.sqlite3")) as db, db:
                db.execute("REPLACE INTO meta VALUES ('closed_cleanly', 'no')")
            ours, floor = self.start(self.home), self.start(bare)
            killed.append(ours.worked_s / floor.worked_s)
        yield Measured(
            name="the same after a killed window",
            each=killed,
            unit="processor",
            goal=1.7,
            limit=2.2,
        )

    # ------------------------------------------------------------ in the window

    def window(self) -> Iterator[Measured]:
        """Doors, a whole session, and the longest the window's thread went without a turn of its
        loop; in a process of its own."""
        self.start(self.home)
        command = [sys.executable, "-m", "tests.bench_window", str(self.store)]
        each: list[dict[str, float]] = []
        for _ in range(max(self.runs // 2, 2)):
            told = subprocess.run(
                command, check=True, capture_output=True, text=True, env=self.environment, cwd=ROOT
            )
            each.append(json.loads(told.stdout.splitlines()[-1]))
        limits = {
            "door ": ("ms", 150.0, 300.0),
            "My record, all / bare plot": ("processor", 1.5, 2.0),
            "answer of a day page / commit": ("processor", 2.0, 3.0),
            "a page of a session, median": ("ms", 40.0, 40.0),
            "a page of a session, slowest": ("ms", 100.0, 100.0),
            "longest without a turn": ("ms", 100.0, 100.0),
            "memory after My record / bare": ("peak", 1.3, 1.5),
        }
        for name in each[0]:
            unit, goal, limit = next(of for start, of in limits.items() if name.startswith(start))
            yield Measured(
                name=name, each=[one[name] for one in each], unit=unit, goal=goal, limit=limit
            )

    # ------------------------------------------------------------ reading and findings

    def reading(self) -> Iterator[Measured]:
        """Three years read and found, against pydantic on the same bytes with a tagged union."""
        from pydantic import TypeAdapter

        from companion.care.records import AnyEntry, Plan
        from companion.exchange.files import diary_bytes, read_bytes
        from companion.wire.strict import TaggedEntry
        from demo_profiles.generate import long_diary
        from tests.found import findings

        diary = long_diary(PERSON, READ_YEARS)
        data = diary_bytes(diary)
        body = json.loads(data.split(b"\n", 1)[1])
        entries, bare_plans = (json.dumps(body[name]).encode() for name in ("entries", "plans"))
        floor_of: TypeAdapter[list[AnyEntry]] = TypeAdapter(list[TaggedEntry])
        plans = TypeAdapter(list[Plan])

        def floor() -> float:
            return worked(
                lambda: (floor_of.validate_json(entries), plans.validate_json(bare_plans))
            )

        yield Measured(
            name="reading 3 years / tagged pydantic",
            each=ratios(lambda: worked(lambda: read_bytes(data)), floor, self.runs),
            unit="processor",
            goal=1.2,
            limit=1.5,
        )
        side = diary.plan.main_side
        yield Measured(
            name="findings of 3 years / the same",
            each=ratios(lambda: worked(lambda: findings(diary, side)), floor, self.runs),
            unit="processor",
            goal=3,
            limit=4,
        )

    def first_findings(self) -> Iterator[Measured]:
        """The first findings of a process, beyond the reading of the file."""
        code = (
            "import sys, time\n"
            "from pathlib import Path\n"
            "from companion.exchange.files import read\n"
            "from companion.wire.resource_reading import shipped_policy\n"
            "diary = read(Path(sys.argv[1])).diary\n"
            "began = time.process_time()\n"
            "from companion.evidence.findings import findings\n"
            "findings(diary, policy=shipped_policy())\n"
            "print(time.process_time() - began)\n"
        )
        file = ROOT / "demo_profiles" / PERSON / "diary.homeknee"
        command = [sys.executable, "-c", code, str(file)]
        took = [
            float(subprocess.run(command, check=True, capture_output=True, cwd=ROOT).stdout)
            for _ in range(self.runs)
        ]
        yield Measured(name="first findings of a process", each=took, unit="s", goal=0.5, limit=0.5)

    # ------------------------------------------------------------ the clinic

    def review(self) -> Iterator[Measured]:
        """The review's first paint and all its work to the end, against a bare parse and plot."""
        from tests.bench_review import BARE_PLOT, take_in

        diary = made_diary(self.scratch / "two.homeknee", REVIEW_YEARS)
        data = self.scratch / "clinic"
        ours = [homeknee(), "clinic", "--data-dir", str(data), "--open", take_in(diary, data)]
        ours.append("--quit-when-shown")
        bare = [sys.executable, "-c", BARE_PLOT, str(diary)]
        self.start(ours)
        self.start(bare)
        pairs = [(self.start(ours), self.start(bare)) for _ in range(self.runs)]
        yield Measured(
            name="review of 2 years, first paint / bare parse and plot",
            each=[one.shown_s / floor.shown_s for one, floor in pairs],
            unit="by the clock",
            goal=1.5,
            limit=2,
        )
        yield Measured(
            name="review of 2 years, finished / the same",
            each=[one.worked_s / floor.worked_s for one, floor in pairs],
            unit="processor",
            goal=2.5,
            limit=3,
        )

    def many(self) -> Iterator[Measured]:
        """An import and a table of many diaries: each file's cost, growth, and memory."""
        from companion.exchange.case_files import CaseFolder
        from companion.services.clinic_import import looks, takings

        people = sorted((ROOT / "demo_profiles").glob("*/diary.homeknee"))
        brought = self.scratch / "brought"
        brought.mkdir()
        for number in range(self.tabled[-1]):
            data = people[number % len(people)].read_bytes()
            (brought / f"{number:05}.homeknee").write_bytes(data)
        paths = sorted(map(str, brought.iterdir()))
        kept = CaseFolder(self.scratch / "desk")

        def taken() -> None:
            found = list(looks(paths[: self.imported], kept, (), date(2026, 12, 1)))
            for _ in takings(found, kept, (), "20261201T090000Z"):
                pass

        yield Measured(
            name=f"import, each of {self.imported} files",
            each=[1000 * worked(taken) / self.imported],
            unit="ms",
            goal=60,
            limit=85,
        )
        each_ms, peaks = [], []
        for count in self.tabled:
            part = f"1/{self.tabled[-1] // count}"
            command = [homeknee(), "findings", str(brought), "--table", str(self.scratch / "t.csv")]
            began = os.times()
            done = subprocess.Popen([*command, "--shard", part], env=self.environment)
            _, status, used = os.wait4(done.pid, 0)
            done.returncode = os.waitstatus_to_exitcode(status)
            ended = os.times()
            assert done.returncode == 0
            took = ended.children_user + ended.children_system
            each_ms.append(1000 * (took - began.children_user - began.children_system) / count)
            peaks.append(used.ru_maxrss)
        few, lots = self.tabled
        yield Measured(
            name=f"table, each of {lots} files", each=each_ms[1:], unit="ms", goal=60, limit=80
        )
        yield Measured(
            name=f"the same / each of {few} files",
            each=[each_ms[1] / each_ms[0]],
            unit="processor",
            goal=1.0,
            limit=1.1,
        )
        yield Measured(
            name=f"memory at {lots} / at {few} files",
            each=[peaks[1] / peaks[0]],
            unit="peak",
            goal=1.05,
            limit=1.1,
        )

    # ------------------------------------------------------------ a picture that moves

    def motion(self) -> Iterator[Measured]:
        """A frame of a technique in motion, made and painted, against its lines stroked bare."""
        from PySide6.QtCore import QRectF
        from PySide6.QtGui import QImage, QPainter, QPainterPath

        from companion.canvas.drawing import paint
        from companion.canvas.fonts import load_fonts
        from companion.canvas.typesetting import application
        from companion.paper.picture_files import black_and_white
        from companion.picture.drawing import Drawing
        from companion.picture.hands_on import FRAMES_A_SECOND
        from companion.presentation.view.figures import technique_motion
        from tests.care.content import CATALOGUE

        application()
        load_fonts()
        colours = black_and_white()
        loop = technique_motion(CATALOGUE.technique("glide_inner_edge"), "right", "own")
        numbers = range(0, len(loop), 6)
        drawings = [loop[i] for i in numbers]

        def on_page(draw: Callable[[QPainter, QRectF], None]) -> QImage:
            image = QImage(632, 780, QImage.Format.Format_RGB32)
            image.fill(0xFFFFFF)
            painter = QPainter(image)
            draw(painter, QRectF(image.rect()))
            painter.end()
            return image

        def bare(drawing: Drawing) -> Callable[[QPainter, QRectF], None]:
            def draw(painter: QPainter, into: QRectF) -> None:
                painter.setRenderHint(QPainter.RenderHint.Antialiasing)
                painter.scale(into.width() / drawing.frame.width, into.height() / 300)
                painter.translate(-drawing.frame.left, -drawing.frame.top)
                for shape in drawing.shapes:
                    first, *others = shape.path.points
                    path = QPainterPath()
                    path.moveTo(first.real, first.imag)
                    for point in others:
                        path.lineTo(point.real, point.imag)
                    painter.drawPath(path)

            return draw

        def moving(number: int) -> Callable[[QPainter, QRectF], None]:
            return lambda painter, into: paint(painter, loop[number], into, colours)

        def ours() -> float:
            return worked(lambda: [on_page(moving(i)) for i in numbers])

        def floor() -> float:
            return worked(lambda: [on_page(bare(one)) for one in drawings])

        yield Measured(
            name="a frame of a technique in motion / its lines stroked bare",
            each=ratios(ours, floor, self.runs),
            unit="processor",
            goal=1.6,
            limit=2.5,
        )
        yield Measured(
            name=f"the same frame, of {1000 / FRAMES_A_SECOND:.0f} ms there are",
            each=[1000 * ours() / len(numbers) for _ in range(self.runs)],
            unit="ms",
            goal=10.0,
            limit=20.0,
        )


PARTS = ("starts", "window", "reading", "first_findings", "review", "many", "motion")


def main(arguments: Sequence[str]) -> int:
    """Measure everything, or what has a word in its name; 1 where a figure is over its limit."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--runs", type=int, default=RUNS)
    parser.add_argument("--only", choices=PARTS)
    parser.add_argument(
        "--whole", action="store_true", help="`many` with as many files as were asked for: minutes"
    )
    options = parser.parse_args(arguments)
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    print(
        f"{time.strftime('%Y-%m-%d')}, {platform.machine()}, {cores} cores, "
        f"Python {platform.python_version()}; {options.runs} runs by turns; load "
        f"{os.getloadavg()[0]:.1f}\n"
    )
    print("| figure | median (quartiles) | goal | limit | |\n|---|---|---|---|---|")
    over = False
    with tempfile.TemporaryDirectory(prefix="homeknee-bench-") as scratch:
        bench = Bench(Path(scratch), options.runs, whole=options.whole)
        for part in PARTS if options.only is None else (options.only,):
            for row in getattr(bench, part)():
                print(row.line(), flush=True)
                over |= not row.kept
    return int(over)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
