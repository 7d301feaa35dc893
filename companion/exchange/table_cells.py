"""The cells of a table: what each may hold, and what is said when it holds something else.

Numbers are the ten ASCII digits and at most one point; spaces round a cell do not count. Every
reader takes the text of one cell and returns its value, or raises CellFault with what is wrong.
None of them sees an empty cell.
"""

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any, get_args

from companion.care.coded import Coded, coded
from companion.care.ranges import Words
from companion.care.records import Skin

UNITS = (
    "mm", "cm", "m", "km", "s", "min", "h", "steps", "stairs", "floors", "times", "laps", "kg",
)  # fmt: skip
"""The units a table may name; besides them the plan's own for that amount."""

EARLIEST_DAY = date(1900, 1, 1)
MOST_AMOUNT = 100_000
MOST_STIFFNESS_MINUTES = 720
MOST_SHOWN = 40
"""Characters of a cell that are repeated in a fault."""

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_WHOLE = re.compile(r"-?[0-9]{1,9}")
_DECIMAL = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,340})?")
_RUNS = re.compile(r"'*[=+\-@\t\n\r\uFF1D\uFF0B\uFF0D\uFF20]")
_SKINS: tuple[str, ...] = get_args(Skin)
_NOTE = Words(2000)

Reader = Callable[[str], Any]


class CellFault(ValueError):
    """What is wrong with one cell."""

    def __init__(self, what: Coded) -> None:
        super().__init__(str(what))
        self.what = what


def shown(text: str) -> str:
    """A cell as it is repeated in a fault: short, and with nothing a terminal would obey."""
    cut = text if len(text) <= MOST_SHOWN else text[:MOST_SHOWN] + "..."
    return repr(cut)


def defused(text: str) -> str:
    """Text that a spreadsheet takes as text: a quote goes before what would begin a formula.

    Beginnings that count are ``= + - @``, their full-width forms, tab and line breaks (fact:
    csv_formulas). A text that already reads as a quoted beginning gets one more quote.
    """
    return "'" + text if _RUNS.match(text) else text


def undefused(text: str) -> str:
    """The text that `defused` was given."""
    return text[1:] if text.startswith("'") and _RUNS.match(text) else text


@lru_cache(maxsize=1024)
def _whole(text: str, least: int, most: int) -> int:
    if _WHOLE.fullmatch(text) is None:
        raise CellFault(coded("not_whole_between", got=shown(text), least=least, most=most))
    value = int(text)
    if not least <= value <= most:
        raise CellFault(coded("not_between", got=value, least=least, most=most))
    return value


def score(text: str) -> int:
    """A score, 0 to 10."""
    return _whole(text.strip(" "), 0, 10)


def stage(text: str) -> int:
    """A tape stage, 0 to 2."""
    return _whole(text.strip(" "), 0, 2)


def stiffness_minutes(text: str) -> int:
    """Morning stiffness, 0 to 720 minutes."""
    return _whole(text.strip(" "), 0, MOST_STIFFNESS_MINUTES)


def yes_or_no(text: str) -> bool:
    """1 is yes, 0 is no."""
    text = text.strip(" ")
    if text not in ("0", "1"):
        raise CellFault(coded("not_no_or_yes", got=shown(text)))
    return text == "1"


def skin(text: str) -> str:
    """A word for the skin."""
    text = text.strip(" ")
    if text not in _SKINS:
        raise CellFault(coded("not_one_of", got=shown(text), allowed=", ".join(_SKINS)))
    return text


def amount(text: str) -> float:
    """A number from 0 to 100,000, with a point before its decimals."""
    text = text.strip(" ")
    if _DECIMAL.fullmatch(text) is None:
        raise CellFault(coded("not_an_amount", got=shown(text)))
    value = float(text)
    if value > MOST_AMOUNT:
        raise CellFault(coded("not_between", got=shown(text), least=0, most=MOST_AMOUNT))
    return value


def amount_text(value: float) -> str:
    """The shortest decimal text that `amount` reads as `value`, never with an exponent."""
    text = format(Decimal(repr(float(value))), "f")
    return text.removesuffix(".0")


def day(text: str) -> date:
    """A day as 2026-09-14, from 1900 on."""
    text = text.strip(" ")
    if _DAY.fullmatch(text) is None:
        raise CellFault(coded("not_a_day", got=shown(text)))
    try:
        value = date.fromisoformat(text)
    except ValueError:
        raise CellFault(coded("not_in_the_calendar", got=shown(text))) from None
    if value < EARLIEST_DAY:
        raise CellFault(coded("before_year", day=value, year=EARLIEST_DAY.year))
    return value


def note(text: str) -> str:
    """A note of up to 2,000 characters; its line breaks become line feeds."""
    text = undefused(text.replace("\r\n", "\n").replace("\r", "\n"))
    fault = _NOTE.fault(text)
    if fault is not None:
        raise CellFault(fault)
    return text


def nothing(text: str) -> None:
    """A column without a name may hold nothing."""
    raise CellFault(coded("column_without_name", got=shown(text)))
