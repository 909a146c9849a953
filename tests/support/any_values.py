"""What a day under any hands is made of: schedules, lines, readings, absences, troubles."""

from __future__ import annotations

import math

from days import BARLEY, gravity, starch, temperature, volume
from hypothesis import strategies as st
from simulated_disk import Trouble

from mashday.engine import intents

RYE = """
format = 1
name = "Lock Seven rye wash"
[pot]
name = "lock-keeper's kettle"
volume = "33 L"
mass = "4.6 kg"
heater = "2.5 kW"
[place]
room = "19 C"
tap = "12 C"
[[grain]]
name = "rye malt"
kind = "rye malt"
mass = "4 kg"
temperature = "18 C"
[[step]]
kind = "heat"
water = "15 L"
[[step]]
kind = "dough-in"
target = "50 C"
[[step]]
kind = "rest"
target = "50 C"
time = "20 min"
read_every = "10 min"
[[step]]
kind = "raise"
target = "64 C"
by = "fire"
[[step]]
kind = "rest"
target = "64 C"
time = "40 min"
read_every = "10 min"
confirm = true
[[step]]
kind = "separate"
by = "drained"
[[step]]
kind = "boil"
time = "15 min"
[[step]]
kind = "cool"
target = "24 C"
by = "coil"
[[step]]
kind = "pitch"
yeast = "dry distiller's yeast"
[[step]]
kind = "clean-up"
"""

SCHEDULES = {"barley": BARLEY, "rye": RYE}
WORDS = """
done|skip|undo|hold|resume|unknown|ok|mute|leave|tick|take 1|take 2|more 10|more -5|snooze 2|starch pass
starch fail|units|note lid off|63|62.1|58|66.5|95|1.062 at 22 C|gravity 1.075|20|volume 18 L|1.2 L
added 1 L at boiling|added 2 L at tap|weighed 4.8 kg|measured 14 L|ph 5.4|keep it|wrong|start|heat off
temp|temp 63.5.2|temp nan|temp 1e999|temp -300|gravity 62|volume -4 L|more 0|more 1e9|correct 3|void 0
63\x1b[2J
"""
LINES = st.sampled_from(WORDS.strip().replace("\n", "|").split("|"))
RUBBISH = st.sampled_from(
    (
        'a note\nsum = "00000000"\n\n[[entry]]\nseq = 1\nact = 1\nkind = "note"\n',
        "\u202egnidaer\u202c 63.5\u2066",
        "half a \ud83d letter \udfff",
        "\x00\x07\x1b]0;gone\x07\x9b2J\x85\u2028\ufeff",
        '"""\\u0000\\',
        "[/][@click=app.quit]x[/]",
        "\u0661\u0662 e\u0301\u0301\u0301\u0301 \U0001f37a",
        " " * 30,
        "x" * 900,
    )
)
TEXTS = RUBBISH | st.text(max_size=30) | st.text(st.characters(), max_size=10)
SECONDS = st.floats(0.0, 700.0).map(lambda seconds: round(seconds, 3))
ABSENCES = st.one_of(
    st.just(0.0),
    SECONDS,
    SECONDS,
    SECONDS,
    SECONDS,
    st.sampled_from((3000.5, 3600.0, 20_000.25, 90_000.0, 200_000.0)),
)
STEPS_OF_THE_WALL = st.just(0.0) | st.floats(-7200.0, 7200.0).map(round)
ZONES = st.sampled_from((120, 60, 0, -300, 345, 840))
ABSURD = st.sampled_from((-200_000, -7200, -1800, 0, 1800, 200_000))
MASH_TEMPERATURES = st.sampled_from((63.0, 62.4, 60.0, 57.5, 64.5, 67.0, 50.0, 99.0, 24.0)).map(temperature)
READINGS = st.one_of(
    st.sampled_from((1.062, 1.05, 0.5, 1.9, math.nan)).map(lambda value: gravity(value, 20.0)),
    st.sampled_from((1.07, 1.04)).map(gravity),
    st.sampled_from((18.0, 0.0, -3.0, 1e9, math.inf)).map(volume),
    st.booleans().map(starch),
    st.sampled_from((math.nan, math.inf, -300.0, 1e308)).map(temperature),
)
NOTED = intents.WriteNote("in the midst")
ENTERED = st.sampled_from(
    (NOTED, temperature(62.5), NOTED, intents.Skip(sure=True), temperature(61.0), NOTED)
)
UNITS = {"temperature": "C", "gravity": "SG", "volume": "L", "ph": "pH"}
SHARES = st.sampled_from((0.0, 0.3, 0.7, 0.97, 1.0))
BEGINNINGS = st.sampled_from(
    ("barley 4", "rye 3", "rye 5", "barley 6", "barley 4", "rye 3", "rye 6", "barley 5", "barley 8", "rye 1")
).map(lambda said: (said.split()[0], int(said.split()[1])))
"""A schedule, and the step a hurried person is in by now."""
CALLS_ON = st.sampled_from((0, 0, 1, 1, 2, 3, 5, 8, 11))
FAILURES = st.builds(Trouble, st.sampled_from(("EIO", "ENOSPC", "short")), CALLS_ON, SHARES)
DEATHS = st.builds(Trouble, st.just("killed"), CALLS_ON, SHARES)
