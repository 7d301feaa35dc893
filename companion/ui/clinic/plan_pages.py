"""The pages of the plan writer: contents, a section of fields, a preview, and the sign-off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from companion.presentation.clinic.plan_form import ContentsLine, Field, Section
from companion.presentation.clinic.plan_pages import unseen_faults
from companion.presentation.clinic.plan_signing import Signing
from companion.presentation.language.phrases import phrase
from companion.services.settings import Signer
from companion.ui.clinic.clinic_page import ClinicPage, Contents, Way
from companion.ui.kit.buttons import ActionRow, LookOverRow, QuietButton
from companion.ui.kit.controls import (
    Bullets,
    Notice,
    Problem,
    SubHeading,
    TextField,
)
from companion.ui.kit.facts import FactList
from companion.ui.kit.form import AidButton, FieldBox, FieldRow, KeptRoom, YesNoBox, box_of
from companion.ui.kit.table import DataTable
from companion.ui.kit.text import Paragraph, show_when
from companion.ui.kit.theme import GRID
from companion.ui.kit.tiles import Tiles

FORM_WIDTH = 920
MOST_FAULTS = 99
"""Room is kept for as many in a line of the contents."""


def ways_of(entries: Sequence[ContentsLine]) -> tuple[Way, ...]:
    """The sections as ways of a page, with how many things stand in each."""
    return tuple(
        Way(entry.key, _way_words(entry), longest=_counted(entry, MOST_FAULTS)) for entry in entries
    )


def _way_words(entry: ContentsLine) -> str:
    return _counted(entry, entry.faults) if entry.faults else entry.word


def _counted(entry: ContentsLine, faults: int) -> str:
    return phrase("{section} ({n})", section=entry.word, n=faults)


class PlanPage(ClinicPage):
    """A page of the plan writer: the sections at the left, or at the head where it is narrow."""

    most_width = FORM_WIDTH
    preview_wanted = Signal()

    def __init__(
        self, heading: str, entries: Sequence[ContentsLine], here: str, *, above: str
    ) -> None:
        super().__init__(
            heading,
            ways_of(entries),
            here,
            contents_name=phrase("Sections of the plan"),
            above=above,
            back=phrase("Back"),
        )
        self._here = here
        self._names: list[str] = [entry.key for entry in entries]
        self.follow_contents(entries)

    @property
    def section_names(self) -> tuple[str, ...]:
        """The sections of the contents, in order."""
        return tuple(self._names)

    def follow_contents(self, entries: Sequence[ContentsLine]) -> None:
        """Show how many things stand in each section."""
        known = {entry.key: entry for entry in entries}
        for contents in self.findChildren(Contents):
            for line in contents.lines:
                entry = known.get(line.way.name)
                if entry is not None and (line.word, line.line) != (_way_words(entry), ""):
                    line.set_words(_way_words(entry))
                if entry is not None:
                    line.setAccessibleDescription(entry.line)

    def take_focus(self) -> None:
        """The focus is on the first field, and the page begins with its heading where both fit."""
        super().take_focus()
        self.begin_at_heading()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        control = event.modifiers() & Qt.KeyboardModifier.ControlModifier
        names = self._names
        place = names.index(self._here)
        if control and event.key() == Qt.Key.Key_PageDown and place + 1 < len(names):
            self.way_chosen.emit(names[place + 1])
        elif control and event.key() == Qt.Key.Key_PageUp and place > 0:
            self.way_chosen.emit(names[place - 1])
        elif event.key() == Qt.Key.Key_F3:
            self.preview_wanted.emit()
        else:
            super().keyPressEvent(event)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What a group of fields was drawn with."""

    heading: QWidget | None
    boxes: tuple[FieldBox, ...]
    said: Paragraph
    room: KeptRoom
    facts: FactList | None


class SectionPage(PlanPage):
    """One section of the plan. `answered` carries the key of a field and its answer.

    F2 shows the sources, F3 what the person will see, F4 dates all of the page as taught today;
    Control with Page Down and Page Up goes through the sections.
    """

    answered = Signal(str, object)
    taught_wanted = Signal()

    def __init__(
        self,
        section: Section,
        entries: Sequence[ContentsLine],
        *,
        above: str,
        main: str,
        today: date,
    ) -> None:
        super().__init__(section.heading, entries, section.key, above=above)
        self.section = section
        self._today = today
        self._sources_shown = False
        self.boxes: dict[str, FieldBox] = {}
        self._groups: list[_Drawn] = []
        self.add(Paragraph(section.lead, quiet=True), GRID)
        self._add_aids(section)
        self._unseen = self.add(Problem(), 0)
        for group in section.groups:
            heading = self.add(SubHeading(group.heading), 3 * GRID) if group.heading else None
            said = self.add(Paragraph("", quiet=True), 0)
            room = self.add(KeptRoom(said), 0)
            boxes = tuple(self._box(field) for field in group.fields)
            if group.in_row and boxes:
                self.add(FieldRow(boxes), GRID)
            else:
                for box, field in zip(boxes, group.fields, strict=True):
                    # A list that is read as a whole stands apart from the one before it.
                    box.stand_apart(3 * GRID if field.kind == "none_of" else GRID)
                    self.add(box, 0)
            facts = None if group.facts is None else self.add(FactList(group.facts), GRID)
            self._groups.append(_Drawn(heading, boxes, said, room, facts))
        if section.note:
            self.add(Paragraph(section.note, quiet=True), 2 * GRID)
        self.follow(section, entries)
        self.main_button(main)
        first = next((box for box in self.boxes.values() if box.is_there()), None)
        self.first_focus = None if first is None else first.focusProxy()

    def _add_aids(self, section: Section) -> None:
        aids = self.add(Tiles((3, 2, 1), gap=GRID), 0)
        self.sources_button = aids.add(AidButton(phrase("Sources (F2)")))
        self.sources_button.clicked.connect(self.toggle_sources)
        self.preview_button = aids.add(AidButton(phrase("Preview (F3)")))
        self.preview_button.clicked.connect(self.preview_wanted)
        if section.taught is not None:
            self.taught_button = aids.add(AidButton(phrase("All taught (F4)")))
            self.taught_button.clicked.connect(self.taught_wanted)

    def _box(self, field: Field) -> FieldBox:
        box = box_of(field, self._today)
        box.keep_room_for(field.half_typed)
        box.show_answer(field.value)
        box.changed.connect(self.answered)
        if isinstance(box, YesNoBox):
            box.answered_by_key.connect(self._next_question)
        self.boxes[field.key] = box
        return box

    # Following the draft

    def follow(self, section: Section, entries: Sequence[ContentsLine]) -> None:
        """Show the draft as it stands: answers, remarks, and which fields matter."""
        self.section = section
        self._unseen.set_text(" ".join(unseen_faults(section)))
        drawn = {group.fields[0].key: group for group in section.groups if group.fields}
        for parts, there in zip(self._groups, section.groups, strict=True):
            # What is ticked moves up in the plan; on the page it stays where it was drawn.
            group = drawn[parts.boxes[0].key] if parts.boxes else there
            words = " ".join(group.said)
            with parts.room.steady():
                if parts.said.text() != words:
                    parts.said.set_text(words)
                show_when(parts.said, bool(words) and group.shown)
            if parts.heading is not None:
                show_when(parts.heading, group.shown)
            if parts.facts is not None and group.facts is not None:
                parts.facts.show_rows(group.facts)
                show_when(parts.facts, bool(group.facts) and group.shown)
            for field in group.fields:
                self._follow_field(field, group.shown)
        self.follow_contents(entries)

    def _follow_field(self, field: Field, group_shown: bool) -> None:
        box = self.boxes[field.key]
        box.follow(field.value)
        box.set_line(field.line)
        box.say(
            [remark.text for remark in field.remarks if not remark.advice],
            [remark.text for remark in field.remarks if remark.advice],
        )
        wanted = field.shown and group_shown
        if box.isHidden() == wanted:
            show_when(box, wanted)
        row = box.parentWidget()
        if isinstance(row, FieldRow):
            show_when(row, bool(row.parts()))

    def toggle_sources(self) -> None:
        """Show where every default on the page is from, or put it away again."""
        self._sources_shown = not self._sources_shown
        for box in self.boxes.values():
            box.show_source(self._sources_shown)
        self.sources_button.set_words(
            phrase("No sources (F2)") if self._sources_shown else phrase("Sources (F2)")
        )

    def go_to(self, key: str) -> None:
        box = self.boxes.get(key)
        if box is not None and box.is_there():
            box.setFocus(Qt.FocusReason.OtherFocusReason)

    def _next_question(self, answered: FieldBox) -> None:
        """From a question to the next one; from the last to the button that goes on."""
        boxes = list(self.boxes.values())
        after = boxes[boxes.index(answered) + 1 :]
        questions = (box for box in after if isinstance(box, YesNoBox) and box.is_there())
        target: QWidget | None = next(questions, self.main)
        if target is not None:
            target.setFocus(Qt.FocusReason.TabFocusReason)

    # Keys and size

    def keyPressEvent(self, event: QKeyEvent) -> None:
        match event.key():
            case Qt.Key.Key_F2:
                self.toggle_sources()
            case Qt.Key.Key_F4 if self.section.taught is not None:
                self.taught_wanted.emit()
            case _:
                super().keyPressEvent(event)


class SigningPage(PlanPage):
    """What stands in the way, what changed, and the sign-off over the hash of the content.

    `field_wanted` carries the section and the key of what is to be settled, `signer_typed` who
    signs, after every key.
    """

    field_wanted = Signal(str, str)
    signer_typed = Signal(object)
    sign_wanted = Signal(object)
    practice_wanted = Signal()

    def __init__(
        self, view: Signing, entries: Sequence[ContentsLine], *, above: str, signer: Signer
    ) -> None:
        last = entries[-1]
        super().__init__(last.word, entries, last.key, above=above)
        self._places: dict[QWidget, tuple[str, str]] = {}
        self.name: TextField | None = None
        self.registration: TextField | None = None
        self.add(FactList(view.facts), GRID)
        aids = self.add(Tiles((3, 2, 1), gap=GRID), GRID)
        self.see = aids.add(AidButton(phrase("Preview (F3)")))
        self.see.clicked.connect(self.preview_wanted)
        if view.faults:
            self._add_faults(view)
        if view.session:
            self._add_session(view)
        if view.advice:
            self.add(SubHeading(phrase("To note; it does not keep you from signing")), 3 * GRID)
            self.add(
                Bullets(
                    [
                        phrase("{label}: {advice}", label=each.label, advice=each.text)
                        for each in view.advice
                    ]
                ),
                GRID,
            )
        if view.differences:
            self._add_differences(view)
        if view.content_sha256 is not None:
            self._add_sign_off(view.content_sha256, signer)
        self.practice = self.add(QuietButton(phrase("Keep as a practice plan, unsigned")), 3 * GRID)
        self.practice.clicked.connect(self.practice_wanted)
        self.add(
            Paragraph(
                phrase(
                    "A practice plan is for looking round. Every page of it says: not for a real "
                    "knee. It can be opened here again and gone on with."
                ),
                quiet=True,
            ),
            0,
        )

    def _add_faults(self, view: Signing) -> None:
        count = len(view.faults)
        self.add(
            SubHeading(phrase("{n} thing to settle first", "{n} things to settle first", n=count)),
            3 * GRID,
        )
        for fault in view.faults:
            row = self.add(ActionRow(fault.label, fault.text), 0)
            row.clicked.connect(self._to_fault)
            self._places[row] = (fault.section, fault.key)
        self.first_focus = next(iter(self._places))

    def _add_session(self, view: Signing) -> None:
        """What is written down of the first session, each line a way to its field."""
        self.add(SubHeading(phrase("The first session, as it will be written down")), 3 * GRID)
        for line in view.session:
            row = self.add(LookOverRow(line.label, line.text), 0)
            row.clicked.connect(self._to_fault)
            self._places[row] = (line.section, line.key)

    @property
    def fault_rows(self) -> tuple[QWidget, ...]:
        """The lines of what is to be settled first."""
        return tuple(row for row in self._places if not isinstance(row, LookOverRow))

    def _to_fault(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QWidget):
            self.field_wanted.emit(*self._places[pressed])

    def _add_differences(self, view: Signing) -> None:
        self.add(SubHeading(phrase("What this version changes")), 3 * GRID)
        if view.changes:
            self.add(Bullets(view.changes), GRID)
        rows = [(d.label, d.was, d.now) for d in view.differences]
        self.add(
            DataTable(
                phrase("Every field that differs"),
                (phrase("Field"), phrase("Was"), phrase("Now")),
                rows,
            ),
            GRID,
        )

    def _add_sign_off(self, content_sha256: str, signer: Signer) -> None:
        self.add(SubHeading(phrase("Sign-off")), 3 * GRID)
        self.add(
            Notice(
                phrase(
                    "I have seen every value of this plan, and I taught what it holds. "
                    "My name stands on it at the person’s home."
                )
            ),
            GRID,
        )
        self.name = self.add(TextField(phrase("Name"), most_characters=60), 2 * GRID)
        self.registration = self.add(
            TextField(phrase("Registration number"), most_characters=60), GRID
        )
        self.name.set_text(signer.name)
        self.registration.set_text(signer.registration)
        for field in (self.name, self.registration):
            field.changed.connect(self._typed)
        words = " ".join(content_sha256[place : place + 8] for place in range(0, 64, 8))
        self.add(
            Paragraph(phrase("Over the content with the hash {words}.", words=words), quiet=True),
            GRID,
        )
        main = self.main_button(phrase("Sign and save the plan file"))
        main.clicked.connect(self._sign)

    def _typed(self, _text: str) -> None:
        self.signer_typed.emit(self._signer())

    def _sign(self) -> None:
        self.sign_wanted.emit(self._signer())

    def _signer(self) -> Signer:
        assert self.name is not None
        assert self.registration is not None
        return Signer(name=self.name.text(), registration=self.registration.text())

    def refuse(self, key: str, sentence: str) -> None:
        """Say beside name or registration why it cannot be signed so."""
        field = self.name if key == "sign_off.name" else self.registration
        if field is not None:
            field.show_problem(sentence)
            field.setFocus()
