"""The blocks of the planning station: pieces, loads, liquid, what to buy, what it costs. From the report alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from assemblies.packet.blocks import Bar, Bars, Block, Figure, Figures, Picture, Rows
from assemblies.packet.words import amount, size_words, solid_words
from parts.lengths import LengthUnit, mark_length, write_length, write_named

__all__ = ["buying_blocks", "cost_blocks", "liquid_blocks", "load_blocks", "piece_blocks"]

Report = Mapping[str, Any]
_MOST_BARS = 8  # of one case; the rest is used less and stands in report.json
_THREAD_WHY = "thread shear area of ASME B1.1 appendix B times the design stress over the square root of 3"


def piece_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The exploded view, the pieces, a drawing of each, the bolts."""
    yield Picture(key="exploded", alt="Exploded view with item numbers and a parts list")
    names = {p["part"]: [q["name"] for q in report["placed"] if q["part"] == p["part"]] for p in report["parts"]}
    rows = [
        (
            str(p["count"] * report["quantity"]), p["part"], *(write_length(v, unit) for v in p["size"][:2]),
            write_named(p["size"][2], unit), p["sheet"]["material"], amount(p["mass"], "kg", 3),
            str(len(p["holes"])) if p["holes"] else "",
        )
        for p in report["parts"]
    ]  # fmt: skip
    yield Rows(
        title="Pieces to cut", header=("count", "part", "width", "height", "thickness", "material", "each", "holes"),
        rows=rows, right="rlrrrlrr", keys=[" ".join(names[p["part"]]) for p in report["parts"]],
        note="Net sizes. Thickness is the mean of the readings where the sheet was measured, else the nominal.",
    )  # fmt: skip
    for p in report["parts"]:
        alt = f"Drawing of {p['part']}, {solid_words(p['size'], unit)}; the whole sheet is drawings/{p['part']}.pdf"
        yield Picture(key=f"part-{p['part']}", alt=alt, about=" ".join(names[p["part"]]))
    if report.get("fasteners"):
        yield Rows(
            title="Bolts and screws", header=("count", "what", "into", "reaches at most", "note"),
            rows=[
                (
                    str(f["count"] * report["quantity"]), f["name"], f["piece"],
                    write_length(f["longest_mm"], unit) if f["longest_mm"] is not None else "", f["note"],
                )
                for f in report["fasteners"]
            ],
            right="rllrl", keys=[f["piece"] for f in report["fasteners"]],
        )  # fmt: skip


def load_blocks(report: Report) -> Iterator[Block]:
    """Per case what is used most, as bars; what the thing is good for."""
    strength = report.get("strength")
    if not strength:
        return
    found: dict[str, list[Bar]] = {}
    for case, bar in _bars(strength):
        found.setdefault(case, []).append(bar)
    for case, bars in found.items():
        yield Bars(title=f"{case}: what is used most", items=sorted(bars, key=lambda b: -b.use)[:_MOST_BARS])
    if strength.get("good_for") and strength.get("covered", True):
        yield Figures(items=_good_for(strength["good_for"], report.get("liquid", {}).get("fill_L")))


def _bars(strength: Report) -> Iterator[tuple[str, Bar]]:
    for row in strength.get("cases", ()):
        what = f"{row['piece']}{', edge of a hole' if row['what'] == 'hole' else ''}"
        text = f"{amount(row['stress'], 'MPa')} of {amount(row['allowed'], 'MPa')}"
        far = row.get("beyond_method", False)
        if row["what"] == "panel":
            bow = (
                f"beyond the method, more than {strength['largest_bow']:g} thicknesses;"
                if far
                else f"{amount(row['deflection'], 'mm')} of"
            )
            text += f"; bows {bow} {amount(row['allowed_deflection'], 'mm')}{' allowed' if far else ''}"
        instead = "beyond" if far and row["governs"] == "deflection" else ""
        yield row["case"], Bar(label=what, use=row["use"], text=text, why=_chain(row), instead=instead)
    for row in strength.get("seams", ()):
        text = f"{amount(row['stress'], 'MPa')} of {amount(row['allowed'], 'MPa')} in the joint"
        yield row["case"], Bar(label=f"seam {row['seam']}", use=row["use"], text=text, why=_chain(row))
    for row in strength.get("mounting", ()):
        text = f"{amount(row['stress'], 'MPa')} of {amount(row['allowed'], 'MPa')} in the bond"
        why = (
            "weight, acceleration and lever arm shared over the plates; half of the bonded area counts until inspected"
        )
        yield row["case"], Bar(label=f"bond of {row['plates']}", use=row["use"], text=text, why=why)
    for row in strength.get("threads", ()):
        if "case" in row:
            text = f"a bolt pulls {amount(row['pull'], 'N', 0)}, the thread holds {amount(row['holds'], 'N', 0)}"
            yield (
                row["case"],
                Bar(label=f"{row['thread']} in {row['plate']}", use=row["use"], text=text, why=_THREAD_WHY),
            )


def _chain(row: Report) -> str:
    t = row["terms"]
    return (
        f"allowed = table {t['table']:g} MPa × environment {t['environment']:g} × joint {t['joint']:g} "
        f"÷ factor {t['factor']:g}; table: {t['source']}"
    )


def _good_for(good: Report, fill_l: float | None) -> Sequence[Figure]:
    """What it is good for; a dry one was not pushed and tilted."""
    why = "solved with the same plates and the same allowed stress"
    pushed = f"{why}; looked at up to a push as large as its weight, and to lying on its side"
    level = "level surface of the liquid, square to the effective gravity"
    wanted = (
        ("fill_l", "Largest fill for good", "L", 1, why),
        ("acceleration_m_s2", "Largest sudden start that spills nothing, by strength", "m/s2", 2, pushed),
        ("tilt_deg", "Largest slow tilt, by strength", "°", 0, pushed),
        ("dry_acceleration_m_s2", "Largest sudden start that spills nothing in any direction", "m/s2", 2, level),
        ("dry_tilt_deg", "Starts to pour, in the worst direction, at a tilt of", "°", 1, level),
    )
    return [
        Figure(label=label, value=amount(good[key], unit, places), why=reason)
        for key, label, unit, places, reason in wanted
        if good.get(key) is not None and (fill_l != 0.0 or key == "fill_l")
    ]


def liquid_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """How much, how deep, how heavy, where its weight is, what leaves over the rim."""
    q = report.get("liquid")
    if not q:
        return
    why = "exact volume of the inside under a level surface"
    centre = ", ".join(f"{axis} {mark_length(v, unit)}" for axis, v in zip("xyz", q["centre_full"], strict=True))
    items = [
        Figure(
            label="Liquid",
            value=f"{q['name']}, {amount(q['density'], 'kg/m3', 0)}"
            + ("; taken, the order has no [liquid]" if q.get("assumed") else ""),
            why=q["source"],
        ),
        Figure(
            label="Fill",
            value=f"{amount(q['fill_L'], 'L')}, {mark_length(q['fill_depth'], unit)} deep"
            + ("; taken, full to the brim" if q.get("assumed") and q.get("full_to") == "brim" else ""),
            why=why,
        ),
        Figure(label="Holds to the brim or overflow", value=amount(q["capacity_L"], "L"), why=why),
        Figure(label="Freeboard", value=mark_length(q["freeboard"], unit), why=why),
        Figure(
            label="Mass empty",
            value=amount(q["mass_empty"], "kg"),
            why="volume of the pieces times the sheet's density",
        ),
        Figure(label="Mass full", value=amount(q["mass_full"], "kg"), why="pieces and liquid"),
        Figure(label="Centre of mass, full", value=centre, why="from the centre of the outside of the underside"),
    ]
    if q.get("tips_at", {}).get("tilt") is not None:
        tips = amount(q["tips_at"]["tilt"], "°", 0)
        items.append(Figure(label="Standing free, tips over at", value=tips, why="the liquid settles as it goes"))
    yield Figures(items=items)
    lost = [(case, amount(litres, "L")) for case, litres in q.get("lost_L", {}).items() if litres > 1e-6]
    if lost:
        yield Rows(title="Leaves over the rim", header=("case", "volume"), rows=lost, right="lr")


def buying_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Sheet, bolts and all else that must be there before the first cut."""
    buying = report.get("buying")
    if not buying:
        return
    if buying["sheets"]:
        allow = buying["sheets"][0]["allowance"]
        yield Rows(
            title="Sheet", header=("material", "thickness", "net", "with allowance", "sides at least"),
            rows=[
                (
                    s["material"], write_named(s["thickness"], unit), amount(s["net_mm2"] / 1e6, "m2", 3),
                    amount(s["with_allowance_mm2"] / 1e6, "m2", 3), size_words(s["least_sides"], unit),
                )
                for s in buying["sheets"]
            ],
            right="lrrrl", note=f"Allowance: {amount(allow['value'], allow['unit'])}; {allow['source']}.",
        )  # fmt: skip
    rows = [(str(b["count"]), b["item"], b["note"]) for b in buying.get("bolts", ())]
    for group in ("washers", "seals", "bonding", "tools", "protection"):
        rows += [(_count(i), i["item"], i["note"]) for i in buying.get(group, ())]
    if rows:
        yield Rows(title="Everything else", header=("amount", "what", "note"), rows=rows, right="rll")


def _count(item: Report) -> str:
    if item["amount"] is None:
        return ""
    one = item["amount"] == 1 and item["unit"].endswith("s")
    return amount(item["amount"], item["unit"][:-1] if one else item["unit"])


def cost_blocks(report: Report) -> Iterator[Block]:
    """The quote, line by line."""
    cost = report.get("cost")
    if not cost:
        return
    money = cost["currency"]
    rows = [(x["group"], x["what"], *_at_a_rate(x), f"{x['amount']:.2f}") for x in cost["lines"]]
    rows.append(("", "total", "", "", f"{cost['total']:.2f}"))
    yield Rows(
        title="Quote", header=("", "what", "how much", f"rate, {money}", f"cost, {money}"), rows=rows, right="llrrr",
        note=f"{cost['note']}; {cost['basis']}; rates: {cost['rates']}.",
    )  # fmt: skip


def _at_a_rate(line: Report) -> tuple[str, str]:
    """How much of it, and at what rate; a share of other lines says so in its unit."""
    if "%" in line["unit"]:
        return line["unit"], ""
    return amount(line["quantity"], line["unit"]), f"{line['rate']:.2f}"
