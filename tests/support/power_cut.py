"""A file system on a loop device whose power can be cut: only what the device was given is there afterwards.

At a cut the image is copied as it stands, neither unmounted nor flushed. What is mounted after that is the
copy, so that its own recovery runs, as on a machine that is started again.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

MEGABYTES = {"ext4": 64, "xfs": 320, "btrfs": 160}
"""Size of the image by file system; the last two make none that is much smaller."""
OPTIONS = {"ext4": "rw", "xfs": "rw,nouuid", "btrfs": "rw"}
MEMORY = Path("/dev/shm")
MOST_TRIES = 50


class NotHere(Exception):
    """Why no power can be cut on this machine, as a sentence."""


class Cuttable:
    """A file system of its own in `folder`; `mount` is where it stands."""

    def __init__(self, kind: str, folder: Path, mount: Path) -> None:
        self.kind = kind
        self.mount = mount
        self._folder = folder
        self._image = folder / "image 0"
        self._device: str | None = None
        self._cuts = 0
        with self._image.open("wb") as image:
            image.truncate(MEGABYTES[kind] << 20)
        _done(f"mkfs.{kind}", "-q", str(self._image))
        self._plug_in()

    def cut(self) -> None:
        """Cuts the power and starts again. Nothing that has a file open there may run any more."""
        self._cuts += 1
        copy = self._folder / f"image {self._cuts}"
        _done("cp", "--sparse=always", str(self._image), str(copy))
        self.unplug()
        self._image.unlink()
        self._image = copy
        self._plug_in()

    def unplug(self) -> None:
        """Unmounts it and lets go of its device, however it was left."""
        if os.path.ismount(self.mount):
            with suppress(NotHere):
                _done("umount", str(self.mount))
        if os.path.ismount(self.mount):
            _done("umount", "-l", str(self.mount))
        if self._device is not None:
            device, self._device = self._device, None
            _done("losetup", "-d", device)

    def _plug_in(self) -> None:
        self._device = _done("losetup", "--find", "--show", str(self._image))
        try:
            _done("mount", "-t", self.kind, "-o", OPTIONS[self.kind], self._device, str(self.mount))
        except NotHere:
            self.unplug()
            raise


@contextmanager
def cuttable(kind: str, folder: Path) -> Iterator[Cuttable]:
    """A file system of this kind whose power can be cut. NotHere, in a sentence, where there can be none."""
    if os.geteuid() != 0:
        raise NotHere("power cuts need root, for loop devices and mounts")
    missing = [name for name in ("losetup", "mount", f"mkfs.{kind}") if shutil.which(name) is None]
    if missing:
        raise NotHere(f"power cuts on {kind} need {', '.join(missing)}")
    roomy = MEMORY.is_dir() and shutil.disk_usage(MEMORY).free > 1 << 30
    images = Path(tempfile.mkdtemp(prefix="mashday-cut-", dir=MEMORY if roomy else folder))
    mount = folder / "mount"
    mount.mkdir(exist_ok=True)
    made: Cuttable | None = None
    try:
        made = Cuttable(kind, images, mount)
        yield made
    finally:
        if made is not None:
            made.unplug()
        shutil.rmtree(images)


def _done(*words: str) -> str:
    """What a program tells. NotHere, with what it says, if it fails."""
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise NotHere(f"{' '.join(words)}: {done.stderr.strip()}")
    return done.stdout.strip()
