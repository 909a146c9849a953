"""A model's writing before it is read: "keep it" beside what it is mistaken for. Without a model."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from mashday.channels.listener_lines import Asked
from mashday.listener.faults import CannotListen
from mashday.listener.strict import line
from mashday.listener.whisper import NEEDED, Whisper
from mashday.listener.words import ANSWERS_TO_A_DOUBT, TOLD_APART


def writes(text: str, rival: str) -> tuple[Whisper, list[str]]:
    """A recogniser whose model writes this, and where `rival` fits as well; what it was tried against."""
    tried: list[str] = []

    def transcribe(sound: Any, **options: Any) -> tuple[list[SimpleNamespace], None]:
        return [SimpleNamespace(text=f" {text}")], None

    def found(sound: Any, meant: str) -> str:
        tried.append(meant)
        return rival

    whisper = object.__new__(Whisper)
    whisper._numpy, whisper._model = np, SimpleNamespace(transcribe=transcribe)
    whisper._rival = found  # type: ignore[method-assign]
    return whisper, tried


@pytest.mark.parametrize(
    "text", ["Keep it.", "keep it", "Keep, it!", "Keep-it...", '"Keep it,"', "KEEP  IT."]
)
def test_however_it_is_written_keep_it_is_tried_against_what_it_is_mistaken_for(text: str) -> None:
    whisper, tried = writes(text, rival="")
    assert line(whisper.text(bytes(3200), "keep"), "keep") == "keep it" and tried == ["keep it"]
    for rival in (*TOLD_APART["keep it"], "keep it warm"):
        whisper, _ = writes(text, rival)
        assert line(whisper.text(bytes(3200), "keep"), "keep") is None


@pytest.mark.parametrize(
    ("text", "kind"), [("Wrong.", "keep"), ("keep it", "words"), ("64.5", "temperature")]
)
def test_nothing_else_is_tried(text: str, kind: Asked) -> None:
    whisper, tried = writes(text, rival="skip it")
    assert whisper.text(bytes(3200), kind) == text and not tried


def test_what_lets_a_value_count_and_only_that_is_told_apart() -> None:
    assert set(TOLD_APART) == {meant for meant in ANSWERS_TO_A_DOUBT.values() if meant != "wrong"}
    assert not any(meant in rivals for meant, rivals in TOLD_APART.items())


def test_a_folder_that_lacks_a_file_of_a_model_is_refused(tmp_path: Path) -> None:
    for name in NEEDED:
        with pytest.raises(CannotListen, match=f"holds no {name}"):
            Whisper(tmp_path)
        (tmp_path / name).touch()
