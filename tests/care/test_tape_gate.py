"""Rule 7: whether tape may go on today."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from companion.care.records import AnyEntry, PatchTest, Plan
from companion.care.tape_gate import TapeGate, against_today, check, patch_test_state
from tests.builders import DAY, at, patch_test, tape_off, tape_on, warning
from tests.care.content import CATALOGUE, answered, whole_plan

READINGS = CATALOGUE.tape_steps.patch_test.readings
NOW = at(10, 18)


def clear_test(day: int = 0, **fields: Any) -> PatchTest:
    base: dict[str, Any] = {
        "first_read_at": at(day + 1, 10),
        "first_skin": "clear",
        "second_read_at": at(day + 2, 10),
        "second_skin": "clear",
    }
    return patch_test(at(day, 9), **(base | fields))


def gate(*entries: AnyEntry, care_plan: Plan | None = None, **more: Any) -> TapeGate:
    """The gate with what the person says to it."""
    said: dict[str, Any] = {"skin": "clear", "clean": True, "reach": True, "helper_there": False}
    said |= {name: more.pop(name) for name in said.keys() & more.keys()}
    found = check(
        care_plan or whole_plan(), "right", entries, CATALOGUE, now=NOW, today=NOW.date(), **more
    )
    today = against_today(**said, helper_needed=found.helper_needed)
    return replace(found, reasons=(*found.reasons, *today))


def test_open_when_nothing_speaks_against_it() -> None:
    found = gate(clear_test())
    assert (found.allowed, found.reasons) == (True, ())


@pytest.mark.parametrize(
    ("answers", "reason"),
    [
        ({"skin": None}, "skin"),
        ({"skin": "pink"}, "skin"),
        ({"skin": "blister"}, "skin"),
        ({"clean": False}, "not_clean"),
        ({"clean": None}, "not_clean"),
        ({"reach": False}, "reach"),
        ({"reach": None}, "reach"),
    ],
)
def test_what_the_person_says_today(answers: dict[str, Any], reason: str) -> None:
    found = gate(clear_test(), **answers)
    assert found.reasons == (reason,)
    assert not found.allowed


def test_a_helper_makes_up_for_reach() -> None:
    assert gate(clear_test(), reach=False, helper_there=True).allowed


def test_the_plan() -> None:
    test = clear_test()
    assert gate(test, care_plan=whole_plan({"when": "never"})).reasons == ("not_in_plan",)
    assert gate(test, care_plan=whole_plan({"highest": 0})).reasons == ("not_in_plan",)
    for bare, reasons in ((10, ("stay_bare",)), (11, ())):
        care_plan = whole_plan({"stay_bare_from": DAY + timedelta(days=bare)})
        assert gate(test, care_plan=care_plan).reasons == reasons


def test_cautions() -> None:
    test = clear_test()
    assert gate(test, care_plan=whole_plan(cautions=())).reasons == ("caution",)
    allergic = gate(test, care_plan=whole_plan(cautions=answered("adhesive_allergy")))
    assert allergic.reasons == ("caution",)
    assert [one.caution for one in allergic.cautions.blocked] == ["adhesive_allergy"]
    weak = whole_plan(cautions=answered("weak_hands"))
    assert gate(test, care_plan=weak).reasons == ("helper_needed",)
    assert gate(test, care_plan=weak, helper_there=True).allowed
    inflamed = whole_plan(cautions=answered("inflamed_arthritis"))
    assert gate(test, care_plan=inflamed, in_flare=True).reasons == ("caution",)


def test_open_signs_lock() -> None:
    assert gate(clear_test(), warning(9)).reasons == ("locked",)
    skin = warning(9, sign="skin_broken", level="call", sides=("right",))
    assert gate(clear_test(), skin).reasons == ("locked",)
    assert gate(clear_test(), replace(skin, sides=("left",))).allowed


def test_tape_that_is_on_and_rest_after_it() -> None:
    """Rest before the next wear: plan field, default 24 h (C)."""
    on = tape_on(at(8, 10))
    assert gate(clear_test(), on).reasons == ("tape_on",)
    resting = gate(clear_test(), on, tape_off(at(9, 19)))
    assert resting.reasons == ("rest",)
    assert resting.rest_until == at(10, 19)
    rested = gate(clear_test(), on, tape_off(at(9, 18)))
    assert (rested.reasons, rested.rest_until) == ((), None)
    unknown = gate(clear_test(), on, tape_off(None, written_at=at(10, 8)))
    assert unknown.reasons == ("rest",)


def test_every_reason_at_once() -> None:
    found = gate(
        warning(9),
        tape_on(at(9)),
        care_plan=whole_plan(
            {"stay_bare_from": DAY},
            cautions=tuple(one for one in answered("weak_hands") if one.caution != "clot"),
        ),
        skin="red",
        clean=False,
        reach=False,
    )
    assert found.reasons == (
        "stay_bare",
        "locked",
        "caution",
        "patch_test_missing",
        "tape_on",
        "skin",
        "not_clean",
        "reach",
        "helper_needed",
    )


def state(*entries: AnyEntry, make: str | None = "Slate 50", hour: int = 240, **tape: Any) -> str:
    now = at(0, 9) + timedelta(hours=hour)
    return patch_test_state(whole_plan(tape or None), entries, make, now, READINGS)


def test_read_clear_twice() -> None:
    """Looked at after 24 h and again at 48 to 72 h (fact: patch_test_hours)."""
    placed = at(0, 9)
    bare = patch_test(placed)
    once = patch_test(placed, first_read_at=at(1, 9), first_skin="clear")
    assert state() == "missing"
    assert [state(bare, hour=hour) for hour in (1, 23, 24, 47, 50, 73)] == [
        "waiting",
        "waiting",
        "first_reading_due",
        "first_reading_due",
        "first_reading_due",
        "read_too_late",
    ]
    assert [state(once, hour=hour) for hour in (25, 47, 48, 72, 73)] == [
        "waiting",
        "waiting",
        "second_reading_due",
        "second_reading_due",
        "read_too_late",
    ]
    assert state(clear_test()) == "clear"
    assert state(clear_test(second_read_at=at(3, 9))) == "clear"
    assert state(clear_test(second_read_at=at(3, 10))) == "read_too_late"
    assert state(clear_test(second_read_at=at(2, 8)), hour=50) == "second_reading_due"
    assert state(clear_test(first_read_at=at(1, 8)), hour=24) == "first_reading_due"


def test_not_clear_once_is_not_clear() -> None:
    for skin in ("pink", "red", "itchy", "blister", "broken"):
        assert state(clear_test(first_skin=skin)) == "not_clear"
        assert state(clear_test(second_skin=skin)) == "not_clear"
    found = gate(clear_test(second_skin="itchy"))
    assert found.reasons == ("patch_red", "patch_test_not_clear")


def test_the_newest_test_of_the_make_counts_and_a_new_make_starts_again() -> None:
    assert state(clear_test(0), clear_test(4, second_skin="itchy")) == "not_clear"
    assert state(clear_test(0, second_skin="itchy"), clear_test(4)) == "clear"
    assert state(clear_test(), make="Other 50") == "missing"
    assert state(clear_test(), make=None) == "missing"
    assert state(clear_test(), make=" slate 50 ") == "clear"


def test_tolerance_recorded_by_the_clinic() -> None:
    assert state(patch_test(at(0), tolerated_in_clinic=True)) == "clear"
    assert state(patch_test_said := patch_test(at(0))) != "clear"
    assert state(patch_test="tolerated_in_clinic") == "clear"
    assert state(patch_test_said, patch_test="tolerated_in_clinic") == "clear"
    assert state(make="Other 50", patch_test="tolerated_in_clinic") == "missing"
    itchy = clear_test(second_skin="itchy")
    assert state(itchy, patch_test="tolerated_in_clinic") == "not_clear"
