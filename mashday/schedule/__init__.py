"""What the day should be: the model of a schedule and the door that loads it."""
