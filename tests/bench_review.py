"""How long the review of a two-year diary takes to show its first page, pain chart included,
against the barest program that parses the same file and plots it: both in fresh processes.

    python -m tests.bench_review [--runs N]

It prints numbers and judges them by a goal; it is no test, for a busy machine makes a slow run.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from companion.exchange.case_files import CaseFolder, look_at
from companion.journal.people import PeopleStore
from companion.services.clinic_import import looks, takings
from tests.bench import Start, homeknee, made_diary, start_of
from tests.tour_clinic import TODAY

YEARS = 2
RUNS = 9
GOAL_RATIO = 1.5

BARE_PLOT = """
import json, sys, time
from datetime import date
from pathlib import Path

import pyqtgraph
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

class Plot(pyqtgraph.PlotWidget):
    def paintEvent(self, event):
        super().paintEvent(event)
        QTimer.singleShot(0, shown)

def shown():
    print("shown", time.monotonic(), flush=True)
    application.quit()

application = QApplication(sys.argv)
diary = json.loads(Path(sys.argv[1]).read_bytes().split(b"\\n", 1)[1])
pages = [e for e in diary["entries"] if e["kind"] == "day_page"]
plot = Plot()
for name in ("pain_now", "pain_average", "pain_worst"):
    scored = sorted((date.fromisoformat(p["for_day"]).toordinal(), p[name])
                    for p in pages if name in p)
    plot.plot([day for day, _ in scored], [score for _, score in scored], symbol="o")
plot.resize(1366, 768)
plot.show()
application.exec()
"""


def take_in(diary: Path, data: Path) -> str:
    """Put the diary into a clinic's list, as an import does; its code."""
    folder = CaseFolder(data)
    with PeopleStore.open(data) as people:
        found = list(looks([str(diary)], folder, (), TODAY))
        for taken in takings(found, folder, (), "20261125T090000Z"):
            assert taken.file is not None, taken.reason
            people.put(taken.file, taken.case)
        return people.cases()[0].code


def review(runs: int) -> int:
    """Print both medians, their ratio and the goal; 1 when the ratio is over it."""
    environment = dict(os.environ)
    environment.setdefault("QT_QPA_PLATFORM", "offscreen")
    # As on a clinic's machine, where the first start leaves the compiled modules behind.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    with tempfile.TemporaryDirectory(prefix="homeknee-bench-") as scratch:
        diary = made_diary(Path(scratch, "diary.homeknee"), YEARS)
        held = look_at(str(diary)).reading.diary
        assert held is not None
        data = Path(scratch, "data")
        code = take_in(diary, data)
        ours = [homeknee(), "clinic", "--data-dir", str(data), "--open", code]
        ours.append("--quit-when-shown")
        bare = [sys.executable, "-c", BARE_PLOT, str(diary)]
        start_of(ours, environment)
        start_of(bare, environment)
        reviews: list[Start] = []
        plots: list[Start] = []
        for _ in range(runs):  # by turns, so that what else the machine does meets both
            plots.append(start_of(bare, environment))
            reviews.append(start_of(ours, environment))
    plot_s = statistics.median(one.shown_s for one in plots)
    review_s = statistics.median(one.shown_s for one in reviews)
    print(f"diary: {YEARS} years, {len(held.entries)} entries; {runs} runs each; medians")
    print(f"bare parse and plot   {plot_s:.3f} s")
    print(f"review, first paint   {review_s:.3f} s")
    print(f"ratio                 {review_s / plot_s:.2f}")
    print(f"goal                  {GOAL_RATIO} or less")
    return 0 if review_s <= GOAL_RATIO * plot_s else 1


def main(arguments: Sequence[str]) -> int:
    """Run the measurement."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench_review", description=__doc__)
    parser.add_argument("--runs", type=int, default=RUNS)
    return review(parser.parse_args(arguments).runs)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
