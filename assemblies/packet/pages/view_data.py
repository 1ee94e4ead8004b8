"""What the view of the page shows besides the model: ways out, words for each piece, seams, and what does not fit.

Places are in metres, y up, as in the GLB file. From the report alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from assemblies.report.figures import amount, solid_words
from parts.lengths import LengthUnit, gauge_length

__all__ = ["view_data"]

Report = Mapping[str, Any]


def view_data(report: Report, unit: LengthUnit) -> dict[str, Any] | None:
    """Plain data for the page's script; None when the report does not say how the thing comes apart.

    `pieces`: name, offset when fully apart, a sentence. `seams`: id, the two pieces, middle, level `ok`, `care` or `stop`.
    `marks`: level, id, a short and a whole text, place, the pieces named, `red` those that do not go in or run into another.
    """
    if "assembly" not in report or "fit" not in report:
        return None
    ways = {a["name"]: [d * a["distance"] for d in a["direction"]] for a in report["assembly"]}
    return {
        "pieces": [
            {
                "name": p["name"],
                "offset": _metres(ways.get(p["name"], (0.0, 0.0, 0.0))),
                "text": _words(report, p, unit),
            }
            for p in report["placed"]
        ],
        "seams": [
            {"id": s["id"], "a": s["a"], "b": s["b"], "at": _metres(s["centre"]), "level": _level(s)}
            for s in report["fit"]["seams"]
        ],
        "marks": [*_seam_marks(report["fit"], unit), *_hit_marks(report)],
    }


def _metres(point_mm: Sequence[float]) -> list[float]:
    """From mm, x right, y back, z up, to metres, y up, z to the front."""
    x, y, z = point_mm
    return [round(v / 1000.0, 9) + 0.0 for v in (x, z, -y)]


def _words(report: Report, placed: Report, unit: LengthUnit) -> str:
    part = next(p for p in report["parts"] if p["part"] == placed["part"])
    seams = [s["id"] for s in report["fit"]["seams"] if placed["name"] in (s["a"], s["b"])]
    return (
        f"{placed['name']}: part {part['part']}, {solid_words(part['size'], unit)}, {amount(part['mass'], 'kg', 3)}. "
        f"Seams: {', '.join(seams) or 'none'}."
    )


def _level(seam: Report) -> str:
    return "stop" if not seam["goes_in"] else str(seam["seals"])


def _seam_marks(fit: Report, unit: LengthUnit) -> Iterator[dict[str, Any]]:
    captive = {seam: loop["piece"] for loop in fit.get("loops", ()) for seam in loop["seams"]}
    for s in fit["seams"]:
        if _level(s) == "ok":
            continue
        most, over = gauge_length(s["gap"]["max"], unit), gauge_length(-s["gap"]["min"], unit)
        said, red = [], []
        if not s["goes_in"]:
            said.append(f"may not go in, up to {over} too large")
            red = [captive[s["id"]]] if s["id"] in captive else [s["a"], s["b"]]
        if s["seals"] != "ok":
            grave = "thin solvent does not bridge it" if s["seals"] == "stop" else "more than is good"
            said.append(f"the gap may be {most}: {grave}")
        short = f"gap {most}" if s["goes_in"] else f"{over} too large"
        text = f"Seam {s['id']}, {s['a']} and {s['b']}: {'; '.join(said)}."
        yield _mark(_level(s), (s["id"], short), text, s["centre"], [s["a"], s["b"]], red)


def _hit_marks(report: Report) -> Iterator[dict[str, Any]]:
    middles = {frozenset((s["a"], s["b"])): s["centre"] for s in report["fit"]["seams"]}
    origins = {p["name"]: p["origin"] for p in report["placed"]}
    for hit in report["fit"].get("interferences") or ():
        pair, volume = [hit["a"], hit["b"]], amount(hit["volume_mm3"], "mm3", 1)
        at = middles.get(frozenset(pair), origins[hit["b"]])
        text = f"{hit['a']} and {hit['b']} run into each other: they share {volume}."
        yield _mark("stop", ("overlap", volume), text, at, pair, pair)


def _mark(
    level: str, short: tuple[str, str], text: str, at: Sequence[float], pieces: Sequence[str], red: Sequence[str]
) -> dict[str, Any]:
    return {
        "level": level,
        "id": short[0],
        "short": short[1],
        "text": text,
        "at": _metres(at),
        "pieces": list(pieces),
        "red": list(red),
    }
