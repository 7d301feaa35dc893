"""The content holds together; strict and plain reading agree, and every fault is told by file,
place and sentence."""

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from companion.care.catalogue import StopList, TechniqueSheet
from companion.care.form import PlanForm
from companion.wire.catalogue_reading import (
    CARDS_FILE,
    CAUTIONS_FILE,
    HANDS_READY_FILE,
    INTENDED_USE_FILE,
    KNOWN_FILE,
    PLAN_FORM_FILE,
    PRESSURE_FILE,
    SHORT_GATE_FILE,
    STOP_LIST_FILE,
    TAPE_STEPS_FILE,
    ZONES_FILE,
    read_catalogue,
)
from companion.wire.facts_reading import FACTS_FILE
from companion.wire.plain import encode
from companion.wire.resource_reading import POLICY_FILE, CatalogueError
from tests.care.content import CATALOGUE
from tests.content.checking import check_all, read_strictly

RESOURCES = Path(__file__).parents[2] / "resources"
ACROSS = "techniques/ease_across.json"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copy = tmp_path / "resources"
    for name in (
        PRESSURE_FILE,
        STOP_LIST_FILE,
        POLICY_FILE,
        CARDS_FILE,
        SHORT_GATE_FILE,
        CAUTIONS_FILE,
        POLICY_FILE,
        ZONES_FILE,
        TAPE_STEPS_FILE,
        HANDS_READY_FILE,
        KNOWN_FILE,
        INTENDED_USE_FILE,
        FACTS_FILE,
    ):
        copy.mkdir(exist_ok=True)
        shutil.copy(RESOURCES / name, copy / name)
    for part in ("techniques", "exercises", "templates", "forms"):
        shutil.copytree(RESOURCES / part, copy / part)
    return copy


def change(folder: Path, name: str, edit: Callable[[Any], None]) -> None:
    path = folder / name
    value = json.loads(path.read_text(encoding="utf-8"))
    edit(value)
    path.write_text(json.dumps(value), encoding="utf-8")


def put(*place: str | int, value: Any) -> Callable[[Any], None]:
    def edit(root: Any) -> None:
        for part in place[:-1]:
            root = root[part]
        root[place[-1]] = value

    return edit


def drop(*place: str | int) -> Callable[[Any], None]:
    def edit(root: Any) -> None:
        for part in place[:-1]:
            root = root[part]
        del root[place[-1]]

    return edit


def sign_at(sign_id: str) -> int:
    ids = [sign.id for sign in CATALOGUE.stop_list.signs]
    return ids.index(sign_id)


def test_the_resources_hold_no_fault() -> None:
    assert [fault.sentence for fault in check_all(RESOURCES)] == []


def test_plain_and_strict_read_the_same() -> None:
    assert CATALOGUE.stop_list == read_strictly(RESOURCES, STOP_LIST_FILE, StopList)
    assert CATALOGUE.plan_form == read_strictly(RESOURCES, PLAN_FORM_FILE, PlanForm)
    for technique in CATALOGUE.techniques:
        name = f"techniques/{technique.id}.json"
        assert technique == read_strictly(RESOURCES, name, TechniqueSheet)


def test_a_file_maps_one_to_one_onto_its_record() -> None:
    value = json.loads((RESOURCES / STOP_LIST_FILE).read_text(encoding="utf-8"))
    again: Any = encode(CATALOGUE.stop_list)
    for written, read in zip(value["signs"], again["signs"], strict=True):
        assert written.items() <= read.items()


def test_plain_reading_leaves_pydantic_alone() -> None:
    code = (
        "import sys; from pathlib import Path;"
        "from companion.wire.catalogue_reading import read_catalogue;"
        f"read_catalogue(Path({str(RESOURCES)!r}));"
        "sys.exit('pydantic' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_technique_is_added_by_one_file(folder: Path) -> None:
    value = json.loads((folder / ACROSS).read_text(encoding="utf-8"))
    value |= {"id": "ease_round", "title": "Ease the kneecap round"}
    (folder / "techniques/ease_round.json").write_text(json.dumps(value), encoding="utf-8")
    assert check_all(folder) == ()
    assert read_catalogue(folder).technique("ease_round").title == "Ease the kneecap round"


Q1, Q2 = sign_at("chest_or_breath"), sign_at("injury_check")
GIVES_WAY, BROKEN = sign_at("gives_way_new"), sign_at("skin_broken")

BAD: list[tuple[str, Callable[[Any], None], str]] = [
    # shape
    (ACROSS, put("steps", 2, "verb", value=""), "steps[2].verb: the text is empty or too short"),
    (ACROSS, put("steps", 2, "timed", value="no"), "steps[2].timed: 'no' is not true or false"),
    (ACROSS, drop("steps", 0, "helper"), "steps[0].helper: is missing"),
    (ACROSS, put("seconds", "default", value="30"), "seconds.default: '30' is not a whole number"),
    (ACROSS, put("seconds", "default", value=30.0), "seconds.default: 30.0 is not a whole number"),
    (ACROSS, put("seconds", "highest", value=601), "seconds.highest: 601 is above 600"),
    (ACROSS, put("repeats", "lowest", value=-1), "repeats.lowest: -1 is below 0"),
    (ACROSS, put("colour", value="red"), "colour: is not a field of this file"),
    (ACROSS, put("zones", 0, value="shin"), "zones[0]: 'shin' is not one of 'above', "),
    (ACROSS, put("steps", value={}), "steps: a list is expected"),
    (ACROSS, put("facts", value="me"), "facts: a list is expected"),
    (ACROSS, put("title", value=7), "title: 7 is not text"),
    (ACROSS, put("title", value="x" * 61), "title: the text is longer than 60 characters"),
    (ACROSS, put("pressure", value="A b"), "pressure: 'A b' is not an id of small letters"),
    # references
    (ACROSS, put("not_with", value=["moon"]), "not_with[0]: 'moon' is not a caution of"),
    (ACROSS, put("pressure", value="hard"), "pressure: 'hard' is not a pressure word of"),
    (ACROSS, put("id", value="other"), "id: 'other' differs from the name of the file"),
    (ACROSS, put("seconds", "default", value=9), "seconds.default: 9 is not between 10 and 90"),
    (ACROSS, put("steps", 0, "timed", value=True), "steps: 2 steps are timed; exactly one must be"),
    (ACROSS, put("standing", value=True), "posture: hands-on techniques are done sitting or lying"),
    (ACROSS, put("zones", 0, value="back_of_knee"), "zones: no hands go to the back of the knee"),
    (ACROSS, drop("steps", 0, "anchors"), "steps[0].anchors: names no landmark"),
    (
        "exercises/step_up.json",
        put("standing", value=False),
        "standing: does not fit the posture",
    ),
    (
        "exercises/heel_slide.json",
        put("steps", 1, "timed", value=False),
        "steps: 0 steps are timed; one must be when there is a hold, else none",
    ),
    (
        "exercises/heel_slide.json",
        put("not_with", value=["moon"]),
        "not_with[0]: 'moon' is not a caution of cautions.json",
    ),
    (PRESSURE_FILE, put("words", 1, "rank", value=0), "words: 'rank 0' stands 2 times"),
    (
        STOP_LIST_FILE,
        put("signs", Q1, "card", value="no_card"),
        f"signs[{Q1}].card: 'no_card' is not a card of cards.json",
    ),
    (
        STOP_LIST_FILE,
        put("signs", BROKEN, "level", value="care"),
        f"signs[{BROKEN}].level: is 'care', but its card is 'call'",
    ),
    (
        POLICY_FILE,
        put("signs", Q1, "closes", 0, "parts", value=["hands"]),
        f"signs[{Q1}].closes: level 'emergency' must close every part",
    ),
    (
        POLICY_FILE,
        put("signs", Q1, "closes", 0, "opens", value=["asked_again"]),
        f"signs[{Q1}].closes: only a professional opens an emergency",
    ),
    (
        POLICY_FILE,
        put("signs", Q1, "ends", value="nothing"),
        f"signs[{Q1}].ends: level 'emergency' must end the session",
    ),
    (
        POLICY_FILE,
        put("signs", Q1, "rule", value="r99"),
        f"signs[{Q1}].rule: no rule has the id 'r99'",
    ),
    (
        POLICY_FILE,
        put("signs", Q1, "sign", value="sniffles"),
        "signs: the stop list has no sign 'sniffles'",
    ),
    (
        POLICY_FILE,
        put("signs", Q1, "sign", value="fever"),
        "signs: the sign 'chest_or_breath' has no row",
    ),
    (
        POLICY_FILE,
        put("states", 2, "closes", value=["tape_on"]),
        "states[2].closes: where no tape goes on, none goes on for an outing",
    ),
    (
        POLICY_FILE,
        put("signs", Q1, "known_since", value=True),
        f"signs[{Q1}].known_since: an emergency is never known",
    ),
    (
        POLICY_FILE,
        put("signs", Q1, "known_knee", value=True),
        f"signs[{Q1}].known_knee: is said of what may be known",
    ),
    (
        STOP_LIST_FILE,
        put("signs", GIVES_WAY, "known_as", value="fever"),
        f"signs[{GIVES_WAY}].known_as: 'fever' is not a care sign asked when known",
    ),
    (
        STOP_LIST_FILE,
        put("signs", Q1, "question", value=6),
        f"signs[{Q1}].question: 6 is above 5",
    ),
    (
        STOP_LIST_FILE,
        drop("signs", Q1, "question"),
        f"signs[{Q1}].question: is missing for a sign with a row of its own",
    ),
    (
        STOP_LIST_FILE,
        put("signs", Q1, "question", value=5),
        f"signs[{Q1}].question: is 5 for signs of the session and the tape",
    ),
    (
        STOP_LIST_FILE,
        put("signs", GIVES_WAY, "topic", value="stairs"),
        f"signs[{GIVES_WAY}].topic: 'stairs' is not a topic of question 3",
    ),
    (
        STOP_LIST_FILE,
        put("signs", GIVES_WAY, "worse_as", value="sniffles"),
        f"signs[{GIVES_WAY}].worse_as: 'sniffles' is not a sign of this list",
    ),
    (
        STOP_LIST_FILE,
        put("signs", Q2, "leads", 0, "met_when", 0, 0, value="tall"),
        f"signs[{Q2}].leads: 'tall' is not a question of this sign",
    ),
    (
        STOP_LIST_FILE,
        put("signs", Q2, "leads", 0, "met_when", value=[["hurts_more"], []]),
        f"signs[{Q2}].leads[0].met_when: holds an empty group",
    ),
    (
        STOP_LIST_FILE,
        drop("signs", Q2, "leads", 2),
        f"signs[{Q2}].leads: must end with one that always holds",
    ),
    (
        STOP_LIST_FILE,
        put("signs", Q2, "leads", 1, "sign", value="sniffles"),
        f"signs[{Q2}].leads[1].sign: 'sniffles' is not a sign of this list",
    ),
    (
        STOP_LIST_FILE,
        put("signs", Q2, "id", value="fever"),
        "signs: 'fever' stands 2 times",
    ),
    (CARDS_FILE, put("cards", 0, "id", value="lonely"), "cards[0].id: no sign leads to this card"),
    (CARDS_FILE, put("cards", 0, "actions", value=[]), "cards[0].actions: holds no action"),
    (
        CARDS_FILE,
        drop("cards", 0, "say"),
        "cards[0].say: is missing on a card of level 'emergency'",
    ),
    (
        CARDS_FILE,
        put("cards", 0, "contacts", value=["clinic"]),
        "cards[0].contacts: must begin with 'emergency'",
    ),
    (
        CARDS_FILE,
        put("cards", 0, "contacts", value=["neighbour"]),
        "cards[0].contacts[0]: 'neighbour' is not one of",
    ),
    (SHORT_GATE_FILE, drop("questions", 3), "questions: must be numbered 1, 2, 3, 4, 5"),
    (
        SHORT_GATE_FILE,
        put("questions", 0, "not_sure", value="fever"),
        "questions[0].not_sure: 'fever' is not a sign that follows",
    ),
    (CAUTIONS_FILE, put("cautions", 3, "group", value="moon"), "cautions[3].group: 'moon' is not"),
    (POLICY_FILE, drop("cautions", 3), "cautions: 'stable_heart_lung' is missing"),
    (POLICY_FILE, put("cautions", 3, "asks", value=[]), "cautions[3]: does nothing"),
    (POLICY_FILE, put("cautions", 3, "rest_days", value=3), "cautions[3].rest_days: goes with"),
    (POLICY_FILE, put("cautions", 3, "rest", value=["hands"]), "cautions[3].rest: goes with a"),
    (
        POLICY_FILE,
        put("cautions", 3, "asks", 0, "ask", value="lightest_hands"),
        "cautions[3].asks: 'lightest_hands' asks nothing there",
    ),
    (ZONES_FILE, drop("zones", 0), "zones: 'above' is missing"),
    (
        TAPE_STEPS_FILE,
        put("stages", 1, "adds_to", value=0),
        "stages: must be stage 1 on bare skin, then stage 2 on stage 1",
    ),
    (
        TAPE_STEPS_FILE,
        put("stages", 1, "pieces", value=3),
        "stages[1].steps: must number its 3 pieces on from 3",
    ),
    (
        TAPE_STEPS_FILE,
        put("stages", 0, "steps", 1, "moment", value=None),
        "stages[0].steps[1]: must name the moment of its piece; other steps only 'rub' or 'bend'",
    ),
    (
        TAPE_STEPS_FILE,
        put("patch_test", "readings", 0, "latest_hours", value=2),
        "patch_test.readings[0]: ends before it begins",
    ),
    (
        "templates/hands_only.json",
        put("techniques", 0, "technique", value="juggle"),
        "techniques[0].technique: 'juggle' is not a technique of techniques",
    ),
    (
        "templates/hands_only.json",
        put("techniques", 0, "seconds", value=500),
        "techniques[0].seconds: 500 is not between 10 and 90",
    ),
    (
        "templates/hands_only.json",
        put("exercises", 0, "exercise", value="juggle"),
        "exercises[0].exercise: 'juggle' is not an exercise of exercises",
    ),
    (
        "templates/hands_only.json",
        put("exercises", 0, "hold_seconds", value=60),
        "exercises[0].hold_seconds: 60 is not between 2 and 15",
    ),
    (
        "templates/hands_only.json",
        put("techniques", 0, "taught_on", value="2026-03-09"),
        "techniques[0].taught_on: nothing in a template is taught",
    ),
    (
        "templates/hands_and_side_strips.json",
        put("tape", "start", value=2),
        "tape.start: is above the highest stage 1",
    ),
    (
        "templates/hands_and_side_strips.json",
        put("tape", "cap_hours", value=48),
        "tape.cap_hours: is below the due time 72",
    ),
    (
        "templates/hands_only.json",
        put("tape", "highest", value=1),
        "tape.highest: is 0 when the plan never tapes, else 1 or 2",
    ),
    ("templates/hands_only.json", put("rounds", value=4), "rounds: 4 is above 3"),
]


@pytest.mark.parametrize(
    ("name", "edit", "expected"), BAD, ids=[f"{name}: {fault}" for name, _, fault in BAD]
)
def test_each_fault_names_file_place_and_fault(
    folder: Path, name: str, edit: Callable[[Any], None], expected: str
) -> None:
    change(folder, name, edit)
    found = [fault.sentence for fault in check_all(folder)]
    assert any(sentence.startswith(f"{name}: {expected}") for sentence in found), found


def test_every_fault_is_named_not_the_first_alone(folder: Path) -> None:
    change(folder, ACROSS, put("seconds", "default", value="30"))
    change(folder, ACROSS, drop("steps", 0, "helper"))
    change(folder, ZONES_FILE, drop("zones", 0))
    found = {(fault.file, fault.place) for fault in check_all(folder)}
    assert {(ACROSS, "seconds.default"), (ACROSS, "steps[0].helper"), (ZONES_FILE, "zones")} <= (
        found
    )


@pytest.mark.parametrize(
    ("data", "place", "fault"),
    [
        (b"", "line 1, column 1", "this is not JSON"),
        (b'{"version": 1', "line 1, column 14", "this is not JSON"),
        (b"\xff\xfe", "", "the file is not UTF-8 text"),
        (b'{"version": 1, "version": 2}', "version", "stands twice in one object"),
        (b"[" * 100_000, "", "the JSON is nested too deeply"),
    ],
)
def test_a_damaged_file(folder: Path, data: bytes, place: str, fault: str) -> None:
    (folder / ZONES_FILE).write_bytes(data)
    assert [(f.file, f.place, f.fault) for f in check_all(folder)] == [(ZONES_FILE, place, fault)]
    with pytest.raises(CatalogueError) as caught:
        read_catalogue(folder)
    assert caught.value.faults[0].file == ZONES_FILE
    assert caught.value.faults[0].fault == fault


def test_a_missing_file_and_an_empty_folder(folder: Path) -> None:
    (folder / CARDS_FILE).unlink()
    shutil.rmtree(folder / "exercises")
    found = [fault.sentence for fault in check_all(folder)]
    assert "cards.json: the file cannot be read" in found
    assert "exercises: the folder holds no file" in found


def test_plain_reading_names_file_place_and_fault(folder: Path) -> None:
    change(folder, ACROSS, put("steps", 1, "timed", value="yes"))
    with pytest.raises(CatalogueError) as caught:
        read_catalogue(folder)
    assert str(caught.value) == f"{ACROSS}: steps[1].timed: not_true_or_false(got='yes')"
