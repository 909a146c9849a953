"""Other keys for the full screen, from a file of the person's own."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path

import platformdirs

from mashday.text import cleaned, quoted

MOST_BYTES = 16 * 1024


def keys_file() -> tuple[Path, bool]:
    """The file of other keys, and whether it was named: by MASHDAY_KEYS, else in the configuration folder."""
    named = os.environ.get("MASHDAY_KEYS")
    if named:
        try:
            return Path(named).expanduser(), True
        except RuntimeError as fault:
            raise ValueError(f"MASHDAY_KEYS: {cleaned(str(fault), 200)}.") from fault
    return Path(platformdirs.user_config_dir("mashday", appauthor=False)) / "keys.toml", False


def own_keys() -> Mapping[str, str | list[str]]:
    """Keys by the name of what they do, as the file gives them; empty where there is none.

    ValueError, in a sentence, for a file that cannot be read or is not such a table.
    """
    path, named = keys_file()
    where = cleaned(str(path), 300)
    try:
        with path.open("rb") as file:
            written = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        if named:
            raise ValueError(f"{where}: MASHDAY_KEYS names this file, and it is not there.") from None
        return {}
    except OSError as fault:
        raise ValueError(f"{where} cannot be read: {fault.strerror}.") from fault
    if len(written) > MOST_BYTES:
        raise ValueError(f"{where} is larger than {MOST_BYTES // 1024} KiB, and that is no table of keys.")
    try:
        table = tomllib.loads(written.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as fault:
        raise ValueError(f"{where} is no TOML: {cleaned(str(fault), 200)}.") from fault
    except ValueError as fault:
        raise ValueError(f"{where} holds a number that is too long to read, and that is no key.") from fault
    for name, said in table.items():
        if not (
            isinstance(said, str) or (isinstance(said, list) and all(isinstance(one, str) for one in said))
        ):
            raise ValueError(
                f'{where}: {quoted(name)} wants a key or a list of keys, like undo = ["-", "u"].'
            )
    return table
