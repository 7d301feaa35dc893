"""The one phrase function and every table of words."""
