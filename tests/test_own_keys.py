"""The file of other keys: read, refused in a sentence, and never half taken."""

from __future__ import annotations

from pathlib import Path

import pytest

from mashday.commands.own_keys import own_keys
from mashday.faces.tui.keys import name_of, remapped


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "keys.toml"
    monkeypatch.setenv("MASHDAY_KEYS", str(path))
    return path


def test_keys_of_ones_own_are_taken(file: Path) -> None:
    file.write_text('next = ["f9", "+"]\nwhy = "%"\n')
    keys = remapped(own_keys())
    assert name_of(keys, "f9", None) == "next" and name_of(keys, "percent_sign", "%") == "why"


def test_no_file_is_no_other_keys(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("MASHDAY_KEYS", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert own_keys() == {}


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("next = 3\n", "wants a key or a list of keys"),
        ("next = [1, 2]\n", "wants a key or a list of keys"),
        ("[next]\nkey = 'x'\n", "wants a key or a list of keys"),
        ("next = \n", "is no TOML"),
        ("\x00", "is no TOML"),
        ("[" * 5000, "is no TOML"),
        ("next = " + "9" * 5000, "a number that is too long to read"),
        ("# " + "x" * 17_000, "is larger than 16 KiB"),
    ],
)
def test_a_file_that_is_no_table_of_keys_is_refused(file: Path, written: str, said: str) -> None:
    file.write_text(written)
    with pytest.raises(ValueError, match=said) as refused:
        own_keys()
    assert str(file) in str(refused.value)


def test_a_named_file_that_is_not_there_is_said(file: Path) -> None:
    with pytest.raises(ValueError, match="is not there"):
        own_keys()
