"""A listener beside a day: a voice in, lines of the line mode out. Runs in a process of its own."""
