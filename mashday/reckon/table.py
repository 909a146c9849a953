"""The one table of sums and their options. It loads nothing heavy, so that the command line can read it."""

from __future__ import annotations

from typing import NamedTuple

from mashday.cautions import BOIL_OVER, COOK, FIRE, GAS, LAW, LID, SCALD, STANDING


class Option(NamedTuple):
    """One thing a sum takes.

    kind: a kind of quantity, or "gravity", "brix", "number" (bare), "word" (one of choices), "boiling or
    temperature", "kind and mass", "pot heat" (a heat capacity, or a mass of stainless steel). missing: the
    sentence that asks for it when it is left out, empty where it may be. bare: the unit a bare number has.
    nought: whether a mass or volume may be nothing.
    """

    name: str
    kind: str
    says: str
    missing: str = ""
    bare: str | None = None
    choices: tuple[str, ...] = ()
    repeat: bool = False
    positional: bool = False
    nought: bool = False


class Sum(NamedTuple):
    """One sum: what it answers, its options, and the cautions that go with acting on it."""

    does: str
    options: tuple[Option, ...]
    cautions: tuple[str, ...] = ()


_GRAIN = Option(
    "grain",
    "mass",
    "weight of the dry grain",
    "How heavy is the grain? Without its weight no sum of a mash holds.",
)
_MASH_WATER = Option(
    "water", "volume", "all the water in the mash, measured cold", "How much water is in the mash?"
)
_GRAIN_TEMPERATURE = Option(
    "grain-temp",
    "temperature",
    "temperature of the dry grain",
    "How warm is the grain? Grain from a cold shed needs hotter water than grain from the kitchen.",
)
_POT_HEAT = Option(
    "pot-heat", "pot heat", "heat the empty pot takes up, or its weight if it is of steel; left out: none"
)
_MOISTURE = Option("moisture", "share", "moisture of the grain (4 %%)")
_ALTITUDE = Option("altitude", "length", "height above the sea (0 m)")
_FROM = Option("from", "temperature", "temperature now", "How warm is it now?")
_TO = Option("to", "temperature", "temperature wanted", "How warm is it to be?")
_ROOM = Option("room", "temperature", "temperature of the room (20 C)")
_LOSS_RATE = Option(
    "loss-rate", "heat loss", "heat the pot loses; left out: usual for a bare pot of its size"
)
_VOLUME = Option("volume", "volume", "volume of the wort", "How much wort is there?")
_FROM_GRAVITY = Option("from", "gravity", "gravity now", "What is its gravity now?")
_TO_GRAVITY = Option("to", "gravity", "gravity wanted", "What gravity is wanted?")
_EXTRACT = Option(
    "extract",
    "share",
    "extract of the grain, dry basis, as a maltster's sheet prints it",
    "What is the extract of the grain, on its dry mass? Pale malt has about 80 %.",
)
_CRUSHES = ("flour", "fine", "normal", "coarse")
_SEPARATIONS = ("squeezed bag", "hung bag", "drained", "batch sparge", "on the grain")
_DOUGH_IN = (
    _POT_HEAT,
    Option(
        "poured-into",
        "temperature",
        "temperature of the vessel it is poured into; left out: heated in the pot",
    ),
    _MOISTURE,
    Option("hydration", "specific heat", "heat the grain gives off when wetted; left out: by its moisture"),
    Option("loss", "heat", "heat lost while doughing in (0 kJ)"),
    _ALTITUDE,
)

_HISTORY = (
    Option(
        "at",
        "temperature",
        "temperature of a stretch; repeat for each",
        "How warm was the mash?",
        repeat=True,
    ),
    Option(
        "minutes",
        "time",
        "how long it was held; repeat for each",
        "How many minutes was it held at each temperature?",
        bare="min",
        repeat=True,
    ),
)

SUMS: dict[str, Sum] = {
    "strike": Sum(
        "how hot the strike water has to be",
        (
            _GRAIN,
            _MASH_WATER,
            _GRAIN_TEMPERATURE,
            Option("target", "temperature", "temperature the mash is to have", "How warm is the mash to be?"),
            *_DOUGH_IN,
        ),
        (SCALD, LID),
    ),
    "landing": Sum(
        "where a mash lands",
        (
            _GRAIN,
            _MASH_WATER,
            Option("water-temp", "temperature", "temperature of the water", "How hot is the water?"),
            _GRAIN_TEMPERATURE,
            *_DOUGH_IN,
        ),
        (SCALD, LID),
    ),
    "addition": Sum(
        "how much hot or cold water brings a mash to a temperature",
        (
            _GRAIN,
            _MASH_WATER,
            _FROM,
            _TO,
            Option(
                "with",
                "boiling or temperature",
                'temperature of the water as it enters, or "boiling", or "tap"',
                "How warm is the water that is added, as it enters the mash?",
            ),
            _POT_HEAT,
            _MOISTURE,
            _ALTITUDE,
        ),
        (SCALD,),
    ),
    "decoction": Sum(
        "how much mash to pull, boil and give back",
        (
            _GRAIN,
            _MASH_WATER,
            _FROM,
            _TO,
            Option(
                "return",
                "temperature",
                "temperature of the pull as it comes back; left out: 3 C below boiling",
            ),
            _POT_HEAT,
            _MOISTURE,
            _ALTITUDE,
        ),
        (SCALD, COOK),
    ),
    "fire": Sum(
        "how long to fire",
        (
            Option(
                "grain",
                "mass",
                "weight of the dry grain in the pot; plain water: 0 kg",
                _GRAIN.missing,
                nought=True,
            ),
            Option(
                "water", "volume", "all the water in the pot, measured cold", "How much water is in the pot?"
            ),
            _FROM,
            _TO,
            Option(
                "power",
                "power",
                "power of the fire",
                "How strong is the fire? A stove or element names its watts.",
            ),
            Option("efficiency", "share", "share of it that reaches the pot (80 %%)"),
            _LOSS_RATE,
            _ROOM,
            _POT_HEAT,
            _MOISTURE,
            _ALTITUDE,
        ),
        (FIRE, SCALD),
    ),
    "drift": Sum(
        "how far a standing mash cools",
        (
            Option(
                "grain",
                "mass",
                "weight of the dry grain in the pot; plain water: 0 kg",
                _GRAIN.missing,
                nought=True,
            ),
            Option(
                "water", "volume", "all the water in the pot, measured cold", "How much water is in the pot?"
            ),
            Option("at", "temperature", "temperature now", "How warm is the mash now?"),
            Option("minutes", "time", "how long it stands", "How many minutes does it stand?", bare="min"),
            Option("room", "temperature", "temperature of the room", "How warm is the room?"),
            _LOSS_RATE,
            _POT_HEAT,
            _MOISTURE,
            _ALTITUDE,
        ),
    ),
    "cool": Sum(
        "how long or how much it takes to cool a wort",
        (
            _VOLUME,
            _FROM,
            _TO,
            Option(
                "by",
                "word",
                'coil, "ice bath", "cold water", ice or standing',
                "How is it cooled?",
                choices=("coil", "ice bath", "cold water", "ice", "standing"),
            ),
            Option("coolant", "temperature", "temperature of the water, ice or room that cools it"),
            Option("flow", "flow", "flow through the coil (6 L/min)"),
            Option("loss-rate", "heat loss", "heat the pot gives to a bath or to the room for each degree"),
        ),
        (STANDING,),
    ),
    "boiling": Sum(
        "where water boils",
        (Option("altitude", "length", "height above the sea", "How high above the sea is it?"),),
        (SCALD,),
    ),
    "gravity": Sum(
        "what a hydrometer reading is worth",
        (
            Option("reading", "gravity", "what the hydrometer shows", "What does the hydrometer show?"),
            Option("at", "temperature", "temperature of the sample", "How warm is the sample?"),
            Option("calibrated", "temperature", "temperature the hydrometer is made for (20 C)"),
        ),
    ),
    "convert": Sum(
        "gravity and Plato of the same wort",
        (
            Option(
                "value",
                "gravity",
                "1.048, 12 P or 12 Bx",
                "Which gravity or Plato is meant?",
                positional=True,
            ),
        ),
    ),
    "refractometer": Sum(
        "what a refractometer reading is worth",
        (
            Option("reading", "brix", "what the refractometer shows", "What does the refractometer show?"),
            Option("factor", "number", "what it shows too much in wort, as a factor (1.04)"),
            Option("at", "temperature", "temperature of an instrument that does not correct itself"),
        ),
    ),
    "first-runnings": Sum(
        "gravity of the mash liquid to come",
        (
            _GRAIN,
            _MASH_WATER,
            _EXTRACT,
            _MOISTURE,
            Option("conversion", "share", "share of the extract that is dissolved (100 %%)"),
        ),
    ),
    "conversion": Sum(
        "how much of the extract is dissolved",
        (
            _GRAIN,
            _MASH_WATER,
            _EXTRACT,
            _MOISTURE,
            Option("gravity", "gravity", "gravity of the mash liquid", "What gravity has the mash liquid?"),
        ),
    ),
    "volumes": Sum(
        "waters for mash and sparge, and whether the mash fits",
        (
            _GRAIN,
            Option("wash", "volume", "wash wanted in the fermenter", "How much wash is wanted in all?"),
            Option(
                "by",
                "word",
                'squeezed bag, hung bag, drained, "batch sparge" or "on the grain"',
                "How is the wort parted from the grain?",
                choices=_SEPARATIONS,
            ),
            Option("pot", "volume", "volume of the pot"),
            Option(
                "dead-space",
                "volume",
                "what stays behind in pipes and under a false bottom (0 L)",
                nought=True,
            ),
        ),
    ),
    "dilute": Sum("how much water makes a wort weaker", (_VOLUME, _FROM_GRAVITY, _TO_GRAVITY)),
    "boil-down": Sum(
        "how much to boil off for a stronger wort",
        (
            _VOLUME,
            _FROM_GRAVITY,
            _TO_GRAVITY,
            Option("rate", "flow", "what boils off, cold", bare="L/h"),
        ),
        (BOIL_OVER, LID),
    ),
    "sugar": Sum(
        "how much sugar makes a wort stronger",
        (
            _VOLUME,
            _FROM_GRAVITY,
            _TO_GRAVITY,
            Option("kind", "word", "sucrose (left out) or dextrose", choices=("sucrose", "dextrose")),
        ),
    ),
    "alcohol": Sum(
        "alcohol in the wash",
        (
            Option("original", "gravity", "gravity at pitching", "What was the gravity at pitching?"),
            Option("final", "gravity", "gravity at the end", "What is the gravity at the end?"),
            Option("volume", "volume", "volume of wort that was pitched"),
        ),
        (LAW,),
    ),
    "yeast": Sum(
        "how much yeast",
        (
            _VOLUME,
            Option("gravity", "gravity", "gravity of the wort", "What gravity has the wort?"),
            Option("rate", "number", "million live cells per mL and Plato (1.0)"),
        ),
        (GAS,),
    ),
    "starch": Sum(
        "what a mash has converted by now",
        (
            *_HISTORY,
            Option("thickness", "thickness", "water per grain (3 L/kg)"),
            Option("crush", "word", "flour, fine, normal (left out) or coarse", choices=_CRUSHES),
        ),
    ),
    "enzyme-power": Sum(
        "whether a grist can convert itself",
        (
            Option(
                "grain",
                "kind and mass",
                'a kind and its weight: "barley malt=4 kg"; repeat for each',
                "Which grain, and how heavy? Without the weight of each kind there is no mean.",
                repeat=True,
            ),
        ),
    ),
    "thermometer": Sum(
        "what a thermometer shows wrong, from ice and boiling water",
        (
            Option(
                "ice", "temperature", "what it shows in melting ice", "What does it show in ice and water?"
            ),
            Option("boil", "temperature", "what it shows at the boil", "What does it show in boiling water?"),
            Option(
                "altitude",
                "length",
                "height above the sea",
                "How high above the sea is it? Water boils a degree lower every 300 m.",
            ),
            Option("reading", "temperature", "a reading to put right"),
        ),
        (SCALD,),
    ),
    "overshoot": Sum(
        "the best next move after a mash got too hot",
        (
            *_HISTORY,
            Option("thickness", "thickness", "water per grain (3 L/kg)"),
            Option("crush", "word", "flour, fine, normal (left out) or coarse", choices=_CRUSHES),
            Option("grain", "mass", "weight of the grain, to tell the malt by weight"),
        ),
    ),
    "enzyme": Sum(
        "how much bottled enzyme, and whether it may go in now",
        (
            Option(
                "kind",
                "word",
                'alpha-amylase, "heat-stable alpha-amylase" or glucoamylase',
                "Which enzyme is it?",
                choices=("alpha-amylase", "heat-stable alpha-amylase", "glucoamylase"),
            ),
            Option(
                "grain",
                "mass",
                "weight of the dry grain",
                "How heavy is the grain? The dose goes by its weight.",
            ),
            Option("at", "temperature", "temperature of the mash"),
            Option("ph", "number", "pH of a cooled sample"),
        ),
    ),
}
"""Every sum by its name."""
