"""Where our own faults are written down."""

from __future__ import annotations

from pathlib import Path

import platformdirs


def crash_note() -> Path:
    """The file faults are appended to, in the user's state folder."""
    return Path(platformdirs.user_state_dir("mashday", appauthor=False)) / "crash.txt"
