"""What the front page stands on loads nothing heavy; charts load it when they are wanted."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = ("pydantic", "numpy", "scipy", "pyqtgraph", "importlib.metadata", "appdirs")
LIGHT_MODULES = (
    "theme",
    "text",
    "keys",
    "buttons",
    "tiles",
    "controls",
    "page",
    "window",
    "prompts",
    "faults",
)


def loaded(code: str) -> set[str]:
    """The modules in a fresh interpreter after the code."""
    script = f"{code}\nimport sys\nprint(' '.join(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    return set(done.stdout.split())


def test_the_kit_of_the_front_page_is_light() -> None:
    modules = loaded("\n".join(f"import companion.ui.kit.{name}" for name in LIGHT_MODULES))
    assert not modules & set(HEAVY)
    qt = {name for name in modules if name.startswith("PySide6.Qt")}
    assert qt == {"PySide6.QtCore", "PySide6.QtGui", "PySide6.QtWidgets"}


@pytest.mark.parametrize("name", ["pyqtgraph", "numpy"])
def test_only_the_chart_loads_the_plotting_library(name: str) -> None:
    assert name in loaded("import companion.ui.kit.chart")


def test_the_toolkit_is_loaded_without_what_writes_its_stub_files() -> None:
    """What is left out is not missed: a wrong call is still told what it may be given."""
    modules = loaded(
        "import builtins\n"
        "from companion.app.commands import _leave_sources_unread\n"
        "own = builtins.compile\n"
        "_leave_sources_unread()\n"
        "assert builtins.compile is own\n"
        "from PySide6.QtCore import QPoint\n"
        "try:\n"
        "    QPoint('x')\n"
        "except TypeError as wrong:\n"
        "    assert 'int' in str(wrong), wrong\n"
        "else:\n"
        "    raise AssertionError('a point of a word')\n"
    )
    assert "logging" not in modules
    assert "PySide6.QtCore" in modules
