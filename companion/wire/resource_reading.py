"""Reading one file of ``resources/`` with the plain codec, and the policy by itself.

The front page needs the policy and no other content, so this loads nothing of the rest. Functions
raise :class:`CatalogueError` at the first fault.
"""

import functools
import json
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from companion.care.json_values import JsonObject, JsonValue
from companion.care.policy import Policy
from companion.system.resources import resource
from companion.wire.plain import PlainFault, decode

T = TypeVar("T")

POLICY_FILE = "policy.json"
EXERCISES_FOLDER = "exercises"


@dataclass(frozen=True, kw_only=True, slots=True)
class ResourceFault:
    """One fault of a resource file: ``file`` below ``resources/``, ``place`` in it, the fault."""

    file: str
    place: str
    fault: str

    @property
    def sentence(self) -> str:
        """The fault as one line, such as ``techniques/x.json: steps[2].verb: is missing``."""
        return ": ".join(part for part in (self.file, self.place, self.fault) if part)


class CatalogueError(ValueError):
    """A resource file cannot be read; ``faults`` says where and why, one at least."""

    def __init__(self, *faults: ResourceFault) -> None:
        super().__init__("\n".join(fault.sentence for fault in faults))
        self.faults = faults


def read_policy(folder: Path) -> Policy:
    """The policy below the resources ``folder``, with the exercises that are done standing, and
    holding on."""
    policy = read_record(folder, POLICY_FILE, Policy)
    sheets = {name: json_of(folder, name) for name in names_in(folder, EXERCISES_FOLDER)}
    standing = [
        sheet for sheet in sheets.values() if isinstance(sheet, dict) and sheet.get("standing")
    ]
    return replace(
        policy,
        on_the_feet=tuple(str(sheet["id"]) for sheet in standing),
        at_support=tuple(str(sheet["id"]) for sheet in standing if sheet.get("holds_on")),
    )


@functools.cache
def shipped_policy() -> Policy:
    """The policy this program is shipped with: findings and exports have no other content."""
    return read_policy(resource())


def read_record(folder: Path, name: str, cls: type[T]) -> T:
    """The record one file holds."""
    try:
        value = json_of(folder, name)
        return decode(cls, value)
    except PlainFault as fault:
        told = ResourceFault(file=name, place=fault.place, fault=str(fault.what))
        raise CatalogueError(told) from None


def names_in(folder: Path, part: str) -> list[str]:
    """The files of one part, by name."""
    return sorted(f"{part}/{path.name}" for path in (folder / part).glob("*.json"))


def json_of(folder: Path, name: str) -> JsonValue:
    """The JSON value of one file. Raises CatalogueError."""

    def refuse_doubles(pairs: list[tuple[str, JsonValue]]) -> JsonObject:
        doubled = [key for key, count in Counter(key for key, _ in pairs).items() if count > 1]
        if doubled:
            raise CatalogueError(
                ResourceFault(file=name, place=doubled[0], fault="stands twice in one object")
            )
        return dict(pairs)

    try:
        data = (folder / name).read_bytes()
        value: JsonValue = json.loads(data.decode("utf-8"), object_pairs_hook=refuse_doubles)
        return value
    except OSError:
        fault = ResourceFault(file=name, place="", fault="the file cannot be read")
    except UnicodeDecodeError:
        fault = ResourceFault(file=name, place="", fault="the file is not UTF-8 text")
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        fault = ResourceFault(file=name, place=place, fault="this is not JSON")
    except RecursionError:
        fault = ResourceFault(file=name, place="", fault="the JSON is nested too deeply")
    raise CatalogueError(fault)
