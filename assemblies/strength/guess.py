"""Where to look first for a thickness: one wall as a single plate, between clamped and supported at its sides.

A single plate is no proof of a box (it misses by -42 to +186 %); it only says where on the list to start solving.
"""

from __future__ import annotations

from assemblies.design import Design
from assemblies.strength.allowed import allowed_stress
from assemblies.strength.plate import plate
from assemblies.strength.tank_model import tank_model
from assemblies.strength.uses import Loaded, Settings

__all__ = ["likely_thickness"]


def likely_thickness(design: Design, at_rest: Loaded, settings: Settings) -> float:
    """About how thick the longer walls must be to stand still for good, mm.

    The sides turn little beside a wall as long as this one and more beside a shorter one: the bow is read between that of
    clamped and of supported sides, weighted so that a box of 2 to 1 comes out right (a solid model of 600 x 300 x 400 mm).
    """
    model = tank_model(design, "flat")
    length, width, height = model.size
    name, long, short = ("front", length, width) if length >= width else ("left", width, length)
    t = model.thickness[name]
    modulus = model.material.creep_modulus("permanent").value
    top = "supported" if "lid" in model.thickness else "free"
    push = model.pressures(at_rest.load)[name]
    bows = []
    for sides in ("clamped", "supported"):
        edges = {"left": sides, "right": sides, "bottom": "clamped", "top": top}
        got = plate(long, height, t, modulus, model.material.poisson, edges, push, estimate=False)
        bows.append((abs(got.deflection.value), abs(got.edges["bottom"].extreme.value)))
    share = 2.0 / 3.0 * (1.0 - short / long)
    bow, base = (a ** (1.0 - share) * b**share for a, b in zip(*bows, strict=True))
    span = min(long, 2.0 * height)
    limit = settings.deflection_mm or span * (settings.deflection_of_span or 1.0 / 200.0)
    joint = allowed_stress(
        model.material, "permanent", environment=settings.environment, joint=settings.joint, factor=settings.factor
    )
    return float(t * max((bow / limit) ** (1.0 / 3.0), (6.0 * base / t**2 / joint.value) ** 0.5))
