"""The terminal: whether it can carry the full screen, and which signs it takes."""

from __future__ import annotations

import os
import sys

LEAST_COLUMNS, LEAST_ROWS = 20, 5


def usable_terminal(plain: str = "--plain") -> str | None:
    """Why the full screen cannot be shown here, as a sentence with what would do; None if it can.

    `plain` is what has plain lines instead.
    """
    screen = sys.__stdout__ if sys.platform == "win32" else sys.__stderr__
    if not (sys.stdin and sys.stdin.isatty() and screen and screen.isatty()):
        return f"The full screen needs a terminal, and this is none. Use {plain} for plain lines."
    if os.environ.get("TERM", "") in ("dumb", "unknown"):
        return f"This terminal cannot place text on the screen. Use {plain} for plain lines."
    try:
        size = os.get_terminal_size(screen.fileno())
    except OSError:
        return None
    if 0 < size.columns < LEAST_COLUMNS or 0 < size.lines < LEAST_ROWS:
        return (
            f"The terminal has {size.columns} columns and {size.lines} rows; the full screen needs"
            f" {LEAST_COLUMNS} by {LEAST_ROWS}, better 80 by 24. Enlarge it, or use {plain}."
        )
    return None


def draws_beyond_ascii() -> bool:
    """True if the terminal takes more than ASCII: else half blocks and the like would spoil the screen."""
    screen = sys.__stdout__ if sys.platform == "win32" else sys.__stderr__
    encoding = (getattr(screen, "encoding", None) or "ascii").lower().replace("-", "")
    return encoding in ("utf8", "utf16", "utf32") and os.environ.get("TERM") != "linux"
