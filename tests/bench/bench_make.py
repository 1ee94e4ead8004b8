"""`seamwright make` of starters and demos against a bare-kernel floor: `python tests/bench/bench_make.py [kind | order ...]`.

The floor is a process that imports the kernel's CAD library, builds the same pieces from their outlines, puts them together
and calls the kernel's own writers: STEP and GLB of the whole, STEP and STL of each piece. Wall time of whole processes, imports
included, least of the rounds, taken in turn: for an idle machine. Prints the ratios; exit code 1 when one is over its limit.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT)]

from assemblies.kinds import kinds, schemas, starter  # noqa: E402
from assemblies.order import read_order_text  # noqa: E402

ROUNDS = 3
DEMO = 1.6  # of an order's file
MOST = {"tank": 1.3, "prop-mount": 1.6, "enclosure": 1.6, "round-tank": 1.6, "gearbox": 2.0, "deflector": 2.0}
FLOOR = """
import pickle, sys
from pathlib import Path
import cadquery as cq
from parts.shape.solid import solid
design, out = pickle.loads(Path(sys.argv[1]).read_bytes()), Path(sys.argv[2])
shapes = {piece.name: solid(piece) for piece in design.pieces}
whole = cq.Assembly(name="whole")
for placed in design.placed:
    plane = cq.Plane(origin=placed.origin, xDir=placed.x, normal=placed.z)
    whole.add(shapes[placed.piece.name], name=placed.name, loc=cq.Location(plane), color=cq.Color(0.7, 0.85, 0.9, 0.4))
whole.export(str(out / "whole.step"))
whole.export(str(out / "whole.glb"))
for name, shape in shapes.items():
    cq.exporters.export(cq.Workplane(obj=shape), str(out / f"{name}.step"))
    cq.exporters.export(cq.Workplane(obj=shape), str(out / f"{name}.stl"))
"""


def used(command: list[str]) -> float:
    """Seconds that a process takes."""
    before = time.perf_counter()
    done = subprocess.run(command, cwd=ROOT, env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": str(ROOT)},
                          capture_output=True, text=True, check=False)  # fmt: skip
    if done.returncode not in (0, 1):  # 1: not every starter is "go"; its packet is whole all the same
        raise SystemExit(f"{command[:3]} failed: {done.stderr}")
    return time.perf_counter() - before


def main(wanted: list[str]) -> int:
    over = 0
    for name in wanted or kinds():
        text = starter(name) if name in kinds() else Path(name).read_text(encoding="utf-8")
        with tempfile.TemporaryDirectory() as folder:
            order = Path(folder) / "order.toml"
            order.write_text(text, encoding="utf-8")
            read = read_order_text(text, schemas())
            design = kinds()[read.kind].build(read, None)
            (Path(folder) / "design").write_bytes(pickle.dumps(design))
            make = [sys.executable, "-m", "assemblies", "make", str(order), "--out", folder]
            floor = [sys.executable, "-c", FLOOR, f"{folder}/design", folder]
            pairs = [(used(floor), used(make)) for _ in range(ROUNDS)]
        ratio, most = min(m for _, m in pairs) / min(f for f, _ in pairs), MOST.get(name) if name in kinds() else DEMO
        print(f"{name}: make / floor {ratio:.2f}" + (f" (most {most})" if most else ""))
        over += most is not None and ratio > most
    return int(over > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
