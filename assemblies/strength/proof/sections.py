"""What the packet says of loads and what bears them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assemblies.report.blocks import Bar, Block, Figure, Figures, Para, Report
from assemblies.report.figures import amount, used_most
from parts.lengths import LengthUnit

__all__ = ["load_blocks"]

_THREAD_WHY = "thread shear area of ASME B1.1 appendix B times the design stress over the square root of 3"


def load_blocks(report: Report, _unit: LengthUnit = "mm") -> Iterator[Block]:
    """Per case what is used most, as bars; what the thing is good for: of neither is a length shown in people's units."""
    strength = report.get("strength")
    if not strength:
        return
    found: dict[str, list[Bar]] = {}
    for case, bar in _bars(strength):
        found.setdefault(case, []).append(bar)
    if not strength.get("covered", True):
        yield Para(text=_NOT_COVERED)
    elif strength.get("until"):
        yield Para(text=f"No pass until {strength['until']}: these figures are for sheet as drawn.")
    for case, bars in found.items():
        yield used_most(case, bars)
    if strength.get("good_for"):
        proven = strength.get("covered", True) and not strength.get("until")
        yield Figures(items=_good_for(strength["good_for"], report.get("liquid", {}).get("fill_L"), proven=proven))
    sunk = [row for row in strength.get("whole", ()) if max(row["sag"], row["drop"]) >= 0.005]
    if sunk:
        yield Figures(items=_whole(max(sunk, key=lambda row: float(row["use"]))))


_NOT_COVERED = (
    "No pass: what is not covered is not in these figures; where a use is below its limit, the method for plain "
    "boxes finds no fault, and nothing more."
)
_WHOLE_WHY = "the tank bends as one between and beside what carries it; with the creep of the case's duration"


def _whole(row: Report) -> Sequence[Figure]:
    """How the tank as one moves in the case in which it moves most."""
    case = row["case"]
    return [
        Figure(label=f"Whole tank, {case}, its floor sinks", value=amount(row["sag"], "mm"), why=_WHOLE_WHY),
        Figure(label=f"Whole tank, {case}, its edges sink", value=amount(row["drop"], "mm"), why=_WHOLE_WHY),
        Figure(label=f"Whole tank, {case}, it leans", value=amount(row["lean"], "°"), why=_WHOLE_WHY),
    ]


def _bars(strength: Report) -> Iterator[tuple[str, Bar]]:
    for row in strength.get("whole", ()):
        if max(row["sag"], row["drop"]) < 0.005:
            continue
        text = f"sinks {amount(row['sag'], 'mm')} of {amount(row['allowed'], 'mm')} allowed"
        yield row["case"], Bar(label="whole tank", use=row["use"], text=text, why=_WHOLE_WHY)
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
        f"allowed = table × environment × joint ÷ factor = {t['table']:g} MPa × {t['environment']:g} × {t['joint']:g} "
        f"÷ {t['factor']:g}; table: {t['source']}"
    )


def _good_for(good: Report, fill_l: float | None, *, proven: bool) -> Sequence[Figure]:
    """What it is good for; a dry one was not pushed and tilted. What is not proven is good for nothing: then when it spills."""
    why = "solved with the same plates and the same allowed stress"
    pushed = f"{why}; looked at up to a push as large as its weight, and to lying on its side"
    level = "level surface of the liquid, square to the effective gravity"
    wanted = (
        ("fill_l", "Largest permanent fill", "L", 1, why),
        ("acceleration_m_s2", "Largest sudden start that spills nothing, by strength", "m/s2", 2, pushed),
        ("tilt_deg", "Largest slow tilt, by strength", "°", 0, pushed),
        ("dry_acceleration_m_s2", "Largest sudden start that spills nothing in any direction", "m/s2", 2, level),
        ("dry_tilt_deg", "Starts to pour, in the worst direction, at a tilt of", "°", 1, level),
    )
    return [
        Figure(label=label, value=amount(good[key], unit, places) + _ended(good, key), why=reason)
        for key, label, unit, places, reason in wanted
        if good.get(key) is not None and (fill_l != 0.0 or key == "fill_l") and (proven or key.startswith("dry_"))
    ]


_ONE_G = 9.8  # m/s2; a sudden start is looked at up to 1 g


def _ended(good: Report, key: str) -> str:
    """Where the search for the largest sudden start ended, if not at the strength."""
    push, wave = good["acceleration_m_s2"], good["wave_acceleration_m_s2"]
    if key != "acceleration_m_s2" or not push:
        return ""
    if push >= _ONE_G:
        return " at least"
    return "; its first waves are then a fifth of the depth" if wave and push >= wave * (1.0 - 1e-6) else ""
