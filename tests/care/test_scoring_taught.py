"""Rule 6: five sessions running that begin at 10."""

from companion.care.scoring_taught import ask_about_ten, first_ten_run
from tests.builders import DAY, page, session


def days(*befores: int | None) -> list[object]:
    return [session(day, before) for day, before in enumerate(befores)]


def test_asked_at_the_fifth_and_only_then() -> None:
    assert not ask_about_ten(days(10, 10, 10, 10))  # type: ignore[arg-type]
    assert ask_about_ten(days(10, 10, 10, 10, 10))  # type: ignore[arg-type]
    assert not ask_about_ten(days(10, 10, 10, 10, 10, 10))  # type: ignore[arg-type]
    assert not ask_about_ten(days(10, 10, 10, 10, 10, 4))  # type: ignore[arg-type]
    assert not ask_about_ten(days(*[10] * 5, 4, *[10] * 5))  # type: ignore[arg-type]
    assert not ask_about_ten([])


def test_a_run_is_broken_by_another_score_not_by_an_absent_one() -> None:
    assert not ask_about_ten(days(10, 10, 9, 10, 10, 10, 10))  # type: ignore[arg-type]
    assert ask_about_ten(days(9, 10, 10, None, 10, 10, 10))  # type: ignore[arg-type]
    assert ask_about_ten([page(0), *days(10, 10, 10, 10, 10)])  # type: ignore[list-item]


def test_the_clinic_is_told_when() -> None:
    entries = days(3, *[10] * 7)
    assert first_ten_run(entries) == session(5).for_day  # type: ignore[arg-type]
    assert first_ten_run([session(0, 10)]) is None
    assert (session(5).for_day - DAY).days == 5
