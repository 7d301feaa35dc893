"""Fixtures of the sentences: the diaries of the use cases."""

from tests.services.conftest import keep

__all__ = ["keep"]
