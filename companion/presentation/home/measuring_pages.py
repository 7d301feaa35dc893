"""The measuring guide: where the bump and the upper edge are, the two readings, what they say."""

from companion.care.measuring import MUST_AGREE_MM, Measured
from companion.care.records import Plan, Side
from companion.picture.scenes import knee_of
from companion.presentation.language.phrases import phrase
from companion.presentation.language.words import knee, this_knee
from companion.presentation.view.figures import landmark_picture, measuring_picture
from companion.presentation.view.page import (
    Button,
    Choose,
    DefinitionList,
    Number,
    Numbered,
    Option,
    PageView,
    Picture,
    Text,
    TwoColumns,
    make_page,
)


def bump_view(plan: Plan, side: Side) -> PageView:
    """How to find the bony bump."""
    return _guide(
        "bump",
        phrase("Find the bony bump"),
        Picture(landmark_picture("bony_bump", side, "own", knee=knee_of(plan, side))),
        (
            phrase("Sit with your leg as for the tape."),
            phrase("Slide a finger from the kneecap towards your foot, along the middle."),
            phrase("The first hard bump on the shin is it. Mark it with a pen."),
        ),
        side,
    )


def edge_view(plan: Plan, side: Side) -> PageView:
    """How to find the upper edge of the kneecap."""
    return _guide(
        "edge",
        phrase("Find the upper edge"),
        Picture(landmark_picture("upper_edge", side, "own", knee=knee_of(plan, side))),
        (
            phrase("Let the thigh go slack."),
            phrase("Slide a finger over the kneecap towards your hip, until it drops off."),
            phrase("That edge is it. Mark it with a pen."),
        ),
        side,
    )


def _guide(
    key: str, heading: str, picture: Picture, steps: tuple[str, ...], side: Side
) -> PageView:
    return make_page(
        key,
        heading,
        TwoColumns(picture, (Numbered(steps),)),
        main=Button(phrase("Done, next step")),
        above=knee(side),
    )


def readings_view(plan: Plan, side: Side) -> PageView:
    """The two readings, along the skin, in centimetres or inches."""
    return make_page(
        "readings",
        phrase("Measure it twice"),
        TwoColumns(
            Picture(measuring_picture(side, "own", knee=knee_of(plan, side))),
            (
                Numbered(
                    (
                        phrase("Lay a soft measure along the skin from mark to mark."),
                        phrase("Read it. Take it away. Then measure once more."),
                    )
                ),
            ),
        ),
        Choose(
            "unit",
            phrase("What does your measure show?"),
            (Option("cm", phrase("Centimetres")), Option("inch", phrase("Inches"))),
        ),
        Number("first", phrase("First time"), "", 0.5, 60, decimals=2, needed=True),
        Number("second", phrase("Second time"), "", 0.5, 60, decimals=2, needed=True),
        main=Button(phrase("Next")),
        above=knee(side),
    )


def measured_view(found: Measured, side: Side) -> PageView:
    """What the two readings say: written down for the clinic, or measured again."""
    rows = (
        (phrase("First time"), in_mm(found.first_mm)),
        (phrase("Second time"), in_mm(found.second_mm)),
    )
    again = Button(phrase("Measure again"), (("do", "again"),))
    match found.verdict:
        case "differ":
            text = phrase(
                "They lie more than {mm} mm apart. Measure again.", mm=round(MUST_AGREE_MM)
            )
        case "refused":
            text = phrase("That cannot be right for a knee. Measure again.")
        case "unusual":
            text = phrase("That is not usual. Check both marks, or ask your clinic to measure.")
        case _:
            text = phrase("They agree. Your clinic can use this in your plan.")
    usable = found.mm is not None
    keep = Button(phrase("Write it down for the clinic"), (("do", "keep"),))
    return make_page(
        "measured",
        phrase("About {mm}", mm=in_mm(found.mm))
        if found.mm is not None
        else phrase("Measure again"),
        DefinitionList(rows),
        Text(text),
        main=keep if usable else again,
        others=(again,) if usable else (),
        above=knee(side),
    )


def measure_note(found: Measured, side: Side) -> str:
    """What is written down for the clinic."""
    return phrase(
        "Measured at home, {knee}: bony bump to upper edge {mm} ({first} and {second}).",
        knee=this_knee(side),
        mm=in_mm(found.mm or 0),
        first=in_mm(found.first_mm),
        second=in_mm(found.second_mm),
    )


def in_mm(length_mm: float) -> str:
    """A length in whole millimetres."""
    return phrase("{mm} mm", mm=round(length_mm))
