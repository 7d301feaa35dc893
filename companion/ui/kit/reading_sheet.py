"""A sheet over the page while a file is read beside the window: how far it is, and Cancel."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from typing import TypeVar

from PySide6.QtCore import QCoreApplication

from companion.presentation.language.phrases import phrase
from companion.ui.kit.background import Job, ProgressLine
from companion.ui.kit.page import Page
from companion.ui.kit.text import Paragraph
from companion.ui.kit.theme import GRID
from companion.ui.kit.window import PageWindow

T = TypeVar("T")


class ReadingSheet(Page):
    """How many percent of a file are read, and a note. Its main button cancels, and so does
    Back."""

    def __init__(self, name: str, note: str) -> None:
        heading = phrase("Reading {name}", name=name)
        super().__init__(heading, back=False, stop=False, help_offered=False)
        self.line = self.add(ProgressLine(heading, 100))
        if note:
            self.add(Paragraph(note, quiet=True), GRID)
        self.cancel = self.main_button(phrase("Cancel"))


def read_under_sheet(
    window: PageWindow,
    name: str,
    steps: Generator[int, None, T],
    done: Callable[[T], None],
    *,
    note: str | None = None,
) -> Job:
    """Run `steps`, which give percents, beside the window. `done` gets what they end with, in the
    window's thread, unless they were cancelled. `note` None: that of a file that may be taken in.
    """
    found: list[T] = []

    def work() -> Iterator[object]:
        found.append((yield from steps))

    if note is None:
        note = phrase("Nothing is taken in before you say so.")
    sheet = ReadingSheet(name, note)
    job = Job(work, window)
    application = QCoreApplication.instance()

    def stop() -> None:
        job.stop()
        job.wait()

    def over() -> None:
        job.wait()
        if application is not None:
            application.aboutToQuit.disconnect(stop)
        job.deleteLater()
        if window.sheet() is sheet:
            window.drop_sheet()
        if job.fault is not None:
            raise job.fault
        if found and not job.was_stopped:
            done(found[0])

    job.stepped.connect(sheet.line.set_done)
    job.ended.connect(over)
    sheet.cancel.clicked.connect(job.stop)
    if application is not None:
        application.aboutToQuit.connect(stop)
    window.show_sheet(sheet)
    job.start()
    return job
