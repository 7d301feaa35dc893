"""What screen and paper draw alike."""
