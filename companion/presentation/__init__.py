"""What is shown, as frozen view objects and sentences; knows no toolkit."""
