from __future__ import annotations

from tests.way.painting import painted_at_rest

__all__ = ["painted_at_rest"]
