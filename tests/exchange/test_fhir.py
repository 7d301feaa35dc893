"""The FHIR Bundle: sound for models that are not ours, complete, and the same every time.

Oracles. `fhir.resources` (its R4B models: 4.3.0, which left the resources used here as 4.0.1 has
them; from memory). Check digits: LOINC Users' Guide, mod 10 (Luhn), and SNOMED CT Technical
Implementation Guide, Verhoeff's dihedral tables. Value sets: HL7 FHIR R4, "required" bindings.
"""

import dataclasses
import json
import re
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, timedelta, timezone
from typing import Any

import pytest
from fhir.resources.R4B.bundle import Bundle
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.care.clocks import that_count
from companion.care.history import current
from companion.care.json_values import JsonObject
from companion.care.records import (
    Amount,
    AnyEntry,
    DayPage,
    Diary,
    Measurement,
    MoveScore,
    Outing,
    OutingKnee,
    Plan,
    Session,
    Side,
    TapeOff,
)
from companion.evidence.readings import sides
from companion.exchange import fhir
from companion.exchange.files import read
from companion.presentation.language.said import said_words
from companion.system.resources import demo_profiles, resource
from companion.wire.catalogue_reading import read_catalogue
from tests import builders, strategies
from tests.builders import small_plan
from tests.exchange.made import an_id, at, full_diary
from tests.found import findings

DISCOURAGED = "56840-2"
LOINC, SNOMED = "http://loinc.org", "http://snomed.info/sct"
TITLES = read_catalogue(resource()).step_titles()
PEOPLE = sorted(path.parent.name for path in demo_profiles().glob("*/diary.homeknee"))
STATUSES = {
    "Observation": {"final", "amended", "entered-in-error"},
    "CarePlan": {"draft", "active", "completed"},
}
"""Those we use; all are in the R4 value sets observation-status and request-status."""


def demo(name: str) -> Diary:
    diary = read(demo_profiles() / name / "diary.homeknee").diary
    assert diary is not None
    return diary


def diary_of(*entries: AnyEntry, plan: Plan | None = None) -> Diary:
    return Diary(plans=(plan or small_plan(),), entries=entries)


def page(number: int, day: int = 0, hour: int = 20, **changed: Any) -> DayPage:
    own = {"id": an_id(number), "written_at": at(day, hour)}
    return builders.page(at(day, hour).date(), **(own | changed))


def bundle(diary: Diary, *, snomed: bool = False) -> JsonObject:
    return fhir.bundle(diary, said_words, TITLES, snomed=snomed)


def write_bundle(diary: Diary) -> str:
    return fhir.write_bundle(diary, said_words, TITLES)


def resources(made: dict[str, Any], kind: str | None = None) -> list[dict[str, Any]]:
    found = [entry["resource"] for entry in made["entry"]]
    return [one for one in found if kind in (None, one["resourceType"])]


def codings(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        if "code" in value and "system" in value:
            yield value
        for item in value.values():
            yield from codings(item)
    elif isinstance(value, list):
        for item in value:
            yield from codings(item)


def references(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("reference"), str):
            yield value["reference"]
        for item in value.values():
            yield from references(item)
    elif isinstance(value, list):
        for item in value:
            yield from references(item)


def pains(made: dict[str, Any]) -> list[dict[str, Any]]:
    return [
        one
        for one in resources(made, "Observation")
        if one["code"].get("coding", [{}])[0].get("code") == "72514-3"
        and one["status"] != "entered-in-error"
    ]


def pain_values(entries: tuple[AnyEntry, ...]) -> Counter[tuple[str, int]]:
    """Every pain value of the entries that count, by walking their fields."""
    found: Counter[tuple[str, int]] = Counter()
    of_knees = (knee for entry in entries if isinstance(entry, Outing) for knee in entry.knees)
    for entry in (*entries, *of_knees):
        side = getattr(entry, "side", None)
        if side is None:
            continue
        for field in dataclasses.fields(entry):
            value = getattr(entry, field.name)
            if field.name.startswith("pain_") or field.name == "rest_pain":
                found[side, value] += value is not None
            elif field.name == "moves":
                found.update((side, move.score) for move in value)
            elif field.name in ("rounds", "exercises"):
                held = [value] if field.name == "exercises" else [one.steps for one in value]
                found.update(
                    (side, step.pain) for steps in held for step in steps if step.pain is not None
                )
    return +found


def sound(made: dict[str, Any]) -> None:
    """What holds for every Bundle, whatever the diary."""
    Bundle.model_validate_json(json.dumps(made))
    ids = [one["id"] for one in resources(made)]
    assert len(ids) == len(set(ids))
    urls = [entry["fullUrl"] for entry in made["entry"]]
    assert urls == [f"urn:uuid:{its_id}" for its_id in ids]
    assert set(references(made)) <= set(urls)
    for one in resources(made):
        assert one.get("status") in STATUSES.get(one["resourceType"], {None})
        assert not ("dataAbsentReason" in one and any(key.startswith("value") for key in one))
        if one["resourceType"] == "Observation":
            assert ("dataAbsentReason" in one) != any(key.startswith("value") for key in one)


# ---------------------------------------------------------------- every diary


@settings(max_examples=20)
@given(strategies.diaries())
def test_any_diary_makes_a_sound_bundle_with_each_pain_value_once(diary: Diary) -> None:
    made = json.loads(write_bundle(diary), parse_constant=pytest.fail)
    sound(made)
    written = Counter(
        (one["bodySite"]["text"].removesuffix(" knee"), one["valueQuantity"]["value"])
        for one in pains(made)
        if "valueQuantity" in one
    )
    assert written == pain_values(that_count(diary))


@settings(max_examples=15)
@given(strategies.diaries(), st.randoms(use_true_random=False))
def test_the_order_of_a_diary_changes_nothing(diary: Diary, chance: Any) -> None:
    plans, entries = list(diary.plans), list(diary.entries)
    chance.shuffle(plans)
    chance.shuffle(entries)
    assert write_bundle(Diary(plans=tuple(plans), entries=tuple(entries))) == write_bundle(diary)


@pytest.mark.parametrize("name", PEOPLE)
def test_the_diary_of_each_demo_person(name: str) -> None:
    diary = demo(name)
    made = bundle(diary)
    sound(made)
    assert len(pains(made)) >= sum(pain_values(current(diary.entries)).values()) > 100
    assert made == bundle(diary)


@pytest.mark.parametrize("name", [*PEOPLE, None])
def test_skin_events_are_those_the_findings_count(name: str | None) -> None:
    """Two readers of one diary: the findings of each knee, and the adverse events."""
    diary = demo(name) if name else full_diary()
    counted = {
        (event.side, event.skin, event.source, event.day)
        for side in sides(diary)
        for event in findings(diary, side).tape.skin_events
    }
    events = [one["event"]["text"] for one in resources(bundle(diary), "AdverseEvent")]
    told = [text for text in events if text.startswith("skin ")]
    assert len(events) - len(told) == sum(
        len(e.felt) for e in current(diary.entries) if isinstance(e, TapeOff)
    )
    assert Counter(re.sub(r"^skin (\w+) .*", r"\1", text) for text in told) == Counter(
        skin for _, skin, _, _ in counted
    )


# ---------------------------------------------------------------- codes


def luhn_holds(code: str) -> bool:
    digits = [int(digit) for digit in code.replace("-", "")]
    doubled = [
        digit if place % 2 == 0 else digit * 2 - 9 * (digit > 4)
        for place, digit in enumerate(reversed(digits))
    ]
    return sum(doubled) % 10 == 0


_TURN = (1, 5, 7, 6, 2, 8, 3, 0, 9, 4)


def _times(one: int, other: int) -> int:
    """The product in the dihedral group of the pentagon."""
    if one < 5:
        return (one + other) % 5 + (5 if other >= 5 else 0)
    return (one - other) % 5 + (5 if other < 5 else 0)


def verhoeff_holds(code: str) -> bool:
    total = 0
    for place, letter in enumerate(reversed(code)):
        digit = int(letter)
        for _ in range(place % 8):
            digit = _TURN[digit]
        total = _times(total, digit)
    return total == 0


def test_the_check_digit_code_of_these_tests_knows_right_from_wrong() -> None:
    """Verhoeff's worked example: 236 has the check digit 3. LOINC's guide: 2345-7 (glucose)."""
    assert verhoeff_holds("2363")
    assert not any(verhoeff_holds(f"236{digit}") for digit in "012456789")
    assert not verhoeff_holds("2633")
    assert luhn_holds("2345-7")
    assert not luhn_holds("2354-7")


def test_every_code_has_its_check_digit_and_the_discouraged_one_is_not_there() -> None:
    kneecap = dataclasses.replace(small_plan(), side="left", main_side="left", version=3)
    kneecap = dataclasses.replace(kneecap, reason="kneecap_pain")
    stand = Measurement(
        id=an_id(50),
        for_day=at(1, 1).date(),
        written_at=at(1, 11),
        written_by="clinic",
        plan_version=1,
        count=9,
    )
    whole = full_diary()
    walked = page(
        51,
        day=2,
        stiffness_minutes=10,
        amounts=(
            Amount(label="Walk", unit="steps", amount=900.0),
            Amount(label="Nets", unit="nets", amount=2.0),
        ),
    )
    whole = Diary(plans=(*whole.plans, kneecap), entries=(*whole.entries, stand, walked))
    found = list(codings(bundle(whole, snomed=True)))
    loinc = {one["code"] for one in found if one["system"] == LOINC}
    snomed = {one["code"] for one in found if one["system"] == SNOMED}
    assert loinc == {"72514-3", "66247-8", "93125-3"}
    assert snomed == {"239873007", "430725003", "6757004", "82169009"}
    assert all(map(luhn_holds, loinc))
    assert all(map(verhoeff_holds, snomed))
    assert DISCOURAGED not in write_bundle(whole)
    quantities = {one["code"] for one in found if one["system"] == "http://unitsofmeasure.org"}
    assert quantities == {"{score}", "{#}/(30.s)", "min", "{steps}"}


def test_the_knee_has_its_code() -> None:
    """SNOMED CT: 6757004 is the right knee, 82169009 the left one."""
    codes: dict[Side, str] = {"right": "6757004", "left": "82169009"}
    for side, code in codes.items():
        plan = dataclasses.replace(small_plan(), side=side, main_side=side)
        of_one_day = diary_of(page(1, side=side, pain_average=4), plan=plan)
        one = pains(bundle(of_one_day, snomed=True))[0]
        assert one["bodySite"]["coding"] == [{"system": SNOMED, "code": code}]
        assert pains(bundle(of_one_day))[0]["bodySite"] == {"text": f"{side} knee"}


def test_no_snomed_ct_where_it_is_not_asked_for() -> None:
    """Contract: SNOMED CT codes only with --snomed. A FHIR reader takes the words all the same."""
    whole = full_diary()
    assert not [one for one in codings(bundle(whole)) if one["system"] == SNOMED]
    for one in resources(bundle(whole), "Condition"):
        assert one["code"] == {"text": "worn knee (osteoarthritis)"}
    Bundle.model_validate(bundle(whole))
    Bundle.model_validate(bundle(whole, snomed=True))


@pytest.mark.parametrize(("arms", "code"), [(False, "66247-8"), (True, "93125-3")])
def test_a_chair_stand_with_arms_has_the_code_of_the_modified_test(arms: bool, code: str) -> None:
    """loinc.org, 66247-8: with arms, report 93125-3. Example unit there: {#}/(30.s)."""
    stand = Measurement(
        id=an_id(1),
        for_day=at(0, 1).date(),
        written_at=at(0, 11),
        written_by="clinic",
        plan_version=1,
        count=9,
        arms_used=arms,
    )
    one = resources(bundle(diary_of(stand)), "Observation")[0]
    assert one["code"]["coding"][0]["code"] == code
    assert one["valueQuantity"] == {
        "value": 9,
        "unit": "{#}/(30.s)",
        "system": "http://unitsofmeasure.org",
        "code": "{#}/(30.s)",
    }


# ---------------------------------------------------------------- when, and what is absent


def by_method(made: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {one["method"]["text"]: one for one in pains(made)}


def test_a_score_of_the_day_has_a_day_and_pain_now_a_moment() -> None:
    made = by_method(
        bundle(diary_of(page(1, form="full", pain_now=3, pain_average=4, pain_worst=7)))
    )
    assert made["average of the day"]["effectiveDateTime"] == "2026-03-02"
    assert made["worst of the day"]["effectiveDateTime"] == "2026-03-02"
    assert made["now"]["effectiveDateTime"] == "2026-03-02T20:00:00+01:00"
    assert {one["issued"] for one in made.values()} == {"2026-03-02T20:00:00+01:00"}


def test_pain_now_keeps_its_moment_when_something_else_is_corrected_later() -> None:
    first = page(1, form="full", pain_now=3, pain_average=4)
    later = page(
        2,
        day=1,
        for_day=first.for_day,
        replaces=first.id,
        form="full",
        pain_now=3,
        pain_average=5,
    )
    made = by_method(bundle(diary_of(first, later)))
    assert made["now"]["effectiveDateTime"] == "2026-03-02T20:00:00+01:00"
    changed = dataclasses.replace(later, pain_now=4)
    assert by_method(bundle(diary_of(first, changed)))["now"]["effectiveDateTime"] == "2026-03-02"


def test_what_was_asked_and_left_out_says_so_and_what_was_not_asked_is_not_there() -> None:
    short = by_method(bundle(diary_of(page(1, pain_average=4))))
    assert short["average of the day"]["valueQuantity"]["value"] == 4
    assert "valueQuantity" not in short["worst of the day"]
    assert short["worst of the day"]["dataAbsentReason"]["coding"][0]["code"] == "unknown"
    assert "now" not in short
    paper = by_method(bundle(diary_of(page(1, written_by="paper", form="full", pain_worst=0))))
    assert list(paper) == ["worst of the day"]
    assert paper["worst of the day"]["valueQuantity"]["value"] == 0


def test_scores_of_a_session_have_the_moment_it_began_or_ended() -> None:
    session = Session(
        id=an_id(1),
        for_day=at(0, 1).date(),
        written_at=at(0, 19),
        written_by="helper",
        plan_version=1,
        side="right",
        happened_at=at(0, 18),
        ended_at=at(0, 18, 40),
        moves=(
            MoveScore(role="before", score=7),
            MoveScore(role="after_hands", score=5, same_depth=False),
            MoveScore(role="after_tape", score=3, stage=2, same_depth=True),
        ),
        ended="finished",
    )
    made = by_method(bundle(diary_of(session)))
    assert [(one["valueQuantity"]["value"], one["effectiveDateTime"]) for one in made.values()] == [
        (7, "2026-03-02T18:00:00+01:00"),
        (5, "2026-03-02T18:40:00+01:00"),
        (3, "2026-03-02T18:40:00+01:00"),
    ]
    assert "in the check move, after tape of stage 2" in made
    notes = ["note" in one for one in made.values()]
    assert notes == [False, True, False]
    assert made["in the check move, before"]["performer"] == [{"display": "a helper"}]


def test_an_offset_fhir_does_not_know_is_told_in_utc() -> None:
    """FHIR R4, dateTime: offsets end at 14:00."""
    far = timezone(timedelta(hours=15))
    written = datetime(2026, 3, 2, 20, tzinfo=far)
    one = pains(bundle(diary_of(page(1, written_at=written, pain_average=1))))[0]
    assert one["issued"] == "2026-03-02T05:00:00+00:00"


# ---------------------------------------------------------------- corrections


def test_a_correction_amends_the_same_resource_and_says_where_it_comes_from() -> None:
    first = page(1, pain_average=4, pain_worst=7)
    before = by_method(bundle(diary_of(first)))
    second = page(2, day=1, for_day=first.for_day, replaces=first.id, pain_average=5, pain_worst=7)
    made = bundle(diary_of(first, second))
    sound(made)
    after = by_method(made)
    assert {one["status"] for one in before.values()} == {"final"}
    assert {one["status"] for one in after.values()} == {"amended"}
    assert {key: one["id"] for key, one in before.items()} == {
        key: one["id"] for key, one in after.items()
    }
    assert after["average of the day"]["valueQuantity"]["value"] == 5
    (provenance,) = resources(made, "Provenance")
    assert {one["reference"] for one in provenance["target"]} == {
        f"urn:uuid:{one['id']}" for one in after.values()
    }
    assert provenance["recorded"] == "2026-03-03T20:00:00+01:00"
    assert [one["what"]["identifier"]["value"] for one in provenance["entity"]] == [first.id]


def test_a_value_that_a_correction_took_back_is_said_to_be_an_error() -> None:
    first = page(1, form="full", pain_now=3, pain_average=4)
    second = page(2, hour=21, replaces=first.id, pain_average=4)
    made = bundle(diary_of(first, second))
    sound(made)
    (gone,) = (one for one in resources(made) if one.get("status") == "entered-in-error")
    assert gone["method"]["text"] == "now"
    assert gone["id"] == by_method(bundle(diary_of(first)))["now"]["id"]


def test_a_page_chosen_over_another_of_its_day_names_that_other() -> None:
    early, late = page(1, hour=19, pain_average=4), page(2, hour=21, pain_average=6)
    made = bundle(diary_of(early, late))
    sound(made)
    assert [one["valueQuantity"]["value"] for one in pains(made) if "valueQuantity" in one] == [6]
    (provenance,) = resources(made, "Provenance")
    assert [one["what"]["identifier"]["value"] for one in provenance["entity"]] == [early.id]


def test_a_page_that_was_moved_to_its_right_day_is_no_rival_on_the_wrong_one() -> None:
    """It counts, under its own day; over it nothing was chosen."""
    wrong_day = page(1, hour=19, pain_average=4)
    moved = dataclasses.replace(
        page(3, hour=22, pain_average=4),
        replaces=wrong_day.id,
        for_day=wrong_day.for_day - timedelta(days=1),
    )
    right_day = page(2, hour=21, pain_average=6)
    made = bundle(diary_of(wrong_day, right_day, moved))
    sound(made)
    histories = [
        {one["what"]["identifier"]["value"] for one in provenance["entity"]}
        for provenance in resources(made, "Provenance")
    ]
    assert histories == [{wrong_day.id}], "told once, of the page that was moved"


def test_without_a_correction_there_is_no_provenance() -> None:
    assert resources(bundle(diary_of(page(1, pain_average=4))), "Provenance") == []


# ---------------------------------------------------------------- what stays at home


def test_the_person_is_a_code_and_no_note_leaves() -> None:
    spoken = "Évie came by"
    made = full_diary()
    private = page(60, day=8, pain_average=2, note="only for me", note_private=True)
    text = write_bundle(Diary(plans=made.plans, entries=(*made.entries, private)))
    (patient,) = resources(json.loads(text), "Patient")
    assert set(patient) == {"resourceType", "id", "identifier"}
    assert [one["value"] for one in patient["identifier"]] == ["K-07"]
    for words in (spoken, "only for me", "quay steps", "kneel in the boat", "1951"):
        assert words not in text


def test_two_people_with_one_code_are_two_patients() -> None:
    """Codes are each clinic's own."""
    other = dataclasses.replace(small_plan(), written_on=date(2025, 3, 2))
    one, two = (resources(bundle(Diary(plans=(p,))), "Patient") for p in (small_plan(), other))
    assert one[0]["identifier"] == two[0]["identifier"]
    assert one[0]["id"] != two[0]["id"]


# ---------------------------------------------------------------- plans and skin


def test_steps_and_codes_are_told_in_the_words_the_clinic_reads() -> None:
    """By their title in the content and by the one table of their codes, never the code itself."""
    plan = demo("edda").plan
    made = bundle(Diary(plans=(plan,)))
    details = [
        detail["detail"]["description"]
        for plan in resources(made, "CarePlan")
        for detail in plan["activity"]
        if "description" in detail["detail"]
    ]
    keys = [one.technique for one in plan.techniques] + [one.exercise for one in plan.exercises]
    for key in keys:
        assert any(TITLES[key] in words for words in details), key
    stairs = page(1, form="full", stairs="one_at_a_time", swelling="much", last_fortnight="worse")
    said = {
        one["code"]["text"]: one["valueCodeableConcept"]["text"]
        for one in resources(bundle(diary_of(stairs)), "Observation")
        if "valueCodeableConcept" in one
    }
    assert said == {
        "How stairs went": "one step at a time",
        "Swelling of the knee": "a lot",
        "The two weeks before the start, against what is usual": "worse than usual",
    }


def test_a_step_that_is_no_longer_in_the_content_is_told_by_its_name() -> None:
    plan = demo("edda").plan
    gone = dataclasses.replace(plan.techniques[0], technique="rolling_of_old")
    made = bundle(Diary(plans=(dataclasses.replace(plan, techniques=(gone,)),)))
    assert "rolling of old" in str(resources(made, "CarePlan")[0]["activity"])


def test_each_plan_version_is_a_care_plan_that_replaces_the_one_before() -> None:
    first, second = resources(bundle(full_diary()), "CarePlan")
    assert (first["status"], second["status"]) == ("draft", "active")
    assert second["replaces"] == [{"reference": f"urn:uuid:{first['id']}"}]
    assert first["period"]["end"] == second["period"]["start"] == "2026-03-09"
    named = {detail["detail"]["code"]["text"]: detail["detail"] for detail in second["activity"]}
    assert set(named) == {"hands-on routine", "exercises", "elastic tape", "review"}
    repeat = {"frequency": 5, "period": 1, "periodUnit": "wk"}
    assert named["exercises"]["scheduledTiming"]["repeat"] == repeat
    assert len(second["addresses"]) == 2
    other = dataclasses.replace(small_plan(), reason="other")
    made = bundle(Diary(plans=(other,)))
    assert resources(made, "Condition") == []
    assert "addresses" not in resources(made, "CarePlan")[0]


def test_skin_that_tape_broke_is_an_adverse_event_of_its_knee() -> None:
    off = TapeOff(
        id=an_id(1),
        for_day=at(2, 1).date(),
        written_at=at(2, 19),
        written_by="person",
        plan_version=1,
        side="right",
        happened_at=at(2, 18),
        skin_at_once="blister",
        skin_after_30_min="blister",
    )
    (event,) = resources(bundle(diary_of(off)), "AdverseEvent")
    assert event["event"]["text"] == "skin blister under tape on the right knee"
    assert event["date"] == "2026-03-04T18:00:00+01:00"
    assert event["recordedDate"] == "2026-03-04T19:00:00+01:00"
    calm = dataclasses.replace(off, skin_at_once="pink", skin_after_30_min="clear")
    assert resources(bundle(diary_of(calm)), "AdverseEvent") == []
    felt = dataclasses.replace(calm, felt=("itch", "pain"))
    assert [one["event"]["text"] for one in resources(bundle(diary_of(felt)), "AdverseEvent")] == [
        "itch from tape on the right knee, taken off for it",
        "pain from tape on the right knee, taken off for it",
    ]


def test_pain_on_an_outing_is_told() -> None:
    outing = Outing(
        id=an_id(1),
        for_day=at(0, 1).date(),
        written_at=at(0, 19),
        written_by="person",
        plan_version=1,
        happened_at=at(0, 15),
        what_for="Market",
        knees=(OutingKnee(side="left"), OutingKnee(side="right", pain_worst=6)),
    )
    (one,) = pains(bundle(diary_of(outing)))
    assert one["valueQuantity"]["value"] == 6
    assert one["effectiveDateTime"] == "2026-03-02T15:00:00+01:00"
    told = dataclasses.replace(outing.knees[0], pain_worst=2)
    both = dataclasses.replace(outing, knees=(told, outing.knees[1]))
    assert [one["valueQuantity"]["value"] for one in pains(bundle(diary_of(both)))] == [2, 6]
