"""The listener: answers heard by a microphone as lines, for the day that asks for them."""

from __future__ import annotations

import argparse
import contextlib
import os
import signal
import sys
import threading
import wave
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from queue import SimpleQueue
from types import FrameType
from typing import NoReturn, TextIO, cast

from mashday.channels.lines import CHUNK, Lines
from mashday.channels.listener_lines import Ask, Asked, Told, asked_from, told_line
from mashday.commands import output
from mashday.listener.ear import Asks, Ear
from mashday.listener.faults import CannotListen
from mashday.listener.microphone import Microphone
from mashday.listener.recogniser import Recogniser
from mashday.listener.sound_in import RATE_HZ, Recorded, source_of
from mashday.listener.voices import NeuralVoices
from mashday.listener.whisper import Whisper
from mashday.text import cleaned, quoted

PATIENCE_SECONDS = 8.0
"""How long a recording is listened to for its first word."""


def listen(options: argparse.Namespace) -> int:
    """Answers what is asked on standard input until that ends; or one recording, for a try."""
    try:
        return _tried(options) if options.wav else _beside_a_day(options)
    except CannotListen as fault:
        print(f"mashday: {fault}", file=sys.stderr)
        return output.REFUSED
    except KeyboardInterrupt:
        return 128 + signal.SIGINT


def _beside_a_day(options: argparse.Namespace) -> int:
    _on_signals(_stop)
    told = _own_output()
    asks: Asks = SimpleQueue()

    def tell(line: Told) -> None:
        print(told_line(line), file=told, flush=True)

    with contextlib.ExitStack() as stack:
        try:
            source = source_of(options.pcm) if options.pcm else Microphone(options.device)
            stack.callback(source.end)
            stack.callback(_on_signals, signal.SIG_IGN)
            ear = Ear(source, NeuralVoices(), _recognisers(options), asks, tell)
        except CannotListen as fault:
            tell(Told("trouble", str(fault)))
            raise
        threading.Thread(target=_read, args=(asks,), name="what is asked", daemon=True).start()
        ear.run()
    return output.DONE


def _stop(number: int, frame: FrameType | None) -> NoReturn:
    """Ends in order, so that a program that records ends too."""
    _on_signals(signal.SIG_IGN)
    raise SystemExit(128 + number)


def _on_signals(does: Callable[[int, FrameType | None], NoReturn] | signal.Handlers) -> None:
    """What the signals that end it do from now on."""
    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), does)


def _tried(options: argparse.Namespace) -> int:
    """What is understood of a recording. 0 for a line, 1 for none."""
    if options.kind is None:
        raise CannotListen("With --wav say what was asked for, as in: --asked temperature")
    source = _recording(options.wav)
    told: list[Told] = []
    ear = Ear(source, NeuralVoices(), _recognisers(options), SimpleQueue(), told.append)
    ear.answer(Ask(cast(Asked, options.kind), PATIENCE_SECONDS))
    heard = told[-1]
    print(cleaned(f"{heard.word} {heard.line}".rstrip() + (f" | {heard.raw}" if heard.raw else "")))
    return output.DONE if heard.word == "heard" else output.NOT_DONE


def _recognisers(options: argparse.Namespace) -> list[Recogniser]:
    first = Whisper(Path(options.model).expanduser())
    if not options.second:
        return [first]
    from mashday.listener.second import Second  # noqa: PLC0415 - loads an extra of its own

    return [first, Second()]


def _recording(name: str) -> Recorded:
    """A WAV file as a source. CannotListen if it is none, or of another kind."""
    try:
        with wave.open(name, "rb") as file:
            found = file.getframerate(), file.getnchannels(), 8 * file.getsampwidth()
            pcm = file.readframes(file.getnframes())
    except (OSError, EOFError, wave.Error) as error:
        reason = (isinstance(error, OSError) and error.strerror) or "it is no WAV file of plain samples"
        raise CannotListen(f"{quoted(name)} cannot be read: {reason.lower()}.") from error
    if found != (RATE_HZ, 1, 16):
        raise CannotListen(
            f"{quoted(name)} has {found[0]} samples a second in {found[1]} channels of {found[2]} bits."
            " It should be 16000, one channel, 16 bits."
        )
    return Recorded(BytesIO(pcm), quoted(name))


def _own_output() -> TextIO:
    """Standard output for the lines alone: what a library prints there goes to standard error."""
    sys.stdout.flush()
    told = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8", errors="replace")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    return told


def _read(asks: Asks) -> None:
    """Puts what is asked on standard input into the queue, and None at its end."""

    def take(text: str) -> None:
        asked = asked_from(text)
        if asked is not None:
            asks.put(asked)

    lines = Lines(take)
    while data := os.read(sys.stdin.fileno(), CHUNK):
        lines.feed(data)
    asks.put(None)
