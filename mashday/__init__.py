"""mashday: a brew-day step timer and checklist for mashing grain at home."""

__version__ = "0.1.0"
