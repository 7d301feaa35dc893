"""What is said of the hands of a picture, from what they were posed for: which digit of which hand
does what, and where. A picture is of a right knee; on a left one the hands change sides."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from typing import Literal

from companion.care.coded import Coded, coded
from companion.care.records import Side
from companion.picture.knee import Named

HandName = Literal["L", "R"]
Digit = Literal["thumb", "index", "middle", "palm"]
Does = Literal[
    "holds", "presses", "draws", "lays", "ends", "rubs", "wets", "steadies", "folds", "wipes",
    "cuts", "keeps", "peels", "sticks",
]  # fmt: skip

DIGITS: dict[Digit, Coded] = {
    "thumb": coded("digit_thumb"),
    "index": coded("digit_index"),
    "middle": coded("digit_middle"),
    "palm": coded("digit_palm"),
}
PLACES: dict[str, Coded] = {
    "upper": coded("place_upper"),
    "upper_outer": coded("place_upper_outer"),
    "outer": coded("place_outer"),
    "lower_outer": coded("place_lower_outer"),
    "lower": coded("place_lower"),
    "lower_inner": coded("place_lower_inner"),
    "inner": coded("place_inner"),
    "upper_inner": coded("place_upper_inner"),
    "band": coded("place_band"),
    "bump": coded("place_bump"),
    "outer_hollow": coded("place_outer_hollow"),
    "inner_hollow": coded("place_inner_hollow"),
    "above": coded("place_above"),
    "thigh_inner": coded("place_thigh_inner"),
    "thigh_outer": coded("place_thigh_outer"),
}
"""Places of a knee as they are named from where a pad lies."""
BESIDE: dict[Named, Coded] = {
    "upper": coded("beside_upper"),
    "upper_outer": coded("beside_upper_outer"),
    "outer": coded("beside_outer"),
    "lower_outer": coded("beside_lower_outer"),
    "lower": coded("beside_lower"),
    "lower_inner": coded("beside_lower_inner"),
    "inner": coded("beside_inner"),
    "upper_inner": coded("beside_upper_inner"),
}
"""Where tape lies, and the hands on it: beside the kneecap, never on it."""
_DOES: dict[Does, Coded] = {
    "holds": coded("does_hold"),
    "presses": coded("does_press"),
    "draws": coded("does_draw"),
    "lays": coded("does_lay"),
    "ends": coded("does_end"),
    "rubs": coded("does_rub"),
    "wets": coded("does_wet"),
    "steadies": coded("does_steady"),
    "folds": coded("does_fold"),
    "wipes": coded("does_wipe"),
    "sticks": coded("does_stick"),
    "cuts": coded("does_cut"),
    "keeps": coded("does_keep"),
    "peels": coded("does_peel"),
}


@dataclass(frozen=True, slots=True)
class Doing:
    """What one hand of a picture does, with which digits, and at which place of the knee."""

    hand: HandName
    digits: tuple[Digit, ...]
    does: Does
    place: Named | None = None


def hand_words(stored: HandName, side: Side) -> Coded:
    """Which hand one of a picture is: what is drawn is a right knee."""
    right = (stored == "R") == (side == "right")
    return coded("hand_right") if right else coded("hand_left")


def doing_words(doing: Doing, side: Side) -> Coded:
    """The same in words: "Right hand: thumb, pressing it down on the bony bump"."""
    digits = reduce(
        lambda a, b: coded("drawn_and", first=a, then=b), (DIGITS[one] for one in doing.digits)
    )
    finger = coded("drawn_digit", hand=hand_words(doing.hand, side), digit=digits)
    if doing.place is None:
        return coded("drawn_does", who=finger, does=_DOES[doing.does])
    place = BESIDE.get(doing.place, PLACES[doing.place])
    return coded("drawn_does_at", who=finger, does=_DOES[doing.does], place=place)
