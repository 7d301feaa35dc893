"""What the clinician sees."""
