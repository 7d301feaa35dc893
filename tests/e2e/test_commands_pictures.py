"""The pictures and papers of a plan, by the installed command, without a display."""

from __future__ import annotations

import re
from pathlib import Path

from pypdf import PdfReader

from tests.e2e.running import bare_environment, here, homeknee
from tests.e2e.test_commands import DIARY, PLAN, refused, well


def test_picture_writes_each_picture_twice_for_its_own_knee(tmp_path: Path) -> None:
    out = tmp_path / "made" / "by" / "it"
    assert well(homeknee("picture", PLAN, "--out", out)) == ""
    names = {path.name for path in out.iterdir()}
    drawn = {name.removesuffix(".svg") for name in names if name.endswith(".svg")}
    assert drawn == {name.removesuffix(".png") for name in names if name.endswith(".png")}
    assert drawn
    assert all(name.startswith("right-") for name in drawn), "the plan is for the right knee"
    for name in drawn:
        text = (out / f"{name}.svg").read_text(encoding="utf-8")
        assert text.startswith(("<?xml", "<svg"))
        assert "Right knee" in text
        assert "Left knee" not in text
        # True size: the drawing's width and height are in millimetres.
        assert re.search(r'width="[0-9.]+mm" height="[0-9.]+mm"', text)
        assert (out / f"{name}.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


def test_picture_takes_the_plan_of_a_diary_and_refuses_what_holds_none(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert well(homeknee("picture", DIARY, "--out", tmp_path / "of-diary")) == ""
    assert any((tmp_path / "of-diary").iterdir())
    assert "nothing" in refused(homeknee("picture", tmp_path / "nothing", "--out", out))
    assert not out.exists()


def test_the_papers_of_a_demo_person_without_tape_on_the_paper_of_the_machine(
    tmp_path: Path,
) -> None:
    """Letter where the machine says so: both were A4 always."""
    machine = bare_environment(PAPERSIZE="letter")
    well(homeknee("demo", "wilma", "--out", tmp_path / "out", env=machine))
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert "booklet.pdf" in names
    assert "cutting-sheet.pdf" not in names
    for name in ("booklet.pdf", "visit-summary.pdf"):
        first = PdfReader(tmp_path / "out" / name).pages[0]
        assert (round(first.mediabox.width), round(first.mediabox.height)) == (612, 792), name


def test_papers_are_written_for_a_reader_in_a_size(tmp_path: Path) -> None:
    out = tmp_path / "take" / "home"
    choices = ("--for", "helper", "--paper", "letter", "--weeks", "2")
    assert well(homeknee("papers", PLAN, "--out", out, *choices)) == ""
    assert sorted(path.name for path in out.iterdir()) == [
        "blank-days.pdf",
        "booklet.pdf",
        "cards.pdf",
        "cutting-sheet.pdf",
        "fridge.pdf",
    ]
    told = here("papers", PLAN, "--out", tmp_path / "x", "--weeks", "0")
    assert told.returncode == 2
    assert "1 to 26" in told.stderr
    assert not (tmp_path / "x").exists()
