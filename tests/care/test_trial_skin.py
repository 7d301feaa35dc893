"""Whether the last two wears ended with clear skin, as a tape trial asks."""

from typing import Any

import pytest

from companion.care.records import AnyEntry
from companion.care.trial_skin import trial_skin
from tests.builders import at, tape_off, tape_on


def wear(day: int, skin: str | None = "clear", again: str | None = None, **on: Any) -> list[Any]:
    """Tape on in the evening and off two days later, the skin as given."""
    put = tape_on(at(day), **on)
    off = tape_off(
        at(day + 2), tape_on=put.id, side=put.side, skin_at_once=skin, skin_after_30_min=again
    )
    return [put, off]


@pytest.mark.parametrize(
    ("entries", "shown"),
    [
        ([], "too_few"),
        (wear(0), "too_few"),
        ([*wear(0), *wear(4)], "clear"),
        ([*wear(0, again="clear"), *wear(4, again="clear")], "clear"),
        # The last two count, not any two.
        ([*wear(0, "red"), *wear(4), *wear(8)], "clear"),
        ([*wear(0), *wear(4), *wear(8, "red")], "not_clear"),
        ([*wear(0, "pink"), *wear(4)], "not_clear"),
        ([*wear(0, again="red"), *wear(4)], "not_clear"),
        # Nobody looked.
        ([*wear(0, None), *wear(4)], "not_clear"),
        ([*wear(0, "red")], "not_clear"),
        # Nobody wrote that it came off: tape was put on again.
        ([*wear(0), tape_on(at(4)), *wear(8)], "not_clear"),
        # It is still on: that wear has not ended.
        ([*wear(0), *wear(4), tape_on(at(8))], "clear"),
        # Another make, another knee.
        ([*wear(0, make="Fern 50"), *wear(4)], "too_few"),
        ([*wear(0, side="left"), *wear(4)], "too_few"),
        ([*wear(0, make=" SLATE 50 "), *wear(4)], "clear"),
    ],
)
def test_what_the_skin_has_shown(entries: list[AnyEntry], shown: str) -> None:
    assert trial_skin(entries, "right", "Slate 50") == shown
