"""Names of entries, made at random so that two machines never choose the same."""

import os


def new_id() -> str:
    """Thirty-two lower-case hexadecimal digits: 128 bits from the system's generator."""
    return os.urandom(16).hex()
