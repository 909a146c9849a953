"""Said aloud: a line as a person would say it, and which lines are worth saying when something changed.

What comes out holds letters, spaces, commas, periods, hyphens and apostrophes only, so that every speech
command says the same.
"""

from __future__ import annotations

import re

from mashday.faces.view import CallLine, View
from mashday.text import cleaned

MOST_CAUTIONS = 2
"""Cautions said as a step begins; the screen shows them all."""
LONGEST = 220
"""Characters said in one go: some fifteen seconds. Judgement."""

UP_TO_NINETEEN = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
TENS = ("", "ten", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
MOST_COUNTED = 999_999

UNITS: dict[str, tuple[str, str]] = {
    **dict.fromkeys(("C", "F"), ("degree", "degrees")),
    "K": ("kelvin", "kelvin"),
    **dict.fromkeys(("L", "l"), ("litre", "litres")),
    **dict.fromkeys(("mL", "ml"), ("millilitre", "millilitres")),
    "gal": ("gallon", "gallons"),
    "qt": ("quart", "quarts"),
    "pt": ("pint", "pints"),
    "kg": ("kilogram", "kilograms"),
    "g": ("gram", "grams"),
    "lb": ("pound", "pounds"),
    "oz": ("ounce", "ounces"),
    "min": ("minute", "minutes"),
    "h": ("hour", "hours"),
    "s": ("second", "seconds"),
    "kW": ("kilowatt", "kilowatts"),
    "W": ("watt", "watts"),
    "kJ": ("kilojoule", "kilojoules"),
    "m": ("metre", "metres"),
    "cm": ("centimetre", "centimetres"),
    "mm": ("millimetre", "millimetres"),
    "ft": ("foot", "feet"),
    "L/kg": ("litre per kilogram", "litres per kilogram"),
    "qt/lb": ("quart per pound", "quarts per pound"),
    "L/min": ("litre per minute", "litres per minute"),
    "gal/min": ("gallon per minute", "gallons per minute"),
    "%": ("percent", "percent"),
    "P": ("degree Plato", "degrees Plato"),
    "Bx": ("degree Brix", "degrees Brix"),
    "SG": ("", ""),
}
"""Each unit behind a number, for one and for several."""

_LABELS = {"SOON": "Soon, ", "CALL": "", "DANGER": "Danger. ", "NOW": ""}
_LABEL = re.compile(r"(SOON|CALL|NOW|DANGER) (?: +|(?<=DANGER ))")
_ASKED = re.compile(r"ASKED +(.*?)(?: \(([^()]*)\))?")
_ASKED_IN = {
    "C": "degrees Celsius",
    "F": "degrees Fahrenheit",
    **{word: UNITS[word][1] for word in ("L", "gal", "qt", "kg", "lb", "min")},
}
_ASKED_PLAINLY = ("", "SG", "pH")

_DATE = re.compile(r"(?<![\w.-])([0-9]{4})-([0-9]{2})-([0-9]{2})(?![\w-])")
_LENGTH = re.compile(r"(?<![\w:.,])\+?([0-9]{1,2}):([0-5][0-9]):([0-5][0-9])(?![\w:])")
_COUNTDOWN = re.compile(
    r"(?<![\w:.,])(?:\+([0-9]{1,2}):([0-5][0-9])(?![\w:])"
    r"|([0-9]{1,2}):([0-5][0-9])(?= (?:left of|over the|to the|to:|since the|of stirring|in this step)))"
)
_CLOCK = re.compile(r"(?<![\w:.,+])([01]?[0-9]|2[0-3]):([0-5][0-9])(?![\w:])")
_RANGE = re.compile(r"(?<=[0-9]) ?[-\N{EN DASH}] ?(?=[0-9])")
_NUMBER = re.compile(
    r"(?<![\w.,])([+-]?)([0-9]+)(?:[.,]([0-9]+))?"
    rf"(?: ?({'|'.join(sorted(map(re.escape, UNITS), key=len, reverse=True))})(?![\w/]))?"
)
_LEFT_OVER = re.compile(r"([0-9]+)(?:[.,]([0-9]+))?")
_SIGNED = {"": "", "-": "minus ", "+": "plus "}
_SHORT = (
    (re.compile(r"(?<= min) 00 s\b"), ""),
    (re.compile(r"\be\.g\."), "for example"),
    (re.compile(r"\bi\.e\."), "that is"),
    (re.compile(r"\betc\."), "and so on"),
    (re.compile(r"\b[Aa]pprox\."), "about"),
    (re.compile(r"\bpH\b"), "p H"),
    (re.compile(r"\bSG\b"), "specific gravity"),
    (re.compile(r"\[x\]"), "Done, "),
    (re.compile(r"\[ \]"), "Open, "),
)
_SIGNS = {
    **dict.fromkeys("()[]{}:\N{EN DASH}\N{EM DASH}", ", "),
    **dict.fromkeys(";!?\N{HORIZONTAL ELLIPSIS}", ". "),
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "&": " and ",
    "+": " plus ",
    "=": " equals ",
    "%": " percent ",
}


def aloud(text: str) -> str:
    """The line in words to be said, at most `LONGEST` characters, cut behind a clause; may be empty."""
    label = _LABEL.match(text)
    asked = _ASKED.fullmatch(text.strip())
    if asked is not None:
        text = _question(asked[1], asked[2] or "")
    elif label is not None:
        text = _LABELS[label[1]] + text[label.end() :]
    parted = re.sub(r"(?<=\S)\s{2,}", ", ", text.strip())
    return _cut(_tidied(_without_signs(_spelled(cleaned(parted, 1000)))))


def announce(before: View | None, now: View, *, by_voice: bool = True) -> tuple[str, ...]:
    """The lines worth saying, in the order to say them: new calls, the new instruction, the question.

    Calls that ring come with the gravest first. Numbers that only time has changed are not said again. A
    doubt is a question too, and `by_voice` the words that answer it are said; that nothing is saved any more
    is said last. A call is not repeated here: whoever insists says it again.
    """
    was = View() if before is None else before
    said = [_called(call) for call in _new_calls(was, now)]
    if now.instruction and now.phase != "idle" and _another_instruction(was, now):
        said.append(now.instruction)
    if now.ways and now.remedy != was.remedy:
        said += [now.remedy, *_first_way(now)]
    if now.phase == "running" and now.step_number != was.step_number:
        said += (
            [f"{now.countdown} {now.countdown_label}"] if now.countdown_label.startswith("left of") else []
        )
        said += now.cautions[:MOST_CAUTIONS]
    item = _next_item(now)
    if item and item != _next_item(was):
        said.append(f"Next: {item}")
    if now.doubt and now.doubt != was.doubt:
        said.append(f"{now.doubt} Say keep it, or wrong." if by_voice else now.doubt)
    elif _is_due(now) and not (_is_due(was) and was.question == now.question):
        said.append(_question(now.question, now.question_unit))
    if now.not_saved and not was.not_saved:
        said.append(f"Not saved: {now.not_saved}")
    return tuple(spoken for spoken in map(aloud, said) if spoken)


def cardinal(number: int) -> str:
    """A whole number in words, up to `MOST_COUNTED`; a longer one digit by digit."""
    if number > MOST_COUNTED:
        return digits(str(number))
    if number < 20:
        return UP_TO_NINETEEN[number]
    if number < 100:
        unit = number % 10
        return TENS[number // 10] + (f"-{UP_TO_NINETEEN[unit]}" if unit else "")
    size, word = (1000, "thousand") if number >= 1000 else (100, "hundred")
    rest = number % size
    joint = " and " if rest < 100 else " "
    return f"{cardinal(number // size)} {word}" + (f"{joint}{cardinal(rest)}" if rest else "")


def digits(text: str, nought: str = "oh") -> str:
    """Digits one by one."""
    return " ".join(nought if digit == "0" else UP_TO_NINETEEN[int(digit)] for digit in text)


def _next_item(shown: View) -> str:
    """The first item of the list that is still open, "" where there is none or the day does not run."""
    if shown.phase != "running":
        return ""
    return next((item.text for item in shown.checklist if not item.ticked), "")


def _first_way(shown: View) -> list[str]:
    """The way that is advised, with its number, and how many there are."""
    best = next((way for way in shown.ways if way.possible), None)
    return [] if best is None else [f"Way {best.number} of {len(shown.ways)}: {best.headline}"]


def _new_calls(was: View, now: View) -> list[CallLine]:
    rang = {call.key for call in was.calls if call.rings}
    new = [call for call in now.calls if call.rings and call.key not in rang]
    return sorted(new, key=lambda call: ("danger", "now", "soon").index(call.urgency))


def _called(call: CallLine) -> str:
    return f"Danger. {call.text}" if call.urgency == "danger" else call.text


def _another_instruction(was: View, now: View) -> bool:
    if _without_numbers(was.instruction) != _without_numbers(now.instruction):
        return True
    return was.instruction != now.instruction and _happened(was) != _happened(now)


def _happened(shown: View) -> tuple[object, ...]:
    """What changes only when something happens."""
    curve = shown.curve
    return (shown.step_number, shown.units, shown.target, curve.readings, curve.additions, shown.remedy)


def _without_numbers(text: str) -> str:
    return "".join(character for character in text if not character.isdigit())


def _is_due(shown: View) -> bool:
    return bool(shown.question) and shown.phase == "running" and shown.question_due.startswith("due")


def _question(question: str, unit: str) -> str:
    if unit in _ASKED_PLAINLY:
        return f"Asked: {question}"
    return f"Asked: {question}, {f'in {_ASKED_IN[unit]}' if unit in _ASKED_IN else unit}"


def _spelled(text: str) -> str:
    """The text with its short forms, times and numbers written out."""
    for short, full in _SHORT:
        text = short.sub(full, text)
    text = text.replace("\N{DEGREE SIGN}", " ").replace("\N{MINUS SIGN}", "-")
    text = _DATE.sub(lambda found: ", ".join(found.groups()), text)
    text = _LENGTH.sub(lambda found: _length(*map(int, found.groups())), text)
    text = _COUNTDOWN.sub(
        lambda found: _length(0, *(int(part) for part in found.groups() if part is not None)), text
    )
    text = _CLOCK.sub(lambda found: _time_of_day(int(found[1]), int(found[2])), text)
    text = _NUMBER.sub(_number, _RANGE.sub(" to ", text))
    return _LEFT_OVER.sub(lambda found: f" {cardinal(int(found[1][:12]))}{_point(found[2] or '')} ", text)


def _number(found: re.Match[str]) -> str:
    sign, whole, decimals, unit = found.groups()
    is_gravity = decimals is not None and len(decimals) >= 3 and unit in (None, "SG")
    kept = (decimals or "") if is_gravity else (decimals or "").rstrip("0")
    said = cardinal(int(whole[:12])) + _point(kept)
    if unit:
        said += f" {UNITS[unit][0 if int(whole[:12]) == 1 and not kept else 1]}"
    return f" {_SIGNED[sign]}{said} "


def _point(decimals: str) -> str:
    return f" point {digits(decimals[:12])}" if decimals else ""


def _length(hours: int, minutes: int, seconds: int) -> str:
    parts = [
        f"{cardinal(count)} {UNITS[unit][0 if count == 1 else 1]}"
        for count, unit in ((hours, "h"), (minutes, "min"), (seconds, "s"))
        if count
    ]
    return " ".join(parts) or "zero seconds"


def _time_of_day(hour: int, minute: int) -> str:
    if minute == 0:
        return "midnight" if hour == 0 else f"{cardinal(hour)} o'clock"
    return f"{cardinal(hour)} {'oh ' if minute < 10 else ''}{cardinal(minute)}"


def _without_signs(text: str) -> str:
    named = "".join(_SIGNS.get(character, character) for character in text)
    kept = "".join(c if c.isalpha() or c in " ,.-'" else " " for c in named)
    kept = re.sub(r"(?<![^\W\d_])[-']|[-'](?![^\W\d_])", " ", kept)
    return re.sub(r"\.(?=[^\s.,])", " ", kept)


def _tidied(text: str) -> str:
    """The text with single spaces, and one stop where several signs met."""
    stopped = re.sub(r"[\s,.]*[,.][\s,.]*", lambda found: ". " if "." in found[0] else ", ", text)
    return " ".join(stopped.split()).lstrip(",. ").rstrip(", ")


def _cut(text: str) -> str:
    if len(text) <= LONGEST:
        return text
    head = text[: LONGEST + 1]
    for mark in (". ", ", ", " "):
        place = head.rfind(mark, LONGEST // 2)
        if place > 0:
            return head[:place].rstrip(",. -'")
    return head[:LONGEST].rstrip(",. -'")
