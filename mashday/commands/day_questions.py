"""The questions of a new day: what is asked, why it matters, and how an answer is read, typed or by flag."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from mashday.quantities import Kind, Units, show, unit_word
from mashday.reckon import answer_texts as a
from mashday.reckon import day_amounts
from mashday.reckon.answers import Answers, agreed, cooling, usual_name
from mashday.reckon.given import Refused
from mashday.reckon.new_day import USUAL_GRAVITY, USUAL_WASH_LITRES, refuse_what_stays_warm
from mashday.schedule import fields
from mashday.science import grain as grain_table
from mashday.text import cleaned

Changes = dict[str, Any]
Bare = Callable[[Kind], str]

RAW_SHARE = 0.5
"""The share of a raw cereal that names none: most malt converts as much again. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question: the flags that answer it, its words, its default, and what the answer changes.

    `more_us` stands for `more` in US units where it names quantities.
    """

    flags: tuple[str, ...]
    asks: str
    why: str
    more: str
    default: Callable[[Answers], str]
    read: Callable[[str, Answers, Bare], Changes]
    applies: Callable[[Answers], bool] = lambda _: True
    choices: tuple[str, ...] = ()
    more_us: str = ""

    def explains(self, units: Units) -> str:
        """What is said to somebody who asks for more, in these units."""
        return self.more_us if units == "us" and self.more_us else self.more


def read_flag(flag: str, text: str, draft: Answers, bare: Bare = lambda _: "") -> Changes:
    """What the text of one flag changes; Refused where it cannot be read."""
    match flag:
        case "name":
            return {"name": a.named(text)}
        case "wash":
            asked = a.wash(text, bare("volume"), draft.units)
            return {"wash_litres": asked.litres} | ({"gravity": asked.gravity} if asked.gravity else {})
        case "gravity":
            return {"gravity": a.gravity(text)}
        case "pot":
            vessel = a.pot(text, bare("volume"), draft.units)
            made: Changes = {"pot_litres": vessel.litres}
            return made | ({"material": vessel.material} if vessel.material else {})
        case "material":
            return {"material": a.chosen(text, a.MATERIALS, "stuff of a pot")}
        case "heater":
            heats = a.heater(text, bare("power"), draft.units)
            if heats is None:
                return {"heater_kilowatts": None}
            return {"heater_kilowatts": heats.kilowatts, "fuel": heats.fuel}
        case "by":
            by = a.chosen(text, a.SEPARATIONS, "way of separating")
            return {"by": by, "sparge": by in ("drained", "batch sparge")}
        case "yeast":
            return {"yeast": a.yeast(text)}
        case "room" | "tap":
            return {f"{flag}_celsius": a.quantity(fields.RoomCelsius, text, units=draft.units)}
        case "altitude":
            return {"altitude_metres": a.quantity(fields.Metres, text, units=draft.units)}
        case "thermometer":
            return {"thermometer": a.chosen(text, a.THERMOMETERS, "kind of thermometer")}
    raise KeyError(flag)


def by_flags(given: Mapping[str, Any], draft: Answers) -> Answers:
    """The draft with all that the flags say; Refused with the name of the flag."""
    told_by: dict[str, str] = {}
    for flag, value in given.items():
        try:
            changes = _flag_changes(flag, value, given, draft)
        except Refused as refused:
            raise Refused(f"--{flag}: {refused}") from refused
        twice = [key for key in changes if key in told_by and key not in ("sparge", "cooled_by")]
        if twice:
            raise Refused(f"--{told_by[twice[0]]} and --{flag} tell the same: leave it out of one of them.")
        told_by |= dict.fromkeys(changes, flag)
        draft = replace(draft, **changes)
    return agreed(draft)


def _flag_changes(flag: str, value: Any, given: Mapping[str, Any], draft: Answers) -> Changes:
    if flag == "grain":
        return {"grains": tuple(a.grain(text, (), draft.units) for text in value)}
    if flag in ("sparge", "wrapped"):
        return {flag: value}
    if flag in ("cool", "pitch"):
        return _cooled(given)
    return read_flag(flag, value, draft)


def _cooled(given: Mapping[str, Any]) -> Changes:
    way = given.get("cool")
    pitching = given.get("pitch")
    if way is not None:
        way = a.chosen(way, a.COOLINGS, "way of cooling that puts no water into the wash")
    if pitching is not None:
        pitching = a.chosen(pitching, a.PITCHINGS, "time to pitch")
    return {"cooled_by": cooling(way, pitching)}


def _flag(flag: str) -> Callable[[str, Answers, Bare], Changes]:
    return lambda text, draft, bare: read_flag(flag, text, draft, bare)


def _cereal(text: str, draft: Answers, _: Bare) -> Changes:
    if text.strip().casefold() in ("none", "no", "n"):
        return {}
    cereal = a.grain(text, ("raw",), draft.units)
    if draft.weighed and cereal.kilograms is None:
        such = f"{cereal.name} {'4 lb' if draft.units == 'us' else '2 kg'}"
        raise Refused(f"The other grain is weighed: weigh {cereal.name}, too, such as {such}.")
    if draft.weighed:
        return {"grains": (cereal, *draft.grains)}
    if cereal.kilograms is not None:
        raise Refused(f"The other grain is not weighed: name a share, such as {cereal.name} 50 %.")
    share = RAW_SHARE if cereal.share is None else cereal.share
    others = tuple(
        one if one.share is None else replace(one, share=one.share * (1.0 - share)) for one in draft.grains
    )
    return {"grains": (replace(cereal, share=share), *others)}


def _cool(text: str, _draft: Answers, _bare: Bare) -> Changes:
    return {"cooled_by": a.chosen(text, a.COOLINGS, "way of cooling that puts no water into the wash")}


def _wash_default(draft: Answers) -> str:
    litres = day_amounts.volume(USUAL_WASH_LITRES[draft.units], draft.units)
    return litres if draft.gravity is not None else f"{litres} at {USUAL_GRAVITY:.3f}"


def _place_default(draft: Answers) -> str:
    room, tap = (show(one, "temperature", draft.units, 0) for one in (draft.room_celsius, draft.tap_celsius))
    return f"{room}, {tap}, {show(draft.altitude_metres, 'length', draft.units)}"


def _yes(value: bool) -> str:
    return "yes" if value else "no"


_MALTS = ", ".join(one.name for one in grain_table.KINDS.values() if one.form not in ("raw", "sugar"))
_RAWS = ", ".join(one.name for one in grain_table.KINDS.values() if one.form == "raw")

UNITS = Question(
    ("units",),
    "Which units do you measure in?",
    "The file and all that is shown are in them.",
    "metric: litres, kilograms, C. us: gallons, quarts, pounds, F. A quantity in the other units, written"
    " with its unit, is understood all the same.",
    lambda draft: draft.units,
    lambda text, _, __: {"units": a.chosen(text, ("metric", "us"), "system of units")},
    choices=("metric", "us"),
)

_WASH_MORE = (
    "The volume that goes into the fermenter, and its strength before the yeast: {0} at 1.060, or {0} at"
    " 15 P. A first wash lies at 1.050 to 1.070; over 1.080 the mash gets thick and yeast has hard work."
)

WASH = Question(
    ("wash",),
    "How much wash, of what gravity?",
    "Grain and water are worked out from it; 1.060 comes to about 8 % vol.",
    _WASH_MORE.format("20 L"),
    _wash_default,
    _flag("wash"),
    applies=lambda draft: not draft.weighed,
    more_us=_WASH_MORE.format("5 gal"),
)

GRAVITY = Question(
    ("gravity",),
    "What gravity is the wash to have?",
    "It says how much water the grain gets; 1.060 comes to about 8 % vol.",
    "Written as 1.060, 15 P or 15 Bx. Lower is more and thinner wash, higher is less and stronger.",
    lambda _: f"{USUAL_GRAVITY:.3f}",
    _flag("gravity"),
    applies=lambda draft: draft.gravity is None and not (draft.weighed and draft.wash_litres is not None),
)

_GRAIN_MORE = (
    "One or several: barley malt; barley malt, rye malt 30 %; or weighed out: barley malt {}, rye malt {}."
    f" Weighed, the wash follows from it; else the grain follows from the wash. Kinds: {_MALTS}."
)
_POT_MORE = (
    "To the brim, and its stuff if it is not stainless steel, such as {} aluminium."
    f" Stuff: {', '.join(a.MATERIALS)}."
)
_SPARGE_MORE = "Water for about half the wash then runs through the grain, at {}. Answer yes or no."

QUESTIONS = (
    Question(
        ("grain",),
        "Which malt or other grain?",
        "Malt brings starch, and the enzymes that make sugar of it.",
        _GRAIN_MORE.format("4 kg", "1 kg"),
        lambda draft: ", ".join(grain.name for grain in draft.grains),
        lambda text, draft, _: {"grains": a.grains(text, draft.units)},
        more_us=_GRAIN_MORE.format("9 lb", "2 lb"),
    ),
    WASH,
    GRAVITY,
    Question(
        ("grain",),
        "Any raw cereal to cook first?",
        "Raw grain has starch but no enzymes: it is cooked soft before the malt goes in.",
        "none, or one with its share of all the grain, such as maize 50 % (or its weight where the malt is"
        f" weighed). It takes an hour or two more. Kinds: {_RAWS}.",
        lambda _: "none",
        _cereal,
        applies=lambda draft: not draft.raw,
    ),
    Question(
        ("pot", "material"),
        "How much does the pot hold, and what is it made of?",
        "It has to hold grain and water with room to stir, and takes up heat itself.",
        _POT_MORE.format("33 L"),
        lambda draft: f"{day_amounts.volume(draft.pot_litres, draft.units)} {draft.material}",
        _flag("pot"),
        more_us=_POT_MORE.format("9 gal"),
    ),
    Question(
        ("heater",),
        "What power heats it, gas or electric? (none: hot water is poured in)",
        "It says how long heating takes, and whether a mash that cools can be warmed.",
        "The figure on its plate: 2500 W electric, 2.5 kW, gas 12000 BTU/h; none for a box or a pot off the"
        " fire. BTU/h is taken for gas, kW and W for electric, unless said. It matters: of a gas ring's heat"
        " some 0.4 to 0.5 reaches the pot, of a hotplate's about 0.8 (common practice, no source).",
        lambda draft: f"{draft.heater_kilowatts:g} kW {draft.fuel}" if draft.heater_kilowatts else "none",
        _flag("heater"),
    ),
    Question(
        ("wrapped",),
        "Is it wrapped in a blanket or jacket while the mash stands?",
        "Wrapped, it loses about a quarter of the heat, and wants less mending.",
        "A blanket, a quilt or a jacket made for it, once the fire is off. yes or no.",
        lambda draft: _yes(draft.wrapped),
        lambda text, _, __: {"wrapped": a.yes_or_no(text)},
    ),
    Question(
        ("by",),
        "How are wort and grain parted?",
        "It says how much water stays behind in the grain.",
        "squeezed bag: lifted out and pressed. hung bag: lifted out and left to drip. drained: through a"
        " false bottom or screen. batch sparge: drained, filled up with hot water, drained again. on the"
        " grain: not at all, it ferments together.",
        lambda draft: draft.by,
        _flag("by"),
        choices=a.SEPARATIONS,
    ),
    Question(
        ("sparge",),
        "Rinse the grain with hot water afterwards, a sparge?",
        "It wins sugar that the grain would keep, and takes water out of a full pot.",
        _SPARGE_MORE.format("75 C"),
        lambda draft: _yes(draft.sparge),
        lambda text, _, __: {"sparge": a.yes_or_no(text)},
        applies=lambda draft: draft.by not in ("batch sparge", "on the grain"),
        more_us=_SPARGE_MORE.format("167 F"),
    ),
    Question(
        ("room", "tap", "altitude"),
        "How warm are room and tap water, and how high do you live?",
        "The grain is as warm as the room, the tap water cools, and water boils earlier up a hill.",
        "In this order, with commas; what is left out stays as shown.",
        _place_default,
        lambda text, draft, _: dict(a.place(text, draft.units)),
    ),
    Question(
        ("cool", "pitch"),
        "How is it cooled?",
        "By coil or ice bath the yeast goes in the same evening; standing, the next morning.",
        "coil: cold water runs through it. ice bath: the pot stands in ice water. standing: overnight,"
        " unwrapped, with the lid on, never sealed; the yeast goes in the next morning.",
        lambda draft: draft.cooled_by,
        _cool,
        choices=a.COOLINGS,
    ),
    Question(
        ("yeast",),
        "Which yeast?",
        "How much of it the wash wants is worked out.",
        "Your own words for it. Dry yeast is told by weight; with the word liquid or slurry, in cells.",
        lambda draft: draft.yeast,
        _flag("yeast"),
    ),
    Question(
        ("thermometer",),
        "What kind of thermometer?",
        "A dial is trusted less than a digital one: it says how near is near enough.",
        "Whichever it is, check it in melting ice and at the boil.",
        lambda draft: draft.thermometer,
        _flag("thermometer"),
        choices=a.THERMOMETERS,
    ),
    Question(
        ("name",),
        "What is the day to be called?",
        "The file and all that is kept of the day have this name.",
        "Any words of yours, up to 60 letters.",
        lambda draft: usual_name(draft.grains),
        _flag("name"),
    ),
)


def asked(question: Question, draft: Answers, pinned: Mapping[str, Any] | None = None) -> Answers:
    """The draft with the person's answer; asks until there is one. EOFError where input ends.

    `pinned` is what a flag has told and no answer to another question changes.
    """
    default = cleaned(question.default(draft), 200)
    once = f"{question.asks} [{default}]"
    print(f"\n{once}\n{told(question.why)}")
    if question.choices:
        print("  " + "   ".join(f"{place} {choice}" for place, choice in enumerate(question.choices, 1)))
    while True:
        text = input("> ").strip()
        if text == "?":
            print(f"{told(question.explains(draft.units))}\n{once}")
            continue
        try:
            changes = question.read(text or default, draft, _bare(draft.units)) | dict(pinned or {})
            changed = agreed(replace(draft, **changes))
            if "cooled_by" in changes:
                refuse_what_stays_warm(changed)
        except a.UnclearGrain as refused:
            print(f"{told(refused.brief)}\n{once}")
            continue
        except Refused as refused:
            print(f"{told(str(refused))}\n{once}")
            continue
        return changed


def _bare(units: Units) -> Bare:
    return lambda kind: unit_word(kind, units)


def told(text: str) -> str:
    """A sentence folded to a small terminal, safe to show."""
    from textwrap import fill  # noqa: PLC0415

    return fill(cleaned(text, 2000), 78, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False)


def answered(draft: Answers, given: Mapping[str, Any]) -> Answers:
    """All questions that apply and that no flag has answered, one after the other."""
    pinned = {"sparge": given["sparge"]} if "sparge" in given else {}
    for question in QUESTIONS:
        if question.applies(draft) and not set(question.flags) & set(given):
            draft = asked(question, draft, pinned)
    return draft


def is_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return sys.stdin is not None and not sys.stdin.closed and sys.stdin.isatty()
