"""A file is written whole or not at all, whatever fails on the way."""

import os
import stat
from pathlib import Path
from typing import NoReturn

import pytest

from companion.system.atomic import PART, write_folder_whole, write_whole


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


def _killed(*_: object) -> NoReturn:
    raise SystemExit


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


def test_a_folder_whose_writing_was_killed_is_taken_away_by_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It had an ending of its own, which nothing swept: a whole export hidden on a stick."""
    monkeypatch.setattr(Path, "rename", _killed)
    monkeypatch.setattr("companion.system.atomic.shutil.rmtree", lambda *_, **__: None)
    with pytest.raises(SystemExit):
        write_folder_whole(tmp_path, "export", FILES)
    monkeypatch.undo()
    (left,) = tmp_path.iterdir()
    os.utime(left, (1, 1))
    write_folder_whole(tmp_path, "export", FILES)
    assert [path.name for path in tmp_path.iterdir()] == ["export"]


def test_what_a_killed_program_left_beside_it_goes_and_nothing_else(tmp_path: Path) -> None:
    """A hidden copy of a whole diary stayed for ever on a stick that is handed on."""
    left = tmp_path / f".diary-K-07.homeknee.0a1b2c3d4e5f{PART}"
    left.write_bytes(b"half a diary")
    folder = tmp_path / f".export-K-07.0a1b2c3d4e5f{PART}"
    folder.mkdir()
    (folder / "table.csv").write_bytes(b"half")
    now = tmp_path / f".being-written.0a1b2c3d4e5f{PART}"
    now.write_bytes(b"of another window")
    theirs = tmp_path / ".tax.pdf.part"
    theirs.write_bytes(b"of another program")
    for old in (left, folder, theirs):
        os.utime(old, (1, 1))
    write_whole(tmp_path / "new", b"x")
    assert {path.name for path in tmp_path.iterdir()} == {"new", now.name, theirs.name}
    os.utime(now, (1, 1))
    write_folder_whole(tmp_path, "export", {"a": b"a"})
    assert {path.name for path in tmp_path.iterdir()} == {"new", "export", theirs.name}
