"""The blocks of the stations after cutting: bond, test, use. From the report alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from assemblies.packet.blocks import Block, Figure, Figures, Para, Remark, Remarks, Rows, Step, Steps
from assemblies.packet.sections_fit import steps_with_cautions
from assemblies.packet.words import amount
from parts.lengths import LengthUnit, gauge_length, mark_length, mark_under

__all__ = ["bond_blocks", "proof_blocks", "use_blocks"]

Report = Mapping[str, Any]
_WAITS = {
    "set": "it bears a touch", "tape-off": "the tape comes off", "handling": "light handling", "water": "water, standing still",
    "motion": "motion with liquid", "throw": "a throw",
}  # fmt: skip


def bond_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Solvent and air, seams in order, steps, waiting times, oven, law."""
    bonding = report.get("bonding")
    if not bonding:
        return
    yield Figures(items=[*_solvent(bonding, unit), *_air(bonding["air"])])
    if bonding["air"]["local_exhaust"]:
        yield Para(text="Local exhaust at the bench is needed: the room alone does not keep the limit.")
    yield Rows(
        title="Seams in the order they are run", header=("", "seam", "between", "down", "needle from", "tape", "mL"),
        rows=[
            (
                str(s["order"]), s["seam"], f"{s['a']} and {s['b']}", s["down"] or "", s["needle_from"] or "",
                s["tape"] or "", amount(s["mL"], "", 3),
            )
            for s in bonding["seams"]
        ],
        right="rlllllr", keys=[f"{s['a']} {s['b']}" for s in bonding["seams"]],
        note=f"{bonding['capillary']['says']}. {bonding['capillary']['source']}." if bonding.get("capillary") else "",
    )  # fmt: skip
    yield Steps(title="Steps", items=steps_with_cautions(report, ("bond", "wait")))
    yield Rows(
        title="Waiting times", header=("before", "at least", "source"),
        rows=[(_WAITS.get(name, name), _hours(w["value"]), w["source"]) for name, w in bonding["waits"].items()],
        right="lrl",
    )  # fmt: skip
    through = bonding.get("through_hole")
    said = [Remark(level="Care", where="solvent through a tapped hole", text=f"Not by default; {through['how']}. "
                   f"{through['caution']}", source=through["source"])] if through else []  # fmt: skip
    said += [
        Remark(level="Notice", where=n["solvent"], text=n["text"], source=n["how_known"])
        for n in bonding["solvent"]["notices"]
    ]
    if said:
        yield Remarks(title="Law, fire and threads", items=said)


def _hours(hours: float) -> str:
    return amount(60.0 * hours, "min", 0) if hours < 1.0 else amount(hours, "h", 0)


def _solvent(bonding: Report, unit: LengthUnit) -> Iterator[Figure]:
    solvent, use, warm = bonding["solvent"], bonding["amount"], bonding["temperature"]
    yield Figure(label="Solvent", value=str(solvent["stated"] or "not stated"), why=solvent["says"])
    yield Figure(
        label="Draw", value=amount(use["draw_mL"], "mL", 1), why=f"{use['formula']}; {use['losses']['source']}"
    )
    yield Figure(label="Fills the gaps", value=amount(use["net_mL"], "mL"), why=use["formula"])
    yield Figure(
        label="Needle bore", value=gauge_length(bonding["needle"]["value"], unit), why=bonding["needle"]["source"]
    )
    peel = bonding["peel_back"]
    yield Figure(label="Film back at seams", value=mark_length(peel["value"], unit), why=peel["source"])
    yield Figure(label="Room at", value=f"{warm['low']:g} to {warm['high']:g} °C", why=warm["source"])


def _air(air: Report) -> Iterator[Figure]:
    worst, bench = air["worst"], air["at_the_bench"]
    room = f"{amount(air['room_m3'], 'm3', 0)} with {air['air_changes_h']:g} air changes an hour"
    given = "" if air["room_stated"] and air["air_changes_stated"] else " (taken, not stated in the order)"
    yield Figure(
        label=f"In the room's air over {worst['average']}",
        value=f"{amount(worst['mean_ppm'], 'ppm', 1)}, {worst['times_limit']:.1f} times the limit of "
        f"{amount(worst['limit_ppm'], 'ppm')}",
        why=f"{amount(air['evaporates_mL'], 'mL')} of {worst['solvent']} in {room}{given}; {air['formula']}; "
        f"limit: {worst['source']}",
    )
    yield Figure(label="At the bench it is more", value=amount(bench["value"], bench["unit"], 0), why=bench["source"])


def proof_blocks(report: Report) -> Iterator[Block]:
    """The proof test, stage by stage, signed for."""
    stages = report.get("proof_test")
    if not stages:
        return
    rules = report.get("proof_rules", {})
    if rules.get("rules"):
        yield Para(text=" ".join(rules["rules"]))
    yield Steps(title="Stages", items=[_stage(stage, rules.get("source", "")) for stage in stages])


def _stage(stage: Report, source: str) -> Step:
    text = stage["do"] if not stage.get("passes") else f"{stage['do']} Passes: {stage['passes']}."
    if stage.get("earliest_h"):
        text += f" Not before {amount(stage['earliest_h'], 'h', 0)} after the last seam."
    return Step(text=text, source=source, sign=True)


def use_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The operator's card and the label for the tank."""
    card = report.get("card")
    if not card:
        return
    yield Figures(items=[*_limits(card, unit), *_waits(card), *_state(card)])
    if card.get("torques"):
        yield Rows(
            title="Tighten to at most", header=("plate", "thread", "torque"),
            rows=[(t["plate"], t["thread"] or "", amount(t["torque_Nm"], "N m")) for t in card["torques"]],
            right="llr", keys=[t["plate"] for t in card["torques"]],
        )  # fmt: skip
    if card.get("lines"):
        rows = [(x["part"], x["text"], x["source"]) for x in card["lines"]]
        yield Rows(title="Rules", header=("about", "rule", "source"), rows=rows)
    if card.get("craze"):
        yield Para(text="These craze or dissolve it: " + ", ".join(card["craze"]).replace("-", " ") + ".")
    if card.get("label"):
        yield Rows(title="Label for the tank", header=("line",), rows=[(line,) for line in card["label"]])


def _limits(card: Report, unit: LengthUnit) -> Iterator[Figure]:
    fill = f"{mark_under(card['fill_line_mm'], unit)} ({amount(card['fill_L'], 'L')})"
    yield Figure(label="Fill line", value=fill, why="as ordered; every case was proven with it")
    yield Figure(label="Liquids", value=", ".join(card["liquids"]), why="as ordered; another one needs a new proof")
    warm = amount(card["largest_temperature_C"], "C", 0)
    yield Figure(label="Not hotter than", value=warm, why="as ordered; the allowed stress was taken at it")
    less = "the smaller of what strength and spilling allow, in the worst direction"
    if card.get("largest_acceleration_m_s2") is not None:
        speed = amount(card["largest_acceleration_m_s2"], "m/s2")
        yield Figure(label="Start and stop no faster than", value=speed, why=less)
    if card.get("largest_tilt_deg") is not None:
        yield Figure(label="Tilt no further than", value=amount(card["largest_tilt_deg"], "°", 0), why=less)


def _waits(card: Report) -> Iterator[Figure]:
    source = {name: wait["source"] for name, wait in card.get("earliest", {}).items()}
    wait = amount(card["first_fill_after_h"], "h", 0)
    yield Figure(label="First fill after", value=wait, why=source.get("water", "waiting times of the bonding plan"))
    wait = amount(card["first_move_after_h"], "h", 0)
    yield Figure(label="First move after", value=wait, why=source.get("motion", "waiting times of the bonding plan"))


def _state(card: Report) -> Iterator[Figure]:
    if "proven" in card:
        why = "; ".join([*card.get("not_proven_because", ()), card.get("valid", "")]).strip("; ")
        yield Figure(label="Proven by calculation", value="yes" if card["proven"] else "no", why=why)
    if card.get("retention"):
        why = "what still holds it if a bond lets go; as ordered"
        yield Figure(label="Held besides by", value=card["retention"], why=why)
