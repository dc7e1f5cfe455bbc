"""Whether a path lies on a network file system, where SQLite's locks cannot be relied on.

Source: SQLite documentation, "Write-Ahead Logging" (all processes must be on the same host) and "How To
Corrupt An SQLite Database File" 2.1 (file systems with broken lock implementations).
"""

from __future__ import annotations

import re
from pathlib import Path, PurePosixPath

NETWORK_KINDS = frozenset(
    {"nfs", "nfs4", "cifs", "smb2", "smb3", "smbfs", "afs", "ceph", "lustre", "glusterfs", "davfs", "9p"}
    | {f"fuse.{name}" for name in ("sshfs", "smbnetfs", "rclone", "davfs2", "glusterfs", "ceph", "s3fs")}
)
ESCAPED = re.compile(r"\\([0-7]{3})")


def mounts() -> str:
    """The mount table of this machine; empty where there is none to read."""
    try:
        return Path("/proc/mounts").read_text(encoding="utf-8", errors="surrogateescape")
    except OSError:
        return ""


def network_file_system(path: str, mounts_text: str) -> str | None:
    """The kind of the network file system under `path` (absolute, links resolved), None for a local one.

    `mounts_text` has the form of /proc/mounts (proc(5), fstab(5)): the deepest mount point that holds the
    path counts, of two on the same point the later. A 9p root is the whole disk of a virtual machine and
    counts as local; any other 9p mount is a folder shared with another system.
    """
    kind, deepest = "", -1
    for line in mounts_text.splitlines():
        fields = line.split()
        if len(fields) < 3:
            continue
        point = PurePosixPath(ESCAPED.sub(lambda octal: chr(int(octal[1], 8)), fields[1]))
        if PurePosixPath(path).is_relative_to(point) and len(point.parts) >= deepest:
            kind, deepest = fields[2], len(point.parts)
    if kind == "9p" and deepest == 1:
        return None
    return kind if kind in NETWORK_KINDS else None
