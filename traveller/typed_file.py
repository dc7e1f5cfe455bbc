"""A file that a person names by its path, as they type it: in quotation marks or not, with ~ for their home."""

from __future__ import annotations

from pathlib import Path
from stat import S_ISREG

from traveller.errors import InputError

MEGABYTE = 1_000_000


def typed_file(typed: str, most: int, wanted: str) -> tuple[str, bytes]:
    """(name, bytes) of the plain file at a typed path; InputError unless it is one of at most `most` bytes.

    `wanted` is what is asked for, with its article: "a picture file".
    """
    plain = typed.strip().strip("'\"")
    try:
        path = Path(plain).expanduser()
        found = path.stat()
        if not S_ISREG(found.st_mode):
            raise InputError(f"{plain} is not a file: give the path of {wanted}.")
        if found.st_size > most:
            size, allowed = found.st_size / MEGABYTE, most // MEGABYTE
            raise InputError(
                f"{path.name} has {size:.1f} MB and {allowed} MB is the most: make it smaller, or name another."
            )
        return path.name, path.read_bytes()
    except FileNotFoundError:
        raise InputError(f"{plain} is not a file: give the path of {wanted}.") from None
    except (OSError, RuntimeError, ValueError) as error:
        what = getattr(error, "strerror", None) or error
        raise InputError(f"{plain}: {what}. Give the path of {wanted}.") from None
