"""Measurements that print numbers and judge them by a goal. They are no tests: a busy machine
makes a slow run, not a fault.

    python -m tests.bench           every figure that is promised, each beside its floor: the table
                                    of DEVELOPERS.md (tests/bench_all.py; `--only` one part of it)
    python -m tests.bench start     how long Home takes to show itself on a ten-year diary, and how
                                    much memory, against a bare window of the same toolkit
    python -m tests.bench doors     how long the services behind the front page and the doors of
                                    Home work on a ten-year diary, against the bare reading of as
                                    many rows
    python -m tests.bench picture   how long one picture of a taped knee takes to draw, against the
                                    toolkit stroking as many points
    python -m tests.bench files     how long reading the largest diary files takes: the slow shapes
                                    that were found, and findings of one with a stray day
    python -m tests.bench many      what a store of 100,000 entries costs: front page, one answer,
                                    the copies beside the window, and all of it read
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
PERSON = "edda"
YEARS = 10
RUNS = 9
MOST_RATIO, GOAL_RATIO = 2.2, 1.7
MOST_PICTURE_RATIO = 3.0
MOST_DOOR_MS = 20.0
MOST_FILE_S = 5.0
MANY, MOST_MANY_S = 100_000, 0.5

BARE_WINDOW = """
import sys, time
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QWidget

class Bare(QWidget):
    def paintEvent(self, event):
        super().paintEvent(event)
        QTimer.singleShot(0, shown)

def shown():
    print("shown", time.monotonic(), flush=True)
    application.quit()

application = QApplication(sys.argv)
window = Bare()
window.resize(1024, 700)
window.show()
application.exec()
"""


@dataclass(frozen=True)
class Start:
    """One start: seconds from the command to the first finished paint and to its end, the seconds
    of a processor it took in all, and peak memory in MiB."""

    shown_s: float
    ended_s: float
    worked_s: float
    peak_mib: float


def homeknee() -> str:
    """The installed command."""
    return str(Path(sys.executable).with_name("homeknee"))


def start_of(command: Sequence[str], environment: dict[str, str]) -> Start:
    """Start a program that prints `shown <monotonic seconds>`, and wait until it has ended."""
    began = time.monotonic()
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
    assert process.stdout is not None
    said = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    process.stdout.close()
    if process.returncode != 0 or not said.startswith("shown "):
        raise RuntimeError(f"{command[0]} ended with {process.returncode} and said {said!r}")
    return Start(
        shown_s=float(said.split()[1]) - began,
        ended_s=time.monotonic() - began,
        worked_s=used.ru_utime + used.ru_stime,
        peak_mib=used.ru_maxrss / 1024,
    )


def made_diary(place: Path, years: int) -> Path:
    """A diary of so many years, made by the generator of the demo people."""
    command = [sys.executable, "-m", "demo_profiles.generate", "--years", str(years)]
    command += ["--name", PERSON, "--out", str(place)]
    subprocess.run(command, check=True, cwd=ROOT, stdout=subprocess.DEVNULL)
    return place


def start(runs: int) -> int:
    """Print both medians, their ratio and the goal; 1 when the ratio is over the most allowed."""
    environment = dict(os.environ)
    environment.setdefault("QT_QPA_PLATFORM", "offscreen")
    # As on a person's machine, where the first start leaves the compiled modules behind.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    with tempfile.TemporaryDirectory(prefix="homeknee-bench-") as scratch:
        diary = made_diary(Path(scratch, "diary.homeknee"), YEARS)
        ours = [homeknee(), "demo", PERSON, "--data-dir", str(Path(scratch, "store"))]
        ours += ["--diary", str(diary), "--quit-when-shown"]
        bare = [sys.executable, "-c", BARE_WINDOW]
        start_of(ours, environment)  # fills the store
        start_of(bare, environment)
        home: list[Start] = []
        window: list[Start] = []
        for _ in range(runs):  # by turns, so that what else the machine does meets both
            window.append(start_of(bare, environment))
            home.append(start_of(ours, environment))
    print(f"diary of {YEARS} years; {runs} runs each, by turns; medians")
    print("                         Home   bare window   ratio")
    ratios = [
        _line("first paint, s", home, window, lambda one: one.shown_s),
        _line("end, s", home, window, lambda one: one.ended_s),
        _line("processor time, s", home, window, lambda one: one.worked_s),
        _line("peak memory, MiB", home, window, lambda one: one.peak_mib),
    ]
    print(f"goal: first paint {GOAL_RATIO} or less, at most {MOST_RATIO}")
    return 0 if ratios[0] <= MOST_RATIO else 1


def _line(
    what: str, home: list[Start], window: list[Start], take: Callable[[Start], float]
) -> float:
    ours = statistics.median(take(one) for one in home)
    bare = statistics.median(take(one) for one in window)
    print(f"{what:20} {ours:8.3f}   {bare:11.3f}   {ours / bare:5.2f}")
    return ours / bare


def doors(runs: int) -> int:
    """Print the processor time of each door right after the window opened and once the rest of the
    diary was read ahead, and the floor; 1 when a door takes more than the most allowed by then."""
    from companion.journal.store import Journal
    from companion.services.context import Context
    from companion.services.day_page import DayWalk
    from companion.services.front import front
    from companion.services.outing import OutingWalk
    from companion.services.routine import RoutineWalk
    from companion.services.tape import TapeOffWalk, TapeOnWalk
    from companion.services.walks import WalkKind
    from companion.system.clock import PinnedClock, SystemClock
    from companion.system.resources import resource
    from companion.wire.catalogue_reading import read_catalogue

    catalogue = read_catalogue(resource())
    kinds: dict[str, WalkKind[Any, Any]] = {
        "day page": DayWalk(),
        "tape on": TapeOnWalk(),
        "tape off": TapeOffWalk(),
        "outing": OutingWalk(),
        "routine": RoutineWalk(),
    }
    with tempfile.TemporaryDirectory(prefix="homeknee-bench-") as scratch:
        store = Path(scratch, "store")
        diary = made_diary(Path(scratch, "diary.homeknee"), YEARS)
        fill = [homeknee(), "demo", PERSON, "--data-dir", str(store), "--diary", str(diary)]
        environment = os.environ | {"QT_QPA_PLATFORM": "offscreen"}
        start_of([*fill, "--quit-when-shown"], environment)
        with Journal.open(store, SystemClock()) as journal:
            last_day = journal.last_day()
        assert last_day is not None
        clock = PinnedClock(last_day + timedelta(days=1))
        print(f"diary of {YEARS} years; {runs} runs each; medians, ms of a processor")
        print("             at once   read   floor   read ahead")
        slowest = 0.0
        for name in ("front page", *kinds):
            at_once, ahead, floors, read = [], [], [], 0
            for _ in range(runs):
                with Journal.open(store, clock) as journal:
                    context = Context(journal=journal, clock=clock, catalogue=catalogue)

                    def opened(name: str = name, context: Context = context) -> None:
                        plan = context.plan()
                        assert plan is not None
                        if name == "front page":
                            front(context)
                        else:
                            with contextlib.suppress(LookupError):  # no tape is on
                                today = context.clock.today()
                                kinds[name].start(context, plan, plan.main_side, today)

                    at_once.append(_worked_ms(opened))
                    read = len(journal.index._entries)
                    floors.append(_worked_ms(lambda: _bare_read(store, read)))  # noqa: B023
                    while journal.index.read_ahead(1000):
                        pass
                    ahead.append(_worked_ms(opened))
            medians = [statistics.median(times) for times in (at_once, floors, ahead)]
            print(f"{name:12} {medians[0]:7.1f} {read:6} {medians[1]:7.1f} {medians[2]:12.1f}")
            slowest = max(slowest, medians[2])
    print(f"goal: {MOST_DOOR_MS:.0f} ms or less once the diary is read ahead")
    return 0 if slowest <= MOST_DOOR_MS else 1


def _worked_ms(work: Callable[[], object]) -> float:
    began = time.process_time()
    work()
    return 1000 * (time.process_time() - began)


def _bare_read(store: Path, rows: int) -> None:
    """Read so many of the newest rows and their JSON, and nothing more."""
    with contextlib.closing(sqlite3.connect(store / "journal.sqlite3")) as db:
        newest = db.execute("SELECT body FROM entries ORDER BY seq DESC LIMIT ?", (rows,))
        for (body,) in newest:
            json.loads(body)


def picture(runs: int) -> int:
    """Print the medians for one picture and for as many points, and their ratio."""
    from PySide6.QtCore import QRectF
    from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen

    from companion.canvas.drawing import paint
    from companion.canvas.fonts import load_fonts
    from companion.canvas.typesetting import application
    from companion.paper.picture_files import black_and_white
    from companion.presentation.view.figures import tape_picture
    from tests.picture.made import plan

    application()
    load_fonts()
    person = plan("right")
    drawing = tape_picture(person, "right", 2, "own")
    points = [shape.path.points for shape in drawing.shapes]

    def ours(painter: QPainter, image: QImage) -> None:
        paint(painter, tape_picture(person, "right", 2, "own"), QRectF(image.rect()), colours)

    def bare(painter: QPainter, _image: QImage) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(3, 3)
        painter.translate(-drawing.frame.left, -drawing.frame.top)
        painter.setPen(QPen(QColor("#000000"), 2.2))
        for line in points:
            path = QPainterPath()
            path.moveTo(line[0].real, line[0].imag)
            for point in line[1:]:
                path.lineTo(point.real, point.imag)
            painter.drawPath(path)

    colours = black_and_white()
    took: dict[str, list[float]] = {"ours": [], "bare": []}
    for number in range(runs + 1):  # by turns; the first of each fills what is kept
        for name, draw in (("bare", bare), ("ours", ours)):
            image = QImage(720, 1080, QImage.Format.Format_RGB32)
            image.fill(QColor("#FFFFFF"))
            painter = QPainter(image)
            began = time.perf_counter()
            draw(painter, image)
            if number:
                took[name].append(time.perf_counter() - began)
            painter.end()
    bare_s, ours_s = statistics.median(took["bare"]), statistics.median(took["ours"])
    count = sum(len(line) for line in points)
    print(f"{count} points in {len(points)} lines; {runs} runs each, by turns; medians")
    print(f"stroking      {1000 * bare_s:.1f} ms")
    print(f"picture       {1000 * ours_s:.1f} ms")
    print(f"ratio         {ours_s / bare_s:.2f}")
    print(f"goal          {MOST_PICTURE_RATIO} or less")
    return 0 if ours_s / bare_s <= MOST_PICTURE_RATIO else 1


def files(_runs: int) -> int:
    """Seconds of a processor for each of the largest files."""
    from dataclasses import replace

    from companion.care.records import Diary
    from companion.evidence.findings import findings
    from companion.exchange.files import MOST_BYTES, diary_bytes, read_bytes
    from companion.wire.resource_reading import shipped_policy
    from tests.builders import new_id, page, small_plan
    from tests.exchange.test_files import body_of, with_header

    def written(entries: Iterable[Any]) -> bytes:
        return diary_bytes(Diary(plans=(small_plan(),), entries=tuple(entries)))

    day = page(0, pain_average=4, note="The wind was up, and the steps were wet.")
    chain = [day]
    for _ in range(24_999):
        chain.append(replace(day, id=new_id(), replaces=chain[-1].id))
    one = body_of(written([day])).decode().split("\n")
    same = "\n".join([*one[:-3], ",\n".join([one[-3]] * 50_000), *one[-2:]]).encode()
    each = len(written([day, replace(day, id=new_id())])) - len(written([day]))
    fills = (MOST_BYTES["diary"] - 4096) // each
    stray = [page(number, pain_average=number % 11) for number in range(900)]
    stray.append(page(-365 * 100, pain_average=4))
    reads = {
        "50,000 times one entry": with_header(same),
        "a chain of 25,000 corrections": written(chain),
        f"as large as may be, {fills} entries": written(
            replace(day, id=new_id()) for _ in range(fills)
        ),
    }
    slowest = 0.0
    for name, data in reads.items():
        began = time.process_time()
        read_bytes(data)
        took = time.process_time() - began
        slowest = max(slowest, took)
        print(f"{name:40}{len(data) / 2**20:6.1f} MiB{took:8.1f} s")
    far = Diary(plans=(small_plan(),), entries=tuple(stray))
    began = time.process_time()
    findings(far, policy=shipped_policy())
    took = time.process_time() - began
    print(f"{'findings with a day a century off':52}{took:8.1f} s")
    print(f"goal {MOST_FILE_S:.0f} s or less")
    return 0 if max(slowest, took) <= MOST_FILE_S else 1


def many(_runs: int) -> int:
    """Seconds of a processor for a store ten times as long as ten years of one person."""
    from dataclasses import replace

    from companion.care.coded import KnownFault
    from companion.exchange.files import diary_bytes
    from companion.journal import backups
    from companion.services.front import front
    from tests.builders import at, new_id, page, small_plan
    from tests.services.context_for_tests import HandClock, Kept

    first = page(0, note="The wind was up, and the steps were wet.")
    days = [
        replace(
            first,
            id=new_id(),
            pain_average=number % 11,
            for_day=first.for_day + timedelta(days=number % 7000),
            written_at=first.written_at + timedelta(days=number % 7000),
        )
        for number in range(MANY)
    ]
    clock = HandClock(at(7000))

    def said(name: str, work: Callable[[], object]) -> float:
        took = _worked_ms(work) / 1000
        print(f"{name:44}{took:8.2f} s")
        return took

    def refused() -> None:
        with contextlib.suppress(KnownFault):
            diary_bytes(kept.context.journal.diary())

    with tempfile.TemporaryDirectory(prefix="homeknee-bench-") as scratch:
        folder = Path(scratch)
        kept = Kept(folder, small_plan(), clock=clock)
        said("append all of it at once", lambda: kept.context.journal.append(*days))
        kept.close()
        size = (folder / backups.STORE).stat().st_size / 2**20
        kept = Kept(folder, clock=clock)
        shown = said("the facts of the front page", lambda: front(kept.context))
        wrote = said(
            "one answer", lambda: kept.context.journal.write(replace(days[-1], id=new_id()))
        )
        said("the copies of the day and week, beside", lambda: backups.tend(folder, clock.today()))
        said("every entry read, for My record", kept.context.journal.entries)
        said("a file of it, which is refused", refused)
        kept.close()
    print(f"{MANY:,} entries, {size:.0f} MiB; goal: the first two of use under {MOST_MANY_S} s")
    return 0 if max(shown, wrote) <= MOST_MANY_S else 1


def main(arguments: Sequence[str]) -> int:
    """Run one measurement, or the table of all."""
    if not arguments or arguments[0].startswith("-"):
        from tests.bench_all import main as every_figure

        return every_figure(arguments)
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description="Measurements.")
    parser.add_argument("what", choices=["start", "doors", "picture", "files", "many"])
    parser.add_argument("--runs", type=int, default=RUNS)
    options = parser.parse_args(arguments)
    ways = {"start": start, "doors": doors, "picture": picture, "files": files, "many": many}
    return ways[options.what](options.runs)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
