"""A page drawn from its `PageView`: the one way by which questions reach the screen."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, get_args

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from companion.care.records import Zone
from companion.presentation.language.phrases import phrase
from companion.presentation.view import page as view
from companion.ui.kit.beside import PictureBeside
from companion.ui.kit.controls import (
    ActionRow,
    AskedBeside,
    Bullets,
    Card,
    Choice,
    ChoiceList,
    Doors,
    HoldTimer,
    LevelGroup,
    NoteField,
    Notice,
    NumberField,
    PainScale,
    Paragraph,
    Phone,
    Problem,
    QuietButton,
    Steps,
    SubHeading,
    TextField,
    TickList,
    UrgentRow,
)
from companion.ui.kit.facts import FactList
from companion.ui.kit.page import Page, WidgetT
from companion.ui.kit.presses import presses
from companion.ui.kit.theme import GRID, Type
from companion.ui.kit.tiles import Tiles

if TYPE_CHECKING:
    from companion.ui.kit.knee_picture import KneePicture, ZonePicture

_Read = Callable[[], object]


class AskingPage(Page):
    """Shows a `PageView` and emits `given` with what was answered, by the name of each block.

    A needed block that is empty keeps the page, with one plain sentence beside it.
    """

    given = Signal(object)

    def __init__(
        self, shown: view.PageView, *, help_offered: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(
            shown.heading,
            above=shown.above,
            plan_mark=shown.mark,
            back=shown.back,
            stop=shown.stop,
            help_offered=help_offered,
            enter_presses_main=shown.enter_answers,
            parent=parent,
        )
        self.view = shown
        if shown.far:
            self.read_from_afar()
        self._reads: dict[str, _Read] = {}
        self._shows: dict[str, Callable[..., None]] = {}
        self._moving: _Moving | None = None
        self._beside: PictureBeside | None = None
        self._zones: tuple[ZonePicture, TickList] | None = None
        self._levels: dict[str, list[TickList]] = {}
        self._needs: list[tuple[_Read, Callable[[], bool], Problem, QWidget]] = []
        self._fields: list[NumberField] = []
        self._buttons: dict[QWidget, view.Button] = {}
        for block in shown.blocks:
            self._add(block)
        for number, other in enumerate(shown.others):
            button = self.add(QuietButton(other.text), 4 * GRID if number == 0 else 0)
            button.clicked.connect(self._pressed)
            self._buttons[button] = other
        if shown.main is not None:
            main = self.main_button(shown.main.text, last=shown.main_last)
            main.clicked.connect(self._pressed)
            self._buttons[main] = shown.main

    def keyPressEvent(self, event: QKeyEvent) -> None:
        far = self.view.far and self.main is not None and not event.isAutoRepeat()
        if far and event.key() == Qt.Key.Key_Space and self.main is not None:
            if presses().counts(event.key()):
                self.main.click()
        else:
            super().keyPressEvent(event)

    def show_answers(self, given: Mapping[str, object]) -> None:
        """Show what was answered here before, as far as the page still asks it."""
        for name, show in self._shows.items():
            if name in given:
                show(given[name])
        self._answered()

    def answer_now(self, button: view.Button) -> None:
        """Answer as if `button` had been pressed."""
        if button.asks and not self._complete():
            return
        given = {name: read() for name, read in self._reads.items()}
        self.given.emit(given | dict(button.given))

    def give_kept(self) -> bool:
        """Answer with what is chosen of the question whose answer is kept; False with nothing."""
        kept = self.view.kept
        if not kept or self._reads[kept]() in (None, [], ()):
            return False
        self.given.emit({name: read() for name, read in self._reads.items()})
        return True

    def is_begun(self) -> bool:
        """Whether anything on the page is answered, however little."""
        return (
            any(read() not in (None, [], ()) for read in self._reads.values())
            or any(answered() for _, answered, _, _ in self._needs)
            or any(field.problem() for field in self._fields)
        )

    def _pressed(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QWidget) and pressed in self._buttons:
            self.answer_now(self._buttons[pressed])

    def _complete(self) -> bool:
        first: QWidget | None = None
        for _read, answered, problem, control in self._needs:
            missing = not answered()
            problem.set_text(phrase("Choose an answer first.") if missing else "")
            if missing and first is None:
                first = control
        for field in self._fields:
            if field.problem() and first is None:
                field.show_problem(field.problem())
                first = field
        if first is not None:
            first.setFocus()
        return first is None

    def _answered(self) -> None:
        """What was missing and is there now is no longer said to be missing."""
        for _read, answered, problem, _control in self._needs:
            if answered():
                problem.set_text("")
        self._show_figures()

    def _need(
        self,
        question: QWidget,
        read: _Read,
        problem: Problem,
        answered: Callable[[], bool] | None = None,
    ) -> None:
        """Keep the page until there is an answer; then the focus goes to the question."""
        self._needs.append((read, answered or (lambda: read() is not None), problem, question))

    def _add(self, block: view.Block) -> None:  # noqa: PLR0912 - one branch a kind of block
        match block:
            case view.Text(text, weight):
                words = self._put(
                    Paragraph(text, quiet=weight == "quiet", strong=weight == "strong")
                )
                if self.view.far and weight != "quiet":
                    words.set_kind(Type.FAR)
            case view.Heading(text):
                heading = self._put(SubHeading(text), 4 * GRID)
                if self.view.far:
                    heading.set_kind(Type.HEADING)
            case view.Numbered(items, start):
                self._put(Steps(items, start))
            case view.Bulleted(items):
                self._put(Bullets(items))
            case view.Callout(text, heading):
                self._put(Notice(text, heading=heading))
            case view.DefinitionList(rows):
                self._put(FactList(rows))
            case view.CardBlock():
                self._put(card(block))
            case view.Phones(heading, lines):
                self._put(Card("care", heading, (), _phones(lines), level_word=""))
            case view.Picture():
                self._add_picture(block)
            case view.TwoColumns():
                self._add_beside(block)
            case view.KneeTick():
                self._add_knee_tick(block)
            case view.Choose():
                self._add_choose(block)
            case view.ActionList():
                self._add_ways(block)
            case view.Tick(name, question, options):
                self._put(Paragraph(question, strong=True))
                ticks = self._put(
                    TickList(question, _choices(options), columns=_columns(options)), 0
                )
                self._reads[name] = lambda: [str(value) for value in ticks.values()]
                self._shows[name] = lambda values: ticks.set_values(values or ())
            case view.LevelList(level, heading, items):
                self._put(LevelGroup(level, heading, Bullets(items)))
            case view.LevelTick():
                self._add_level_tick(block)
            case view.Scale():
                self._add_scale(block)
            case view.Number():
                self._add_number(block)
            case view.Write():
                self._add_field(block)
            case view.Timer(name, seconds, get_ready, pausable):
                hold = self._put(
                    HoldTimer(seconds, get_ready_seconds=get_ready, pausable=pausable), 3 * GRID
                )
                self._reads[name] = lambda: hold.seconds_held() or None

    def _put(self, widget: WidgetT, before: int = 2 * GRID) -> WidgetT:
        """Put a widget into the column, or beside a picture while one is being set."""
        if self._beside is None:
            return self.add(widget, before)
        return self._beside.add(widget, before)

    def _add_beside(self, block: view.TwoColumns) -> None:
        pair = PictureBeside()
        self.add(pair)
        self._beside = pair
        self._add_picture(block.picture)
        pair.begin_words()
        for inner in block.blocks:
            self._add(inner)
        pair.end()
        self._beside = None

    def _add_picture(self, block: view.Picture) -> None:
        from companion.ui.kit.knee_picture import KneePicture

        picture = self._put(KneePicture(block.drawing))
        if block.loop is not None:
            mover = self._put(QuietButton(phrase("Show the movement")), 0)
            mover.clicked.connect(self._move_picture)
            self._moving = _Moving(picture, mover, block)

    def _move_picture(self) -> None:
        if self._moving is not None:
            self._moving.turn()

    def _add_knee_tick(self, block: view.KneeTick) -> None:
        from companion.ui.kit.knee_picture import ZonePicture

        self._put(Paragraph(block.question, strong=True))
        picture = self._put(ZonePicture(block.side, block.seen_by, knee=block.knee))
        columns = _columns(block.options)
        ticks = self._put(TickList(block.question, _choices(block.options), columns=columns), GRID)
        self._zones = (picture, ticks)
        picture.zone_pressed.connect(self._zone_pressed)
        ticks.changed.connect(self._zones_ticked)
        self._reads[block.name] = lambda: [str(value) for value in ticks.values()]
        self._shows[block.name] = self._show_zones

    def _show_zones(self, zones: Sequence[object]) -> None:
        if self._zones is not None:
            self._zones[1].set_values(zones)
            self._zones_ticked(zones)

    def _zone_pressed(self, zone: str) -> None:
        if self._zones is not None:
            _, ticks = self._zones
            now = [str(value) for value in ticks.values()]
            now = [one for one in now if one != zone] if zone in now else [*now, zone]
            ticks.set_values(now)
            self._zones_ticked(ticks.values())

    def _zones_ticked(self, ticked: Sequence[object]) -> None:
        if self._zones is not None:
            self._zones[0].set_marked([zone for zone in get_args(Zone) if zone in ticked])

    def _add_ways(self, block: view.ActionList) -> None:
        # One way alone, or long ones, take the whole column.
        doors = self._put(Doors() if not block.urgent else Tiles(), 3 * GRID)
        for option in block.options:
            kind = UrgentRow if block.urgent else ActionRow
            row = doors.add(kind(option.word, option.line))
            row.clicked.connect(self._pressed)
            self._buttons[row] = view.Button("", ((block.name, option.value),), asks=False)

    def _add_choose(self, block: view.Choose) -> None:
        choices = _choices(block.options)
        question: QWidget
        if block.beside:
            asked = self._put(AskedBeside(block.question, choices), GRID)
            question, rows = asked.words, asked.rows
            problem = self._put(Problem(), 0)
        else:
            question = self._put(_Question(block.question))
            problem = self._put(Problem(), 0)
            rows = self._put(
                ChoiceList(block.question, choices, columns=_columns(block.options)), 0
            )
        # An empty value is the answer "I can't say": chosen, and absent in the record.
        self._reads[block.name] = lambda: rows.value() if rows.value() != "" else None
        self._shows[block.name] = lambda value: rows.set_value("" if value is None else value)
        if block.unless:
            other = self._reads[block.unless]
            self._need(question, rows.value, problem, lambda: bool(rows.is_answered() or other()))
        elif block.needed:
            self._need(question, rows.value, problem)
        if block.needed:
            rows.chosen.connect(self._answered)

    def _add_number(self, block: view.Number) -> None:
        number = self._put(
            NumberField(
                block.question,
                unit=block.unit,
                low=block.least,
                high=block.most,
                decimals=block.decimals,
            ),
            3 * GRID,
        )
        self._reads[block.name] = number.value
        self._shows[block.name] = number.set_value
        self._fields.append(number)
        if block.needed:
            self._need(number, number.value, self._put(Problem(), 0))

    def _add_field(self, block: view.Write) -> None:
        kind = TextField if block.lines == "one" else NoteField
        field = self._put(kind(block.question, most_characters=block.most_characters), 3 * GRID)
        self._reads[block.name] = lambda: _typed(field.text())
        self._shows[block.name] = lambda text: field.set_text(text or "")

    def _add_level_tick(self, block: view.LevelTick) -> None:
        ticks = TickList(block.heading, _choices(block.options))
        self._put(LevelGroup(block.level, block.heading, ticks))
        lists = self._levels.setdefault(block.name, [])
        lists.append(ticks)
        self._reads[block.name] = lambda: [str(v) for one in lists for v in one.values()]

        def show(values: Sequence[object] | None) -> None:
            for one in lists:
                one.set_values(values or ())

        self._shows[block.name] = show

    def _add_scale(self, block: view.Scale) -> None:
        question = self._put(_Question(block.question))
        problem = self._put(Problem(), 0)
        scale = self._put(
            PainScale(block.question, low=block.low, high=block.high, cant_say=block.cannot_say),
            GRID,
        )
        self._reads[block.name] = scale.value
        self._shows[block.name] = scale.show_answer
        if block.needed:
            self._need(question, scale.value, problem, scale.is_answered)
            scale.answered.connect(self._answered)


class _Question(Paragraph):
    """A question over its answers. It takes the focus when it was left open: not an answer, which
    the next key would give."""

    def __init__(self, text: str) -> None:
        super().__init__(text, strong=True)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)


class _Moving:
    """A picture that moves while its button says so; its loop is drawn when first asked for."""

    def __init__(self, picture: KneePicture, mover: QuietButton, block: view.Picture) -> None:
        self._picture, self._mover, self._block = picture, mover, block

    def turn(self) -> None:
        """Begin to move, or be still again."""
        if self._picture.is_moving():
            self._picture.stop()
            self._mover.set_words(phrase("Show the movement"))
        elif self._block.loop is not None:
            self._picture.set_drawing(self._block.drawing, loop=self._block.loop())
            self._picture.play()
            self._mover.set_words(phrase("Stop the movement"))


def card(block: view.CardBlock) -> Card:
    """A card as it stands on every page that shows it."""
    phones = _phones(block.phones)
    return Card(block.level, block.heading, block.actions, phones, no_answer=block.no_answer)


def _phones(lines: tuple[view.PhoneLine, ...]) -> list[Phone]:
    none = phrase("no number is written here")
    return [Phone(line.who, line.number or none, line.when) for line in lines]


_SHORT = 24


def _columns(options: tuple[view.Option, ...]) -> int:
    """Short answers stand side by side while they fit."""
    return 2 if all(len(o.word) <= _SHORT and not o.line for o in options) else 1


def _choices(options: tuple[view.Option, ...]) -> list[Choice]:
    return [Choice(option.value, option.word, option.line) for option in options]


def _typed(text: str) -> str | None:
    """What a person typed, without control characters; None when nothing was."""
    return "".join(c for c in text if c.isprintable() or c == "\n").strip() or None
