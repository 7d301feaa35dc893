"""Folders, resources and ids."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from companion.system import resources
from companion.system.folders import APP_AUTHOR, APP_NAME, data_folder
from companion.system.ids import new_id
from companion.system.resources import demo_profiles, resource


def test_the_names_that_data_paths_hang_on_are_frozen() -> None:
    assert (APP_NAME, APP_AUTHOR) == ("homeknee", "homeknee")


@pytest.mark.skipif(sys.platform != "linux", reason="the XDG rule is of Linux desktops")
def test_data_live_where_the_desktop_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """XDG Base Directory Specification 0.8: $XDG_DATA_HOME."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert data_folder() == tmp_path / "homeknee"
    assert not data_folder().exists()


def test_an_override_wins_and_is_made_absolute(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert data_folder(Path("here")) == tmp_path / "here"


def test_resources_are_found_in_the_checkout() -> None:
    assert resource("schemas", "plan-3.schema.json").is_file()
    assert demo_profiles().is_dir()


def test_resources_are_found_inside_a_wheel(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(resources, "_IN_WHEEL", tmp_path)
    assert resource("a", "b.json") == tmp_path / "resources" / "a" / "b.json"
    assert demo_profiles() == tmp_path / "demo_profiles"


def test_ids_have_the_form_of_the_records_and_differ() -> None:
    made = {new_id() for _ in range(500)}
    assert len(made) == 500
    assert all(re.fullmatch("[0-9a-f]{32}", one) for one in made)


def test_the_way_to_the_front_page_loads_nothing_heavy() -> None:
    """Store, plain reading, files to write and clock: none of what is slow to import."""
    code = (
        "import sys\n"
        "import companion.journal.store, companion.exchange.files, companion.exchange.taking_in\n"
        "import companion.system.logs, companion.system.folders, companion.system.resources\n"
        "heavy = {'pydantic', 'pydantic_core', 'numpy', 'scipy', 'logging', 'appdirs'}\n"
        "print(sorted(heavy & sys.modules.keys()))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
