"""Runs the small programs of npm that some tests use as readers that did not write our files.

They are pinned in tests/package-lock.json and installed by `npm ci --prefix tests`; SEAMWRIGHT_NODE_MODULES
may name another folder that has them. A test that needs them fails, and says so, when they are missing: it
never passes by skipping.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent


def node(module: str, script: str, *arguments: str) -> Any:
    """Run a script that prints JSON; it finds `module` loaded as `lib` and `arguments` as `args`."""
    program = shutil.which("node")
    assert program, "node is not installed; Debian: apt-get install nodejs npm"
    modules = Path(os.environ.get("SEAMWRIGHT_NODE_MODULES", HERE / "node_modules"))
    assert (modules / module).is_dir(), f"{module} is not in {modules}; run: npm ci --prefix tests"
    head = f"const lib = require({json.dumps(str(modules / module))}); const args = process.argv.slice(1);"
    done = subprocess.run(
        [program, "-e", head + script, *arguments], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)
