"""Export from the review: ticked, put into a folder, told; refused, and nothing lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from companion.presentation.language.said import said_words
from companion.services.export import FORMATS, export_files
from companion.ui.clinic.export_page import ExportPage, ExportToldPage
from tests.tour_clinic import TODAY, Desk
from tests.tour_visit import press
from tests.ui.clinic.test_desk import LARGE, SMALL, USUAL, demo, look_as
from tests.ui.kit.accessibility import faults as accessibility_faults
from tests.ui.kit.clipping import faults as clipping_faults
from tests.ui.kit.clipping import overlaps

Key = Qt.Key


def export_page(desk: Desk, name: str = "tobin") -> ExportPage:
    """The export page of a review, gone to by its key."""
    desk.take_in(demo(name))
    desk.clinic.open(desk.practice.people.cases()[0].code)
    desk.answers()
    press("E")
    page = desk.page()
    assert isinstance(page, ExportPage)
    return page


def test_formats_are_ticked_and_saved_by_keyboard_alone(desk: Desk, tmp_path: Path) -> None:
    page = export_page(desk)
    assert "carries the code K-23" in page.reading_text()
    assert page.ticks.values() == ()
    desk.picks = [str(tmp_path)]
    press(Key.Key_Tab, Key.Key_Space, Key.Key_Down, Key.Key_Space, Key.Key_Return)
    told = desk.page()
    assert isinstance(told, ExportToldPage)
    folder = tmp_path / f"export-K-23-{TODAY.isoformat()}"
    diary = page.record.diary
    expected = export_files(diary, ["fhir", "csv"], said_words)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == {
        file.name: file.data for file in expected
    }
    text = told.reading_text()
    assert f"4 files saved in the new folder {folder.name}, in {tmp_path}." in text
    for file in expected:
        assert file.name in text
    press(Key.Key_Escape)
    assert desk.page() is page
    assert page.ticks.values() == ("fhir", "csv")


def test_a_second_export_of_the_day_stands_beside_the_first(desk: Desk, tmp_path: Path) -> None:
    page = export_page(desk)
    for number in (1, 2):
        page.ticks.set_values([FORMATS[number]])
        desk.picks = [str(tmp_path)]
        press(Key.Key_Return)
        press(Key.Key_Escape)
    first = f"export-K-23-{TODAY.isoformat()}"
    assert sorted(path.name for path in tmp_path.iterdir() if "export" in path.name) == [
        first,
        f"{first}-2",
    ]


def test_nothing_ticked_is_said_and_no_place_picked_changes_nothing(
    desk: Desk, tmp_path: Path
) -> None:
    page = export_page(desk)
    desk.picks = [str(tmp_path)]
    press(Key.Key_Return)
    assert page.problem.text() == "Tick what is to be saved."
    assert desk.picks == [str(tmp_path)]  # nobody was asked where
    page.ticks.rows[0].click()
    assert page.problem.isHidden()
    desk.picks = [None]
    press(Key.Key_Return)
    assert desk.page() is page


@pytest.mark.parametrize("when", ["no folder", "the disk is full"])
def test_a_refused_place_is_said_and_nothing_is_lost(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, when: str
) -> None:
    page = export_page(desk)
    page.ticks.set_values(FORMATS)
    place = tmp_path / "stick"
    if when != "no folder":
        place.mkdir()
        written: list[str] = []

        def fills_up(path: Path, _data: bytes) -> None:
            if len(written) == 2:
                raise OSError(28, "No space left on device", str(path))
            written.append(path.name)
            path.write_bytes(_data)

        monkeypatch.setattr("companion.system.atomic.write_whole", fills_up)
    desk.picks = [str(place)]
    press(Key.Key_Return)
    told = desk.page()
    assert isinstance(told, ExportToldPage)
    assert told.heading_text() == "Nothing was exported"
    assert "It could not be saved there" in told.reading_text()
    assert not place.exists() or list(place.iterdir()) == []
    monkeypatch.undo()
    press(Key.Key_Escape)
    assert desk.page() is page
    assert page.ticks.values() == FORMATS
    place.mkdir(exist_ok=True)
    desk.picks = [str(place)]
    press(Key.Key_Return)
    assert desk.page().heading_text() == "Exported"
    assert len(list(place.iterdir())) == 1


def test_a_person_with_both_knees_is_exported_whole(desk: Desk, tmp_path: Path) -> None:
    page = export_page(desk, "wilma")
    assert page.heading_text() == "Export"
    page.ticks.set_values(["findings"])
    desk.picks = [str(tmp_path)]
    press(Key.Key_Return)
    names = [path.name for path in tmp_path.glob("export-*/*")]
    assert sorted(names) == ["findings-K-19-left.json", "findings-K-19-right.json"]


def test_what_is_told_is_not_clipped_and_has_names(
    desk: Desk, qapp: QApplication, tmp_path: Path
) -> None:
    page = export_page(desk)
    page.ticks.set_values(FORMATS)
    deep = tmp_path / ("a rather long name of a folder on a memory stick " * 2).strip()
    deep.mkdir()
    desk.picks = [str(deep)]
    press(Key.Key_Return)
    told = desk.page()
    assert isinstance(told, ExportToldPage)
    found = []
    for look in (USUAL, LARGE, SMALL):
        look_as(desk, qapp, *look)
        found += clipping_faults(told) + overlaps(told)
    found += accessibility_faults(told)
    assert found == []


def test_a_wide_page_ends_where_its_rows_end(desk: Desk, qapp: QApplication) -> None:
    """Rows whose words fit one line here and not in 720 pixels once left empty room below them."""
    page = export_page(desk)
    look_as(desk, qapp, *USUAL)
    assert page.ticks.width() > 720
    assert page.scroll_bar().maximum() == 0
