"""A few inputs of each kind of rubbish; a hundred thousand are proved by tests/proof/test_fuzz_proof.py."""

from __future__ import annotations

from pathlib import Path

import fuzz
import fuzz_all
import pytest

FEW = {
    "schedule bytes": 40,
    "schedule documents": 15,
    "schedules on the start screen": 10,
    "session bytes": 6,
    "session entries": 9,
    "days": 3,
    "lines": 40,
    "line face": 3,
    "keys": 5,
    "sums": 25,
    "commands": 10,
    "set up by variables": 25,
    "keys file": 15,
    "thermometer": 120,
    "addresses": 150,
    "steps": 120,
}


@pytest.mark.parametrize("name", FEW)
def test_rubbish_of_each_kind_is_refused_in_words_or_told_without_harm(name: str, tmp_path: Path) -> None:
    assert fuzz.run(fuzz_all.named(name), range(FEW[name]), tmp_path).cases == FEW[name]


def test_what_is_written_beside_the_folder_is_noticed(tmp_path: Path) -> None:
    inside, outside = tmp_path / "inside", tmp_path / "outside"
    inside.mkdir()
    with fuzz.confined(inside) as trespasses:
        (inside / "a").write_text("a")
        assert trespasses == []
        outside.write_text("b")
        assert len(trespasses) == 1


def test_a_case_is_the_same_again_and_its_failure_says_how_to_repeat_it(tmp_path: Path) -> None:
    def met(found: object, folder: Path) -> str:
        raise ZeroDivisionError("planted")

    area = fuzz.Area("planted", lambda chance: chance.random(), met, frozenset(), 0.0)
    assert area.input_of(7) == area.input_of(7) != area.input_of(8)
    with pytest.raises(fuzz.Failed, match=r"fuzz_all.again\('planted', 7\): ZeroDivisionError: planted"):
        fuzz.case(area, 7, tmp_path)


@pytest.mark.parametrize("text", ["a\x1b[2J", "a\x9b", "a\u202eb", "a\u200bb", "a\rb", "\ud800"])
def test_what_could_steer_a_terminal_is_noticed(text: str) -> None:
    fuzz.shown("a plain line\nand another \u05d0 \u00e9")
    with pytest.raises(AssertionError, match="reaches the terminal"):
        fuzz.shown(text)


def test_a_case_that_never_ends_is_broken_off() -> None:
    with pytest.raises(fuzz.Hang), fuzz.bounded(0.05):
        while True:
            pass
