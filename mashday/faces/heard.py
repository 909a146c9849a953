"""Lines that come by the door (a voice, a script, another room), and what is said back of them.

Nobody looks at such a line while it is made: a word can be misheard and a digit can go unheard. So no stray
word keeps a doubted value, and a value that is not likely now is asked for again instead of doubted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from mashday.engine import instruments, intents, plausible, pouring
from mashday.engine.decision import told
from mashday.engine.readings import reading_numbered
from mashday.engine.state import State
from mashday.faces.aloud import UNITS
from mashday.faces.lines import Command, Misunderstood, Understood, understood
from mashday.faces.said_numbers import spoken_digits, with_unit
from mashday.schedule.model import Schedule
from mashday.text import cleaned

STOPS = ".!?,;:\N{HORIZONTAL ELLIPSIS} "
"""What a program that writes down speech puts behind it."""
LONGEST_NUMBER = 9
"""Characters of a number that is said back."""
LONGEST_SAID = 120


def bare(line: str) -> str:
    """The line without what a program that writes down speech puts behind it, and without what steers."""
    return cleaned(line).rstrip(STOPS)


def heard(line: str, schedule: Schedule, state: State, t: float) -> Understood:
    """What this line means at session time `t`: as `lines.understood`, but warier.

    A number outside what is likely of its quantity now is Misunderstood, in words that say it back digit by
    digit. Only "keep it" keeps what was doubted; an empty line does nothing.
    """
    text = bare(line)
    if not text:
        return Misunderstood("Nothing was heard. Say help for the words.")
    meant = understood(text, schedule, state, t)
    if isinstance(meant, intents.KeepIt) and text.lower() != "keep it":
        return Misunderstood("Say keep it, or wrong.")
    why = unlikely(meant, schedule, state, t)
    return meant if why is None else Misunderstood(why)


def read_back(line: str, meant: Understood) -> str:
    """What to say back of a line that came by the door: a number digit by digit, a word by what it does.

    Empty for what was misunderstood and for a command, which answer themselves, and for what is said back
    once it was taken. Nothing that is said back is itself a line the day obeys: a microphone may hear the
    loudspeaker.
    """
    if isinstance(meant, Command | Misunderstood | intents.TakeReading | intents.Correct | intents.AddWater):
        return ""
    said = _SAID.get(type(meant))
    words = (
        said(meant) if said is not None else _DOES.get(type(meant), f"came in: {cleaned(line, LONGEST_SAID)}")
    )
    return words[:1].upper() + words[1:]


def unlikely(meant: Understood, schedule: Schedule, state: State, t: float) -> str | None:
    """What to say of a value that is not likely now; None for one that is, and for all that is no value."""
    if isinstance(meant, intents.AddWater):
        return _unlikely_water(meant, schedule, state)
    if isinstance(meant, intents.TakeReading):
        quantity, values = meant.quantity, meant.spots or (meant.metric,)
    elif isinstance(meant, intents.Correct):
        reading = reading_numbered(state, meant.of)
        if reading is None or reading.step != state.step:
            return None
        quantity, values = reading.quantity, (meant.metric,)
    else:
        return None
    span = plausible.spoken_window(schedule, state, quantity, t, len(values))
    if span is None:
        return None
    if quantity == "temperature":
        shows = instruments.thermometer(schedule, state).shown_celsius
        span = shows(span[0]), shows(span[1])
    if all(span[0] <= value <= span[1] for value in values):
        return None
    low, high = (_shown(schedule, state, quantity, edge) for edge in span)
    return (
        f"Heard {_value(meant)}. It should lie between {low} and {high}."
        " If it is right, say it again, digit by digit."
    )


def _unlikely_water(meant: intents.AddWater, schedule: Schedule, state: State) -> str | None:
    """The same of water that went in, by the way that was taken or by what the step pours."""
    to_go_in = pouring.water_told(schedule, state)
    if to_go_in is None or meant.litres == 0.0:
        return None
    least, most = pouring.spoken_window(to_go_in[0])
    if least <= meant.litres <= most:
        return None
    amount = told(schedule, state, to_go_in[0], "volume")
    return f"Heard {_typed(meant.typed)}. About {amount} was to go in. If it is right, say it again."


def _shown(schedule: Schedule, state: State, quantity: str, value: float) -> str:
    match quantity:
        case "temperature":
            return told(schedule, state, value, "temperature", 0)
        case "volume":
            return told(schedule, state, value, "volume")
        case "gravity":
            return f"{value:.3f}"
    return f"{value:.1f}"


def value_said(
    intent: intents.TakeReading | intents.Correct | intents.AddWater | intents.GiveAmount,
) -> str:
    """What was heard of a value, so that it can be kept or forgotten by ear alone."""
    if isinstance(intent, intents.AddWater):
        said = _typed(with_unit(intent.typed, intent.litres, "L"))
    elif isinstance(intent, intents.GiveAmount):
        unit = {"grain": "kg", "water": "L"}.get(intent.what, "")
        said = _typed(with_unit(intent.typed, intent.amount, unit))
    elif isinstance(intent, intents.TakeReading) and intent.quantity == "starch":
        said = "the iodine stays yellow" if intent.passed else "the iodine goes dark"
    else:
        said = _value(intent)
    return f"Heard {said}"


def _value(intent: intents.TakeReading | intents.Correct) -> str:
    """The value digit by digit, with its unit."""
    places = 3 if intent.unit == "SG" else 2
    number = f"{intent.value:.{places}f}"
    if intent.unit != "SG":
        number = number.rstrip("0").rstrip(".")
    if len(number) > LONGEST_NUMBER:
        return "a very long number"
    spelled = "degrees" if intent.unit.lower().startswith("deg") else intent.unit
    unit = "" if intent.unit == "pH" else UNITS.get(intent.unit, ("", spelled))[1]
    return f"{spoken_digits(number)} {unit}".strip()


def _typed(text: str) -> str:
    return spoken_digits(cleaned(text, LONGEST_SAID))


def _extended(intent: intents.Extend) -> str:
    number = f"{abs(intent.minutes):.2f}".rstrip("0").rstrip(".")
    return f"the time: {spoken_digits(number)} minutes {'longer' if intent.minutes > 0.0 else 'shorter'}"


def _ticked(intent: intents.TickItem) -> str:
    return f"ticking it off: {_typed(intent.value)}" if intent.value else "ticking it off"


def _units(intent: intents.ChooseUnits) -> str:
    return _SHOWN.get(intent.units or "", "showing the others")


_SHOWN = {"us": "showing pounds and gallons", "metric": "showing kilograms and litres"}
_SAID: Mapping[type[intents.Intent], Callable[[Any], str]] = {
    intents.Void: lambda intent: f"striking reading {spoken_digits(str(intent.of))}",
    intents.GiveAmount: lambda intent: f"came in: {_typed(intent.typed)}",
    intents.Extend: _extended,
    intents.Snooze: lambda intent: f"quiet for {spoken_digits(str(intent.minutes))} minutes",
    intents.TakeRemedy: lambda intent: f"way {spoken_digits(str(intent.option))} is the one",
    intents.TickItem: _ticked,
    intents.WriteNote: lambda intent: f"written down: {cleaned(intent.text, LONGEST_SAID)}",
    intents.WriteClosingLine: lambda intent: f"for next time: {cleaned(intent.text, LONGEST_SAID)}",
    intents.ChooseUnits: _units,
}
_DOES: Mapping[type[intents.Intent], str] = {
    intents.Start: "beginning the day",
    intents.Done: "moving along",
    intents.Skip: "passing it over",
    intents.Hold: "stopping the clocks",
    intents.Resume: "going on",
    intents.Undo: "taking it back",
    intents.AnswerUnknown: "nobody knows it",
    intents.LeaveIt: "it stays as it is",
    intents.Acknowledge: "that is understood",
    intents.Mute: "quiet for a while",
    intents.KeepIt: "then it counts",
    intents.Wrong: "forgetting it",
}
