"""What was handed in with a deed while the database was away: pictures in a folder, each under its SHA-256."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

from traveller.errors import Refused
from traveller.store.on_disk import replace, sync_folder


class KeptPictures:
    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def put(self, sha256: str, data: bytes) -> None:
        """On the disk when this returns. One that is there and whole is not written again."""
        if self.find(sha256) is None:
            if not self._folder.is_dir():
                self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
                sync_folder(self._folder.parent)
            replace(self._folder / sha256, data)

    def find(self, sha256: str) -> bytes | None:
        """The bytes, None when they are not here or are no longer what they were."""
        try:
            data = (self._folder / sha256).read_bytes()
        except OSError:
            return None
        return data if hashlib.sha256(data).hexdigest() == sha256 else None

    def need(self, sha256: str, name: str) -> bytes:
        data = self.find(sha256)
        if data is None:
            raise Refused(f"The picture {name} is not whole any more at this terminal: take it again, drop this one.")
        return data

    def forget(self, pictures: Iterable[str]) -> None:
        for sha256 in pictures:
            (self._folder / sha256).unlink(missing_ok=True)
