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
    """Every (module, name) imported anywhere in the file, those that only the type checker sees among them."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from ((node.module, alias.name) for alias in node.names)


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


#: Rooms from the ground up, rooms of one rank side by side: a room may use those of lower ranks, never its own neighbours.
GROUND = (
    ("findings", "late"),
    ("process",),
    ("vectors",),
    ("lengths", "tables"),
    ("in_unit",),
    ("stock",),
    ("shape",),
    ("make",),
)
FIRST = (
    ("order", "liquid.shapes"), ("design",), ("report",), ("liquid", "fit"), ("motion",), ("strength",), ("shop",),
    ("kinds",), ("examine",), ("cutting", "packet"), ("assembler", "page", "series"), ("cli",), ("__main__",),
)  # fmt: skip
#: The same inside a room. What lies loose in a room of folders stands above them; "." names it where it stands elsewhere.
INSIDE = {
    "parts": GROUND,
    "assemblies": FIRST,
    "assemblies.fit": ((".",), ("apart",), ("rows", "sections"), ("checks",)),
    "assemblies.liquid": (("shapes",), ("engine", "fluids", "waves"), ("loads",), (".",)),
    "assemblies.motion": (
        ("path",), ("swing", "pour", "drive", "spin", "throw"), ("plans", "filling"), ("schedule",), ("told",), (".",),
    ),
    "assemblies.strength": (("plates",), ("boxes", "sheets"), ("bonds",), ("proof", "mount"), ("inner",), ("tank", "round")),
    "assemblies.shop": (
        ("layout",), ("saw",), ("stock",), ("nest",), ("plan",), ("drill",), ("care",),
        ("heat",), ("bond",), ("handover",), ("record",),
    ),
    "assemblies.packet": (
        ("folder",), ("ink",), ("dxf",), ("models",), ("pictures",), ("drawings",), ("bench",), ("pages",),
    ),
}  # fmt: skip


def step_of(module: str, room: str, ranks: tuple[tuple[str, ...], ...]) -> tuple[int, str]:
    """The rank of a module among the things of a room, and which of them it belongs to."""
    inner = module.removeprefix(room).removeprefix(".")
    found = [
        (len(name), rank, name) for rank, names in enumerate(ranks) for name in names
        if inner == name or inner.startswith(f"{name}.")
    ]  # fmt: skip
    if found:
        _, rank, name = max(found)
        return rank, name
    assert room not in ("parts", "assemblies") or not inner, f"{module} has no place in the ladder"
    loose = next((rank for rank, names in enumerate(ranks) if "." in names), len(ranks))
    return loose, "."


def upward(links: dict[str, set[str]]) -> list[str]:
    """Imports that go up, or to a neighbour of the same rank, on both levels."""
    wrong = []
    for room, ranks in INSIDE.items():
        for module, targets in links.items():
            for target in targets:
                if all(m.startswith(f"{room}.") for m in (module, target)):
                    (here, mine), (there, its) = (step_of(m, room, ranks) for m in (module, target))
                    if mine != its and there >= here:
                        wrong.append(f"{module} -> {target}")
    return sorted(set(wrong))


def test_rooms_import_downward_only() -> None:
    assert upward(graph()) == []


def test_an_import_that_goes_up_is_seen_on_both_levels() -> None:
    links = graph()
    for module, target in (
        ("parts.stock.sheet", "parts.make.panel"),
        ("assemblies.design.model", "assemblies.strength.proof.uses"),
        ("assemblies.liquid.shapes.cavity", "assemblies.liquid.engine"),
        ("assemblies.strength.plates.plate", "assemblies.strength.boxes.box"),
        ("assemblies.shop.nest.nest", "assemblies.shop.plan.items"),
        ("assemblies.strength.tank.prove", "assemblies.shop.plan.items"),
    ):
        assert {module, target} <= MODULES
        assert upward({**links, module: links[module] | {target}}) == [f"{module} -> {target}"]


def test_a_room_says_what_it_is_for_and_is_not_crowded() -> None:
    """Rooms a stranger can find: a purpose in each `__init__`, at most a dozen things in each room."""
    for path in sorted([*ROOT.glob("parts/**/__init__.py"), *ROOT.glob("assemblies/**/__init__.py")]):
        assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), path
        things = [p for p in path.parent.iterdir() if p.suffix == ".py" or (p / "__init__.py").exists()]
        most = MOST_ROOMS if path.parent == ROOT / "assemblies" else MOST_THINGS
        assert len(things) - 1 <= most, f"{path.parent}: {len(things) - 1}"


MOST_THINGS = 12
MOST_ROOMS = 17  # the first floor itself: a room for each thing of the ladder


@pytest.mark.parametrize("module", sorted(MODULES))
def test_what_a_module_offers_is_there_and_documented(module: str) -> None:
    loaded = importlib.import_module(module)
    assert loaded.__doc__, f"{module} does not say what it is"
    offered = list(getattr(loaded, "__all__", []))
    assert [n for n in offered if not hasattr(loaded, n)] == []
    assert len(set(offered)) == len(offered)


@pytest.mark.parametrize("room", ["assemblies", "assemblies.liquid", "assemblies.shop", "assemblies.strength", "parts"])
def test_a_door_that_opens_late_leads_where_the_type_checker_sees_it(room: str) -> None:
    door = importlib.import_module(room)
    assert door.__file__
    seen = [
        (name, source) for source, name in imports(ast.parse(Path(door.__file__).read_text(encoding="utf-8")))
        if source.startswith(f"{room.split('.')[0]}.")
    ]  # fmt: skip
    assert sorted(name for name, _ in seen if name != "late") == sorted(door.__all__)
    assert [n for n, source in seen if getattr(door, n) is not getattr(importlib.import_module(source), n)] == []
    with pytest.raises(AttributeError):
        door.nothing  # noqa: B018


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
        ["start", "panels"],
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
