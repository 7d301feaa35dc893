"""The measuring guide, one page after the other."""

from __future__ import annotations

from companion.care.flow import Given
from companion.care.measuring import Measured, measured
from companion.care.records import Plan, Side
from companion.presentation.home.measuring_pages import (
    bump_view,
    edge_view,
    measure_note,
    measured_view,
    readings_view,
)
from companion.services.visit import ask_clinic
from companion.ui.home.desk import HomeHost


class MeasuringRoom:
    """Two landmarks, two readings, and what is written down of them."""

    def __init__(self, desk: HomeHost, plan: Plan, side: Side) -> None:
        self._desk, self._plan, self._side = desk, plan, side

    def enter(self) -> None:
        """The bony bump first."""
        view = bump_view(self._plan, self._side)
        self._desk.ask(view, lambda _given: self._edge(), self._desk.show_front)

    def _edge(self) -> None:
        view = edge_view(self._plan, self._side)
        self._desk.ask(view, lambda _given: self._readings(), self.enter)

    def _readings(self) -> None:
        self._desk.ask(readings_view(self._plan, self._side), self._read, self._edge)

    def _read(self, submitted: Given) -> None:
        found = measured(submitted["first"], submitted["second"], submitted["unit"])

        def chosen(submitted: Given) -> None:
            if submitted["do"] == "keep":
                self._desk.attempt(lambda: self._keep(found))
            else:
                self._readings()

        self._desk.ask(measured_view(found, self._side), chosen, self._readings)

    def _keep(self, found: Measured) -> None:
        ask_clinic(self._desk.context, measure_note(found, self._side))
        self._desk.show_front()
