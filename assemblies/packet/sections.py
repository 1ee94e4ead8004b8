"""The packet in sections, made from the report alone. What the report does not have makes no heading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from assemblies.packet.blocks import (
    STATIONS,
    Bar,
    Bars,
    Block,
    Cautions,
    Figure,
    Figures,
    Para,
    Picture,
    Remark,
    Remarks,
    Rows,
    Section,
    Station,
    Step,
    Steps,
)  # fmt: skip
from assemblies.packet.sections_shop import bond_blocks, cut_blocks, drill_blocks, test_blocks, use_blocks
from assemblies.packet.words import amount, size_words
from parts.lengths import LengthUnit, write_length

__all__ = ["sections", "verdict_words"]

Report = dict[str, Any]
_VERDICT = {
    "go": ("Go", "Every check that this kind of thing needs has passed."),
    "stop": ("Stop", "Do not build it so. The reasons come first below."),
    "not-proven": ("Not proven", "No check says stop, but not every check that is needed could be made."),
}
_LEVEL = {"stop": "Stop", "care": "Care", "note": "Note"}


def verdict_words(report: Report) -> tuple[str, str]:
    """The verdict as a word and a sentence."""
    word, sentence = _VERDICT[report["verdict"]]
    return word, sentence


def sections(report: Report, unit: LengthUnit) -> tuple[Section, ...]:
    """Every section that the report has something for, in the order of the stations.

    Args:
        report: as in report.json.
        unit: in which lengths are shown to people.
    """
    made: list[tuple[str, Station, str, Iterator[Block]]] = [
        ("verdict", "plan", "Verdict", _verdict(report)),
        ("pieces", "plan", "Pieces", _pieces(report, unit)),
        ("loads", "plan", "Loads", _loads(report)),
        ("liquid", "plan", "Liquid and balance", _liquid(report, unit)),
        ("buying", "plan", "To buy", _buying(report, unit)),
        ("cost", "plan", "Cost", _cost(report)),
        ("cutting", "cut", "Cutting plan", cut_blocks(report, unit)),
        ("drill", "drill", "Drill and tap", drill_blocks(report, unit)),
        ("fit", "dry-fit", "Dry fit", _fit(report, unit)),
        ("assembly", "dry-fit", "Order of assembly", _assembly(report, unit)),
        ("bonding", "bond", "Bonding plan", bond_blocks(report)),
        ("proof", "test", "Proof test", test_blocks(report)),
        ("card", "use", "Operator's card and tank label", use_blocks(report, unit)),
        ("sources", "sources", "Sources", _sources(report)),
    ]
    out = []
    for section_id, station, title, made_blocks in made:
        blocks = tuple(made_blocks)
        if blocks:
            out.append(Section(id=section_id, station=station, title=title, blocks=blocks))
    return _with_cautions(report, out)


def _with_cautions(report: Report, made: list[Section]) -> tuple[Section, ...]:
    """Each station's cautions go on its last section; a station with cautions alone gets a section for them."""
    places = {"edges": "dry-fit", "wait": "bond"}
    by_station: dict[str, list[Remark]] = {}
    for caution in report.get("cautions", ()):
        station = places.get(caution["station"], caution["station"])
        remark = Remark(level="Caution", where=caution["hazard"], text=caution["text"], source=caution["source"])
        by_station.setdefault(station, []).append(remark)
    out = list(made)
    for station in STATIONS:
        remarks = by_station.get(station)
        if not remarks:
            continue
        block = Cautions(items=remarks)
        last = max((i for i, s in enumerate(out) if s.station == station), default=None)
        if last is None:
            title = f"{STATIONS[station]}: cautions"
            later = [i for i, s in enumerate(out) if list(STATIONS).index(s.station) > list(STATIONS).index(station)]
            at = later[0] if later else len(out)
            out.insert(at, Section(id=f"{station}-cautions", station=station, title=title, blocks=(block,)))
        else:
            s = out[last]
            out[last] = Section(id=s.id, station=s.station, title=s.title, blocks=(*s.blocks, block))
    return tuple(out)


def _remark(finding: Report) -> Remark:
    return Remark(
        level=_LEVEL[finding["level"]], where=f"{finding['check']}: {finding['where']}", text=finding["why"],
        do=finding["do"], source=finding["source"],
    )  # fmt: skip


def _verdict(report: Report) -> Iterator[Block]:
    word, sentence = verdict_words(report)
    yield Para(text=f"{word}. {sentence}")
    yield Rows(title="Checks", header=("check", "state"), rows=[(n, s) for n, s in report["checks"].items()])
    graver = [_remark(f) for f in report["findings"] if f["level"] != "note"]
    notes = [_remark(f) for f in report["findings"] if f["level"] == "note"]
    if graver:
        yield Remarks(title="Reasons", items=graver)
    if notes:
        yield Remarks(title="Notes", items=notes)


def _pieces(report: Report, unit: LengthUnit) -> Iterator[Block]:
    yield Picture(key="exploded", alt="Exploded view with item numbers and a parts list")
    rows = [
        (
            str(p["count"] * report["quantity"]), p["part"], *(write_length(v, unit) for v in p["size"]),
            p["sheet"]["material"], amount(p["mass"], "kg", 3), str(len(p["holes"])) if p["holes"] else "",
        )
        for p in report["parts"]
    ]  # fmt: skip
    instances = {
        p["part"]: " ".join(q["name"] for q in report["placed"] if q["part"] == p["part"]) for p in report["parts"]
    }
    yield Rows(
        title="Pieces to cut", header=("count", "part", "width", "height", "thickness", "material", "each", "holes"),
        rows=rows, right="rlrrrlrr", keys=[instances[p["part"]] for p in report["parts"]],
        note="Net sizes. Thickness is the mean of the readings where the sheet was measured, else the nominal.",
    )  # fmt: skip
    if report["fasteners"]:
        yield Rows(
            title="Bolts and screws", header=("count", "what", "into", "reaches at most", "note"),
            rows=[
                (
                    str(f["count"]), f["name"], f["piece"],
                    write_length(f["longest_mm"], unit) if f["longest_mm"] is not None else "", f["note"],
                )
                for f in report["fasteners"]
            ],
            right="rllrl",
        )  # fmt: skip


def _loads(report: Report) -> Iterator[Block]:
    strength = report.get("strength")
    if not strength:
        return
    worst: dict[str, list[Bar]] = {}
    for row in strength["cases"]:
        what = f"{row['piece']}{', edge of a hole' if row['what'] == 'hole' else ''}"
        text = (
            f"{amount(row['stress'], 'MPa')} of {amount(row['allowed'], 'MPa')}; "
            f"bows {amount(row['deflection'], 'mm')} of {amount(row['allowed_deflection'], 'mm')}"
        )
        worst.setdefault(row["case"], []).append(Bar(label=what, use=row["use"], text=text, why=_chain(row)))
    for row in strength["seams"]:
        text = f"{amount(row['stress'], 'MPa')} of {amount(row['allowed'], 'MPa')} in the joint"
        worst.setdefault(row["case"], []).append(
            Bar(label=f"seam {row['seam']}", use=row["use"], text=text, why=_chain(row))
        )
    for row in strength["mounting"]:
        text = f"{amount(row['stress'], 'MPa')} of {amount(row['allowed'], 'MPa')} in the bond"
        worst.setdefault(row["case"], []).append(Bar(label=f"bond of {row['plates']}", use=row["use"], text=text))
    for row in strength["threads"]:
        if "case" in row:
            text = f"a bolt pulls {amount(row['pull'], 'N', 0)}, the thread holds {amount(row['holds'], 'N', 0)}"
            why = "thread shear area of ASME B1.1 appendix B times the design stress over the square root of 3"
            worst.setdefault(row["case"], []).append(
                Bar(label=f"{row['thread']} in {row['plate']}", use=row["use"], text=text, why=why)
            )
    for case, bars in worst.items():
        ordered = sorted(bars, key=lambda b: -b.use)[:6]
        yield Bars(title=f"{case}: what is used most", items=ordered)
    good = strength.get("good_for")
    if good:
        yield Figures(items=_good_for(good))


def _chain(row: Report) -> str:
    t = row["terms"]
    return (
        f"allowed = table {t['table']:g} MPa x environment {t['environment']:g} x joint {t['joint']:g} "
        f"/ factor {t['factor']:g}; table: {t['source']}"
    )


def _good_for(good: Report) -> Sequence[Figure]:
    why = "solved with the same plates and the same allowed stress"
    items = [
        Figure(label="Largest fill for good", value=amount(good["fill_l"], "L", 1), why=why),
        Figure(label="Largest sudden start, by strength", value=amount(good["acceleration_m_s2"], "m/s2", 1), why=why),
        Figure(label="Largest slow tilt, by strength", value=amount(good["tilt_deg"], "degrees", 0), why=why),
    ]
    level = "level surface of the liquid, square to the effective gravity"
    if good.get("dry_acceleration_m_s2") is not None:
        items.append(
            Figure(
                label="Largest sudden start that spills nothing",
                value=amount(good["dry_acceleration_m_s2"], "m/s2"),
                why=level,
            )
        )
    if good.get("dry_tilt_deg") is not None:
        items.append(
            Figure(label="Starts to pour at a tilt of", value=amount(good["dry_tilt_deg"], "degrees", 1), why=level)
        )
    return items


def _liquid(report: Report, unit: LengthUnit) -> Iterator[Block]:
    q = report.get("liquid")
    if not q:
        return
    why = "exact volume of the inside under a level surface"
    items = [
        Figure(label="Liquid", value=f"{q['name']}, {amount(q['density'], 'kg/m3', 0)}", why=q["source"]),
        Figure(label="Fill", value=f"{amount(q['fill_L'], 'L')}, {write_length(q['fill_depth'], unit)} deep", why=why),
        Figure(label="Holds to the brim or overflow", value=amount(q["capacity_L"], "L"), why=why),
        Figure(label="Freeboard", value=write_length(q["freeboard"], unit), why=why),
        Figure(
            label="Weight empty",
            value=amount(q["mass_empty"], "kg"),
            why="volume of the pieces times the sheet's density",
        ),
        Figure(label="Weight full", value=amount(q["mass_full"], "kg"), why="pieces and liquid"),
        Figure(
            label="Centre of mass, full",
            value=", ".join(f"{axis} {write_length(v, unit)}" for axis, v in zip("xyz", q["centre_full"], strict=True)),
            why="from the centre of the outside of the underside",
        ),
    ]
    if q["tips_at"]["tilt"] is not None:
        items.append(
            Figure(
                label="Standing free, tips over at",
                value=amount(q["tips_at"]["tilt"], "degrees", 0),
                why="the liquid settles as it goes",
            )
        )
    yield Figures(items=items)
    lost = {case: litres for case, litres in q["lost_L"].items() if litres > 1e-6}
    if lost:
        yield Rows(
            title="Leaves over the rim",
            header=("case", "volume"),
            rows=[(c, amount(v, "L")) for c, v in lost.items()],
            right="lr",
        )


def _buying(report: Report, unit: LengthUnit) -> Iterator[Block]:
    buying = report.get("buying")
    if not buying:
        return
    yield Rows(
        title="Sheet", header=("material", "thickness", "net", "with allowance", "smallest sheet sides"),
        rows=[
            (
                s["material"], write_length(s["thickness"], unit), amount(s["net_mm2"] / 1e6, "m2", 3),
                amount(s["with_allowance_mm2"] / 1e6, "m2", 3), size_words(s["least_sides"], unit),
            )
            for s in buying["sheets"]
        ],
        right="lrrrl",
    )  # fmt: skip
    rows = [(str(b["count"]), b["item"], b["note"]) for b in buying["bolts"]]
    for group in ("washers", "seals", "bonding", "tools", "protection"):
        rows += [
            (amount(i["amount"], i["unit"], 2) if i["amount"] is not None else "", i["item"], i["note"])
            for i in buying[group]
        ]
    yield Rows(title="Everything else", header=("amount", "what", "note"), rows=rows, right="rll")


def _cost(report: Report) -> Iterator[Block]:
    cost = report.get("cost")
    if not cost:
        return
    unit = cost["currency"]
    rows = [
        (x["group"], x["what"], amount(x["quantity"], x["unit"]), amount(x["rate"], unit), amount(x["amount"], unit))
        for x in cost["lines"]
    ]
    rows.append(("", "total", "", "", amount(cost["total"], unit)))
    yield Rows(
        title="Quote",
        header=("", "what", "how much", "rate", "cost"),
        rows=rows,
        right="llrrr",
        note=f"{cost['note']}; {cost['basis']}; rates: {cost['rates']}",
    )


def _fit(report: Report, unit: LengthUnit) -> Iterator[Block]:
    fit = report.get("fit")
    if not fit:
        return
    yield Rows(
        title="Seams", header=("seam", "between", "length", "width", "gap", "", "goes in", "seals"),
        rows=[
            (
                s["id"], f"{s['a']} and {s['b']}", write_length(s["length"], unit), write_length(s["width"], unit),
                f"{s['gap']['min']:.2f} to {s['gap']['max']:.2f} mm", "captive" if s["captive"] else "taped",
                "yes" if s["goes_in"] else "no", s["seals"],
            )
            for s in fit["seams"]
        ],
        right="llrrrlll", keys=[f"{s['a']} {s['b']}" for s in fit["seams"]],
        note="The gap is the least and greatest that tolerance leaves once the pieces are taped.",
    )  # fmt: skip
    if fit.get("loops"):
        yield Rows(
            title="Captive pieces", header=("piece", "between", "left over", "plus or minus", "likely", "from"),
            rows=[
                (
                    loop["piece"], " and ".join(loop["between"]), f"{loop['left_over']:.2f} mm", f"{loop['spread']:.2f} mm",
                    f"{loop['rss']:.2f} mm", ", ".join(f"{t['piece']} {t['size']} ±{t['error']:.2f}" for t in loop["terms"]),
                )
                for loop in fit["loops"]
            ],
            right="llrrrl", note="Tape cannot close the gap of a captive piece. Likely: root-sum-square.",
        )  # fmt: skip
    hits = fit.get("interferences")
    if hits is not None:
        text = "No two pieces run into each other." if not hits else "; ".join(
            f"{h['a']} and {h['b']} share {amount(h['volume_mm3'], 'mm3')}" for h in hits
        )  # fmt: skip
        yield Para(text=f"Solids compared: {text}")
    steps = [s for s in report.get("bonding", {}).get("steps", ()) if s["station"] in ("edges", "tape")]
    if steps:
        yield Steps(title="Edges and tape", items=[Step(text=s["text"], source=s["source"]) for s in steps])


def _assembly(report: Report, unit: LengthUnit) -> Iterator[Block]:
    rows = report.get("assembly")
    if not rows:
        return
    yield Rows(
        title="Order of assembly", header=("step", "piece", "comes in along", "drawn out by"),
        rows=[
            (str(a["step"]), a["name"], _way([-v for v in a["direction"]]), write_length(a["distance"], unit)) for a in rows
        ],
        right="rllr", keys=[a["name"] for a in rows],
    )  # fmt: skip


def _way(direction: Sequence[float]) -> str:
    words = {0: ("left", "right"), 1: ("front", "back"), 2: ("down", "up")}
    for axis, (low, high) in words.items():
        if abs(direction[axis]) > 0.999:
            return (
                f"to the {high if direction[axis] > 0 else low}" if axis < 2 else (high if direction[axis] > 0 else low)
            )
    return ", ".join(f"{v:.2f}" for v in direction)


def _sources(report: Report) -> Iterator[Block]:
    found: dict[str, None] = {}

    def walk(value: Any) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                if key == "source" and isinstance(inner, str) and inner:
                    found[inner] = None
                else:
                    walk(inner)
        elif isinstance(value, list):
            for inner in value:
                walk(inner)

    walk(report)
    if found:
        yield Rows(title="Every source named in this packet", header=("source",), rows=[(s,) for s in sorted(found)])
