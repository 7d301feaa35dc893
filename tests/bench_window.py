"""The figures of Home in its window, on a store: `python -m tests.bench_window STORE`.

Run by `tests.bench_all` in a process of its own; it prints one line of JSON. Milliseconds are of a
processor: what other programs do hardly shows.
"""

from __future__ import annotations

import json
import resource
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget

from companion.app.demo_day import steady
from companion.app.home_window import HomeProgram
from companion.app.looks import Looks
from companion.journal.store import Journal
from companion.presentation.home.open_lines import Door
from companion.presentation.home.record_view import Span
from companion.system.clock import PinnedClock, SystemClock
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.presses import Presses, use_presses
from companion.ui.kit.window import PageWindow

DOORS = ("routine", "day", "tape", "outing", "visit", "settings", "record")
MOST_PAGES = 400


class Turns:
    """How long the window's thread worked without a turn of its loop: no press is taken then."""

    def __init__(self) -> None:
        self.longest_ms: dict[str, float] = {}
        """By what was being done."""
        self.doing = "start"
        self._last = time.thread_time()
        self._timer = QTimer()
        self._timer.timeout.connect(self.turned)
        self._timer.start(1)

    def turned(self) -> None:
        """The loop turned."""
        now = time.thread_time()
        took = 1000 * (now - self._last)
        self.longest_ms[self.doing] = max(took, self.longest_ms.get(self.doing, 0))
        self._last = now

    def stop(self) -> None:
        """Measure no more."""
        self._timer.stop()


class Measuring:
    """Home on a store, in a window that is painted."""

    def __init__(self, store: Path) -> None:
        application = QApplication.instance() or QApplication(["bench"])
        assert isinstance(application, QApplication)
        self.application = application
        with Journal.open(store, SystemClock(), read_only=True) as journal:
            last_day = journal.last_day()
        assert last_day is not None
        use_presses(Presses(0))
        self.window = PageWindow("bench")
        self.window.resize(1366, 768)
        clock = PinnedClock(last_day + timedelta(days=1))
        self.program = HomeProgram(self.window, store, clock, Looks(application, store))
        self.program.begin(accompanied=False)
        self.window.show()
        self.settle()
        self.program._read_ahead()
        home = self.program.home
        assert home is not None
        self.home = home
        while self.program._loading is None or self.program._loading.isRunning():
            application.processEvents()
        self.turns = Turns()

    def settle(self) -> None:
        """Let everything that is due be done and painted."""
        for _ in range(4):
            self.application.processEvents()

    def did(self, name: str, work: Callable[[], object]) -> float:
        """Milliseconds of a processor until what `work` shows is painted."""
        self.settle()
        self.turns.doing = name
        began = time.process_time()
        work()
        self.settle()
        return 1000 * (time.process_time() - began)

    def doors(self) -> dict[str, float]:
        """Each door, opened the first time in this process."""
        side = self.home._plan().main_side
        found = {}
        for name in DOORS:
            door = Door(name=name, word="", line="", side=side)  # type: ignore[arg-type]
            found[f"door {name}"] = self.did(name, lambda door=door: self.home.open(door))  # type: ignore[misc]
            self.did("front", self.home.show_front)
        return found

    def session(self, name: str) -> list[float]:
        """Walk through a door to its end, answering as a steady person does."""
        side = self.home._plan().main_side
        self.did(name, lambda: self.home.walking.enter(name, side))
        took: list[float] = []
        for _ in range(MOST_PAGES):
            step = self.home.walking._step
            if step is None:
                return took
            given = steady(step.page)
            key = f"{name}: {step.page.key}"
            took.append(self.did(key, lambda given=given: self.home.walking._give(given)))  # type: ignore[misc]
        raise RuntimeError(f"{name} did not end")

    def record_all(self) -> float:
        """My record from the door to all of ten years."""
        side = self.home._plan().main_side

        def all_of_it() -> None:
            self.home.open(Door(name="record", word="", line="", side=side))
            page = self.window.page()
            assert page is not None
            page.span_chosen.emit(Span.ALL)  # type: ignore[attr-defined]

        return self.did("record, all", all_of_it)

    def bare_plot(self, points: int) -> float:
        """As many points in a bare plot with a bare table beside it."""
        shown: list[QWidget] = []
        took = self.did("bare plot", lambda: shown.extend(bare_plot(points)))
        for each in shown:
            each.deleteLater()
        self.settle()
        return took

    def commit(self) -> float:
        """A bare commit with full sync and a bare change of page."""
        with tempfile.TemporaryDirectory() as scratch:
            db = sqlite3.connect(Path(scratch, "bare.sqlite3"), isolation_level=None)
            db.execute("PRAGMA synchronous = EXTRA")
            db.execute("CREATE TABLE rows (body TEXT)")

            def both() -> None:
                db.execute("BEGIN IMMEDIATE")
                db.execute("INSERT INTO rows VALUES (?)", ("x" * 500,))
                db.execute("COMMIT")
                self.home.show_front()

            took = min(self.did("bare commit", both) for _ in range(5))
            db.close()
        return took

    def papers(self, folder: Path) -> None:
        """What is saved, printed, copied and looked over: for the turns of the loop alone."""
        from companion.app import outside, saving
        from companion.presentation.home.saving_pages import ELSEWHERE
        from companion.ui.kit.background import beside

        context = self.home.context
        QFileDialog.getExistingDirectory = staticmethod(lambda *_: str(folder))  # type: ignore[method-assign,assignment]
        QFileDialog.getSaveFileName = staticmethod(  # type: ignore[method-assign,assignment]
            lambda *_: (str(folder / "saved"), "")
        )
        saving.ask_over = lambda _, view: (  # type: ignore[assignment] # nobody is there to answer
            {"place": ELSEWHERE} if view.key == "where_to" else None
        )
        side = self.home._plan().main_side
        for name, work in {
            "visit saved": lambda: outside.save_visit(self.window, context),
            "copy saved": lambda: outside.save_copy(self.window, context),
            "record saved": lambda: outside.save_record(self.window, context, side, Span.ALL),
            "papers saved": lambda: outside.save_papers(self.window, context, False),
            "looked over": self.home.look_over,
            "checked": lambda: beside(context.journal.check),
        }.items():
            self.did(name, work)


def bare_plot(points: int) -> tuple[QWidget, QWidget]:
    """What the library and the toolkit need to show so many points in a plot and in a table."""
    import pyqtgraph
    from PySide6.QtWidgets import QTableWidget, QTableWidgetItem

    chart, table = pyqtgraph.PlotWidget(), QTableWidget(points, 4)
    for series in range(3):
        chart.plot(range(points), [(one + series) % 11 for one in range(points)], symbol="o")
    for row in range(points):
        for column in range(4):
            table.setItem(row, column, QTableWidgetItem(str(row % 11)))
    for each in (chart, table):
        each.resize(1000, 500)
        each.show()
    return chart, table


def floor_mib(points: int) -> float:
    """Peak memory of a process that shows a bare window, and then such a plot and table."""
    application = QApplication(["floor"])
    shown = (QWidget(), *bare_plot(points))
    shown[0].show()
    application.processEvents()
    return peak_mib()


def peak_mib() -> float:
    """The most memory this process ever had; of Linux alone without what it was started by."""
    status = Path("/proc/self/status")
    if status.exists():
        peak = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(peak.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main(arguments: list[str]) -> int:
    """Measure, and print one line of JSON."""
    import shutil

    if arguments[0] == "floor":
        print(floor_mib(int(arguments[1])))
        return 0
    with tempfile.TemporaryDirectory(prefix="homeknee-bench-") as scratch:
        store = Path(scratch, "store")
        shutil.copytree(arguments[0], store)
        measuring = Measuring(store)
        assert isinstance(measuring.window.page(), FrontPage)
        found = measuring.doors()
        entries = len(measuring.home.context.journal.entries())
        ours = measuring.record_all()
        after = peak_mib()
        command = [sys.executable, "-m", "tests.bench_window", "floor", str(entries // 3)]
        bare = float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        found["My record, all / bare plot and table"] = ours / measuring.bare_plot(entries // 3)
        found["memory after My record / bare plot and table"] = after / bare
        floor = measuring.commit()
        pages = measuring.session("routine")
        day = measuring.session("day")
        found["answer of a day page / commit and page"] = day[-1] / floor
        both = sorted(pages + day)
        found["a page of a session, median"] = both[len(both) // 2]
        found["a page of a session, slowest"] = both[-1]
        measuring.papers(Path(scratch))
        turns = measuring.turns.longest_ms.items()
        ours_alone = [one for one in turns if not one[0].startswith("bare")]
        longest = sorted(ours_alone, key=lambda one: -one[1])
        found["longest without a turn of the loop"] = longest[0][1]
        measuring.turns.stop()
        print("longest at:", *(f"{at} {ms:.0f};" for at, ms in longest[:6]), file=sys.stderr)
        measuring.program.end()
        measuring.window.close()
    print(json.dumps(found))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
