"""A second recogniser, by pocketsphinx and a grammar of what may be said.

Alone it is no good for numbers, but it slips elsewhere than a Whisper model does.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from mashday.channels.listener_lines import Asked
from mashday.listener.faults import lacks
from mashday.listener.words import ANSWERS_TO_A_DOUBT, NEAR_A_DOUBT, PHRASES

_DIGITS = "one | two | three | four | five | six | seven | eight | nine"
_NUMBERS = f"""
<d> = {_DIGITS};
<z> = zero | oh | <d>;
<teen> = ten | eleven | twelve | thirteen | fourteen | fifteen | sixteen | seventeen | eighteen | nineteen;
<ty> = twenty | thirty | forty | fifty | sixty | seventy | eighty | ninety;
<below> = <d> | <teen> | <ty> [<d>];
<whole> = <below> | <z> <z> [<z>] | (one | a) hundred [[and] <below>];
<decimals> = point (zero | <d>) [zero | <d>] [zero | <d>];
<number> = <whole> [<decimals> | and a half] | (zero | oh) <decimals>;
"""
_SAID: Mapping[Asked, str] = {
    "temperature": "[temperature] <number> [degrees]",
    "gravity": "[gravity] (one [point] (oh | zero | one) <z> <z> | (ten | eleven) ((oh | zero) <d> | <below>)"
    " | [(zero | oh) point] nine (nine | eight) <z>)",
    "volume": "[volume] <number> [liters | gallons | quarts]",
    "mass": "<number> [kilos | kilograms | grams | pounds | ounces]",
    "minutes": "<number> [minutes | hours] | an hour [and a half]",
    "ph": "<number>",
    "count": "<d>",
}
"""How numbers of each kind are said, as JSGF."""
TEMPERED = 2.0
"""Weight of the grammar against the sound."""
INSERTION = 0.2
"""What a further word costs. Both found by trial."""


class Second:
    """The decoder with the acoustic model of its own package, a grammar for each kind."""

    def __init__(self) -> None:
        """CannotListen if the package is not there."""
        try:
            from pocketsphinx import Decoder  # noqa: PLC0415 - an extra of its own
        except ModuleNotFoundError as missing:
            raise lacks("pocketsphinx", "listen-second") from missing
        self._decoder: Any = Decoder(lm=None, lw=TEMPERED, wip=INSERTION, loglevel="FATAL")
        self._decoder.add_word("four(gb)", "F AO", True)
        self._decoder.add_word("liters(gb)", "L IY T AH Z", True)
        self._known = cache(lambda word: self._decoder.lookup_word(word) is not None)
        self._ready: set[Asked] = set()

    def text(self, pcm: bytes, kind: Asked) -> str:
        """What of the grammar fits best; empty if nothing does."""
        if kind not in self._ready:
            self._decoder.add_jsgf_string(kind, self._grammar(kind))
            self._ready.add(kind)
        self._decoder.activate_search(kind)
        self._decoder.start_utt()
        self._decoder.process_raw(pcm, full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return found.hypstr if found is not None else ""

    def _grammar(self, kind: Asked) -> str:
        phrases = (*ANSWERS_TO_A_DOUBT, *NEAR_A_DOUBT) if kind == "keep" else PHRASES
        said = [phrase for phrase in phrases if all(map(self._known, phrase.split()))]
        if kind in _SAID:
            said.append(_SAID[kind])
        return f"#JSGF V1.0;\ngrammar {kind};\n{_NUMBERS}\npublic <said> = {' | '.join(said)};\n"
