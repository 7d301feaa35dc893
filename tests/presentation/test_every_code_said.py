"""Every code a page may have has its sentence."""

from collections.abc import Collection
from typing import get_args

import pytest

from companion.care import chair_questions, routine
from companion.care.step_limits import StepStop
from companion.care.stop_rules import FullListReason
from companion.evidence.figures import TrialLimitation
from companion.presentation.clinic.trial import _LIMITS
from companion.presentation.home import chair_pages, routine_pages

SAID: list[tuple[str, object, Collection[str]]] = [
    ("hands off", routine.HandsOff, routine_pages._HANDS_OFF),
    ("whole list", FullListReason, routine_pages._LIST_REASONS),
    # Too short a time has said so on a page of its own.
    ("chair stand not now", chair_questions.NotNow, {"short", *chair_pages._NOT_NOW}),
    ("trial limits, clinic", TrialLimitation, _LIMITS),
]


@pytest.mark.parametrize(("codes", "said"), [one[1:] for one in SAID], ids=[one[0] for one in SAID])
def test_every_code_has_its_sentence(codes: object, said: Collection[str]) -> None:
    assert set(get_args(codes)) <= set(said)


def test_every_stop_of_a_step_has_its_sentence() -> None:
    assert set(routine_pages._STEP_STOPS) == {"said", *get_args(StepStop)}
