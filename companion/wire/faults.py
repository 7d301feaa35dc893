"""What is wrong with something from outside, and where."""

from dataclasses import dataclass

from companion.care.coded import Coded, coded


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: its place, such as `entries[12].pain_worst`, and what is wrong."""

    place: str
    what: Coded

    @property
    def said(self) -> Coded:
        """The place and the fault as one."""
        return coded("at_place", place=self.place, what=self.what)
