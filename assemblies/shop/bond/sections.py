"""What the packet says of bonding."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.fit.sections import steps_with_cautions
from assemblies.report.blocks import Block, Figure, Figures, Para, Remark, Remarks, Report, Rows, Steps
from assemblies.report.figures import amount, between
from parts.lengths import LengthUnit, gauge_length, mark_length

__all__ = ["bond_blocks"]

_WAITS = {
    "set": "first set",
    "tape-off": "the tape comes off",
    "handling": "light handling",
    "water": "water, standing still",
    "motion": "motion with liquid",
    "throw": "a throw",
}


def bond_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Solvent and air, seams in order, steps, waiting times, oven, law."""
    bonding = report.get("bonding")
    if not bonding:
        return
    yield Figures(items=[*_solvent(bonding, unit), *_air(bonding["air"])])
    if bonding["air"]["local_exhaust"]:
        yield Para(text="Local exhaust at the bench is needed: the room's air alone does not stay within the limit.")
    yield Rows(
        title="Seams in the order they are run",
        header=("", "seam", "between", "down", "needle from", "tape", "mL"),
        rows=[
            (
                str(s["order"]),
                s["seam"],
                between(s),
                s["down"] or "",
                s["needle_from"] or "",
                _tape(s),
                amount(s["mL"], "", 3),
            )
            for s in bonding["seams"]
        ],
        right="rlllllr",
        terse=True,
        keys=[f"{s['a']} {s['b']}" for s in bonding["seams"]],
        note=f"{bonding['capillary']['says']}. {bonding['capillary']['source']}." if bonding.get("capillary") else "",
    )
    yield Steps(title="Steps", items=steps_with_cautions(report, ("bond", "wait")))
    yield Rows(
        title="Waiting times",
        header=("before", "wait at least", "source"),
        rows=[(_WAITS.get(name, name), _hours(w["value"]), w["source"]) for name, w in bonding["waits"].items()],
        right="lrl",
    )
    through = bonding.get("through_hole")
    said = (
        [
            Remark(
                level="Care",
                where="solvent through a tapped hole",
                text=f"Not by default; {through['how']}. {through['caution']}",
                source=through["source"],
            )
        ]
        if through
        else []
    )
    said += [
        Remark(level="Notice", where=n["solvent"], text=n["text"], source=n["how_known"])
        for n in bonding["solvent"]["notices"]
    ]
    if said:
        yield Remarks(title="Law, fire and threads", items=said)


def _tape(seam: Report) -> str:
    """Where its tape is, in few words: the row names the two pieces."""
    return (seam["tape"] or "").replace(f"of {seam['a']} and {seam['b']}", "of both")


def _hours(hours: float) -> str:
    return amount(60.0 * hours, "min", 0) if hours < 1.0 else amount(hours, "h", 0)


def _solvent(bonding: Report, unit: LengthUnit) -> Iterator[Figure]:
    solvent, use, warm = bonding["solvent"], bonding["amount"], bonding["temperature"]
    yield Figure(label="Solvent", value=str(solvent["stated"] or "not stated"), why=solvent["says"])
    yield Figure(label="Needed in the seams", value=amount(use["net_mL"], "mL"), why=use["formula"])
    yield Figure(
        label="Load syringe with",
        value=amount(use["draw_mL"], "mL", 1),
        why=f"with the losses; {use['losses']['source']}",
    )
    yield Figure(
        label="Needle bore", value=gauge_length(bonding["needle"]["value"], unit), why=bonding["needle"]["source"]
    )
    peel = bonding["peel_back"]
    yield Figure(label="Film back at seams", value=mark_length(peel["value"], unit), why=peel["source"])
    yield Figure(label="Keep the room at", value=f"{warm['low']:g} to {warm['high']:g} °C", why=warm["source"])


def _air(air: Report) -> Iterator[Figure]:
    worst, bench = air["worst"], air["at_the_bench"]
    room = f"{amount(air['room_m3'], 'm3', 0)} with {air['air_changes_h']:g} air changes an hour"
    given = "" if air["room_stated"] and air["air_changes_stated"] else " (assumed, not in the order)"
    yield Figure(
        label=f"In the room's air, averaged over {worst['average']}",
        value=f"{amount(worst['mean_ppm'], 'ppm', 1)}, {worst['times_limit']:.1f} times the limit of "
        f"{amount(worst['limit_ppm'], 'ppm')}",
        why=f"{amount(air['evaporates_mL'], 'mL')} of {worst['solvent']} in {room}{given}; {air['formula']}; "
        f"limit: {worst['source']}",
    )
    yield Figure(label="At the bench (higher)", value=amount(bench["value"], bench["unit"], 0), why=bench["source"])
