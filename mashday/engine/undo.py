"""Taking back the last thing entered: which entries that is, and what to call it."""

from __future__ import annotations

from mashday.engine import facts as f
from mashday.engine.state import State

NAMES: dict[type[f.Fact], str] = {
    f.ReadingTaken: "reading",
    f.SampleTemperatureGiven: "sample temperature",
    f.ReadingCorrected: "correction",
    f.ReadingVoided: "void",
    f.WaterAdded: "water added",
    f.AmountGiven: "amount",
    f.RemedyTaken: "remedy taken",
    f.RemedyLeft: "remedy left",
    f.ItemTicked: "checklist item",
    f.NoteWritten: "note",
    f.StepExtended: "change of time",
    f.StepEnded: "step ended",
    f.ClockStarted: "clock started",
    f.Held: "hold",
    f.Resumed: "resume",
}


OPENS_THE_WAY = (
    *(f.StepEnded, f.StepExtended, f.RemedyTaken, f.RemedyLeft, f.Resumed),
    *(f.ReadingTaken, f.WaterAdded),
)
"""What a step may wait for before it goes on by itself: without it, the moves that followed had not come, and
what it puts back belongs to the step they left."""


def _by_itself(fact: f.Fact) -> bool:
    return (isinstance(fact, f.StepEnded) and fact.how == "by itself") or (
        isinstance(fact, f.StepBegun) and fact.by_itself
    )


def last_act(state: State) -> tuple[f.Entry, ...] | None:
    """The entries of the last thing the person entered, with the moves that followed from it by themselves.

    None if nothing is left that can be taken back.
    """
    struck = {
        number for entry in state.log if isinstance(entry.fact, f.Undone) for number in entry.fact.entries
    }
    moved: list[f.Entry] = []
    for entry in reversed(state.log):
        if entry.seq in struck:
            continue
        if _by_itself(entry.fact):
            moved.insert(0, entry)
        elif type(entry.fact) in NAMES:
            act = tuple(e for e in state.log if e.act == entry.act)
            if any(isinstance(e.fact, OPENS_THE_WAY) for e in act):
                return (*act, *moved)
            return act
    return None


def described(entries: tuple[f.Entry, ...]) -> str:
    """What was taken back, in words."""
    for entry in entries:
        fact = entry.fact
        if isinstance(fact, f.ReadingTaken):
            return f"{NAMES[f.ReadingTaken]} {entry.seq}, {_read(fact)}"
        if isinstance(fact, f.SampleTemperatureGiven | f.WaterAdded | f.AmountGiven):
            return f"{NAMES[type(fact)]} {fact.typed}"
        if isinstance(fact, f.ItemTicked):
            return f"{NAMES[type(fact)]} {fact.item}"
        if isinstance(fact, f.NoteWritten):
            return f"note: {fact.text}"
        if isinstance(fact, f.StepEnded):
            return f"end of step {fact.step}"
        if type(fact) in NAMES:
            return NAMES[type(fact)]
    return "nothing"


def _read(fact: f.ReadingTaken) -> str:
    """What was read, as it was typed, with its unit: "80.0 C", "17.25 L", "1.055", "starch pass"."""
    if fact.assumed or fact.quantity == "starch":
        return fact.typed
    if fact.unit in ("SG", "pH"):
        return f"{fact.value:.3f}" if fact.unit == "SG" else f"pH {fact.value:.2f}"
    places = 2 if fact.quantity == "volume" else 1
    return f"{fact.value:.{places}f} {fact.unit}"
