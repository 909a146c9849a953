"""A disk that keeps what a power cut would leave of it, and a machine's clocks that only a test moves.

The files are real ones in a folder, so that whatever looks at them sees what a program would see. Beside them
stands what is surely on the medium: the bytes of each file that were flushed, and the names of each folder.
A kill keeps all that was written; a power cut keeps what was flushed, and of the rest whatever it likes.
"""

from __future__ import annotations

import errno
import os
import shutil
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Literal

from mashday.session.disk import Disk

MORNING = datetime(2026, 10, 3, 10, 0, tzinfo=UTC)


class Killed(BaseException):
    """The program is gone in the midst of a call; whatever it still does is no longer done."""


@dataclass(slots=True)
class Trouble:
    """What goes wrong, and at which of the calls to come (0: the next one).

    Of a write `share` gets through. "short" waits for a write.
    """

    how: Literal["EIO", "ENOSPC", "short", "killed"]
    calls: int = 0
    share: float = 0.0


@dataclass(slots=True, eq=False)
class Kept:
    """What the medium surely has of one file. Once a flush failed it is `spoiled`: the next ones succeed and
    flush nothing, for as long as the program runs (fsync(2), Linux)."""

    flushed: bytes = b""
    spoiled: bool = False


Named = Kept | Literal["folder"] | None
"""What stands under a name: a file, a folder, or nothing any more."""


class SimulatedDisk(Disk):
    """The disk below `root`. `met` names the call that met the trouble and its file."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.trouble: Trouble | None = None
        self.met: tuple[str, Path] | None = None
        self._kept: dict[int, Kept] = {}
        self._names: dict[Path, dict[str, Named]] = {root: {}}
        self._to_flush: list[tuple[Path, dict[str, Named]]] = []
        self._descriptors: dict[int, tuple[os.stat_result, Path]] = {}
        self._frozen: dict[Path, tuple[Kept, bytes]] | None = None

    def open(self, path: Path, flags: int) -> int:
        self._meets("open", path)
        there = os.path.lexists(path)
        descriptor = super().open(path, flags)
        opened = os.fstat(descriptor)
        if not there:
            self._kept[opened.st_ino] = Kept()
            self._to_flush.append((path.parent, {path.name: self._kept[opened.st_ino]}))
        self._descriptors[descriptor] = (opened, path)
        return descriptor

    def read(self, descriptor: int) -> bytes:
        self._meets("read", self._path(descriptor))
        return super().read(descriptor)

    def write(self, descriptor: int, data: bytes) -> int:
        met = self._reached("write")
        if met is None:
            return super().write(descriptor, data)
        written = super().write(descriptor, data[: int(met.share * (len(data) - 1))])
        self._fails(met, "write", self._path(descriptor))
        return written

    def fsync(self, descriptor: int) -> None:
        kept, path = self._kept[os.fstat(descriptor).st_ino], self._path(descriptor)
        met = self._reached("fsync")
        if met is not None:
            kept.spoiled = kept.spoiled or met.how != "killed"
            self._fails(met, "fsync", path)
        if not kept.spoiled and path.exists() and self._kept[path.stat().st_ino] is kept:
            kept.flushed = path.read_bytes()

    def fsync_folder(self, folder: Path) -> None:
        self._meets("fsync_folder", folder)
        for place, names in self._to_flush:
            if place == folder:
                _rename(self._names[folder], names)
        self._to_flush = [one for one in self._to_flush if one[0] != folder]
        for name in [name for name in self._names[folder] if not os.path.lexists(folder / name)]:
            del self._names[folder][name]

    def truncate(self, descriptor: int, size: int) -> None:
        self._meets("truncate", self._path(descriptor))
        super().truncate(descriptor, size)

    def replace(self, source: Path, target: Path) -> None:
        self._meets("replace", target)
        kept = self._kept[source.stat().st_ino]
        super().replace(source, target)
        self._to_flush.append((target.parent, {source.name: None, target.name: kept}))

    def stat(self, file: Path | int) -> os.stat_result:
        self._meets("stat", self._path(file) if isinstance(file, int) else file)
        return super().stat(file)

    def free_bytes(self, folder: Path) -> int:
        self._meets("free_bytes", folder)
        return 10**12

    def make_folder(self, folder: Path) -> None:
        self._meets("make_folder", folder)
        super().make_folder(folder)
        self._names[folder] = {}
        self._to_flush.append((folder.parent, {folder.name: "folder"}))

    def kill(self) -> None:
        """The program that had files open is gone; all it has written is there."""
        visible = self._gone()
        for path, (kept, data) in visible.items():
            kept.spoiled = False
            if not path.exists() or path.read_bytes() != data:
                self._lay(path, data, kept)

    def cut_power(self, *, share: float, zeros: bool, names: float) -> None:
        """The power is cut: of bytes not flushed this share stays, followed by zeros or not, and of names not
        flushed this share."""
        visible = self._gone()
        for folder, changed in self._to_flush[: round(names * len(self._to_flush))]:
            _rename(self._names[folder], changed)
        self._to_flush.clear()
        for folder in sorted(self._names, reverse=True):
            if folder != self.root and folder.name not in self._names.get(folder.parent, {}):
                shutil.rmtree(folder)
                self._names = {one: of for one, of in self._names.items() if not one.is_relative_to(folder)}
        for path in visible:
            path.unlink(missing_ok=True)
        self._kept.clear()
        written = {id(kept): data for kept, data in visible.values()}
        for folder, standing in self._names.items():
            for name, kept in standing.items():
                if isinstance(kept, Kept):
                    kept.flushed = _left(kept.flushed, written.get(id(kept), kept.flushed), share, zeros)
                    kept.spoiled = False
                    self._lay(folder / name, kept.flushed, kept)

    def of_another(self, path: Path, data: bytes | None, *, renamed: bool = False) -> None:
        """Another program writes these bytes at the path, in place or by a rename; None: it removes it."""
        if data is None or renamed:
            path.unlink()
            self._names[path.parent].pop(path.name, None)
        if data is not None:
            kept = self._lay(path, data, None if renamed else self._kept[path.stat().st_ino])
            kept.flushed = data
            self._names[path.parent][path.name] = kept

    def _path(self, descriptor: int) -> Path:
        return self._descriptors[descriptor][1]

    def _meets(self, name: str, path: Path) -> None:
        met = self._reached(name)
        if met is not None:
            self._fails(met, name, path)

    def _reached(self, name: str) -> Trouble | None:
        trouble = self.trouble
        if trouble is None or (trouble.how == "short" and name != "write"):
            return None
        if trouble.calls > 0:
            trouble.calls -= 1
            return None
        self.trouble = None
        return trouble

    def _fails(self, met: Trouble, name: str, path: Path) -> None:
        self.met = (name, path)
        if met.how == "killed":
            self._frozen = self._visible()
            raise Killed
        if met.how != "short":
            raise OSError(getattr(errno, met.how), os.strerror(getattr(errno, met.how)))

    def _visible(self) -> dict[Path, tuple[Kept, bytes]]:
        """Every file that is there now, by path."""
        found = {}
        for path in self.root.rglob("*"):
            if path.is_file():
                kept = self._kept.get(path.stat().st_ino)
                assert kept is not None, f"{path.name} was written past the disk"
                found[path] = (kept, path.read_bytes())
        return found

    def _gone(self) -> dict[Path, tuple[Kept, bytes]]:
        """Closes what the program had open and forgets its trouble; what it left, by path."""
        for descriptor, (opened, _) in self._descriptors.items():
            with suppress(OSError):
                if os.path.samestat(os.fstat(descriptor), opened):
                    os.close(descriptor)
        self._descriptors.clear()
        visible = self._frozen if self._frozen is not None else self._visible()
        self._frozen = self.trouble = self.met = None
        return visible

    def _lay(self, path: Path, data: bytes, kept: Kept | None) -> Kept:
        path.write_bytes(data)
        kept = kept or Kept(data)
        self._kept[path.stat().st_ino] = kept
        return kept


def _rename(standing: dict[str, Named], changed: dict[str, Named]) -> None:
    for name, there in changed.items():
        if there is None:
            standing.pop(name, None)
        else:
            standing[name] = there


def _left(flushed: bytes, written: bytes, share: float, zeros: bool) -> bytes:
    """What a power cut leaves of a file."""
    if not written.startswith(flushed):
        return written if share > 0.5 else flushed
    rest = written[len(flushed) :]
    kept = round(share * len(rest))
    return flushed + rest[:kept] + bytes((len(rest) - kept) * zeros)


class MachineClock:
    """The clocks of one machine. `passed` is the time that really passed, which no program can ask for."""

    def __init__(self, *, tells_boots: bool = True) -> None:
        self.passed = 0.0
        self._tells_boots = tells_boots
        self._boots = 1
        self._booted = -5000.0
        self._set_by = 0.0
        self._zone = timezone(timedelta(hours=2))

    def elapsed(self) -> float:
        return self.passed - self._booted

    def wall(self) -> datetime:
        moment = MORNING.timestamp() + self.passed + self._set_by
        return datetime.fromtimestamp(moment, self._zone).replace(microsecond=0)

    def boot_id(self) -> str:
        return f"boot {self._boots}" if self._tells_boots else ""

    def wait(self, seconds: float) -> None:
        """So much time passes, awake or asleep."""
        self.passed = round(self.passed + seconds, 3)

    def set_wall(self, seconds: float) -> None:
        """The wall clock is set forward, or back."""
        self._set_by += seconds

    def move_zone(self, minutes: int) -> None:
        """The machine is in another zone, or its summer time begins or ends."""
        self._zone = timezone(timedelta(minutes=minutes))

    def reboot(self) -> None:
        """The machine is started anew."""
        self._boots += 1
        self._booted = self.passed - 20.0
