"""What one page shows, as frozen data: a heading, blocks in order, at most one main button.

A screen draws a `PageView` and hands back what was answered, by the name of each asking block. It
knows nothing of knees. Every text has already passed through `phrases`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypedDict, Unpack

from companion.care.records import Level, Side
from companion.presentation.language.phrases import phrase

if TYPE_CHECKING:
    from companion.care.counting import Beat
    from companion.picture.drawing import Drawing
    from companion.picture.knee import Knee

Value = str | int | bool


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph. `strong` for the one sentence that matters, `quiet` for a side remark."""

    text: str
    weight: Literal["plain", "strong", "quiet"] = "plain"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading inside the page."""

    text: str


@dataclass(frozen=True, slots=True)
class Numbered:
    """Steps in order, counted from `start`."""

    items: tuple[str, ...]
    start: int = 1


@dataclass(frozen=True, slots=True)
class Bulleted:
    """Things in no order."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Callout:
    """A remark set apart by a line."""

    text: str
    heading: str = ""


@dataclass(frozen=True, slots=True)
class DefinitionList:
    """Names and values, a line each."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class LookOverLine:
    """A name and its value. `door` names the page it was answered on, "" where that cannot be gone
    back to; `lines` are what it sums up, each with its own door."""

    name: str
    value: str
    door: str = ""
    lines: "tuple[LookOverLine, ...]" = ()


@dataclass(frozen=True, slots=True)
class LookOver:
    """What was answered, a line each. Pressing one gives its `door`, or the name of a line that
    sums others up as `sums`."""

    lines: tuple[LookOverLine, ...]


@dataclass(frozen=True, slots=True)
class PhoneLine:
    """Whom to call. `number` "" when the clinic typed none."""

    who: str
    number: str
    when: str = ""


@dataclass(frozen=True, slots=True)
class CardBlock:
    """A fixed card of the stop list. `no_answer` stands after the first number, before the others:
    what to do when nobody answers it. `heading` is "" where the page is called so. `note` says,
    last and quietly, who signed it; on paper, what its sign closes."""

    level: Level
    heading: str
    actions: tuple[str, ...]
    phones: tuple[PhoneLine, ...] = ()
    no_answer: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Phones:
    """Numbers to call, large enough to dial from across a table."""

    heading: str
    lines: tuple[PhoneLine, ...]


@dataclass(frozen=True, slots=True)
class Option:
    """One answer in words."""

    value: Value
    word: str
    line: str = ""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing of this knee. `loop` makes the same drawing in motion, for those who ask for it;
    `stills` makes numbered ones of the same movement, for those who ask for less of it."""

    drawing: "Drawing"
    loop: "Callable[[], Sequence[Drawing]] | None" = None
    stills: "Callable[[], tuple[Drawing, ...]] | None" = None


@dataclass(frozen=True, slots=True)
class Panels:
    """Stills of one movement in order, numbered where there are several."""

    drawings: "tuple[Drawing, ...]"


@dataclass(frozen=True, slots=True)
class HandMoment:
    """One thing that hands do: its heading, how it looks, the limits it has as numbers, and `told`,
    how it is done in whole sentences."""

    heading: str
    drawing: "Drawing"
    told: str
    limits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Moments:
    """Things done one after the other with the hands busy: each has the page alone while it is
    done. The main button says `on` and shows the next; after the last it answers the page. How
    each is done stands behind the button `how`."""

    each: tuple[HandMoment, ...]
    on: str
    how: str


@dataclass(frozen=True, slots=True)
class TwoColumns:
    """A picture with blocks beside it, where there is room for both; else above them.

    Of any page the first picture leads: see `leading`.
    """

    picture: Picture
    blocks: "tuple[Block, ...]"


@dataclass(frozen=True, slots=True)
class Tellings:
    """The same things told in more than one way, side by side where there is room: `heads` say
    whose each telling is, `rows` a name with what each of them says of it."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class KneeTick:
    """Sore places, ticked on the picture or in words: both are one answer."""

    name: str
    question: str
    side: Side
    seen_by: Literal["own", "helper"]
    options: "tuple[Option, ...]"
    knee: "Knee"


@dataclass(frozen=True, slots=True)
class Choose:
    """One answer of several, none chosen beforehand.

    `beside` puts short answers beside their question where there is room, one such question under
    the other. `unless` names what makes it unneeded once it is ticked.
    """

    name: str
    question: str
    options: tuple[Option, ...]
    needed: bool = True
    beside: bool = False
    unless: str = ""


@dataclass(frozen=True, slots=True)
class ActionList:
    """Ways to go on from here: pressing one answers the page. `urgent` ones look like a card that
    says to call now."""

    name: str
    options: tuple[Option, ...]
    urgent: bool = False


@dataclass(frozen=True, slots=True)
class Tick:
    """Any number of answers, none included."""

    name: str
    question: str
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class LevelList:
    """Warning signs of one level to read, under a heading in the look of that level."""

    level: Level
    heading: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LevelTick:
    """Warning signs of one level to tick, under a heading in the look of that level. Those of one
    name are one answer, in the order of the page."""

    name: str
    level: Level
    heading: str
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class Scale:
    """A whole number from 0 to 10, with end words; `cannot_say` offers to leave it out."""

    name: str
    question: str
    low: str
    high: str
    cannot_say: str = ""
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Number:
    """A number typed; empty is allowed unless `needed`."""

    name: str
    question: str
    unit: str
    least: float
    most: float
    decimals: int = 0
    needed: bool = False


@dataclass(frozen=True, slots=True)
class Write:
    """Words typed; empty is allowed."""

    name: str
    question: str
    most_characters: int = 2000
    lines: Literal["one", "many"] = "many"


@dataclass(frozen=True, slots=True)
class Counting:
    """Every hold, repeat, round and rest of a step, counted one after the other by itself.

    The main button of its page begins it with the word `start`, pauses it, and answers the page
    once all was counted. It gives as `seconds` what was held and as `counted` how many holds or
    repeats came to their end, None where nothing was counted. Where several steps are counted
    `steps` are what they are called, and it gives both of each of them as `each`.
    """

    beats: "tuple[Beat, ...]"
    start: str
    steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Folded:
    """What is read once: behind a button with the words of `word`, until it is pressed."""

    word: str
    blocks: "tuple[Block, ...]"


@dataclass(frozen=True, slots=True)
class Timer:
    """A hold, started by the person. It gives `seconds`, and never goes on by itself.

    `get_ready_seconds` pass before it counts. One that is not `pausable` counts from nothing again
    once it was stopped.
    """

    name: str
    seconds: int
    get_ready_seconds: int = 0
    pausable: bool = True


Block = (
    Text
    | Heading
    | Numbered
    | Bulleted
    | Callout
    | DefinitionList
    | LookOver
    | CardBlock
    | Phones
    | Picture
    | Panels
    | Moments
    | TwoColumns
    | Tellings
    | KneeTick
    | Choose
    | ActionList
    | Tick
    | LevelList
    | LevelTick
    | Scale
    | Number
    | Write
    | Timer
    | Counting
    | Folded
)


@dataclass(frozen=True, slots=True)
class Button:
    """A button that answers the page. `given` is added to what the blocks gave.

    `asks` False takes the answer even though a needed block is empty. `at_once` acts however short
    the page was seen: for taking tape off. What `hurts` stands beside Stop, as large, where a page
    is read from afar.
    """

    text: str
    submitted: tuple[tuple[str, Value], ...] = ()
    asks: bool = True
    at_once: bool = False
    hurts: bool = False


@dataclass(frozen=True, slots=True)
class PageView:
    """One page. `key` names it; `main` is its one large button, `others` quieter ones.

    With `main_last` the main button stands at the end of what there is to read, so that nobody
    leaves the page who had not its end in sight.

    `far` pages are read from two metres with the hands busy: large type, and Space goes on. One
    with a picture is a stage: the picture has a column of its own, and nothing stands under it.
    What is chosen of the question `kept` is answered also by whoever leaves the page.
    A `timed` page gives as `took` for how many whole seconds it was seen, when it comes first.
    """

    key: str
    heading: str
    blocks: tuple[Block, ...] = ()
    main: Button | None = None
    others: tuple[Button, ...] = ()
    above: str = ""
    mark: str = ""
    back: bool = True
    stop: bool = True
    enter_answers: bool = True
    far: bool = False
    main_last: bool = False
    kept: str = ""
    timed: bool = False


class Ways(TypedDict, total=False):
    """What a page may have besides what it says: the fields of `PageView` with their defaults."""

    main: Button | None
    others: tuple[Button, ...]
    above: str
    mark: str
    back: bool
    stop: bool
    enter_answers: bool
    far: bool
    main_last: bool
    kept: str
    timed: bool


def make_page(key: str, heading: str, *blocks: Block, **ways: Unpack[Ways]) -> PageView:
    """A page of these blocks."""
    return PageView(key, heading, blocks, **ways)


def next_page(key: str, heading: str, *blocks: Block, main: str = "") -> PageView:
    """A page whose main button goes on; it says Next, unless `main` says it."""
    return PageView(key=key, heading=heading, blocks=blocks, main=Button(main or phrase("Next")))


def is_stage(view: PageView) -> bool:
    """Whether a picture is shown to somebody two metres away."""
    shown = Picture, TwoColumns, Moments
    return view.far and any(isinstance(block, shown) for block in view.blocks)


def tells(view: PageView) -> bool:
    """Whether a page only says something, in a few words: nothing is answered, shown or counted."""
    return bool(view.blocks) and all(isinstance(block, Text | Bulleted) for block in view.blocks)


def leading(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
    """The blocks that stand with the heading where a page has two columns, beside what is read and
    answered: a picture, with the words that follow stills of a movement; else the words said before
    something is asked."""
    match blocks:
        case (Panels(), Text() as how, *_):
            return (how,)
    places = next((n for n, block in enumerate(blocks) if isinstance(block, KneeTick)), 0)
    if places:
        return tuple(block for block in blocks[:places] if isinstance(block, Text))
    pictured = (Picture, Panels, Moments, TwoColumns, KneeTick)
    if any(isinstance(block, pictured) for block in blocks):
        # How somebody sits stands under its picture: the scores need the other column.
        asks = any(isinstance(block, Scale) for block in blocks)
        return tuple(block for block in blocks if asks and isinstance(block, Bulleted))
    before: list[Block] = []
    for block in blocks:
        if not isinstance(block, Text):
            return tuple(before) if isinstance(block, ASKING) else ()
        before.append(block)
    return ()


ASKING = (Choose, ActionList, Tick, LevelTick, Scale, Number, Write, LookOver)
"""What is answered or pressed."""
