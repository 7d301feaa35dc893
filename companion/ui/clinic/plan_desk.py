"""The plan writer at the clinic's desk: where its files go, and the list they are kept in."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from companion.care.catalogue import Catalogue
from companion.care.records import AnyEntry, Diary, Plan
from companion.exchange.case_files import import_stamp
from companion.exchange.files import diary_bytes, read
from companion.presentation.language.phrases import phrase
from companion.services.clinic_import import looks, takings
from companion.system.atomic import write_whole
from companion.ui.clinic.desk import Doorways, Practice, not_saved
from companion.ui.clinic.plan_room import PlanRoom
from companion.ui.kit.page import Page
from companion.ui.kit.window import PageWindow


class ClinicPlanDesk:
    """Saves what the plan writer makes, and keeps every signed plan in the clinic's list."""

    def __init__(
        self,
        window: PageWindow,
        practice: Practice,
        doorways: Doorways,
        left: Callable[[], None],
        *,
        diary: Diary | None = None,
    ) -> None:
        self.catalogue: Catalogue = practice.catalogue()
        self._window = window
        self._practice = practice
        self._doorways = doorways
        self._left = left
        self.diary = diary
        self.drafts = practice.drafts

    def now(self) -> datetime:
        """The instant, with the local offset."""
        return self._practice.clock.now()

    def show(self, page: Page) -> None:
        """Show a page in place of the last one."""
        self._window.show_page(page)

    def left(self) -> None:
        """The writer is done."""
        self._left()

    def read_plan(self) -> Plan | str | None:
        """Let the clinician pick a plan file."""
        name = self._doorways.pick_file()
        if name is None:
            return None
        reading = read(Path(name), today=self._practice.clock.today())
        if reading.diary is not None:
            return phrase("{name} is a diary, not a plan.", name=Path(name).name)
        return reading.plan or reading.sentence

    def save(
        self, plan: Plan, entries: tuple[AnyEntry, ...], files: dict[str, bytes]
    ) -> tuple[bool, str] | None:
        """Put each file where the clinician says; a signed plan also goes into the list."""
        if self._is_anothers(plan):
            return False, phrase(
                "The code {code} is in the list already. Choose another code, or open {code} "
                "there and write its next version.",
                code=plan.person,
            )
        said = []
        for name, data in files.items():
            picked = self._doorways.save_as(name)
            if picked is None:
                return None
            try:
                write_whole(Path(picked), data)
            except OSError as fault:
                return False, not_saved(fault)
            said.append(phrase("Saved as {name}.", name=Path(picked).name))
        if plan.sign_off is not None:
            said.append(self._keep(plan, entries))
        return True, " ".join(said)

    def _is_anothers(self, plan: Plan) -> bool:
        """A first plan under a code that somebody in the list has."""
        return (
            plan.sign_off is not None
            and self.diary is None
            and self._practice.people.case(plan.person) is not None
        )

    def _keep(self, plan: Plan, entries: tuple[AnyEntry, ...]) -> str:
        """Take plan and entries into the clinic's list; a sentence that says how it went."""
        practice = self._practice
        files = practice.people.files()
        earlier = self.diary.plans if self.diary is not None else ()
        kept = Diary(plans=(*earlier, plan), entries=entries)
        try:
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / f"{plan.person}.homeknee"
                path.write_bytes(diary_bytes(kept))
                found = list(looks([str(path)], practice.folder, files, practice.clock.today()))
                if not all(look.ready for look in found):
                    return found[0].sentence
                stamp = import_stamp(practice.clock.now(), [file.taken for file in files])
                for taken in takings(found, practice.folder, files, stamp):
                    if taken.file is None:
                        return taken.sentence
                    practice.people.put(taken.file, taken.case)
        except OSError as fault:
            why = (fault.strerror or phrase("unknown trouble")).lower()
            return phrase("It could not be kept in the list here: {why}.", why=why)
        return phrase("It is in the list here too.")


def write_plan(
    window: PageWindow,
    practice: Practice,
    doorways: Doorways,
    left: Callable[[], None],
    diary: Diary | None = None,
) -> PlanRoom:
    """Open the plan writer: for a new person, or for the next version of a diary's plan."""
    desk = ClinicPlanDesk(window, practice, doorways, left, diary=diary)
    room = PlanRoom(desk, window)
    room.enter(None if diary is None else diary.plan)
    return room


def save_paper(
    which: str, diary: Diary, catalogue: Catalogue, save_as: Callable[[str], str | None]
) -> str | None:
    """Write the report of a diary, or the person's own summary, where the clinician says.

    How it went, or None.
    """
    # Findings and pages load slowly, and only for this.
    from companion.evidence.findings import findings, sides

    picked = save_as(f"{which}-{diary.plan.person}.pdf")
    if picked is None:
        return None
    found = [findings(diary, side) for side in sides(diary)]
    if which == "report":
        from companion.paper.report import visit_report_pdf
        from companion.presentation.papers.plan_report import visit_report

        data = visit_report_pdf(visit_report(diary, found, catalogue))
    else:
        from companion.paper.visit_summary import visit_summary_pdf
        from companion.presentation.papers.summary import visit_summary

        data = visit_summary_pdf(visit_summary(diary, found, catalogue))
    try:
        write_whole(Path(picked), data)
    except OSError as fault:
        return not_saved(fault)
    return phrase("Saved as {name}.", name=Path(picked).name)
