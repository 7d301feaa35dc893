"""Files saved where a person says."""

from companion.services.trouble import known_troubles
from companion.system.atomic import write_whole


def save_file(place: str, data: bytes) -> str:
    """Write a file whole at the path `place`; its name. Raises Trouble."""
    with known_troubles():
        return write_whole(place, data)
