"""A rash where the test piece was, days after both looks: from the tape door to no tape."""

from __future__ import annotations

from pathlib import Path

from companion.care.records import PatchTest
from companion.ui.kit.window import PageWindow
from tests.builders import DAY, at, patch_test
from tests.care.walking import taught_plan
from tests.tour_visit import settle
from tests.ui.home.bad_days import begun
from tests.ui.kit import accessibility, clipping


def test_a_late_rash_can_be_said_at_the_tape_door_and_keeps_tape_off(
    window: PageWindow, tmp_path: Path
) -> None:
    """Contact allergy may show days later (fact: patch_test_week), from memory."""
    clear = patch_test(
        at(-5, 9),
        first_read_at=at(-4, 10),
        first_skin="clear",
        second_read_at=at(-3, 10),
        second_skin="clear",
    )
    plan = taught_plan(
        {"when": "always", "highest": 1, "make": "Slate 50", "patch_test": "at_home"},
        written_on=at(-6).date(),
    )
    visit = begun(tmp_path / "diary", window, clear, plan=plan, day=DAY)
    visit.through("tape")
    assert visit.key == "tape_choice"
    for press, key in (
        ("Look where the test piece was", "patch_clear"),
        ("The skin is not clear now", "look:1"),
    ):
        settle()
        assert clipping.faults(visit.page) + accessibility.faults(visit.page) == []
        visit.answer(press=press)
        assert visit.key == key
    visit.answer({"skin": "itchy"})
    assert "No tape of this make: Slate 50." in visit.words
    assert [test.second_skin for test in visit.written(PatchTest)] == ["clear", "itchy"]
    visit.front_again()
    visit.through("tape")
    assert "The skin was not clear on Monday 2 March" in visit.words
    visit.leave()
