"""What screen and paper draw alike, painted once."""
