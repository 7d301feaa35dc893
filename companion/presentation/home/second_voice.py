"""A helper at the screen: whose turn a page is, and the person's questions as they are asked aloud.

What the person feels, wants or did is theirs to say. A helper reads that question out, so it stands
in quotes; what a helper sees or does is asked of the helper. The pages about warning signs are for
the person's own eyes. No word here takes the person for a woman or a man.
"""

from dataclasses import replace
from typing import Literal

from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import (
    ActionList,
    Block,
    Button,
    Choose,
    KneeTick,
    Number,
    Option,
    PageView,
    Scale,
    Text,
    Tick,
    TwoColumns,
    Write,
    make_page,
)

Turn = Literal["screen", "answers", "moves", "watch", "hands", ""]
"""screen: the person reads and answers. answers: the helper asks aloud. moves: the person moves and
scores, and the helper reads it out. watch: the person moves, and the helper looks on. hands: the
helper does it. "": whoever reads goes on."""

TURNS: dict[Turn, str] = {
    "screen": "A helper sits here. Turn the screen: these are for the person with the knee.",
    "answers": "Ask, and press what you are told.",
    "moves": "Read this out. The person with the knee does it, and answers.",
    "watch": "they move, you watch",
    "hands": "your turn",
    "": "",
}
"""What is said of each turn; of steps above the heading, for those pages are read from afar."""
ASKED = "Ask: “{question}”"
"""How a question of the person's is put to a helper."""

_OF_SIGNS = ("gate", "known", "list:")
_OF_MOVES = "move:"
_OF_EXERCISES = "exercise:"
_OF_HANDS = ("step:", "hands_ready", "tape:", "removal", "patch_step:")
"""How the keys of the pages begin that are about these."""
_HELPER_SEES = frozenset(
    {"ready", "skin", "clean", "reach", "by", "depth", "how", "day", "hour", "tape", "make", "mind"}
)
"""What a helper sees or did, by the name that asks for it: round the knee, on the table, the
clock. Everything else is asked of the person."""

_PERSONS = (Choose, KneeTick, Number, Scale, Tick, Write)


def turn_of(view: PageView) -> Turn:
    """Whose turn a page is while a helper sits here."""
    if view.key.startswith(_OF_SIGNS):
        return "screen"
    if view.key.startswith(_OF_MOVES):
        return "moves"
    if any(_asks_person(block) for block in view.blocks):
        return "answers"
    if view.key.startswith(_OF_EXERCISES):
        return "watch"
    return "hands" if view.key.startswith(_OF_HANDS) else ""


def for_helper(view: PageView) -> PageView:
    """The page as a helper at the screen has it. Given besides: `helper` swap | alone, on the pages
    about warning signs: who sits here, and that the person does not answer beside somebody."""
    turn = turn_of(view)
    said = phrase(TURNS[turn])
    match turn:
        case "hands" | "watch":
            return replace(view, above=phrase("{above} · {turn}", above=view.above, turn=said))
        case "screen":
            return replace(
                view,
                blocks=(Text(said, "strong"), *view.blocks),
                others=(
                    *view.others,
                    Button(phrase("Not with somebody here"), (("helper", "alone"),), asks=False),
                    Button(phrase("I sit here myself"), (("helper", "swap"),), asks=False),
                ),
            )
        case "":
            return view
    return replace(view, blocks=(Text(said, "strong"), *map(_aloud, view.blocks)))


def _asks_person(block: Block) -> bool:
    return isinstance(block, _PERSONS) and block.name not in _HELPER_SEES


def _aloud(block: Block) -> Block:
    if isinstance(block, TwoColumns):
        return replace(block, blocks=tuple(map(_aloud, block.blocks)))
    if isinstance(block, KneeTick):
        return block  # its heading asks, and its places are named beside the picture
    if isinstance(block, _PERSONS) and _asks_person(block) and block.question:
        return replace(block, question=phrase(ASKED, question=block.question))
    return block


def may_help(view: PageView) -> PageView:
    """The gate where helpers come, while none sits here: one press says that one does."""
    if not view.key.startswith("gate"):
        return view
    swap = Button(phrase("My helper sits here"), (("helper", "swap"),), asks=False)
    return replace(view, others=(*view.others, swap))


def alone_view() -> PageView:
    """The person does not answer beside somebody. Given: `alone` now | later."""
    return make_page(
        "alone",
        phrase("You may answer these alone"),
        Text(phrase("Some answers are nobody else’s business. Nobody has to say why.")),
        Text(phrase("Until these are answered, no hands and no new tape. All else is kept.")),
        ActionList(
            "alone",
            (
                Option(
                    "now", phrase("I am alone now"), phrase("The pages are worded for you then")
                ),
                Option("later", phrase("Later"), phrase("To the front page, all is kept")),
            ),
        ),
    )


def whose_no_view() -> PageView:
    """A helper pressed no on every question. Given: `whose` person | helper."""
    return make_page(
        "whose_no",
        phrase("Who said no?"),
        Text(phrase("Every answer was no. Only the person with the knee can know that.")),
        ActionList(
            "whose",
            (
                Option("person", phrase("The person with the knee read it, and said no")),
                Option(
                    "helper",
                    phrase("I answered for them"),
                    phrase("Then turn the screen, and let them answer"),
                ),
            ),
        ),
    )
