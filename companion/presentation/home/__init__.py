"""What the person and the helper see."""
