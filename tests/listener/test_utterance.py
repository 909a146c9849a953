"""Where an utterance begins and ends, on made-up likelihoods of a voice."""

from __future__ import annotations

from collections.abc import Iterable

from mashday.listener.sound_in import FRAME_BYTES, FRAME_SECONDS
from mashday.listener.utterance import Cutter, Silence, Utterance


def fed(likely: Iterable[float], patience_seconds: float = 8.0) -> tuple[int, Utterance | Silence | None]:
    """How many frames it took, and what came of them. Each frame holds its number."""
    cutter = Cutter(patience_seconds)
    number = 0
    for number, value in enumerate(likely):
        found = cutter.feed(bytes([number % 256]) * FRAME_BYTES, value)
        if found is not None:
            return number + 1, found
    return number + 1, None


def test_it_begins_a_little_before_the_voice_and_ends_with_a_pause() -> None:
    frames, found = fed([0.1] * 30 + [0.9] * 40 + [0.1] * 100)
    assert isinstance(found, Utterance) and found.whole
    assert frames == 30 + 40 + 20
    assert found.pcm[0] == 30 - 9
    assert len(found.pcm) // FRAME_BYTES == 9 + 40 + 20


def test_a_short_gap_does_not_end_it() -> None:
    _, found = fed([0.1] * 30 + [0.9] * 10 + [0.1] * 19 + [0.9] * 10 + [0.1] * 100)
    assert isinstance(found, Utterance)
    assert len(found.pcm) // FRAME_BYTES == 9 + 10 + 19 + 10 + 20


def test_a_click_begins_nothing() -> None:
    frames, found = fed(([0.1] * 5 + [0.9] * 2) * 100, patience_seconds=4.0)
    assert found == Silence()
    assert frames * FRAME_SECONDS < 4.2


def test_nobody_speaks_for_the_whole_patience() -> None:
    frames, found = fed([0.0] * 1000, patience_seconds=2.0)
    assert found == Silence() and frames == 63


def test_who_begins_just_before_patience_ends_is_heard_out() -> None:
    _, found = fed([0.1] * 61 + [0.9] * 40 + [0.1] * 30, patience_seconds=2.0)
    assert isinstance(found, Utterance) and found.whole


def test_talk_that_goes_on_is_cut_and_not_whole() -> None:
    frames, found = fed([0.1] * 10 + [0.9] * 1000)
    assert isinstance(found, Utterance) and not found.whole
    assert frames * FRAME_SECONDS < 8.0


def test_a_voice_that_was_there_before_is_not_whole() -> None:
    _, found = fed([0.9] * 30 + [0.1] * 30)
    assert isinstance(found, Utterance) and not found.whole
