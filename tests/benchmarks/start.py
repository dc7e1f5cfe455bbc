"""Start to first usable screen, against a bare Textual app that loads the same modules of others."""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.benchmarks.large_shop import large_shop
from tests.benchmarks.row import Row, Size


def measure(size: Size) -> list[Row]:
    url = large_shop(100).url
    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "TRAVELLER_HOME": folder}
        env.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program is compiled
        names = Path(folder) / "modules.json"
        warm = _started(env, url)
        names.write_text(json.dumps(warm["modules"]), encoding="utf-8")
        pairs = [(warm, _started(env, "bare", str(names)))]
        for _ in range(size.choose(0, 7, 13)):
            pairs.append((_started(env, url), _started(env, "bare", str(names))))
    ours, floor = (statistics.median(pair[place]["ms"] for pair in pairs) for place in (0, 1))
    memory = max(mine["memory"] for mine, _ in pairs)
    return [Row("start to first usable screen", ours, floor, "ms", 1.4, memory)]


def _started(env: dict[str, str], *words: str) -> dict[str, Any]:
    began = time.perf_counter()
    ran = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.starts", *words], env=env, capture_output=True, text=True, check=True
    )
    line = next(line for line in ran.stdout.splitlines() if '"usable"' in line)
    found: dict[str, Any] = json.loads(line[line.index("{") :])
    return {**found, "ms": (found["usable"] - began) * 1000}
