"""Frozen shapes of what is shown: pages and charts. No words, no rule."""
