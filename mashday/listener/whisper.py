"""Text by a Whisper model that the person put into a folder. No network, nothing kept."""

from __future__ import annotations

import math
import os
from pathlib import Path
from typing import Any

from mashday.channels.listener_lines import Asked
from mashday.listener.faults import CannotListen, lacks
from mashday.listener.strict import line
from mashday.listener.words import LANGUAGE, PROMPTS, TOLD_APART
from mashday.text import cleaned, quoted

NEEDED = ("model.bin", "config.json", "tokenizer.json")
"""Files of a model in CTranslate2's form. Without the last the library would ask the network for it."""
LONGEST_TOKENS = 24
"""No answer is longer in the model's pieces of words. Judgement."""
MOST_THREADS = 4
MARGIN_NATS = 1.0
"""By so much likelier than what it is mistaken for a phrase has to be, as a logarithm. By trial with made-up
voices, clean, beside a burner and in an echo: of true answers one in twenty is lost by it."""
LEAST_SHARE = 1e-12
"""In place of a likelihood of nought, which has no logarithm."""


class Whisper:
    """A model in memory: some 200 MB for the smallest, half a second or one for an utterance on one core."""

    def __init__(self, folder: Path) -> None:
        """CannotListen if the package or the model is missing or wrong."""
        lacking = [name for name in NEEDED if not (folder / name).is_file()]
        if lacking:
            raise CannotListen(
                f"{quoted(str(folder))} holds no {lacking[0]}. Behind --model belongs the folder of a Whisper"
                f" model in CTranslate2's form, with {', '.join(NEEDED[:-1])} and {NEEDED[-1]} in it."
            )
        os.environ["HF_HUB_OFFLINE"] = "1"
        try:
            import numpy  # noqa: PLC0415 - an extra of its own
            from faster_whisper import WhisperModel  # noqa: PLC0415 - an extra of its own
        except ModuleNotFoundError as missing:
            raise lacks("faster-whisper", "listen") from missing
        self._numpy = numpy
        threads = max(1, min(MOST_THREADS, (os.cpu_count() or 1) // 2))
        try:
            self._model: Any = WhisperModel(
                str(folder), device="cpu", compute_type="int8", cpu_threads=threads, local_files_only=True
            )
            self.text(bytes(32_000), "words")
            for meant in TOLD_APART:
                self._rival(self._sound(bytes(32_000)), meant)
        except Exception as error:
            raise CannotListen(
                f"The model in {quoted(str(folder))} cannot be used ({cleaned(str(error), 120)})."
                " Take the folder of a Whisper model in CTranslate2's form, as it was handed out."
            ) from error

    def text(self, pcm: bytes, kind: Asked) -> str:
        """What was said, in the model's writing. The prompt shows it how answers to `kind` are written.

        What lets a value count comes back as a question, where something else fits nearly as well.
        """
        sound = self._sound(pcm)
        segments, _ = self._model.transcribe(
            sound,
            language=LANGUAGE,
            beam_size=1,
            temperature=0.0,
            condition_on_previous_text=False,
            without_timestamps=True,
            max_new_tokens=LONGEST_TOKENS,
            initial_prompt=PROMPTS[kind],
        )
        text = " ".join(segment.text.strip() for segment in segments)
        meant = line(text, kind) if kind == "keep" else None
        rival = self._rival(sound, meant) if meant is not None and meant in TOLD_APART else ""
        return f"{rival}?" if rival else text

    def _sound(self, pcm: bytes) -> Any:
        return self._numpy.frombuffer(pcm, self._numpy.int16).astype(self._numpy.float32) / 32768.0

    def _rival(self, sound: Any, meant: str) -> str:
        """What fits the sound as well as `meant` or but little worse, of what that is mistaken for and what
        the model writes of itself; empty if nothing does. All of it without a prompt, which would lead."""
        from faster_whisper.audio import pad_or_trim  # noqa: PLC0415 - an extra of its own
        from faster_whisper.tokenizer import Tokenizer  # noqa: PLC0415 - an extra of its own

        features = self._model.feature_extractor(sound)
        frames = features.shape[-1]
        encoded = self._model.encode(pad_or_trim(features))
        tokenizer = Tokenizer(
            self._model.hf_tokenizer, self._model.model.is_multilingual, task="transcribe", language=LANGUAGE
        )
        begin = [*tokenizer.sot_sequence, tokenizer.no_timestamps]

        def likely(text: str) -> float:
            tokens = tokenizer.encode(f" {text[:1].upper()}{text[1:].rstrip('.!')}.")
            (found,) = self._model.model.align(encoded, begin, [tokens], frames)
            return sum(math.log(max(share, LEAST_SHARE)) for share in found.text_token_probs)

        (free,) = self._model.model.generate(encoded, [begin], beam_size=1, max_length=LONGEST_TOKENS)
        written = tokenizer.decode(free.sequences_ids[0]).strip()
        others = (*TOLD_APART[meant], *(() if line(written, "keep") == meant else (written,)))
        best = max(others, key=likely)
        return "" if likely(meant) - likely(best) >= MARGIN_NATS else best
