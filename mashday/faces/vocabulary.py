"""The words of the line mode: one table is the truth about them; help and the README follow from it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Word:
    """One line word: how it is written, what it does."""

    written: str
    does: str


WORDS: dict[str, Word] = {
    "start": Word("start", "begin the day"),
    "done": Word("done", "this step is done, on to the next"),
    "more": Word("more 10", "ten minutes more for this step (more -5: fewer)"),
    "hold": Word("hold", "hold the day: the clocks of the steps stand"),
    "resume": Word("resume", "go on after a hold"),
    "skip": Word("skip", "leave this step out"),
    "undo": Word("undo", "take back the last thing entered"),
    "temp": Word("temp 63.5", "a temperature; several (temp 63.5 64.1 62.8) are places, their mean counts"),
    "gravity": Word("gravity 1.052 at 24 C", "a gravity and the temperature of its sample; 12.5 P will do"),
    "sample": Word("sample 22 C", "the temperature of the sample a gravity was read in"),
    "volume": Word("volume 17 L", "a volume"),
    "ph": Word("ph 5.4", "a pH, read on a cooled sample"),
    "probe": Word("probe", "take what the probe shows (probe off, probe on: whether it is taken by itself)"),
    "starch": Word("starch pass", "the starch check: starch pass or 1, starch fail or 2"),
    "added": Word("added 1.2 L at 95 C", "water that went in (at tap, at boiling)"),
    "weighed": Word("weighed 4.8 kg", "another weight of grain than planned (weighed 4.8 kg of NAME)"),
    "grain": Word("grain at 24 C", "how warm the grain is, before it goes in"),
    "measured": Word("measured 14 L", "another amount of water than planned"),
    "unknown": Word("unknown", "you cannot say: it is assumed aloud and marked"),
    "tick": Word("tick", "the next item of the checklist; tick 65.4 gives its value"),
    "take": Word("take 1", "take this way of the remedy"),
    "leave": Word("leave", "leave the reading as it is"),
    "keep it": Word("keep it", "what was doubted is right"),
    "wrong": Word("wrong", "what was doubted is wrong, forget it"),
    "correct": Word("correct 12 65.4", "reading 12 should have been 65.4"),
    "void": Word("void 12", "reading 12 counts for nothing"),
    "note": Word("note lid left off", "a note in your own words"),
    "went-wrong": Word("went-wrong TEXT", "once the day is over: what went wrong"),
    "mended": Word("mended TEXT", "once the day is over: how it was mended"),
    "change": Word("change TEXT", "once the day is over: what to change next time"),
    "ok": Word("ok", "acknowledge what calls"),
    "heat": Word("heat off", "the heat of a remedy is off, which is called for until it is said"),
    "snooze": Word("snooze 2", "quiet for 1, 2 or 5 minutes"),
    "mute": Word("mute", "all quiet for two minutes; a new call breaks through"),
    "units": Word("units", "the other units (units us, units metric)"),
    "left": Word("left", "what time is left"),
    "again": Word("again", "say the instruction again"),
    "why": Word("why", "the working behind the number"),
    "trouble": Word("trouble", "what to do when this step goes wrong"),
    "explain": Word("explain sparge", "a word of the trade in plain language; alone: those of this step"),
    "heard": Word("heard yes", "the answer whether the signal was heard (heard no: what to check)"),
    "sheet": Word("sheet FOLDER", "write the day's plan to a file, to print before the fire is lit"),
    "steps": Word("steps", "the steps with their clock times"),
    "log": Word("log", "the readings so far, with their numbers"),
    "help": Word("help", "these words"),
    "wait": Word("wait 15 min", "in a rehearsal: move the clock on"),
    "save": Word("save", "keep the whole day elsewhere, when NOT SAVED or damaged (save FOLDER: there)"),
    "quit": Word("quit", "leave; the day stays open"),
    "finish": Word("finish", "end the day here, in order"),
    "abort": Word("abort", "give the day up"),
}

COMMANDS = frozenset(
    {
        *("left", "again", "why", "trouble", "explain", "heard", "probe", "sheet"),
        *("steps", "log", "help", "wait", "save", "quit"),
    }
)
MOVE_OF: dict[str, str] = {
    **{
        word: word for word in ("start", "done", "more", "hold", "resume", "skip", "undo", "added", "unknown")
    },
    **{word: word for word in ("tick", "take", "leave", "correct", "void", "note", "ok", "snooze", "mute")},
    "heat": "ok",
    **dict.fromkeys(("went-wrong", "mended", "change"), "closing"),
    **{word: word for word in ("units", "finish", "abort")},
    **dict.fromkeys(("temp", "gravity", "sample", "volume", "ph", "starch"), "reading"),
    **dict.fromkeys(("weighed", "measured", "grain"), "amount"),
}
"""The move of the day that each word makes; a word that is not here makes none."""

ALIASES = {
    "temperature": "temp",
    "vol": "volume",
    "sg": "gravity",
    "begin": "start",
    "next": "done",
    "acknowledge": "ok",
    "keep": "keep it",
    "yes": "keep it",
    "no": "wrong",
    "exit": "quit",
    "okay": "ok",
    "repeat": "again",
    "time": "left",
    "way": "take",
}


def usable(moves: frozenset[str], *, doubted: bool, rehearsed: bool) -> tuple[str, ...]:
    """The words that would do something while these moves are allowed, in the order of the table."""
    of_the_face = COMMANDS if rehearsed else COMMANDS - {"wait"}
    doubts = {"keep it", "wrong"} if doubted else set()
    return tuple(word for word in WORDS if word in of_the_face | doubts or MOVE_OF.get(word) in moves)
