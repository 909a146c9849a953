"""What thermometer and hydrometer were found to show of what is known, and how that puts readings right.

An item of a checklist that asks what one of them shows in melting ice, at the boil or in water is such a
check: its answer holds from then on, in place of what the schedule tells.
"""

from __future__ import annotations

import re

from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.decision import Doubt, told, units_of
from mashday.engine.state import State
from mashday.quantities import Units, Unreadable, parse, parse_gravity, show
from mashday.schedule.model import Schedule
from mashday.science import gravity
from mashday.science.thermometer import MOST_OFF_KELVIN, Calibration, two_point
from mashday.text import quoted

MOST_OFF_GRAVITY = 0.010
"""A hydrometer this far off in water has a slipped scale. Judgement, no source."""
LEAST_OFF_KELVIN, LEAST_OFF_GRAVITY = 0.05, 0.0005
"""Less is not worth a word."""
WEATHER_KELVIN = 1.0
"""How far the weather moves the boil from where the height alone has it, with the error of a reading, K:
water boils at 99.2 degC at 985.6 hPa and at 100.7 at 1039.8 (IAPWS-IF97)."""
BETWEEN_KELVIN = 0.5
"""What stays in doubt of a mash temperature that is put right by ice and boil, K: see
`science.thermometer.two_point`."""
OF_A_THERMOMETER: tuple[f.Point, ...] = ("ice", "boil")
_WORD = r"[\w'-]+"
_ASKING = {
    name: re.compile(
        rf"\b(?:what|much|does|do|is|are)(?: (?!(?:of|in|on|at|by|beside|with)\b){_WORD}){{0,4}} {name}s?,?"
        rf"(?:(?: (?:held|hung|put|stood))? (?:in|at|on)(?: {_WORD}){{1,3}})?,? (?:show|read|say|right)s?\b"
    )
    for name in ("thermometer", "hydrometer")
}
"""An instrument as what is asked about: what it shows, reads or says, or whether it is right."""
_QUOTED = re.compile(r"(?<!\w)(['\"]).*?\1(?!\w)")
IN_THE_DAY = re.compile(r"\b(?:wort|mash)\b(?! (?:thermo|hydro)meter)")
"""What is made that day boils and is cooled in ice too, and is no point to check by."""
CHECKS: dict[f.Point, tuple[str, re.Pattern[str]]] = {
    "ice": (
        "thermometer",
        re.compile(
            r"\bmelting ice\b|\bin (?:(?:the|clean|crushed) )*ice\b|\bice[- ]?water\b"
            r"|\bice (?:and|with) water\b|\bwater (?:and|with) ice\b"
        ),
    ),
    "boil": ("thermometer", re.compile(r"\b(?:at|on) (?:the )?boil\b|\bboiling\b|\bboils\b")),
    "water": ("hydrometer", re.compile(rf"\bin (?:{_WORD} ){{0,3}}(?:of (?:{_WORD} ){{0,3}})?water\b")),
}
"""Each point, by the name of the instrument and the words for where it is held."""


def asked(item: str) -> f.Point | None:
    """What an item of a checklist has checked, by its words; None if it is no such check.

    It asks what the instrument shows, reads or says, or whether it is right, at just one point there is; what
    stands between quotation marks says nothing of that.
    """
    text = " ".join(_QUOTED.sub("", item.casefold()).split())
    if not text.endswith("?") or IN_THE_DAY.search(text):
        return None
    points = [point for point, (name, where) in CHECKS.items() if name in text and where.search(text)]
    if len(points) != 1:
        return None
    return points[0] if _ASKING[CHECKS[points[0]][0]].search(text) else None


def checked(
    schedule: Schedule, state: State, item: str, answer: str, *, sure: bool
) -> f.InstrumentChecked | Doubt | None:
    """The check that an answer to this item is; None if it is none, a doubt if it is far off or cannot be
    read though there is a digit in it.

    An answer without a number, or one that is doubted and sure, puts nothing right: what was found at that
    point before is no longer gone by (`shown` is None), and without such it is an answer like any other.
    """
    point = asked(item)
    if point is None:
        return None
    cleared = f.InstrumentChecked(point, None, answer) if last(state, point) is not None else None
    shown = _shown(schedule, state, point, answer)
    if shown is None:
        told_one = any(sign.isdigit() for sign in answer) and not sure
        return Doubt(_no_value(schedule, state, point, answer)) if told_one else cleared
    true, _, what = _true(schedule, point)
    if is_near(schedule, point, shown):
        return f.InstrumentChecked(point, shown, answer)
    if sure:
        return cleared
    if point == "water":
        return Doubt(
            f"A hydrometer that shows {shown:.3f} in {what} is broken or its scale has slipped:"
            " look again, or take another. Keep that, and put nothing right by it?"
        )
    there, should = (told(schedule, state, celsius, "temperature") for celsius in (shown, true))
    return Doubt(
        f"A thermometer that shows {there} in {what} ({should}) is broken, or it was not deep and long enough"
        " in it: stir and look again. Keep that, and put nothing right by it?"
    )


def _no_value(schedule: Schedule, state: State, point: f.Point, answer: str) -> str:
    if point == "water":
        at = told(schedule, state, 15.0, "temperature", 0)
        return f"{quoted(answer)} is no gravity, like 1.002 or 1.002 at {at}; keep it as words?"
    like = told(schedule, state, _true(schedule, point)[0], "temperature")
    return f"{quoted(answer)} is no temperature, like {like}; keep it as words?"


def is_near(schedule: Schedule, point: f.Point, shown: float) -> bool:
    """True if what was shown there (Celsius or gravity) is near enough for readings to be put right by it."""
    true, most, _ = _true(schedule, point)
    return abs(shown - true) <= most


def _true(schedule: Schedule, point: f.Point) -> tuple[float, float, str]:
    """What there is to be shown (Celsius or gravity), how far off is believed, and where that is."""
    if point == "ice":
        return 0.0, MOST_OFF_KELVIN, "melting ice"
    if point == "boil":
        return pot.boiling_celsius(schedule), MOST_OFF_KELVIN, "boiling water"
    return 1.0, MOST_OFF_GRAVITY, "water"


def _shown(schedule: Schedule, state: State, point: f.Point, answer: str) -> float | None:
    """The answer as degrees Celsius, or as a gravity at 20 C; None if it is no number."""
    try:
        if point != "water":
            return parse(answer, "temperature", bare="F" if units_of(schedule, state) == "us" else "C")
        reading, _, at = answer.replace("@", " at ").partition(" at ")
        shown, scale = parse_gravity(reading)
        if scale != "SG" or not at:
            return shown if scale == "SG" else None
        celsius = parse(at, "temperature", bare="F" if units_of(schedule, state) == "us" else "C")
        return gravity.hydrometer_gravity(shown, celsius, schedule.hydrometer.calibrated_celsius)[0]
    except (Unreadable, ValueError):
        return None


def thermometer(schedule: Schedule, state: State) -> Calibration:
    """What the thermometer shows of what is true: by today's checks, else by the schedule.

    The boil alone tells nothing new where the weather may have moved it so far.
    """
    ice, boil = (last(state, point) for point in OF_A_THERMOMETER)
    boiling = pot.boiling_celsius(schedule)
    if ice is not None and boil is not None:
        return two_point(ice, boil, boiling)
    if ice is not None:
        return Calibration(ice, 1.0)
    if boil is not None and not _within_the_weather(schedule, boil):
        return Calibration(boil - boiling, 1.0)
    return Calibration(schedule.thermometer.offset_kelvin, 1.0)


def _within_the_weather(schedule: Schedule, boil: float) -> bool:
    """True if what was shown at the boil, Celsius, may be the weather and the offset of the schedule."""
    off = boil - pot.boiling_celsius(schedule)
    return abs(off - schedule.thermometer.offset_kelvin) < WEATHER_KELVIN


def as_typed(
    schedule: Schedule, state: State, intent: intents.TakeReading | intents.Correct, doubt: str
) -> str:
    """The doubt of a temperature with what was typed before what it is put right: "3.4 C, put right 0.4 C?";
    as it is where both are the same or it begins with no temperature."""
    if isinstance(intent, intents.TakeReading):
        by_hand = intent.quantity == "temperature" and intent.source != f.PROBE
    else:
        by_hand = any(one.number == intent.of for one in state.valid("temperature"))
    if not by_hand:
        return doubt
    true = thermometer(schedule, state).true_celsius(intent.metric)
    shown, right = (told(schedule, state, celsius, "temperature") for celsius in (intent.metric, true))
    return f"{shown}, put right {doubt}" if shown != right and doubt.startswith(f"{right}?") else doubt


def hydrometer_offset(state: State) -> float:
    """What the hydrometer shows too much, by today's check."""
    shown = last(state, "water")
    return 0.0 if shown is None else shown - 1.0


def last(state: State, point: f.Point) -> float | None:
    """What was last found there, Celsius or gravity; None where nothing was, or what was counts no more."""
    return next((one.shown for one in reversed(state.checks) if one.point == point), None)


def said(schedule: Schedule, state: State, point: f.Point) -> str:
    """What a check came to, as a sentence, with what to write down for the days to come."""
    if point == "water":
        off = hydrometer_offset(state)
        if last(state, point) is None:
            return "The hydrometer is not put right any more."
        if abs(off) < LEAST_OFF_GRAVITY:
            return "The hydrometer shows what it should."
        return f"The hydrometer shows {abs(off):.3f} {_side(off)}: gravities are put right by it."
    units = units_of(schedule, state)
    if last(state, point) is None:
        return (
            f"The thermometer is not put right any more by {_true(schedule, point)[2]}"
            f"{_still(schedule, state)}."
        )
    if last(state, "ice") is None:
        return _by_boil_alone(schedule, state, units)
    off = thermometer(schedule, state).shown_celsius(pot.MASH_CELSIUS) - pot.MASH_CELSIUS
    amount = show(abs(off), "temperature difference", units)
    if abs(off) < LEAST_OFF_KELVIN:
        written = schedule.thermometer.offset_kelvin != 0.0
        later = " For later days take the offset out of [thermometer]." if written else ""
        return f"The thermometer shows what it should.{later}"
    at = ""
    if last(state, "boil") is not None:
        doubt = show(BETWEEN_KELVIN, "temperature difference", units)
        at = f" at {show(pot.MASH_CELSIUS, 'temperature', units, 0)}, give or take {doubt}"
    sign = "" if off > 0.0 else "-"
    return (
        f"The thermometer shows {amount} {_side(off)}{at}: readings are put right by it. For later days write"
        f' offset = "{sign}{amount}" under [thermometer].'
    )


def _by_boil_alone(schedule: Schedule, state: State, units: Units) -> str:
    """What the boil without the ice came to, and that nothing is to be written down by it."""
    boil = last(state, "boil")
    assert boil is not None
    off = boil - pot.boiling_celsius(schedule)
    shown = f"{show(abs(off), 'temperature difference', units)} {_side(off)}"
    shown = shown if abs(off) >= LEAST_OFF_KELVIN else "what it should"
    weather = show(WEATHER_KELVIN, "temperature difference", units)
    if _within_the_weather(schedule, boil):
        return (
            f"The thermometer shows {shown} at the boil, which the weather moves by up to {weather}: nothing"
            " is put right by that. Check it in melting ice, too."
        )
    return (
        f"The thermometer shows {shown} at the boil, give or take {weather} for the weather: readings are put"
        " right by it. Check it in melting ice before you write an offset down."
    )


def _side(off: float) -> str:
    return "too much" if off > 0.0 else "too little"


def _still(schedule: Schedule, state: State) -> str:
    """What the thermometer is still put right by, to stand behind a check that counts no more."""
    ice, boil = (last(state, point) for point in OF_A_THERMOMETER)
    if ice is not None or (boil is not None and not _within_the_weather(schedule, boil)):
        return f", only by {_true(schedule, 'boil' if ice is None else 'ice')[2]}"
    written = schedule.thermometer.offset_kelvin
    amount = show(written, "temperature difference", units_of(schedule, state))
    return f", but by the {amount} of the schedule" if written else ""
