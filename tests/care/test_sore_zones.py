"""Where a further round starts, and which soreness opens the stop list."""

from types import SimpleNamespace
from typing import Any

from companion.care.records import HandsRound, StepDone, Zone
from companion.care.sore_zones import opens_stop_list, round_order


def sheet(name: str, *zones: str) -> Any:
    return SimpleNamespace(id=name, zones=zones)


SHEETS = [
    sheet("stroke", "above"),
    sheet("inner", "inner_edge", "inner_joint_line"),
    sheet("outer", "outer_edge"),
]


def last_round(**outcomes: Any) -> HandsRound:
    return HandsRound(
        steps=tuple(StepDone(step=step, outcome=outcome) for step, outcome in outcomes.items())
    )


def test_the_first_round_goes_by_what_is_sore() -> None:
    assert round_order(SHEETS, (), (), None) == ("stroke", "inner", "outer")
    assert round_order(SHEETS, ["outer_edge"], ["outer_edge"], None) == ("outer", "stroke", "inner")


def test_the_next_round_starts_where_it_was_left_out_or_moved_to() -> None:
    done = last_round(stroke="done", inner="done", outer="done")
    moved = round_order(SHEETS, ["inner_edge"], ["inner_edge", "outer_edge"], done)
    assert moved == ("outer", "inner", "stroke")
    skipped = last_round(stroke="done", inner="skipped", outer="done")
    both: tuple[Zone, ...] = ("inner_edge", "outer_edge")
    assert round_order(SHEETS, both, both, skipped) == ("inner", "outer", "stroke")


def test_only_techniques_of_the_plan() -> None:
    assert round_order(SHEETS[:1], (), ["inner_edge"], None) == ("stroke",)


def test_back_of_the_knee_only_if_new() -> None:
    zones: Any = SimpleNamespace(
        zones=[
            SimpleNamespace(id="above", stop_list_if_new=False),
            SimpleNamespace(id="back_of_knee", stop_list_if_new=True),
        ]
    )
    assert opens_stop_list(["back_of_knee", "above"], [], zones) == ("back_of_knee",)
    assert opens_stop_list(["back_of_knee"], ["back_of_knee"], zones) == ()
    assert opens_stop_list(["above"], [], zones) == ()
