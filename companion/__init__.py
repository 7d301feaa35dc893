"""Home knee companion: routine, tape clock, diary and findings for one person's knee."""

__version__ = "0.1.0"
