"""Plans half written: whole or as they were before, whatever happens to the program."""

from __future__ import annotations

import hashlib
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from companion.journal.drafts import DraftFolder, draft_name

NAME = draft_name("K-07", "a" * 32)


def test_what_is_kept_comes_back(tmp_path: Path) -> None:
    drafts = DraftFolder(tmp_path)
    assert drafts.kept("K-07") == ()
    drafts.keep(NAME, {"answers": {"goal": "Über die Brücke"}})
    (kept,) = drafts.kept("K-07")
    assert kept.name == NAME
    assert kept.body == {"answers": {"goal": "Über die Brücke"}}
    drafts.drop(NAME)
    drafts.drop(NAME)
    assert drafts.kept("K-07") == ()


def test_drafts_are_told_apart_by_their_person(tmp_path: Path) -> None:
    drafts = DraftFolder(tmp_path)
    people = ("K-07", "K-0", "K_0", "K", "-07", None)
    for person in people:
        drafts.keep(draft_name(person, "b" * 32), {"of": person})
    for person in people:
        assert [kept.body for kept in drafts.kept(person)] == [{"of": person}]
        name = draft_name(person, "b" * 32)
        one = drafts.one(name)
        assert one is not None
        assert (one.name, one.body) == (name, {"of": person})


def test_a_draft_is_one_object_and_nothing_else(tmp_path: Path) -> None:
    drafts = DraftFolder(tmp_path)
    drafts.keep(NAME, {})
    text = b"[1,\n2]"
    header = f"homeknee plan draft 1 {hashlib.sha256(text).hexdigest()}\n".encode()
    (drafts.place / NAME).write_bytes(header + text)
    (kept,) = drafts.kept("K-07")
    assert kept.body is None
    text = b'{"lines":\n2}'
    header = f"homeknee plan draft 1 {hashlib.sha256(text).hexdigest()}\n".encode()
    (drafts.place / NAME).write_bytes(header + text)
    assert drafts.one(NAME) is not None
    (kept,) = drafts.kept("K-07")
    assert kept.body == {"lines": 2}


def test_the_first_draft_of_a_new_desk_makes_its_folder(tmp_path: Path) -> None:
    folder = DraftFolder(tmp_path / "desk" / "of" / "ours")
    assert folder.kept(None) == ()
    folder.keep(draft_name(None, "1" * 32), {"fields": {}})
    assert len(folder.kept(None)) == 1


def test_only_its_owner_can_read_it(tmp_path: Path) -> None:
    drafts = DraftFolder(tmp_path)
    drafts.keep(NAME, {})
    assert (drafts.place / NAME).stat().st_mode & 0o077 == 0
    assert drafts.place.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data[:-1],
        lambda data: b"",
        lambda data: data.replace(b"draft 1", b"draft 2"),
        lambda data: data.replace(b"one", b"two"),
        lambda data: b"\xff\xfe" + data,
    ],
)
def test_a_damaged_or_newer_file_has_no_body_and_stays(tmp_path: Path, spoil: Any) -> None:
    drafts = DraftFolder(tmp_path)
    drafts.keep(NAME, {"goal": "one"})
    path = drafts.place / NAME
    path.write_bytes(spoil(path.read_bytes()))
    before = path.read_bytes()
    (kept,) = drafts.kept("K-07")
    assert (kept.name, kept.body) == (NAME, None)
    assert path.read_bytes() == before


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_write_that_fails_leaves_the_one_from_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    drafts = DraftFolder(tmp_path)
    drafts.keep(NAME, {"n": 1})

    def failing(*_given: object) -> None:
        raise OSError(5, "Input/output error")

    target = "os.fsync" if call == "fsync" else "pathlib.Path.replace"
    with monkeypatch.context() as broken:
        broken.setattr(target, failing)
        with pytest.raises(OSError, match="Input/output"):
            drafts.keep(NAME, {"n": 2})
    assert [kept.body for kept in drafts.kept("K-07")] == [{"n": 1}]
    assert [path.name for path in drafts.place.iterdir()] == [NAME]


_WRITING = """
import sys
from pathlib import Path
from companion.journal.drafts import DraftFolder
drafts = DraftFolder(Path(sys.argv[1]))
for n in range(1_000_000):
    drafts.keep(sys.argv[2], {"n": n, "long": "x" * 20_000})
    print(n, flush=True)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
@pytest.mark.parametrize("lines", [1, 4, 9])
def test_nothing_that_was_acknowledged_is_gone_after_a_kill(tmp_path: Path, lines: int) -> None:
    command = [sys.executable, "-c", _WRITING, str(tmp_path), NAME]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writing:
        assert writing.stdout is not None
        told = [int(writing.stdout.readline()) for _ in range(lines)]
        writing.send_signal(signal.SIGKILL)
        told += [int(line) for line in writing.stdout if line.endswith("\n")]
    drafts = DraftFolder(tmp_path)
    (kept,) = drafts.kept("K-07")
    assert kept.body is not None
    assert kept.body["n"] in (told[-1], told[-1] + 1)
    assert [path.name for path in drafts.place.iterdir()] == [NAME], "no leavings"
