"""How well a listener understands: synthetic voices and spliced digits, clean, beside a burner, in an echo.

    .venv/bin/python tests/bench/listener.py --model FOLDER [--second] [--quick] [--part PART ...]

Everything goes the whole way: sound, detector of voices, where an utterance begins and ends, recogniser,
strict reading. The voices come from espeak-ng, flite and festival, the digits and chatter from Debian's
asterisk-core-sounds-en-g722 (`tests/support/speech.py`); what is absent is said and left out. Parts:

    answers    numbers and phrases: right, asked again, another value, and how many of those a window lets by
    chatter    other talk and mere noise: how much of it is taken for an answer
    day        the whole way of a reading: question, window, digits read back, "keep it" or "wrong"

The window is the day's: 8 C or 15 points of gravity beside the value that is expected. In the first table it
lies round the truth itself. Seeds are fixed. Progress goes to standard error, the tables to standard output
as Markdown. On two cores a quarter of an hour to an hour, with --quick a few minutes. Exits 1 if a wrong
value was written, chatter kept one, or too much of what merely sounds like "keep it" did.
"""

from __future__ import annotations

import argparse
import re
import resource
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from queue import SimpleQueue

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

import numpy as np
import speech
from speech import CONDITIONS, Chance, Condition, Sound, Voice

from mashday.channels.listener_lines import Ask, Asked, Told
from mashday.listener.ear import Ear
from mashday.listener.recogniser import Recogniser
from mashday.listener.second import Second
from mashday.listener.sound_in import Recorded
from mashday.listener.utterance import PAUSE_SECONDS
from mashday.listener.voices import NeuralVoices
from mashday.listener.whisper import Whisper

WINDOW = {"temperature": 8.0, "gravity": 0.015}
EXPECTED_OFF = {"temperature": 4.0, "gravity": 0.008}
"""How far the value a day expects is off the true one, at most. Judgement."""
TRIES = 3
"""How often a day asks for a reading, and for the answer to a value it read back."""
READINGS, QUICK_READINGS = 1008, 112
ONES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TEENS = (
    *("ten", "eleven", "twelve", "thirteen", "fourteen"),
    *("fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
COMMANDS = {
    "next step": "done",
    "item done": "tick",
    "say again": "again",
    "how long left": "left",
    "heat off": "heat off",
    "take one": "take 1",
    "way two": "take 2",
    "leave it": "leave",
    "starch pass": "starch pass",
    "starch fail": "starch fail",
    "got it": "ok",
    "I don't know": "unknown",
    "hold the day": "hold",
    "undo that": "undo",
    "snooze two": "snooze 2",
}
DOUBTS = {"keep it": "keep it", "wrong": "wrong"}
CHATTER = (
    "could you hold the door for a minute please",
    "it was about sixty five when I looked",
    "the kettle has been on for ten minutes",
    "yes I know what you mean",
    "no not that one the other one",
    "I think we should keep it in the shed",
    "what is wrong with the dog",
    "is there any more of the bread left",
    "she said half past six or so",
    "take one of those and put it over there",
    "that smells good already",
    "the next step is the stairs mind your head",
    "I paid four point five for it last week",
    "okay",
    "yes",
    "done",
    "hello",
    "turn the heat down a bit would you",
    "we had one thousand and sixty two of them",
    "start the day with a good breakfast they say",
)
NEAR_A_DOUBT = (
    "skip it",
    "heat it",
    "eat it",
    "leave it",
    "take it",
    "repeat it",
    "keep",
    "keep it hot",
    "keep that",
    "kept it",
    "long",
    "what is wrong",
)
"""What sounds like an answer to a value that was read back."""
NEAR = "near words"
MOST_NEAR_KEPT = 0.03
"""So many of these, of all, may be taken for "keep it". Judgement."""
ASKED_IN_TURN: tuple[Asked, ...] = ("temperature", "gravity", "keep", "words", "volume")


@dataclass(slots=True)
class Taken:
    """What the recognisers took, one utterance after the other."""

    seconds: list[float] = field(default_factory=list)


class Listener:
    """The real ear on one made recording after the other."""

    def __init__(self, recognisers: Sequence[Recogniser]) -> None:
        self.taken = Taken()
        self._recognisers = [_Timed(recogniser, self.taken) for recogniser in recognisers]
        self._voices = NeuralVoices()

    def hears(self, sound: Sound, kind: Asked) -> Told:
        """What is told when this is asked and this is there to hear."""
        told: list[Told] = []
        source = Recorded(BytesIO(speech.pcm(sound)), "speech")
        self.taken.seconds.append(0.0)
        Ear(source, self._voices, self._recognisers, SimpleQueue(), told.append).answer(Ask(kind, 8.0))
        if self.taken.seconds[-1] == 0.0:
            self.taken.seconds.pop()
        return told[-1]


class _Timed:
    def __init__(self, recogniser: Recogniser, taken: Taken) -> None:
        self._recogniser = recogniser
        self._taken = taken

    def text(self, pcm: bytes, kind: Asked) -> str:
        began = time.perf_counter()
        text = self._recogniser.text(pcm, kind)
        self._taken.seconds[-1] += time.perf_counter() - began
        return text


@dataclass(frozen=True, slots=True)
class Said:
    """What somebody says: the words, the line they mean, what was asked."""

    text: str
    line: str
    kind: Asked


class Speaker:
    """Somebody who says things: a rule-made voice, or recorded digits put together."""

    def __init__(self, voice: Voice | None) -> None:
        self.voice = voice
        self.material = voice.program if voice is not None else "spliced digits"

    def says(self, said: Said, chance: Chance) -> Sound:
        """The sound of it."""
        if self.voice is not None:
            return speech.spoken(self.voice, said.text)
        return speech.spliced([_RECORDED[word] for word in said.text.split()], chance)


_RECORDED = {
    **{word: str(number) for number, word in enumerate((*ONES, *TEENS))},
    **{word: str(10 * number) for number, word in enumerate(TENS) if word},
    "oh": "oh",
    "point": "point",
}


def counted(number: int) -> str:
    """Below a hundred, in words."""
    if number < 20:
        return (*ONES, *TEENS)[number]
    return f"{TENS[number // 10]} {ONES[number % 10] if number % 10 else ''}".strip()


def temperature(chance: Chance, *, spliced: bool = False) -> Said:
    """A temperature of a brew day, said in one of the common ways."""
    tenths = int(chance.integers(180, 990))
    whole, tenth = divmod(tenths, 10)
    ones = " ".join(ONES[int(digit)] for digit in str(whole))
    match int(chance.integers(0, 4 if spliced else 6)):
        case 0:
            return Said(counted(whole), str(whole), "temperature")
        case 1 | 2:
            text = f"{counted(whole)} point {ONES[tenth]}"
        case 3:
            text = f"{ones} point {ONES[tenth]}"
        case 4:
            text = f"{counted(whole)} point {ONES[tenth]} degrees"
        case _:
            return Said(f"{counted(whole)} and a half", f"{whole}.5", "temperature")
    return Said(text, f"{whole}.{tenth}", "temperature")


def gravity(chance: Chance, *, spliced: bool = False) -> Said:
    """A gravity, said in one of the common ways."""
    points = int(chance.integers(1000, 1110)) if chance.random() < 0.9 else int(chance.integers(990, 1000))
    line = f"{points / 1000.0:.3f}"
    digits = str(points)
    ones = [ONES[int(digit)].replace("zero", "oh") for digit in digits]
    if points < 1000:
        return Said(" ".join(ones), line, "gravity")
    way = int(chance.integers(0, 3))
    if way == 0 and points % 100 >= 10:
        return Said(f"{counted(points // 100)} {counted(points % 100)}", line, "gravity")
    if way == 1:
        return Said(f"one point {' '.join(ones[1:])}", line, "gravity")
    return Said(" ".join(ones), line, "gravity")


def number(kind: str, chance: Chance, *, spliced: bool = False) -> Said:
    """A number of this kind."""
    return (temperature if kind == "temperature" else gravity)(chance, spliced=spliced)


def value(line: str) -> float | None:
    """The number a line is; None if it is a word."""
    match = re.fullmatch(r"([0-9.]+)( [A-Za-z]+)?", line)
    return float(match[1]) if match else None


def is_right(said: Said, told: Told) -> bool:
    """True if the line means what was said."""
    return told.word == "heard" and (
        told.line == said.line or (value(told.line) is not None and value(told.line) == value(said.line))
    )


def in_window(kind: str, heard: str, expected: float) -> bool:
    """True if a day would take it for likely."""
    found = value(heard)
    return found is not None and abs(found - expected) <= WINDOW[kind] + 1e-9


def answers(listener: Listener, speakers: Sequence[Speaker], each: int) -> Iterator[list[str]]:
    """The table of what was answered, material by material, and every answer that was another."""
    counts: dict[tuple[str, str, str], Counter[str]] = defaultdict(Counter)
    slips: list[str] = []
    for condition in CONDITIONS:
        for speaker in speakers:
            chance = seeded(speaker, condition)
            for said in _sayings(speaker, each, chance):
                told = listener.hears(heard_in(condition, speaker.says(said, chance), chance), said.kind)
                what = said.kind if said.kind in WINDOW else _WHAT[said.kind]
                count = counts[speaker.material, condition.name, what]
                count[_outcome(said, told)] += 1
                if told.word == "heard" and not is_right(said, told):
                    slips.append(
                        f"{speaker.material}, {condition.name}: {said.text!r} -> {told.line} ({told.raw})"
                    )
                    expected = value(said.line)
                    if expected is not None and in_window(said.kind, told.line, expected):
                        count["inside"] += 1
            progress(f"{condition.name}: {speaker.voice or 'spliced digits'}")
    for (material, condition_name, what), count in counts.items():
        total = sum(count[word] for word in ("right", "again", "missed", "wrong"))
        shares = [f"{100.0 * count[word] / total:.0f} %" for word in ("right", "again", "missed")]
        inside = str(count["inside"]) if what in WINDOW else "-"
        yield [material, condition_name, what, str(total), *shares, str(count["wrong"]), inside]
    print("\n".join(["Other values and words:", *slips]), file=sys.stderr)


_WHAT: dict[str, str] = {"words": "phrases", "keep": "keep it, wrong"}
ANSWER_HEADS = (
    "material",
    "heard in",
    "what",
    "said",
    "right",
    "asked again",
    "not heard",
    "wrong",
    "in window",
)


def _outcome(said: Said, told: Told) -> str:
    if told.word == "silence":
        return "missed"
    if told.word != "heard":
        return "again"
    return "right" if is_right(said, told) else "wrong"


def _sayings(speaker: Speaker, each: int, chance: Chance) -> Iterator[Said]:
    spliced = speaker.voice is None
    times = 8 if spliced else 1
    for _ in range(each * times):
        yield temperature(chance, spliced=spliced)
        yield gravity(chance, spliced=spliced)
    if not spliced:
        for text in chance.choice(list(COMMANDS), each, replace=False):
            yield Said(str(text), COMMANDS[str(text)], "words")
        for text, line in DOUBTS.items():
            yield Said(text, line, "keep")


def chatter(listener: Listener, speakers: Sequence[Speaker], *, quick: bool) -> Iterator[list[str]]:
    """The table of what was taken for an answer though nobody answered."""
    taken: list[str] = []
    times: Counter[str] = Counter()
    for condition in CONDITIONS:
        for name, sounds, asked in _not_answers(speakers, condition, quick=quick):
            count: Counter[str] = Counter()
            for place, (label, sound) in enumerate(sounds):
                kind = asked[place % len(asked)]
                told = listener.hears(sound, kind)
                count[told.word] += 1
                if told.word == "heard":
                    count[f"kept {kind}"] += told.line == "keep it"
                    taken.append(
                        f"{name}, {condition.name}, asked {kind}: {label} -> {told.line} ({told.raw})"
                    )
            total = sum(count[word] for word in ("heard", "unclear", "silence"))
            times[name] += total
            kept_here = sum(count[f"kept {kind}"] for kind in ASKED_IN_TURN)
            yield [
                *(name, condition.name, str(total), str(count["silence"]), str(count["unclear"])),
                *(str(count["heard"]), str(kept_here)),
            ]
            progress(f"{condition.name}: {name}")
    print("\n".join(["Taken for an answer:", *taken]), file=sys.stderr)
    kept = [one for one in taken if " -> keep it (" in one]
    near = [one for one in kept if one.startswith(NEAR)]
    if len(near) > MOST_NEAR_KEPT * times[NEAR]:
        FAILED.append(f"{len(near)} of {times[NEAR]} near words would have kept a value")
    if len(kept) > len(near):
        FAILED.append("a value would have been kept by what was no answer")


CHATTER_HEADS = ("what", "heard in", "times", "nothing heard", "unclear", "taken", "taken as keep it")


def _not_answers(
    speakers: Sequence[Speaker], condition: Condition, *, quick: bool
) -> Iterator[tuple[str, Iterable[tuple[str, Sound]], Sequence[Asked]]]:
    chance = np.random.default_rng(7)
    voices = [speaker.voice for speaker in speakers if speaker.voice is not None]

    def talk() -> Iterator[tuple[str, Sound]]:
        for place, text in enumerate(CHATTER * (1 if quick else 3)):
            voice = voices[(place + place // len(CHATTER)) % len(voices)]
            yield f"{voice} {text!r}", heard_in(condition, speech.spoken(voice, text), chance)

    def near() -> Iterator[tuple[str, Sound]]:
        for text in NEAR_A_DOUBT:
            for voice in voices[:: 4 if quick else 1]:
                yield f"{voice} {text!r}", heard_in(condition, speech.spoken(voice, text), chance)

    def prompts() -> Iterator[tuple[str, Sound]]:
        names = sorted(path.stem for path in speech.RECORDINGS.glob("*.g722"))
        for name in names[:: 12 if quick else 3]:
            sound = speech.trimmed(speech.recorded(name))
            if 0.3 * speech.RATE < sound.size < 8.0 * speech.RATE:
                yield name, heard_in(condition, speech.levelled(sound), chance)

    def noise() -> Iterator[tuple[str, Sound]]:
        for place in range(5 if quick else 30):
            yield f"noise {place}", speech.heard_in(condition, None, chance, 9.0)

    if voices:
        yield "synthetic talk", talk(), ASKED_IN_TURN
        yield NEAR, near(), ("keep",)
    if speech.RECORDINGS.is_dir():
        yield "recorded prompts", prompts(), ASKED_IN_TURN
    yield "nobody", noise(), ASKED_IN_TURN


@dataclass(slots=True)
class Readings:
    """What came of the readings of a day."""

    asked: int = 0
    right: int = 0
    wrong: list[str] = field(default_factory=list)
    given_up: int = 0
    utterances: int = 0
    out_of_window: int = 0
    said_wrong: int = 0

    @classmethod
    def together(cls, several: Iterable[Readings]) -> Readings:
        """All of them in one."""
        total = cls()
        for one in several:
            total.asked += one.asked
            total.right += one.right
            total.wrong += one.wrong
            total.given_up += one.given_up
            total.utterances += one.utterances
            total.out_of_window += one.out_of_window
            total.said_wrong += one.said_wrong
        return total

    @property
    def cells(self) -> list[str]:
        """As they are printed, in the order of `DAY_HEADS`."""
        each = self.utterances / max(self.asked, 1)
        return [
            *(str(self.asked), str(self.right), str(len(self.wrong)), str(self.given_up)),
            *(f"{each:.1f}", str(self.out_of_window), str(self.said_wrong)),
        ]


DAY_HEADS = (
    *("who", "heard in", "readings", "written right", "written wrong", "left to the keys"),
    *("utterances each", "out of window", "read back wrong and said so"),
)


def day(listener: Listener, speakers: Sequence[Speaker], readings: int) -> Iterator[list[str]]:
    """The whole way of a reading. Recorded digits are answered for by a synthetic voice."""
    found: dict[tuple[str, str], Readings] = defaultdict(Readings)
    answers_for = next((one for one in speakers if str(one.voice) == "flite rms"), speakers[0])
    turns = [(condition, speaker) for speaker in speakers for condition in CONDITIONS]
    each = -(-readings // len(turns))
    for condition, speaker in turns:
        chance = seeded(speaker, condition, 1)
        answerer = speaker if speaker.voice is not None else answers_for
        for _ in range(each):
            kind = "temperature" if chance.random() < 0.65 else "gravity"
            said = number(kind, chance, spliced=speaker.voice is None)
            _reading(
                listener,
                (speaker, answerer),
                condition,
                said,
                chance,
                found[speaker.material, condition.name],
            )
        so_far = " | ".join(Readings.together(found.values()).cells)
        progress(f"{speaker.voice or 'spliced digits'}, {condition.name}: {so_far}")
    for (material, condition_name), one in found.items():
        yield [material, condition_name, *one.cells]
    total = Readings.together(found.values())
    yield ["all", "all", *total.cells]
    print("\n".join(["Written wrong:", *total.wrong]), file=sys.stderr)
    if total.wrong:
        FAILED.append(f"{len(total.wrong)} wrong values written")


FAILED: list[str] = []


def _reading(
    listener: Listener,
    who: tuple[Speaker, Speaker],
    condition: Condition,
    said: Said,
    chance: Chance,
    found: Readings,
) -> None:
    found.asked += 1
    truth = value(said.line)
    assert truth is not None
    expected = truth + chance.uniform(-1.0, 1.0) * EXPECTED_OFF[said.kind]
    for _ in range(TRIES):
        found.utterances += 1
        told = listener.hears(heard_in(condition, who[0].says(said, chance), chance), said.kind)
        if told.word != "heard" or value(told.line) is None:
            continue
        if not in_window(said.kind, told.line, expected):
            found.out_of_window += 1
            continue
        right = is_right(said, told)
        found.said_wrong += not right
        if _kept(listener, who[1], condition, "keep it" if right else "wrong", chance, found):
            if right:
                found.right += 1
            else:
                found.wrong.append(f"{who[0].material}, {condition.name}: {said.text!r} -> {told.line}")
            return
    found.given_up += 1


def _kept(
    listener: Listener, who: Speaker, condition: Condition, answer: str, chance: Chance, found: Readings
) -> bool:
    for _ in range(TRIES):
        found.utterances += 1
        said = Said(answer, answer, "keep")
        told = listener.hears(heard_in(condition, who.says(said, chance), chance), "keep")
        if told.word == "heard":
            return told.line == "keep it"
    return False


def heard_in(condition: Condition, sound: Sound, chance: Chance) -> Sound:
    """As the microphone has it."""
    return speech.heard_in(condition, sound, chance)


def seeded(speaker: Speaker, condition: Condition, more: int = 0) -> Chance:
    """Chance of its own for each speaker and condition."""
    text = f"{speaker.voice} {condition.name}"
    return np.random.default_rng([sum(text.encode()), len(text), more])


def progress(text: str) -> None:
    """Says how far it is."""
    print(text, file=sys.stderr, flush=True)


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Prints a table as Markdown."""
    made = list(rows)
    print(f"\n| {' | '.join(heads)} |\n|{'---|' * len(heads)}")
    for row in made:
        print(f"| {' | '.join(row)} |", flush=True)


def main() -> int:
    """Runs the parts and prints their tables; 1 if a wrong value was written."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--model", metavar="FOLDER", required=True)
    parser.add_argument("--second", action="store_true")
    parser.add_argument("--quick", action="store_true", help="a few of each")
    parser.add_argument("--part", action="append", choices=("answers", "chatter", "day"))
    options = parser.parse_args()
    parts = options.part or ("answers", "chatter", "day")
    recognisers: list[Recogniser] = [Whisper(Path(options.model)), *([Second()] if options.second else [])]
    listener = Listener(recognisers)
    can, cannot = speech.present()
    for voice in cannot:
        print(f"left out: {voice} is not on this machine", file=sys.stderr)
    speakers = [Speaker(voice) for voice in (can[:: len(can) // 3 or 1] if options.quick else can)]
    if speech.RECORDINGS.is_dir():
        speakers.append(Speaker(None))
    else:
        print(f"left out: recorded digits, for there is no {speech.RECORDINGS}", file=sys.stderr)
    if "answers" in parts:
        table(ANSWER_HEADS, answers(listener, speakers, 2 if options.quick else 3))
    if "chatter" in parts:
        table(CHATTER_HEADS, chatter(listener, speakers, quick=options.quick))
    if "day" in parts:
        table(DAY_HEADS, day(listener, speakers, QUICK_READINGS if options.quick else READINGS))
    taken = 1000.0 * np.array(listener.taken.seconds or [0.0])
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(
        f"\nFrom the end of speech: {1000.0 * PAUSE_SECONDS:.0f} ms of pause and, of the recognisers, median"
        f" {np.median(taken):.0f} ms, 95 % below {np.percentile(taken, 95):.0f} ms ({taken.size} utterances)."
        f" Memory at most {memory:.0f} MB, with the made-up sound."
    )
    for one in FAILED:
        print(f"FAILED: {one}")
    return 1 if FAILED else 0


if __name__ == "__main__":
    sys.exit(main())
