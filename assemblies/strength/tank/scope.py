"""Where no pass is given and who decides; what must be there besides strength: sound edges, support, retention."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.design.model import Design
from assemblies.motion.case_kinds import CASE_KINDS
from assemblies.motion.plans.turning import axis_of
from assemblies.order import CaseSpec, Order
from assemblies.strength.bonds.allowed import factor_of, factor_source
from assemblies.strength.inner.trough import far_out, no_handles
from assemblies.strength.tank.box_scope import box_findings
from parts.findings import Finding

__all__ = ["outside_method", "sound"]

_DECIDES = "a chartered engineer or the authority that licenses such equipment decides; local codes come first"
_OVER_DEG = 30.0  # judgement: turned further, a thing that only stands on its base no longer does


def _limit(order: Order, key: str, name: str, unit: str) -> float:
    """The method's limit, or the lower one of the order.

    Raises:
        OrderError: a limit over the method's own.
    """
    most, own = factor_of(name), getattr(order.limits, key)
    if own is None:
        return most
    if own > most:
        raise order.refuse(("limits", key), f"{own:g} {unit} is over the limit of the method", f"up to {most:g} {unit}")
    return float(own)


def outside_method(order: Order, design: Design, most_mm3: float, depth_mm: float) -> list[Finding]:
    """Where no pass is given, and who decides.

    Args:
        order, design: what was ordered and built.
        most_mm3, depth_mm: what it holds at most, as in the proof test, and how deep that stands.

    Raises:
        OrderError: a limit over the method's own.
    """
    volume, head = _limit(order, "volume", "largest_volume", "L"), _limit(order, "head", "largest_head", "mm")
    why: list[tuple[str, str]] = []
    if most_mm3 / 1e6 > volume:
        why.append((f"it holds {most_mm3 / 1e6:.0f} L, over {volume:g} L", factor_source("largest_volume")))
    if depth_mm > head + 1e-6:
        why.append((f"{depth_mm:.0f} mm of liquid when full, over {head:g} mm", factor_source("largest_head")))
    why += [(text, "judgement: limit of this method") for text in _of_use(order, design)]
    said = [
        Finding(level="care", check="strength", where="whole", why=f"not covered: {text}", do=_DECIDES, source=source)
        for text, source in why
    ]
    calm = not any(CASE_KINDS[c.kind].moving or CASE_KINDS[c.kind].leans for c in order.case)
    return [
        *said,
        *far_out(design),
        *box_findings(design, order.support.kind if order.support else "flat", depth_mm, calm),
    ]


def _of_use(order: Order, design: Design) -> Iterator[str]:
    liquid, sheet = order.liquid, next((p.piece.sheet for p in design.placed if p.name == "bottom"), None)
    if liquid is not None and sheet is not None:
        hot = sheet.substance.figure("service_temperature").value
        if liquid.temperature > hot:
            yield f"{liquid.temperature:g} °C is over the sheet's service temperature of {hot:g} °C"
    if liquid is not None and liquid.living:
        yield "animals live in it"
    if _over_people(order):
        yield f"it hangs, stands or moves over people ({', '.join(_over_people(order))}), whatever else holds it"
    stands = order.support is None or order.support.kind in ("flat", "edges", "hung")
    over = [c.name for c in order.case if stands and _turned_over(c)]
    if over:
        yield f"it only stands or hangs, and {', '.join(over)} turns it over: what carries it then is not given"


def _over_people(order: Order) -> list[str]:
    """By what the order says that people are under it: its cases, or its rig as a whole."""
    return [c.name for c in order.case if c.over_people] + (["rig"] if order.rig and order.rig.over_people else [])


def _turned_over(case: CaseSpec) -> bool:
    axis = axis_of(case)
    level = (axis[0] ** 2 + axis[1] ** 2) > 1e-12
    far = case.pour is not None or (case.angle is not None and abs(case.angle) > _OVER_DEG)
    return CASE_KINDS[case.kind].leans and far and level


def sound(order: Order, design: Design) -> Iterator[Finding]:
    """Edges fit for a wet seam; a support that is there; retention."""
    yield from _edges(order, design)
    yield from _support(order, design)
    yield from _retention(order, design)
    yield from no_handles(design)


def _edges(order: Order, design: Design) -> Iterator[Finding]:
    """Edges that heat or a snap has stressed are no edges for a wet seam until machined or annealed."""
    if order.cutting.edge != "as-cut":
        return
    found: dict[str, list[str]] = {}
    apart = {name for one in design.releases for name in one.names}
    for placed in design.placed:
        process = placed.piece.process or order.cutting.process
        if process in ("laser", "score-and-snap") and placed.piece.role != "mount" and placed.name not in apart:
            found.setdefault(process, []).append(placed.name)
    for process, names in found.items():
        yield Finding(
            level="stop",
            check="strength",
            where=", ".join(names),
            why=f"edges cut by {process}: stressed or uneven, they craze or leak in a wet seam (as do flame-polished and "
            "strip-heated ones)",
            do='machine or anneal the edges and say so with edge = "machined" or "annealed" in [cutting]',
            source="manual A, p. 21 and 28 (secondary)",
        )


def _plates_on(design: Design) -> list[str]:
    """Names of the faces (`bottom` or `wall`) that plates are bonded to."""
    plates = [p for p in design.carried if p.piece.role == "mount"]
    return ["bottom" if abs(p.z[2]) > 0.5 else "wall" for p in plates]


def _support(order: Order, design: Design) -> Iterator[Finding]:
    kind = order.support.kind if order.support else "flat"
    if kind == "plates" and not _plates_on(design):
        yield Finding(
            level="stop",
            check="strength",
            where="support",
            why='support = "plates", but there is no [[plate]]: nothing carries it',
            do="add plates, or another support",
            source="judgement: what is to be carried by plates needs plates",
        )
    if kind == "hung":
        yield Finding(
            level="care",
            check="strength",
            where="support",
            why="hung: the walls are taken to be held evenly along their length, the floor hangs between them; hooks, "
            "straps and the holes for them are not in this method",
            do="hang it in a cradle that takes the floor, or get the hanging points proven",
            source="judgement: limit of this method",
        )
    if kind == "edges":
        yield Finding(
            level="note",
            check="strength",
            where="support",
            why="carried under the edges of the floor: the floor spans between the walls",
            source="the box with a hanging floor",
            step="method",
        )


def _not_through_bolted(design: Design) -> list[str]:
    """The plates whose bolts do not go through a panel as well."""
    roles = {p.name: p.piece.role for p in design.carried}
    through = [f for f in design.fasteners if set(f.through) <= set(roles)]
    bolted = {f.piece for f in through if {"shell", "mount"} <= {roles[name] for name in f.through}}
    return [name for name, role in roles.items() if role == "mount" and name not in bolted]


def _retention(order: Order, design: Design) -> Iterator[Finding]:
    """What moves, hangs or stands over people on bond alone needs something that holds when the bond lets go."""
    support = order.support
    if design.retention == "through-bolts":
        without = _not_through_bolted(design)
        if not _plates_on(design) or len(without) == len(_plates_on(design)):
            yield Finding(
                level="stop",
                check="strength",
                where="support",
                why='retention = "through-bolts", but no plate has them: nothing goes through a wall to hold it when a '
                "bond lets go",
                do='write holes = "through" in [[plate]], or give the retention that there is',
                source="common practice, no source",
            )
        elif without:
            yield Finding(
                level="care",
                check="strength",
                where=", ".join(without),
                why="no bolts through the wall here: once its bond lets go, the other plates carry all of it",
                do='holes = "through" for every plate',
                source="common practice, no source",
            )
    if design.retention != "none":
        return
    kind = support.kind if support is not None else "flat"
    on = _plates_on(design) if kind == "plates" else []
    moving = [c.name for c in order.case if CASE_KINDS[c.kind].moving]
    people = _over_people(order)
    how = []
    if kind == "hung" or (on and "bottom" not in on):
        how.append("hangs")
    if moving:
        how.append(f"moves ({', '.join(moving)})")
    if people:
        how.append(f"is over people ({', '.join(people)})")
    if how:
        yield Finding(
            level="stop",
            check="strength",
            where="support",
            why=f"it {' and '.join(how)} on bond alone, with nothing to hold it if a bond lets go",
            do='give [support] a retention: "through-bolts", "cradle" or "lanyard"',
            source="common practice, no source",
        )
