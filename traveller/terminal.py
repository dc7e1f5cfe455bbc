"""What this terminal remembers of itself: its name, its station, its look, and where the database is."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import platformdirs
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from traveller.errors import InputError

FOLDER_VARIABLE = "TRAVELLER_HOME"
DATABASE_VARIABLE = "TRAVELLER_DATABASE"
STATIONS_VARIABLE = "TRAVELLER_STATIONS"
PICTURES = {".png", ".jpg", ".jpeg", ".tif", ".tiff"}


class Settings(BaseModel):
    """Kept as JSON in the terminal's folder; every field may be left out.

    `signs` are "plain" or "full"; if empty, the terminal's kind decides.
    `pictures` is the folder that camera and microscope save into; the user's own picture folder if empty.
    After `idle_minutes` without a key or a scan the person is signed off; 0 never does it.
    """

    model_config = ConfigDict(extra="ignore")

    name: str = ""
    station: str = ""
    look: str = "bench-dark"
    signs: str = ""
    bell: bool = True
    pictures: str = ""
    idle_minutes: int = Field(default=30, ge=0)


def home() -> Path:
    """The folder for settings and the embedded database; `TRAVELLER_HOME` moves it."""
    own = os.environ.get(FOLDER_VARIABLE)
    return Path(own) if own else Path(platformdirs.user_data_dir("traveller", appauthor=False))


def database_url(named: str = "") -> str:
    """As named, else from `TRAVELLER_DATABASE`, else a file in the user's data folder."""
    return named or os.environ.get(DATABASE_VARIABLE, "") or str(home() / "workshop.sqlite")


def stations_folder() -> Path | None:
    """The workshop's own station folder that lies over the shipped one, if there is any."""
    named = os.environ.get(STATIONS_VARIABLE)
    if named and not Path(named).is_dir():
        raise InputError(f"{STATIONS_VARIABLE} names {named}, which is not a folder.")
    own = Path(named) if named else home() / "stations"
    return own if own.is_dir() else None


def picture_meant(text: str) -> str:
    """The path of the newest picture of this terminal for ``n`` or ``new``, else what was typed."""
    if text.strip().casefold() not in ("n", "new"):
        return text
    folder = Path(load_settings().pictures or platformdirs.user_pictures_dir())
    found = [path for path in folder.glob("*") if path.suffix.casefold() in PICTURES] if folder.is_dir() else []
    if not found:
        raise InputError(f"There is no picture in {folder}: take one, or type the path of one.")
    return str(max(found, key=lambda path: path.stat().st_mtime))


def keep_log() -> None:
    """What nobody foresaw goes to the file `log` in the terminal's folder, the last megabyte of it."""
    import logging
    from logging.handlers import RotatingFileHandler

    logger = logging.getLogger("traveller")
    if logger.handlers:
        return
    try:
        home().mkdir(parents=True, exist_ok=True)
        handler: logging.Handler = RotatingFileHandler(home() / "log", maxBytes=500_000, backupCount=1, delay=True)
    except OSError:
        handler = logging.NullHandler()
    handler.setFormatter(logging.Formatter("%(asctime)s %(message)s"))
    logger.addHandler(handler)
    logger.propagate = False


def load_settings() -> Settings:
    """The terminal's settings; a file that cannot be read counts as empty, the terminal has to open."""
    path = home() / "terminal.json"
    try:
        settings = Settings.model_validate_json(path.read_bytes())
    except (OSError, ValidationError):
        settings = Settings()
    return settings if settings.name else settings.model_copy(update={"name": socket.gethostname()[:40]})


def keep_paper(name: str, content: bytes) -> Path:
    """A document made here, in the folder `papers`; InputError when it cannot be written."""
    folder = home() / "papers"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    except OSError as error:
        raise InputError(f"{folder} cannot be written ({error.strerror}): make room or change its rights.") from None
    return folder / name


def keep_words(name: str, text: str) -> None:
    """Words that are not entered yet, on the disk before this returns and only for this user; empty words take the
    file away."""
    path = home() / name
    fresh = path.with_suffix(f".{os.getpid()}.new")
    try:
        if not text:
            path.unlink(missing_ok=True)
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.unlink(missing_ok=True)
        with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError as error:
        raise InputError(f"{path} cannot be written ({error.strerror}): what you write is not kept here.") from None


def kept_words(name: str) -> str:
    """What `keep_words` kept; empty when there is nothing or it cannot be read."""
    try:
        return (home() / name).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return ""


def save_settings(settings: Settings) -> None:
    """Written beside and moved into place, so that a power cut leaves the old or the new file."""
    folder = home()
    fresh = folder / "terminal.json.new"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        fresh.write_text(settings.model_dump_json(indent=1), encoding="utf-8")
        fresh.replace(folder / "terminal.json")
    except OSError as error:
        raise InputError(f"{folder} cannot be written ({error.strerror}): this terminal forgets.") from None
