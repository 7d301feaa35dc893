"""A diary in the formats that others read, every file made before the first is written.

The command line and the clinic's window write the same bytes, through this module.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Literal, assert_never

from companion.care.coded import Say
from companion.care.records import Diary
from companion.evidence.figures import Findings
from companion.evidence.findings import as_json, findings, sides
from companion.exchange.diary_calendar import write_calendar
from companion.exchange.fhir import write_bundle
from companion.exchange.files import diary_bytes
from companion.exchange.table import data_dictionary, write_table
from companion.services.trouble import known_troubles
from companion.system.atomic import write_folder_whole
from companion.system.resources import resource
from companion.wire.catalogue_reading import read_catalogue
from companion.wire.facts_reading import read_facts
from companion.wire.resource_reading import shipped_policy

OneFile = Literal["fhir", "csv", "ics", "diary"]
Format = Literal[OneFile, "findings"]
FORMATS: tuple[Format, ...] = ("fhir", "csv", "ics", "findings", "diary")


@dataclass(frozen=True, slots=True)
class ExportFile:
    """One file to be written, and for which format it is there."""

    name: str
    format: Format
    data: bytes


def in_format(diary: Diary, wanted: OneFile, say: Say, *, snomed: bool = False) -> bytes:
    """The one file of a format that has one, in the words of `say`; `snomed` asks for its codes
    in FHIR."""
    match wanted:
        case "fhir":
            titles = read_catalogue(resource()).step_titles()
            return write_bundle(diary, say, titles, snomed=snomed).encode()
        case "csv":
            return write_table(diary).encode()
        case "ics":
            return write_calendar(diary, say).encode()
        case "diary":
            return diary_bytes(diary)
        case _:
            assert_never(wanted)


def notices() -> str:
    """Whose the codes in an export are, and under which terms."""
    return resource("notices.txt").read_text(encoding="utf-8")


def findings_json(found: Findings, say: Say) -> str:
    """The one way findings are written as JSON."""
    plain = as_json(found, read_facts(resource()), say)
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def export_files(diary: Diary, wanted: Collection[Format], say: Say) -> tuple[ExportFile, ...]:
    """Every file of what is wanted, in the order of `FORMATS`.

    The table goes with its data dictionary, FHIR with the notices for its codes; the findings are
    one file a knee.
    """
    code = diary.plan.person
    made: list[ExportFile] = []
    for each in (each for each in FORMATS if each in wanted):
        match each:
            case "findings":
                for side in sides(diary):
                    data = findings_json(
                        findings(diary, side, policy=shipped_policy()), say
                    ).encode()
                    made.append(ExportFile(f"findings-{code}-{side}.json", each, data))
            case "csv":
                made.append(ExportFile(f"table-{code}.csv", each, in_format(diary, each, say)))
                made.append(ExportFile("table-columns.csv", each, data_dictionary()))
            case "fhir":
                made.append(ExportFile(f"fhir-{code}.json", each, in_format(diary, each, say)))
                made.append(ExportFile("notices.txt", each, notices().encode()))
            case "ics":
                made.append(ExportFile(f"calendar-{code}.ics", each, in_format(diary, each, say)))
            case "diary":
                made.append(ExportFile(f"diary-{code}.homeknee", each, in_format(diary, each, say)))
            case _:
                assert_never(each)
    return tuple(made)


@dataclass(frozen=True, slots=True)
class Exported:
    """What was written, in the new folder `folder` at `place`."""

    files: tuple[ExportFile, ...]
    folder: str
    place: str


def save_export(
    diary: Diary, wanted: Collection[Format], place: str, today: date, say: Say
) -> Exported:
    """Write a diary in some formats into a new folder at `place`, with all files or not at all.

    Raises Trouble.
    """
    files = export_files(diary, wanted, say)
    name = export_folder(diary.plan.person, today)
    with known_troubles():
        folder = write_folder_whole(place, name, {file.name: file.data for file in files})
    return Exported(files, folder.name, place)


def export_folder(code: str, today: date) -> str:
    """What the folder is called that holds the files of one export."""
    return f"export-{code}-{today.isoformat()}"
