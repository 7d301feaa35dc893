"""What keeps a use case from being done and is no fault of the program: one exception for all.

Each floor below raises its own: the machine its OSError, the store its faults, the clinic's folder
a file that changed. A window knows none of them.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from companion.journal.faults import JournalFault


class Trouble(Exception):
    """`said` is the sentence of the floor it comes from. Without one the machine refused: `where`
    is the place, `why` its reason, either "" where the machine names none."""

    def __init__(self, said: str = "", *, where: str = "", why: str = "") -> None:
        super().__init__(said or f"{where}: {why}")
        self.said, self.where, self.why = said, where, why


@contextmanager
def known_troubles(*more: type[Exception]) -> Iterator[None]:
    """Raise Trouble for what the machine and the store raise, and for `more`, whose text is the
    sentence to be read."""
    try:
        yield
    except OSError as fault:
        raise Trouble(where=str(fault.filename or ""), why=fault.strerror or "") from fault
    except JournalFault as fault:
        raise Trouble(fault.sentence) from fault
    except more as fault:
        raise Trouble(str(fault)) from fault
