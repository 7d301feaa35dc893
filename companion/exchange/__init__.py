"""Plan, diary and table files, and the open formats."""
