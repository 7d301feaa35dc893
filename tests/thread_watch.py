"""What the window's thread does that may wait for a disk: `python -m tests.thread_watch STORE`.

Plays doors, a routine, a day page and what is saved in Home, as `tests.bench_window` does, and
prints one line of JSON: what was done in the window's thread once Home was ready, each with the
place in the evening. `tests/ui/home/test_windows_thread.py` reads it.
"""

from __future__ import annotations

import json
import os
import sqlite3
import sys
import tempfile
import threading
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.bench_window import Measuring

HEAVY = ("numpy", "scipy", "pyqtgraph", "pydantic", "pydantic_core", "PySide6")
HEAVY_OF_OURS = ("companion.evidence", "companion.wire.strict")
"""Of ours what loads one of these; a small module now and then is a few milliseconds."""
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT


class Watch:
    """Tells what the window's thread did since `begin`."""

    def __init__(self) -> None:
        self.done: list[tuple[str, str, str]] = []
        """Where in the evening, what, and of what."""
        self._thread = threading.get_ident()
        self._of: Measuring | None = None
        sys.addaudithook(self._heard)
        connect = sqlite3.connect

        def connected(*given: object, **named: object) -> sqlite3.Connection:
            db: sqlite3.Connection = connect(*given, **named)  # type: ignore[call-overload]
            db.set_trace_callback(self._said)
            return db

        sqlite3.connect = connected  # type: ignore[assignment]

    def begin(self, of: Measuring) -> None:
        """Watch from here on."""
        self._of = of

    def _put(self, what: str, of: str) -> None:
        if self._of is not None and threading.get_ident() == self._thread:
            self.done.append((self._of.turns.doing, what, of))

    def _said(self, statement: str) -> None:
        word = statement.split(None, 1)[0].upper()
        if word not in ("SELECT", "WITH", "BEGIN", "ROLLBACK", "PRAGMA", "--"):
            self._put("commit", statement[:60])

    def _heard(self, event: str, given: Sequence[object]) -> None:
        if self._of is None:
            return
        if event == "import":
            name = str(given[0])
            if name.startswith((*HEAVY, *HEAVY_OF_OURS)) and name not in sys.modules:
                self._put("import", name)
        elif event == "open" and isinstance(given[0], str | bytes):
            name, flags = os.fsdecode(given[0]), given[2]
            if isinstance(flags, int) and flags & _WRITES and not name.startswith("/dev/"):
                self._put("write", Path(name).name)
            elif name.endswith((".homeknee", ".sqlite3")):
                self._put("read", Path(name).name)


def main(arguments: list[str]) -> int:
    """Play, and print what was done in the window's thread."""
    watch = Watch()
    from tests.bench_window import Measuring

    with tempfile.TemporaryDirectory(prefix="homeknee-watch-") as scratch:
        measuring = Measuring(Path(arguments[0]))
        watch.begin(measuring)
        measuring.doors()
        pages = len(measuring.session("routine")) + len(measuring.session("day"))
        measuring.papers(Path(scratch))
        looks = measuring.program._looks
        larger = replace(looks.settings, text_percent=120)
        measuring.did("larger text", lambda: looks.use(larger))
        done = list(watch.done)
        measuring.turns.stop()
        measuring.program.end()
        measuring.window.close()
    print(json.dumps({"pages": pages, "done": done}))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
