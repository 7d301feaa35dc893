"""Weeks on paper as they are typed: the printed forms, one key a cell. No Qt.

What a key means follows from the question it stands at; what is typed is read as a table is read
(`services/paper_weeks`), so a slip costs its cell and is marked while it is there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from companion.care.coded import Coded
from companion.care.records import AnyEntry, Diary
from companion.exchange.table_cells import NOT_ASKED, UNCLEAR
from companion.presentation.home.record_view import day_chart
from companion.presentation.language.phrases import dated, listed, phrase, weekday
from companion.presentation.language.said import said_words
from companion.presentation.language.words import this_knee
from companion.presentation.papers.day_form import Boxes, DayForm, Gap, Part, Ring, forms_of
from companion.presentation.view.chart import Chart
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Button,
    Heading,
    PageView,
    Text,
    make_page,
)
from companion.services.paper_weeks import Slip, TypedDay, read_days, written_days
from companion.services.paper_weeks_kept import HalfTyped, KeptCell

TEN = "t"
_UNREAD = {"?": UNCLEAR, "-": NOT_ASKED}
Step = str
"""What a key other than a letter does: "on", "back", "rub", "next_day", "day_before"."""


@dataclass(frozen=True, slots=True)
class TypedCell:
    """A question of a form that is typed, and where it stands: `row` and `place` in that row."""

    row: int
    place: int
    part: Part


class TypedWeeks:
    """All forms of some weeks, what was typed into them, and where the next key goes."""

    def __init__(self, diary: Diary, first_day: date, days: int, now: datetime) -> None:
        """`now` (aware) is when the days are typed."""
        self.diary, self._plan, self._now = diary, diary.plan, now
        self.forms: tuple[DayForm, ...] = forms_of(diary.plan, first_day, days)
        self.days = (first_day, first_day + timedelta(days=days - 1))
        self._texts: list[dict[str, str]] = [{} for _ in self.forms]
        self._cells = [tuple(_typed_cells(form)) for form in self.forms]
        self._written = written_days(diary)
        self._read: tuple[tuple[AnyEntry, ...], tuple[Slip, ...]] | None = None
        self.form_at = 0
        self.cell_at = 0
        self.at_end = False
        """Whether the last cell of the last form was passed."""

    @classmethod
    def taken_up(cls, diary: Diary, half: HalfTyped, days: int, now: datetime) -> TypedWeeks:
        """Weeks that were left half typed, where they were left; `days` are those there are now.

        A knee or question that the plan at hand has no more is not asked, and what stood there is
        not taken in.
        """
        weeks = cls(diary, half.first, max(days, half.days), now)
        places = {(form.day, form.side): at for at, form in enumerate(weeks.forms)}
        asked = [[cell.part.column for cell in cells] for cells in weeks._cells]
        for cell in half.cells:
            at = places.get((cell.day, cell.side))
            if at is not None and cell.column in asked[at]:
                weeks._texts[at][cell.column] = cell.text
        there = half.next_at
        weeks.form_at = places.get((there.day, there.side), 0)
        if there.column in asked[weeks.form_at]:
            weeks.cell_at = asked[weeks.form_at].index(there.column)
        return weeks

    def half_typed(self) -> HalfTyped:
        """All that was typed, to be kept until it is taken in."""
        first, last = self.days
        return HalfTyped(
            first=first,
            days=(last - first).days + 1,
            cells=tuple(
                KeptCell(day=form.day, side=form.side, column=column, text=text)
                for form, texts in zip(self.forms, self._texts, strict=True)
                for column, text in texts.items()
            ),
            next_at=KeptCell(day=self.form.day, side=self.form.side, column=self.cell.part.column),
        )

    # ------------------------------------------------------------ what is there

    @property
    def form(self) -> DayForm:
        """The form that is typed."""
        return self.forms[self.form_at]

    @property
    def cells(self) -> tuple[TypedCell, ...]:
        """Its questions that are typed, in order."""
        return self._cells[self.form_at]

    @property
    def cell(self) -> TypedCell:
        """The one the next key goes to."""
        return self.cells[self.cell_at]

    def text(self, part: Part) -> str:
        """What was typed at a question of this form."""
        return self._texts[self.form_at].get(part.column, "")

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed at all."""
        return not any(self._texts)

    @property
    def is_written(self) -> bool:
        """Whether the diary has a page of this form's day and knee already."""
        return (self.form.day, self.form.side) in self._written

    def slip(self, part: Part) -> Coded | None:
        """Why what was typed at a question of this form is not taken."""
        return next(
            (
                slip.what
                for slip in self.slips()
                if (slip.day, slip.side, slip.column)
                == (self.form.day, self.form.side, part.column)
            ),
            None,
        )

    # ------------------------------------------------------------ keys

    def press(self, key: str) -> bool:
        """Use one typed letter, and go on where it fills its cell. False where it means nothing."""
        part = self.cell.part
        text = self.text(part)
        if key in _UNREAD and (not isinstance(part, Gap) or not text):
            if part.column == "note":
                return self._add(key)
            return self._fill(_UNREAD[key])
        match part:
            case Ring():
                if key.isascii() and key.isdecimal():
                    return self._fill(key)
                return key.casefold() == TEN and self._fill("10")
            case Boxes():
                return self._tick(part, key)
            case Gap():
                return self._tick_next(key) or self._add(key)

    def step(self, step: Step) -> None:
        """Go on without an answer, go back, take away what was typed last, or change the day."""
        match step:
            case "on":
                self._on()
            case "back":
                self._back()
            case "rub":
                self._rub()
            case "next_day":
                self._to_form(self.form_at + 1)
            case _:
                self._to_form(self.form_at - 1)

    def go_to(self, cell: int) -> None:
        """Go to a question of this form."""
        self.cell_at, self.at_end = cell, False

    def _tick(self, boxes: Boxes, key: str) -> bool:
        place = box_keys(boxes).find(key.casefold())
        return place >= 0 and self._fill((boxes.cells or boxes.options)[place])

    def _tick_next(self, key: str) -> bool:
        """Whether a letter ends a number: it ticks a box of the question behind it."""
        boxes = self._boxes_behind()
        if boxes is None or key.casefold() not in box_keys(boxes):
            return False
        if not self.text(self.cell.part).isdecimal():
            return False
        self._on()
        return self._tick(boxes, key)

    def _boxes_behind(self) -> Boxes | None:
        """The boxes behind a number in its row; behind an hour, a letter may be of the hour."""
        here = self.cell
        if isinstance(here.part, Gap) and here.part.unit:
            for cell in self.cells[self.cell_at + 1 :]:
                if cell.row == here.row and isinstance(cell.part, Boxes):
                    return cell.part
        return None

    def _add(self, key: str) -> bool:
        part = self.cell.part
        before = self.text(part)
        if not key.isprintable() or (not before and key == " "):
            return False
        if before in _UNREAD.values() and part.column != "note":
            before = ""
        text = before + key
        full = isinstance(part, Gap) and part.letters == len(text) and text.isdecimal()
        return self._fill(text) if full else self._put(text)

    def _fill(self, text: str) -> bool:
        self._put(text)
        self._on()
        return True

    def _put(self, text: str) -> bool:
        texts, column = self._texts[self.form_at], self.cell.part.column
        self.at_end = False
        if text:
            texts[column] = text
        else:
            texts.pop(column, None)
        self._read = None
        return True

    def _rub(self) -> None:
        text = self.text(self.cell.part)
        if not text:
            self._back()
        elif isinstance(self.cell.part, Gap) and text not in _UNREAD.values():
            self._put(text[:-1])
        else:
            self._put("")

    def _on(self) -> None:
        ahead = range(self.cell_at + 1, len(self.cells))
        following = next((at for at in ahead if not self._ruled_out(at)), None)
        if following is not None:
            self.cell_at = following
        elif self.form_at + 1 < len(self.forms):
            self.form_at, self.cell_at = self.form_at + 1, 0
        else:
            self.at_end = True

    def _ruled_out(self, cell: int) -> bool:
        """Whether what was typed before leaves nothing to answer there: it is passed over, and can
        still be gone to."""
        texts = self._texts[self.form_at]
        match self.cells[cell].part.column:
            case "tape_on" | "after_tape":
                return texts.get("tape_stage") == "0"
            case "tape_by":
                return "tape_on" not in texts
            case _:
                return False

    def _back(self) -> None:
        self.at_end = False
        if self.cell_at:
            self.cell_at -= 1
        elif self.form_at:
            self.form_at -= 1
            self.cell_at = len(self.cells) - 1

    def _to_form(self, number: int) -> None:
        if 0 <= number < len(self.forms):
            self.form_at, self.cell_at, self.at_end = number, 0, False

    # ------------------------------------------------------------ what comes of it

    def entries(self) -> tuple[AnyEntry, ...]:
        """What is taken in. A day the diary has a page of already is left out, and told."""
        return self._reading()[0]

    def slips(self) -> tuple[Slip, ...]:
        """What of it is not taken, and why."""
        return self._reading()[1]

    def _reading(self) -> tuple[tuple[AnyEntry, ...], tuple[Slip, ...]]:
        if self._read is None:
            typed = [
                TypedDay(form.day, form.side, texts)
                for form, texts in zip(self.forms, self._texts, strict=True)
                if texts and (form.day, form.side) not in self._written
            ]
            self._read = read_days(self._plan, typed, self._now)
        return self._read

    def not_taken(self) -> tuple[str, ...]:
        """Each slip as a line, and each day that is written already, in the order of the days."""
        written = phrase("this day is in the diary already: put it right there")
        lines: list[str] = []
        for form, texts in zip(self.forms, self._texts, strict=True):
            here, name = (form.day, form.side), self._name(form)
            if texts and here in self._written:
                lines.append(phrase("{day}: {what}.", day=name, what=written))
            slips = [slip for slip in self.slips() if (slip.day, slip.side) == here]
            lines += [self._told(name, form, slip) for slip in slips]
        return tuple(lines)

    def _told(self, name: str, form: DayForm, slip: Slip) -> str:
        words = next((c.words for row in form.rows for c in row if c.column == slip.column), "")
        what = said_words(slip.what)
        if not words:
            return phrase("{day}: {what}.", day=name, what=what)
        return phrase("{day}, {question}: {what}.", day=name, question=words, what=what)

    def _name(self, form: DayForm) -> str:
        day = phrase("{weekday} {day}", weekday=weekday(form.day), day=dated(form.day))
        if len(self._plan.sides) == 1:
            return day
        return phrase("{day}, {knee}", day=day, knee=this_knee(form.side))

    def chart(self) -> Chart:
        """The pain of the knee of this form, with what the diary had before in the same days."""
        entries = (*self.diary.entries, *self.entries())
        first, last = self.days
        return day_chart(entries, self.diary.plans, self.form.side, first, last)

    def state(self) -> str:
        """Which sheet it is of how many, and how much of all is not taken in."""
        number, count = self.form_at + 1, len(self.forms)
        said = [phrase("Sheet {number} of {count}.", number=number, count=count)]
        if self.is_written:
            said.append(phrase("This day is in the diary already: what is typed is not taken in."))
        odd = len(self.not_taken())
        if odd:
            said.append(
                phrase(
                    "{n} answer is not taken in: the list is below the chart.",
                    "{n} answers are not taken in: the list is below the chart.",
                    n=odd,
                )
            )
        return " ".join(said)

    def cell_said(self) -> str:
        """The question the next key goes to and what stands there, as a reader says it."""
        part = self.cell.part
        text = self.text(part)
        return phrase("{question}: {answer}", question=part.words, answer=text or phrase("empty"))

    def keys_now(self) -> str:
        """Which keys answer the question."""
        match self.cell.part:
            case Ring():
                return phrase("0 to 9. t is 10.")
            case Boxes() as boxes:
                return phrase("Press the letter that is underlined: {keys}.", keys=_spelt(boxes))
            case Gap(letters=0) if self._boxes_behind() is not None:
                return phrase("Write the number, then the letter of the next answer, or Enter.")
            case Gap(letters=0):
                return phrase("Write what stands there, then Enter.")
            case Gap():
                return phrase("Four figures, such as 1830. With fewer: then Enter.")


def every_key() -> str:
    """The keys that are the same everywhere on the sheet."""
    return phrase(
        "Enter: left empty. ? cannot be read. - was not asked. Backspace: take it back. "
        "Page Down: the rest of the day is empty. Page Up: the day before."
    )


def box_keys(part: Boxes) -> str:
    """The key of each box: the first letter of its words that none before it has."""
    keys = ""
    for option in part.options:
        letters = (letter for letter in option.casefold() if letter.isalnum())
        keys += next(letter for letter in letters if letter not in keys)
    return keys


def _spelt(part: Boxes) -> str:
    return listed(
        phrase("{key} {words}", key=key, words=words)
        for key, words in zip(box_keys(part), part.options, strict=True)
    )


def _typed_cells(form: DayForm) -> Iterator[TypedCell]:
    for number, row in enumerate(form.rows):
        for place, part in enumerate(row):
            if part.column:
                yield TypedCell(number, place, part)


def start_words(first: date, last: date, *, damaged: bool = False) -> tuple[str, ...]:
    """What is said before the first day is typed; `damaged` where what was left cannot be read."""
    unread = phrase(
        "What was typed last and not kept cannot be read: type it again from the paper."
    )
    return (
        *((unread,) if damaged else ()),
        phrase("Have the filled-in sheets at hand, in their order."),
        phrase(
            "From {first} to {last} nothing is written down here yet.",
            first=dated(first),
            last=dated(last),
        ),
    )


def leave_view() -> PageView:
    """Whether what was typed is given up."""
    return make_page(
        "weeks_leave",
        phrase("Leave these days?"),
        Text(phrase("What you typed is not in the diary yet. You can go on another day.")),
        main=Button(phrase("Go on typing")),
        others=(
            Button(phrase("Go on another day"), (("weeks", "later"),), asks=False),
            Button(phrase("Give it up"), (("weeks", "away"),), asks=False),
        ),
        stop=False,
    )


def taken_up_view(half: HalfTyped) -> PageView:
    """Whether weeks that were left half typed are gone on with."""
    last = half.first + timedelta(days=half.days - 1)
    days = len({cell.day for cell in half.cells})
    return make_page(
        "weeks_half",
        phrase("Go on with the days you began?"),
        Text(
            phrase(
                "Sheets from {first} to {last}: {n} day has answers. It is not in the diary.",
                "Sheets from {first} to {last}: {n} days have answers. They are not in the diary.",
                n=days,
                first=dated(half.first),
                last=dated(last),
            )
        ),
        main=Button(phrase("Go on typing")),
        others=(Button(phrase("Give it up"), (("weeks", "away"),), asks=False),),
        stop=False,
    )


def kept_view(entries: Sequence[AnyEntry], not_taken: Sequence[str]) -> PageView:
    """What was taken in, and what was not."""
    days = len({entry.for_day for entry in entries})
    blocks: list[Block] = [
        Text(phrase("{n} day is in the diary now.", "{n} days are in the diary now.", n=days))
    ]
    if not_taken:
        blocks += [Heading(phrase("Not taken in")), Bulleted(tuple(not_taken))]
    return PageView(
        key="weeks_kept",
        heading=phrase("Weeks on paper"),
        blocks=tuple(blocks),
        main=Button(phrase("Next")),
        back=False,
        stop=False,
    )
