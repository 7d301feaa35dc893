"""What is half written at the clinic's desk, plans and weeks on paper: each a file of its own,
whole or as it was before.

A draft is nobody's record: it is kept from the first change until the plan is signed, kept as a
practice plan or dropped by name; weeks, until they are taken in or given up. Its first line holds
the hash of the rest, so that a damaged one is known and told; one of a plan is left alone.
"""

import contextlib
import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from companion.care.json_values import JsonObject
from companion.system.atomic import private_folder, write_whole

DRAFTS = "drafts"
ENDING = ".draft"
_HEADER = "homeknee plan draft 1"


@dataclass(frozen=True, slots=True)
class KeptDraft:
    """One file. `body` is None for one that cannot be read: damaged, or from a newer version."""

    name: str
    body: JsonObject | None


class DraftFolder:
    """The drafts of one clinic's folder. Its name holds whose a draft is: a code, or nobody's yet.

    One window has the folder at a time: the people's store holds the lock.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder / DRAFTS

    @property
    def place(self) -> Path:
        """Where the files are."""
        return self._folder

    def keep(self, name: str, body: JsonObject) -> None:
        """Put a draft in place of the one of that name; on the disk when this returns.

        Raises OSError when the machine fails; then the one from before is whole.
        """
        private_folder(self._folder)
        text = json.dumps(body, ensure_ascii=False).encode()
        header = f"{_HEADER} {hashlib.sha256(text).hexdigest()}\n".encode()
        write_whole(self._folder / name, header + text)

    def drop(self, name: str) -> None:
        """Take a draft away; one that is not there is no fault. Raises OSError."""
        if name:
            (self._folder / name).unlink(missing_ok=True)

    def one(self, name: str) -> KeptDraft | None:
        """The draft of that name. Raises OSError when the folder cannot be read."""
        path = self._folder / name
        return KeptDraft(name, _body(path)) if path.exists() else None

    def kept(self, person: str | None) -> tuple[KeptDraft, ...]:
        """The drafts for a code, or for nobody in the list yet, by name. Raises OSError."""
        if not self._folder.is_dir():
            return ()
        found = []
        for path in sorted(self._folder.iterdir()):
            if path.name.endswith(".part"):
                # A killed write left it: what it was to replace is whole.
                with contextlib.suppress(OSError):
                    path.unlink()
            elif path.name.endswith(ENDING) and _owner(path.name) == (person or ""):
                found.append(KeptDraft(path.name, _body(path)))
        return tuple(found)


def draft_name(person: str | None, new_id: str) -> str:
    """The name of a new draft; the start of an id tells it from the few beside it."""
    return f"{person or ''}_{new_id[:12]}{ENDING}"  # the id holds no low line


def _owner(name: str) -> str:
    return name.rpartition("_")[0]


def _body(path: Path) -> JsonObject | None:
    try:
        header, _, text = path.read_bytes().partition(b"\n")
        if header.decode() != f"{_HEADER} {hashlib.sha256(text).hexdigest()}":
            return None
        body = json.loads(text)
    except (OSError, ValueError):
        return None
    return body if isinstance(body, dict) else None
