"""The system's own window for printing, and papers painted straight onto what is picked there."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtPrintSupport import QPrintDialog, QPrinter, QPrinterInfo
from PySide6.QtWidgets import QWidget

from companion.paper.paper_size import on_letter_paper, page_size
from companion.paper.pdf import onto_printer
from companion.presentation.language.phrases import phrase


def print_out(window: QWidget, name: str, draw: Callable[[], object]) -> str:
    """Let somebody pick a printer, and draw on it; what came of it, "" where none was picked."""
    if not QPrinterInfo.availablePrinterNames():
        return phrase("No printer was found. Save it, and print it elsewhere.")
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(name)
    printer.setPageSize(page_size(letter=on_letter_paper()))
    if QPrintDialog(printer, window).exec() != QPrintDialog.DialogCode.Accepted:
        return ""
    pages = onto_printer(printer, draw)
    return phrase("{n} page is on its way to the printer.", "{n} pages are on their way.", n=pages)
