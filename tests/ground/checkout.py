"""The checkout under test: where it is, and its `run.py` as a module."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]


def load_run() -> ModuleType:
    """Load a fresh copy of `run.py`, so that a test may change it freely."""
    spec = importlib.util.spec_from_file_location("run_under_test", ROOT / "run.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module
