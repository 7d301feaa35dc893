"""Open signs as a gate asks about them, and answers to their pages."""

from collections.abc import Callable, Sequence
from typing import Any, get_args

from companion.care.clearing import (
    CheckedPage,
    OpenSign,
    OpenSignPage,
    TalkedPage,
    ToldPartsPage,
)
from companion.care.flow import WalkPage
from companion.care.records import Told, ToldBy
from tests.care.content import CATALOGUE, POLICY


def asked(sign: str) -> OpenSign:
    """An open sign as a gate asks about it, two days after it was ticked, on a day on which all of
    it may be asked."""
    row = POLICY.sign(sign)
    first = next((one for one in row.closes if one.asked is not None), None)
    level = CATALOGUE.sign(sign).level
    told = any("checked_by_professional" in one.opens for one in row.closes)
    return OpenSign(
        sign=sign,
        level=level,
        closes=row.parts,
        asks=None if first is None else first.asked,
        asks_opens=() if first is None else first.parts,
        talk=told and bool(row.parts),
        days_open=2,
    )


def answer_asked(page: WalkPage, choose: Callable[[Sequence[Any]], Any]) -> dict[str, Any]:
    """Any answer the screen could give to a page about an open sign."""
    match page:
        case OpenSignPage():
            questions = CATALOGUE.opening_questions(page.sign, page.asks)
            return {one.id: choose(["yes", "yes", "no", "not_sure"]) for one in questions}
        case TalkedPage():
            return {"told": choose([*get_args(Told), "not_called"])}
        case ToldPartsPage():
            return {"parts": [part for part in page.parts if choose([True, False])]}
        case CheckedPage():
            return {
                "by": choose(get_args(ToldBy)),
                "who": choose([None, "nurse"]),
                "days_ago": choose(range(page.most_days_ago + 1)),
            }
    raise TypeError(page.key)


def opens_all(page: WalkPage) -> dict[str, Any]:
    """The answers with which an open sign is over: it is so, or they said do all of it."""
    match page:
        case OpenSignPage():
            questions = CATALOGUE.opening_questions(page.sign, page.asks)
            return {one.id: one.opens_on for one in questions}
        case TalkedPage():
            return {"told": "all"}
        case ToldPartsPage():
            return {"parts": list(page.parts)}
        case CheckedPage():
            return {"by": "clinic", "who": None, "days_ago": 0}
    raise TypeError(page.key)


def opens_nothing(page: WalkPage) -> dict[str, Any]:
    """The answers with which an open sign stays as it is."""
    match page:
        case OpenSignPage():
            questions = CATALOGUE.opening_questions(page.sign, page.asks)
            return {one.id: "not_sure" for one in questions}
        case _:
            return {"told": "not_called"}
