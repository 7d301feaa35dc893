"""What every test with a window is held to."""

from __future__ import annotations

from collections.abc import Generator

import pytest
import shiboken6
from PySide6.QtWidgets import QLayout, QLayoutItem


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call() -> Generator[None]:
    """Python holds no item of a layout, for the toolkit deletes it without a word.

    A handle that outlives its item is found again for whatever comes to lie at the same address: a
    scroll bar is then taken for an item, and a page fails that would have been shown. Handles are
    made by asking a layout for its items, and by adding a layout that already holds something.
    """
    yield
    held = [
        type(wrapper).__name__
        for wrapper in shiboken6.getAllValidWrappers()
        if isinstance(wrapper, QLayoutItem) and not isinstance(wrapper, QLayout)
    ]
    assert held == []
