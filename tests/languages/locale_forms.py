"""How a language writes days, numbers and lists, from the common locale data (CLDR, by Babel)."""

from __future__ import annotations

import json
import re

from babel import Locale
from babel.dates import get_date_format
from babel.numbers import get_decimal_symbol
from babel.units import format_unit

_FIELDS = {
    "EEEE": "{weekday}",
    "MMMM": "{month}",
    "LLLL": "{month}",
    "MMM": "{short_month}",
    "y": "{year}",
    "d": "{day}",
}
_KEEP_CAPITALS = ("de", "lb")
"""Languages that write nouns large: a word keeps its first letter inside a sentence."""

_SEMICOLONS = {"el": "\u0387", "ar": "\u061b", "fa": "\u061b", "ur": "\u061b", "fr": "\u00a0;"}
"""Where the mark is another, or stands off (common practice, no source: CLDR has lists by commas
alone)."""


def forms_of(tag: str, unread: str = "") -> dict[str, object]:
    """The fields of `Forms` for a language; `unread` is said of it. Raises ValueError for a pattern
    it has no words for."""
    locale = Locale.parse(tag, sep="-")
    week, months = locale.days["format"]["wide"], locale.months["format"]
    lists = locale.list_patterns["standard"]
    skeletons = locale.datetime_skeletons
    own = locale.get_display_name(locale) or tag
    return {
        "name": own[:1].upper() + own[1:],
        "unread": unread,
        "weekdays": [week[day] for day in range(7)],
        "months": [months["wide"][month] for month in range(1, 13)],
        "short_months": [months["abbreviated"][month] for month in range(1, 13)],
        "short_day": _pattern(skeletons["MMMd"].pattern),
        "long_day": _pattern(skeletons["MMMMEd"].pattern.replace("E", "EEEE"))
        if "MMMMEd" in skeletons
        else _pattern(get_date_format("full", locale).pattern),
        "dated": _pattern(get_date_format("long", locale).pattern),
        "month_year": _pattern(skeletons["yMMMM"].pattern),
        "comma": _list(lists["start"]),
        "semicolon": "{first}" + _SEMICOLONS.get(locale.language, ";") + " {last}",
        "last_of_two": _list(lists["2"]),
        "last_of_many": _list(lists["end"]),
        "decimal": get_decimal_symbol(locale),
        "percent": re.sub("[#,0]+", "{number}", locale.percent_formats[None].pattern),
        "unit_gap": format_unit(3, "length-millimeter", "short", locale=locale)[1:2],
        "lowers": locale.language not in _KEEP_CAPITALS,
        "right_to_left": locale.text_direction == "rtl",
    }


def forms_bytes(tag: str, unread: str = "") -> bytes:
    """The same as the file beside the catalogue."""
    return (json.dumps(forms_of(tag, unread), ensure_ascii=False, indent=1) + "\n").encode()


def _pattern(pattern: str) -> str:
    made = ""
    for part in re.finditer(r"'([^']*)'|(([A-Za-z])\3*)|[^A-Za-z']+", pattern):
        if part.group(1) is not None:
            made += part.group(1)
        elif part.group(2):
            if part.group(2) not in _FIELDS:
                raise ValueError(f"{pattern}: what is {part.group(2)}?")
            made += _FIELDS[part.group(2)]
        else:
            made += part.group()
    return made


def _list(pattern: str) -> str:
    return pattern.replace("{0}", "{first}").replace("{1}", "{last}")
