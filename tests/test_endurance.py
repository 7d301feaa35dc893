"""The short form of `tests.endurance`: a few kills and some hundred hurt files, always the same."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.endurance import KILLED, files, kills
from tests.journal.recorded_disk import ON_LINUX


@pytest.fixture
def place() -> Iterator[Path]:
    """A folder in memory, where the machine has one."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        yield Path(folder)


@pytest.mark.skipif(not ON_LINUX, reason="children are forked and killed")
def test_nothing_that_was_said_to_be_saved_is_lost_to_a_kill(place: Path) -> None:
    scenes = [scene for scene in KILLED if scene.name in ("append", "walk", "take in", "copy")]
    told = kills(8, place, seed=1, scenes=scenes)
    assert told.lost == []
    assert sum(told.done.values()) == 8


def test_no_reader_raises_for_what_a_hurt_file_holds(place: Path) -> None:
    told = files(80, place, seed=1)
    assert told.lost == []
    assert sum(told.done.values()) == 80
    assert told.done["diary: faulty"] > 15
