"""The cells of a table: what each may hold, and what is said when it holds something else.

Numbers are the ten ASCII digits and at most one point, or comma; spaces round a cell and the case
of letters do not count. Every reader takes the text of one cell and returns its value, or raises
CellFault with what is wrong. None of them sees an empty cell.
"""

import re
from collections.abc import Callable
from datetime import date, time
from decimal import Decimal
from functools import lru_cache
from typing import get_args

from companion.care import shown_text
from companion.care.coded import Coded, coded
from companion.care.ranges import Words
from companion.care.records import Skin, StairsWay

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
_NUMBERS = re.compile(r"([0-9]{1,2})([./])([0-9]{1,2})\2([0-9]{4})")
_IN_WORDS = re.compile(r"([0-9]{1,2})\.? ([A-Za-z]{3,9})\.? ([0-9]{4})")
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip
_YES_NO = {"1": True, "yes": True, "y": True, "0": False, "no": False, "n": False}
_MINUTES = re.compile(r"(-?[0-9]{1,9}) ?(?:min|minutes?)\.?", re.IGNORECASE)
_WHOLE = re.compile(r"-?[0-9]{1,9}")
_DECIMAL = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{1,340})?")
_RUNS = re.compile(r"'*[=+\-@\t\n\r\uFF1D\uFF0B\uFF0D\uFF20]")
_CLOCK = re.compile(r"([0-9]{1,2})(?:[:.h]?([0-9]{2}))? ?(?:([ap])\.?m?\.?)?")
PUT_ON_BY = ("person", "helper")
_SKINS: tuple[str, ...] = get_args(Skin)
_STAIRS: tuple[str, ...] = get_args(StairsWay)
UNCLEAR, NOT_ASKED = "unclear", "not asked"
_UNREAD = {UNCLEAR: UNCLEAR, "?": UNCLEAR, NOT_ASKED: NOT_ASKED}
"""What stands for an answer that nobody can read, and for a question that was not on that paper."""
_NOTE = Words(2000)

Reader = Callable[[str], object]


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
    csv_formulas). A text that already reads as a quoted beginning gets one more quote. What
    changes the direction of reading is marked (`shown_text`).
    """
    text = shown_text.shown(text)
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
    """Morning stiffness, 0 to 720 minutes; the unit may stand behind it."""
    text = text.strip(" ")
    with_unit = _MINUTES.fullmatch(text)
    return _whole(text if with_unit is None else with_unit[1], 0, MOST_STIFFNESS_MINUTES)


def yes_or_no(text: str) -> bool:
    """1 is yes, 0 is no; so are the words."""
    text = text.strip(" ")
    value = _YES_NO.get(text.casefold())
    if value is None:
        raise CellFault(coded("not_no_or_yes", got=shown(text)))
    return value


def side(text: str) -> str:
    """A knee, as it is compared."""
    return text.strip().casefold()


def skin(text: str) -> str:
    """A word for the skin."""
    return _one_of(text, text.strip(" ").casefold(), _SKINS)


def stairs(text: str) -> str:
    """How stairs were taken."""
    return _one_of(text, "_".join(text.casefold().replace("_", " ").split()), _STAIRS)


def _one_of(text: str, word: str, allowed: tuple[str, ...]) -> str:
    if word not in allowed:
        what = coded("not_one_of", got=shown(text.strip(" ")), allowed=", ".join(allowed))
        raise CellFault(what)
    return word


def sign(text: str) -> None:
    """Whether a warning sign was ticked on paper. A yes is a fault that is told: which sign it was
    stands on no table."""
    if yes_or_no(text):
        raise CellFault(coded("sign_on_paper"))


def clock(text: str) -> time | None:
    """An hour of the day as 18:30, also written 18.30, 1830, 18 or 6:30 pm; None where it was not
    asked."""
    text = " ".join(text.casefold().split())
    if unread(text) == NOT_ASKED:
        return None
    found = _CLOCK.fullmatch(text)
    if found is None:
        raise CellFault(coded("not_an_hour", got=shown(text)))
    hours, minutes, half = int(found[1]), int(found[2] or 0), found[3]
    if half:
        if not 1 <= hours <= 12:
            raise CellFault(coded("not_an_hour", got=shown(text)))
        hours = hours % 12 + (12 if half == "p" else 0)
    if hours > 23 or minutes > 59:
        raise CellFault(coded("not_an_hour", got=shown(text)))
    return time(hours, minutes)


def put_on_by(text: str) -> str | None:
    """Who put tape on; None where it was not asked."""
    if unread(text) == NOT_ASKED:
        return None
    word = text.strip(" ").casefold()
    return _one_of(text, "person" if word == "me" else word, PUT_ON_BY)


def unread(text: str) -> str | None:
    """`UNCLEAR` or `NOT_ASKED` where a cell says so, in whatever way."""
    return _UNREAD.get(" ".join(text.casefold().split()))


def amount(text: str, unit: str = "") -> float:
    """A number from 0 to 100,000, with a point or a comma before its decimals; the unit of its
    column may stand behind it."""
    text = text.strip(" ")
    number = text
    if unit and text.casefold().endswith(unit.casefold()):
        number = text[: -len(unit)].rstrip(" ")
    if _DECIMAL.fullmatch(number) is None:
        raise CellFault(coded("not_an_amount", got=shown(text)))
    value = float(number.replace(",", "."))
    if value > MOST_AMOUNT:
        raise CellFault(coded("not_between", got=shown(text), least=0, most=MOST_AMOUNT))
    return value


def amount_text(value: float) -> str:
    """The shortest decimal text that `amount` reads as `value`, never with an exponent."""
    text = format(Decimal(repr(float(value))), "f")
    return text.removesuffix(".0")


def day(text: str) -> date:
    """A day as 2026-09-14, 14 Sep 2026, 14/09/2026 or 14.9.2026, from 1900 on."""
    return _day(text, month_first=False)


def day_month_first(text: str) -> date:
    """The same, where 09/14/2026 begins with its month."""
    return _day(text, month_first=True)


def _day(text: str, *, month_first: bool) -> date:
    text = text.strip(" ")
    numbers, words = _NUMBERS.fullmatch(text), _IN_WORDS.fullmatch(text)
    try:
        if _DAY.fullmatch(text) is not None:
            value = date.fromisoformat(text)
        elif numbers is not None:
            first, second, year = int(numbers[1]), int(numbers[3]), int(numbers[4])
            value = date(year, first, second) if month_first else date(year, second, first)
        elif words is not None and (month := _month(words[2])) is not None:
            value = date(int(words[3]), month, int(words[1]))
        else:
            raise CellFault(coded("not_a_day", got=shown(text)))
    except CellFault:
        raise
    except ValueError:
        raise CellFault(coded("not_in_the_calendar", got=shown(text))) from None
    if value < EARLIEST_DAY:
        raise CellFault(coded("before_year", day=value.isoformat(), year=EARLIEST_DAY.year))
    return value


def _month(word: str) -> int | None:
    """The month of a name or its first three letters, 1 to 12."""
    word = word.casefold()
    named = (n for n, month in enumerate(_MONTHS, 1) if word in (month, month[:3]))
    return next(named, 9 if word == "sept" else None)


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
