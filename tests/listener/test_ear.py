"""The loop of a listener beside sources, detectors and recognisers that are made up."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from queue import SimpleQueue

import pytest

from mashday.channels.listener_lines import Ask, Asked, Shut, Told
from mashday.listener import ear as ear_room
from mashday.listener.ear import DEAD, NOTHING_COMES, Asks, Ear
from mashday.listener.faults import CannotListen
from mashday.listener.recogniser import Recogniser
from mashday.listener.sound_in import FRAME_BYTES, Waiting

QUIET, VOICE, ZEROS = b"\1" * FRAME_BYTES, b"\2" * FRAME_BYTES, bytes(FRAME_BYTES)
SAID = [QUIET] * 10 + [VOICE] * 20 + [QUIET] * 30


class Tape:
    """A source of frames handed in beforehand; what is left when it is shut is dropped."""

    def __init__(self, *takes: Sequence[bytes], gap: bool = False, slow: float = 0.0) -> None:
        self.gap = gap
        self.opened = 0
        self.is_open = False
        self._takes = list(takes)
        self._slow = slow
        self._frames: list[bytes] = []

    def open(self) -> None:
        if not self._takes:
            raise CannotListen("The tape is over.")
        self.opened += 1
        self.is_open = True
        self._frames = list(self._takes.pop(0))

    def frame(self, seconds: float) -> bytes | None:
        assert self.is_open
        time.sleep(self._slow)
        return self._frames.pop(0) if self._frames else None

    def shut(self) -> None:
        self.is_open = False

    def end(self) -> None:
        self.shut()


class Marked:
    """Voices are the frames marked as such."""

    def likely(self, frame: bytes) -> float:
        return 0.9 if frame == VOICE else 0.1

    def begin(self) -> None:
        return


class Writes:
    """A recogniser that always writes the same."""

    def __init__(self, text: str, before: Callable[[], None] = lambda: None) -> None:
        self.asked: list[Asked] = []
        self._text = text
        self._before = before

    def text(self, pcm: bytes, kind: Asked) -> str:
        self._before()
        self.asked.append(kind)
        return self._text


def heard(
    tape: Tape, *recognisers: Recogniser, asked: Sequence[Ask | Shut] = (Ask("temperature", 2.0),)
) -> list[Told]:
    """What is told when this is asked, one after the other, each once the last is answered."""
    asks: Asks = SimpleQueue()
    told: list[Told] = []
    left = [*asked, None]

    def tell(line: Told) -> None:
        told.append(line)
        if line.word in ("ready", "heard", "unclear", "silence", "closed"):
            asks.put(left.pop(0))

    Ear(tape, Marked(), recognisers or [Writes("64.5")], asks, tell).run()
    return told


def words(told: Sequence[Told]) -> list[str]:
    return [line.word for line in told]


def test_what_was_said_is_told_with_its_raw_text() -> None:
    tape = Tape(SAID)
    told = heard(tape, Writes("60, 4.5."))
    assert told == [Told("ready"), Told("open"), Told("heard", "64.5", "60, 4.5.")]
    assert not tape.is_open


def test_what_is_no_answer_is_unclear() -> None:
    assert heard(Tape(SAID), Writes("Well, about 64."))[-1] == Told("unclear", raw="Well, about 64.")


def test_the_recogniser_hears_what_was_asked_for() -> None:
    writes = Writes("1062")
    assert heard(Tape(SAID), writes, asked=[Ask("gravity", 2.0)])[-1].line == "1.062"
    assert writes.asked == ["gravity"]


def test_nobody_speaks() -> None:
    writes = Writes("64.5")
    assert words(heard(Tape([QUIET] * 200), writes)) == ["ready", "open", "silence"]
    assert writes.asked == []


def test_both_recognisers_must_hear_the_same_line() -> None:
    assert heard(Tape(SAID), Writes("60, 4."), Writes("sixty four"))[-1].line == "64"
    assert heard(Tape(SAID), Writes("64"), Writes("sixty three"))[-1] == Told("unclear", raw="64")
    assert heard(Tape(SAID), Writes("64"), Writes(""))[-1] == Told("unclear", raw="64")


def test_the_second_is_not_asked_where_the_first_understood_nothing() -> None:
    second = Writes("sixty four")
    assert heard(Tape(SAID), Writes("Hello there."), second)[-1].word == "unclear"
    assert second.asked == []


def test_sound_that_went_missing_makes_it_unclear() -> None:
    writes = Writes("64.5")
    assert heard(Tape(SAID, gap=True), writes)[-1] == Told("unclear")
    assert writes.asked == []


def test_each_question_opens_it_anew() -> None:
    tape = Tape(SAID, SAID, [QUIET] * 100)
    asked = [Ask("temperature", 2.0), Ask("keep", 2.0), Ask("words", 2.0)]
    assert words(heard(tape, Writes("keep it"), asked=asked)) == [
        *("ready", "open", "heard", "open", "heard", "open", "silence"),
    ]
    assert tape.opened == 3


@pytest.mark.parametrize("more", [Shut(), None, Ask("gravity", 1.0)])
def test_shut_in_the_midst_of_an_utterance_closes_it(more: Ask | Shut | None) -> None:
    asks: Asks = SimpleQueue()
    told: list[Told] = []
    tape = Tape([QUIET] * 10 + [VOICE] * 200, SAID, slow=0.002)
    ear = Ear(tape, Marked(), [Writes("1062")], asks, told.append)
    asks.put(Ask("temperature", 2.0))
    thread = threading.Thread(target=ear.run)
    thread.start()
    while "open" not in words(told):
        time.sleep(0.001)
    asks.put(more)
    asks.put(None)
    thread.join(10.0)
    assert not thread.is_alive()
    assert words(told)[:3] == ["ready", "open", "closed"]
    if isinstance(more, Ask):
        assert words(told)[3:] == ["open", "closed"]


def test_shut_while_it_is_being_recognised_closes_it() -> None:
    asks: Asks = SimpleQueue()
    told: list[Told] = []

    def shut() -> None:
        asks.put(Shut())
        asks.put(None)

    asks.put(Ask("temperature", 2.0))
    Ear(Tape(SAID), Marked(), [Writes("64.5", shut)], asks, told.append).run()
    assert words(told) == ["ready", "open", "closed"]


def test_shut_where_nothing_is_open_is_answered_by_nothing() -> None:
    asks: Asks = SimpleQueue()
    told: list[Told] = []
    for asked in (Shut(), Shut(), None):
        asks.put(asked)
    Ear(Tape(SAID), Marked(), [Writes("64.5")], asks, told.append).run()
    assert words(told) == ["ready"]


def test_sound_that_is_lost_is_told_and_ends_it() -> None:
    asks: Asks = SimpleQueue()
    told: list[Told] = []
    asks.put(Ask("temperature", 2.0))
    asks.put(Ask("temperature", 2.0))
    tape = Tape([QUIET] * 100)
    with pytest.raises(CannotListen):
        Ear(tape, Marked(), [Writes("64.5")], asks, told.append).run()
    assert told[-1] == Told("trouble", "The tape is over.")


class Pulled(Tape):
    """A microphone that is pulled in the midst."""

    def frame(self, seconds: float) -> bytes | None:
        frame = super().frame(seconds)
        if frame is None:
            raise CannotListen("Pulled.")
        return frame


def test_a_microphone_that_is_pulled_closes_what_was_open() -> None:
    asks: Asks = SimpleQueue()
    told: list[Told] = []
    asks.put(Ask("temperature", 5.0))
    tape = Pulled(SAID[:20])
    with pytest.raises(CannotListen):
        Ear(tape, Marked(), [Writes("64.5")], asks, told.append).run()
    assert words(told) == ["ready", "open", "closed", "trouble"]
    assert not tape.is_open


def test_nothing_but_zeros_is_told_once() -> None:
    takes = [[ZEROS] * 200] * 8
    told = heard(Tape(*takes), asked=[Ask("words", 5.0)] * 8)
    assert [line for line in told if line.word == "trouble"] == [Told("trouble", DEAD)]
    assert words(told).count("silence") == 8


def test_a_quiet_room_is_not_dead() -> None:
    told = heard(Tape(*[[QUIET] * 200] * 8), asked=[Ask("words", 5.0)] * 8)
    assert "trouble" not in words(told)


def test_where_no_sound_comes_patience_ends_by_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ear_room, "GRACE_SECONDS", 0.01)
    told = heard(Tape([], [], slow=0.002), asked=[Ask("words", 0.02)] * 2)
    again = [Told("open"), Told("silence")]
    assert told[1:] == [Told("open"), Told("trouble", NOTHING_COMES), Told("silence"), *again]


def test_what_comes_while_it_is_shut_is_dropped() -> None:
    waiting = Waiting()
    waiting.put(VOICE)
    waiting.open()
    assert waiting.take(0.0) is None
    waiting.put(QUIET + VOICE[:100])
    assert waiting.take(0.0) == QUIET
    waiting.shut()
    waiting.put(VOICE)
    waiting.open()
    waiting.put(QUIET)
    assert waiting.take(0.0) == QUIET
    assert waiting.take(0.0) is None and not waiting.gap


def test_more_than_can_wait_leaves_a_gap() -> None:
    waiting = Waiting()
    waiting.open()
    waiting.put(QUIET * 300)
    assert waiting.gap
    waiting.shut()
    waiting.open()
    assert not waiting.gap
