"""Pages to print and pictures to hand over, drawn with the bundled font."""
