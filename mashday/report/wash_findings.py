"""Findings about the wash: what runs off, how it is cooled, the yeast, and what is hoped for."""

from __future__ import annotations

from collections.abc import Iterator

from mashday.engine import contents as pot
from mashday.engine import landing, timetable
from mashday.engine.prospect import Prospect
from mashday.engine.state import State
from mashday.quantities import Unreadable, parse
from mashday.report.finding import error, little, told, warning
from mashday.report.grist_findings import LEAST_CONVERSION
from mashday.schedule.door import Problem
from mashday.schedule.model import Cook, Cool, DoughIn, Pitch, Rest, Schedule, Separate
from mashday.science import gravity, volumes, yeast

WASH_SLACK, GRAVITY_SLACK = 0.2, 0.01
"""How far from what is hoped for the outlook may be: a share of the volume, and gravity. Judgement."""
LEAST_YEAST = 0.5
"""Share of the yeast wanted below which a wash starts slowly and may stop early. Judgement."""
STRONGEST_ABV_PERCENT = 13.0
"""Alcohol beyond which many strains stop by themselves. Common practice, no source."""
LONGEST_STANDING_HOURS = 16.0
"""Longer than overnight no wort should stand without yeast: see cautions.STANDING. Judgement."""
LEAST_FERMENTATION = 0.55
"""True degree of fermentation below which a wash has lost much of its alcohol. Boiled worts of one rest have
0.6 to 0.7, distillers' unboiled washes 0.80 to 0.88 (common practice); the limit is judgement."""
BEST_REST = (62.0, 66.0)
"""Where most of the starch becomes sugar that yeast takes (see science.starch), Celsius."""
BY_TAP = ("coil", "cold water")


def wash_findings(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    """What is amiss from the separation to the pitched wash."""
    yield from _nothing_runs_off(schedule, plan)
    for number, step in enumerate(schedule.steps, 1):
        if isinstance(step, Separate):
            yield from _separate(schedule, number, step)
        if isinstance(step, Cool):
            yield from _cool(schedule, number, step)
        if isinstance(step, Pitch):
            yield from _pitch(schedule, number)
            yield from _yeast(schedule, number, step, plan)
    yield from _strong(plan)
    yield from _left_by_yeast(schedule, plan)
    yield from _aim(schedule, plan)


def _nothing_runs_off(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    number = pot.first_step(schedule, Separate)
    wetted = plan.mash is not None and plan.mash.thickness >= volumes.THICKNESS_REFUSED
    if number is not None and wetted and plan.expected is None and plan.mash_litres > 0.0:
        shown = told(schedule, plan.mash_litres, "volume")
        yield error(
            f"step[{number}]",
            f"nothing runs off: the grain and the dead space keep all {shown} of the mash water",
            "take more water, or less grain",
        )


def _separate(schedule: Schedule, number: int, step: Separate) -> Iterator[Problem]:
    if not any(isinstance(earlier, DoughIn | Cook) for earlier in schedule.steps[:number]):
        yield warning(f"step[{number}]", "nothing is mashed before it", "put a dough-in before it")
    if step.by == "on the grain" and step.sparge_litres > 0.0:
        yield warning(
            f"step[{number}].sparge",
            "a sparge, though nothing is parted from the grain",
            "leave sparge out, or choose another way of separating",
        )


def _cool(schedule: Schedule, number: int, step: Cool) -> Iterator[Problem]:
    target = landing.target_celsius(schedule, State(), number)
    if target is None:
        return
    tap, room = schedule.place.tap_celsius, schedule.place.room_celsius
    shown = told(schedule, target, "temperature")
    coldest, what = (tap, "the tap") if step.by in BY_TAP else (room, "the room")
    if step.by in (*BY_TAP, "standing") and target < coldest:
        yield warning(
            f"step[{number}]",
            f"{what} has {told(schedule, coldest, 'temperature')}, which cannot bring it to {shown}",
            "cool it with ice, or aim higher",
        )
        return
    start = timetable.starts_at(schedule, State(), number)
    hours = timetable.step_minutes(schedule, State(), number, start) / 60.0
    if step.by == "standing" and hours > LONGEST_STANDING_HOURS:
        yield warning(
            f"step[{number}]",
            f"it stands about {hours:.0f} h to come to {shown}, without yeast",
            "wort spoils by then: cool it by a coil, a cold bath or ice",
        )


def _pitch(schedule: Schedule, number: int) -> Iterator[Problem]:
    celsius = timetable.starts_at(schedule, State(), number)
    verdict = yeast.pitch_verdict(celsius)
    shown = told(schedule, celsius, "temperature", 0)
    cool = told(schedule, yeast.GOOD_PITCH_CELSIUS, "temperature", 0)
    if verdict == yeast.PitchVerdict.DEADLY:
        yield warning(
            f"step[{number}]",
            f"yeast goes in at about {shown}, where it dies",
            f"put a cool step before it, down to {cool} or less",
        )
    elif verdict == yeast.PitchVerdict.TOO_HOT:
        yield warning(
            f"step[{number}]",
            f"yeast goes in at about {shown}, and ferments hotter still",
            f"cool to {cool} or less, unless its packet says else",
        )
    elif verdict == yeast.PitchVerdict.TOO_COLD:
        yield warning(f"step[{number}]", f"yeast goes in at about {shown}", verdict.advice)


def _yeast(schedule: Schedule, number: int, step: Pitch, plan: Prospect) -> Iterator[Problem]:
    """Dry yeast by its weight, where one is written."""
    try:
        grams = 1000.0 * parse(step.amount or "", "mass")
    except Unreadable:
        return
    if plan.expected is None:
        return
    units = schedule.units
    plato = max(0.0, gravity.plato(plan.expected.wash_gravity))
    wanted = yeast.dry_yeast_grams(yeast.cells_to_pitch(plan.expected.wash_litres, plato))
    if grams < LEAST_YEAST * wanted:
        yield warning(
            f"step[{number}].amount",
            f"{little(grams, units)} of yeast, and the wash wants about {little(wanted, units)} if it is dry",
            "take more, or make a starter of it",
        )


def _strong(plan: Prospect) -> Iterator[Problem]:
    expected = plan.expected
    if expected is not None and expected.abv_percent > STRONGEST_ABV_PERCENT:
        yield warning(
            "grain",
            f"a wash of about {expected.wash_gravity:.3f} ferments towards {expected.abv_percent:.0f} % vol",
            "many yeasts stop before that: take more water, or a strain that is sold for it",
        )


def _left_by_yeast(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    """A wash of much extract that little of ferments: dextrins of a mash too hot for its beta-amylase."""
    expected, rest = plan.expected, pot.first_step(schedule, Rest)
    if expected is None or rest is None or plan.lacks_enzyme or plan.conversion_end < LEAST_CONVERSION:
        return
    if expected.true_fermentation < LEAST_FERMENTATION:
        low, high = (told(schedule, celsius, "temperature", 0) for celsius in BEST_REST)
        yield warning(
            f"step[{rest}]",
            f"only about {100.0 * expected.true_fermentation:.0f} % of the extract is sugar that yeast takes",
            f"rest at {low} to {high} first, before it gets hotter",
        )


def _aim(schedule: Schedule, plan: Prospect) -> Iterator[Problem]:
    aim, expected = schedule.aim, plan.expected
    if expected is None:
        return
    litres = expected.wash_litres
    if aim.wash_litres is not None and abs(litres / aim.wash_litres - 1.0) > WASH_SLACK:
        shown, hoped = told(schedule, litres, "volume"), told(schedule, aim.wash_litres, "volume")
        change = "less" if litres > aim.wash_litres else "more"
        found = f"about {shown} of wash where {hoped} is hoped for"
        yield warning("aim.wash", found, f"take {change} water")
    short = plan.conversion_end < LEAST_CONVERSION
    if aim.gravity is not None and not short and abs(expected.wash_gravity - aim.gravity) > GRAVITY_SLACK:
        change = "less" if expected.wash_gravity > aim.gravity else "more"
        yield warning(
            "aim.gravity",
            f"a wash of about {expected.wash_gravity:.3f} where {aim.gravity:.3f} is hoped for",
            f"take {change} grain to the same water",
        )
