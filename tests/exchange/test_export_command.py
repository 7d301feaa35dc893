"""`homeknee export`: the open formats in any combination, whole or not at all."""

import json
from itertools import combinations
from pathlib import Path

import pytest

from companion.app import commands, exits
from companion.exchange.files import plan_bytes, write_diary
from companion.presentation.language.said import said_words
from companion.services.export import OneFile, in_format, notices
from tests.builders import small_plan
from tests.exchange.made import full_diary

WRITERS: dict[str, OneFile] = {"--fhir": "fhir", "--csv": "csv", "--ics": "ics"}
CHOICES = [chosen for number in (1, 2, 3) for chosen in combinations(WRITERS, number)]


@pytest.fixture
def diary(tmp_path: Path) -> Path:
    path = tmp_path / "k07.homeknee"
    write_diary(path, full_diary())
    return path


@pytest.mark.parametrize("chosen", CHOICES, ids=" ".join)
def test_any_combination_writes_those_and_no_other(
    diary: Path, tmp_path: Path, chosen: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["export", str(diary)]
    for name in chosen:
        arguments += [name, str(tmp_path / f"out{name}")]
    assert commands.run(arguments) == exits.DONE
    for name in chosen:
        assert (tmp_path / f"out{name}").read_bytes() == in_format(
            full_diary(), WRITERS[name], said_words
        )
    assert len(list(tmp_path.iterdir())) == 1 + len(chosen)
    assert capsys.readouterr() == ("", "")


def test_snomed_ct_is_there_only_where_it_is_asked_for(
    diary: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plain, coded = tmp_path / "plain.json", tmp_path / "coded.json"
    assert commands.run(["export", str(diary), "--fhir", str(plain)]) == exits.DONE
    assert commands.run(["export", str(diary), "--fhir", str(coded), "--snomed"]) == exits.DONE
    assert "snomed" not in plain.read_text(encoding="utf-8")
    assert "http://snomed.info/sct" in coded.read_text(encoding="utf-8")
    assert commands.run(["export", str(diary), "--csv", str(plain), "--snomed"]) == exits.USAGE
    assert "--fhir" in capsys.readouterr().err


def test_every_code_system_of_a_bundle_has_its_notice() -> None:
    for system in ("LOINC", "UCUM", "SNOMED CT", "HL7 and FHIR"):
        assert system in notices()


def test_what_was_written_is_utf_8_json(diary: Path, tmp_path: Path) -> None:
    out = tmp_path / "bundle.json"
    assert commands.run(["export", str(diary), "--fhir", str(out)]) == exits.DONE
    assert json.loads(out.read_bytes())["type"] == "collection"


def test_today_changes_nothing(diary: Path, tmp_path: Path) -> None:
    for day in ("2026-03-01", "2031-12-31"):
        out = str(tmp_path / day)
        assert commands.run(["export", str(diary), "--ics", out, "--today", day]) == exits.DONE
    assert (tmp_path / "2026-03-01").read_bytes() == (tmp_path / "2031-12-31").read_bytes()


def test_without_a_format_it_says_which_there_are(
    diary: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert commands.run(["export", str(diary)]) == exits.USAGE
    said = capsys.readouterr().err
    assert all(name in said for name in WRITERS)


def test_one_name_for_two_files_or_the_diarys_own_is_refused(diary: Path, tmp_path: Path) -> None:
    before = diary.read_bytes()
    one = str(tmp_path / "one")
    for arguments in (["--fhir", one, "--ics", one], ["--csv", str(diary)]):
        assert commands.run(["export", str(diary), *arguments]) == exits.USAGE
    assert diary.read_bytes() == before
    assert list(tmp_path.iterdir()) == [diary]


def test_a_plan_or_a_damaged_file_is_refused_and_nothing_written(
    diary: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan, out = tmp_path / "plan.homeknee", tmp_path / "out"
    (plan).write_bytes(plan_bytes(small_plan()))
    diary.write_bytes(diary.read_bytes()[:-3])
    for source in (plan, diary, tmp_path / "nothing"):
        assert commands.run(["export", str(source), "--fhir", str(out)]) == exits.REFUSED
        assert len(capsys.readouterr().err.splitlines()) == 1
    assert not out.exists()
