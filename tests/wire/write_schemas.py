"""The JSON Schemas of plan and diary, from the records; `python -m tests.wire.write_schemas` writes
them anew.
"""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import pydantic

from companion.care.ranges import Code, Length
from companion.care.records import Plan, Record
from companion.exchange.files import VERSIONS
from companion.system.resources import resource
from companion.wire.strict import TaggedEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class DiaryBody(Record):
    """The body of a diary file: the person's code, every plan version and every entry."""

    person: Code
    plans: Annotated[tuple[Plan, ...], Length(9999)]
    entries: Annotated[tuple[TaggedEntry, ...], Length(400_000)]


def json_schemas() -> dict[str, dict[str, Any]]:
    """The schemas of the bodies of plan and diary files, by file name."""
    return {
        f"{kind}-{VERSIONS[kind]}.schema.json": {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "$id": f"urn:homeknee:{kind}:{VERSIONS[kind]}",
        }
        | pydantic.TypeAdapter(record).json_schema()
        for kind, record in (("plan", Plan), ("diary", DiaryBody))
    }


def schema_text(schema: dict[str, object]) -> str:
    """The text of a schema file."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def write(folder: Path) -> None:
    """Write each schema into `folder`."""
    for name, schema in json_schemas().items():
        (folder / name).write_text(schema_text(schema), encoding="utf-8")


if __name__ == "__main__":
    write(resource("schemas"))
