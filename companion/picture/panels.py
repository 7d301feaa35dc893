"""Stored figures set as one drawing: panels in their order, each with its words over it."""

from __future__ import annotations

from collections.abc import Sequence

from companion.care.coded import Coded, coded
from companion.care.records import Side
from companion.picture.drawing import Drawing, DrawnWords, Frame, Shape, described
from companion.picture.leg import KNEES
from companion.picture.stored import HEAD_MM, Figure

GAP_MM = 6.0
WORDS_MM = 13.0
WORDS_HIGH_MM = 18.0
LINE_HIGH = WORDS_HIGH_MM / WORDS_MM
LETTERS_SHARE, HEAD_SHARE = 0.033, 0.022
"""Words and heads of arrows are at least this share of the width of panels in a row (C)."""
SMALL_MM = 170.0
"""How wide and high a figure is at most that stands for a whole exercise."""
SMALL_WORDS_MM = 20.0
SMALL_WORDS_HIGH_MM = 22.0
SEAT_WIDE_MM, SEAT_WORDS_HIGH_MM = 216.0, 34.0
"""Room for two lines of words over somebody who sits."""
WIDEST_MM = 690.0
"""Panels stand beside each other up to this width: three of somebody who sits or stands do."""


def beside_each_other(figures: Sequence[Figure]) -> bool:
    """Whether all panels fit into one row; where somebody lies they do not."""
    return sum(one.width_mm + GAP_MM for one in figures) - GAP_MM <= WIDEST_MM


def row_picture(
    figures: Sequence[Figure],
    words: Sequence[Coded | None],
    side: Side,
    description: Coded,
    knee: Coded | None = None,
    columns: int = 0,
) -> Drawing:
    """Panels in a row, for a leg of this side.

    `words` has one for each panel, or None where none stand over it; `knee` says which it
    is; after `columns` panels a new row begins, after none with 0. What is stored is a right
    leg; a left one is its mirror image.
    Raises ValueError without a figure.
    """
    if not figures:
        raise ValueError("no figure to show")
    row = columns or len(figures)
    wide = max(
        sum(one.width_mm + GAP_MM for one in figures[at : at + row]) - GAP_MM
        for at in range(0, len(figures), row)
    )
    # All of it is shown as wide as its column, so that what is wider has larger words and arrows.
    size = max(WORDS_MM, min(wide * LETTERS_SHARE, min(one.width_mm for one in figures) * 0.11))
    high = size * LINE_HIGH if any(words) else 0.0
    first = size * LINE_HIGH if knee is not None else 0.0
    items: list[Shape | DrawnWords] = []
    right = x = 0.0
    y = first
    for number, (figure, said) in enumerate(zip(figures, words, strict=True)):
        if columns and number and number % columns == 0:
            x, y = 0.0, y + high + figures[number - 1].height_mm + GAP_MM
        own = figure if side == "right" else figure.mirrored()
        items += own.moved(complex(x, y + high), head_mm=max(HEAD_MM, wide * HEAD_SHARE))
        if said is not None:
            items.append(DrawnWords(said, complex(x + 2, y + size), size, "left", bold=True))
        x += figure.width_mm + GAP_MM
        right = max(right, x - GAP_MM)
    if knee is not None:
        items.append(DrawnWords(knee, complex(2, size), size, "left"))
    bottom = y + high + max(one.height_mm for one in figures)
    return Drawing(Frame(0.0, 0.0, right, bottom), tuple(items), description)


def seat_picture(figure: Figure, side: Side, words: Coded) -> Drawing:
    """How somebody sits, from the outer side of this leg, with its words over it."""
    own = figure if side == "right" else figure.mirrored()
    lead = coded("drawn_seen", knee=KNEES[side], seen=coded("drawn_outer_side"))
    wide, high = max(own.width_mm, SEAT_WIDE_MM), own.height_mm + SEAT_WORDS_HIGH_MM
    items: list[Shape | DrawnWords] = [
        *own.moved(complex((wide - own.width_mm) / 2, SEAT_WORDS_HIGH_MM)),
        DrawnWords(lead, complex(2, WORDS_MM), WORDS_MM, "left", bold=True),
        DrawnWords(words, complex(2, 2.3 * WORDS_MM), WORDS_MM, "left"),
    ]
    return Drawing(Frame(0.0, 0.0, wide, high), tuple(items), described((lead, words)))


def small_panel(figure: Figure, words: Coded, side: Side, description: Coded) -> Drawing:
    """One figure among others that stand for more: all of them as large as each other, each with
    its words over it, for a leg of this side."""
    share = min(SMALL_MM / figure.width_mm, SMALL_MM / figure.height_mm)
    own = (figure if side == "right" else figure.mirrored()).smaller(share)
    at = complex((SMALL_MM - own.width_mm) / 2, SMALL_WORDS_HIGH_MM + SMALL_MM - own.height_mm)
    lead = DrawnWords(words, complex(2, WORDS_HIGH_MM), SMALL_WORDS_MM, "left", bold=True)
    frame = Frame(0.0, 0.0, SMALL_MM, SMALL_WORDS_HIGH_MM + SMALL_MM)
    return Drawing(frame, (*own.moved(at), lead), description)
