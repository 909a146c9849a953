"""A new day as the text of a schedule file, with a word beside every choice for somebody who is new to it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

import tomli_w

from mashday.cautions import LAW, LIFT, in_units
from mashday.quantities import show
from mashday.reckon import day_amounts
from mashday.reckon.day_table import Table
from mashday.reckon.new_day import NewDay
from mashday.science import grain as grain_table
from mashday.science import volumes

COLUMN = 36
"""Where the words beside a value begin, if it leaves them room."""
WIDTH = 100

HOTTEST_FOR_MALT = 68.0
"""Above it malt loses its enzymes too soon to be mashed there, Celsius. Common practice, no source."""

_BESIDE: dict[str, str] = {
    "format": "the format of this file",
    "name": "the day is kept under this name",
    "units": "what is shown: metric or us; the file itself may mix both",
    "pot.name": "what a day teaches about a pot is kept under its name",
    "pot.volume": "to the brim",
    "pot.material": "one of stainless steel, aluminium, copper, enamelled steel, cast iron, plastic",
    "pot.wrapped": "a jacket or a blanket round it while the mash stands: true or false",
    "pot.water_heated_in_it": "nothing heats this pot: its water is heated elsewhere and poured in",
    "pot.heater": "what can be given while the mash stands",
    "pot.heater_efficiency": "how much of it reaches the pot: gas about 0.4, electric 0.8 (common practice)",
    "place.tap": "cools the wash, and is where heating begins",
    "place.altitude": "water boils earlier up a hill",
    "thermometer.kind": "says how far it is trusted: digital, dial, glass, Pt100 or thermocouple",
    "spare.water": "a second kettle, to put a cool mash right",
    "grain.name": "your own word for it",
    "grain.kind": "says what it yields and how much enzyme it has",
    "grain.temperature": "taken to be that of the room: measure it, the strike water depends on it",
    "aim.wash": "into the fermenter",
    "aim.gravity": "what is hoped for",
    "heat.water": "no target: the strike temperature is worked out from the dough-in",
    "dough-in.target": "where the mash is to land",
    "starch-check.retry": "how long to wait while it is still blue",
    "cook.grain": "named here, so that the malt stays out",
    "cook.target": "the time begins when it has come to this",
    "cook.confirm": "you move on, not the clock",
    "separate.by": "one of squeezed bag, hung bag, drained, batch sparge, on the grain",
    "separate.sparge": "poured over the grain once the first wort has run off",
    "cool.by": "one of coil, ice bath, cold water, ice, standing",
    "add.what": "its name tells that it is enzyme, and so it is reckoned with",
    "pitch.amount": "worked out from volume and gravity; the packet wins",
}
"""What stands beside a key, by table or kind of step."""


def written(day: NewDay) -> str:
    """The schedule of this day as TOML with comments; it loads as `day.schedule`."""
    rows = [*_head(day), ""]
    top = {key: value for key, value in day.table.items() if not isinstance(value, dict | tuple)}
    rows += _keys("", top)
    for name in ("pot", "place", "thermometer", "spare", "grain", "aim"):
        value = day.table[name]
        for place, table in enumerate(value if isinstance(value, tuple) else (value,)):
            rows += ["", *_remarks(_before_table(day, name) if place == 0 else "")]
            rows += [f"[[{name}]]" if isinstance(value, tuple) else f"[{name}]", *_keys(f"{name}.", table)]
    rows += ["", *_remarks("From here on, the day. Every step may have a checklist and lines for trouble.")]
    for step in day.table["step"]:
        rows += ["", *_remarks(_before_step(day, step)), "[[step]]", *_keys(f"{step['kind']}.", step)]
    return "\n".join(rows) + "\n"


def _keys(table: str, values: Table) -> Iterator[str]:
    for key, value in values.items():
        text = tomli_w.dumps({key: list(value) if isinstance(value, tuple) else value}).rstrip("\n")
        beside = _BESIDE.get(f"{table}{key}", "")
        if isinstance(value, tuple) and len(value) == 1:
            text = _on_one_line(key, value) if len(_on_one_line(key, value)) < WIDTH else text
        if not beside or "\n" in text:
            yield text
        else:
            yield f"{text:<{COLUMN - 1}} # {beside}"


def _on_one_line(key: str, value: tuple[Any, ...]) -> str:
    return f"{key} = [{tomli_w.dumps({'_': value[0]}).removeprefix('_ = ').rstrip()}]"


def _remarks(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="# ", subsequent_indent="# ", break_on_hyphens=False)


def _head(day: NewDay) -> list[str]:
    answers, amounts, units = day.answers, day.amounts, day.answers.units
    bill = " and ".join(
        f"{day_amounts.mass(kg, units)} of {grain.name}"
        for grain, kg in zip(answers.grains, amounts.kilograms, strict=True)
    )
    waters = day_amounts.volume(amounts.mash_litres, units)
    if amounts.sparge_litres:
        waters += f" in the mash and {day_amounts.volume(amounts.sparge_litres, units)} as a sparge"
    expected = day.outlook.expected
    assert expected is not None
    rows = [
        f"{answers.name}: a mash day, from the empty pot to the pitched yeast.",
        f"{bill}, with {waters} of water, is to give about {show(expected.wash_litres, 'volume', units)} of"
        f" wash at {expected.wash_gravity:.3f}. Change what is yours, then ask: mashday check, mashday plan.",
        LAW,
    ]
    if day.heavy_kg is not None:
        rows.append(
            f"Pot and mash weigh about {show(day.heavy_kg, 'mass', units, 0)}. {in_units(LIFT, units)}"
        )
    rows.append("How to read it: a line is key = value, and what follows a # is a note.")
    such = '"4 gal", "11 lb", "147 F"' if units == "us" else '"15 L", "5 kg", "63 C"'
    rows.append(f'A quantity is text with its unit, such as {such}, "60 min".')
    rows.append("[[step]] comes again and again, in the order of the day.")
    return [line for row in rows for line in _remarks(row)]


def _before_table(day: NewDay, name: str) -> str:
    if name == "pot":
        return (
            'Weigh the pot empty and add mass = "..." for a truer strike temperature; left out, it is taken'
            " from its size."
        )
    if name == "grain":
        said = f"About {day.outlook.lintner:.0f} Lintner of enzyme power in all"
        if day.answers.enzyme:
            return f"{said}; the bottled enzyme adds to it."
        return f"{said}: {day.outlook.verdict}; {day.outlook.verdict.advice}."
    if name == "thermometer":
        little = "0.4 F" if day.answers.units == "us" else "0.2 K"
        return f'Add offset = "{little}" for what it shows too much in melting ice.'
    return ""


def _before_step(day: NewDay, step: Table) -> str:
    """What a newcomer may ask about this step."""
    answers, amounts, units = day.answers, day.amounts, day.answers.units
    kind = step["kind"]
    if kind == "cook":
        opens = max((grain_table.kind(grain.kind).gelatinises or (0.0, 0.0))[1] for grain in answers.raw)
        if opens < HOTTEST_FOR_MALT:
            return "Raw grain first, cooked soft: its starch lies locked up in hard kernels until they swell."
        return (
            f"Raw grain first: its starch opens only at up to {day_amounts.celsius(opens, units)}, where malt"
            " would lose its enzymes, so it is cooked soft by itself."
        )
    if kind == "cool" and "title" in step and answers.raw and step["by"] in ("cold water", "ice bath"):
        how = "the rest of the mash water, poured in cold" if amounts.cooled_by_water else "cold from outside"
        return f"Down to where malt can live, by {how}. The malt takes it the last degrees."
    if kind == "rest":
        return (
            "The enzymes turn starch into sugar here. At this temperature most of it becomes sugar that yeast"
            " takes, which is what a wash is for; hotter gives more that it leaves."
        )
    if kind == "add":
        return "Bottled enzyme does what the malt of this grist cannot do alone."
    if kind == "starch-check":
        return "A drop of mash and a drop of iodine on a white saucer: blue means that starch is left."
    if kind == "separate":
        kept = volumes.absorption(answers.by) * sum(amounts.kilograms)
        if answers.by == "on the grain":
            return (
                "Everything goes into the fermenter: nothing is lost, and there is more to stir and to clean."
            )
        return f"The grain keeps about {show(kept, 'volume', units)} of the water; that is reckoned with."
    if kind == "pitch":
        return "Yeast dies in a hot wash and starts slowly in a cold one."
    return {
        "heat": "All the water of the mash, hotter than the mash is to be: the grain and the pot cool it.",
        "dough-in": "The grain goes in slowly: dry lumps give no sugar.",
        "cool": "Quickly, because what else lives on sugar likes it warm, too."
        if answers.cooled_by != "standing"
        else "Overnight, unwrapped, lid on and never sealed: about what it should have by the next morning.",
    }.get(kind, "")
