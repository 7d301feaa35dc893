"""Words for the codes of a `Literal`: a row for each, every word through the phrase function."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import (
    ClassVar,
    Generic,
    Protocol,
    Self,
    TypeVar,
    cast,
    dataclass_transform,
    get_args,
    overload,
)

from companion.presentation.language.phrases import forms, phrase, reworded


@dataclass_transform(frozen_default=True)
class Wording:
    """The words of one code, a column for each place that says it.

    A subclass names its columns as fields; each is said through the phrase function when it is
    read. It is no dataclass and no named tuple, because those write and compile methods for each
    class, which the first paint would have to wait for.
    """

    __slots__ = ("_texts", "_values")
    columns: ClassVar[tuple[str, ...]] = ()

    def __init_subclass__(cls) -> None:
        own = tuple(cls.__annotations__)
        cls.columns = (*cls.columns, *own)
        for column in own:
            setattr(cls, column, property(partial(_said, column=column)))

    def __init__(self, *texts: str) -> None:
        """A text for each column, in their order."""
        self._texts = dict(zip(self.columns, texts, strict=True))
        self._values: dict[str, object] = {}

    def filled(self, **values: object) -> Self:
        """The same row, with what stands in braces filled in."""
        row = type(self)(*self._texts.values())
        row._values = values
        return row

    def counted(self, one: str, many: str, n: int) -> str:
        """The column `one` for a single thing, else the column `many`, with `n`."""
        return phrase(self._texts[one], self._texts[many], n=n)

    def text(self, column: str) -> str:
        """A column as written: what a translation is made from."""
        return self._texts[column]


def _said(row: Wording, column: str) -> str:
    return phrase(row._texts[column], **row._values)


class WordAndLine(Wording):
    """What is chosen as a word and one line."""

    word: str
    line: str


Code = TypeVar("Code")
Words_co = TypeVar("Words_co", bound=object, covariant=True)


class ForHome(Protocol):
    """A row that says what the person is told."""

    @property
    def home(self) -> str:
        """It."""


class ForClinic(Protocol):
    """A row that says what the clinic is told."""

    @property
    def clinic(self) -> str:
        """It."""


class CodeTable(Generic[Code, Words_co]):
    """The rows of a `Literal`, in its order.

    A row is a str where everybody is told the same, else a `Wording`. Raises TypeError where rows
    and codes differ, so that a code without words is found when the module is loaded and not when
    somebody first has that code.
    """

    def __init__(self, codes: object, rows: dict[Code, Words_co]) -> None:
        """`codes` is the `Literal` whose members `rows` has for keys."""
        self.codes: tuple[Code, ...] = get_args(codes)
        self.rows = rows
        if set(self.codes) != set(rows):
            differ = sorted(map(str, set(self.codes).symmetric_difference(rows)))
            raise TypeError(f"codes and rows differ in {', '.join(differ)}")

    def __getitem__(self, code: Code) -> Words_co:
        """The words of a code."""
        row = self.rows[code]
        return cast(Words_co, phrase(row) if isinstance(row, str) else row)

    def said(self: CodeTable[Code, str], code: Code, **values: object) -> str:
        """The words of a code whose row is a str, filled with `values`."""
        return phrase(self.rows[code], **values)

    def find(self, code: object) -> Words_co | None:
        """The words of what may be a code of this set; None for anything else."""
        return self[code] if code in self.codes else None

    def __iter__(self) -> Iterator[Code]:
        """The codes, in their order."""
        return iter(self.codes)

    def items(self) -> Iterator[tuple[Code, Words_co]]:
        """Each code with its words, in the order of the codes."""
        return ((code, self[code]) for code in self.codes)


@overload
def home_words(table: CodeTable[Code, str | ForHome], code: Code) -> str: ...
@overload
def home_words(table: CodeTable[Code, str | ForHome], code: None) -> None: ...
def home_words(table: CodeTable[Code, str | ForHome], code: Code | None) -> str | None:
    """What the person is told of a code; None for none."""
    if code is None:
        return None
    row = table[code]
    return row if isinstance(row, str) else row.home


@overload
def clinic_words(table: CodeTable[Code, str | ForClinic], code: Code) -> str: ...
@overload
def clinic_words(table: CodeTable[Code, str | ForClinic], code: None) -> None: ...
def clinic_words(table: CodeTable[Code, str | ForClinic], code: Code | None) -> str | None:
    """What the clinic is told of a code; None for none."""
    if code is None:
        return None
    row = table[code]
    return row if isinstance(row, str) else row.clinic


def capital(words: str) -> str:
    """The same at the beginning of a sentence, or as an answer that stands alone."""
    return reworded(words, lambda said: said[:1].upper() + said[1:])


def inside(words: str) -> str:
    """The same inside a sentence; as it is in a language that does not make it small there."""
    return reworded(words, lambda said: said[:1].lower() + said[1:], here=forms().lowers)
