"""What keeps a use case from being done and is no fault of the program: one exception for all.

Each floor below raises its own: the machine its OSError, the store its faults, the clinic's folder
a file that changed. A window knows none of them.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from companion.care.coded import Coded, KnownFault
from companion.journal.faults import JournalDamaged


class Trouble(Exception):
    """`said` is what the floor says that it comes from. Without it the machine refused: `where`
    is the place, `why` its reason, either "" where the machine names none."""

    def __init__(self, said: Coded | None = None, *, where: str = "", why: str = "") -> None:
        super().__init__(str(said or f"{where}: {why}"))
        self.said, self.where, self.why = said, where, why

    @property
    def damage(self) -> bool:
        """Whether the diary is damaged: trying again is of no use, mending it is."""
        return isinstance(self.__cause__, JournalDamaged)


@contextmanager
def known_troubles() -> Iterator[None]:
    """Raise Trouble for what the machine, the store and the folders raise."""
    try:
        yield
    except OSError as fault:
        raise Trouble(where=str(fault.filename or ""), why=fault.strerror or "") from fault
    except KnownFault as fault:
        raise Trouble(fault.said) from fault
