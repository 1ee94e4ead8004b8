"""A box as it was asked for, checked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assemblies.strength.boxes.setting import WALLS, Brace, OnPlates, Strip
from assemblies.strength.plates.given import check_poisson, number, sizes

__all__ = ["RimSpec", "Spec", "check_box"]

RimSpec = str | Strip | Brace | Sequence[Strip | Brace]


@dataclass(frozen=True, kw_only=True)
class Spec:
    """The checked inputs."""

    inner: tuple[float, float, float]
    thick: dict[str, float]
    modulus: float
    poisson: float
    base: str | OnPlates
    held_top: bool
    strip: Strip | None
    braces: tuple[Brace, ...]

    @property
    def panels(self) -> tuple[str, ...]:
        floor = () if self.base == "flat" else ("bottom",)
        return (*WALLS, *floor, *(("lid",) if "lid" in self.thick else ()))

    @property
    def offsets(self) -> tuple[float, float, float]:
        """Inner corner from the middle planes of left, front and bottom."""
        return self.thick["left"] / 2.0, self.thick["front"] / 2.0, self.thick["bottom"] / 2.0

    @property
    def spans(self) -> tuple[float, float, float]:
        length, width, height = self.inner
        t = self.thick
        return (
            length + (t["left"] + t["right"]) / 2.0,
            width + (t["front"] + t["back"]) / 2.0,
            height + (t["bottom"] + t.get("lid", 0.0)) / 2.0,
        )


def check_box(
    inner: tuple[float, float, float],
    thicknesses: float | Mapping[str, float],
    modulus: float,
    poisson: float,
    base: str | OnPlates,
    rim: RimSpec,
) -> Spec:
    """The order for a box, or ValueError naming what makes no sense."""
    sizes(length=inner[0], width=inner[1], height=inner[2], modulus=modulus)
    thick = _thick(thicknesses)
    if base not in ("flat", "hung") and not isinstance(base, OnPlates):
        raise ValueError(f"base: {base!r} is none of flat, hung, or OnPlates(rectangles=...)")
    if isinstance(base, OnPlates):
        _check_rectangles(base, inner)
    things = () if isinstance(rim, str) else (rim,) if isinstance(rim, Strip | Brace) else tuple(rim)
    if isinstance(rim, str) and rim not in ("free", "supported"):
        raise ValueError(f"rim: {rim!r} is none of free, supported, a Strip, a Brace, or several of them")
    strips, braces = [s for s in things if isinstance(s, Strip)], tuple(b for b in things if isinstance(b, Brace))
    if len(strips) + len(braces) < len(things) or len(strips) > 1:
        raise ValueError("rim: give at most one Strip, and any number of Braces")
    if "lid" in thick and rim != "supported":
        raise ValueError("lid: only a bonded lid holds the walls; say rim='supported', or give no lid thickness")
    for strip in strips:
        strip.check()
    for brace in braces:
        _check_brace(brace, inner)
    return Spec(
        inner=inner,
        thick=thick,
        modulus=modulus,
        poisson=check_poisson(poisson),
        base=base,
        held_top=rim == "supported",
        strip=strips[0] if strips else None,
        braces=braces,
    )


def _thick(thicknesses: float | Mapping[str, float]) -> dict[str, float]:
    names = ("left", "right", "front", "back", "bottom")
    if not isinstance(thicknesses, Mapping):
        return dict.fromkeys(names, float(number("thicknesses", thicknesses, high=1e4)))
    missing, unknown = set(names) - set(thicknesses), set(thicknesses) - {*names, "lid"}
    if missing or unknown:
        wrong = ", ".join(sorted(missing | unknown))
        raise ValueError(f"thicknesses: give left, right, front, back, bottom (and lid); look at {wrong}")
    return {name: float(number(f"thickness of {name}", t, high=1e4)) for name, t in thicknesses.items()}


def _check_rectangles(base: OnPlates, inner: tuple[float, float, float]) -> None:
    if not base.rectangles:
        raise ValueError("base: no plate is given; nothing holds the box")
    for x0, x1, y0, y1 in base.rectangles:
        if not (x0 < x1 and y0 < y1 and x0 < inner[0] and x1 > 0 and y0 < inner[1] and y1 > 0):
            raise ValueError(
                f"base: the plate {x0:g}..{x1:g} by {y0:g}..{y1:g} mm has no size, or is not under the floor"
            )


def _check_brace(brace: Brace, inner: tuple[float, float, float]) -> None:
    if brace.along not in ("width", "length"):
        raise ValueError(f"brace, along: {brace.along!r} is none of width, length")
    number("brace, width", brace.width, high=1e6)
    number("brace, thickness", brace.thickness, high=1e6)
    run = inner[0] if brace.along == "width" else inner[1]
    if not brace.width / 2.0 <= brace.at_mm <= run - brace.width / 2.0:
        raise ValueError(f"brace: at {brace.at_mm:g} mm it does not lie within the {run:g} mm of the rim")
