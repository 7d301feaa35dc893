"""What the way to the front page loads."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from demo_profiles.generate import main as generate
from tests.e2e.running import bare_environment, homeknee

HEAVY = ("pydantic", "pydantic_core", "numpy", "scipy", "pyqtgraph")
LATER = (
    "companion.care.catalogue",
    "companion.care.facts",
    "companion.care.flow",
    "companion.care.routine",
    "companion.evidence",
    "companion.exchange",
    "companion.paper",
    "companion.journal.people",
    "companion.presentation.view.page",
    "companion.ui.kit.background",
    "companion.ui.kit.controls",
)
"""Parts of ours that the first page does without."""

DRIVER = """
import json, sys
from companion import __main__

code = 0
try:
    code = __main__.main(sys.argv[1:])
finally:
    print(json.dumps([code, sorted(sys.modules)]))
"""
"""Runs the command as its entry point does, then says which modules are loaded."""


def test_a_ten_year_diary_opens_without_anything_heavy(tmp_path: Path) -> None:
    diary, store = tmp_path / "ten-years", tmp_path / "store"
    generate(["--years", "10", "--name", "edda", "--out", str(diary)])
    window = ["demo", "edda", "--data-dir", str(store), "--diary", str(diary), "--quit-when-shown"]
    environment = bare_environment(QT_QPA_PLATFORM="offscreen")
    filled = homeknee(*window, env=environment)
    assert (filled.returncode, filled.stderr) == (0, "")
    done = subprocess.run(
        [sys.executable, "-c", DRIVER, *window],
        check=True,
        capture_output=True,
        text=True,
        env=environment,
        timeout=120,
    )
    assert done.stderr == ""
    shown, told = done.stdout.splitlines()
    assert shown.startswith("shown ")
    code, modules = json.loads(told)
    assert code == 0
    assert "PySide6.QtWidgets" in modules
    assert "companion.ui.home.front_page" in modules
    assert [name for name in (*HEAVY, *LATER) if name in modules] == []
