"""What comes in and goes out beside the screen: thermometers, programs, lines; no rule of the day."""
