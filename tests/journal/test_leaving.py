"""Taking everything away takes away what is ours, and nothing that only lies beside it."""

from datetime import timedelta
from pathlib import Path

from companion.journal import backups
from companion.journal.leaving import take_off
from companion.journal.salvage import mend, salvaged
from companion.system.atomic import PART
from companion.system.clock import PinnedClock
from companion.system.logs import PrivateLog
from companion.system.settings import SettingsFile
from tests.journal.made import DAY, everything, filled, opened, page

CLOCK = PinnedClock(DAY)


def _all_that_is_ours(folder: Path) -> None:
    filled(folder, page(0))
    for day in range(9):
        backups.tend(folder, DAY + timedelta(days=day))
    mend(folder, salvaged(folder), CLOCK)
    SettingsFile(folder).write({"text_percent": 150})
    PrivateLog(folder, CLOCK).note("a line")
    for name in (f".settings.json.0a1b2c3d4e5f{PART}", "second-place.json"):
        (folder / name).write_bytes(b"{")
    (folder / "journal.sqlite3-journal").write_bytes(b"")
    opened(folder).close()


def test_nothing_of_ours_stays(tmp_path: Path) -> None:
    folder = tmp_path / "diary"
    _all_that_is_ours(folder)
    assert take_off(folder) == ()
    assert not folder.exists()


def test_letters_and_the_clinic_s_files_stay_and_are_named(tmp_path: Path) -> None:
    _all_that_is_ours(tmp_path)
    ours = set(everything(tmp_path))
    (tmp_path / "Letters").mkdir()
    (tmp_path / "Letters" / "to-my-son.txt").write_text("Dear Wil")
    (tmp_path / "tax.pdf").write_bytes(b"%PDF")
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "diary.homeknee").write_bytes(b"somebody's")
    (tmp_path / "backups" / "photos.zip").write_bytes(b"PK")
    outside = tmp_path.parent / "elsewhere.sqlite3"
    outside.write_bytes(b"not in this folder")
    (tmp_path / "backups" / "daily-2020-01-01.sqlite3").symlink_to(outside)
    assert take_off(tmp_path) == ("Letters", "backups", "files", "tax.pdf")
    left = set(everything(tmp_path))
    assert not left & ours
    assert left == {
        "Letters/to-my-son.txt",
        "tax.pdf",
        "files/diary.homeknee",
        "backups/photos.zip",
    }
    assert outside.read_bytes() == b"not in this folder"
