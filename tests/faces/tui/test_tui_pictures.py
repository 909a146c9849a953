"""The pictures of the README are what the board shows now.

MASHDAY_KEEP_SCREENS=1 draws them anew.
"""

from __future__ import annotations

import os
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pictures import svg

from mashday.faces.tui.paint import paint

PICTURES = Path(__file__).parents[2] / "golden" / "pictures"
README = Path(__file__).parents[3] / "README.md"
DRAWN = {"resting": (100, 30), "remedy": (100, 30), "pouring": (80, 24), "called": (60, 20)}
LARGEST_BYTES = 40_000


@pytest.mark.parametrize("name", DRAWN)
def test_the_picture_is_what_the_board_shows(name: str, day: Callable[[str], Any]) -> None:
    width, height = DRAWN[name]
    at = day(name)
    found = svg(paint(at.desk.shown(at.desk.view()), width, height), width)
    path = PICTURES / f"{name}.svg"
    if os.environ.get("MASHDAY_KEEP_SCREENS"):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(found, encoding="utf-8")
    assert found == path.read_text(encoding="utf-8")
    assert ET.fromstring(found).tag.endswith("svg") and len(found) < LARGEST_BYTES
    assert f"tests/golden/pictures/{name}.svg" in README.read_text(encoding="utf-8")
