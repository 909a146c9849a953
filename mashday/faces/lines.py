"""The line words: what a person types, pipes or speaks, understood as an intent.

The words themselves stand in `vocabulary`. `understood` never raises, whatever the text.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from mashday.engine import asks, calls, intents, landing, mid_mash, plausible
from mashday.engine import contents as pot
from mashday.engine.decision import units_of
from mashday.engine.facts import Closing, Quantity, Told
from mashday.engine.moves import item_asked
from mashday.engine.readings import reading_numbered
from mashday.engine.state import State
from mashday.faces import questions
from mashday.faces.said_numbers import KIND_OF, SAID_LIKE, Kind, unread, written
from mashday.faces.vocabulary import ALIASES, COMMANDS, WORDS
from mashday.quantities import TABLE, Unreadable, parse, parse_gravity
from mashday.schedule.model import Cool, Schedule
from mashday.science import gravity
from mashday.science.heat import POURING_KELVIN
from mashday.science.limits import OutOfRange
from mashday.text import cleaned, nearest, quoted


@dataclass(frozen=True, slots=True)
class Misunderstood:
    """What was not understood, and what would do."""

    why: str


@dataclass(frozen=True, slots=True)
class Command:
    """A word the face answers itself."""

    word: str
    argument: str = ""


Understood = intents.Intent | Command | Misunderstood


LONGEST_LINE = 4096
"""Characters of a line that are read at all; what is too long to be kept is refused by the rules."""
NO_FIRE = "way-none"
"""The key of no call: what is said of it is refused in words."""
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?|[+-]?[.,]\d+")
_SPOT = re.compile(rf"({_NUMBER.pattern})([^\d.,+-]*)")
_AMOUNT = re.compile(rf"({_NUMBER.pattern})\s*([^\W\d]*)\s*(.*)")
_AT = re.compile(r"(?:^|\s)at(?:\s|$)", re.IGNORECASE)
_OF = re.compile(r"^of(?:\s+|$)", re.IGNORECASE)
_LIKE_A_NUMBER = re.compile(r"^[+-]?[.,]?\d")
_DEGREES = re.compile(r"(?<=\d)\s*degrees?$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class _Said:
    """A line with the day it was said into."""

    text: str
    schedule: Schedule
    state: State
    t: float
    is_one_word: bool = True

    @property
    def us(self) -> bool:
        return units_of(self.schedule, self.state) == "us"

    @property
    def bare_temperature(self) -> str:
        return "F" if self.us else "C"

    def celsius(self, text: str) -> float:
        """A temperature; one without a letter of its own takes the unit on show."""
        return parse(_DEGREES.sub("", text), "temperature", bare=self.bare_temperature)


def understood(line: str, schedule: Schedule, state: State, t: float) -> Understood:
    """What this line means at session time `t`.

    A bare number answers what is asked; while a remedy is offered, a small whole one takes that way. Numbers
    may be said in words. An empty line acknowledges what calls and does nothing else.
    """
    text = cleaned(line, LONGEST_LINE)
    if not text and any(not call.acknowledged for call in calls.calls(schedule, state, t)):
        return intents.Acknowledge()
    if not text:
        return Misunderstood("Nothing was said. Type 'help' for the words.")
    kind = _kind_asked(schedule, state, t)
    digits = written(text, kind)
    amiss = unread(digits, kind)
    if amiss is not None:
        noun, example = SAID_LIKE[amiss]
        return Misunderstood(f"{quoted(text)} is no {noun} as a whole. Say it like: {example}.")
    return _of_line(_Said(digits, schedule, state, t, is_one_word=" " not in text))


def _kind_asked(schedule: Schedule, state: State, t: float) -> Kind | None:
    """The kind of number a bare one is now; None for an item of a checklist, which takes any."""
    ask = asks.question(schedule, state, t)
    if ask is not None:
        return KIND_OF.get(ask.quantity)
    return "temperature" if item_asked(schedule, state) is None else None


def _of_line(said: _Said) -> Understood:
    text = said.text
    try:
        if _LIKE_A_NUMBER.match(text):
            return _answer(said)
        return _word(said)
    except Unreadable as unreadable:
        return Misunderstood(str(unreadable))
    except OutOfRange as out_of_range:
        return Misunderstood(f"That cannot be: {out_of_range}.")


def _word(said: _Said) -> Understood:
    lowered = said.text.lower()
    if lowered == "keep it":
        return intents.KeepIt()
    first, _, rest = said.text.partition(" ")
    word = ALIASES.get(first.lower(), first.lower())
    rest = rest.strip()
    if word in COMMANDS:
        return Command(word, rest)
    reader = _READERS.get(word)
    if reader is not None:
        return reader(said, rest)
    if word in _STARCH_SAID and not rest and _asked(said) == "starch":
        return _starch(said, word)
    known = [*WORDS, *ALIASES]
    near = nearest(first.lower(), known)
    if near is not None:
        return Misunderstood(f"{quoted(first)} is no word here. Is it {near!r}? 'help' lists them.")
    return Misunderstood(f"{quoted(first)} is no word here. Type a number, or 'help' for the words.")


def _asked(said: _Said) -> str | None:
    """What is asked just now."""
    ask = asks.question(said.schedule, said.state, said.t)
    return None if ask is None else ask.quantity


def _heat(said: _Said, rest: str) -> Understood:
    """That the heat of a remedy is off, also while its call is quiet."""
    if rest.lower() not in ("off", "is off"):
        return Misunderstood("Say heat off once the heat of a remedy is off.")
    found = calls.calls(said.schedule, said.state, said.t)
    fire = next((call.key for call in found if call.way == "fire" and not call.acknowledged), NO_FIRE)
    return intents.Acknowledge(fire)


def _answer(said: _Said) -> Understood:
    """A bare number, or several, for what is asked; with nothing asked, a temperature."""
    offer = said.state.offer
    if (
        offer is not None
        and offer.is_open
        and said.is_one_word
        and _whole(said.text)
        and 1 <= int(said.text) <= len(offer.options)
    ):
        return intents.TakeRemedy(int(said.text))
    ask = asks.question(said.schedule, said.state, said.t)
    if ask is None and item_asked(said.schedule, said.state) is not None:
        return intents.TickItem(value=said.text)
    quantity: Quantity | Told = ask.quantity if ask is not None else "temperature"
    if quantity in ("grain in the pot", "water in the pot", "minutes mashed"):
        return _told(said, quantity)
    if quantity == "gravity":
        return _gravity(said, said.text)
    if quantity in ("volume", "added water"):
        if quantity == "added water":
            return _added(said, said.text)
        return _volume(said, said.text)
    if quantity == "starch":
        return _starch(said, said.text)
    sample = quantity == "sample temperature"
    return _temperature(said, said.text, "sample temperature" if sample else "temperature")


def _told(said: _Said, what: Told) -> Understood:
    """A number for what is asked of the pot a day in mid-mash is begun with."""
    bare = questions.unit(what, units_of(said.schedule, said.state))
    return intents.GiveAmount(what, parse(said.text, mid_mash.KINDS[what], bare=bare), said.text)


def _temperature(said: _Said, rest: str, quantity: Quantity = "temperature") -> Understood:
    if not rest:
        return Misunderstood(f"Which temperature? Say it like: temp 63.5 {said.bare_temperature}")
    numbers, word = _spots(_DEGREES.sub("", rest), said.bare_temperature)
    values = [
        parse(f"{number} {word}".strip(), "temperature", bare=said.bare_temperature) for number in numbers
    ]
    mean = sum(values) / len(values)
    shown = word or said.bare_temperature
    typed = _number(numbers[0]) if len(numbers) == 1 else sum(map(_number, numbers)) / len(numbers)
    spots = tuple(values) if len(values) > 1 else ()
    if quantity == "temperature" and not spots and _is_of_the_sample(said, mean):
        quantity = "sample temperature"
    return intents.TakeReading(quantity, typed, shown, rest, mean, spots=spots)


def _is_of_the_sample(said: _Said, celsius: float) -> bool:
    """True where the temperature of a sample is asked, and the mash or wort can hardly have this one: it was
    not near it and is not being cooled."""
    schedule, state = said.schedule, said.state
    if _asked(said) != "sample temperature" or isinstance(schedule.step(state.step), Cool):
        return False
    expected = landing.expected_celsius(schedule, state, said.t)
    return expected is not None and abs(celsius - expected) > plausible.MASH_SLACK_KELVIN


def _spots(rest: str, unit: str) -> tuple[list[str], str]:
    """The numbers of a temperature read in several places, and the unit written with them, "" if none.

    Numbers stand apart: "63.5.2" is a slip and no two places.
    """
    numbers: list[str] = []
    words: list[str] = []
    for piece in (part.rstrip(",;") for part in rest.replace("\N{DEGREE SIGN}", " ").split()):
        match = _SPOT.fullmatch(piece)
        if match is not None:
            numbers.append(match[1])
        elif any(character.isdigit() for character in piece):
            raise Unreadable(f"{quoted(piece)} is not a number", f"type it like 63.5 {unit}")
        words.append(match[2] if match is not None else piece)
    if not numbers:
        raise Unreadable(f"{quoted(rest)} has no number", f"type it like 63.5 {unit}")
    return numbers, " ".join(dict.fromkeys(word for word in words if word))


def _whole(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= 6


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _split_at(rest: str) -> tuple[str, str]:
    """The part before and the part behind the word "at"."""
    before, *behind = _AT.split(rest, maxsplit=1)
    return before.strip(), "".join(behind).strip()


def _grain_name(behind: str) -> str:
    """What stands behind a weight, without its "of"."""
    return _OF.sub("", behind.strip())


def _celsius(said: _Said, text: str) -> float:
    """A temperature of water: a number, or the words tap, boiling."""
    lowered = text.lower()
    if lowered in ("tap", "cold"):
        return said.schedule.place.tap_celsius
    if lowered in ("boiling", "hot"):
        return pot.boiling_celsius(said.schedule) - POURING_KELVIN
    return said.celsius(text)


def _gravity(said: _Said, rest: str) -> Understood:
    value, at = _split_at(rest)
    if not value:
        return Misunderstood("Which gravity? Say it like: gravity 1.052 at 24 C")
    number, scale = parse_gravity(value)
    metric = number
    if scale == "P":
        metric = gravity.gravity(number)
    elif scale == "Bx":
        refractometer = said.schedule.refractometer
        factor = refractometer.factor if refractometer is not None else gravity.REFRACTOMETER_FACTOR
        metric = gravity.gravity(gravity.refractometer_plato(number, factor))
    sample = said.celsius(at) if at else None
    return intents.TakeReading("gravity", number, scale, rest, metric, sample_celsius=sample)


def _volume(said: _Said, rest: str) -> Understood:
    if not rest:
        return Misunderstood("Which volume? Say it like: volume 17 L")
    bare = questions.unit("volume", units_of(said.schedule, said.state))
    litres = parse(rest, "volume", bare=bare)
    match = _NUMBER.match(rest)
    if match is None:
        return intents.TakeReading("volume", litres, "L", rest, litres)
    unit = rest[match.end() :].strip() or bare
    return intents.TakeReading("volume", _number(match[0]), unit, rest, litres)


def _ph(said: _Said, rest: str) -> Understood:
    if not _NUMBER.fullmatch(rest):
        return Misunderstood("Which pH? Say it like: ph 5.4")
    return intents.TakeReading("ph", _number(rest), "pH", rest, _number(rest))


_STARCH_SAID = {
    **dict.fromkeys(("1", "pass", "passed", "gone"), True),
    **dict.fromkeys(("2", "fail", "failed", "left"), False),
}


def _starch(said: _Said, rest: str) -> Understood:
    if rest.lower() not in _STARCH_SAID:
        return Misunderstood(
            "Say 'starch pass' or 1 (yellow: gone), 'starch fail' or 2 (blue or black: still there)."
        )
    gone = _STARCH_SAID[rest.lower()]
    return intents.TakeReading("starch", float(gone), "", said.text, float(gone), passed=gone)


def _added(said: _Said, rest: str) -> Understood:
    amount, at = _split_at(rest)
    if not amount:
        return Misunderstood("How much? Say it like: added 1.2 L at 95 C")
    ask = asks.question(said.schedule, said.state, said.t)
    bare = questions.unit("added water", units_of(said.schedule, said.state))
    if ask is not None and ask.quantity == "added water":
        bare = questions.asked_unit(said.schedule, said.state, said.t, ask)
    litres = parse(amount, "volume", bare=bare)
    return intents.AddWater(litres, rest, _celsius(said, at) if at else None)


def _weighed(said: _Said, rest: str) -> Understood:
    bare = "lb" if said.us else "kg"
    match = _AMOUNT.fullmatch(rest)
    if match is None:
        return Misunderstood("How much grain? Say it like: weighed 4.8 kg")
    number, unit, behind = match.groups()
    known = {grain.name.casefold(): grain.name for grain in said.schedule.grains}
    if unit.lower() not in TABLE["mass"]:
        name = known.get(_grain_name(f"{unit} {behind}").casefold())
        return intents.GiveAmount("grain", parse(number if name else rest, "mass", bare=bare), rest, name)
    kilograms = parse(f"{number} {unit}", "mass")
    name = _grain_name(behind)
    return intents.GiveAmount("grain", kilograms, rest, known.get(name.casefold(), name) or None)


def _grain(said: _Said, rest: str) -> Understood:
    text = rest.removeprefix("at ").strip()
    if not text:
        return Misunderstood("How warm is the grain? Say it like: grain at 24 C")
    return intents.GiveAmount("grain temperature", said.celsius(text), rest)


def _measured(said: _Said, rest: str) -> Understood:
    if not rest:
        return Misunderstood("How much water? Say it like: measured 14 L")
    litres = parse(rest, "volume", bare="gal" if said.us else "L")
    return intents.GiveAmount("water", litres, rest)


def _correct(said: _Said, rest: str) -> Understood:
    number, _, value = rest.partition(" ")
    if not _whole(number) or not value.strip():
        return Misunderstood("Which reading, and what should it be? Say it like: correct 12 65.4")
    reading = reading_numbered(said.state, int(number))
    if reading is not None and reading.quantity == "starch":
        return Misunderstood(f"A starch check is not corrected: say void {number} and answer it anew.")
    readers: dict[str, Callable[[_Said, str], Understood]] = {
        "temperature": _temperature,
        "gravity": _gravity,
        "volume": _volume,
        "ph": _ph,
    }
    reader = readers.get(reading.quantity if reading is not None else "temperature", _temperature)
    meant = reader(said, value.strip())
    if isinstance(meant, intents.TakeReading) and meant.sample_celsius is not None:
        return Misunderstood(
            f"A correction is of the number alone, like: correct {number} 1.052. If the sample's temperature"
            f" is wrong too, say void {number} and enter it anew."
        )
    if not isinstance(meant, intents.TakeReading):
        return meant
    return intents.Correct(int(number), meant.value, meant.unit, value.strip(), meant.metric)


def _numbered(make: Callable[[int], intents.Intent], example: str) -> Callable[[_Said, str], Understood]:
    def read(said: _Said, rest: str) -> Understood:
        if not _whole(rest):
            return Misunderstood(f"Which number? Say it like: {example}")
        return make(int(rest))

    return read


def _snooze(said: _Said, rest: str) -> Understood:
    if not rest:
        return Misunderstood("For how long? Say it like: snooze 2")
    minutes = parse(rest, "time", bare="min")
    if not minutes.is_integer():
        return Misunderstood("Snooze whole minutes. Say it like: snooze 2")
    return intents.Snooze(int(minutes))


def _more(said: _Said, rest: str) -> Understood:
    if not rest:
        return Misunderstood("How many minutes more? Say it like: more 10")
    text = rest.removeprefix("-").strip()
    minutes = parse(text, "time", bare="min")
    return intents.Extend(-minutes if rest.startswith("-") else minutes)


def _leave(said: _Said, rest: str) -> Understood:
    if rest.lower() not in ("", "it"):
        return Misunderstood(f"'leave' stands alone; {quoted(rest)} was not understood.")
    return intents.LeaveIt()


def _tick(said: _Said, rest: str) -> Understood:
    return intents.TickItem(value=rest or None)


def _note(said: _Said, rest: str) -> Understood:
    return intents.WriteNote(rest)


def _closing(which: Closing, example: str) -> Callable[[_Said, str], Understood]:
    def read(said: _Said, rest: str) -> Understood:
        if not rest:
            return Misunderstood(f"Type it behind the word: {example}")
        return intents.WriteClosingLine(which, rest)

    return read


def _units(said: _Said, rest: str) -> Understood:
    lowered = rest.lower()
    if lowered == "":
        return intents.ChooseUnits()
    if lowered == "us":
        return intents.ChooseUnits("us")
    if lowered == "metric":
        return intents.ChooseUnits("metric")
    return Misunderstood("Which units? Say 'units metric' or 'units us'.")


def _sample(said: _Said, rest: str) -> Understood:
    if not rest:
        return Misunderstood(f"At which temperature? Say it like: sample 22 {said.bare_temperature}")
    return _temperature(said, rest, "sample temperature")


def _plain(make: Callable[[], intents.Intent], word: str) -> Callable[[_Said, str], Understood]:
    def read(said: _Said, rest: str) -> Understood:
        if rest:
            return Misunderstood(f"{word!r} stands alone; {quoted(rest)} was not understood.")
        return make()

    return read


_READERS: dict[str, Callable[[_Said, str], Understood]] = {
    "start": _plain(intents.Start, "start"),
    "done": _plain(intents.Done, "done"),
    "hold": _plain(intents.Hold, "hold"),
    "resume": _plain(intents.Resume, "resume"),
    "skip": _plain(intents.Skip, "skip"),
    "undo": _plain(intents.Undo, "undo"),
    "unknown": _plain(intents.AnswerUnknown, "unknown"),
    "leave": _leave,
    "heat": _heat,
    "keep it": _plain(intents.KeepIt, "keep it"),
    "wrong": _plain(intents.Wrong, "wrong"),
    "ok": _plain(intents.Acknowledge, "ok"),
    "mute": _plain(intents.Mute, "mute"),
    "finish": _plain(intents.Finish, "finish"),
    "abort": _plain(intents.Abort, "abort"),
    "more": _more,
    "temp": _temperature,
    "gravity": _gravity,
    "volume": _volume,
    "ph": _ph,
    "starch": _starch,
    "sample": _sample,
    "added": _added,
    "weighed": _weighed,
    "grain": _grain,
    "measured": _measured,
    "tick": _tick,
    "take": _numbered(intents.TakeRemedy, "take 1"),
    "void": _numbered(intents.Void, "void 12"),
    "snooze": _snooze,
    "correct": _correct,
    "note": _note,
    "went-wrong": _closing("wrong", "went-wrong the mash landed 2 C low"),
    "mended": _closing("mended", "mended two litres of boiling water"),
    "change": _closing("change", "change heat the water 2 C higher"),
    "units": _units,
}
