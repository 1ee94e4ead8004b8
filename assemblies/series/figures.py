"""The figures of a member that can be wanted or limited, each with how it is read from the report."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from assemblies.report.check import Question

__all__ = ["FIGURES", "Figure"]

Report = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A figure of a member.

    Attributes:
        label, unit: in words.
        read: from the report; None where it has none.
        question: the command whose checks work it out.
    """

    label: str
    unit: str
    read: Callable[[Report], float | None]
    question: Question = "hold"


def _at(*path: str) -> Callable[[Report], float | None]:
    def read(report: Report) -> float | None:
        value: Any = report
        for key in path:
            value = value.get(key) if isinstance(value, Mapping) else None
        return float(value) if isinstance(value, int | float) else None

    return read


def _mass(report: Report) -> float | None:
    return float(sum(part["mass"] * part["count"] for part in report["parts"]))


def _uses(value: Any) -> Iterator[float]:
    """Shares of what is allowed; of gears and shafts their torque's of the largest they carry, which is their stress's too."""
    if isinstance(value, Mapping):
        if isinstance(value.get("use"), int | float):
            yield float(value["use"])
        if value.get("limit_torque"):
            yield float(value["torque"] / value["limit_torque"])
        for inner in value.values():
            yield from _uses(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _uses(inner)


def _use(report: Report) -> float | None:
    return max(_uses([report.get("strength"), report.get("gears")]), default=None)


FIGURES: Final[Mapping[str, Figure]] = {
    "mass": Figure(label="Mass of its pieces", unit="kg", read=_mass),
    "mass-full": Figure(label="Mass full", unit="kg", read=_at("liquid", "mass_full")),
    "use": Figure(label="Use (largest share of what is allowed)", unit="", read=_use),
    "fill": Figure(label="Fill", unit="L", read=_at("liquid", "fill_L")),
    "capacity": Figure(label="Holds to the brim", unit="L", read=_at("liquid", "capacity_L")),
    "freeboard": Figure(label="Freeboard", unit="mm", read=_at("liquid", "freeboard")),
    "start": Figure(label="Largest sudden start", unit="m/s2", read=_at("strength", "good_for", "acceleration_m_s2")),
    "tilt": Figure(label="Starts to pour at", unit="degrees", read=_at("liquid", "pours_at")),
    "price": Figure(label="Price", unit="", read=_at("cost", "total"), question="cut"),
    "sheet-mass": Figure(label="Sheet to fetch", unit="kg", read=_at("cutting", "mass"), question="cut"),
    "settings": Figure(label="Fence settings", unit="", read=_at("cutting", "settings"), question="cut"),
}
