"""When it goes wrong: what one sees at a step, and what to do about it.

Common practice, no source, except the limit for yeast (as `mashday.science.yeast`). Where gas, power or
health is at stake the lines defer to makers' rules and to those who are licensed for it.
"""

from __future__ import annotations

from mashday.engine import contents as pot
from mashday.faces.ways import bag_first
from mashday.quantities import Units, show
from mashday.schedule.model import (
    Add,
    Boil,
    CleanUp,
    Cook,
    Cool,
    Do,
    DoughIn,
    Heat,
    MashOut,
    Pitch,
    Raise,
    Rest,
    Schedule,
    Separate,
    SetUp,
    StarchCheck,
)
from mashday.text import cleaned

ICE_CELSIUS = 0.0
HOTTEST_FOR_MALT_CELSIUS = 66.0
"""A cooked mash hotter than this robs the malt of its enzymes in minutes. Common practice, no source."""
YEAST_DIES_CELSIUS = 40.0
"""Above this yeast dies, as `mashday.science.yeast.pitch_verdict` has it."""
PLACES_KELVIN = 2.0
"""Places of a mash further apart than this were not stirred. Judgement, no source."""

BURNT = "Smells burnt: heat off at once, do not scrape the bottom, go on with less heat and stir"
OVERSHOT = "Overshot: lid off and stir, then read again before any cold water goes in"
NOT_TODAY = "Not cold tonight: cover it but never seal it, and have the yeast in it by tomorrow"
STUCK = "Nothing runs: shut the tap, stir the bed once right through, wait ten minutes, open it a little"
CLOUDY = "Runs cloudy: pour the first of it gently back on top until it runs clear"
MASH_WITHOUT_HEAT = (
    "Power or gas gone: shut it off, keep the lid on and leave it; a mash goes on by its own heat"
)


def lines(schedule: Schedule, number: int, units: Units) -> tuple[str, ...]:
    """The schedule's own lines for when step `number` goes wrong, then ours; numbers in these units.

    Where the schedule has a line for the same trouble ("Dry lumps: ..."), ours is left out.
    """
    own = tuple(cleaned(line) for line in schedule.step(number).if_it_goes_wrong)
    spoken_of = {_trouble(line) for line in own}
    ours = _ours(schedule, number, units)
    return (*own, *(line for line in ours if _trouble(line) not in spoken_of))


def _trouble(line: str) -> str:
    """What one sees: what stands before the colon."""
    return line.partition(":")[0].casefold()


def _ours(schedule: Schedule, number: int, units: Units) -> tuple[str, ...]:
    match schedule.step(number):
        case SetUp():
            return _set_up(schedule, units)
        case Heat():
            return _heat(schedule, number)
        case DoughIn():
            return _dough_in(schedule, number, units)
        case Rest():
            return _rest(schedule, units)
        case Cook():
            return _cook()
        case Raise():
            return _raise(schedule, number)
        case MashOut():
            return (
                *_raise(schedule, number),
                "It will not get there: go on without it; a mash-out only makes the run-off easier",
            )
        case StarchCheck():
            return _starch_check(schedule)
        case Separate() as step:
            return (*_separate(step), _gravity_looks_wrong(schedule, units))
        case Boil():
            return _boil()
        case Cool() as step:
            return _cool(schedule, number, step, units)
        case Add() as step:
            return _add(step, units)
        case Pitch():
            return _pitch(units)
        case CleanUp():
            return _clean_up()
        case Do():
            return (
                "It cannot be done as written: leave it, note what you did instead, and go on",
                "It takes longer: see to the heat, say hold so that the clocks wait, and resume after it",
            )


def _set_up(schedule: Schedule, units: Units) -> tuple[str, ...]:
    ice = show(ICE_CELSIUS, "temperature", units, 0)
    calibrated = show(schedule.hydrometer.calibrated_celsius, "temperature", units)
    return (
        f"Thermometer is not at {ice} in melting ice: stir, wait a minute, set the difference as its offset",
        f"Hydrometer is not at 1.000 in water of {calibrated}: note by how much, mend each reading by it",
        "Something is missing: get it before the heat is on; a mash does not wait for it",
    )


def _heat(schedule: Schedule, number: int) -> tuple[str, ...]:
    if pot.heats_in_pot(schedule, number):
        last: tuple[str, ...] = (
            "Water too hot for the grain: lid off and stir until it has come down, the grain waits",
            "Too little room for the grain: jug hot water out, gloves on, then say measured",
        )
    else:
        last = ("Not hot in time: leave the mash resting, lid on, until it is; that does it little harm",)
    return (
        "Element cuts out: pull the plug and let it cool; it may have run dry, or something burnt onto it",
        "Gas runs out: shut the bottle, let the ring cool, change it in the open as its maker says",
        *last,
    )


def _dough_in(schedule: Schedule, number: int, units: Units) -> tuple[str, ...]:
    lumps = "Dry lumps: press them against the side with the paddle until none is left"
    nonsense = "Thermometer shows nonsense: wipe it, wait, try another; enter nothing you do not believe"
    if any(isinstance(step, Cook) for step in schedule.steps[: number - 1]):
        hottest = show(HOTTEST_FOR_MALT_CELSIUS, "temperature", units, 0)
        return (
            f"A place is still over {hottest}: keep the malt out, stir and cool on; hotter kills its enzymes",
            "Stiff as porridge: stir in a handful or two of the malt and wait; that soon thins it",
            lumps,
            nonsense,
        )
    return (
        lumps,
        "Lands too hot: lid off and stir, read three places, enter them and take a remedy without delay",
        f"Lands too cold: wait five minutes, stir, read three places; only then {_warmth(schedule)}",
        nonsense,
    )


def _warmth(schedule: Schedule) -> str:
    """What a mash that is too cold is warmed with here, as something to do."""
    if schedule.spare is not None:
        return "add from the spare kettle by portions"
    if schedule.pot.heater_kilowatts is not None:
        return f"{bag_first(schedule)}put low heat on, stirring all the time"
    return "add boiling water by portions"


def _rest(schedule: Schedule, units: Units) -> tuple[str, ...]:
    apart = show(PLACES_KELVIN, "temperature difference", units, 0)
    found = [
        "Cools fast: put the lid on properly and, where no flame burns, a blanket round the pot",
        f"Places are over {apart} apart: stir up from the bottom, read three places, enter them all",
    ]
    if schedule.pot.heater_kilowatts is not None:
        found.append("Climbs by itself: heat off and stir; a hot bottom goes on giving heat for minutes")
        found.append(MASH_WITHOUT_HEAT)
    return tuple(found)


def _cook() -> tuple[str, ...]:
    return (
        "Smells burnt: heat off, do not scrape the bottom; gloves on, ladle the rest into another pot",
        "Throws blobs or climbs to the rim: heat down, step back, stir with the long paddle, gloves on",
        "Sets like cement: heat down, stir in hot water by portions, and say how much was added",
        "Power or gas gone: shut it off, lid on; stir it up again after and give it the full time",
    )


def _raise(schedule: Schedule, number: int) -> tuple[str, ...]:
    way = pot.way_of(schedule, number)
    if way == "fire":
        return (
            BURNT,
            "Overshot: heat off, lid off and stir; read again before any water goes in",
            MASH_WITHOUT_HEAT,
        )
    if way == "decoction":
        return (
            "Boiled part burns on: heat down and stir, thin it with a ladle of the mash liquid",
            "Falls short: draw off a second part and boil it, or pour in boiling water by portions",
            "Lands too high before all is back: let the rest of the boiled part cool, then stir it in",
        )
    return (
        "Falls short: stir, read three places, then pour in more boiling water by portions",
        "Pot nearly full: stop pouring and leave it there; a little short does small harm",
        OVERSHOT,
    )


def _starch_check(schedule: Schedule) -> tuple[str, ...]:
    found = (
        "Drop turns dark: stir, break every lump, read three places, and check again when it is asked",
        "Only specks are dark: leave them be, husk and flour stay so; test clear liquid without any",
        "No colour at all: let the drop cool first; hot starch shows nothing",
    )
    if pot.uncooked(schedule):
        return (*found, "Raw grain is in uncooked: do not wait for it; only boiling opens it, time does not")
    return (
        *found,
        "Dark for the third time: go on unless the screen says else; it costs some yield and does no harm",
    )


def _separate(step: Separate) -> tuple[str, ...]:
    heavy = "Bag is too heavy: ladle wet grain out of it first, then a hook or a second pair of hands"
    undrained = "Bag will not drain: lift it and twist it, then loosen the grain inside with the paddle"
    match step.by:
        case "squeezed bag":
            return (
                undrained,
                heavy,
                "Too hot to squeeze: press it with a pot lid, or let it hang a while; no bare hands",
            )
        case "hung bag":
            return (
                undrained,
                heavy,
                "Drips for ever: turn the grain over inside once, then leave the last of it where it is",
            )
        case "drained":
            return (
                STUCK,
                CLOUDY,
                "Stuck again: thin the bed with hot water by portions, stir, wait, open a little",
            )
        case "batch sparge":
            return (STUCK, CLOUDY, "Sparge does not fit: give it in two goes and drain in between")
        case "on the grain":
            return (
                "Too thick for a sample: press a ladle into it and sieve what runs in, then let it cool",
                "Pot is too heavy: ladle it over bit by bit, or cool it where it stands; never lift it alone",
            )


def _gravity_looks_wrong(schedule: Schedule, units: Units) -> str:
    calibrated = show(schedule.hydrometer.calibrated_celsius, "temperature", units)
    return f"Gravity looks wrong: stir, cool a fresh sample to about {calibrated}, and read again"


def _boil() -> tuple[str, ...]:
    return (
        "Foam climbs: heat down, stir it in, step back; never lean over the pot",
        "Boils over: shut heat and gas off, step back until it sinks; wipe up once it is cold",
        "Will not come to the boil: lay the lid half on until it does, then take it off again",
        "Power or gas gone: shut it off, lid on, say hold; boil it up again after and finish its time",
    )


def _cool(schedule: Schedule, number: int, step: Cool, units: Units) -> tuple[str, ...]:
    if any(isinstance(later, DoughIn) for later in schedule.steps[number:]):
        last = "Cooled too far: put low heat on, stirring down to the bottom all the time; it burns on easily"
    else:
        last = NOT_TODAY
    return (*_way_of_cooling(schedule, step, units), last)


def _way_of_cooling(schedule: Schedule, step: Cool, units: Units) -> tuple[str, ...]:
    match step.by:
        case "coil":
            tap = show(schedule.place.tap_celsius, "temperature", units)
            return (
                "Slow: stir along the coil all the time, and see that no hose is kinked",
                f"Tap runs warmer than {tap}: expect it to take longer, and finish in ice water",
                "Coil or hose drips into the pot: shut the water, lift the coil out, finish in ice water",
            )
        case "ice bath":
            return (
                "Slow: stir inside and outside, change the water once it is warm, then more ice",
                "Pot floats or tips: let water out of the tub until it stands firm",
            )
        case "cold water":
            return (
                "Still too warm: stir to the bottom, read three places, then more cold water by portions",
                "Pot nearly full: stop pouring and stand the pot in cold water for the rest",
                "Goes stiff: stir without a break, and loosen it with cold water by portions",
            )
        case "ice":
            return (
                "Ice does not do: stir in more by the handful, and count it as water that went in",
                "Ice is not clean: keep it out of the pot, and stand the pot in it instead",
            )
        case "standing":
            return ("Too slow: stand the pot in cold water with the lid on, and change the water",)


def _add(step: Add, units: Units) -> tuple[str, ...]:
    found = []
    if step.below_celsius is not None:
        below = show(step.below_celsius, "temperature", units)
        found.append(f"Still over {below}: keep it back, stir and let it cool; heat would spoil it")
    if step.above_celsius is not None:
        above = show(step.above_celsius, "temperature", units)
        found.append(f"Not yet over {above}: keep it back and warm the pot first, stirring")
    return (
        *found,
        "Clumps on top: stir it smooth in a cup of water first, then pour that in",
        "Too little of it, or none: put in what there is, write a note of it, and go on",
    )


def _pitch(units: Units) -> tuple[str, ...]:
    dies = show(YEAST_DIES_CELSIUS, "temperature", units, 0)
    return (
        f"Too hot for the yeast: cool it further; at {dies} it dies, and its packet has the last word",
        "Gravity too low: stir, cool a fresh sample, read again; then leave it, a weak wash ferments as well",
        "Gravity too high: stir, read again, then thin it with clean cold water by portions",
        "No yeast, or dead: cover the wash, never seal it, and have fresh yeast in it by tomorrow",
    )


def _clean_up() -> tuple[str, ...]:
    return (
        "Burnt on: soak it overnight in hot water and cleaner rather than scratch it",
        "Cleaner in an eye: rinse under running water at once and for long, and call for medical help",
        "Sharp smell from the cleaners: go outside and let it air; chlorine and acid have met",
    )
