"""Draws the program's figures: a posed body becomes vector lines, which the program only paints.

Nothing of this is in the wheel. `python -m tests.figure_tool fetch` brings the body's data, `draw`
makes every figure of `resources/figures` anew from the poses that are stored beside this file.
"""
