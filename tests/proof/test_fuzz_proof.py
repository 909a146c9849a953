"""A hundred thousand inputs of no good will, at every door: each is refused in words or let in and told.

A case is repeated alone by its area and number, as the failure says:
`python -c "import fuzz_all; fuzz_all.again('lines', 4711)"` in tests/support.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import fuzz
import fuzz_all
import pytest

pytestmark = pytest.mark.proof

CASES: dict[str, int] = {
    "schedule bytes": 12_000,
    "schedule documents": 6_000,
    "schedules on the start screen": 2_000,
    "session bytes": 3_000,
    "session entries": 5_000,
    "days": 700,
    "lines": 16_000,
    "line face": 600,
    "keys": 1_300,
    "sums": 6_000,
    "commands": 2_400,
    "set up by variables": 3_000,
    "keys file": 1_000,
    "thermometer": 19_000,
    "addresses": 15_000,
    "steps": 7_000,
}
SHARDS = {
    "days": 2,
    "line face": 2,
    "keys": 2,
    "session bytes": 2,
    "session entries": 4,
    "schedule bytes": 2,
    "schedule documents": 2,
    "sums": 2,
}
"""Areas that take long are cut, so that both cores have work to the end."""


def shards() -> list[tuple[str, int, int]]:
    """Each area with the numbers of its cases, in pieces of about the same length."""
    found = []
    for area, cases in CASES.items():
        pieces = SHARDS.get(area, 1)
        edges = [cases * piece // pieces for piece in range(pieces + 1)]
        found += [(area, first, end) for first, end in pairwise(edges)]
    return found


def test_there_are_a_hundred_thousand_cases_and_every_area_has_some() -> None:
    assert sum(CASES.values()) == 100_000
    assert set(CASES) == {area.name for area in fuzz_all.AREAS}


@pytest.mark.parametrize(("name", "first", "end"), shards())
def test_rubbish_is_refused_in_words_or_told_without_harm(
    name: str, first: int, end: int, tmp_path: Path, proved: Callable[..., None]
) -> None:
    area = fuzz_all.named(name)
    tally = fuzz.run(area, range(first, end), tmp_path)
    assert tally.cases == end - first
    assert tally.share(area.deep) >= area.least, tally.told()
    assert tally.grown_bytes <= fuzz.MOST_GROWN_BYTES, tally.told()
    proved(f"fuzz: {name} {first}-{end - 1}", cases=tally.cases, seen=tally.told())
