"""The plan of the house, held by reading the code: who may import whom, what is light, what is named."""

import ast
import importlib
import pkgutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import assemblies
import parts
from parts.tables import load, names

ROOT = Path(__file__).parent.parent
FILES = {p: ".".join(p.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__") for p in
         sorted([*ROOT.glob("parts/**/*.py"), *ROOT.glob("assemblies/**/*.py")])}  # fmt: skip
MODULES = set(FILES.values())


def imports(tree: ast.AST) -> Iterator[tuple[str, str]]:
    """Every (module, name) imported anywhere in the file, but for those only the type checker sees."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            continue
        if isinstance(node, ast.Import):
            yield from ((alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from ((node.module, alias.name) for alias in node.names)
        else:
            yield from imports(node)


def graph() -> dict[str, set[str]]:
    """Module to the modules of ours it imports."""
    out: dict[str, set[str]] = {}
    for path, module in FILES.items():
        found = out.setdefault(module, set())
        for source, name in imports(ast.parse(path.read_text(encoding="utf-8"))):
            target = f"{source}.{name}" if f"{source}.{name}" in MODULES else source
            if target in MODULES and target != module:
                found.add(target)
    return out


def test_parts_never_import_assemblies() -> None:
    upward = [
        (m, t)
        for m, targets in graph().items()
        if m.split(".")[0] == "parts"
        for t in targets
        if t.startswith("assemblies")
    ]
    assert upward == []


def test_no_module_imports_itself_in_a_circle() -> None:
    links = graph()
    state: dict[str, int] = {}

    def visit(module: str, trail: list[str]) -> None:
        if state.get(module) == 2:
            return
        assert state.get(module) != 1, " -> ".join([*trail[trail.index(module) :], module])
        state[module] = 1
        for target in sorted(links[module]):
            visit(target, [*trail, module])
        state[module] = 2

    for module in sorted(links):
        visit(module, [])


#: Rooms from the ground up: a room may use those before it, never those after it.
LADDER = ("order", "design", "liquid", "kinds", "fit", "facets", "sweep", "explode", "strength", "hold_scope", "hold_bow",
          "hold_rows", "hold_sheet", "hold", "thickness", "remedies", "choose", "shop", "report", "examine", "cutting",
          "packet", "say", "say_cut", "cli")  # fmt: skip


def test_rooms_import_downward_only() -> None:
    rank = {room: i for i, room in enumerate(LADDER)}
    wrong = []
    for module, targets in graph().items():
        if not module.startswith("assemblies."):
            continue
        room = module.split(".")[1]
        assert room in rank, f"{room} has no place in the ladder"
        wrong += [
            (module, t) for t in targets
            if t.startswith("assemblies.") and rank[t.split(".")[1]] > rank[room]
        ]  # fmt: skip
    assert wrong == []


@pytest.mark.parametrize("module", sorted(MODULES))
def test_what_a_module_offers_is_there_and_documented(module: str) -> None:
    loaded = importlib.import_module(module)
    assert loaded.__doc__, f"{module} does not say what it is"
    offered = list(getattr(loaded, "__all__", []))
    assert [n for n in offered if not hasattr(loaded, n)] == []
    assert len(set(offered)) == len(offered)


def test_packages_hold_only_what_can_be_imported() -> None:
    found = {m.name for pkg in (parts, assemblies) for m in pkgutil.walk_packages(pkg.__path__, f"{pkg.__name__}.")}
    assert found | {"parts", "assemblies"} == MODULES


def test_every_table_loads_and_every_row_says_where_it_is_from() -> None:
    assert len(names()) >= 12
    for name in names():
        rows = load(name)
        assert rows, name
        assert all(row["source"] and row["how_known"] for row in rows), name


@pytest.mark.parametrize(
    "command",
    [
        ["--help"],
        ["show", "threads"],
        ["show", "kinds"],
        ["start", "tank"],
        ["fit", "missing.toml"],
        ["hold", "missing.toml"],
    ],
)
def test_light_commands_import_no_kernel_and_no_heavy_library(command: list[str]) -> None:
    code = (
        "import sys\nfrom assemblies.cli import main\n"
        f"sys.argv = ['seamwright', *{command!r}]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = {'cadquery', 'OCP', 'vtk', 'vtkmodules', 'numpy', 'scipy', 'shapely', 'ezdxf', 'numba', 'trimesh'}\n"
        "print('\\nLOADED', sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.stdout.rstrip().endswith("LOADED []"), done.stdout[-300:] + done.stderr[-300:]
