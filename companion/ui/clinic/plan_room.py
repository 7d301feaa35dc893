"""The plan writer: one draft, one page at a time, until it is signed, kept or dropped."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from typing import Any, Protocol

from PySide6.QtCore import QObject

from companion.care.catalogue import Catalogue
from companion.care.days import diary_day
from companion.care.flow import Page as WalkPage
from companion.care.records import AnyEntry, Diary, Plan, Side
from companion.journal.drafts import DraftFolder, draft_name
from companion.presentation.clinic.plan_form import (
    SECTIONS,
    PreviewPart,
    SectionKey,
    contents,
    neighbour,
    section,
    section_heading,
    sections_of,
    signing,
)
from companion.presentation.clinic.plan_pages import (
    leave_view,
    not_kept_view,
    preview_begins,
    preview_view,
    refused_view,
    saved_view,
    start_view,
)
from companion.presentation.clinic.plan_words import fault_sentence
from companion.presentation.language.phrases import phrase
from companion.presentation.view.page import PageView
from companion.services.at_hand import AtHand, at_hand
from companion.services.plan_answers import Answer
from companion.services.plan_draft import (
    DraftFault,
    PlanDraft,
    drawn,
    from_last,
    from_practice,
    from_template,
    plan_file,
    plan_of,
    practice_plan,
    set_field,
    sign,
    taught_today,
)
from companion.services.plan_draft_kept import (
    FoundDrafts,
    Unfinished,
    draft_body,
    found_drafts,
)
from companion.services.plan_first_session import first_session, start_file
from companion.services.plan_preview import routine_pages
from companion.system.ids import new_id
from companion.ui.clinic.plan_pages import PlanPage, SectionPage, Signed, SigningPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.page import Page
from companion.wire.sign_off import content_sha256


class PlanDesk(Protocol):
    """What the plan writer needs of the window it works in.

    `save` puts files, by their names, where the clinician says, and gives the sentence that says
    how it went with True when they are saved; None when no place was picked. What is signed it
    also takes into the clinic's own list: `plan` and the entries of a first session. `read_plan`
    gives a plan file that was picked, the sentence why not, or None. `left` is called when the
    writer is done.
    """

    catalogue: Catalogue
    diary: Diary | None
    """The diary at hand, of the person whose plan is written."""
    drafts: DraftFolder
    """Where what is half written is kept."""

    def now(self) -> datetime:
        """The instant, with the local offset."""

    def show(self, page: Page) -> None:
        """Show a page in place of the last one."""

    def save(
        self, plan: Plan, entries: tuple[AnyEntry, ...], files: dict[str, bytes]
    ) -> tuple[bool, str] | None:
        """Put files where the clinician says."""

    def read_plan(self) -> Plan | str | None:
        """Let the clinician pick a plan file."""

    def left(self) -> None:
        """The writer is done: show what was there before."""


class PlanRoom(QObject):
    """Holds the draft; every page is made from it, and every answer makes a new one."""

    def __init__(self, desk: PlanDesk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._draft: PlanDraft | None = None
        self._last: Plan | None = None
        self._kept_as = ""
        self._disk_refused = False
        self._signer: Signed | None = None
        self._page: PlanPage | None = None
        self._here: SectionKey = "person"
        self._answered: Callable[[dict[str, Any]], None] | None = None
        self._went_back: Callable[[], None] | None = None

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

    def enter(self, last: Plan | None = None) -> None:
        """Ask where to begin; `last` is the plan in force of the person at hand."""
        self._last = last
        try:
            found = found_drafts(self._desk.drafts, self._owner(), today=self._today(), last=last)
        except OSError as fault:
            self._ask(
                refused_view(phrase("Unfinished plans cannot be looked for"), _why(fault)),
                lambda _given: self._offer(FoundDrafts((), ())),
                self._desk.left,
            )
            return
        self._offer(found)

    def _offer(self, found: FoundDrafts) -> None:
        def begin(given: dict[str, Any]) -> None:
            chosen = str(given["begin"])
            kept = next((k for k in found.unfinished if chosen == f"draft:{k.name}"), None)
            if kept is None:
                self._begin(chosen)
            else:
                self._go_on(kept)

        self._ask(start_view(self._desk.catalogue, self._last, found), begin, self._desk.left)

    def _go_on(self, kept: Unfinished) -> None:
        """Take up what was left, and go on keeping it where it is."""
        there: SectionKey = next((key for key in SECTIONS if key == kept.section), "person")
        self.take_up(kept.draft, there)
        self._kept_as = kept.name

    def _owner(self) -> str | None:
        diary = self._desk.diary
        return None if diary is None else diary.plan.person

    def _today(self) -> date:
        return diary_day(self._desk.now())

    def take_up(self, draft: PlanDraft, key: SectionKey = "person") -> None:
        """Write on at a draft made elsewhere, such as from the first session."""
        self._last = draft.last
        self._kept_as = ""
        self._draft = drawn(replace(draft, at_hand=self._at_hand()), new_id())
        self.open_section(key)

    def _at_hand(self) -> AtHand | None:
        diary = self._desk.diary
        return None if diary is None else at_hand(diary)

    def _begin(self, begin: str) -> None:
        today = self._today()
        if begin == "last" and self._last is not None:
            self.take_up(from_last(self._last, today))
        elif begin == "practice":
            self._open_practice()
        else:
            template = self._desk.catalogue.template(begin.removeprefix("template:"))
            self.take_up(from_template(template, today, self._last))

    def _open_practice(self) -> None:
        found = self._desk.read_plan()
        if found is None:
            return
        refusal = found if isinstance(found, str) else self._refusal(found)
        if refusal is not None or isinstance(found, str):
            self._ask(
                refused_view(phrase("This file was not opened"), refusal or ""),
                lambda _given: self.enter(self._last),
                lambda: self.enter(self._last),
            )
            return
        self.take_up(from_practice(found, self._last, self._today()))

    def _refusal(self, found: Plan) -> str | None:
        if found.sign_off is not None:
            return phrase(
                "This plan is signed. Open the person and write the next version of it instead."
            )
        if self._last is not None and found.person != self._last.person:
            return phrase(
                "This file is from another person (code {theirs}, here {ours}).",
                theirs=found.person,
                ours=self._last.person,
            )
        return None

    # ------------------------------------------------------------ sections

    def open_section(self, key: SectionKey, field: str = "") -> None:
        """Show one section, with the focus on a field when one is named."""
        self._here = key = key if key in sections_of(self.draft) else "person"
        if key == "sign":
            self._open_signing()
            return
        draft, catalogue = self.draft, self._desk.catalogue
        after = neighbour(key, draft, 1)
        page = SectionPage(
            section(key, draft, catalogue),
            contents(draft, catalogue),
            above=self._above(),
            main=phrase("Next: {section}", section=section_heading(after or "sign")),
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

    def _way(self, key: SectionKey) -> None:
        self.open_section(key)

    def _next(self) -> None:
        self.open_section(neighbour(self._here, self.draft, 1) or "sign")

    def _back(self) -> None:
        before = neighbour(self._here, self.draft, -1)
        if before is not None:
            self.open_section(before)
        else:
            self.ask_to_leave()

    def _leave(self, given: dict[str, Any]) -> None:
        match given["do"]:
            case "stay":
                self.open_section(self._here)
            case "practice":
                self._keep_practice()
            case "later":
                self._disk_refused = False  # that it cannot be left so is told each time
                if self._keep():
                    self._draft = None
                    self._desk.left()
            case _:
                self._drop()

    # ------------------------------------------------------------ kept on the disk

    def _keep(self) -> bool:
        """Put the draft on the disk; a disk that refuses it is told once, until it takes it."""
        draft, desk = self.draft, self._desk
        if not self._kept_as:
            self._kept_as = draft_name(self._owner(), new_id())
        try:
            desk.drafts.keep(self._kept_as, draft_body(draft, desk.now(), self._here))
        except OSError as fault:
            told, self._disk_refused = self._disk_refused, True
            if not told:
                self._ask(
                    not_kept_view(_why(fault)),
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
            self._desk.left()

    def _forget(self) -> bool:
        """Take the kept draft away; False when the disk refused, which is told."""
        try:
            if self._kept_as:
                self._desk.drafts.drop(self._kept_as)
        except OSError as fault:
            self._ask(
                refused_view(
                    phrase("This draft is still on the disk"),
                    phrase(
                        "{name} could not be removed: {why}. It will be offered again.",
                        name=self._kept_as,
                        why=_why(fault),
                    ),
                ),
                lambda _given: self._desk.left(),
                self._desk.left,
            )
            return False
        return True

    def _field_answered(self, key: str, answer: Answer) -> None:
        self._draft = set_field(self.draft, key, answer, self._desk.catalogue)
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
            draft, catalogue = self.draft, self._desk.catalogue
            if page.section_names != sections_of(draft):
                # A first session or a tape trial comes or goes: the contents have another line.
                self.open_section(self._here, key)
                return
            page.follow(section(page.section.key, draft, catalogue), contents(draft, catalogue))

    # ------------------------------------------------------------ preview

    def _preview(self) -> None:
        draft, catalogue = self.draft, self._desk.catalogue
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
        def given(answer: dict[str, Any]) -> None:
            if answer["end"]:
                self.open_section(self._here)
            else:
                self._show_preview(plan, side, pages, place + 1)

        def back() -> None:
            if place:
                self._show_preview(plan, side, pages, place - 1)
            else:
                self.open_section(self._here)

        view = preview_view(pages, place, plan, side, self._desk.catalogue)
        self._ask(view, given, back)

    # ------------------------------------------------------------ signing

    def _open_signing(self) -> None:
        draft, catalogue = self.draft, self._desk.catalogue
        page = SigningPage(
            signing(draft, catalogue, content_sha256(plan_of(draft))),
            contents(draft, catalogue),
            above=self._above(),
            signer=self._signer,
        )
        page.field_wanted.connect(self._to_field)
        page.sign_wanted.connect(self._sign)
        page.practice_wanted.connect(self._keep_practice)
        self._connect(page)
        self._show(page)

    def _to_field(self, key: SectionKey, field: str) -> None:
        self.open_section(key, field)

    def _sign(self, signer: Signed) -> None:
        outcome = sign(
            self.draft,
            self._desk.catalogue,
            name=signer.name,
            registration=signer.registration,
            at=self._desk.now(),
        )
        if isinstance(outcome, Plan):
            self._signer = signer
            self._save(outcome)
        else:
            self._refuse(outcome)

    def _refuse(self, faults: tuple[DraftFault, ...]) -> None:
        first = faults[0]
        if isinstance(self._page, SigningPage) and first.key.startswith("sign_off."):
            self._page.refuse(first.key, fault_sentence(first, self._desk.catalogue))
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
        entries: tuple[AnyEntry, ...] = ()
        name = f"{plan.person}-{plan.version}.homeknee"
        if plan.sign_off is None:
            files = {f"practice-plan-{name}": plan_file(plan)}
        else:
            files = {f"plan-{name}": plan_file(plan)}
            entries = first_session(self.draft, plan, plan.sign_off.signed_at, new_id)
            if entries:
                files = {f"start-{name}": start_file(plan, entries)}
        outcome = self._desk.save(plan, entries, files)
        if outcome is None:
            return
        saved, sentence = outcome
        if not saved:
            self._ask(
                refused_view(phrase("This plan was not saved"), sentence),
                lambda _given: self.open_section(self._here),
                lambda: self.open_section(self._here),
            )
            return

        self._draft = None
        with contextlib.suppress(OSError):  # tried again, and told, when this was read
            self._desk.drafts.drop(self._kept_as)

        def done(_given: dict[str, Any] | None = None) -> None:
            if self._forget():
                self._desk.left()

        self._ask(saved_view(plan, sentence, with_session=bool(entries)), done, done)

    # ------------------------------------------------------------ showing

    def _show(self, page: PlanPage) -> None:
        self._page = page
        self._desk.show(page)

    def _ask(
        self,
        view: PageView,
        answered: Callable[[dict[str, Any]], None],
        went_back: Callable[[], None],
    ) -> None:
        self._answered, self._went_back = answered, went_back
        self._page = None
        page = AskingPage(view)
        page.given.connect(self._on_given)
        page.back_wanted.connect(self._on_back)
        page.stop_wanted.connect(lambda: self.open_section(self._here))
        self._desk.show(page)

    def _on_given(self, given: dict[str, Any]) -> None:
        if self._answered is not None:
            self._answered(given)

    def _on_back(self) -> None:
        if self._went_back is not None:
            self._went_back()


def _why(fault: OSError) -> str:
    return (fault.strerror or phrase("unknown trouble")).lower()
