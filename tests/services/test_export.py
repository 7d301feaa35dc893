"""An export: which files there are, and that they are what the command line writes."""

from __future__ import annotations

import csv
import json
from datetime import date
from pathlib import Path

import pytest

from companion.app import commands, exits
from companion.exchange.files import read_bytes, write_diary
from companion.exchange.table import FIXED
from companion.presentation.clinic.export import export_lead, export_options, exported
from companion.presentation.language.said import said_words
from companion.services.export import FORMATS, Exported, Format, export_files, export_folder
from companion.system.resources import demo_profiles
from tests.exchange.made import full_diary
from tests.presentation.wording import faults

ENDINGS: dict[Format, str] = {"fhir": "--fhir", "csv": "--csv", "ics": "--ics"}


def test_each_format_brings_its_files_and_no_other() -> None:
    diary = full_diary()
    by_format = {each: export_files(diary, [each], said_words) for each in FORMATS}
    for each, files in by_format.items():
        assert files
        assert {file.format for file in files} == {each}
    everything = export_files(diary, FORMATS[::-1], said_words)
    assert everything == tuple(file for each in FORMATS for file in by_format[each])
    names = [file.name for file in everything]
    assert len(set(names)) == len(names)
    assert export_files(diary, [], said_words) == ()


def test_the_command_line_writes_the_same_bytes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    diary = full_diary()
    source = tmp_path / "d.homeknee"
    write_diary(source, diary)
    for each, option in ENDINGS.items():
        out = tmp_path / each
        assert commands.run(["export", str(source), option, str(out)]) == exits.DONE
        assert out.read_bytes() == export_files(diary, [each], said_words)[0].data
    for file in export_files(diary, ["findings"], said_words):
        side = file.name.removesuffix(".json").rpartition("-")[2]
        assert commands.run(["findings", str(source), "--json", "--side", side]) == exits.DONE
        assert capsys.readouterr().out.encode() == file.data


def test_a_plan_for_both_knees_has_findings_of_each() -> None:
    source = demo_profiles() / "wilma" / "diary.homeknee"
    diary = read_bytes(source.read_bytes(), name="d").diary
    assert diary is not None
    files = export_files(diary, ["findings"], said_words)
    assert [json.loads(file.data)["side"] for file in files] == list(diary.plan.sides)


def test_the_diary_file_reads_back_as_it_was_and_the_table_has_its_dictionary() -> None:
    diary = full_diary()
    (file,) = export_files(diary, ["diary"], said_words)
    back = read_bytes(file.data, name=file.name).diary
    assert back is not None
    assert {entry.id for entry in back.entries} == {entry.id for entry in diary.entries}
    table, dictionary = export_files(diary, ["csv"], said_words)
    told = {row["column"] for row in csv.DictReader(dictionary.data.decode().splitlines())}
    assert set(FIXED) <= told
    held = next(csv.reader([table.data.decode().split("\r\n")[0]]))
    assert {name for name in held if ":" not in name} <= told


def test_the_folder_names_the_code_and_the_day() -> None:
    assert export_folder("K-07", date(2026, 3, 9)) == "export-K-07-2026-03-09"


def test_every_format_is_offered_in_one_sentence_that_says_who_can_read_it() -> None:
    options = export_options()
    assert tuple(option.value for option in options) == FORMATS
    for option in options:
        assert option.line.startswith("For ")
        assert option.line.count(".") == 1
        assert option.line.endswith(".")
    # Clinic pages: the trade's terms are theirs, so the grade is left out (common practice).
    said = [export_lead("K-07"), *(o.word for o in options), *(o.line for o in options)]
    assert [f for f in faults(said, most_grade=20) if not f.startswith("mean")] == []


def test_what_is_told_names_every_file_the_folder_and_the_place() -> None:
    files = export_files(full_diary(), FORMATS, said_words)
    told = exported(Exported(files, "export-K-07", "/media/stick"))
    assert told.sentence == (
        f"{len(files)} files saved in the new folder export-K-07, in /media/stick."
    )
    assert [name for name, _ in told.rows] == [file.name for file in files]
    assert len({what for _, what in told.rows}) >= len(FORMATS)
