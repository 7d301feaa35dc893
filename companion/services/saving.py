"""Files saved where a person says."""

from collections.abc import Mapping

from companion.services.trouble import known_troubles
from companion.system.atomic import write_folder_whole, write_whole


def save_file(place: str, data: bytes) -> str:
    """Write a file whole at the path `place`; its name. Raises Trouble."""
    with known_troubles():
        return write_whole(place, data)


def save_folder(place: str, name: str, files: Mapping[str, bytes]) -> str:
    """Put files into a new folder in `place`, all of them or none; its name, which is `name` or
    that with a number. Raises Trouble."""
    with known_troubles():
        return write_folder_whole(place, name, files).name
