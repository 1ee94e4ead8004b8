"""How long solids, interference and files take, as ratios in one run.

    python tests/bench/bench_kernel.py [rounds]        (5 rounds unless said; about 30 s)

1. Seven pieces, whole processes, imports included, best of the rounds: everything this room writes
   (interference, floating, STEP, exploded STEP, GLB, and STEP, STL and DXF of each part, all read back) against
   the floor, a bare script that imports the kernel, builds the same boxes and holes and calls the kernel's own
   STEP, STL and GLB writers. At most 1.6.
2. `seamwright make` of the starter tank against the same floor. At most 1.3. Says "not there" when the command
   is not.
3. Interference of 200 pieces against 50, in one process, imports and solids excluded; one pair of each tank is
   measured by the kernel. At most 6 (all pairs would be 16).

Exit code 1 when a ratio is over its limit.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "kit")]

FLOOR = """
import sys
from pathlib import Path
import cadquery as cq
out = Path(sys.argv[1])
def box(name, l, w, t):
    return name, cq.Workplane().box(l, w, t, centered=False)
def plate(name):
    spots = [(x, y) for x in (12.5, 37.5) for y in (12.5, 37.5)]
    body = cq.Workplane().box(50, 50, 12, centered=False).faces(">Z").workplane(origin=(0, 0, 12))
    return name, body.pushPoints(spots).hole(5.2, 9)
pieces = [box("front", 300, 150, 6), box("back", 300, 150, 6), box("bottom", 300, 188, 6),
          box("left", 188, 144, 6), box("right", 188, 144, 6), plate("plate-1"), plate("plate-2")]
assembly = cq.Assembly(name="tank")
for i, (name, body) in enumerate(pieces):
    assembly.add(body, name=name, loc=cq.Location((0, 0, 20 * i)), color=cq.Color(0.7, 0.85, 0.9, 0.4))
assembly.export(str(out / "tank.step"))
assembly.export(str(out / "tank.glb"))
for name, body in pieces:
    cq.exporters.export(body, str(out / f"{name}.stl"))
"""

OURS = """
import sys
from pathlib import Path
from samples import design
from assemblies.fit.interference import floating, interferences
from assemblies.packet.models.glb import write_glb
from assemblies.packet.dxf.profile_dxf import write_profile
from assemblies.packet.models.step import write_piece_step, write_step
from assemblies.packet.models.stl import write_stl
out, model = Path(sys.argv[1]), design()
assert interferences(model) == () and floating(model) == ()
write_step(model, out / "tank.step")
write_step(model, out / "exploded.step", {p.name: (0.0, 0.0, 50.0 * i) for i, p in enumerate(model.placed)})
write_glb(model, out / "tank.glb")
for piece in model.pieces:
    write_piece_step(piece, out / f"{piece.name}.step")
    write_stl(piece, out / f"{piece.name}.stl")
    write_profile(piece, out / f"{piece.name}.dxf")
"""


def whole_process(command: list[str]) -> float:
    start = time.perf_counter()
    done = subprocess.run(command, cwd=ROOT, env=_environment(), capture_output=True, text=True, check=False)
    if done.returncode not in (0, 1):  # 1: the order is a stop or not proven, the packet is written all the same
        raise SystemExit(f"{command[:3]} failed: {done.stderr}")
    return time.perf_counter() - start


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": f"{ROOT}:{ROOT / 'tests' / 'kit'}"}


def rounds_of(commands: dict[str, list[str]], rounds: int) -> dict[str, float]:
    """The best time of each command; they take turns, so that a busy machine hits all alike."""
    best = dict.fromkeys(commands, float("inf"))
    for _ in range(rounds):
        for name, command in commands.items():
            best[name] = min(best[name], whole_process(command))
    return best


def interference_seconds(count: int) -> float:
    """Tanks beside each other; in every one the left end stands 0.3 mm into the back."""
    from samples import design, tank

    from assemblies.fit.interference import interferences

    rows = []
    for k in range(-(-count // 7)):
        placed = list(tank(at=(400.0 * (k % 6), 300.0 * (k // 6), 0.0), prefix=f"{k}-"))
        x, y, z = placed[3].origin
        placed[3] = replace(placed[3], origin=(x, y + 0.3, z))
        rows += placed
    model = design(*rows[:count])
    interferences(model)  # solids are made and cached
    start = time.perf_counter()
    found = interferences(model)
    taken = time.perf_counter() - start
    whole = sum(1 for p in model.placed if p.name.endswith("-left"))
    assert len(found) == whole, f"{len(found)} found of {whole}"
    return taken


def main() -> int:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    python, over = sys.executable, False
    with tempfile.TemporaryDirectory() as folder:
        for name in ("floor", "ours", "make"):
            (Path(folder) / name).mkdir()
        commands = {"floor": [python, "-c", FLOOR, f"{folder}/floor"], "files": [python, "-c", OURS, f"{folder}/ours"]}
        command = [python, "-c", "from assemblies.cli import main; main()"]
        start = subprocess.run(
            [*command, "start", "tank"], cwd=ROOT, env=_environment(), capture_output=True, check=False
        )
        if start.returncode == 0 and start.stdout:
            order = Path(folder) / "order.toml"
            order.write_bytes(start.stdout)
            commands["make"] = [*command, "make", str(order), "--out", f"{folder}/make"]
        else:
            print("make: not there")
        best = rounds_of(commands, rounds)
    for name in list(commands)[1:]:
        ratio = best[name] / best["floor"]
        most = {"make": 1.3}.get(name, 1.6)
        over |= ratio > most
        print(f"{name}: {best[name]:.2f} s against a floor of {best['floor']:.2f} s: {ratio:.2f} (at most {most:g})")
    few, many = (min(interference_seconds(n) for _ in range(rounds)) for n in (50, 200))
    over |= many / few > 6.0
    print(f"interference: 200 pieces {many * 1e3:.0f} ms, 50 pieces {few * 1e3:.0f} ms: {many / few:.2f} (at most 6)")
    return int(over)


if __name__ == "__main__":
    sys.exit(main())
