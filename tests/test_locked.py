"""Every dependency is locked to one version and its hashes, so that an install brings what was tested.

The form is that of pip's requirements files (pip documentation, "Hash-checking Mode"); names are compared as in the
Python packaging specification, "Names and normalization", versions as in "Version specifiers".
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

TOP = Path(__file__).parents[1]
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NEEDED = [Requirement(one) for one in (*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"])]
PIN = re.compile(r"(?P<name>[A-Za-z0-9._-]+)==(?P<version>\S+)")
HASH = re.compile(r"--hash=sha256:[0-9a-f]{64}")


def locked() -> dict[str, tuple[Version, int]]:
    """By name the version and how many hashes it has; a line that is neither is a mistake."""
    text = (TOP / ".ci" / "requirements.lock").read_text(encoding="utf-8")
    found: dict[str, tuple[Version, int]] = {}
    for line in re.sub(r"\\\n", " ", text).splitlines():
        if not line.strip() or line.strip().startswith("#"):
            continue
        pin, *hashes = line.split()
        match = PIN.fullmatch(pin)
        assert match, f"not a pinned version: {line}"
        assert all(HASH.fullmatch(one) for one in hashes), f"not a sha256: {line}"
        name = canonicalize_name(match["name"])
        assert name not in found, f"{name} is locked twice"
        found[name] = (Version(match["version"]), len(hashes))
    return found


@pytest.mark.parametrize("needed", NEEDED, ids=[one.name for one in NEEDED])
def test_what_the_project_needs_is_locked_to_a_version_that_it_allows(needed: Requirement) -> None:
    version, _ = locked()[canonicalize_name(needed.name)]
    assert needed.specifier.contains(version, prereleases=True)


def test_every_locked_version_has_a_hash_and_comes_from_no_place_of_this_machine() -> None:
    without = [name for name, (_, hashes) in locked().items() if not hashes]
    assert without == []
    assert len(locked()) > len(NEEDED), "what the dependencies need is locked too"
