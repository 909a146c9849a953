"""A day under hands that know no schedule: whatever is asked of a session, it is answered, told and shown."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

from fuzz import Area, Outcome, shown
from fuzz_texts import hostile_text

from mashday.engine import facts as f
from mashday.engine import intents
from mashday.engine.fold import replay
from mashday.engine.sound import believed
from mashday.faces import telling
from mashday.faces.entries import entry_lines
from mashday.faces.tui.paint import Shown, paint
from mashday.faces.tui.rows import text_of
from mashday.schedule.samples import sample_names, sample_text
from mashday.session.clock import VirtualClock
from mashday.session.session import Outcome as Came
from mashday.session.session import Session, begin

MANY_KINDS = 10
"""Kinds of entries from which a day is thought to have been through something."""
SIZES = ((80, 24), (120, 40), (60, 20), (20, 5), (200, 60), (33, 9), (1, 1))
TEMPERATURES = (
    -5.0,
    0.0,
    0.1,
    12.0,
    20.0,
    24.0,
    58.0,
    61.2,
    62.9,
    63.0,
    64.0,
    66.5,
    72.0,
    78.0,
    99.0,
    100.0,
    101.9,
)
GRAVITIES = (0.98, 0.999, 1.0, 1.01, 1.052, 1.06, 1.075, 1.11, 1.19, 1.3)
LITRES = (0.0, 0.001, 0.5, 1.2, 5.0, 14.0, 17.0, 30.0, 999.0, 1e6)
AMOUNTS: tuple[f.Amount, ...] = (
    *("grain", "grain", "water", "grain temperature", "grain in the pot", "water in the pot"),
    "minutes mashed",
)
GRAINS = ("pale barley malt", "distiller's malt", "rye malt", "flaked maize", "nobody's grain", "x\x1b[2J")
WAITS = (0.0, 1.0, 20.0, 60.0, 300.0, 900.0, 3600.0, 9000.0, 40000.0)


def next_things() -> tuple[intents.Intent, ...]:
    """What brings a day on, whatever stands in the way."""
    return (
        intents.Start(),
        intents.AnswerUnknown(),
        intents.LeaveIt(),
        intents.Acknowledge(),
        intents.Done(sure=True),
    )


def anything(chance: Random) -> intents.Intent:
    """Any intent there is, with values that may be and values that cannot."""
    celsius = chance.choice(TEMPERATURES) + chance.choice((0.0, 0.0, chance.uniform(-3.0, 3.0)))
    litres = chance.choice(LITRES)
    number = chance.choice((1, 2, 3, 5, 8, 13, 21, 34, 0, -1))
    sure = chance.random() < 0.7
    match chance.randint(0, 13):
        case 0 | 1 | 2 | 3:
            spots = (celsius, celsius + 1.0) if chance.random() < 0.1 else ()
            return intents.TakeReading(
                "temperature", celsius, "C", f"{celsius:.1f}", celsius, spots=spots, sure=sure
            )
        case 4:
            gravity = chance.choice(GRAVITIES)
            sample = chance.choice((None, 20.0, celsius))
            return intents.TakeReading("gravity", gravity, "SG", f"{gravity}", gravity, sample, sure=sure)
        case 5:
            return intents.TakeReading("volume", litres, "L", f"{litres} L", litres, sure=sure)
        case 6:
            gone = chance.random() < 0.5
            return intents.TakeReading("starch", float(gone), "", "starch", float(gone), passed=gone)
        case 7:
            return intents.AddWater(litres, f"{litres} L", chance.choice((None, celsius)), sure=sure)
        case 8:
            what = chance.choice(AMOUNTS)
            name = chance.choice(GRAINS) if chance.random() < 0.3 else None
            return intents.GiveAmount(what, litres, f"{litres}", name, sure=sure)
        case 9:
            return chance.choice(
                (intents.TakeRemedy(number % 5, sure=sure), intents.TakeRemedy(1, sure=True))
            )
        case 10:
            return chance.choice(
                (
                    intents.Correct(number, celsius, "C", f"{celsius}", celsius, sure=sure),
                    intents.Void(number),
                    intents.Undo(),
                    intents.Undo(),
                )
            )
        case 11:
            return intents.WriteNote(hostile_text(chance))
        case 12:
            return chance.choice(
                (
                    intents.TickItem(None, hostile_text(chance), sure=sure),
                    intents.TickItem(number, None, sure=sure),
                    intents.Extend(chance.choice((10.0, -5.0, 1.0, 600.0))),
                    intents.Snooze(chance.choice((1, 2, 5))),
                    intents.Mute(),
                )
            )
        case _:
            return chance.choice(
                (
                    intents.Hold(),
                    intents.Resume(),
                    intents.ChooseUnits("us"),
                    intents.ChooseUnits("metric"),
                    intents.Skip(sure=True),
                    intents.KeepIt(),
                    intents.Wrong(),
                    intents.Finish(sure=chance.random() < 0.05),
                    intents.Abort(sure=chance.random() < 0.05),
                )
            )


def lived(session: Session, clock: VirtualClock, chance: Random, times: int) -> None:
    """So many things asked of the day, the next thing and any thing by turns; what comes of each is told."""
    for turn in range(times):
        clock.advance(chance.choice(WAITS))
        told_of(session, session.tick())
        if chance.random() < 0.5:
            for intent in next_things():
                told_of(session, session.send(intent))
        else:
            told_of(session, session.send(anything(chance)))
        if turn % 5 == 0:
            seen(session, chance)
    seen(session, chance)
    assert replay(session.state.log) == session.state
    held_sound(session)


def held_sound(session: Session) -> None:
    """AssertionError if an entry that was made would not be believed when its file is read again."""
    state, why = believed(session.schedule, session.state.log)
    assert why is None, f"{session.state.log[state.seq].fact}: {why}"
    assert state == session.state


def told_of(session: Session, outcome: Came) -> None:
    """What is told of what came of an intent."""
    for entry in outcome.entries:
        shown(*entry_lines(entry, session.state, session.schedule))
    shown(telling.carried_through(session, outcome))
    for words in (outcome.refused, outcome.doubt):
        assert words is None or words.strip()
        shown(words or "")


def seen(session: Session, chance: Random) -> None:
    """The moment as it is shown, on a screen of any size."""
    view = telling.view_of(session)
    shown(*view_texts(view))
    width, height = chance.choice(SIZES)
    rows = paint(Shown(view=view), width, height)
    assert len(rows) == height
    shown(text_of(rows))


def view_texts(view: object) -> Iterator[str]:
    """Every text in a view."""
    for name in type(view).__dataclass_fields__:  # type: ignore[attr-defined]
        yield from _texts(getattr(view, name))


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple | list | frozenset):
        for one in value:
            yield from _texts(one)
    elif hasattr(type(value), "__dataclass_fields__"):
        yield from view_texts(value)


# Days of the samples


def day(chance: Random) -> tuple[str, int, int]:
    """A sample, the step it is begun at (mostly the first), and the seed of what is asked of its day."""
    first = chance.choice((1, 1, 2, 3, 4, 5, 6, 8, 99))
    return chance.choice(sample_names()), first, chance.randrange(2**32)


def met(found: tuple[str, int, int], folder: Path) -> Outcome:
    """A day begun, and so many things asked of it."""
    name, first, seed = found
    clock = VirtualClock()
    session = begin(sample_text(name), clock, folder=None)
    told_of(session, session.send(intents.Start(first)))
    lived(session, clock, Random(seed), 25)
    shown(*telling.summary(session), *telling.log(session))
    kinds = {type(entry.fact) for entry in session.state.log}
    return "many kinds of entries" if len(kinds) >= MANY_KINDS else "few kinds of entries"


AREAS = (Area("days", day, met, frozenset({"many kinds of entries"}), 0.4),)
