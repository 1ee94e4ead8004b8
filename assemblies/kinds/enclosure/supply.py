"""What comes into a box, and what water is near: voltages, what only who is licensed decides, water never above an opening."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from assemblies.kinds.enclosure.build import Laid, laid_out
from assemblies.report.check import Check, Checked, Made, Rows, not_covered
from parts.findings import Finding, Level, Taken

__all__ = ["SUPPLY", "Splash"]

_LOW_VOLTS: Final = {"dc": 60.0, "ac": 25.0}
_LOW_SOURCE: Final = "IEC 60364-4-41 (from memory): extra-low voltage of dry skin, 60 V dc and 25 V ac"
_LABEL_MM: Final = 10.0  # judgement: a drip edge stands out and so far over what is under it
_BURNS: Final = (
    "PMMA burns, and goes on burning by itself: put a fuse or a limited supply at the source, keep what gets hot off the "
    "sheet, and never leave it running where nobody is"
)


def _say(level: Level, check: str, where: str, why: str, do: str, source: str) -> Finding:
    return Finding(level=level, check=check, where=where, why=why, do=do, source=source)


@dataclass(frozen=True, kw_only=True)
class Splash:
    """Where water is, and the lowest opening over the table, mm."""

    where: str
    level: float | None
    lowest: float | None
    opening: str


def _supply(made: Made) -> Checked:
    laid = laid_out(made.order)
    spec = laid.spec
    outside = [not_covered("supply", why) for why in _licensed(laid)]
    stops = [*_volts(laid), *_water(laid)]
    notes = [
        _say("care", "supply", "whole", _BURNS, "", "ISO 4589-2 in kind, from memory: it burns in plain air"),
        _say(
            "note",
            "supply",
            "whole",
            "no protection class is claimed, nor that it keeps water or dust out",
            "",
            "judgement: nothing here tests that",
        ),
    ]
    state = "failed" if any(f.level == "stop" for f in stops) else "not-covered" if outside else "passed"
    taken = []
    if spec.volts is None:
        taken.append(
            Taken(
                what="the highest voltage in it",
                value="extra-low",
                why="whether it may be touched",
                say="[enclosure] volts",
                weight=2.0,
            )
        )
    opened = [(laid.height(on, box[1] - laid.faces[on].middle[1]), what, on) for on, what, box in _openings(laid)]
    lowest = min(opened, default=None)
    splash = Splash(
        where=spec.water.where,
        level=spec.water.level,
        lowest=lowest[0] if lowest else None,
        opening=f"{lowest[1]}, {lowest[2]}" if lowest else "",
    )
    return Checked(state=state, findings=(*stops, *outside, *notes), figures=splash, taken=tuple(taken))  # type: ignore[arg-type]


def _openings(laid: Laid) -> Iterator[tuple[str, str, tuple[float, float, float, float]]]:
    for on, face in laid.faces.items():
        for what, box in face.openings:
            yield on, what, box


def _licensed(laid: Laid) -> Iterator[str]:
    """What only who is licensed for it may decide."""
    spec = laid.spec
    if spec.supply == "mains":
        yield "mains inside a box of PMMA: a licensed electrician decides; nothing here checks distances, earthing or fire"
    for one in spec.cutout:
        if one.carries == "mains":
            yield f"{one.part} on the {one.on} carries mains: a licensed electrician decides, if in PMMA at all"
    if spec.cells == "lithium":
        yield "lithium cells: how they are charged, held and vented, and what their fire does, is for who is licensed for that"
    elif spec.cells == "other":
        yield "cells in a closed box: what gas they give off, and how they are fused, is not checked here"


def _volts(laid: Laid) -> Iterator[Finding]:
    spec = laid.spec
    most = _LOW_VOLTS[spec.current]
    if spec.supply == "extra-low" and spec.volts is not None and spec.volts > most:
        yield _say(
            "stop",
            "supply",
            "whole",
            f"{spec.volts:g} V {spec.current} is no extra-low voltage: at most {most:g}",
            'a lower voltage, or supply = "mains" and a licensed electrician',
            _LOW_SOURCE,
        )


def _water(laid: Laid) -> Iterator[Finding]:
    """Water never above an opening."""
    spec, water = laid.spec, laid.spec.water
    if water.where == "none":
        return
    hinge = spec.lid == "hinged"
    if water.where == "above":
        yield _say(
            "stop",
            "supply",
            "whole",
            "water stands over the box: what drips, bursts or is spilt lands on it",
            "put the box over or beside the water, never under it",
            "judgement: electronics over water, never under",
        )
    for on, what, _ in _openings(laid):
        if on == "lid":
            yield _say(
                "stop",
                "supply",
                what,
                "it opens in the lid, and water near it can land there",
                "put it into a wall, under a drip edge",
                "judgement",
            )
    if water.level is not None:
        yield from _under(laid, water.level)
    if spec.drip < _LABEL_MM and any(on not in ("lid", "bottom") for on, _, _ in _openings(laid)):
        yield _say(
            "care",
            "supply",
            "lid",
            f"it stands out by {spec.drip:g} mm over openings in the walls",
            f"a drip edge of {_LABEL_MM:g} mm (drip)",
            "judgement",
        )
    if hinge:
        yield _say(
            "care",
            "supply",
            "back",
            "a hinged lid has no drip edge at the back",
            "turn its back away from the water",
            "judgement",
        )


def _under(laid: Laid, level: float) -> Iterator[Finding]:
    """Openings that are not wholly over the highest level of the water."""
    for on, what, box in _openings(laid):
        high = 0.0 if on == "bottom" else laid.height(on, box[1] - laid.faces[on].middle[1])
        if on != "lid" and high <= level:
            yield _say(
                "stop",
                "supply",
                what,
                f"its lower edge in the {on} is {high:.0f} mm over the table, and water comes to {level:g}",
                "move it up, raise the box, or give the water a lower rim",
                "judgement: water never above an opening",
            )
    bottom = laid.faces["bottom"].holes
    if bottom and level > 0.0:
        yield _say(
            "stop" if level >= laid.t else "care",
            "supply",
            "bottom",
            f"{len(bottom)} screw holes in the bottom, and water comes to {level:g} mm over the table",
            "seal them, and raise the box on feet over that level",
            "judgement: water never above an opening",
        )
    if laid.edges is not None and level > 0.0:
        yield _say(
            "stop" if level >= laid.t else "care",
            "supply",
            "tabs",
            f"tabs leave openings at their roots, and water comes to {level:g} mm over the table",
            "bonded walls, or the box raised over that level",
            "judgement: water never above an opening",
        )


def _supply_rows(made: Made, found: Splash) -> Rows:
    laid = laid_out(made.order)
    return {
        "splash": found,
        "cutouts": [
            {
                "on": on,
                "what": what,
                "at": [
                    (box[0] + box[2]) / 2 - laid.faces[on].middle[0],
                    (box[1] + box[3]) / 2 - laid.faces[on].middle[1],
                ],
                "pocket": next((deep for face, part, deep in laid.reliefs if (face, part) == (on, what)), 0.0),
            }
            for on, what, box in _openings(laid)
        ],
        "labels": [
            {"text": one.text, "on": one.on, "at": list(one.at), "height": one.height} for one in laid.spec.label
        ],
    }


#: What comes in, and what water is near.
SUPPLY: Final = Check(name="supply", run=_supply, questions=("hold",), rows=_supply_rows)
