"""What is stored of the figures belongs to the poses and sheets of today, and is small."""

from __future__ import annotations

import gzip
import json
from typing import Any, get_args

import pytest

from companion.care.catalogue import ExerciseSheet, TechniqueSheet
from companion.picture.stored import points_of
from tests.care.content import CATALOGUE
from tests.figure_tool.body import BODIES, Sex
from tests.figure_tool.knees import EYES, MOVING, figures, ground_digest, keys_of, layouts, posed
from tests.figure_tool.people import sheets
from tests.figure_tool.scene import digest, packed
from tests.figure_tool.skins import SKINS, skin_names
from tests.figure_tool.source import READ, pinned
from tests.figure_tool.stored import OUT, moved, stored
from tests.figure_tool.tape_hands import tape_hands

STORED = stored()
PAD_MM, PALM_MM, DEEPEST_MM = 3.0, 12.0, 4.0
SEATED = {
    "long": "sitting_leg_straight",
    "upright": "sitting_leg_straight",
    "bent": "sitting_knee_bent",
}
MOST_BYTES, MOST_OF_ALL = 6 * 1024, 5 * 1024 * 1024


def test_every_figure_was_drawn_from_the_pose_that_is_stored_beside_the_tool() -> None:
    poses = {name: path.read_text("utf-8") for name, path in sheets().items()}
    panels = {
        f"{name}_{sex}_{i}": digest(text)
        for name, text in poses.items()
        for sex in get_args(Sex)
        for i in range(1, len(json.loads(text)["panels"]) + 1)
    }
    knees = {
        name: digest(json.dumps(posed(path, body))) for name, (path, body) in figures().items()
    }
    hands = {f"{name}_1": digest(path.read_text("utf-8")) for name, path in tape_hands().items()}
    skins = dict.fromkeys(skin_names(), digest(SKINS.read_text("utf-8")))
    grounds = {
        f"{by}_{seat}_{body}": ground_digest(by, seat, body) for by, seat in EYES for body in BODIES
    }
    drawn = {name: one["pose"] for name, one in STORED.items()}
    assert drawn == panels | knees | hands | skins | grounds


@pytest.mark.parametrize("body", BODIES)
def test_each_named_digit_touches_its_landmark_and_none_sinks_in(body: str) -> None:
    """On every body, measured on the drawn skin when it was drawn; measured anew where the data
    are."""
    wrong = []
    for name, (path, whose) in figures().items():
        if whose != body:
            continue
        told, measured = posed(path, body), STORED[name]["contacts"]
        if told.get("lifted"):
            assert not measured
            continue
        named = {f"{pad}.{side}" for side, hand in told["hands"].items() for pad in hand["touch"]}
        assert named | {f"deepest.{side}" for side in told["hands"]} == set(measured)
        wrong += [
            (name, what, value) for what, value in measured.items() if not _holds(what, value)
        ]
    assert not wrong


def _holds(what: str, value: float) -> bool:
    if what.startswith("deepest"):
        return value >= -DEEPEST_MM
    return value <= (PALM_MM if what.startswith("palm") else PAD_MM)


@pytest.mark.parametrize("body", BODIES)
def test_every_technique_is_drawn_on_every_body_and_moves_on_two(body: str) -> None:
    for sheet in CATALOGUE.techniques:
        for seen in ("own", "helper"):
            keys = keys_of(body)[f"{seen}_{sheet.id}"]
            stored = [STORED[f"{seen}_{sheet.id}_{body}_{n}"] for n in range(1, len(keys) + 1)]
            assert {one["build"] for one in stored} == {BODIES[body].sex}
            assert all(("onward" in one) == (body in MOVING and len(keys) > 1) for one in stored)


@pytest.mark.parametrize("name", tape_hands())
def test_each_hand_that_lays_tape_touches_its_place(name: str) -> None:
    """As those of the techniques; what holds a strip is held apart by the strip."""
    measured = STORED[f"{name}_1"]["contacts"]
    assert [one for one in measured.items() if not _holds(*one)] == []


@pytest.mark.parametrize("seen", ["own", "helper"])
@pytest.mark.parametrize("sheet", CATALOGUE.techniques, ids=lambda sheet: sheet.id)
def test_a_technique_is_drawn_with_the_hands_its_words_name(
    sheet: TechniqueSheet, seen: str
) -> None:
    told = json.loads(layouts()[f"{seen}_{sheet.id}_1"].read_text("utf-8"))
    pads = {side: set(hand["touch"]) for side, hand in told["hands"].items()}
    assert sheet.posture == SEATED[told["seat"]]
    match sheet.contact:
        case "thumbs":
            assert pads == {"R": {"thumb"}, "L": {"thumb"}}
        case "flat_hand":
            assert list(pads.values()) == [{"palm"}]
        case "finger_pads":
            assert set.union(*pads.values()) == {"index", "middle"}
        case "thumb_and_fingers":
            assert {"thumb", "index"} <= set.union(*pads.values())


@pytest.mark.parametrize("seen", ["own", "helper"])
@pytest.mark.parametrize(
    ("name", "begins", "ends"),
    [("inner", 180, 360), ("outer", 180, 0)],
)
def test_a_glide_goes_from_the_lower_to_the_upper_end_on_its_own_side(
    name: str, begins: float, ends: float, seen: str
) -> None:
    """Of the kneecap's edge 0 is the upper end, 90 the outer, 180 the lower, 270 the inner one."""
    rims = []
    lead = f"{seen}_glide_{name}_edge"
    keys = [one for one in layouts() if one.rpartition("_")[0] == lead]
    assert len(keys) > 4
    for key in keys:
        told = json.loads(layouts()[key].read_text("utf-8"))
        if told.get("lifted"):
            continue
        (rim,) = {hand["touch"]["thumb"]["rim"] for hand in told["hands"].values()}
        assert min(begins, ends) < rim < max(begins, ends)
        rims.append(rim)
    assert abs(rims[0] - begins) < 45
    assert abs(rims[-1] - ends) < 45
    assert rims in (sorted(rims), sorted(rims, reverse=True))


@pytest.mark.parametrize("seen", ["own", "helper"])
def test_hands_move_in_the_order_their_words_say(seen: str) -> None:
    """First to the inner side, then to the outer; first towards the foot, then towards the hip;
    on the inner side of the thigh first. Of a right knee the inner side is at -x, the hip at +y."""
    words = {sheet.id: sheet.steps[1].person for sheet in CATALOGUE.techniques}
    for name, axis, first, then in (
        ("ease_across", 0, "inner side", "outer side"),
        ("ease_up_and_down", 1, "towards the foot", "towards the hip"),
    ):
        assert words[name].index(first) < words[name].index(then)
        told = json.loads(layouts()[f"{seen}_{name}_1"].read_text("utf-8"))
        line = [spot[axis] for spot in told["sway"]["line"] if spot[axis]]
        assert line == sorted(line)
        assert line[0] < 0 < line[-1]
    assert words["stroke_thigh"].index("inner side") < words["stroke_thigh"].index("outer side")
    across = [
        json.loads(layouts()[f"{seen}_stroke_thigh_{n}"].read_text("utf-8"))["hands"]
        for n in (2, 4)
    ]
    inner, outer = (
        next(hand["touch"]["palm"]["at"][0] for hand in hands.values()) for hands in across
    )
    assert inner < 0 < outer


@pytest.mark.parametrize("seen", ["own", "helper"])
def test_where_the_words_say_find_it_is_drawn(seen: str) -> None:
    finds = {sheet.id for sheet in CATALOGUE.techniques if sheet.steps[0].verb == "Find"}
    drawn = [one for one in layouts() if one.startswith(seen) and one.endswith("_find_1")]
    assert {one.removeprefix(f"{seen}_").removesuffix("_find_1") for one in drawn} == finds


@pytest.mark.parametrize("sheet", CATALOGUE.exercises, ids=lambda sheet: sheet.id)
def test_each_step_of_an_exercise_has_its_panel_in_order(sheet: ExerciseSheet) -> None:
    name, steps = sheet.id, sheet.steps
    for sex in get_args(Sex):
        shown = [
            step
            for number in range(1, len(steps) + 1)
            for step in STORED.get(f"{name}_{sex}_{number}", {}).get("steps", [])
        ]
        assert shown == list(range(1, len(steps) + 1))


def test_a_still_is_at_most_6_kb_compressed_and_all_are_small() -> None:
    sizes = {name: len(gzip.compress((OUT / f"{name}.json").read_bytes())) for name in STORED}
    assert {name: size for name, size in sizes.items() if size > MOST_BYTES} == {}
    assert sum(sizes.values()) < MOST_OF_ALL


def test_the_licence_stands_beside_the_figures() -> None:
    text = (OUT / "LICENCE.txt").read_text("utf-8")
    assert "CC0 1.0 Universal" in text


def test_the_package_is_pinned_by_version_and_hash_and_little_of_it_may_be_read() -> None:
    name, digest_of_file = pinned()
    assert "==" in name
    assert len(digest_of_file) == 64
    assert not any(one.endswith((".py", ".pth", ".npz", "mpfb2/")) for one in READ)


def test_packed_points_are_read_back_as_they_were() -> None:
    import numpy as np

    line = np.array([[0, 0], [-3, 1600], [1599, -1], [40, 40], [39, 41]], float)
    assert points_of(packed(line)) == tuple(complex(x, y) for x, y in line.tolist())


def test_a_point_that_moved_is_told_and_a_line_that_came_too() -> None:
    still: dict[str, Any] = {"size": [9, 9], "items": [["s", "inner", "x", "??CC"]]}
    other = {"size": [9, 9], "items": [["s", "inner", "x", "??CI"]]}
    more = {"size": [9, 9], "items": [*still["items"], ["s", "inner", "y", "??CC"]]}
    assert moved(still, still) == 0
    assert moved(still, other) == 3
    assert moved(still, more) == float("inf")


@pytest.mark.parametrize("body", BODIES)
def test_what_is_said_of_the_hands_is_what_they_were_posed_on(body: str) -> None:
    """`own_glide_inner_edge_1` touches the inner edge, with the digits its layout names."""
    for name, (path, whose) in figures().items():
        if whose != body:
            continue
        told, said = posed(path, body), STORED[name]["touch"]
        named = [[side, pad] for side, hand in told["hands"].items() for pad in hand["touch"]]
        if told.get("lifted"):
            named = []
        assert [one[:2] for one in said] == named
        for edge in ("inner", "outer", "upper"):
            if f"glide_{edge}" in name:
                assert all(edge in place for _, _, place in said)
        assert all(line[3:] for line in STORED[name]["items"])
        assert len(STORED[name]["ways"]) == len(told.get("arrows", []))
