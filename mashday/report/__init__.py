"""What happened: the summary of a day."""
