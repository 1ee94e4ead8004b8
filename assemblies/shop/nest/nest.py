"""Nesting for router or laser: places, compensated paths, the order of cutting, length and time.

Order on a sheet: everything that is drilled; then, beginning with pieces that lie inside the holes of others, the cut-outs of
pieces and after them their outlines, small pieces last; so nothing is cut on a piece that has already come free.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from assemblies.design.model import Design
from assemblies.shop.nest.model import CutPath, Nest, NestPlace, NestSheet, NestSpec, NestStock, Process, nest_rule, put
from assemblies.shop.nest.paths import PieceCuts, piece_cuts, tab_places
from assemblies.shop.nest.search import Laid, search
from parts.findings import Finding, SeamwrightError
from parts.shape.outline import Circle, Loop
from parts.shape.part import require
from parts.shape.piece import Piece
from parts.tables import Row, cite, load

__all__ = ["cut_speed_mm_s", "default_spec", "nest", "nest_items", "nest_row"]

Item = tuple[str, Piece]


def default_spec(process: Process, kerf_mm: float | None = None) -> NestSpec:
    """The machine as the tables have it; `kerf_mm` is the cutter's or the beam's diameter.

    >>> default_spec("router").kerf_mm, default_spec("laser").spacing_mm
    (6.0, 2.0)
    """
    row = next(row for row in load("process_defaults") if row["process"] == process)
    kerf = float(row["kerf_mm"]) if kerf_mm is None else kerf_mm
    return NestSpec(process=process, kerf_mm=kerf, spacing_mm=nest_rule(f"{process}_spacing"))


def nest_items(design: Design, process: Process, otherwise: str = "saw") -> dict[tuple[str, float], list[Item]]:
    """The instances that a router or laser cuts, for all of the order's rigs, by material and thickness.

    `otherwise` is how pieces are cut that do not say so themselves. With several rigs names get `.2`, `.3` ... behind them.
    """
    out: dict[tuple[str, float], list[Item]] = {}
    for copy in range(design.quantity):
        for placed in design.placed:
            piece = placed.piece.as_cut
            if piece is not None and (piece.process or otherwise) == process:
                key = piece.sheet.material, piece.thickness_mm
                name = placed.name if copy == 0 else f"{placed.name}.{copy + 1}"
                out.setdefault(key, []).append((name, piece))
    return out


def nest(items: Sequence[Item], stock: Sequence[NestStock], spec: NestSpec) -> Nest:
    """Lay pieces of one sheet on as few sheets of the stock as are found, and plan the cuts.

    Args:
        items: name of each instance and its piece; names are unique.
        stock: what is on hand; sheets are taken in this order.
        spec: the machine.

    Raises:
        SeamwrightError: names twice, or pieces of different sheets.
        LayoutError: a piece that fits no sheet, or too few sheets.
        NotCovered: a tube. A bent one is laid as it is cut, flat, a bevelled one as it is cut, square.
    """
    for _, piece in items:
        require(piece, "the nest", "bends", "pockets", "bevels")
    twice = [name for name, count in Counter(name for name, _ in items).items() if count > 1]
    if twice:
        raise SeamwrightError(f"two pieces to nest are called {', '.join(twice)}")
    if len({(p.sheet.material, p.thickness_mm) for _, p in items}) > 1:
        raise SeamwrightError("pieces of different sheets cannot be nested together")
    cuts = {piece: piece_cuts(piece, spec.kerf_mm, spec.process) for _, piece in items}
    sheets = tuple(_sheet(laid, spec, cuts) for laid in search(items, stock, spec))
    said = [finding for piece in dict.fromkeys(p for _, p in items) for finding in cuts[piece].findings]
    if items:
        said += _machine_findings(spec, items[0][1].thickness_mm)
    return Nest(sheets=sheets, findings=tuple(said))


def _machine_row(process: Process) -> Row:
    return next(row for row in load("cutting_process") if row["process"] == process)


def _machine_findings(spec: NestSpec, thickness_mm: float) -> Iterator[Finding]:
    row = _machine_row(spec.process)
    low, high = float(row["from_mm"]), float(row["to_mm"])
    if not low <= thickness_mm <= high:
        yield Finding(
            level="stop",
            check="nest",
            where=spec.process,
            why=f"sheet of {thickness_mm:g} mm: the {spec.process} is for {low:g} to {high:g} mm",
            do="choose another process",
            source=_provenance(row),
        )
    if cut_speed_mm_s(spec, thickness_mm) is None:
        yield Finding(
            level="note",
            check="nest",
            where=spec.process,
            why=f"no cutting speed is known for sheet of {thickness_mm:g} mm: the time is not estimated",
            do="try a cut on scrap and time it",
            source="page R, 3 to 8 mm (secondary)",
        )


def _provenance(row: Row) -> str:
    return cite(row["source"], row["clause"], row["how_known"])


# ---- order


def _sheet(laid: Laid, spec: NestSpec, cuts: dict[Piece, PieceCuts]) -> NestSheet:
    piece = laid.placed[0].piece
    paths = tuple(_paths(laid.placed, spec, cuts))
    length = math.fsum(p.loop.length_mm for p in paths if p.role != "drill")
    return NestSheet(
        stock=laid.stock,
        thickness_mm=piece.thickness_mm,
        material=piece.sheet.material,
        spec=spec,
        placed=tuple(laid.placed),
        paths=paths,
        cut_length_mm=length,
        minutes=_minutes(paths, length, spec, piece.thickness_mm),
    )


def _paths(placed: Sequence[NestPlace], spec: NestSpec, cuts: dict[Piece, PieceCuts]) -> Iterable[CutPath]:
    at = (0.0, 0.0)
    drills = [CutPath(name=p.name, role="drill", loop=put(c, p)) for p in placed for c in cuts[p.piece].drills]
    out = _nearest_first(drills, at)
    depth = _depths(placed)
    for level in sorted(set(depth.values()), reverse=True):
        here = [p for p in placed if depth[p.name] == level]
        inner = [CutPath(name=p.name, role="inner", loop=put(c, p)) for p in here for c in cuts[p.piece].inner]
        large = [p for p in here if not _is_small(p)]
        small = [p for p in here if _is_small(p)]
        for group in (inner, [_outer(p, spec, cuts) for p in large], [_outer(p, spec, cuts) for p in small]):
            out += _nearest_first(group, _start(out[-1].loop) if out else at)
    return out


def _outer(place: NestPlace, spec: NestSpec, cuts: dict[Piece, PieceCuts]) -> CutPath:
    loop = put(cuts[place.piece].outer, place)
    held = spec.process == "router" and _is_small(place)
    return CutPath(
        name=place.name, role="outer", loop=loop, tabs=tab_places(loop, int(nest_rule("tabs"))) if held else ()
    )


def _is_small(place: NestPlace) -> bool:
    return min(place.size_mm) < nest_rule("small_side")


def _depths(placed: Sequence[NestPlace]) -> dict[str, int]:
    """How many other pieces' holes each piece lies in."""
    from shapely import Point, Polygon, STRtree

    holes = [(p.name, Polygon(loop.points())) for p in placed for loop in p.inner]
    if not holes:
        return {p.name: 0 for p in placed}
    tree = STRtree([polygon for _, polygon in holes])
    depth = {}
    for p in placed:
        spot = Point(_start(p.outer))
        owners = {holes[k][0] for k in tree.query(spot, predicate="within")} - {p.name}
        depth[p.name] = len(owners)
    return depth


def _start(loop: Loop | Circle) -> tuple[float, float]:
    if isinstance(loop, Circle):
        return loop.x_mm + loop.radius_mm, loop.y_mm
    return loop.vertices[0].x_mm, loop.vertices[0].y_mm


def _nearest_first(paths: Sequence[CutPath], at: tuple[float, float]) -> list[CutPath]:
    left, out = list(paths), []
    while left:
        k = min(range(len(left)), key=lambda i: (math.dist(at, _start(left[i].loop)), i))
        out.append(left.pop(k))
        at = _start(out[-1].loop)
    return out


# ---- time


def cut_speed_mm_s(spec: NestSpec, thickness_mm: float) -> float | None:
    """Feed along the path: router by chip load and spindle, one flute; laser by the table; None outside the table.

    Between the table's thicknesses speed times thickness is taken as straight (it is 51 mm2/s within 2 %); thinner
    sheet is cut at the speed of the thinnest.

    >>> cut_speed_mm_s(default_spec("router"), 6.0), cut_speed_mm_s(default_spec("laser"), 6.0)
    (15.0, 8.5)
    """
    if spec.process == "router":
        return nest_rule("router_spindle") / 60.0 * nest_rule("router_chip_load")
    rows = [(float(r["thickness_mm"]), float(r["speed_mm_s"])) for r in load("laser_speeds")]
    if thickness_mm > rows[-1][0]:
        return None
    if thickness_mm <= rows[0][0]:
        return rows[0][1]
    (t0, v0), (t1, v1) = next((a, b) for a, b in pairwise(rows) if a[0] <= thickness_mm <= b[0])
    share = (thickness_mm - t0) / (t1 - t0)
    return (t0 * v0 + share * (t1 * v1 - t0 * v0)) / thickness_mm


def _minutes(paths: Sequence[CutPath], length_mm: float, spec: NestSpec, thickness_mm: float) -> float | None:
    """Cutting in all passes, a start for each path and pass, and the way from path to path at the rapid speed."""
    speed = cut_speed_mm_s(spec, thickness_mm)
    if speed is None:
        return None
    passes = 1
    if spec.process == "router":
        passes = math.ceil(thickness_mm / (nest_rule("router_pass") * spec.kerf_mm) - 1e-9)
    cut = [p for p in paths if p.role != "drill"]
    starts = [(0.0, 0.0), *(_start(p.loop) for p in cut)]
    way = sum(math.dist(a, b) for a, b in pairwise(starts))
    seconds = passes * (length_mm / speed + nest_rule(f"{spec.process}_start") * len(cut))
    return (seconds + way / nest_rule(f"{spec.process}_rapid")) / 60.0


# ---- report


def nest_row(sheet: NestSheet, number: int) -> Mapping[str, object]:
    """A sheet as the report's `nesting` holds it; `number` from 1 through the whole plan."""
    row = _machine_row(sheet.spec.process)
    return {
        "file": f"cutting/nest-{number}.dxf",
        "stock": sheet.stock.name,
        "size": [sheet.stock.width_mm, sheet.stock.height_mm],
        "thickness": sheet.thickness_mm,
        "material": sheet.material,
        "process": sheet.spec.process,
        "kerf": sheet.spec.kerf_mm,
        "spacing": sheet.spec.spacing_mm,
        "margin": sheet.spec.margin_mm,
        "tool": row["tool"],
        "cautions": [{"text": row["caution"], "source": _provenance(row)}],
        "placed": [
            {
                "name": p.name,
                "part": p.piece.name,
                "x": p.x_mm,
                "y": p.y_mm,
                "w": p.size_mm[0],
                "h": p.size_mm[1],
                "turned": 90 * p.quarter_turns,
            }
            for p in sheet.placed
        ],
        "order": [
            {"name": p.name, "role": p.role, "length": p.loop.length_mm, "tabs": len(p.tabs)} for p in sheet.paths
        ],
        "cut_length": sheet.cut_length_mm,
        "minutes": sheet.minutes,
        "used": sheet.used,
    }
