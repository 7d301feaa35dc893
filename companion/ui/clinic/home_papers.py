"""The pages for home of a plan, printed, or saved where a door leads."""

from __future__ import annotations

from dataclasses import replace

from companion.care.flow import Given
from companion.care.records import Diary, Plan
from companion.presentation.home.papers_pages import papers_folder, papers_saved_words
from companion.presentation.language.troubles import not_saved_words
from companion.services.clinic_papers import Reader, save_home_papers
from companion.services.trouble import Trouble
from companion.ui.clinic.desk import ClinicHost


def pages_for_home(desk: ClinicHost, plan: Plan, given: Given, diary: Diary | None) -> str | None:
    """Do with the pages what was answered, or take the other paper; what came of it, None where
    the answer was about something else. `diary`: the one at hand."""
    if "paper" in given:
        desk.doorways.use_settings(replace(desk.doorways.settings(), paper=given["paper"]))
        return ""
    if "print_out" in given:
        practice, reader = desk.practice, given["print_out"]
        today = practice.clock.today()
        return desk.doorways.print_out(
            papers_folder(plan),
            lambda: desk.doorways.draw_home_papers(
                plan, practice.catalogue(), today, reader, diary
            ),
        )
    return _saved_for_home(desk, plan, given["papers"], diary) if given.get("papers") else None


def _saved_for_home(desk: ClinicHost, plan: Plan, reader: Reader, diary: Diary | None) -> str:
    """Let the clinician pick a place and write the pages there; where they are, why not, or "" when
    no place was picked."""
    place = desk.doorways.folder_for(papers_folder(plan))
    if place is None:
        return ""
    try:
        folder, names = save_home_papers(
            plan,
            desk.practice.catalogue(),
            desk.doorways.draw_home_papers,
            place,
            papers_folder(plan),
            desk.practice.clock.today(),
            reader,
            diary,
        )
    except Trouble as trouble:
        return not_saved_words(trouble)
    draw, catalogue = desk.doorways.draw_home_papers, desk.practice.catalogue()
    today = desk.practice.clock.today()
    desk.doorways.show_saved(
        f"{place}/{folder}", lambda: draw(plan, catalogue, today, reader, diary)
    )
    return papers_saved_words(folder, names)
