"""Rule 5: what stops a step."""

from companion.care.step_limits import (
    TAPE_FEELINGS,
    bad_day,
    felt_from_tape,
    hands_today,
    stop_step,
)


def test_a_step_stops_above_the_ceiling() -> None:
    """Pain up to 5 of 10 acceptable, above it high: Ageberg 2010 after Thomee 1997 (F)."""
    assert stop_step(5, 4, ceiling=5, stop_amount=2) is None
    assert stop_step(6, 5, ceiling=5, stop_amount=2) == "above_ceiling"
    assert stop_step(5, None, ceiling=5, stop_amount=2) is None
    assert stop_step(6, None, ceiling=5, stop_amount=2) == "above_ceiling"


def test_a_step_stops_more_than_the_stop_amount_above_rest() -> None:
    assert stop_step(3, 1, ceiling=5, stop_amount=2) is None
    assert stop_step(4, 1, ceiling=5, stop_amount=2) == "above_rest"
    assert stop_step(3, 0, ceiling=5, stop_amount=2) == "above_rest"


def test_no_hands_with_rest_pain_above_the_ceiling() -> None:
    assert hands_today(5, 5)
    assert not hands_today(6, 5)
    assert hands_today(None, 5)


def test_any_feeling_of_the_tape_is_tape_off_now() -> None:
    assert felt_from_tape(()) == ()
    for feeling in TAPE_FEELINGS:
        assert felt_from_tape([feeling]) == (feeling,)
    assert felt_from_tape(["pain", "itch"]) == ("itch", "pain")


def test_easy_days_need_a_mark_and_a_score() -> None:
    assert bad_day(7, 7)
    assert not bad_day(6, 7)
    assert not bad_day(10, None)
    assert not bad_day(None, 0)
    assert bad_day(0, 0)
