"""Of the plans in a store a signed one is in force, whatever else nobody signed."""

from dataclasses import replace
from pathlib import Path

from companion.journal.store import Journal
from companion.wire.sign_off import signed
from tests.builders import at, small_plan
from tests.services.context_for_tests import HandClock


def test_a_signed_plan_is_in_force_whatever_nobody_signed(tmp_path: Path) -> None:
    """Nobody's draft locks a signed plan out, and it gives way to a signed one of its number."""
    drafts = [small_plan(version=number) for number in (1, 2, 3)]
    with Journal.open(tmp_path / "diary", HandClock(at(1))) as journal:
        journal.append(plans=drafts)
        assert journal.plan_in_force() == drafts[2]
        assert [*journal.versions] == [1, 2, 3]
        first, second = (
            signed(replace(drafts[number], rounds=3), "R. Vane", "PT 4711", at(0))
            for number in (0, 1)
        )
        journal.append(plans=(first,))
        assert journal.plan_in_force() == first
        journal.append(plans=(second,))
        journal.append(plans=(drafts[1],))
        assert journal.plan_in_force() == second
        assert [*journal.versions] == [1, 2]
        assert journal.plans() == (first, second, drafts[2])
        assert journal.diary().plan == second
