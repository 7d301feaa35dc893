"""Every sentence a person reads passes through `phrase`: one place for plurals and for languages.

Call sites hold literals, never f-strings, so that a translation can be looked up by its English.
English needs no catalogue; another language hands in what says a sentence in it (`translated`),
which is loaded with the language that was chosen and not before.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal

Translate = Callable[[str, str | None, str, Mapping[str, object]], str]
"""(text, many, context, values) -> the sentence in another language, filled in."""


class Forms:
    """How a language writes days, numbers and lists; as they stand here, English does.

    Names begin with Monday and January. Patterns hold {weekday}, {day}, {month}, {short_month},
    {year}; {hour} and {minute}, two digits each; {first} and {last} of a list; {number}. `name` is
    what the language calls itself, `unread` what is said in it where no native clinician has read
    it yet.
    """

    name = "English"
    unread = ""
    weekdays = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
    months = (
        *("January", "February", "March", "April", "May", "June", "July", "August"),
        *("September", "October", "November", "December"),
    )
    short_months = tuple(name[:3] for name in months)
    short_day = "{day} {short_month}"
    long_day = "{weekday} {day} {month}"
    dated = "{day} {month} {year}"
    month_year = "{month} {year}"
    clock = "{hour}:{minute}"
    comma = "{first}, {last}"
    semicolon = "{first}; {last}"
    last_of_two = "{first} and {last}"
    last_of_many = "{first} and {last}"
    decimal = "."
    percent = "{number} %"
    unit_gap = " "
    """Between a number and its unit."""
    lowers = True
    """Whether a word that began a sentence begins small inside one."""
    right_to_left = False

    def day(self, pattern: str, day: date) -> str:
        """A day by one of the patterns."""
        return pattern.format(
            weekday=self.weekdays[day.weekday()],
            day=day.day,
            month=self.months[day.month - 1],
            short_month=self.short_months[day.month - 1],
            year=day.year,
        )


_translate: Translate | None = None
_forms = Forms()
_tag = "en"


class Rendered(str):
    """Words in another language that know their English, by which a whole sentence is found."""

    __slots__ = ("english",)
    english: str

    def __new__(cls, words: str, english: str) -> "Rendered":
        """`words` are those of the language, `english` what they were said for."""
        said = super().__new__(cls, words)
        said.english = english
        return said


def phrase(text: str, many: str | None = None, /, *, context: object = "", **values: object) -> str:
    """`text`, or `many` when the value `n` is not 1, filled with `values`.

    `context` tells a translator what is meant where the same English is said of two things.
    """
    if _translate is not None:
        return _translate(text, many, str(context), values)
    chosen = text if many is None or values["n"] == 1 else many
    return chosen.format(**values)


def speak(tag: str, translate: Translate | None, forms: Forms) -> None:
    """Say everything from now on in the language `tag`; English where `translate` is None."""
    global _forms, _tag, _translate
    _forms, _tag, _translate = forms, tag, translate


def spoken() -> str:
    """The language of what `phrase` says, such as "en"."""
    return _tag


def forms() -> Forms:
    """How that language writes days, numbers and lists."""
    return _forms


def reworded(words: str, change: Callable[[str], str], *, here: bool = True) -> str:
    """`words` changed, where `here`, and always their English, where they know it."""
    said = change(words) if here else words
    return Rendered(said, change(words.english)) if isinstance(words, Rendered) else said


def listed(words: Iterable[str]) -> str:
    """`a, b, c`."""
    return _strung(_forms.comma, words)


def parted(words: Iterable[str]) -> str:
    """`a; b; c`: for parts that hold commas."""
    return _strung(_forms.semicolon, words)


def _strung(pattern: str, words: Iterable[str]) -> str:
    said = ""
    for number, word in enumerate(words):
        said = pattern.format(first=said, last=word) if number else word
    return said


def in_figures(value: float | Decimal, form: str = "g") -> str:
    """`7.5` by a form of Python's, with the decimal sign of the language."""
    return format(value, form).replace(".", _forms.decimal)


def joined(words: Iterable[str]) -> str:
    """`a, b and c`."""
    *first, last = list(words) or [""]
    if not first:
        return last
    pattern = _forms.last_of_two if len(first) == 1 else _forms.last_of_many
    return pattern.format(first=listed(first), last=last)


def weekday(day: date) -> str:
    """The weekday in words."""
    return _forms.weekdays[day.weekday()]


def short_day(day: date) -> str:
    """A day for a chart or table: `2 Nov`."""
    return _forms.day(_forms.short_day, day)


def long_day(day: date) -> str:
    """A day in words: `Monday 2 November`."""
    return _forms.day(_forms.long_day, day)


def dated(day: date) -> str:
    """A day with its year: `2 November 2026`."""
    return _forms.day(_forms.dated, day)


def month_year(day: date) -> str:
    """The month of a day: `November 2026`."""
    return _forms.day(_forms.month_year, day)


def clock_time(at: datetime) -> str:
    """A time of day: `19:42`."""
    return _forms.clock.format(hour=f"{at.hour:02d}", minute=f"{at.minute:02d}")
