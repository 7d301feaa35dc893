"""The JSON Schemas beside the program are those of the records, and our files obey them."""

import json
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator

from companion.care.records import Diary
from companion.exchange.files import diary_bytes, plan_bytes
from companion.system.resources import resource
from tests.strategies import diaries
from tests.wire.write_schemas import json_schemas, schema_text


@cache
def _validator(name: str) -> Draft202012Validator:
    schema = json.loads(resource("schemas", name).read_text(encoding="utf-8"))
    return Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)


def _body(data: bytes) -> Any:
    return json.loads(data.partition(b"\n")[2])


@pytest.mark.parametrize("name", ["plan-5.schema.json", "diary-7.schema.json"])
def test_the_schemas_are_those_of_the_records(name: str) -> None:
    """When this fails, the form of files changed: see FORMAT.md, then tests.wire.write_schemas."""
    kept = resource("schemas", name).read_text(encoding="utf-8")
    assert kept == schema_text(json_schemas()[name])
    Draft202012Validator.check_schema(json.loads(kept))


@settings(max_examples=30)
@given(diaries(most_entries=4))
def test_what_we_write_obeys_them(diary: Diary) -> None:
    assert [*_validator("diary-7.schema.json").iter_errors(_body(diary_bytes(diary)))] == []
    assert [*_validator("plan-5.schema.json").iter_errors(_body(plan_bytes(diary.plan)))] == []


@pytest.mark.parametrize(
    "change",
    [
        {"version": "1"},
        {"version": 0},
        {"side": "up"},
        {"surprise": 1},
        {"goal": "\x00"},
        {"tape": {"highest": 3}},
        {"knees": [{"side": "left", "kneecap_width_mm": 900}]},
    ],
)
def test_they_refuse_what_the_reader_refuses(change: dict[str, Any]) -> None:
    from tests.wire.test_strict import PLAN

    assert not _validator("plan-5.schema.json").is_valid(PLAN | change)
    assert _validator("plan-5.schema.json").is_valid(PLAN)
