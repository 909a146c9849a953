"""The sample schedules that ship with the program, and how a schedule is found by path or by name."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from mashday.schedule.door import BadSchedule, Problem, decoded, read_text
from mashday.text import nearest, quoted

_SUFFIX = ".toml"


def sample_names() -> tuple[str, ...]:
    """The names of the samples, in the order of the alphabet."""
    names = (entry.name for entry in _folder().iterdir())
    return tuple(sorted(name.removesuffix(_SUFFIX) for name in names if name.endswith(_SUFFIX)))


def sample_text(name: str) -> str:
    """The text of the sample of this name; KeyError if there is none."""
    if name not in sample_names():
        raise KeyError(name)
    return decoded((_folder() / f"{name}{_SUFFIX}").read_bytes())


def find(file_or_name: str) -> tuple[str, str]:
    """A label and the text of the schedule at this path, or else of the sample of this name.

    The label is the path as given or the sample's file name. BadSchedule if there is neither, or if it
    cannot be read.
    """
    name = file_or_name.removesuffix(_SUFFIX)
    if name in sample_names() and not Path(file_or_name).is_file():
        return f"{name}{_SUFFIX}", sample_text(name)
    if _exists(file_or_name):
        return file_or_name, read_text(file_or_name)
    near = nearest(name, sample_names())
    remedy = f"write {near}" if near else f"name a file, or one of the samples: {', '.join(sample_names())}"
    raise BadSchedule(
        [Problem("error", "", None, f"no file and no sample is called {quoted(file_or_name)}", remedy)]
    )


def _exists(path: str) -> bool:
    try:
        return Path(path).exists()
    except (OSError, ValueError):
        return False


def _folder() -> Traversable:
    """In an installed package the samples lie inside it, in a checkout beside it."""
    inside = files("mashday") / "sample_schedules"
    return inside if inside.is_dir() else Path(__file__).parents[2] / "sample_schedules"
