"""Where a diary was kept, and folders that the environment names badly."""

from datetime import date
from pathlib import Path

import pytest

from companion.system.folders import config_folder, data_folder
from companion.system.places import Kept, Places

KEPT = Kept(12, date(2026, 11, 30))


def test_a_diary_is_remembered_by_its_folder_and_forgotten(tmp_path: Path) -> None:
    places = Places(tmp_path / "config")
    diary, other = tmp_path / "diary", tmp_path / "other"
    assert places.kept(diary) is None
    places.remember(diary, KEPT)
    places.remember(other, Kept(1, date(2026, 1, 1)))
    assert Places(tmp_path / "config").kept(diary) == KEPT
    places.forget(diary)
    assert places.kept(diary) is None
    assert places.kept(other) is not None


def test_nobody_reads_there_where_a_diary_is_kept(tmp_path: Path) -> None:
    places = Places(tmp_path / "config")
    places.remember(tmp_path / "secret-folder", KEPT)
    assert b"secret-folder" not in (tmp_path / "config" / "places.json").read_bytes()


@pytest.mark.parametrize("text", ["", "[]", '{"x": 3}', "\x00"])
def test_what_makes_no_sense_is_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / "places.json").write_text(text)
    assert Places(tmp_path).kept(tmp_path) is None


def test_what_cannot_be_written_keeps_nobody_from_closing(tmp_path: Path) -> None:
    (tmp_path / "config").write_text("a file where the folder should be")
    Places(tmp_path / "config").remember(tmp_path, KEPT)


@pytest.mark.parametrize("said", ["", "here", "./here"])
def test_a_folder_that_is_not_absolute_is_ignored(
    monkeypatch: pytest.MonkeyPatch, said: str
) -> None:
    """XDG Base Directory Specification 0.8: a relative path is to be ignored. An empty or relative
    one put the diary into the folder where the program was started."""
    monkeypatch.setenv("XDG_DATA_HOME", said)
    monkeypatch.setenv("XDG_CONFIG_HOME", said)
    assert data_folder().is_absolute()
    assert data_folder().is_relative_to(Path.home())
    assert config_folder().is_absolute()
