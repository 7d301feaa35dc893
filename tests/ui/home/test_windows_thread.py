"""The window's thread waits for no disk and loads nothing heavy, in an evening that is played."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from tests.tour_visit import DemoPerson

ROOT = Path(__file__).resolve().parents[3]


def test_nothing_is_written_read_or_loaded_in_the_windows_thread(
    demo_person: Callable[[str], DemoPerson], tmp_path: Path
) -> None:
    """Each door, a routine, a day page, what is saved and a setting, once the diary was read ahead.

    What is heavy is loaded by then or beside the window, so a fresh process plays it. Each commit,
    each file opened to write and each diary opened to read is looked at by the thread it is done
    in. On the way it found where something was saved last, and every setting, written there.
    """
    store = demo_person("edda").store()
    done = subprocess.run(
        [sys.executable, "-m", "tests.thread_watch", str(store)],
        check=True,
        capture_output=True,
        text=True,
        timeout=300,
        cwd=ROOT,
        env=os.environ | {"QT_QPA_PLATFORM": "offscreen", "XDG_CONFIG_HOME": str(tmp_path)},
    )
    told = json.loads(done.stdout.splitlines()[-1])
    assert told["pages"] > 20, "hardly anything was played"
    assert told["done"] == []
