"""What is wrong with something from outside, and where."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: its place, such as `entries[12].pain_worst`, and what is wrong in plain words."""

    place: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.place}: {self.sentence}"
