"""Many diaries at once: every file told, in order, whatever one of them does."""

import csv
import dataclasses
import os
from pathlib import Path
from typing import Any

import pytest

from companion.app import commands, exits
from companion.care.records import Diary
from companion.exchange.files import diary_bytes, plan_bytes
from companion.exchange.findings_table import FEW_FILES, FileRows, rows_of_file, rows_of_files
from companion.presentation.language.said import said_words
from tests.builders import small_plan
from tests.exchange import readers
from tests.exchange.made import full_diary


def paths(*names: str) -> list[Path]:
    return [Path(name) for name in names]


def one_of(number: int) -> Diary:
    """A small diary of a person of their own."""
    made = full_diary()
    plan = dataclasses.replace(small_plan(), person=f"K-{number:02}")
    kept = [entry for entry in made.entries if entry.plan_version == 1]
    return Diary(plans=(plan,), entries=tuple(kept))


def rows(table: Path) -> list[dict[str, str]]:
    with table.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# ---------------------------------------------------------------- processes


def test_a_few_files_are_read_without_another_process() -> None:
    names = [f"{number}" for number in range(FEW_FILES)]
    submitted = list(rows_of_files(paths(*names), readers.fragile))
    assert {one.rows[0]["process"] for one in submitted} == {os.getpid()}


def test_many_files_are_read_elsewhere_and_told_in_their_order() -> None:
    names = [f"{number:02}" for number in range(20, 0, -1)]
    submitted = list(rows_of_files(paths(*names), readers.fragile, processes=2))
    assert [one.rows[0]["file"] for one in submitted] == names
    others = {one.rows[0]["process"] for one in submitted}
    assert os.getpid() not in others
    assert 1 <= len(others) <= 2


def test_a_file_that_ends_its_process_is_one_fault_and_all_others_are_read() -> None:
    names = [f"{number:02}" for number in range(12)]
    names[3], names[9] = "crash-a", "crash-b"
    submitted = list(rows_of_files(paths(*names), readers.fragile, processes=2))
    read = [one.rows[0]["file"] if one.rows else None for one in submitted]
    assert read == [None if name.startswith("crash") else name for name in names]
    assert [said_words(one.fault) for one in submitted if one.fault is not None] == [
        "'crash-a' ended the process that read it. It was left out.",
        "'crash-b' ended the process that read it. It was left out.",
    ]


def test_it_ends_even_when_every_file_ends_its_process(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("companion.exchange.findings_table.FEW_FILES", 1)
    submitted = list(rows_of_files(paths("1", "2", "3"), readers.all_crash, processes=2))
    assert len(submitted) == 3
    assert all(one.fault is not None and not one.rows for one in submitted)


# ---------------------------------------------------------------- the command


def test_forty_diaries_and_six_bad_files(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    """46 files by several processes: the table as file by file, the faults in order on stderr."""
    folder = tmp_path / "brought"
    folder.mkdir()
    for number in range(40):
        (folder / f"k{number:02}.homeknee").write_bytes(diary_bytes(one_of(number)))
    whole = diary_bytes(one_of(99))
    bad = {
        "a-plan": plan_bytes(small_plan()),
        "k05-cut": whole[:-40],
        "k11-other": b"%PDF-1.7\n",
        "k23-new": b"homeknee diary 99 " + whole[18:],
        "k30-empty": b"",
        "z-sealed": b"age-encryption.org/v1\n",
    }
    for name, data in bad.items():
        (folder / name).write_bytes(data)
    (folder / "deeper").mkdir()
    out = folder / "all.csv"
    assert commands.run(["findings", str(folder), "--table", str(out)]) == exits.DONE
    table = rows(out)
    assert [row["file"] for row in table] == [f"k{number:02}.homeknee" for number in range(40)]
    assert [row["person"] for row in table] == [f"K-{number:02}" for number in range(40)]
    alone = rows_of_file(folder / "k07.homeknee").rows[0]
    assert table[7]["pain.latest.mean"] == str(alone["pain.latest.mean"]) == "5.0"
    said, faults = capfd.readouterr()
    assert said == ""
    lines = faults.splitlines()
    assert len(lines) == len(bad)
    for name, line in zip(sorted(bad), lines, strict=True):
        assert name in line
    before = out.read_bytes()
    assert commands.run(["findings", str(folder), "--table", str(out)]) == exits.DONE
    assert out.read_bytes() == before, "the table itself is not read as a diary"


def test_a_bug_with_one_file_is_one_fault(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(3):
        (tmp_path / f"{number}").write_bytes(diary_bytes(one_of(number)))

    def broken(path: Path) -> FileRows:
        if path.name == "1":
            raise ZeroDivisionError
        return rows_of_file(path)

    monkeypatch.setattr("companion.exchange.findings_table.rows_of_file", broken)
    out = tmp_path / "all.csv"
    assert commands.run(["findings", str(tmp_path), "--table", str(out)]) == exits.DONE
    assert [row["file"] for row in rows(out)] == ["0", "2"]
    expected = "The program itself is at fault with '1'. It was left out.\n"
    assert capsys.readouterr().err == expected


@pytest.mark.parametrize("extra", [["--json"], ["--side", "left"]])
def test_a_table_takes_every_side(tmp_path: Path, extra: list[Any]) -> None:
    arguments = ["findings", str(tmp_path), "--table", str(tmp_path / "t.csv"), *extra]
    assert commands.run(arguments) == exits.USAGE
    assert not (tmp_path / "t.csv").exists()


def test_a_table_of_what_is_no_folder_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "k.homeknee"
    file.write_bytes(diary_bytes(one_of(1)))
    argv = ["findings", str(file), "--table", str(tmp_path / "t.csv")]
    assert commands.run(argv) == exits.REFUSED
