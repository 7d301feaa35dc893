"""What a page says, line by line, held to the wording rules of the trade's facts (section 8).

Grade 6 at most on home pages, 5 on emergency and today cards; mean sentence 12 words, none over
20; no promise, blame, praise, reassurance or diagnosis. Words a person or a clinic typed (labels
of activities, names, numbers to call) are theirs and are left out.
"""

from collections.abc import Iterable, Iterator

from companion.presentation.view.count_words import count_words
from companion.presentation.view.page import (
    ActionList,
    Block,
    Bulleted,
    Callout,
    CardBlock,
    Choose,
    Counting,
    DefinitionList,
    Folded,
    Heading,
    KneeTick,
    LevelList,
    LevelTick,
    LookOver,
    Moments,
    Number,
    Numbered,
    PageView,
    Phones,
    Scale,
    Tellings,
    Text,
    Tick,
    TwoColumns,
    Write,
)
from tests.care.test_catalogue_wording import BANNED
from tests.oracles.readability import grade, longest_sentence, mean_sentence, sentences


def lines_of(blocks: Iterable[Block]) -> Iterator[str]:  # noqa: PLR0912 - one a kind of block
    """Every line a page's blocks show, in their order."""
    for block in blocks:
        match block:
            case Text(text) | Heading(text):
                yield text
            case Numbered(items) | Bulleted(items):
                yield from items
            case Callout(text, heading):
                yield from (heading, text)
            case DefinitionList(rows):
                for name, value in rows:
                    yield from (name, value)
            case Tellings(heads, told):
                yield from heads
                for name, values in told:
                    yield from (name, *values)
            case LookOver(looked_over):
                for line in looked_over:
                    yield from (line.name, line.value)
            case CardBlock(_, heading, actions, phones, no_answer, note):
                yield from (heading, *actions, no_answer, *(phone.when for phone in phones), note)
            case LevelList(_, heading, items):
                yield from (heading, *items)
            case LevelTick(_, _, heading, options):
                yield heading
                yield from (option.word for option in options)
            case Choose(_, question, options) | Tick(_, question, options):
                yield question
                for option in options:
                    yield from (option.word, option.line)
            case KneeTick():
                yield block.question
                for option in block.options:
                    yield from (option.word, option.line)
            case ActionList(_, options):
                for option in options:
                    yield from (option.word, option.line)
            case Phones(heading, phones):
                yield from (heading, *(phone.when for phone in phones))
            case Moments(each, on, how):
                yield from (on, how)
                for one in each:
                    yield from (one.heading, one.told, *one.limits)
            case TwoColumns(_, beside):
                yield from lines_of(beside)
            case Scale():
                yield from (block.question, block.low, block.high, block.cannot_say)
            case Number():
                yield from (block.question, block.unit)
            case Write():
                yield block.question
            case Folded(word, folded):
                yield word
                yield from lines_of(folded)
            case Counting(beats, start):
                yield from (start, count_words(beats))
            case _:  # a timer and a picture say nothing
                pass


def lines(view: PageView) -> list[str]:
    """Every line of a page but its plan mark."""
    buttons = [button.text for button in (view.main, *view.others) if button is not None]
    found = [view.heading, *lines_of(view.blocks), *buttons]
    return [line for line in found if line]


def faults(
    said: Iterable[str], *, own_words: Iterable[str] = (), most_grade: float = 6
) -> list[str]:
    """What is wrong with the wording of some lines; nothing when nothing is."""
    kept = [_without(line, own_words) for line in said]
    kept = [line for line in kept if sentences([line])]
    found = [f"banned: {line}" for line in kept if BANNED.search(line)]
    found += [f"longer than 20 words: {s}" for s in sentences(kept) if longest_sentence([s]) > 20]
    found += [f"braces: {line}" for line in kept if "{" in line or "}" in line]
    found += [f"loose space: {line!r}" for line in kept if line != line.strip() or "  " in line]
    if mean_sentence(kept) > 12:
        found.append(f"mean sentence of {mean_sentence(kept):.1f} words")
    if grade(kept) > most_grade:
        found.append(f"grade {grade(kept):.1f}: {kept}")
    return found


def _without(line: str, own_words: Iterable[str]) -> str:
    for words in own_words:
        line = line.replace(words, "it")
    return line
