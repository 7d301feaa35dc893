"""Pictures of a plan as files: whole, true size, and nothing that needs colour."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from PySide6.QtGui import QImage

from companion.canvas.typesetting import application
from companion.care.coded import coded
from companion.paper.picture_files import black_and_white, drawing_png, write_pictures
from companion.picture.curves import straight
from companion.picture.drawing import Drawing, Frame, Shape
from companion.presentation.view.figures import tape_picture
from tests.care.content import CATALOGUE
from tests.picture.made import measures, plan

pytestmark = pytest.mark.usefixtures("qapp")


def image_of(data: bytes) -> QImage:
    """A PNG as an image."""
    image = QImage.fromData(data)
    assert not image.isNull()
    return image


def test_a_line_is_as_long_as_it_is(tmp_path: Path) -> None:
    """100 mm at 5 pixels a millimetre, with round ends of 1.1 mm each."""
    application()
    line = Shape("mark", straight([-50 + 0j, 50 + 0j]), "heavy")
    drawing = Drawing(Frame(-60, -20, 120, 40), (line,), coded("drawn_title", title="a line"))
    image = image_of(drawing_png(drawing, pixels_per_mm=5.0))
    assert image.dotsPerMeterX() == 5000
    row = image.height() // 2
    dark = [x for x in range(image.width()) if image.pixelColor(x, row).lightness() < 128]
    assert (dark[-1] - dark[0] + 1) / 5 == pytest.approx(102.2, abs=0.4)


def test_printed_pictures_are_grey_and_the_tape_is_seen() -> None:
    image = image_of(drawing_png(tape_picture(plan(), "right", 1, "own"), pixels_per_mm=2.0))
    tape = black_and_white().tape.lightness()
    seen = 0
    for y in range(0, image.height(), 2):
        for x in range(0, image.width(), 2):
            colour = image.pixelColor(x, y)
            assert colour.red() == colour.green() == colour.blue()
            seen += colour.lightness() == tape
    assert seen > 200


def test_every_picture_of_a_plan_is_written_twice(tmp_path: Path) -> None:
    made = plan("left", techniques=("glide_inner_edge", "stroke_thigh"))
    out = tmp_path / "pictures"
    names = write_pictures(made, CATALOGUE, out)
    assert {path.name for path in out.iterdir()} == set(names)
    stems = {name.rsplit(".", 1)[0] for name in names}
    assert len(names) == 2 * len(stems)
    assert {name.rsplit(".", 1)[1] for name in names} == {"svg", "png"}
    assert {f"left-{view}-tape-{stage}" for view in ("own", "helper") for stage in (1, 2)} <= stems
    assert {"left-helper-stroke_thigh-2", "left-own-tape-off-wet", "left-tape-1-bend"} <= stems
    assert all(stem.startswith("left-") for stem in stems)
    for name in names:
        if name.endswith(".svg"):
            root = ET.parse(out / name).getroot()
            words = {element.text for element in root.iter("{http://www.w3.org/2000/svg}text")}
            assert any((word or "").startswith("Left knee") for word in words)
            assert not any((word or "").startswith("Right knee") for word in words)
        else:
            drawn = ET.parse(out / name.replace(".png", ".svg")).getroot().attrib["width"]
            wide = float(drawn.removesuffix("mm"))
            assert image_of((out / name).read_bytes()).width() == round(3 * wide)


def test_a_plan_for_both_writes_each_knee_with_its_own_measures(tmp_path: Path) -> None:
    made = plan(
        "both",
        (measures("right", 92.0, 46.0, 43.0), measures("left", 74.0, 36.0, 38.0)),
        techniques=(),
    )
    names = write_pictures(made, CATALOGUE, tmp_path)
    right = [name for name in names if name.startswith("right-")]
    left = [name for name in names if name.startswith("left-")]
    assert [name.replace("right-", "left-") for name in right] == left
    one, other = (
        (tmp_path / f"{side}-own-tape-1.svg").read_text(encoding="utf-8") for side in
        ("right", "left")
    )  # fmt: skip
    assert "Left knee" not in one
    assert "Right knee" not in other
