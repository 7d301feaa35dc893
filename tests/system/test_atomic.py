"""A file is written whole or not at all, whatever fails on the way."""

import os
import stat
from pathlib import Path
from typing import NoReturn

import pytest

from companion.system.atomic import write_folder_whole, write_whole


def _fails(*_: object) -> NoReturn:
    raise OSError(28, "No space left on device")


def test_a_file_is_written_and_replaced(tmp_path: Path) -> None:
    path = tmp_path / "out.bin"
    write_whole(path, b"one")
    write_whole(path, b"two, longer")
    assert path.read_bytes() == b"two, longer"
    assert [p.name for p in tmp_path.iterdir()] == ["out.bin"]


@pytest.mark.skipif(os.name == "nt", reason="modes are of POSIX")
def test_only_the_owner_may_read_it(tmp_path: Path) -> None:
    write_whole(tmp_path / "out.bin", b"x")
    assert stat.S_IMODE((tmp_path / "out.bin").stat().st_mode) == 0o600


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "out.bin"
    path.write_bytes(b"old")
    if step == "fsync":
        monkeypatch.setattr("companion.system.atomic.os.fsync", _fails)
    else:
        monkeypatch.setattr(Path, "replace", _fails)
    with pytest.raises(OSError, match="No space left"):
        write_whole(path, b"new")
    monkeypatch.undo()
    assert path.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["out.bin"]


def test_the_bytes_are_on_the_disk_before_the_name_moves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The order is what makes it whole: file to disk, then the name, then the folder."""
    order: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def noted_fsync(handle: int) -> None:
        order.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        fsync(handle)

    def noted_replace(self: Path, target: Path) -> Path:
        order.append("name")
        return replace(self, target)

    monkeypatch.setattr("companion.system.atomic.os.fsync", noted_fsync)
    monkeypatch.setattr(Path, "replace", noted_replace)
    write_whole(tmp_path / "out.bin", b"x")
    assert order == (["file", "name"] if os.name == "nt" else ["file", "name", "folder"])


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError) as told:
        write_whole(tmp_path / "absent" / "out.bin", b"x")
    assert told.value.filename == str(tmp_path / "absent" / "out.bin")  # and not the temporary file


def test_a_link_keeps_pointing_where_it_did(tmp_path: Path) -> None:
    (tmp_path / "real.bin").write_bytes(b"old")
    link = tmp_path / "link.bin"
    link.symlink_to(tmp_path / "real.bin")
    write_whole(link, b"new")
    assert link.is_symlink()
    assert (tmp_path / "real.bin").read_bytes() == b"new"


FILES = {"one.csv": b"1", "two.json": b"2"}


def test_a_folder_of_files_is_there_with_all_of_them(tmp_path: Path) -> None:
    folder = write_folder_whole(tmp_path, "out", FILES)
    assert folder == tmp_path / "out"
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == FILES
    assert list(tmp_path.iterdir()) == [folder]


def test_a_folder_or_file_of_that_name_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"old")
    (tmp_path / "out-2").mkdir()
    assert write_folder_whole(tmp_path, "out", FILES) == tmp_path / "out-3"
    assert (tmp_path / "out").read_bytes() == b"old"
    assert list((tmp_path / "out-2").iterdir()) == []


@pytest.mark.parametrize("step", ["fsync", "rename", "second file"])
def test_a_folder_that_fails_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    if step == "fsync":
        monkeypatch.setattr("companion.system.atomic.os.fsync", _fails)
    elif step == "rename":
        monkeypatch.setattr(Path, "rename", _fails)
    else:
        replace = Path.replace

        def second_fails(self: Path, target: Path) -> Path:
            return _fails() if target.name == "two.json" else replace(self, target)

        monkeypatch.setattr(Path, "replace", second_fails)
    with pytest.raises(OSError, match="No space left"):
        write_folder_whole(tmp_path, "out", FILES)
    monkeypatch.undo()
    assert list(tmp_path.iterdir()) == []
