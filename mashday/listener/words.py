"""The words of English that a listener knows: what they mean in the line mode, how a model is led to them.

Another language replaces this table. A phrase has two words or more, but for "wrong", which only ever drops a
value: a single yes, no, ok or done is cut too easily out of other talk. What leaves or ends the day, or
writes a file, is not said to a microphone.
"""

from __future__ import annotations

from collections.abc import Mapping

from mashday.channels.listener_lines import Asked
from mashday.faces.aloud import TENS, UP_TO_NINETEEN

LANGUAGE = "en"

ANSWERS_TO_A_DOUBT: Mapping[str, str] = {"keep it": "keep it", "wrong": "wrong", "that is wrong": "wrong"}
PHRASES: Mapping[str, str] = {
    **ANSWERS_TO_A_DOUBT,
    **dict.fromkeys(("next step", "step done", "step is done"), "done"),
    **dict.fromkeys(("item done", "next item"), "tick"),
    **dict.fromkeys(("as it should", "it shows what it should"), "tick as it should"),
    **dict.fromkeys(("say again", "say that again", "say it again"), "again"),
    **dict.fromkeys(("how long left", "how much longer", "what time is left"), "left"),
    **dict.fromkeys(("heat off", "heat is off", "the heat is off"), "heat off"),
    **dict.fromkeys(("take one", "way one", "weigh one", "wait one"), "take 1"),
    **dict.fromkeys(("take two", "way two", "weigh two", "wait two"), "take 2"),
    **dict.fromkeys(("take three", "way three", "weigh three", "wait three"), "take 3"),
    **dict.fromkeys(("take four", "way four", "weigh four", "wait four"), "take 4"),
    **dict.fromkeys(("leave it", "leave it as it is"), "leave"),
    **dict.fromkeys(("starch pass", "starch passed", "starch past"), "starch pass"),
    **dict.fromkeys(("starch fail", "starch failed"), "starch fail"),
    **dict.fromkeys(("i heard it", "yes i heard it", "i can hear it"), "heard yes"),
    **dict.fromkeys(("begin the day", "start the day"), "start"),
    **dict.fromkeys(("got it", "i have got it"), "ok"),
    **dict.fromkeys(("i don't know", "i do not know"), "unknown"),
    "hold the day": "hold",
    "resume the day": "resume",
    "undo that": "undo",
    **dict.fromkeys(("snooze one", "snooze one minute"), "snooze 1"),
    **dict.fromkeys(("snooze two", "snooze two minutes"), "snooze 2"),
    **dict.fromkeys(("snooze five", "snooze five minutes"), "snooze 5"),
    "five minutes more": "more 5",
    "ten minutes more": "more 10",
    "all quiet": "mute",
    "tell me why": "why",
    "take the probe": "probe",
}
"""Each phrase as it is written without stops, numbers as words, and its line. Some stand as they sound."""

NEAR_A_DOUBT = (
    *("skip it", "heat it", "eat it", "leave it", "take it", "get it", "key fit", "keep", "it"),
    *("long", "run", "strong", "what is wrong", "wrong one"),
)
"""What sounds like an answer to a doubt and is none: a recogniser that may choose one of these is not driven
to hear the answer."""

PROMPTS: Mapping[Asked, str] = {
    "temperature": "sixty four point five degrees. sixteen point two. seventy eight. ninety nine point one.",
    "gravity": "one oh six two. ten forty eight. one point zero five five. nine nine eight. eleven oh five.",
    "volume": "seventeen litres. twelve point five litres. one point two litres. four gallons.",
    "mass": "four point eight kilos. eleven pounds. five point two kilograms. three hundred grams.",
    "minutes": "ten minutes. twenty five minutes. forty minutes. an hour and a half.",
    "ph": "five point four. five point three five. five point six. four point eight.",
    "count": "one. two. three. take one. take two.",
    "keep": "Confirm it. Skip it. Heat it. Keep it. That is wrong. Eat it. Wrong. Leave it. Take it. Keep.",
    "words": "next stop. next step. step done. item done. as it should. say again. how long left. heat off."
    " take none. take one. way two. leave it. starch pass. starch fail. got it. I don't know. hold the day."
    " resume the day. undo that. snooze two. last stop. next time.",
}
"""What a model is shown as said before: words, so that it writes words. Only behind a detector of voices: led
by numbers, it finds some in mere noise. Beside a doubt what sounds alike stands among the answers: shown
these alone, it writes "keep it" for "heat it"."""

TOLD_APART: Mapping[str, tuple[str, ...]] = {
    "keep it": (
        *("skip it", "heat it", "eat it", "leave it", "take it", "repeat it", "delete it", "drop it"),
        *("kept it", "kick it", "keep", "keeper", "keeping", "keep in", "keep that", "keep this"),
        *("keep it hot", "keep it up", "keep it in", "keep it on", "wrong"),
    ),
}
"""An answer that lets a value count, with what it is mistaken for: where one of these fits the sound nearly
as well, the answer was not given."""

LEADS: Mapping[Asked, tuple[str, ...]] = {
    "temperature": ("temperature",),
    "gravity": ("gravity",),
    "volume": ("volume",),
    "ph": ("ph",),
}
"""The noun that may stand before a number of each kind."""

DIGITS: Mapping[str, str] = {
    **{word: str(number) for number, word in enumerate(UP_TO_NINETEEN)},
    **{word: str(10 * number) for number, word in enumerate(TENS) if number >= 2},
}
"""Number words as digits."""
NOUGHTS = ("oh", "o", "nought")
"""Other words for zero, among digits."""
SOUNDS_LIKE_OH = "of"
"""How a weak "oh" is written between the digits of a gravity."""
POINT = "point"
REPAIRS: Mapping[str, str] = {
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{DEGREE SIGN}": " ",
    "\N{VULGAR FRACTION ONE HALF}": " and a half",
    " 1/2": " and a half",
    **{f" {joint} half": " and a half" for joint in ("and an", "and the", "on the", "in the")},
    " points ": " point ",
}
"""What a model writes in signs or as it sounds, as words."""
