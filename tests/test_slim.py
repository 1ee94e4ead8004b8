"""The slim install (`.setup/prepare --slim`) has all that our code names and that the kernel and the picture load."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from importlib.metadata import packages_distributions
from pathlib import Path

from assemblies.kinds import starter

ROOT = Path(__file__).parents[1]
#: Imported by functions that a command does not call: solids for who asks from Python, workers on other machines.
NEVER_ASKED = {"cadquery": {"parts/shape/solid.py", "assemblies/fit/interference.py"}}


def slim() -> set[str]:
    return set((ROOT / ".setup" / "slim.txt").read_text().split())


def test_every_library_that_our_code_imports_is_in_the_slim_install() -> None:
    known, missing = packages_distributions(), set()
    for path in [*ROOT.glob("parts/**/*.py"), *ROOT.glob("assemblies/**/*.py")]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module] if isinstance(node, ast.ImportFrom) and node.module else []
            for top in (
                {name.partition(".")[0] for name in names} - {"parts", "assemblies"} - set(sys.stdlib_module_names)
            ):
                where = path.relative_to(ROOT).as_posix()
                have = {re.sub(r"[_.]+", "-", name.lower()) for name in known.get(top, [])}
                if not have & slim() and where not in NEVER_ASKED.get(top, set()):
                    missing.add((top, where))
    assert missing == set()


def test_every_name_of_the_slim_install_is_locked() -> None:
    locked = re.findall(r"(?m)^([a-z0-9-]+)==", (ROOT / "requirements.lock").read_text())
    assert slim() <= set(locked)


BLOCKED = """
import sys
from importlib.metadata import packages_distributions
keep = set(sys.argv.pop(1).split(","))
for top, whose in packages_distributions().items():
    if not {name.lower().replace("_", "-") for name in whose} & (keep | {"seamwright"}):
        sys.modules[top] = None  # as if it were not there
import ezdxf, jinja2, numba, reportlab.pdfgen.canvas, skfem, typst  # what `make` needs besides the kernel
from assemblies.__main__ import run
run()
"""


def test_solids_are_compared_without_the_other_packages(tmp_path: Path) -> None:
    (tmp_path / "o.toml").write_text(starter("panels"))
    run = subprocess.run(
        [sys.executable, "-c", BLOCKED, ",".join(sorted(slim())), "fit", "o.toml"], cwd=tmp_path, text=True,
        capture_output=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)}, timeout=60,
    )  # fmt: skip
    assert (run.returncode, run.stderr) == (0, "")
