"""A policy that is safe and closes the exercise of a stable complaint would be lied to."""

import pytest

from tests.safety_people import PEOPLE, UNSET, Person, simulated, table

DAYS = 14


@pytest.mark.parametrize("person", PEOPLE, ids=lambda person: person.name)
def test_a_stable_complaint_keeps_its_exercise(person: Person) -> None:
    """On nine planned days of ten at least, and without a call (C: what is hoped for)."""
    course = simulated(person, DAYS)
    assert course.did["exercise"] >= 0.9 * DAYS, table([[course]])
    if person is not UNSET:
        assert course.calls <= len(person.on_days), table([[course]])
