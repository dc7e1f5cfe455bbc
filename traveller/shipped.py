"""Where the station folders and the demo workshop lie: inside an installed package, beside it in a checkout.

Both are loaded by path under a name of our own, so that nobody's site-packages gets a top-level package
called ``stations`` or ``demo``.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

from traveller.errors import TravellerError


def shipped_folder(name: str) -> Path:
    """The shipped folder `name` ("stations", "demo" or "fonts")."""
    here = Path(__file__).parent
    for folder in (here / name, here.parent / name):
        if folder.is_dir():
            return folder
    raise TravellerError(f"This installation has no folder {name}: install the program again.")


def load_package(name: str, folder: Path) -> ModuleType:
    """The package in `folder` under the module name `name`; its files import each other relatively."""
    if name in sys.modules:
        return sys.modules[name]
    start = folder / "__init__.py"
    spec = importlib.util.spec_from_file_location(name, start, submodule_search_locations=[str(folder)])
    if spec is None or spec.loader is None or not start.is_file():
        raise TravellerError(f"{start} is missing: a folder that is loaded needs it, empty if need be.")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module
