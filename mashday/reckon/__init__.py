"""Sums on the spot: what can be reckoned, what each takes, and its answer as text or JSON."""
