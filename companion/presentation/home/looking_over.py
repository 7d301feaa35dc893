"""What was answered, looked over before it is written down: one page for every kind of walk.

Each line leads to the page it was answered on, and from there back to here.
"""

from collections.abc import Iterable

from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import (
    Block,
    Button,
    DefinitionList,
    LookOver,
    LookOverLine,
    PageView,
    Text,
    make_page,
    next_page,
)


def plain(lines: Iterable[LookOverLine]) -> DefinitionList:
    """The lines where they lead nowhere any more: what was written down."""
    return DefinitionList(tuple((line.name, line.value) for line in lines))


def look_over(lines: Iterable[LookOverLine]) -> tuple[Block, ...]:
    """The lines, and how one is put right."""
    shown = tuple(lines)
    if any(line.door or line.lines for line in shown):
        return (
            Text(phrase("Is something wrong? Press its line. You come back here."), "quiet"),
            LookOver(shown),
        )
    return (plain(shown),)


def line_of(view: PageView, name: str) -> LookOverLine:
    """The line of a page that has this name or leads to the page of this key. Raises LookupError
    where none does."""
    shown = [line for block in view.blocks if isinstance(block, LookOver) for line in block.lines]
    inner = [line for one in shown for line in one.lines]
    found = next((line for line in (*shown, *inner) if name in (line.door, line.name)), None)
    if found is None:
        raise LookupError(f"no line is about {name}")
    return found


def look_over_view(
    key: str,
    lines: Iterable[LookOverLine],
    *more: Block,
    main: Button,
    others: tuple[Button, ...] = (),
) -> PageView:
    """The page on which all is looked over."""
    return PageView(
        key=key,
        heading=phrase("Look it over"),
        blocks=(*look_over(lines), *more),
        main=main,
        others=others,
        # Where it is one answer of two, as for an outing, Enter gives none.
        enter_answers=not others,
    )


def inner_view(line: LookOverLine) -> PageView:
    """What a line sums up, line by line."""
    return PageView(
        key="looked_over_part",
        heading=line.name,
        blocks=look_over(line.lines),
        main=Button(phrase("Back to all of it"), (("back", True),)),
    )


def other_pages_view(line: LookOverLine) -> PageView:
    """A changed answer leads to other pages than before: that is not done in silence."""
    return make_page(
        "other_pages",
        phrase("This changes what comes next"),
        DefinitionList(((line.name, phrase("{value} until now", value=line.value)),)),
        Text(phrase("With the new answer, other pages come than before.")),
        Text(phrase("Something may open, or close. What no longer fits is left out.")),
        Text(phrase("Is the new answer right?"), "strong"),
        others=(
            Button(phrase("Yes, change it"), (("change", True),)),
            Button(phrase("No, leave it as it was"), (("change", False),)),
        ),
        enter_answers=False,
    )


def say_by_stop_view() -> PageView:
    """Something new was said on a page gone back to: Stop asks what it is, and loses nothing."""
    return make_page(
        "say_by_stop",
        phrase("Is something new, or are you not sure?"),
        Text(phrase("Stop asks what it is, and says what to do."), "strong"),
        Text(phrase("What you did so far is written down all the same.")),
        main=Button(phrase("Say what it is"), (("stop", True),)),
        others=(Button(phrase("It was a slip: leave it as it was"), (("stop", False),)),),
        enter_answers=False,
    )


def written_view(line: LookOverLine) -> PageView:
    """An answer that something written down for good rests on."""
    return next_page(
        "rests_on_it",
        phrase("This cannot be changed here"),
        DefinitionList(((line.name, line.value),)),
        Text(phrase("Something that was written down already rests on it.")),
        Text(phrase("Write it down as it is. Then put it right in My record.")),
        main=phrase("Back to all of it"),
    )
