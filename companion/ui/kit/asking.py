"""A page drawn from its `PageView`: the one way by which questions reach the screen."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, get_args

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from companion.care.records import Zone
from companion.presentation.language import codes
from companion.presentation.language.phrases import phrase
from companion.presentation.view import page as view
from companion.ui.kit.accessible import announce, in_sentences, tell_wrong
from companion.ui.kit.buttons import ActionRow, LookOverRow, QuietButton, UrgentRow
from companion.ui.kit.columns import EVEN_SHARE, WIDE, Part
from companion.ui.kit.controls import (
    AskedBeside,
    Bullets,
    Card,
    Choice,
    ChoiceList,
    HoldTimer,
    LevelGroup,
    NoteField,
    Notice,
    NumberField,
    PainScale,
    Problem,
    Steps,
    SubHeading,
    TextField,
    TickList,
)
from companion.ui.kit.facts import FactList
from companion.ui.kit.keys import single_keys
from companion.ui.kit.page import Opening, Page
from companion.ui.kit.presses import presses
from companion.ui.kit.side_by_side import SideBySide
from companion.ui.kit.text import Paragraph, show_when
from companion.ui.kit.theme import GRID, Type, current
from companion.ui.kit.tiles import Tiles

if TYPE_CHECKING:
    from companion.ui.kit.knee_picture import KneePicture
    from companion.ui.kit.step_clock import StepClock

_Read = Callable[[], object]


class AskingPage(Page):
    """Shows a `PageView` and emits `given` with what was answered, by the name of each block.

    A needed block that is empty keeps the page, with one plain sentence beside it.
    """

    submitted = Signal(object)
    _is_even = False
    """Whether a small window is halved between its columns."""
    _has_scales_alone = False
    """Whether in large text any window is, and a small one in any text."""

    def __init__(self, shown: view.PageView, *, help_offered: bool = False) -> None:
        super().__init__(
            shown.heading,
            above=shown.above,
            plan_mark=shown.mark,
            back=shown.back,
            stop=shown.stop,
            help_offered=help_offered,
            enter_presses_main=shown.enter_answers,
        )
        self.view = shown
        self._is_even = _is_even(shown.blocks)
        self._has_scales_alone = _has_scales_alone(shown.blocks)
        self.reads_itself = any(
            isinstance(one, view.Counting | view.Moments) for one in shown.blocks
        )
        self._late: list[QuietButton] = []
        """On a stage, what would stand under the picture."""
        if shown.far:
            self.read_from_afar(stage=view.is_stage(shown))
        self._reads: dict[str, _Read] = {}
        self._shows: dict[str, Callable[..., None]] = {}
        self._moving: _Moving | None = None
        self._moments: _Moments | None = None
        self._below: Tiles | None = None
        self._clock: tuple[StepClock, view.Counting] | None = None
        self._leads = view.leading(shown.blocks)
        self._levels: dict[str, list[TickList]] = {}
        self._needs: list[tuple[_Read, Callable[[], bool], Problem, QWidget]] = []
        self._fields: list[NumberField] = []
        self._buttons: dict[QWidget, view.Button] = {}
        self._met_before = False
        self._add_all(shown.blocks)
        self.column.tells = view.tells(shown)
        # While a clock counts "It hurts" stays in sight; with large text it would take a row more.
        counts = any(isinstance(block, view.Counting) for block in shown.blocks)
        snug = counts and current().text_percent < _LARGE
        at_it = shown.far or snug
        beside_stop = [other for other in shown.others if other.hurts and at_it]
        if len(shown.others) > len(beside_stop) or self._late:
            others = self.side_buttons((3, 2, 1), GRID // 2)
        for late in self._late:
            others.add(late)
        for other in shown.others:
            if other in beside_stop:
                button = QuietButton(other.text, snug=True)
                self.put_beside_stop(button, large=shown.far)
            else:
                button = others.add(QuietButton(other.text, close=True))
            button.clicked.connect(self._pressed)
            button.acts_at_once = other.at_once
            self._buttons[button] = other
        if shown.main is not None:
            last, beside = shown.main_last, self._beside_main()
            main = self.main_button(shown.main.text, last=last, beside=beside)
            main.acts_at_once = shown.main.at_once
            main.clicked.connect(self._pressed)
            self._buttons[main] = shown.main
            if shown.far:
                main.word_type = Type.FAR_BUTTON
            self._name_main()

    def opening(self) -> Opening:
        opening = super().opening()
        if opening.at_once:
            return opening
        first = next((words for words in map(_first_words, self.view.blocks) if words), "")
        return opening.and_then("" if first == self.view.heading else first)

    def words_share(self, width: int) -> float:
        even = width < WIDE and self._is_even
        # In large text a scale stands in rows anyhow, and two of them in two columns: as wide as
        # each other, else the first takes a row more than the second and is out of sight.
        halved = width < WIDE or current().text_percent >= _LARGE
        even = even or (halved and self._has_scales_alone)
        return EVEN_SHARE if even else super().words_share(width)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        far = self.view.far or self.reads_itself
        space = event.key() == Qt.Key.Key_Space and not event.isAutoRepeat()
        if far and space and self.main is not None:
            if presses().counts(event.key(), key=event.key()):
                self.main.click()
        elif (
            len(self._fields) == len(self._reads) == 1 and event.text().isdigit() and single_keys()
        ):
            # What is typed goes into the one field there is: it did nothing.
            self._fields[0].type_here(event.text())
        else:
            super().keyPressEvent(event)

    def show_answers(self, submitted: Mapping[str, object]) -> None:
        """Show what was answered here before, as far as the page still asks it."""
        self._met_before = True
        for name, show in self._shows.items():
            if name in submitted:
                show(submitted[name])
        self._answered()

    def answer_now(self, button: view.Button) -> None:
        """Answer as if `button` had been pressed."""
        if button.asks and not self._complete():
            return
        submitted = self.answers_now()
        took = self.seen_for()
        if self.view.timed and took is not None and not self._met_before:
            submitted["took"] = took
        self.submitted.emit(submitted | dict(button.submitted))

    def answers_now(self) -> dict[str, object]:
        """What is answered on the page by now."""
        return {name: read() for name, read in self._reads.items()}

    def give_kept(self) -> bool:
        """Answer with what is chosen of the question whose answer is kept; False with nothing."""
        kept = self.view.kept
        if not kept or self._reads[kept]() in (None, [], ()):
            return False
        self.submitted.emit(self.answers_now())
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
        if pressed is self.main and self._clock is not None and not self._clock[0].is_finished():
            self._clock[0].turn()
        elif pressed is self.main and self.shows_next_moment():
            self._go(1)
        elif isinstance(pressed, QWidget) and pressed in self._buttons:
            self.answer_now(self._buttons[pressed])

    def _complete(self) -> bool:
        first: QWidget | None = None
        for _read, answered, problem, control in self._needs:
            missing = "" if answered() else phrase("Choose an answer first.")
            problem.set_text(missing, aloud=False)
            tell_wrong(_told_by(control), missing)
            if missing and first is None:
                first = control
        for field in self._fields:
            if field.problem() and first is None:
                field.show_problem(field.problem())
                first = field
        if first is not None and _told_by(first).hasFocus():
            # It gets no focus that a reader could hear of.
            told = _told_by(first)
            announce(told, in_sentences(told.accessibleName(), told.accessibleDescription()))
        elif first is not None:
            first.setFocus()
        return first is None

    def _answered(self) -> None:
        """What was missing and is there now is no longer said to be missing."""
        for _read, answered, problem, control in self._needs:
            if answered():
                problem.set_text("")
                tell_wrong(_told_by(control), "")
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

    def _add(self, block: view.Block) -> None:  # noqa: PLR0912, PLR0915 - a branch a kind
        match block:
            case view.Text():
                self._add_text(block)
            case view.Heading():
                self._add_heading(block)
            case view.Numbered(items, start):
                self.add(Steps(items, start))
            case view.Bulleted(items):
                self.add(Bullets(items), part="lead" if block in self._leads else "words")
            case view.Callout(text, heading):
                self.add(Notice(text, heading=heading))
            case view.DefinitionList(rows):
                self.add(FactList(rows))
            case view.LookOver(lines):
                self._add_look_over(lines)
            case view.CardBlock():
                put_cards(self, block)
            case view.Phones(heading, lines):
                self.add(Card("care", heading, (), lines, level_word=""))
            case view.Picture() | view.Panels():
                self._add_picture(block)
            case view.Tellings(heads, rows):
                self.add(SideBySide(heads, rows), 3 * GRID)
            case view.Moments():
                self._add_moments(block)
            case view.TwoColumns(picture, beside):
                self._add_all((picture, *beside))
            case view.KneeTick():
                self._add_knee_tick(block)
            case view.Choose():
                self._add_choose(block)
            case view.ActionList():
                self._add_ways(block)
            case view.Tick():
                self._add_ticks(block)
            case view.LevelList(level, heading, items):
                self.add(LevelGroup(level, heading, Bullets(items)))
            case view.LevelTick():
                self._add_level_tick(block)
            case view.Scale():
                self._add_scale(block)
            case view.Number():
                self._add_number(block)
            case view.Write():
                self._add_field(block)
            case view.Timer():
                self._add_timer(block)
            case view.Counting():
                self._add_count(block)
            case view.Folded():
                self._add_folded(block)

    def _add_all(self, blocks: Sequence[view.Block]) -> None:
        for block in blocks:
            self._add(block)

    def _add_heading(self, block: view.Heading) -> None:
        heading = self.add(SubHeading(block.text), 4 * GRID)
        if self.view.far:
            heading.set_kind(Type.HEADING)

    def _add_text(self, block: view.Text) -> None:
        quiet, strong = block.weight == "quiet", block.weight == "strong"
        part: Part = "lead" if block in self._leads else "words"
        words = self.add(Paragraph(block.text, quiet=quiet, strong=strong), part=part)
        if self.view.far and not quiet:
            words.set_kind(Type.SUBHEADING if strong else Type.FAR)

    def _add_picture(self, block: view.Picture | view.Panels) -> None:
        from companion.ui.kit.knee_picture import KneePicture
        from companion.ui.kit.panels import PicturePanels

        if isinstance(block, view.Panels):
            self.add(PicturePanels(block.drawings), part="lead")
            return
        if block.stills is not None and not current().moves:
            self.add(PicturePanels(block.stills()), part="lead")
            return
        picture = self.add(KneePicture(block.drawing), part="lead")
        if block.loop is not None:
            mover = self._under_picture(QuietButton(phrase("See it move"), close=True))
            self._moving = _Moving(picture, mover, block)
            mover.clicked.connect(self._moving.turn)

    def _under_picture(self, button: QuietButton) -> QuietButton:
        """Put a button that shows more of what the picture shows under it; on a stage, where
        nothing stands there, with the others."""
        if view.is_stage(self.view):
            self._late.append(button)
            return button
        if self._below is None:
            self._below = self.add(Tiles((2, 1)), 0, part="lead")
        return self._below.add(button)

    def _add_knee_tick(self, block: view.KneeTick) -> None:
        from companion.ui.kit.knee_picture import ZonePicture

        self.add(Paragraph(block.question, strong=True))
        picture = self.add(ZonePicture(block.side, block.seen_by, knee=block.knee), part="lead")
        columns = _columns(block.options)
        ticks = self.add(
            TickList(block.question, _choices(block.options), columns=columns), GRID, follows=True
        )

        def ticked(zones: Sequence[object]) -> None:
            picture.set_marked([zone for zone in get_args(Zone) if zone in zones])

        def show(zones: Sequence[object]) -> None:
            ticks.set_values(zones)
            ticked(zones)

        def pressed(zone: str) -> None:
            now = ticks.values()
            show([one for one in now if one != zone] if zone in now else [*now, zone])

        picture.zone_pressed.connect(pressed)
        ticks.changed.connect(ticked)
        self._reads[block.name] = lambda: [str(value) for value in ticks.values()]
        self._shows[block.name] = show

    def _add_ways(self, block: view.ActionList) -> None:
        # One way alone, or long ones, take the whole column.
        doors = self.add(Tiles((1,) if block.urgent else (2, 1)), 3 * GRID)
        for option in block.options:
            kind = UrgentRow if block.urgent else ActionRow
            row = doors.add(kind(option.word, option.line))
            row.clicked.connect(self._pressed)
            self._buttons[row] = view.Button("", ((block.name, option.value),), asks=False)

    def _add_look_over(self, lines: tuple[view.LookOverLine, ...]) -> None:
        rows = self.add(Tiles(), GRID)
        every = tuple((line.name, line.value) for line in lines)
        for line in lines:
            row = rows.add(LookOverRow(line.name, line.value))
            row.stand_in(every)
            if line.door:
                given = ("door", line.door)
            elif line.lines:
                given = ("sums", line.name)
            else:
                row.lead_nowhere()
                continue
            row.clicked.connect(self._pressed)
            self._buttons[row] = view.Button("", (given,), asks=False)

    def _add_choose(self, block: view.Choose) -> None:
        choices = _choices(block.options)
        question: QWidget
        if block.beside:
            asked = self.add(AskedBeside(block.question, choices), GRID)
            question, rows = asked.words, asked.rows
            problem = self.add(Problem(), 0, follows=True)
        else:
            question = self.add(_AskedQuestion(block.question))
            problem = self.add(Problem(), 0, follows=True)
            rows = self.add(
                ChoiceList(block.question, choices, columns=_columns(block.options)),
                0,
                follows=True,
            )
            rows.asked_by = question
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

    def _add_ticks(self, block: view.Tick) -> None:
        self.add(Paragraph(block.question, strong=True))
        columns = _columns(block.options)
        ticks = self.add(
            TickList(block.question, _choices(block.options), columns=columns), 0, follows=True
        )
        self._reads[block.name] = lambda: [str(value) for value in ticks.values()]
        self._shows[block.name] = lambda values: ticks.set_values(values or ())

    def _add_number(self, block: view.Number) -> None:
        number = self.add(
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
            self._need(number, number.value, self.add(Problem(), 0, follows=True))

    def _add_field(self, block: view.Write) -> None:
        kind = TextField if block.lines == "one" else NoteField
        field = self.add(kind(block.question, most_characters=block.most_characters), 3 * GRID)
        self._reads[block.name] = lambda: _typed(field.text())
        self._shows[block.name] = lambda text: field.set_text(text or "")

    def _add_timer(self, block: view.Timer) -> None:
        hold = self.add(
            HoldTimer(
                block.seconds,
                get_ready_seconds=block.get_ready_seconds,
                pausable=block.pausable,
            ),
            3 * GRID,
        )
        hold.told.connect(self.say_wanted)
        self._reads[block.name] = lambda: hold.seconds_held() or None

    def _add_count(self, block: view.Counting) -> None:
        from companion.ui.kit.step_clock import StepClock

        clock = StepClock(block.beats, steps=block.steps)
        clock.changed.connect(self._name_main)
        clock.told.connect(self.say_wanted)
        self._clock = clock, block

        def each() -> list[list[int | None]]:
            told = clock.so_far()
            return [[one.seconds or None, one.times if one.seconds else None] for one in told]

        if block.steps:
            counted = clock.is_begun
            self._reads["each"] = lambda: each() if counted() else None
        else:
            self._reads["seconds"] = lambda: each()[0][0]
            self._reads["counted"] = lambda: each()[0][1]

    def _beside_main(self) -> QWidget | None:
        """The clock that the main button starts."""
        return None if self._clock is None else self._clock[0]

    def _name_main(self) -> None:
        """What the main button does to the clock, or that the step is done once it ran out; of
        things done one after the other, that it goes on to the next."""
        if self._moments is not None and self.main is not None and self.view.main is not None:
            self.main.set_words(self._moments.word or self.view.main.text)
        if self._clock is None or self.main is None or self.view.main is None:
            return
        clock, block = self._clock
        if clock.is_finished():
            word = self.view.main.text
        elif clock.is_running():
            word = phrase("Pause")
        else:
            word = phrase("Go on") if clock.is_begun() else block.start
        self.main.set_words(word)
        if self._moving is not None and self.isVisible():
            self._moving.set_moving(clock.is_running())

    def _add_moments(self, block: view.Moments) -> None:
        from companion.ui.kit.knee_picture import KneePicture

        picture = self.add(KneePicture(block.each[0].drawing), part="lead")
        words = [
            [self.add(Paragraph(limit, strong=True)) for limit in one.limits] for one in block.each
        ]
        for limits in words:
            for limit in limits:
                limit.set_kind(Type.SUBHEADING)
        told = self.add(Paragraph(""))
        told.set_kind(Type.FAR)
        opener = self._under_picture(QuietButton(block.how, close=True))
        self._moments = _Moments(self, block, picture, words, told, opener)

    def go_back(self) -> None:
        if not self._go(-1):
            super().go_back()

    def _go(self, by: int) -> bool:
        return self._moments is not None and self._moments.go(by)

    def shows_next_moment(self) -> bool:
        """Whether the main button goes on to the next of things done one after the other."""
        return self._moments is not None and bool(self._moments.word)

    def moment_comes(self, heading: str, said: str) -> None:
        """The page has the next moment, or the one before: nothing acts before it was seen."""
        presses().page_comes()
        self.heading.set_text(heading)
        self.scroll_bar().setValue(0)
        self._name_main()
        self.update()
        announce(self.heading, heading)
        self.say_wanted.emit(in_sentences(heading, said))

    def _add_folded(self, block: view.Folded) -> None:
        opener = self._under_picture(QuietButton(block.word, close=True))
        before = len(self.column.children())
        self._add_all(block.blocks)
        folded = [w for w in self.column.children()[before:] if isinstance(w, QWidget)]
        for widget in folded:
            show_when(widget, False)

        def unfold() -> None:
            for widget in folded:
                show_when(widget, True)
            show_when(opener, False)

        opener.clicked.connect(unfold)

    def _add_level_tick(self, block: view.LevelTick) -> None:
        ticks = TickList(block.heading, _choices(block.options))
        self.add(LevelGroup(block.level, block.heading, ticks))
        lists = self._levels.setdefault(block.name, [])
        lists.append(ticks)
        self._reads[block.name] = lambda: [str(v) for one in lists for v in one.values()]

        def show(values: Sequence[object] | None) -> None:
            for one in lists:
                one.set_values(values or ())

        self._shows[block.name] = show

    def _add_scale(self, block: view.Scale) -> None:
        question = self.add(_AskedQuestion(block.question))
        problem = self.add(Problem(), 0, follows=True)
        scale = self.add(
            PainScale(block.question, low=block.low, high=block.high, cant_say=block.cannot_say),
            GRID,
            follows=True,
        )
        scale.asked_by = question
        self._reads[block.name] = scale.value
        self._shows[block.name] = scale.show_answer
        if block.needed:
            self._need(question, scale.value, problem, scale.is_answered)
            scale.answered.connect(self._answered)


class _AskedQuestion(Paragraph):
    """A question over its answers. It takes the focus when it was left open: not an answer, which
    the next key would give."""

    def __init__(self, text: str) -> None:
        super().__init__(text, strong=True)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)


def _told_by(question: QWidget) -> QWidget:
    """What gets the focus for a question: its words, or the field below them."""
    return question.focusProxy() or question


class _Moving:
    """A picture that moves while its button says so; its loop is drawn when first asked for."""

    def __init__(self, picture: KneePicture, mover: QuietButton, block: view.Picture) -> None:
        self._picture, self._mover, self._block = picture, mover, block

    def turn(self) -> None:
        """Begin to move, or be still again."""
        self.set_moving(not self._picture.is_moving())

    def set_moving(self, moving: bool) -> None:
        """Move, or be still."""
        if moving == self._picture.is_moving():
            return
        if not moving:
            self._picture.stop()
            self._mover.set_words(phrase("See it move"))
        elif self._block.loop is not None:
            self._picture.set_drawing(self._block.drawing, loop=self._block.loop())
            self._picture.play()
            self._mover.set_words(phrase("Stop the movement"))


class _Moments:
    """Things done one after the other on one page: each has it alone while it is done."""

    def __init__(
        self,
        page: AskingPage,
        block: view.Moments,
        picture: KneePicture,
        limits: Sequence[Sequence[Paragraph]],
        told: Paragraph,
        opener: QuietButton,
    ) -> None:
        self._page, self._block, self._picture = page, block, picture
        self._limits, self._told, self._opener = limits, told, opener
        self._at = 0
        opener.clicked.connect(self._unfold)
        self._show()

    @property
    def word(self) -> str:
        """What the main button says; nothing at the last of them, which answers the page."""
        return self._block.on if self._at + 1 < len(self._block.each) else ""

    def go(self, by: int) -> bool:
        """On to the next, or back to the one before; False where there is none."""
        if not 0 <= self._at + by < len(self._block.each):
            return False
        self._at += by
        self._show()
        now = self._block.each[self._at]
        self._page.moment_comes(now.heading, in_sentences(now.told, *now.limits))
        return True

    def _show(self) -> None:
        now = self._block.each[self._at]
        self._picture.set_drawing(now.drawing)
        self._told.set_text(now.told)
        show_when(self._told, False)
        show_when(self._opener, True)
        for at, limits in enumerate(self._limits):
            for limit in limits:
                show_when(limit, at == self._at)

    def _unfold(self) -> None:
        show_when(self._told, True)
        show_when(self._opener, False)


def put_cards(page: Page, block: view.CardBlock) -> None:
    """A card as it stands on every page that shows it: whom to call first and what to do, and
    whom to call where nobody answers."""
    # In half of a narrow window its number would be out of sight.
    page.column.stay_whole()
    if block.level in ("emergency", "today"):
        page.urgent = _card_words(block)
    phones, last = block.phones, block.no_answer
    others = phones[1:] if last else ()
    first = phones[: len(phones) - len(others)]
    no_answer = "" if others else last
    page.add(
        Card(block.level, block.heading, block.actions, first, no_answer=no_answer),
        GRID,
        part="lead",
    )
    if others:
        page.add(Card(block.level, last, (), others, level_word=""), 0, part="lead")
    if block.note:
        page.add(Paragraph(block.note, quiet=True), GRID)


def _card_words(card: view.CardBlock) -> str:
    """Whom to call, the number before all else."""
    level = codes.LEVELS[card.level].card
    first = card.phones[0] if card.phones else None
    if first is None or not first.number:
        return in_sentences(level, card.heading)
    if card.level == "emergency":
        call = phrase("{level}. Call {number} now.", level=level, number=first.number)
    else:
        told = {"level": level, "number": first.number, "who": first.who}
        call = phrase("{level}. Call {number}: {who}", **told)
    return in_sentences(call, card.heading)


def _first_words(block: view.Block) -> str:
    """What a block asks, or tells in a paragraph; nothing for one that does neither."""
    match block:
        case view.Text():
            return block.text
        case view.Callout():
            return in_sentences(block.heading, block.text)
        case view.Numbered() | view.Bulleted():
            return block.items[0]
        case (
            view.Choose()
            | view.Tick()
            | view.KneeTick()
            | view.Scale()
            | view.Number()
            | view.Write()
        ):
            return block.question
        case view.TwoColumns(_, beside):
            return next((words for words in map(_first_words, beside) if words), "")
    return ""


_PICTURED = (view.Picture, view.Panels, view.Moments, view.TwoColumns, view.KneeTick)
_FEW = 6
_SHORT = 32
_MANY = 3
_LARGE = 150


def _is_even(blocks: Sequence[view.Block]) -> bool:
    """Whether both columns need as much: a card leads, or questions run on from one into the other,
    with no picture that leads and no scale that needs the wider one."""
    if any(isinstance(block, view.CardBlock) for block in blocks):
        return True
    wide = (*_PICTURED, view.Scale)
    asked = sum(isinstance(block, view.Choose) for block in blocks)
    return asked >= _MANY and not any(isinstance(block, wide) for block in blocks)


def _has_scales_alone(blocks: Sequence[view.Block]) -> bool:
    """Whether several scales are asked, with no picture beside them."""
    scales = sum(isinstance(block, view.Scale) for block in blocks)
    return scales > 1 and not any(isinstance(block, _PICTURED) for block in blocks)


def _columns(options: tuple[view.Option, ...]) -> int:
    """Short answers stand side by side while they fit; many do too, or the last is out of sight on
    a small screen."""
    short = all(len(o.word) <= _SHORT and not o.line for o in options)
    return 2 if short or len(options) > _FEW else 1


def _choices(options: tuple[view.Option, ...]) -> list[Choice]:
    return [Choice(option.value, option.word, option.line) for option in options]


def _typed(text: str) -> str | None:
    """What a person typed, without control characters; None when nothing was."""
    return "".join(c for c in text if c.isprintable() or c == "\n").strip() or None
