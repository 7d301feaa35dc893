"""Paper is Letter where printers hold it, A4 elsewhere."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    ("locale", "letter"), [("en_US.UTF-8", True), ("en_GB.UTF-8", False), ("C.UTF-8", False)]
)
def test_the_paper_follows_the_machine(locale: str, letter: bool) -> None:
    """US Letter and A4 by territory: Unicode CLDR, paper sizes (M)."""
    told = subprocess.run(
        [
            sys.executable,
            "-c",
            "from companion.paper.paper_size import on_letter_paper as p; print(p())",
        ],
        env={"LC_ALL": locale, "QT_QPA_PLATFORM": "offscreen", "PATH": "/usr/bin:/bin"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout.strip() == str(letter)
