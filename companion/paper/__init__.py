"""PDF pages drawn with QPainter and the bundled font."""
