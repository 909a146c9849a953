"""The world that is not a face: clock, journal, simulated pot, and the loop that joins them."""
