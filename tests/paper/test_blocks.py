"""Blocks are measured before they are painted: no page overflows, no line is lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.canvas.typesetting import TextStyle, application, text_width, wrapped
from companion.paper.blocks import Lines, Space, items, paragraph, set_cell, share_out

WORDS = TextStyle(12)


def of_height(height: float, *, keep: bool = False) -> Space:
    """A block of words, as far as sharing out is concerned."""
    return Space(height, keep=keep, space=False)


@given(st.lists(st.tuples(st.floats(1, 90), st.booleans(), st.booleans()), max_size=40))
def test_every_block_is_set_once_in_order_and_none_overflows(
    drawn: list[tuple[float, bool, bool]],
) -> None:
    blocks = [Space(height, keep=keep, space=space) for height, keep, space in drawn]
    pages = share_out(blocks, 100, 90)
    set_ones = [index for page in pages for _, index in page]
    assert set_ones == sorted(set(set_ones))
    assert {n for n, block in enumerate(blocks) if not block.space} <= set(set_ones)
    for number, page in enumerate(pages):
        for top, index in page:
            assert top + blocks[index].height <= (100 if number == 0 else 90) + 1e-9


def test_a_heading_goes_with_what_it_heads() -> None:
    pages = share_out([of_height(60), of_height(20, keep=True), of_height(30)], 100)
    assert [[index for _, index in page] for page in pages] == [[0], [1, 2]]


def test_a_heading_goes_with_a_picture_below_white_space() -> None:
    pages = share_out([of_height(40), of_height(20, keep=True), Space(6), of_height(60)], 100)
    assert [[block for _, block in page] for page in pages] == [[0], [1, 2, 3]]


def test_white_space_does_not_begin_a_page() -> None:
    pages = share_out([of_height(95), Space(10), of_height(30)], 100)
    assert pages == (((0.0, 0),), ((0.0, 2),))


def test_a_block_no_page_can_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="a page of"):
        share_out([of_height(101)], 100)


def test_an_item_is_not_cut_by_the_end_of_a_page() -> None:
    long = "It hurts more and more, or you were sick, or you cannot recall it. " * 3
    listed = items([("•", long)] * 4, WORDS, 200)
    lines = [block for block in listed if isinstance(block, Lines)]
    each = sum(block.height for block in lines) / 4
    pages = share_out(listed, 2.5 * each)
    begins = [listed[page[0][1]] for page in pages]
    assert len(pages) == 2
    assert all(isinstance(block, Lines) and block.marker for block in begins)


def test_a_long_paragraph_parts_between_pages_but_leaves_no_line_alone() -> None:
    application()
    blocks = paragraph("The quay was wet. " * 40, WORDS, 200)
    assert isinstance(blocks[0], Lines)
    assert isinstance(blocks[-1], Lines)
    assert len(blocks[0].lines) == len(blocks[-1].lines) == 2
    pages = share_out(blocks, 5 * WORDS.line_height)
    assert len(pages) > 1


@given(st.text(st.characters(codec="ascii", categories=("L", "N", "Zs")), max_size=200))
def test_wrapping_keeps_every_word_and_stays_in_its_column(text: str) -> None:
    application()
    lines = wrapped(text, WORDS, 120)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(text_width(line, WORDS) <= 120 + 1e-6 for line in lines)


def test_a_word_longer_than_its_column_is_broken_not_cut() -> None:
    application()
    lines = wrapped("x" * 100, WORDS, 60)
    assert len(lines) > 1
    assert "".join(lines) == "x" * 100


def test_a_cell_goes_on_where_its_number_ends() -> None:
    application()
    cell = set_cell("28 of 40", "prescribed days, and some more words to wrap", 0, 120, WORDS)
    assert cell.lead == "28 of 40"
    first = cell.lead_width + text_width(cell.lines[0], WORDS)
    assert first <= 120 + 1e-6
    assert all(text_width(line, WORDS) <= 120 + 1e-6 for line in cell.lines[1:])
    assert " ".join(cell.lines) == "prescribed days, and some more words to wrap"


def test_a_number_that_fills_its_column_is_set_with_the_words() -> None:
    application()
    cell = set_cell("a very long number indeed", "words", 0, 100, WORDS)
    assert cell.lead == ""
    assert "".join(cell.lines).replace(" ", "") == "averylongnumberindeedwords"


def test_a_strong_cell_stays_in_its_column_and_strong_in_every_line() -> None:
    style = TextStyle(13)
    cell = set_cell("Light: the skin moves. Nothing underneath is pressed.", "", 0, 250, style)
    assert len(cell.lines) > 1
    assert cell.style.bold
    assert all(text_width(line, cell.style) <= 250 for line in cell.lines)


@pytest.mark.parametrize("before", range(0, 100, 5))
def test_neither_the_first_nor_the_last_of_a_list_is_alone_on_a_page(before: int) -> None:
    """Whoever takes up the one sheet without its fellow would read past a single line."""
    listed = items([("•", word) for word in ("one", "two", "three", "four", "five")], WORDS, 200)
    pages = share_out([of_height(before + 1.0), *listed], 100)
    for page in pages:
        told = [index for _, index in page if index and isinstance(listed[index - 1], Lines)]
        assert len(told) != 1
