"""What is reminded of, when, and under which key."""

from dataclasses import replace

import pytest

from companion.presentation.home.front import front_view
from companion.presentation.home.reminders import again_at, reminders
from companion.services.front import front
from tests.builders import at, page, patch_test, tape_off, tape_on, warning
from tests.care.test_trial_days import first, trial_of
from tests.care.walking import CATALOGUE, taught_plan
from tests.presentation.wording import faults
from tests.services.conftest import Keep
from tests.services.context_for_tests import HandClock, Kept


def keys(kept: Kept) -> list[str]:
    return [one.key.split(":")[0] for one in reminders(front(kept.context))]


def test_nothing_by_day_but_what_is_due_off(keep: Keep) -> None:
    kept = keep(tape_on(at(0, 9)), clock=HandClock(at(0, 12)))
    assert keys(kept) == []
    kept.clock.set(at(1, 9))  # the first wear is due after 24 hours
    assert keys(kept) == ["tape_due"]
    due = reminders(front(kept.context))[0].key
    kept.clock.pass_by(hours=3)
    assert reminders(front(kept.context))[0].key == due, "the same due time is one reminder"
    kept.clock.set(at(6, 9))
    assert keys(kept) == ["tape_over_cap"]


def test_the_skin_look_comes_when_it_is_due_and_goes_with_the_day(keep: Keep) -> None:
    kept = keep(
        tape_on(at(0, 9)), tape_off(at(0, 12), skin_at_once="pink"), clock=HandClock(at(0, 12, 20))
    )
    assert keys(kept) == []
    kept.clock.set(at(0, 12, 30))
    assert keys(kept) == ["skin_look"]
    kept.clock.set(at(1, 13))
    assert "skin_look" not in keys(kept)


@pytest.mark.parametrize(
    ("hour", "expected"), [(18, []), (19, ["routine", "day"]), (23, ["routine", "day"]), (26, [])]
)
def test_the_evening_asks_for_what_is_open(hour: int, expected: list[str], keep: Keep) -> None:
    kept = keep(clock=HandClock(at(0, 0)))
    kept.clock.pass_by(hours=hour)
    assert keys(kept) == expected


def test_what_is_written_or_locked_is_not_asked_for(keep: Keep) -> None:
    evening = HandClock(at(0, 20))
    assert keys(keep(page(0, pain_average=3), clock=evening)) == ["routine"]
    assert keys(keep(warning(0, "fever"), clock=evening)) == ["day"]
    assert keys(keep(with_plan=False, clock=evening)) == []


def test_with_two_knees_the_sentence_says_which_and_the_door_asks(keep: Keep) -> None:
    kept = keep(
        tape_on(at(-3, 9), side="left"), plan=taught_plan(side="both"), clock=HandClock(at(0, 20))
    )
    tape, routine, _ = reminders(front(kept.context))
    assert "left knee" in tape.sentence
    assert (tape.door.name, tape.door.side) == ("tape", "left")
    assert (routine.door.name, routine.door.side) == ("routine", None)


def test_a_tape_day_without_tape_is_reminded_of_by_day_and_once(keep: Keep) -> None:
    day = first("tape", 1)
    plan = taught_plan(trial=trial_of())
    kept = keep(page(day, written_at=at(day, 6)), plan=plan, clock=HandClock(at(day, 7)))
    assert keys(kept) == []
    kept.clock.set(at(day, 8))
    (told,) = reminders(front(kept.context))
    assert (told.door.name, told.door.side, told.walks) == ("tape", "right", ("tape_on",))
    assert faults([told.sentence, told.go]) == []
    kept.clock.pass_by(hours=4)
    assert reminders(front(kept.context)) == (told,)
    kept.context.journal.append(tape_on(at(day, 12)))
    assert keys(kept) == []
    bare = keep(plan=plan, clock=HandClock(at(first("bare", 0), 12)))
    assert keys(bare) == []


def test_every_sentence_keeps_to_the_wording_rules(keep: Keep) -> None:
    kept = keep(
        tape_on(at(-9, 9), side="left"),
        tape_on(at(-2, 9)),
        tape_off(at(0, 18), skin_at_once="pink"),
        plan=taught_plan(side="both"),
        clock=HandClock(at(0, 20)),
    )
    found = reminders(front(kept.context))
    assert len(found) == 4
    assert faults([line for one in found for line in (one.sentence, one.go)]) == []


def test_a_clock_behind_the_newest_entry_is_said_in_plain_words(keep: Keep) -> None:
    kept = keep(page(3), clock=HandClock(at(0, 20)))
    said = front_view(front(kept.context), lambda: CATALOGUE).lines[-2:]
    assert "behind your last entry" in said[0]
    assert faults(said) == []
    facts = replace(front(kept.context), last_written_at=at(0, 20, 9))
    assert not facts.clock_is_behind


def test_what_is_not_done_comes_again_and_past_the_cap_each_quarter(keep: Keep) -> None:
    """ "Later" was never."""
    kept = keep(tape_on(at(0, 9)), clock=HandClock(at(1, 10)))
    (tape,) = reminders(front(kept.context))
    assert again_at(tape, 1, at(1, 10)) == at(1, 10, 15)
    assert again_at(tape, 2, at(1, 10, 15)) == at(1, 21, 30)
    assert again_at(tape, 3, at(1, 21, 30)) == at(2, 8)
    kept.clock.set(at(6, 9))
    (tape,) = reminders(front(kept.context))
    assert again_at(tape, 9, at(6, 9)) == at(6, 9, 15)


def test_a_look_at_a_test_piece_is_reminded_of_by_day(keep: Keep) -> None:
    plan = taught_plan({"patch_test": "at_home"})
    kept = keep(patch_test(at(0, 7)), page(1), plan=plan, clock=HandClock(at(1, 7, 30)))
    assert keys(kept) == []
    kept.clock.set(at(1, 8))
    (look,) = reminders(front(kept.context))
    assert (look.door.name, look.walks) == ("patch", ("patch_reading",))
    assert faults([look.sentence, look.go]) == []


def test_the_visit_is_said_on_the_day_before_and_on_its_day(keep: Keep) -> None:
    """No page said when it is, not even the day before."""
    kept = keep(page(54, pain_average=3), clock=HandClock(at(54, 9)))
    assert "visit" not in keys(kept)
    for day in (55, 56):
        kept.clock.set(at(day, 9))
        told = next(one for one in reminders(front(kept.context)) if one.door.name == "visit")
        rows = front_view(front(kept.context), lambda: CATALOGUE).today
        (word,) = (row.door.word for row in rows if row.door.name == "visit")
        assert told.sentence.startswith(word)
        assert faults([told.sentence, told.go]) == []
    kept.clock.set(at(57, 9))
    assert "visit" not in keys(kept)
