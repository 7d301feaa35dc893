"""Reading ``resources/`` with the plain codec.

``read_*`` raise :class:`CatalogueError` at the first fault. That the content holds together, from
one file to another, is checked once, by the tests.
"""

import json
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from companion.care.catalogue import (
    Catalogue,
    Cautions,
    ExerciseSheet,
    HandsReady,
    IntendedUse,
    PlanTemplate,
    PressureWords,
    ShortGate,
    SoreZones,
    StopCards,
    StopList,
    TapeSteps,
    TechniqueSheet,
    WhatIsKnown,
)
from companion.care.form import PlanForm
from companion.care.json_values import JsonObject, JsonValue
from companion.wire.facts_reading import read_facts
from companion.wire.plain import PlainFault, decode

T = TypeVar("T")

PRESSURE_FILE = "pressure.json"
STOP_LIST_FILE = "stop_list.json"
CARDS_FILE = "cards.json"
SHORT_GATE_FILE = "short_gate.json"
CAUTIONS_FILE = "cautions.json"
ZONES_FILE = "zones.json"
TAPE_STEPS_FILE = "tape_steps.json"
HANDS_READY_FILE = "hands_ready.json"
KNOWN_FILE = "known.json"
INTENDED_USE_FILE = "intended_use.json"
PLAN_FORM_FILE = "forms/plan.json"
TECHNIQUES_FOLDER = "techniques"
EXERCISES_FOLDER = "exercises"
TEMPLATES_FOLDER = "templates"


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


# ---------------------------------------------------------------- plain reading


def read_catalogue(folder: Path) -> Catalogue:
    """Everything below the resources ``folder``. Raises CatalogueError."""
    return Catalogue(
        pressure_words=_read(folder, PRESSURE_FILE, PressureWords),
        techniques=_read_each(folder, TECHNIQUES_FOLDER, TechniqueSheet),
        exercises=_read_each(folder, EXERCISES_FOLDER, ExerciseSheet),
        stop_list=_read(folder, STOP_LIST_FILE, StopList),
        cards=_read(folder, CARDS_FILE, StopCards),
        short_gate=_read(folder, SHORT_GATE_FILE, ShortGate),
        cautions=_read(folder, CAUTIONS_FILE, Cautions),
        zones=_read(folder, ZONES_FILE, SoreZones),
        tape_steps=_read(folder, TAPE_STEPS_FILE, TapeSteps),
        hands_ready=_read(folder, HANDS_READY_FILE, HandsReady),
        known=_read(folder, KNOWN_FILE, WhatIsKnown),
        intended_use=_read(folder, INTENDED_USE_FILE, IntendedUse),
        templates=_read_each(folder, TEMPLATES_FOLDER, PlanTemplate),
        plan_form=_read(folder, PLAN_FORM_FILE, PlanForm),
        facts=read_facts(folder),
    )


def _read(folder: Path, name: str, cls: type[T]) -> T:
    try:
        value = json_of(folder, name)
        return decode(cls, value)
    except PlainFault as fault:
        told = ResourceFault(file=name, place=fault.place, fault=str(fault.what))
        raise CatalogueError(told) from None


def _read_each(folder: Path, part: str, cls: type[T]) -> tuple[T, ...]:
    return tuple(_read(folder, name, cls) for name in names_in(folder, part))


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
