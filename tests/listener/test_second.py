"""The second recogniser: a grammar for each kind that can be asked, in the words of its own dictionary."""

from __future__ import annotations

import sys

import numpy as np
import pytest
from clips import CLIPS
from speech import pcm, read_wav

from mashday.arguments import ASKED
from mashday.channels.listener_lines import Asked
from mashday.listener.faults import CannotListen
from mashday.listener.second import Second
from mashday.listener.strict import line


@pytest.fixture(scope="module")
def second() -> Second:
    """The decoder, once."""
    pytest.importorskip("pocketsphinx", reason="pocketsphinx is not installed: pip install -e '.[test]'")
    return Second()


@pytest.mark.parametrize("kind", ASKED)
def test_every_kind_has_a_grammar_that_loads(second: Second, kind: Asked) -> None:
    assert isinstance(second.text(bytes(16_000), kind), str)


@pytest.mark.parametrize("name", ["t1", "t2", "g2", "g4", "w1", "k2"])
def test_it_hears_plain_speech(second: Second, name: str) -> None:
    clip = next(clip for clip in CLIPS if clip.name == name)
    sound = np.concatenate((np.zeros(4800), read_wav(clip.path), np.zeros(9600)))
    assert line(second.text(pcm(sound), clip.kind), clip.kind) == clip.line


@pytest.mark.parametrize("name", ["n1", "n2", "n3", "n4"])
def test_it_is_not_driven_to_an_answer_by_what_sounds_alike(second: Second, name: str) -> None:
    clip = next(clip for clip in CLIPS if clip.name == name)
    sound = np.concatenate((np.zeros(4800), read_wav(clip.path), np.zeros(9600)))
    assert line(second.text(pcm(sound), clip.kind), clip.kind) is None


def test_a_missing_package_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pocketsphinx", None)
    with pytest.raises(CannotListen, match=r"mashday\[listen-second\]"):
        Second()
