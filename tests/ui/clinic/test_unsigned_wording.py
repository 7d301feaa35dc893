"""Every page of the clinic's window that shows wording nobody licensed signed says so: the list,
each page of a review of somebody who ticked every sign, and its figures."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from companion.care.records import AnyEntry, Diary
from companion.exchange.files import diary_bytes
from tests.builders import page, session, warning
from tests.care.walking import CATALOGUE, taught_plan
from tests.raw_codes import on_page
from tests.tour_clinic import Desk
from tests.ui.clinic.test_desk import every_page
from tests.wording_said import PAGE_END, unsigned_pages


def test_each_page_of_a_review_that_shows_wording_says_that_nobody_signed_it(
    desk: Desk, tmp_path: Path
) -> None:
    signs = enumerate(CATALOGUE.stop_list.signs)
    ticked = [warning(n % 20, sign=sign.id, level=sign.level) for n, sign in signs]
    told: tuple[AnyEntry, ...] = (*(page(n) for n in range(20)), session(3, 6, 3), *ticked)
    told = tuple(replace(entry, id=f"{n:032x}") for n, entry in enumerate(told))
    path = tmp_path / "signs.homeknee"
    path.write_bytes(diary_bytes(Diary(plans=(taught_plan(side="both"),), entries=told)))
    desk.take_in(path)
    pages: dict[str, list[str]] = {}
    for name in every_page(desk):
        pages[name] = [*on_page(desk.page()), PAGE_END]
    assert any("shake hard" in text for text in pages["warnings"]), "every sign stands there"
    assert [name for name, shown in pages.items() if unsigned_pages(shown)] == []
