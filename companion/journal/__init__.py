"""The append-only SQLite store of entries and plans."""
