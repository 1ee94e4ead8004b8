"""The blocks of the shop's stations: cut, drill, bond, test, use. From the report alone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from assemblies.packet.blocks import Block, Figure, Figures, Para, Picture, Remark, Remarks, Rows, Step, Steps
from assemblies.packet.words import amount, percent
from parts.lengths import LengthUnit, write_length

__all__ = ["bond_blocks", "cut_blocks", "drill_blocks", "test_blocks", "use_blocks"]

Report = dict[str, Any]


def cut_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Sheets, steps and waste of the cutting plan."""
    cutting = report.get("cutting")
    if not cutting:
        return
    for index, sheet in enumerate(cutting["sheets"], start=1):
        width, height = sheet["size"]
        yield Picture(
            key=f"sheet-{index}",
            alt=f"Sheet {index}: {write_length(width, unit)} x {write_length(height, unit)}, {len(sheet['placed'])} pieces",
        )
        yield Rows(
            title=f"Sheet {index}: {sheet['stock']}, {write_length(sheet['thickness'], unit)}",
            header=("piece", "from left", "from below", "width", "height", ""),
            rows=[
                (p["name"], *(write_length(p[k], unit) for k in "xywh"), "turned" if p["turned"] else "")
                for p in sheet["placed"]
            ],
            right="lrrrrl",
            keys=[p["name"] for p in sheet["placed"]],
        )
    if cutting["steps"]:
        yield Steps(title="Cuts in order", items=[Step(text=_step_words(s)) for s in cutting["steps"]])
    balance = cutting.get("balance")
    if balance:
        whole = balance["stock"]
        yield Figures(
            items=[
                Figure(
                    label="Becomes pieces",
                    value=percent(balance["pieces"] / whole),
                    why="net area over the area of the sheets",
                ),
                Figure(
                    label="Offcuts, back on the rack",
                    value=percent(balance["offcuts"] / whole),
                    why="large enough to use",
                ),
                Figure(label="Chips", value=percent(balance["kerf"] / whole), why="kerf times the length of the cuts"),
                Figure(
                    label="Waste",
                    value=percent(balance["waste"] / whole),
                    why="the rest; the four shares add up exactly",
                ),
                Figure(label="To fetch", value=amount(cutting["mass"], "kg", 1), why="whole sheets"),
            ]
        )


def _step_words(step: Report) -> str:
    """The step's own words; its number is given by the list."""
    text: str = step["text"]
    return text.split(". ", 1)[1] if text[:1].isdigit() else text


def drill_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """One table for each drilled part."""
    for part in report.get("drill", ()):
        rows = []
        for hole in part["holes"]:
            x, y = (write_length(v, unit) for v in hole["at"])
            depth = "through" if hole["depth"] is None else write_length(hole["depth"], unit)
            rpm = f"{hole['rpm'][0]:.0f} to {hole['rpm'][1]:.0f}" if hole["rpm"] else ""
            thread = f"{hole['thread']}, {hole['percent']:.0f} % of thread" if hole["thread"] else ""
            rows.append(
                (str(hole["number"]), x, y, hole["drill"], depth, rpm, thread, hole["tap"] or "", _handles(hole))
            )
        yield Para(text=f"{part['part']}, {part['count']} off. Datum: {part['datum']}. Backing: {part['backing']}.")
        stack = f"Drill {part['stack']} together." if part["stack"] > 1 else "Drill one at a time."
        yield Rows(
            title=f"Holes of {part['part']}",
            header=("hole", "x", "y", "drill", "depth", "rpm", "thread", "tap", "handles"),
            rows=rows,
            right="rrrlrrlll",
            note=stack + (f" Zero: {part['zero']}." if part["zero"] else ""),
        )
        first = part["holes"][0]
        yield Para(
            text=f"{first['bit']}; point {first['point'][0]:g} to {first['point'][1]:g} degrees; "
            f"{first['pecks']} pecks of {write_length(first['peck_depth'], unit)}; {first['coolant']}."
        )


def _handles(hole: Report) -> str:
    said = []
    for axis in "xy":
        handle = hole[f"{axis}_handle"]
        if handle:
            said.append(f"{axis}: {handle['turns']} turns {handle['divisions']:g}")
    return ", ".join(said)


def bond_blocks(report: Report) -> Iterator[Block]:
    """Solvent, seams in order, steps, waiting times and the air in the room."""
    bonding = report.get("bonding")
    if not bonding:
        return
    use = bonding["amount"]
    air = bonding["air"]
    worst = air["worst"]
    yield Figures(
        items=[
            Figure(
                label="Solvent", value=str(bonding["solvent"]["stated"] or "not stated"), why=bonding["solvent"]["says"]
            ),
            Figure(
                label="Draw", value=amount(use["draw_mL"], "mL", 1), why=f"{use['formula']}; {use['losses']['source']}"
            ),
            Figure(label="Needle", value=amount(bonding["needle"]["value"], "mm"), why=bonding["needle"]["source"]),
            Figure(
                label="Film back at seams",
                value=amount(bonding["peel_back"]["value"], "mm", 0),
                why=bonding["peel_back"]["source"],
            ),
            Figure(
                label="In the room's air, worst case",
                value=f"{amount(worst['mean_ppm'], 'ppm', 1)} over {worst['average']}, {worst['times_limit']:.1f} times "
                f"the limit of {amount(worst['limit_ppm'], 'ppm')}",
                why=f"{amount(air['evaporates_mL'], 'mL')} of {worst['solvent']} in {amount(air['room_m3'], 'm3', 0)} with "
                f"{air['air_changes_h']:g} air changes an hour; {air['formula']}; {worst['source']}",
            ),
        ]
    )
    if air["local_exhaust"]:
        yield Para(text="Local exhaust at the bench is needed: the room alone does not keep the limit.")
    yield Rows(
        title="Seams in the order they are run",
        header=("", "seam", "between", "down", "needle from", "tape", "mL"),
        rows=[
            (
                str(s["order"]),
                s["seam"],
                f"{s['a']} and {s['b']}",
                s["down"] or "",
                s["needle_from"] or "",
                s["tape"] or "",
                amount(s["mL"], "", 3),
            )
            for s in bonding["seams"]
        ],
        right="rlllllr",
        keys=[f"{s['a']} {s['b']}" for s in bonding["seams"]],
    )
    texts = {c["id"]: c["text"] for c in report.get("cautions", ())}
    steps = [s for s in bonding["steps"] if s["station"] in ("bond", "wait")]
    yield Steps(
        title="Steps",
        items=[
            Step(text=s["text"], cautions=[texts[c] for c in s["cautions"] if c in texts], source=s["source"])
            for s in steps
        ],
    )
    yield Rows(
        title="Waiting times",
        header=("before", "at least", "source"),
        rows=[(name, amount(w["value"], w["unit"], 2), w["source"]) for name, w in bonding["waits"].items()],
        right="lrl",
    )
    notices = bonding["solvent"]["notices"]
    if notices:
        yield Remarks(
            title="Law and fire",
            items=[Remark(level="Notice", where=n["solvent"], text=n["text"], source=n["how_known"]) for n in notices],
        )


def test_blocks(report: Report) -> Iterator[Block]:
    """The proof test, stage by stage, signed for."""
    stages = report.get("proof_test")
    if not stages:
        return
    rules = report.get("proof_rules", {})
    if rules.get("rules"):
        yield Para(text=" ".join(rules["rules"]))
    yield Steps(
        title="Stages",
        items=[
            Step(text=f"{s['do']} Passes: {s['passes']}.", source=rules.get("source", ""), sign=True) for s in stages
        ],
    )


def use_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The operator's card and the label for the tank."""
    card = report.get("card")
    if not card:
        return
    items = [
        Figure(label="Fill line", value=f"{write_length(card['fill_line_mm'], unit)} ({amount(card['fill_L'], 'L')})"),
        Figure(label="Liquids", value=", ".join(card["liquids"])),
        Figure(label="Not hotter than", value=amount(card["largest_temperature_C"], "C", 0)),
    ]
    if card.get("largest_acceleration_m_s2") is not None:
        items.append(
            Figure(label="Start and stop no faster than", value=amount(card["largest_acceleration_m_s2"], "m/s2"))
        )
    if card.get("largest_tilt_deg") is not None:
        items.append(Figure(label="Tilt no further than", value=amount(card["largest_tilt_deg"], "degrees", 0)))
    items += [
        Figure(
            label="First fill after",
            value=amount(card["first_fill_after_h"], "h", 0),
            why=card["earliest"]["water"]["source"],
        ),
        Figure(
            label="First move after",
            value=amount(card["first_move_after_h"], "h", 0),
            why=card["earliest"]["motion"]["source"],
        ),
        Figure(label="Proven by calculation", value="yes" if card["proven"] else "no", why=card["valid"]),
    ]
    yield Figures(items=items)
    yield Rows(
        title="Rules",
        header=("about", "rule", "source"),
        rows=[(x["part"], x["text"], x["source"]) for x in card["lines"]],
    )
    yield Para(text="These craze or dissolve it: " + ", ".join(card["craze"]) + ".")
    yield Rows(title="Label for the tank", header=("line",), rows=[(line,) for line in card["label"]])
