"""Photos of units: taken, looked at, written out."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from traveller.errors import InputError
from traveller.record.acts import photo as acts
from traveller.record.acts.rights import Proposed
from traveller.record.answering import read_answer
from traveller.record.answers import Answer, Pictured
from traveller.record.photos import all_photos
from traveller.record.view import UnitView
from traveller.sheets import CheckKind
from traveller.store.desk import Desk, Scene
from traveller.store.engine import reading
from traveller.store.picture import keep_photo, picture, read_photos

if TYPE_CHECKING:
    from traveller.pictures.photo import Photo as CheckedPhoto

ENDINGS = {b"\x89PN": ".png", b"\xff\xd8\xff": ".jpg"}


def photos_kept(connection: Connection, files: Sequence[CheckedPhoto]) -> Pictured:
    return Pictured(
        pictures=tuple(keep_photo(connection, one) for one in files),
        names=tuple(one.name for one in files),
        originals=tuple(one.original for one in files),
    )


def photos_typed(view: UnitView, check: str, typed: str | Mapping[str, str] | Answer) -> list[CheckedPhoto]:
    """The photos in the files that were typed as the answer of a photo check; none for every other answer."""
    asked = view.book.check(check)
    if not isinstance(typed, str) or asked is None or asked.kind is not CheckKind.PHOTO:
        return []
    return read_photos(typed) if isinstance(read_answer(asked, typed), Pictured) else []


class Photos:
    """Files are read and made smaller before the record is touched: a large photo keeps nobody waiting."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def take(self, tag: str, by: str, paths: str, of: str = "", caption: str = "") -> UnitView:
        """Keep the pictures in the files that `paths` names (with ; between them)."""
        files = read_photos(paths)

        def decide(scene: Scene) -> list[Proposed]:
            return acts.take(scene.view, scene.person, photos_kept(scene.connection, files), of, caption)

        return self._desk.act(tag, by, decide)

    def picture(self, sha256: str) -> bytes:
        with reading(self._desk.engine) as connection:
            found = picture(connection, sha256)
        if found is None:
            raise InputError("The database does not hold this picture: was it restored from an older backup?")
        return found[1]

    def save(self, tag: str, folder: Path) -> list[Path]:
        """Write all photos of a unit into a folder, numbered in the order in which they were taken."""
        with reading(self._desk.engine) as connection:
            view = self._desk.view(connection, self._desk.unit_tag(tag))
        written = []
        try:
            folder.mkdir(parents=True, exist_ok=True)
            for number, one in enumerate(all_photos(view.unit), 1):
                data = self.picture(one.sha256)
                stem = re.sub(r"[^\w-]+", "-", f"{one.of or 'unit'} {Path(one.name).stem}").strip("-")
                path = folder / f"{view.unit.tag}-{number:02}-{stem[:80]}{ENDINGS.get(data[:3], '.tif')}"
                path.write_bytes(data)
                written.append(path)
        except OSError as error:
            raise InputError(f"{folder} cannot be written ({error.strerror}): name another folder.") from None
        return written
