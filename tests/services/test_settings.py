"""Settings survive, and a broken settings file keeps nobody out."""

from pathlib import Path

import pytest

from companion.services.settings import Settings, Signer, keep, read_settings, read_signer
from companion.services.trouble import Trouble
from companion.system.settings import SettingsFile


def test_what_was_set_is_there_again(tmp_path: Path) -> None:
    wanted = Settings(text_percent=200, colours="dark", helper_view=True, drawn_person="man")
    keep(SettingsFile(tmp_path), wanted)
    assert read_settings(SettingsFile(tmp_path)) == wanted


def test_without_a_file_there_are_defaults(tmp_path: Path) -> None:
    assert read_settings(SettingsFile(tmp_path)) == Settings()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{",
        "\x00",
        '{"text_percent": 90}',
        '{"text_percent": "200"}',
        '{"text_percent": true}',
        '{"colours": "pink"}',
        '{"helper_view": 1}',
        '{"speaking": "loud"}',
        '{"single_keys": "no"}',
        '{"drawn_person": "child"}',
        '{"unknown": 1}',
    ],
)
def test_what_makes_no_sense_is_the_default(tmp_path: Path, text: str) -> None:
    (tmp_path / "settings.json").write_text(text)
    assert read_settings(SettingsFile(tmp_path)) == Settings()


def test_one_bad_value_costs_only_itself(tmp_path: Path) -> None:
    (tmp_path / "settings.json").write_text('{"text_percent": 150, "colours": 7}')
    assert read_settings(SettingsFile(tmp_path)) == Settings(text_percent=150)


def test_who_signed_is_there_again_in_a_file_of_its_own(tmp_path: Path) -> None:
    file = SettingsFile(tmp_path, "signer.json")
    assert read_signer(file) == Signer()
    keep(file, Signer(name="Åse Vane", registration="PT 4711"))
    assert read_signer(file) == Signer(name="Åse Vane", registration="PT 4711")
    assert read_settings(SettingsFile(tmp_path)) == Settings()


def test_a_machine_that_cannot_keep_them_is_one_trouble(tmp_path: Path) -> None:
    with pytest.raises(Trouble) as told:
        keep(SettingsFile(tmp_path / "absent"), Signer(name="R. Vane"))
    assert told.value.why
