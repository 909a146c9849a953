"""The one thing to do now, verb first, with its amount in the person's units and containers."""

from __future__ import annotations

import math

from mashday.engine import asks, calls, extract, instruments, landing, pace, pouring, ways
from mashday.engine import contents as pot
from mashday.engine import facts as f
from mashday.engine.decide import OLD_OFFER_MINUTES
from mashday.engine.moves import unticked
from mashday.engine.state import StepRecord
from mashday.faces import guide, overshot, probed, questions, starch_checked, strength
from mashday.faces.moment import Moment, minutes
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
    Separate,
    SetUp,
    StarchCheck,
)
from mashday.science import yeast

HELD_MASH = "The mash goes on cooling and converting meanwhile"
HELD_FIRE = "The fire does not stop by itself: turn it down, or off"
HELD = {
    "heat": HELD_FIRE,
    "cook": HELD_FIRE,
    "boil": HELD_FIRE,
    "raise": "Heat off; the mash goes on converting meanwhile",
    "mash-out": "Heat off; the mash stays hot meanwhile",
    "dough-in": HELD_MASH,
    "rest": HELD_MASH,
    "starch-check": HELD_MASH,
    "separate": "What runs off goes on running: see that nothing runs over",
    "cool": "It goes on cooling; keep it covered",
}
"""What goes on in the pot while the clocks stand, by the kind of the step under way."""

GO_ON = "go on to the next step"
STEP_OVER = {
    "rest": "The rest is over",
    "cook": "The cook is over: heat off",
    "boil": "The boil is over: heat off",
}


def instruction(now: Moment) -> str:
    """The one thing to do at this moment."""
    schedule, state = now.schedule, now.state
    if state.phase == "idle":
        return f"Start the day when you are ready: {schedule.name}"
    if state.phase == "held":
        return f"Held. {held(now)}; resume when you are back"
    if state.phase == "complete":
        return "The day is over; the summary follows"
    if state.phase == "aborted":
        return "Given up. See that the heat is off and nothing hot is left where it can be knocked over"
    offer = state.offer
    if offer is not None and offer.is_open:
        read, old = now.celsius(offer.options[0].read_celsius), (now.t - offer.t) / 60.0
        if old >= OLD_OFFER_MINUTES:
            return f"Stir and read again: the {read} are {minutes(old)} old"
        return f"Choose a remedy for {read}, or leave it"
    standing = asks.asks(schedule, state)
    if standing and (standing[0].quantity == "added water" or standing[0].due <= state.running(now.t)):
        return _asked(now, standing[0])
    record = state.current
    if record is None:
        return "Nothing to do"
    if state.untold is None:
        change = guide.instruction(now) or _after_pouring(now)
        if change:
            return change
    left = calls.remaining_seconds(schedule, state, now.t)
    if left is not None and left <= 0.0 and schedule.confirms(record.number):
        return f"{STEP_OVER[schedule.step(record.number).kind]}; {GO_ON}"
    coasting = probed.coasting(now, record.number)
    return coasting or _done_with(now, record.number) or step_instruction(now, record.number)


def _done_with(now: Moment, number: int) -> str:
    """That nothing is left to do in a step that lays out, heats or cleans; "" while something is."""
    schedule, state = now.schedule, now.state
    step = schedule.step(number)
    if unticked(schedule, state) or asks.asks(schedule, state):
        return ""
    if isinstance(step, SetUp) and step.checklist:
        return "Go on to the next step: everything is laid out"
    if isinstance(step, CleanUp) and step.checklist:
        return "Go on to end the day: everything is clean"
    if isinstance(step, Heat | Raise | MashOut) and asks.reached(schedule, state, number):
        taken = state.valid("temperature", number)
        there = f"it is at {now.celsius(taken[-1].metric)}" if taken else "it is hot enough"
        return f"Heat off: {there}; {GO_ON}"
    return ""


def held(now: Moment) -> str:
    """What goes on by itself while the day is held."""
    number = now.state.step
    kind = now.schedule.step(number).kind if number else ""
    if any(
        call.way == "fire" and not call.acknowledged for call in calls.calls(now.schedule, now.state, now.t)
    ):
        return "Heat off now: the fire of the remedy is still on"
    return HELD.get(kind, "Nothing goes on by itself in this step")


def _after_pouring(now: Moment) -> str:
    """What to do between water of the step's own and the reading that shows what it did."""
    state, number = now.state, now.state.step
    taken = state.valid("temperature", number)
    read = taken[-1].run if taken else -math.inf
    poured = (a for a in state.additions if a.fact.step == number and a.fact.litres > 0.0)
    if any(addition.run >= read for addition in poured):
        return "Stir well; the next reading shows what the water did"
    return ""


def _asked(now: Moment, ask: asks.Ask) -> str:
    if ask.quantity != "added water":
        return questions.sentence(ask)
    stage = guide.instruction(now)
    if stage:
        return stage
    planned = pouring.water_to_pour(now.schedule, now.state, now.t)
    if planned is None:
        return questions.sentence(ask)
    litres, celsius = planned
    mixed = pot.pours_mash_water(now.schedule, now.state.step) and celsius > now.schedule.place.tap_celsius
    at = f"{now.celsius(celsius)}{', hot and cold mixed' if mixed else ''}"
    return f"Pour in {now.measured(litres)} at {at}, stir, then say how much went in"


def _to_be_read(now: Moment, celsius: float) -> str:
    """A temperature to be come to by the thermometer, with what that shows there where it is off; a probe has
    its own offset."""
    read = [one.fact for one in now.state.valid("temperature") if not one.fact.assumed]
    by_probe = read[-1].source == f.PROBE if read else now.schedule.probe is not None
    shown = instruments.thermometer(now.schedule, now.state).shown_celsius(celsius)
    if by_probe or abs(shown - celsius) < instruments.LEAST_OFF_KELVIN:
        return now.celsius(celsius)
    return f"{now.celsius(celsius)} (your thermometer then shows {now.celsius(shown)})"


def step_instruction(now: Moment, number: int) -> str:
    """What step `number` asks for, whatever the moment."""
    schedule, state = now.schedule, now.state
    step = schedule.step(number)
    target = landing.target_celsius(schedule, state, number)
    to = now.celsius(target) if target is not None else ""
    read_to = _to_be_read(now, target) if target is not None else ""
    match step:
        case SetUp():
            return "Lay everything out and go through the list"
        case Heat():
            more = sum(a.fact.litres for a in state.additions if a.fact.step == number)
            litres = now.litres(pot.water_litres(schedule, state, number) + more)
            where = "" if pot.heats_in_pot(schedule, number) else " beside the mash"
            return f"Heat {litres} of water to {read_to}{where}" if to else f"Heat {litres} of water{where}"
        case DoughIn():
            grains = pot.grain_in(schedule, state, number)
            mass = now.kilograms(sum(kg for _, kg in grains))
            what = "malt" if len(grains) != 1 else grains[0][0].name
            landed = landing.dough_in_lands_at(schedule, state, number)
            where = to if landed is None else now.celsius(landed)
            return f"Stir in {mass} of {what} in portions, no dry lumps; it should land at {where}"
        case Rest():
            if any(ask.why == asks.STILL_SETTLING for ask in asks.asks(schedule, state)):
                return "Leave it alone, lid on: the grain still takes up water; read again soon"
            return f"Rest at {to}: lid on, leave it alone"
        case Cook():
            return _cook(now, number, step, read_to)
        case Raise() | MashOut():
            return _raise(now, number, to, read_to)
        case StarchCheck():
            return _starch(now)
        case Separate():
            return _separate(now, number, step)
        case Boil():
            record = state.record(number)
            if record is None or record.clock_run is None:
                return "Bring it to the boil and say so when it boils"
            return "Keep it boiling, lid off"
        case Cool():
            return _cool(now, number, step, to, read_to)
        case Add():
            return _add(now, step)
        case Pitch():
            taken = state.valid("temperature", number)
            if taken and taken[-1].metric > yeast.HOTTEST_PITCH_CELSIUS:
                read, good = now.celsius(taken[-1].metric), _to_be_read(now, yeast.GOOD_PITCH_CELSIUS)
                return f"Keep the yeast out: {read} kills it; cool below {good}, then read again"
            return f"Pitch {step.amount + ' of ' if step.amount else ''}{step.yeast}"
        case CleanUp():
            return "Clean up while it is still wet; go through the list"
        case Do():
            return step.text


def _cook(now: Moment, number: int, step: Cook, read_to: str) -> str:
    record = now.state.record(number)
    if record is not None and record.clock_run is not None:
        return f"Cook at {read_to}: stir down to the bottom"
    grains = pot.grain_in(now.schedule, now.state, number)
    names = ", ".join(grain.name for grain, _ in grains)
    litres = pot.water_litres(now.schedule, now.state, number)
    water = f"{now.litres(litres)} of water with " if litres else ""
    mass = f"{now.kilograms(sum(kg for _, kg in grains))} of {names}" if grains else "it"
    return f"Bring {water}{mass} to {read_to}, stirring; the time runs from there"


def _raise(now: Moment, number: int, to: str, read_to: str) -> str:
    way = pot.way_of(now.schedule, number)
    if way == "hot water":
        planned = pouring.water_to_pour(now.schedule, now.state, now.t)
        amount = f" with {now.measured(planned[0])} at {now.celsius(planned[1])}" if planned else ""
        return f"Raise the mash to {to}{amount}, stirring"
    if way == "decoction":
        return f"Raise the mash to {read_to}: draw off thick mash, boil it, stir it back in"
    return f"Raise the mash to {read_to} over the heat, stirring; heat off a degree early"


def _starch(now: Moment) -> str:
    checks = now.state.valid("starch", now.state.step)
    if not checks:
        return "Check for starch: a cooled drop, a drop of iodine"
    if checks[-1].fact.passed:
        return "The starch is gone; go on to the next step"
    return f"Still starch: {starch_checked.likeliest(now)}"


def _separate(now: Moment, number: int, step: Separate) -> str:
    if step.by == "on the grain":
        return "Leave it on the grain; take a sample of the liquid"
    ways = {
        "squeezed bag": "Lift the bag out, let it drain and squeeze it",
        "hung bag": "Lift the bag out and hang it over the pot to drain",
        "drained": "Drain the wort off the grain, slowly at first",
        "batch sparge": "Drain the wort off, then stir in the sparge water and drain again",
    }
    text = ways[step.by]
    if step.sparge_litres > 0.0:
        now_litres = extract.sparge_litres(now.schedule, now.state)
        text += f"; sparge with {now.measured(now_litres)}"
        if step.sparge_celsius is not None:
            text += f" at {_to_be_read(now, step.sparge_celsius)}"
        if now_litres < step.sparge_litres - 0.05:
            text += f" (of {now.litres(step.sparge_litres)} planned; the rest went into the mash)"
    return text


def _cool(now: Moment, number: int, step: Cool, to: str, read_to: str) -> str:
    if step.by == "cold water":
        planned = pouring.water_to_pour(now.schedule, now.state, now.t)
        rest = pot.rest_to_pour_kg(now.schedule, now.state, number)
        if not rest and asks.reached(now.schedule, now.state, number):
            return "Cool enough; go on to the next step"
        if planned is not None and planned[1] > now.schedule.place.tap_celsius:
            amount, warm = now.measured(planned[0]), now.celsius(planned[1])
            return f"Pour in {amount} of water at {warm}, hot and cold mixed, stirring"
        amount = f"{now.measured(planned[0])} of cold water" if planned else "cold water"
        return f"Cool to {to}: pour in {amount}, stirring"
    ways = {
        "coil": "run the coil and stir",
        "ice bath": "stand it in ice water and stir",
        "ice": "stir in clean ice by the handful",
        "standing": "let it stand, lid on",
    }
    if asks.reached(now.schedule, now.state, number):
        return "Cool enough; go on to the next step"
    if pace.stands_still(now.schedule, now.state, number):
        coldest = now.celsius(now.state.valid("temperature", number)[-1].metric)
        return f"Take colder water or ice, or go on: {coldest} is as cold as it gets this way, not {to}"
    return f"Cool to {read_to}: {ways[step.by]}"


def _add(now: Moment, step: Add) -> str:
    amount = f"{step.amount} of " if step.amount else ""
    text = f"Add {amount}{step.what}"
    if step.below_celsius is not None:
        text += f", only below {now.celsius(step.below_celsius)}"
    if step.above_celsius is not None:
        text += f", only above {now.celsius(step.above_celsius)}"
    return text


def details(now: Moment) -> tuple[str, ...]:
    """Lines that help with the instruction: what the ask is for, what a reading in the heat would mean."""
    schedule, state = now.schedule, now.state
    found = []
    due = asks.due(schedule, state, now.t) if state.phase == "running" else ()
    if due:
        found.append(f"Why: {due[0].why}")
    record = state.current
    if record is not None and isinstance(schedule.step(record.number), Heat | Cool):
        found += _would_land(now, record)
        found += _grain_reckoned(now, record)
    if record is not None:
        found += _time_to_go(now, record.number)
    if record is not None and isinstance(schedule.step(record.number), StarchCheck):
        found += starch_checked.hints(now)
    if record is not None:
        found += overshot.lines(now)
        found += strength.lines(now)
    if record is not None and isinstance(schedule.step(record.number), Rest):
        spare = ways.spare_litres(schedule, state)
        if spare is not None:
            found.append(f"Spare kettle: {now.litres(spare)} of hot water left")
    return tuple(found)


def _would_land(now: Moment, record: StepRecord) -> list[str]:
    """Where the mash would land if the grain went in at the last reading; a warning while that is too hot."""
    plan = landing.strike(now.schedule, now.state, record.number)
    taken = now.state.valid("temperature", record.number)
    if plan is None or not taken or taken[-1].t < record.began or taken[-1].fact.assumed:
        return []
    read = taken[-1].metric
    lands = landing.lands_at(plan, read)
    told = f"At {now.celsius(read)} the mash would land at about {now.celsius(lands)}"
    cooling = isinstance(now.schedule.step(record.number), Cool)
    if cooling and lands > plan.lands_at_celsius + landing.band_kelvin(now.schedule, plan.dough_in):
        return [f"Not yet: {told[0].lower()}{told[1:]}; malt goes in at {_to_be_read(now, plan.celsius)}"]
    return [told]


def _grain_reckoned(now: Moment, record: StepRecord) -> list[str]:
    """How warm the grain is taken to be, as long as that can still be put right."""
    plan = landing.strike(now.schedule, now.state, record.number)
    if plan is None:
        return []
    grain = now.celsius(plan.balance["grain_celsius"])
    found = [f"Reckoned for grain at {grain}; if it is not, say: grain at ..."]
    known = now.state.known
    if known is not None and plan.learned_kelvin:
        times = "one day" if known.days == 1 else f"{known.days} days"
        side = "warmer" if plan.learned_kelvin > 0.0 else "cooler"
        found.append(
            f"By {times} this pot lands {now.apart(plan.learned_kelvin)} {side} than the sum: taken in"
        )
    return found


def _time_to_go(now: Moment, number: int) -> list[str]:
    """About how long a step that heats or cools still needs, by its readings or by the heater."""
    step = now.schedule.step(number)
    if not isinstance(step, Heat | Raise | MashOut | Cook | Cool) or asks.reached(
        now.schedule, now.state, number
    ):
        return []
    taken = now.state.valid("temperature", number)
    if taken:
        left = pace.minutes_left(now.schedule, now.state, number)
        if left is not None:
            left -= (now.state.running(now.t) - taken[-1].run) / 60.0
        by = "by the last reading"
    elif isinstance(step, Raise | MashOut) and pot.way_of(now.schedule, number) == "fire":
        start = landing.expected_celsius(now.schedule, now.state, now.t)
        target = landing.target_celsius(now.schedule, now.state, number)
        if start is None or target is None:
            return []
        left = landing.heating_minutes(now.schedule, now.state, number, start, target)
        by = "over this heat"
    else:
        return []
    if left is None or not 1.0 <= left < math.inf:
        return []
    return [f"About {minutes(left)} to go {by}"]
