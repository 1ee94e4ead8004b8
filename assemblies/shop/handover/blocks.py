"""What the packet says of buying, cost, card and label."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final

from assemblies.report.blocks import Block, Figure, Figures, Para, Report, Rows
from assemblies.report.figures import amount, size_words
from parts.lengths import LengthUnit, mark_under, write_named

__all__ = ["buying_blocks", "cost_blocks", "use_blocks"]

#: What a planned move goes up to, by what its card limits.
_MOST: Final[Mapping[str, Callable[[float], str]]] = {
    "tilt_deg": lambda v: f"to {v:.0f}°",
    "acceleration_m_s2": lambda v: f"up to {amount(v, 'm/s2')}",
    "speed_rpm": lambda v: f"up to {v:.0f} rpm",
    "pressure_bar": lambda v: f"up to {amount(v, 'bar')}",
}


def buying_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Sheet, bolts and all else that must be there before the first cut."""
    buying = report.get("buying")
    if not buying:
        return
    if buying["sheets"]:
        allow = buying["sheets"][0]["allowance"]
        yield Rows(
            title="Sheet",
            header=("material", "thickness", "net", "with allowance", "sides at least"),
            rows=[
                (
                    s["material"],
                    write_named(s["thickness"], unit),
                    amount(s["net_mm2"] / 1e6, "m2", 3),
                    amount(s["with_allowance_mm2"] / 1e6, "m2", 3),
                    size_words(s["least_sides"], unit),
                )
                for s in buying["sheets"]
            ],
            right="lrrrl",
            note=f"Allowance: {amount(allow['value'], allow['unit'])}; {allow['source']}.",
        )
    rows = [(str(b["count"]), b["item"], b["note"]) for b in buying.get("bolts", ())]
    for group in ("parts", "washers", "seals", "bonding", "tools", "protection"):
        rows += [(_count(i), i["item"], i["note"]) for i in buying.get(group, ())]
    if rows:
        yield Rows(title="Everything else", header=("amount", "what", "note"), rows=rows, right="rll")


def _count(item: Report) -> str:
    if item["amount"] is None:
        return ""
    one = item["amount"] == 1 and item["unit"].endswith("s")
    return amount(item["amount"], item["unit"][:-1] if one else item["unit"])


def cost_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The quote, line by line."""
    cost = report.get("cost")
    if not cost:
        return
    money = cost["currency"]
    rows = [(_of_group(x), *_at_a_rate(x), f"{x['amount']:.2f}") for x in cost["lines"]]
    rows.append(("total", "", "", f"{cost['total']:.2f}"))
    yield Rows(
        title="Quote",
        header=("what", "how much", f"rate, {money}", f"cost, {money}"),
        rows=rows,
        right="lrrr",
        note=f"{cost['note']}; {cost['basis']}; rates: {cost['rates']}.",
    )


def _of_group(line: Report) -> str:
    """What it is, and of what sort where its name does not say so."""
    group, what = line["group"], line["what"]
    return what if what.startswith(group) else f"{group}: {what}"


def _at_a_rate(line: Report) -> tuple[str, str]:
    """How much of it, and at what rate; a share of other lines says so in its unit."""
    if "%" in line["unit"]:
        return line["unit"], ""
    return amount(line["quantity"], line["unit"]), f"{line['rate']:.2f}"


def use_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The operator's card and the label for the tank."""
    card = report.get("card")
    if not card:
        return
    yield Figures(items=[*_limits(card, unit), *_waits(card), *_state(card)])
    if card.get("torques"):
        yield Rows(
            title="Tighten to at most",
            header=("plate", "thread", "torque"),
            rows=[(t["plate"], t["thread"] or "", amount(t["torque_Nm"], "N m")) for t in card["torques"]],
            right="llr",
            keys=[t["plate"] for t in card["torques"]],
        )
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
    if card.get("stays", "permanent") != "permanent":
        often = card.get("fills_per_day") or 1.0
        value = f"{card['stays']} at a time" + (f", {often:g} times a day" if card["stays"] != "days" else "")
        yield Figure(label="Stands full for", value=value, why="as ordered; longer was not proven")
    yield Figure(label="Liquids", value=", ".join(card["liquids"]), why="as ordered; another one needs a new proof")
    warm = amount(card["largest_temperature_C"], "C", 0)
    yield Figure(label="Not hotter than", value=warm, why="as ordered; the allowed stress was taken at it")
    less = "the smaller of what strength and spilling allow, in the worst direction"
    if card.get("largest_acceleration_m_s2") is not None:
        speed = amount(card["largest_acceleration_m_s2"], "m/s2")
        yield Figure(label="Start and stop no faster than", value=speed, why=less)
    if card.get("largest_tilt_deg") is not None:
        yield Figure(label="Tilt no further than", value=amount(card["largest_tilt_deg"], "°", 0), why=less)
    for move in card.get("planned", ()):
        most = next(words(move[key]) for key, words in _MOST.items() if key in move)
        why = "proven for this very move: by its schedule alone, never by hand"
        if "pressure_bar" in move:
            why = "proven for this pressure over the air outside: behind its guard, nobody over or before it"
        yield Figure(label=f"Planned: {move['case']}", value=most, why=why)


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
        yield Figure(label="Backup restraint", value=card["retention"], why=why)
