"""The trade's words in plain language, at the kind of step where they are met.

Common practice, no source, except: Windisch-Kolbach against Lintner after the Oxford Companion to Beer,
"Lintner"; Plato and Brix by definition.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

MOST = 9
"""Words shown at a step at most: more are no help beside a hot pot. Judgement."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A word of the trade, what it means, and the kinds of step where it is met."""

    word: str
    plain: str
    kinds: tuple[str, ...]


def at_step(kind: str, more: Iterable[str] = ()) -> tuple[Entry, ...]:
    """The words of a kind of step, most needed first, at most `MOST`.

    `more` are words the step itself uses ("coil", "dial thermometer"): they go first; unknown ones are
    passed over. An unknown kind has no words of its own.
    """
    asked = [entry for word in more if (entry := meaning(word)) is not None]
    usual = [_ENTRIES[word] for word in _AT_STEP.get(kind, ())]
    return tuple(dict.fromkeys([*asked, *usual]))[:MOST]


def everything() -> tuple[Entry, ...]:
    """Every word, in the order of the alphabet."""
    return tuple(sorted(_ENTRIES.values(), key=lambda entry: entry.word.casefold()))


def meaning(word: str) -> Entry | None:
    """What this word means, whatever its case, hyphens or simple plural; None if it is not known here."""
    written = _folded(word)
    for form in (written, written.removesuffix("s"), written.removesuffix("es")):
        if form in _BY_NAME:
            return _ENTRIES[_BY_NAME[form]]
    return None


def lines(entries: Iterable[Entry]) -> tuple[str, ...]:
    """Each entry on a line: "mash: Crushed grain and hot water, ..."."""
    return tuple(f"{entry.word}: {entry.plain}" for entry in entries)


def _folded(word: str) -> str:
    return " ".join(word.casefold().replace("-", " ").split())


_AT_STEP: dict[str, tuple[str, ...]] = {
    "set-up": (
        *("grist", "crush", "malt", "sanitised", "residual-current protection", "offset", "calibrated"),
        *("digital thermometer", "dial thermometer"),
    ),
    "heat": (
        *("strike water", "strike temperature", "spare kettle", "target", "band", "headroom"),
        *("room", "tap", "altitude"),
    ),
    "dough-in": (
        *("dough-in", "portion", "mash", "grist", "band", "thickness", "headroom", "spare kettle", "malt"),
        *("crush",),
    ),
    "rest": (
        *("rest", "band", "drift", "spare kettle", "enzyme", "conversion", "fermentable", "thickness"),
        *("hold", "beta-amylase", "snooze", "room"),
    ),
    "cook": ("cook", "raw cereal", "gelatinise", "headroom", "thickness", "boil-over", "portion"),
    "raise": ("raise", "portion", "target", "band", "enzyme", "decoction", "beta-amylase", "headroom"),
    "mash-out": ("mash-out", "enzyme", "run-off", "raise", "decoction", "portion"),
    "starch-check": (
        *("starch check", "iodine", "conversion", "enzyme", "gelatinise", "alpha-amylase"),
        *("diastatic power", "Lintner", "pH"),
    ),
    "separate": (
        *("wort", "run-off", "first runnings", "gravity", "sparge", "sample temperature", "absorption"),
        *("hydrometer", "extract", "bag", "grain bed", "false bottom", "batch sparge", "on the grain"),
        *("dead space", "Plato", "calibrated", "sample"),
    ),
    "boil": ("boil", "boil-over", "headroom", "boil off", "wort", "gravity"),
    "cool": ("wort", "sanitised", "pitch", "fermenter", "tap", "coil", "ice bath", "strike temperature"),
    "add": ("portion", "nutrient", "enzyme", "alpha-amylase", "diastatic power", "Lintner", "WK", "pH"),
    "pitch": (
        *("pitch", "wash", "gravity", "hydrometer", "sample temperature", "yeast rate", "fermenter"),
        *("airlock", "Plato", "Brix", "refractometer", "sample", "attenuation", "ABV"),
    ),
    "clean-up": ("spent grain", "sanitised", "end gravity", "attenuation", "ABV", "airlock", "fermenter"),
    "do": ("hold", "call", "snooze", "mash", "wort", "wash"),
}
"""The words met at each kind of step, most needed first."""

_PLAIN = {
    "absorption": (
        "The water the grain keeps for itself after draining. Squeezing the bag wins part of it back."
    ),
    "ABV": (
        "Alcohol by volume: the share of the finished wash that is alcohol, reckoned from the gravity before"
        " and after."
    ),
    "airlock": (
        "A small trap of water on the fermenter: gas bubbles out through it, air and flies do not get in."
    ),
    "alpha-amylase": (
        "The enzyme that chops starch into short pieces. It stands more heat than beta-amylase; it also comes"
        " in bottles."
    ),
    "altitude": (
        "How high above the sea you are. Higher up, water boils cooler, and so boiling water warms a mash"
        " less."
    ),
    "attenuation": (
        "How much of the sugar the yeast has eaten, reckoned from how far the gravity has come down."
    ),
    "bag": "A cloth bag that holds the grain in the pot, so that it can be lifted out of the wort at once.",
    "band": (
        "How far off the target is still right: the give or take beside it. A doubtful thermometer makes it"
        " wider."
    ),
    "batch sparge": (
        "Sparging in one go: drain the wort, stir in the hot rinsing water, let it stand, drain again."
    ),
    "beta-amylase": (
        "The enzyme that makes most of the sugar yeast can eat. A mash much too hot destroys it in minutes."
    ),
    "boil": "Keeping the wort at a rolling boil. It kills germs, ends the enzymes and drives off water.",
    "boil off": "To let water leave as steam. What stays behind is less wort, and stronger.",
    "boil-over": (
        "Foam or mash rising over the rim, mostly just as it comes to the boil. Less heat and stirring stop"
        " it."
    ),
    "Brix": (
        "Nearly the same as Plato: sugar as a share of the weight. It is the scale of most refractometers."
    ),
    "calibrated": (
        "The temperature at which a hydrometer tells the truth, printed on its scale. Elsewhere it is"
        " corrected."
    ),
    "call": "What happens when something is due: it rings and is shown until you acknowledge it.",
    "coil": (
        "A spiral of metal tube standing in the hot wort. Cold water running through it carries the heat"
        " away."
    ),
    "conversion": (
        "Enzymes turning starch into sugar. As a share: how much of the starch has been turned by now."
    ),
    "cook": "Heating raw grain in water until its starch has opened, before most of the malt goes in.",
    "crush": (
        "How finely the grain is broken. Finer gives up its starch sooner but drains worse, and flour balls"
        " up."
    ),
    "dead space": "What stays below the tap of a vessel and does not run out. It is counted as lost wort.",
    "decoction": (
        "Drawing off part of the mash, boiling it and stirring it back in, which warms the whole mash."
    ),
    "dial thermometer": (
        "A round face with a hand and a metal stem. Slow, and easily knocked off: check it in melting ice."
    ),
    "diastatic power": (
        "How much enzyme the malt has for turning starch into sugar. A grist with too little stays starchy."
    ),
    "digital thermometer": (
        "A probe with a number on a display. Quick and easy to read, yet it can be off: check it in melting"
        " ice."
    ),
    "dough-in": "Stirring the crushed grain into the hot water, by portions, until no dry lump is left.",
    "drift": "How far a standing mash cools by itself. Lid and blanket slow it down but do not stop it.",
    "end gravity": (
        "The gravity when the yeast has finished, days later. Alcohol is light, so it can be less than that"
        " of water."
    ),
    "enzyme": (
        "What in the malt turns starch into sugar. Where it is too cool it is slow, where it is too hot it is"
        " lost."
    ),
    "extract": "What dissolves out of the grain into the wort, mostly sugar. It is a share of the grain.",
    "false bottom": (
        "A sieve above the floor of the vessel. It holds the grain back while the wort runs out below."
    ),
    "fermentable": (
        "What yeast can turn into alcohol. A cooler rest makes more of the sugar so, a hotter rest less."
    ),
    "fermenter": (
        "The vessel in which the yeast works on the wash. Gas must get out of it: it is never sealed tight."
    ),
    "first runnings": (
        "The first and strongest wort off the grain, before any rinsing. Its gravity shows how the mash went."
    ),
    "gelatinise": (
        "What starch does in hot water: it swells and opens, and enzymes get at it. Raw maize must be cooked"
        " for it."
    ),
    "grain bed": (
        "The grain lying on the false bottom, through which the wort runs clear. Drained too fast, it clogs."
    ),
    "gravity": (
        "How dense a liquid is beside water, which is 1.000. The more sugar is dissolved, the higher it is."
    ),
    "grist": "All the grain of the day, crushed and weighed, as it goes into the water.",
    "headroom": (
        "The space left between what is in the pot and the rim. Stirring, foam and added water need some."
    ),
    "hold": (
        "To stop the clocks of the day while you are called away. The pot itself goes on: mind the heat"
        " first."
    ),
    "hydrometer": (
        "A glass float that rises higher the more sugar there is; its scale shows the gravity at the surface."
    ),
    "ice bath": (
        "A tub of water and ice in which the whole pot stands. Stirring inside and out makes it much faster."
    ),
    "iodine": (
        "A brown liquid that turns blue-black where it meets starch. It is poisonous: throw the tested drop"
        " away."
    ),
    "Lintner": (
        "A scale of diastatic power, found on the data sheet of the malt. More means that it converts faster."
    ),
    "malt": "Grain that was made to sprout and then dried. Sprouting gave it the enzymes a mash works by.",
    "mash": "Crushed grain and hot water, stirred together. As it stands, starch turns into sugar.",
    "mash-out": (
        "Heating the mash at the end until its enzymes stop. The wort gets thinner and runs off more easily."
    ),
    "nutrient": (
        "Food for the yeast besides sugar. A wash of malt has plenty of it, one of much raw grain may want"
        " some."
    ),
    "offset": (
        "How much too much a thermometer shows, as found in melting ice or at the boil. It is taken off."
    ),
    "on the grain": (
        "Fermenting mash and all: nothing is drained first, and the grain stays in with the yeast."
    ),
    "pH": (
        "How sour the mash is: lower is sourer. It should be slightly sour; read it in a sample that has"
        " cooled."
    ),
    "pitch": "To put the yeast into the cooled wash. From then on it ferments; this day ends there.",
    "Plato": "Sugar in the wort by weight: ten Plato means that a tenth of the weight is dissolved sugar.",
    "portion": (
        "Part of an amount. Grain and water go in by portions, with stirring and a look at it in between."
    ),
    "raise": (
        "Bringing the mash up to its next temperature: over the fire, with hot water, or by a boiled part."
    ),
    "raw cereal": (
        "Grain that was never malted, such as raw maize. It brings starch but needs the enzymes of malt."
    ),
    "refractometer": (
        "Shows the sugar in a drop by how it bends light. Once yeast is at work, it reads too high."
    ),
    "residual-current protection": (
        "A switch that cuts the power in a blink when current leaks away, such as through a wet hand."
    ),
    "rest": "A time in which the mash stands at one temperature, so that the enzymes can do their work.",
    "room": "As a temperature: how warm the air round the pot is. The colder, the faster the mash cools.",
    "run-off": "Letting the wort flow off the grain, and the wort that has flowed off.",
    "sample": "A little wort taken out to be read. It is cooled first: hot wort can crack the glass.",
    "sample temperature": (
        "How warm the wort was when its gravity was read. Warm wort reads too low, and that is corrected."
    ),
    "sanitised": "Cleaned, then treated so that germs are dead. All that touches cooled wort should be.",
    "snooze": (
        "To make a call be quiet for some minutes. It comes back by itself; the thing is still to be done."
    ),
    "spare kettle": (
        "A second kettle of hot water, kept ready beside the pot for bringing a cool mash up to its target."
    ),
    "sparge": "Rinsing the drained grain with hot water, to win the sugar that still clings to it.",
    "spent grain": "The grain once its sugar has been drawn off. It is wet and sours within a day.",
    "starch check": (
        "A drop of iodine on a cooled drop of mash. Blue or black: starch is left; yellow-brown: it is gone."
    ),
    "strike temperature": (
        "How hot the strike water has to be, so that with the cold grain in it the mash lands on its target."
    ),
    "strike water": (
        "The hot water the grain is stirred into. It starts hotter than the mash is to be, for grain cools"
        " it."
    ),
    "tap": "In a schedule: how cold your tap water is. On a vessel: the valve the wort runs out through.",
    "target": "The temperature this step is to have. The give or take beside it says how near will do.",
    "thickness": (
        "How much water there is to the grain. A thin mash stirs easily and converts sooner than a thick one."
    ),
    "wash": "What the yeast turns into alcohol: the wort, or the mash with the grain still in it.",
    "WK": "Windisch-Kolbach, a scale of diastatic power. Its numbers are about three times those of Lintner.",
    "wort": "The sweet liquid that comes off the grain. It is called so until the yeast is in it.",
    "yeast rate": (
        "How much live yeast there is for the volume and strength of the wash. Too little starts slowly."
    ),
}

_ALSO_CALLED = {
    "alcohol by volume": "ABV",
    "ambient": "room",
    "boiling over": "boil-over",
    "converted": "conversion",
    "doughing in": "dough-in",
    "drained": "grain bed",
    "final gravity": "end gravity",
    "gelatinisation": "gelatinise",
    "give or take": "band",
    "hung bag": "bag",
    "original gravity": "gravity",
    "ground fault protection": "residual-current protection",
    "residual": "residual-current protection",
    "residual current": "residual-current protection",
    "sanitized": "sanitised",
    "squeezed bag": "bag",
    "windisch kolbach": "WK",
}
"""Other words that lead to an entry, folded as `_folded` does."""

_ENTRIES = {
    word: Entry(word, plain, tuple(kind for kind, words in _AT_STEP.items() if word in words))
    for word, plain in _PLAIN.items()
}
_BY_NAME = {**{_folded(word): word for word in _PLAIN}, **_ALSO_CALLED}
