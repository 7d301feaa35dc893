"""A tour for eyes: a picture of every screen of Home, for each demo person and for one more, whose
diary holds everything. It fails where a page shows a code.

    python -m tests.tour DIR [--person NAME] [--percent N] [--size WxH] [--palette NAME]
                             [--scene NAME] [--language TAG]

Each option may be given more than once. No display is needed. Pictures are called
`person-size-percent-scene-number-what.png`; where a page scrolls, `...-whole.png` beside it shows
all of its reading column, for the first size alone.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
import tempfile
import traceback
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

PERCENTS = (100, 200)
SIZES = ("1024x600", "1366x768")
_PNG_QUALITY = 80  # pressed less hard than the default, which takes longer than to paint


@dataclass(frozen=True)
class Tour:
    """What one process does: one person's scenes, each looked at in every way asked for."""

    folder: Path
    person: str
    percents: tuple[int, ...]
    sizes: tuple[str, ...]
    palettes: tuple[str, ...]
    scenes: tuple[str, ...]
    language: str = "en"


def take(tour: Tour) -> tuple[str, int, list[str]]:
    """Take the pictures of one person; whose, how many, and what went wrong."""
    from PySide6.QtWidgets import QApplication

    from companion.app import languages
    from companion.ui.kit.page import Page
    from companion.ui.kit.theme import PALETTES, Theme, apply, current, grown
    from companion.ui.kit.window import PageWindow
    from tests.raw_codes import codes_in, on_page
    from tests.tour_scenes import SCENES, Stage
    from tests.tour_visit import DemoPerson, settle

    app = QApplication.instance() or QApplication(["tour"])
    assert isinstance(app, QApplication)
    apply(app, Theme())
    languages.choose(tour.language)
    window = PageWindow("Tour")
    taken = number = 0
    scene = ""
    faults: list[str] = []

    def look(what: str, page: Page) -> None:
        nonlocal taken, number
        number += 1
        faults.extend(f"{tour.person} {scene} {what}: {code}" for code in codes_in(on_page(page)))
        # Hidden between looks: a page that is only passed through is not laid out and painted.
        window.show()
        window.activateWindow()
        page.take_focus()
        for palette in tour.palettes:
            for percent in tour.percents:
                for size in tour.sizes:
                    theme = Theme(PALETTES[palette], grown(percent, *_pixels(size)))
                    if theme != current():
                        apply(app, theme)
                    window.resize(*_pixels(size))
                    settle()
                    colours = "" if palette == "light" else f"-{palette}"
                    name = f"{tour.person}-{size}-{percent}{colours}-{scene}-{number:02d}-{what}"
                    window.grab().save(str(tour.folder / f"{name}.png"), "PNG", _PNG_QUALITY)
                    taken += 1
                    # The column is as wide in every window of the tour: once is enough.
                    if size == tour.sizes[0] and page.scroll_bar().maximum() > 0:
                        whole = str(tour.folder / f"{name}-whole.png")
                        page.column.grab().save(whole, "PNG", _PNG_QUALITY)
                        taken += 1
        window.hide()

    with tempfile.TemporaryDirectory(prefix="homeknee-tour-") as folder:
        person = DemoPerson(tour.person, Path(folder))
        for place, (name, play) in enumerate(SCENES.items(), 1):
            if tour.scenes and name not in tour.scenes:
                continue
            number, scene = 0, f"{place:02d}-{name}"
            try:
                play(Stage(person, window, look))
            except Exception:  # noqa: BLE001 - the other scenes are still worth seeing
                faults.append(f"{tour.person} {name}\n{traceback.format_exc()}")
    window.close()
    return tour.person, taken, faults


def _pixels(size: str) -> tuple[int, int]:
    width, _, height = size.partition("x")
    return int(width), int(height)


def main(arguments: Sequence[str]) -> int:
    """Take the pictures; 0 when every scene played to its end."""
    from tests.tour_people import tour_people

    parser = argparse.ArgumentParser(
        prog="python -m tests.tour", description="Pictures of every screen of Home."
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--person", action="append", choices=tour_people())
    parser.add_argument("--percent", action="append", type=int)
    parser.add_argument("--size", action="append", metavar="WxH")
    parser.add_argument("--palette", action="append", choices=("light", "dark", "high_contrast"))
    parser.add_argument("--scene", action="append")
    parser.add_argument("--language", default="en", metavar="TAG")
    options = parser.parse_args(arguments)
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    options.folder.mkdir(parents=True, exist_ok=True)
    tours = [
        Tour(
            folder=options.folder,
            person=person,
            percents=tuple(options.percent or PERCENTS),
            sizes=tuple(options.size or SIZES),
            palettes=tuple(options.palette or ("light",)),
            scenes=tuple(options.scene or ()),
            language=options.language,
        )
        for person in options.person or tour_people()
    ]
    failed = False
    # One toolkit a process, begun afresh: it does not survive a fork.
    with ProcessPoolExecutor(
        min(len(tours), os.cpu_count() or 1), mp_context=multiprocessing.get_context("spawn")
    ) as pool:
        for name, taken, faults in pool.map(take, tours):
            print(f"{name}: {taken} pictures", flush=True)
            for fault in faults:
                failed = True
                print(fault, file=sys.stderr, flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
