"""Saving without a window for files: big doors to the places there are, then where it is, Open and
Print. The window for files is behind the last door."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEventLoop, QStandardPaths, QStorageInfo, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog

from companion.care.flow import Given
from companion.presentation.home.saving_pages import (
    ELSEWHERE,
    PRINT,
    SavePlace,
    saved_view,
    where_view,
)
from companion.presentation.language.phrases import phrase
from companion.presentation.language.troubles import not_saved_words
from companion.presentation.view.page import PageView
from companion.services.trouble import Trouble
from companion.system.settings import SettingsFile
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.background import beside
from companion.ui.kit.window import PageWindow

LAST = "saving.json"
"""Where it is kept in which folder something was put last."""
_STICKS = ("/media/", "/run/media/", "/mnt/", "/Volumes/")


def ask_over(window: PageWindow, view: PageView) -> Given | None:
    """Lay a page over the window and wait for its answer; None where one went back. The window
    lives on meanwhile, and closing it is going back."""
    loop = QEventLoop()
    given: list[Given] = []
    page = AskingPage(view, help_offered=False)

    def answered(submitted: Given) -> None:
        given.append(submitted)
        loop.quit()

    page.submitted.connect(answered)
    page.back_wanted.connect(loop.quit)
    page.destroyed.connect(loop.quit)
    application = QCoreApplication.instance()
    if application is not None:
        application.aboutToQuit.connect(loop.quit)
    window.show_sheet(page)
    loop.exec()
    if window.sheet() is page:
        window.drop_sheet()
    return given[0] if given else None


def sticks() -> list[SavePlace]:
    """The sticks there are. It may wait for a disk: never in the window's thread."""
    found = []
    for disk in QStorageInfo.mountedVolumes():
        root = disk.rootPath()
        outside = root.startswith(_STICKS) or (root[1:2] == ":" and not disk.isRoot())
        if outside and disk.isReady() and not disk.isReadOnly():
            name = disk.displayName()
            found.append(SavePlace("stick", root, Path(name).name or name))
    return found


def places(last: str) -> list[SavePlace]:
    """Where something may be put: where it went last, sticks, and the person's own folders."""
    own = QStandardPaths.StandardLocation
    found = beside(sticks)
    at = QStandardPaths.writableLocation
    found.append(SavePlace("documents", at(own.DocumentsLocation)))
    found.append(SavePlace("desktop", at(own.DesktopLocation)))
    found = [place for place in found if place.path and Path(place.path).is_dir()]
    known = {Path(place.path) for place in found}
    if last and Path(last).is_dir() and Path(last) not in known:
        found.insert(0, SavePlace("last", last, Path(last).name or last))
    else:
        found.sort(key=lambda place: not last or Path(place.path) != Path(last))
    return found


class _Printed(Exception):
    """It was printed, and not saved; `told` is what came of that."""

    def __init__(self, told: str) -> None:
        super().__init__(told)
        self.told = told


class Saving:
    """How things get out of a window: `settings` is the folder in which the last place is kept."""

    def __init__(self, window: PageWindow, settings: Path) -> None:
        self._window = window
        self._last = SettingsFile(settings, LAST)

    def file(self, name: str, make: Callable[[], bytes], *, prints: bool = False) -> str | None:
        """Put a file somewhere, and show where it is; None when all was said, else why it was not
        saved. With `prints`, `make` draws a paper."""

        def put(place: Path) -> Path:
            from companion.services.saving import save_file

            target = _named(place, name)
            save_file(str(target), make())
            return target

        return self._save(name, put, make if prints else None, is_folder=False)

    def folder(
        self, name: str, put: Callable[[Path], Path], draw: Callable[[], object] | None = None
    ) -> str | None:
        """The same for several files: `put` writes them in a folder and says which it is; `draw`
        draws them for the printer."""
        return self._save(name, put, draw, is_folder=True)

    def place(self, name: str) -> Path | None:
        """The folder that is picked for `name`; None where none was."""
        return self._where(name, None, is_folder=True)

    def target(self, name: str) -> Path | None:
        """The file that is picked for what is called `name`; None where none was."""
        place = self._where(name, None, is_folder=False)
        return None if place is None else _named(place, name)

    def _save(
        self,
        name: str,
        put: Callable[[Path], Path],
        draw: Callable[[], object] | None,
        *,
        is_folder: bool,
    ) -> str | None:
        try:
            place = self._where(name, draw, is_folder=is_folder)
        except _Printed as printed:
            return printed.told or None
        if place is None:
            return None
        try:
            target = beside(lambda: put(place))
        except Trouble as trouble:
            return not_saved_words(trouble)
        self.show(target, draw)
        return None

    def _where(
        self, name: str, draw: Callable[[], object] | None, *, is_folder: bool
    ) -> Path | None:
        """The folder that is picked, or behind the last door the file; it is remembered. Raises
        _Printed where it was printed instead."""
        last = self._last.read().get("folder")
        offered = places(last if isinstance(last, str) else "")
        given = ask_over(self._window, where_view(name, offered, prints=draw is not None))
        if given is None:
            return None
        if given["place"] == PRINT and draw is not None:
            raise _Printed(self._print(name, draw))
        if given["place"] != ELSEWHERE:
            picked = offered[int(given["place"])].path
        elif is_folder:
            title = phrase("Where to put it")
            picked = QFileDialog.getExistingDirectory(self._window, title)
        else:
            picked, _ = QFileDialog.getSaveFileName(self._window, phrase("Where to put it"), name)
        if not picked:
            return None
        folder = Path(picked) if Path(picked).is_dir() else Path(picked).parent
        with suppress(OSError):  # it is asked again, that is all
            beside(lambda: self._last.write({"folder": str(folder)}))
        return Path(picked)

    def show(self, target: Path, draw: Callable[[], object] | None) -> None:
        """Show where something is now, with Open, and Print where `draw` draws it."""
        told = ""
        while True:
            view = saved_view(target.name, str(target.parent), prints=draw is not None, told=told)
            given = ask_over(self._window, view)
            match None if given is None else given.get("do"):
                case "open":
                    told = _opened(target)
                case "folder":
                    told = _opened(target.parent)
                case "print" if draw is not None:
                    told = self._print(target.name, draw)
                case _:
                    return

    def _print(self, name: str, draw: Callable[[], object]) -> str:
        """Hand a paper to the printer that is picked; what came of it, "" where none was."""
        from companion.app.printing import print_out

        return print_out(self._window, name, draw)


def _opened(path: Path) -> str:
    if QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
        return ""
    return phrase("This computer has nothing to open it with.")


def _named(place: Path, name: str) -> Path:
    """The file at a place that was picked: in a folder under its name, over nothing that is there;
    without an ending it has that of its name."""
    target = place if place.suffix or not place.is_dir() else _free(place / name)
    return target if target.suffix else target.with_suffix(Path(name).suffix)


def _free(path: Path) -> Path:
    """The path, or that with a number where something stands there already."""
    number = 2
    free = path
    while free.exists():
        free = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return free
