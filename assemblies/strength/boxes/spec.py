"""A box as it was asked for, checked."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from assemblies.strength.boxes.setting import FACES, PLANES, WALLS, Brace, OnPlates, Pad, Strip
from assemblies.strength.plates.given import check_poisson, number, sizes

__all__ = ["MEET", "RimSpec", "Spec", "tank_spec"]

RimSpec = str | Strip | Brace | Sequence[Strip | Brace]
#: Panels meet this share of a thickness beyond each other's faces. A square corner of equal sheets turns under a moment as if
#: they met at 0.37 (computed: plane strain, quadratic elements), of sheets 1 : 2 at 0.26; in the middle planes, at 0.5,
#: walls bow out 6 % too far and bows inward come 10 % short. A little over 0.37 leaves room for what yields in shear.
MEET: Final = 0.42
#: The same for walls whose floor lies flat, where the joint gives more: of the root of both thicknesses (0.54 for equal sheets,
#: 0.43 and 0.54 of it for 1 : 0.6 either way; computed likewise).
_FOOT: Final = 0.54
_STEP: Final = (
    0.05  # mm: a wall lower by less is as high as the others, and makes functions that are no longer told apart
)
_BASES = ("flat", "edges", "hung")


@dataclass(frozen=True, kw_only=True)
class Spec:
    """The checked inputs.

    Attributes:
        inner: inside length, width, height, mm.
        thick: of each panel, mm.
        base: `flat` (all of the floor is held up and down), `edges` (the walls' feet are, `ledge` mm outside of their
            middle planes), `hung` (the walls' upper edges are), or `plates`.
        density_kg_m3: of the sheet, for its own weight.
        rim_kg_mm: mass of what else hangs on the rim, evenly along it.
        tops: how high over the floor walls reach that are lower than the others over their whole length, mm.
    """

    inner: tuple[float, float, float]
    thick: dict[str, float]
    modulus: float
    poisson: float
    base: str
    pads: tuple[Pad, ...] = ()
    strip: Strip | None = None
    braces: tuple[Brace, ...] = ()
    ledge: float = 0.0
    density_kg_m3: float = 0.0
    rim_kg_mm: float = 0.0
    tops: Mapping[str, float] = field(default_factory=dict)

    def reach(self, panel: str, axis: int) -> float:
        """How far a panel's inner face goes along an axis, mm."""
        return self.tops.get(panel, self.inner[2]) if axis == 2 else self.inner[axis]

    def until(self, panel: str, axis: int) -> float:
        """The same from where the panels meet, to where they meet."""
        low = axis == 2 and panel in self.tops
        return self.offsets[2] + self.tops[panel] if low else self.spans[axis]

    @property
    def offsets(self) -> tuple[float, float, float]:
        """How far the panels go on beyond the inner corner, to where they meet left, front and bottom, mm."""
        t = self.thick
        foot = MEET * t["bottom"]
        if self.base == "flat":
            foot = _FOOT * (t["bottom"] * min(t["left"], t["right"], t["front"], t["back"])) ** 0.5
        return MEET * t["left"], MEET * t["front"], foot

    @property
    def spans(self) -> tuple[float, float, float]:
        """From where panels meet to where they meet; to the free rim."""
        length, width, height = self.inner
        t = self.thick
        return (
            length + MEET * (t["left"] + t["right"]),
            width + MEET * (t["front"] + t["back"]),
            height + self.offsets[2] + MEET * t.get("lid", 0.0),
        )

    def stretch(self, name: str) -> float:
        """E t / (1 - nu^2) of a panel, N/mm."""
        return self.modulus * self.thick[name] / (1.0 - self.poisson**2)

    def under(self, pad: Pad) -> tuple[float, float, float, float]:
        """Where a plate lies on its panel's middle plane, clipped there: a0, a1, b0, b1, mm from the first middle planes."""
        found = []
        for k, axis in enumerate(PLANES[pad.panel][1:]):
            off, span = self.offsets[axis], self.spans[axis]
            found += [min(max(end + off, 0.0), span) for end in (pad.low[k], pad.high[k])]
        return found[0], found[1], found[2], found[3]

    def mirrors(self, axis: int) -> bool:
        """Whether the one half is as the other, along x or y."""
        low, high = (next(n for n, at in FACES.items() if at == (axis, end)) for end in (0, 1))
        if self.thick[low] != self.thick[high] or self.reach(low, 2) != self.reach(high, 2):
            return False
        across = {low: high, high: low}
        pads, twins = [], []
        for pad in self.pads:
            ends = list(self.under(pad))
            pads.append((pad.panel, pad.thickness, *(round(end, 6) for end in ends)))
            if axis in PLANES[pad.panel][1:]:
                k = 2 * PLANES[pad.panel][1:].index(axis)
                ends[k], ends[k + 1] = self.spans[axis] - ends[k + 1], self.spans[axis] - ends[k]
            twins.append((across.get(pad.panel, pad.panel), pad.thickness, *(round(end, 6) for end in ends)))
        bars = [(b.axis, b.width, b.thickness, round(b.at_mm, 6)) for b in self.braces]
        turned = [(a, w, t, round(self.inner[axis] - at, 6) if a != axis else at) for (a, w, t, at) in bars]
        return sorted(pads) == sorted(twins) and sorted(bars) == sorted(turned)


def tank_spec(
    inner: Sequence[float],
    thicknesses: float | Mapping[str, float],
    modulus: float,
    poisson: float,
    base: str | OnPlates,
    rim: RimSpec,
    *,
    density_kg_m3: float = 0.0,
    rim_kg: float = 0.0,
    ledge_mm: float = 0.0,
    tops: Mapping[str, float] | None = None,
) -> Spec:
    """The order for a tank, checked.

    Args:
        inner, thicknesses, modulus, poisson, base, rim: as in `box`.
        density_kg_m3: of its sheet; 0 leaves its own weight out.
        rim_kg: what else stands or hangs on the rim, spread evenly.
        ledge_mm: how far outside of the walls' middle planes `edges` hold it.
        tops: how high over the floor walls reach that are lower than the others over their whole length, mm.

    Raises:
        ValueError: naming what makes no sense.
    """
    length, width, height = (number("size", value) for value in inner)
    sizes(length=length, width=width, height=height, modulus=modulus)
    thick = _thick(thicknesses)
    if base not in _BASES and not isinstance(base, OnPlates):
        raise ValueError(f"base: {base!r} is none of {', '.join(_BASES)}, or OnPlates(pads=...)")
    pads = base.pads if isinstance(base, OnPlates) else ()
    if isinstance(base, OnPlates):
        _check_pads(pads, (length, width, height))
    strip, braces = _rim(rim, "lid" in thick)
    for brace in braces:
        _check_brace(brace, (length, width, height))
    _check_tops(tops or {}, base, bool(strip) or "lid" in thick, braces, height)
    return Spec(
        inner=(length, width, height),
        thick=thick,
        modulus=modulus,
        poisson=check_poisson(poisson),
        base=base if isinstance(base, str) else "plates",
        pads=pads,
        strip=strip,
        braces=braces,
        ledge=ledge_mm,
        density_kg_m3=density_kg_m3,
        rim_kg_mm=rim_kg / (2.0 * (length + width)),
        tops=dict(tops or {}),
    )


def _rim(rim: RimSpec, lid: bool) -> tuple[Strip | None, tuple[Brace, ...]]:
    things = () if isinstance(rim, str) else (rim,) if isinstance(rim, Strip | Brace) else tuple(rim)
    if isinstance(rim, str) and rim != "free":
        raise ValueError(f"rim: {rim!r} is none of free, a Strip, a Brace, or several of them")
    strips, braces = [s for s in things if isinstance(s, Strip)], tuple(b for b in things if isinstance(b, Brace))
    if len(strips) + len(braces) < len(things) or len(strips) > 1:
        raise ValueError("rim: give at most one Strip, and any number of Braces")
    if lid and things:
        raise ValueError("rim: under a bonded lid there is none")
    for strip in strips:
        number("rim strip, width", strip.width, high=1e6)
        number("rim strip, thickness", strip.thickness, high=1e6)
    return (strips[0] if strips else None), braces


def _check_tops(
    tops: Mapping[str, float], base: str | OnPlates, closed: bool, braces: Sequence[Brace], height: float
) -> None:
    if tops and (closed or base == "hung"):
        raise ValueError("tops: with a lower wall there is no strip or lid on the rim, and it does not hang by it")
    if any(FACES[name][0] == brace.axis for name in tops if name in WALLS for brace in braces):
        raise ValueError("tops: a brace ends on a wall that is lower than the others")
    for name, top in tops.items():
        if name not in WALLS:
            raise ValueError(f"tops: no wall is named {name}")
        if not _STEP <= top <= height - _STEP:
            raise ValueError(f"tops: {top:g} mm of the {name} is not between 0 and the {height:g} mm of the others")


def _thick(thicknesses: float | Mapping[str, float]) -> dict[str, float]:
    names = ("left", "right", "front", "back", "bottom")
    if not isinstance(thicknesses, Mapping):
        return dict.fromkeys(names, float(number("thicknesses", thicknesses, high=1e4)))
    missing, unknown = set(names) - set(thicknesses), set(thicknesses) - {*names, "lid"}
    if missing or unknown:
        wrong = ", ".join(sorted(missing | unknown))
        raise ValueError(f"thicknesses: give left, right, front, back, bottom (and lid); look at {wrong}")
    return {name: float(number(f"thickness of {name}", t, high=1e4)) for name, t in thicknesses.items()}


def _check_pads(pads: Sequence[Pad], inner: tuple[float, float, float]) -> None:
    if not pads:
        raise ValueError("base: no plate is given; nothing holds the box")
    for pad in pads:
        if pad.panel not in PLANES:
            raise ValueError(f"base: no panel is named {pad.panel}")
        number("base: plate, thickness", pad.thickness, high=1e4)
        for low, high, axis in zip(pad.low, pad.high, PLANES[pad.panel][1:], strict=True):
            if not (low < high and low < inner[axis] and high > 0.0 and math.isfinite(high - low)):
                raise ValueError(f"base: the plate {low:g}..{high:g} mm has no size, or is not on the {pad.panel}")


def _check_brace(brace: Brace, inner: tuple[float, float, float]) -> None:
    if brace.along not in ("width", "length"):
        raise ValueError(f"brace, along: {brace.along!r} is none of width, length")
    number("brace, width", brace.width, high=1e6)
    number("brace, thickness", brace.thickness, high=1e6)
    run = inner[1 - brace.axis]
    if not brace.width / 2.0 <= brace.at_mm <= run - brace.width / 2.0:
        raise ValueError(f"brace: at {brace.at_mm:g} mm it does not lie within the {run:g} mm of the rim")
