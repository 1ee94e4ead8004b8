"""What the packet says of the dry fit and the order of assembly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assemblies.report.blocks import Block, Figure, Figures, Para, Report, Rows, Step, Steps
from assemblies.report.figures import amount, between
from parts.lengths import LengthUnit, gauge_length, mark_length

__all__ = ["assembly_blocks", "fit_blocks", "steps_with_cautions"]


def steps_with_cautions(report: Report, stations: Sequence[str]) -> list[Step]:
    """The bonding plan's steps of these stations; a caution stands in full where it is first needed, then by that step's
    number."""
    texts = {c["id"]: f"{c['text']} [{c['source']}]" for c in report.get("cautions", ())}
    shown: dict[str, int] = {}
    out = []
    whole: tuple[set[str], ...] = (
        {p["name"] for p in report["placed"]},
        {s["id"] for s in report.get("fit", {}).get("seams", ())},
        set(),
    )
    rows = [s for s in report.get("bonding", {}).get("steps", ()) if s["station"] in stations]
    for number, row in enumerate(rows, start=1):
        ids = [c for c in row["cautions"] if c in texts]
        said = [texts[c] for c in ids if c not in shown]
        before = sorted({shown[c] for c in ids if c in shown})
        if before:
            said.append(f"As at step {', '.join(map(str, before))}.")
        shown |= {c: number for c in ids if c not in shown}
        some = row["station"] in ("edges", "tape") and set(row.get("where", ())) not in whole
        text = f"{row['text']} Here: {', '.join(row['where'])}." if some else row["text"]
        out.append(Step(text=text, cautions=said, source=row["source"]))
    return out


def fit_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Every seam with its gap, what is captive and from what, what runs into what, edges and tape."""
    fit = report.get("fit")
    if not fit:
        return
    if fit["seams"]:
        yield _seams(fit, unit)
    if fit.get("loops"):
        yield _captive(fit, unit)
    hits = fit.get("interferences")
    if hits is not None:
        text = (
            "No two pieces run into each other."
            if not hits
            else "; ".join(f"{h['a']} and {h['b']} share {amount(h['volume_mm3'], 'mm3')}" for h in hits)
        )
        yield Para(text=f"Solids compared: {text}")
    gap = report.get("bonding", {}).get("gap")
    if gap:
        yield Figures(
            items=[
                Figure(
                    label="Feeler leaf that must not go in", value=gauge_length(gap["leaf"], unit), why=gap["source"]
                ),
                Figure(
                    label="Stop where this leaf goes in", value=gauge_length(gap["stop_leaf"], unit), why=gap["source"]
                ),
            ]
        )
    steps = steps_with_cautions(report, ("edges", "tape"))
    if steps:
        yield Steps(title="Edges and tape", items=steps)


def _seams(fit: Report, unit: LengthUnit) -> Rows:
    def gap(mm: float) -> str:
        return gauge_length(mm, unit).removesuffix(f" {unit}")

    return Rows(
        title="Seams",
        header=("seam", "between", "length", "width", f"gap, {unit}", "", "goes in", "seals"),
        rows=[
            (
                s["id"],
                between(s),
                mark_length(s["length"], unit),
                mark_length(s["width"], unit),
                f"{gap(s['gap']['min'])} to {gap(s['gap']['max'])}",
                "trapped" if s["captive"] else "taped",
                "yes" if s["goes_in"] else "no",
                s["seals"],
            )
            for s in fit["seams"]
        ],
        right="llrrrlll",
        keys=[f"{s['a']} {s['b']}" for s in fit["seams"]],
        note="The gap is the least and greatest that the tolerances leave once the pieces are taped. Negative: the piece is "
        "too big by that much.",
    )


def _captive(fit: Report, unit: LengthUnit) -> Rows:
    return Rows(
        title="Trapped pieces",
        header=("piece", "between", "left over", "plus or minus", "likely", "from"),
        rows=[
            (
                loop["piece"],
                " and ".join(loop["between"]),
                *(gauge_length(loop[key], unit) for key in ("left_over", "spread", "rss")),
                ", ".join(f"{t['piece']} {t['size']} ±{gauge_length(t['error'], unit)}" for t in loop["terms"]),
            )
            for loop in fit["loops"]
        ],
        right="llrrrl",
        keys=[loop["piece"] for loop in fit["loops"]],
        note="Tape cannot close the gap of a trapped piece. Likely: root-sum-square.",
    )


def assembly_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Which piece goes in when, and from where."""
    rows = report.get("assembly")
    if not rows:
        return
    yield Rows(
        title="Piece by piece",
        header=("step", "piece", "goes in", "pulled out by"),
        rows=[(str(a["step"]), a["name"], _comes_in(a), mark_length(a["distance"], unit)) for a in rows],
        right="rllr",
        keys=[a["name"] for a in rows],
        note="Pulled out by: how far from its place the view shows the piece.",
    )


def _comes_in(row: Report) -> str:
    if row["carrier"]:
        return f"with {row['carrier']}, bonded to it first"
    return _way([-v for v in row["direction"]])


def _way(direction: Sequence[float]) -> str:
    words = (("to the left", "to the right"), ("to the front", "to the back"), ("down", "up"))
    for axis, (low, high) in enumerate(words):
        if abs(direction[axis]) > 0.999:
            return high if direction[axis] > 0 else low
    return "along " + ", ".join(f"{v:.2f}" for v in direction)
