"""The steps by which the database of an older version becomes that of this one.

`REVISIONS` names them, oldest first, so that an up-to-date database is recognised without loading Alembic.
"""

from __future__ import annotations

REVISIONS = ("0001", "0002", "0003", "0004")
HEAD = REVISIONS[-1]
