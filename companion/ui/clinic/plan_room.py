"""The plan writer: one draft, one page at a time, until it is signed, kept or dropped."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from companion.care.catalogue import Catalogue
from companion.care.days import diary_day
from companion.care.flow import WalkPage
from companion.care.records import Diary, Plan, Side
from companion.presentation.clinic.plan_form import (
    PreviewPart,
    contents,
    neighbour,
    section,
    section_heading,
    sections_of,
)
from companion.presentation.clinic.plan_pages import (
    code_taken_words,
    leave_view,
    not_gone_on_words,
    not_kept_view,
    preview_begins,
    preview_view,
    refused_view,
    saved_view,
    start_view,
    still_there_words,
)
from companion.presentation.clinic.plan_signing import signing
from companion.presentation.clinic.plan_words import fault_sentence
from companion.presentation.language.phrases import phrase
from companion.presentation.language.troubles import not_saved_words, why_words
from companion.presentation.view.page import PageView
from companion.services.plan_answers import Answer
from companion.services.plan_draft import (
    DraftFault,
    PlanDraft,
    from_last,
    from_practice,
    from_template,
    plan_of,
    practice_plan,
    set_field,
    taught_today,
)
from companion.services.plan_draft_kept import DraftKeeper, FoundDrafts, Unfinished
from companion.services.plan_preview import routine_pages
from companion.services.plan_writing import (
    PlanFile,
    SavedPlan,
    content_hash,
    is_anothers,
    last_signer,
    made_file,
    picked_plan,
    save_plan,
    signed,
    taken_up,
)
from companion.services.settings import Signer
from companion.services.trouble import Trouble
from companion.ui.clinic.plan_pages import PlanPage, SectionPage, SigningPage

if TYPE_CHECKING:
    from companion.care.flow import Given
    from companion.ui.clinic.desk import ClinicHost


class PlanRoom(QObject):
    """Holds the draft; every page is made from it, and every answer makes a new one.

    `left` is called when the writer is done: it shows what was there before. `diary` is the one at
    hand, of the person whose plan is written.
    """

    def __init__(
        self,
        desk: ClinicHost,
        parent: QObject,
        left: Callable[[], None],
        diary: Diary | None = None,
    ) -> None:
        super().__init__(parent)
        self._desk = desk
        self._left = left
        self._diary = diary
        self._last = None if diary is None else diary.plan
        practice = desk.practice
        owner = None if diary is None else diary.plan.person
        self._keeper = DraftKeeper(practice.drafts, practice.clock, owner)
        self._draft: PlanDraft | None = None
        self._disk_refused = False
        self._signer = last_signer(practice)
        self._page: PlanPage | None = None
        self._here = "person"
        self._from_signing = False

    @property
    def _catalogue(self) -> Catalogue:
        return self._desk.practice.catalogue()

    @property
    def draft(self) -> PlanDraft:
        """The draft being written. Raises LookupError before one was begun."""
        if self._draft is None:
            raise LookupError("no plan was begun")
        return self._draft

    @property
    def is_writing(self) -> bool:
        """Whether a draft is open now."""
        return self._draft is not None

    def ask_to_leave(self) -> None:
        """Ask what becomes of the draft."""
        here = self._here
        self._ask(leave_view(self.draft), self._leave, lambda: self.open_section(here))

    # ------------------------------------------------------------ beginning

    def enter(self) -> None:
        """Ask where to begin."""
        try:
            found = self._keeper.found(self._last)
        except Trouble as trouble:
            self._ask(
                refused_view(phrase("Unfinished plans cannot be looked for"), why_words(trouble)),
                lambda _given: self._offer(FoundDrafts((), ())),
                self._left,
            )
            return
        self._offer(found)

    def _offer(self, found: FoundDrafts) -> None:
        def begin(submitted: Given) -> None:
            chosen = str(submitted["begin"])
            kept = next((k for k in found.unfinished if chosen == f"draft:{k.name}"), None)
            if kept is None:
                self._begin(chosen)
            else:
                self._go_on(kept)

        self._ask(start_view(self._catalogue, self._last, found), begin, self._left)

    def _go_on(self, kept: Unfinished) -> None:
        """Take up what was left, and go on keeping it where it is."""
        self.take_up(kept.draft, kept.section)
        self._keeper.go_on_at(kept.name)

    def take_up(self, draft: PlanDraft, key: str = "person") -> None:
        """Write on at a draft made elsewhere, such as from the first session."""
        self._last = draft.last
        self._keeper.go_on_at()
        self._draft = taken_up(draft, self._diary)
        self.open_section(key)

    def _begin(self, begin: str) -> None:
        today = diary_day(self._desk.practice.clock.now())
        if begin == "last" and self._last is not None:
            self.take_up(from_last(self._last, today))
        elif begin == "practice":
            self._open_practice()
        else:
            template = self._catalogue.template(begin.removeprefix("template:"))
            self.take_up(from_template(template, today, self._last))

    def _open_practice(self) -> None:
        path = self._desk.doorways.pick_file()
        if path is None:
            return
        picked = picked_plan(self._desk.practice, path, self._last)
        if picked.plan is None or picked.refused is not None:
            sentence = not_gone_on_words(picked, self._last)
            view = refused_view(phrase("This file was not opened"), sentence)
            self._ask(view, lambda _given: self.enter(), self.enter)
            return
        today = self._desk.practice.clock.today()
        self.take_up(from_practice(picked.plan, self._last, today))

    # ------------------------------------------------------------ sections

    def open_section(self, key: str, field: str = "") -> None:
        """Show one section, with the focus on a field when one is named."""
        self._here = key = key if key in sections_of(self.draft, self._catalogue) else "person"
        if key == "sign":
            self._open_signing()
            return
        draft, catalogue = self.draft, self._catalogue
        after = neighbour(key, draft, 1, catalogue)
        page = SectionPage(
            section(key, draft, catalogue),
            contents(draft, catalogue),
            above=self._above(),
            main=phrase("Back to signing")
            if self._from_signing
            else phrase("Next: {section}", section=section_heading(after or "sign", catalogue)),
            today=draft.today,
        )
        page.answered.connect(self._field_answered)
        page.taught_wanted.connect(self._taught)
        self._connect(page)
        assert page.main is not None
        page.main.clicked.connect(self._next)
        self._show(page)
        if field:
            page.go_to(field)

    def _above(self) -> str:
        draft = self.draft
        person = draft.answers.get("person")
        return phrase(
            "{person} · plan {version}",
            person=person or phrase("New plan"),
            version=draft.version,
        )

    def _connect(self, page: PlanPage) -> None:
        page.way_chosen.connect(self._way)
        page.back_wanted.connect(self._back)
        page.preview_wanted.connect(self._preview)

    def _way(self, key: str) -> None:
        self._from_signing = False
        self.open_section(key)

    def _next(self) -> None:
        if self._from_signing:
            self.open_section("sign")
            return
        self.open_section(neighbour(self._here, self.draft, 1, self._catalogue) or "sign")

    def _back(self) -> None:
        if self._from_signing:
            self.open_section("sign")
            return
        before = neighbour(self._here, self.draft, -1, self._catalogue)
        if before is not None:
            self.open_section(before)
        else:
            self.ask_to_leave()

    def _leave(self, submitted: Given) -> None:
        match submitted["do"]:
            case "stay":
                self.open_section(self._here)
            case "practice":
                self._keep_practice()
            case "later":
                self._disk_refused = False  # that it cannot be left so is told each time
                if self._keep():
                    self._draft = None
                    self._left()
            case _:
                self._drop()

    # ------------------------------------------------------------ kept on the disk

    def _keep(self) -> bool:
        """Put the draft on the disk; a disk that refuses it is told once, until it takes it."""
        try:
            self._keeper.keep(self.draft, self._here)
        except Trouble as trouble:
            told, self._disk_refused = self._disk_refused, True
            if not told:
                self._ask(
                    not_kept_view(trouble),
                    lambda _given: self.open_section(self._here),
                    lambda: self.open_section(self._here),
                )
            return False
        self._disk_refused = False
        return True

    def _drop(self) -> None:
        """Drop the draft, from the disk too."""
        self._draft = None
        if self._forget():
            self._left()

    def _forget(self) -> bool:
        """Take the kept draft away; False when the disk refused, which is told."""
        try:
            self._keeper.drop()
        except Trouble as trouble:
            sentence = still_there_words(self._keeper.name, trouble)
            self._ask(
                refused_view(phrase("This draft is still on the disk"), sentence),
                lambda _given: self._left(),
                self._left,
            )
            return False
        return True

    def _field_answered(self, key: str, answer: Answer) -> None:
        self._draft = set_field(self.draft, key, answer, self._catalogue)
        self._keep()
        self._follow(key)

    def _taught(self) -> None:
        page = self._page
        if isinstance(page, SectionPage) and page.section.taught is not None:
            self._draft = taught_today(self.draft, page.section.taught)
            self._keep()
            self._follow()

    def _follow(self, key: str = "") -> None:
        page = self._page
        if isinstance(page, SectionPage):
            draft, catalogue = self.draft, self._catalogue
            if page.section_names != sections_of(draft, catalogue):
                # A first session or a tape trial comes or goes: the contents have another line.
                self.open_section(self._here, key)
                return
            page.follow(section(page.section.key, draft, catalogue), contents(draft, catalogue))

    # ------------------------------------------------------------ preview

    def _preview(self) -> None:
        draft, catalogue = self.draft, self._catalogue
        plan, side = plan_of(draft), plan_of(draft).sides[0]
        part: PreviewPart = "start"
        if isinstance(self._page, SectionPage) and self._page.section.preview is not None:
            part = self._page.section.preview
        in_trial = part == "trial" and plan.trial is not None
        if in_trial and plan.trial is not None:
            side = plan.trial.side
        pages = routine_pages(plan, side, catalogue, draft.today, in_trial=in_trial)
        self._show_preview(plan, side, pages, preview_begins(pages, part))

    def _show_preview(
        self, plan: Plan, side: Side, pages: tuple[WalkPage, ...], place: int
    ) -> None:
        def submitted(answer: Given) -> None:
            if answer["end"]:
                self.open_section(self._here)
            else:
                self._show_preview(plan, side, pages, place + 1)

        def back() -> None:
            if place:
                self._show_preview(plan, side, pages, place - 1)
            else:
                self.open_section(self._here)

        view = preview_view(pages, place, plan, side, self._catalogue)
        self._ask(view, submitted, back)

    # ------------------------------------------------------------ signing

    def _open_signing(self) -> None:
        draft, catalogue = self.draft, self._catalogue
        self._from_signing = False
        page = SigningPage(
            signing(draft, catalogue, content_hash(draft)),
            contents(draft, catalogue),
            above=self._above(),
            signer=self._signer,
        )
        page.field_wanted.connect(self._to_field)
        page.signer_typed.connect(self._signs)
        page.sign_wanted.connect(self._sign)
        page.practice_wanted.connect(self._keep_practice)
        self._connect(page)
        self._show(page)

    def _to_field(self, key: str, field: str) -> None:
        """Through a line of the last page to its field; what is answered there leads back."""
        self._from_signing = True
        self.open_section(key, field)

    def _signs(self, signer: Signer) -> None:
        self._signer = signer

    def _sign(self, signer: Signer) -> None:
        self._signer = signer
        outcome = signed(self._desk.practice, self.draft, signer)
        if isinstance(outcome, Plan):
            self._save(outcome)
        else:
            self._refuse(outcome)

    def _refuse(self, faults: tuple[DraftFault, ...]) -> None:
        first = faults[0]
        if isinstance(self._page, SigningPage) and first.key.startswith("sign_off."):
            self._page.refuse(first.key, fault_sentence(first, self._catalogue))
        else:
            self._open_signing()

    def _keep_practice(self) -> None:
        outcome = practice_plan(self.draft)
        if isinstance(outcome, Plan):
            self._save(outcome)
        else:
            # What a file cannot do without is asked for where it stands.
            self.open_section("person", outcome[0].key)

    def _save(self, plan: Plan) -> None:
        practice, own = self._desk.practice, self._diary
        made = made_file(self.draft, plan)
        try:
            if is_anothers(practice, made, own):
                self._not_saved(code_taken_words(plan.person))
                return
            place = self._desk.doorways.save_as(made.name)
            if place is None:
                return
            saved = save_plan(practice, made, place, own)
        except Trouble as trouble:
            self._not_saved(not_saved_words(trouble))
            return
        self._draft = None
        self._desk.changed(saved.changed)
        with suppress(Trouble):  # tried again, and told, when this was read
            self._keeper.drop()
        self._saved(made, saved)

    def _saved(self, made: PlanFile, saved: SavedPlan, told: str = "") -> None:
        def answered(given: Given) -> None:
            from companion.ui.clinic.home_papers import pages_for_home

            said = pages_for_home(self._desk, made.plan, given, self._diary)
            if said is None:
                self._done()
            else:
                self._saved(made, saved, said or told)

        self._ask(saved_view(made, saved, told), answered, self._done)

    def _not_saved(self, sentence: str) -> None:
        self._ask(
            refused_view(phrase("This plan was not saved"), sentence),
            lambda _given: self.open_section(self._here),
            lambda: self.open_section(self._here),
        )

    def _done(self) -> None:
        if self._forget():
            self._left()

    # ------------------------------------------------------------ showing

    def _show(self, page: PlanPage) -> None:
        self._page = page
        self._desk.show(page)

    def _ask(
        self,
        view: PageView,
        answered: Callable[[Given], None],
        went_back: Callable[[], None],
    ) -> None:
        self._page = None
        self._desk.ask(view, answered, went_back, self._stopped if view.stop else None)

    def _stopped(self) -> None:
        self.open_section(self._here)
