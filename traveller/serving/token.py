"""The secret that lets a browser in: made at each start, or kept in a file that nobody else can read."""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
import stat
from pathlib import Path

from traveller.errors import InputError

SHORTEST = 32
"""Characters of a token in a file; fewer could be guessed."""


def new_token() -> str:
    """256 bits of chance, in characters that need no quoting in an address."""
    return secrets.token_urlsafe(32)


def kept_token(file: Path) -> str:
    """The token in the file; a file that is not there yet is made, with a fresh one in it."""
    try:
        with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as made:
            made.write(f"{new_token()}\n")
    except FileExistsError:
        pass
    except OSError as error:
        raise InputError(f"{file} cannot be made ({error.strerror}): name a file in a folder of yours.") from None
    return _read(file)


def _read(file: Path) -> str:
    try:
        with file.open(encoding="ascii") as opened:
            mode = stat.S_IMODE(os.fstat(opened.fileno()).st_mode)
            token = opened.read(1000).strip()
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not plain text"
        raise InputError(f"{file} cannot be read ({why}): name another file, or let a new one be made.") from None
    if os.name == "posix" and mode & 0o077:
        raise InputError(
            f"{file} can be read by others (mode {mode:o}): chmod 600 {file}, and put a new token into it."
        )
    if len(token) < SHORTEST or not token.replace("-", "").replace("_", "").isalnum():
        raise InputError(
            f"{file} holds no token: at least {SHORTEST} letters, digits, - and _. Remove it, and a new one is made."
        )
    return token


def cookie_of(token: str) -> str:
    """What the browser keeps instead of the token; the one cannot be worked out from the other."""
    return hmac.new(token.encode(), b"cookie of the tablet", hashlib.sha256).hexdigest()


def same(given: str, right: str) -> bool:
    """Compared in a time that tells nothing about how much of it was right."""
    return hmac.compare_digest(given.encode("utf-8", "replace"), right.encode())
