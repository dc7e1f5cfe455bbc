"""Photos of units: taken, looked at, written out."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from traveller.errors import InputError
from traveller.record.acts.deeds.looking import TakingPhotos
from traveller.record.answering import read_answer
from traveller.record.answers import Answer, Pictured
from traveller.record.photos import all_photos
from traveller.record.view import UnitView
from traveller.sheets import CheckKind
from traveller.store.keeping import Keeping
from traveller.store.picture import PictureFile, read_photos

if TYPE_CHECKING:
    from traveller.pictures.photo import Photo as CheckedPhoto

ENDINGS = {b"\x89PN": ".png", b"\xff\xd8\xff": ".jpg"}


def picture_files(photos: Sequence[CheckedPhoto]) -> list[PictureFile]:
    return [PictureFile(one.name, one.data, one.media_type) for one in photos]


def pictured(files: Sequence[CheckedPhoto]) -> Pictured:
    """The answer that the photos are; their bytes are handed in beside it."""
    return Pictured(
        pictures=tuple(one.enclosed.sha256 for one in picture_files(files)),
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

    def __init__(self, keeping: Keeping) -> None:
        self._keeping = keeping

    def take(self, tag: str, by: str, paths: str, of: str = "", caption: str = "") -> UnitView:
        """Keep the pictures in the files that `paths` names (with ; between them)."""
        files = read_photos(paths)

        deed = TakingPhotos(given=pictured(files), of=of, caption=caption)
        return self._keeping.do(tag, by, deed, picture_files(files))

    def picture(self, sha256: str) -> bytes:
        found = self._keeping.picture(sha256)
        if found is None:
            raise InputError("The database does not hold this picture: was it restored from an older backup?")
        return found

    def save(self, tag: str, folder: Path) -> list[Path]:
        """Write all photos of a unit into a folder, numbered in the order in which they were taken."""
        view = self._keeping.unit(tag)
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
