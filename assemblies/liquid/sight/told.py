"""Sentences, tables and plots of what is seen through the faces of a tank."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from assemblies.report.blocks import Block, Para, Picture, Report, Rows
from parts.lengths import LengthUnit, mark_length

if TYPE_CHECKING:
    from assemblies.liquid.sight.seen import Sight
    from assemblies.report.panels import Panel

__all__ = ["sight_blocks", "sight_panels"]


def sight_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Three sentences for each face, a table, and its plot."""
    sight: Mapping[str, Any] = report.get("sight") or {}
    for face in sight.get("faces", ()):
        name, far = face["face"], face["far"]
        seems, deep = mark_length(face["seems"], unit), mark_length(face["wall"] + face["inside"], unit)
        yield Para(
            text=f"Square through the {name}, the {far} seems {seems} away where it is {deep}: what is in the liquid looks "
            f"nearer by {100.0 * (1.0 - face['seems'] / (face['wall'] + face['inside'])):.0f} %. "
            f"From aside it seems nearer still and drawn out of shape, so stand square to it. " + _mirror(face)
        )
        yield Para(text=_borders(face))
        yield Rows(
            title=f"The {far} seen from aside through the {name}",
            header=("from square", "seems", "seems, across", "what is behind moves aside"),
            rows=[
                (
                    f"{v['angle']:.0f}°",
                    mark_length(v["in_plane"], unit),
                    mark_length(v["across"], unit),
                    mark_length(v["aside"], unit),
                )
                for v in face["views"]
            ],
            right="rrrr",
        )
        yield Picture(
            key=f"sight-{name}",
            alt=f"Where the {far} seems to be, seen through the {name} from square to far aside",
            screen=True,
        )
    if sight.get("tube"):
        yield from _tube_blocks(sight["tube"], unit)
    if sight:
        walls = "a tube across its axis" if sight.get("tube") else "flat walls"
        yield Para(
            text=f"Index of the liquid {sight['liquid']:g} ({sight['source']}), of the sheet {sight['sheet']:g}; {walls}, "
            "still liquid; seen through "
            f"{'' if sight.get('tube') else 'a curved or '}a moving surface it is otherwise."
        )


def _tube_blocks(tube: Mapping[str, Any], unit: LengthUnit) -> Iterator[Block]:
    """Three sentences, where to stand and where not, what is in the picture, and the plot."""
    axis, far, behind = tube["axis"], tube["far"], mark_length(tube["far"]["behind"], unit)
    text = (
        f"Across the tube what stands on its axis seems {axis['wider']:.2f} times as wide, no higher, and at its own place; "
        f"what stands at the far wall seems {far['wider']:.2f} times as wide and {behind} behind the outside. "
    )
    text += (
        "The liquid seems to reach the outside: the wall is not seen. "
        if tube["fills"]
        else "The wall is seen at both sides. "
    )
    if tube["turned"] is not None:
        back = mark_length(max(tube["turned"], 0.0), unit)
        text += (
            f"From afar what stands more than {back} behind the tube is seen the other way round, left for right; the sun's "
            "light meets there."
        )
    yield Para(text=text)
    yield Para(
        text=f"Stand level with what is to be seen, {mark_length(2.0 * tube['outside'], unit)} or more away, and show it on "
        f"the axis. Not above it: through the surface, up to {tube['mirror']:.0f}° from straight down, the wall is a mirror "
        "all around. Nothing is to be read at the sides: there it is drawn out of shape."
    )
    seams = f"its seams with {' and '.join(tube['seams'])}" if tube["seams"] else "no seam"
    edges = f"the cut edges of {', '.join(tube['edges'])}" if tube["edges"] else "no cut edge"
    yield Para(text=f"In the picture, all around: {seams}, and {edges}.")
    yield Picture(
        key="sight-tube", alt="How wide a thing in the tube seems, from the near wall to the far one", screen=True
    )


def _mirror(face: Mapping[str, Any]) -> str:
    if face["mirror"] >= 89.9:
        return "The walls beside it are mirrors from every place in front of it."
    return (
        f"Up to {face['mirror']:.0f}° from square the walls beside it are mirrors: what stands outside them is not seen "
        f"through the {face['face']}, and the inside is seen in them."
    )


def _borders(face: Mapping[str, Any]) -> str:
    edges = f"the cut edges of {', '.join(face['edges'])}" if face["edges"] else "no cut edge"
    seams = f", and its seams with {', '.join(face['seams'])}" if face["seams"] else ""
    return f"In the picture: {edges}{seams}."


def sight_panels(sight: Sight | None) -> Mapping[str, tuple[tuple[Panel, ...], str]]:
    """By the key of its picture, what it shows and words for it."""
    if sight is None:
        return {}
    import numpy as np

    from assemblies.liquid.sight.flat import fan, shifted
    from assemblies.report.panels import Curve, Limit, Panel

    out: dict[str, tuple[tuple[Panel, ...], str]] = {}
    if sight.tube is not None:
        tube = sight.tube
        deep = np.asarray([one.deep for one in tube.places])
        wide = Curve(name="", x=deep, y=np.asarray([one.wider for one in tube.places]))
        out["sight-tube"] = (
            (
                Panel(
                    x="mm behind the near wall",
                    y="times as wide",
                    curves=(wide,),
                    limits=(Limit(name="as it is", value=1.0),),
                ),
            ),
            "How wide a thing in the tube seems, from the near wall to the far one",
        )
    angles = np.linspace(0.0, 75.0, 76)
    for face in sight.faces:
        layers = [(face.wall, sight.sheet), (face.inside, sight.liquid)]
        fans = np.asarray([fan(layers, math.radians(a)) for a in angles])
        whole = [*layers, *([] if face.face == "bottom" else [(face.wall, sight.sheet)])]
        aside = np.asarray([shifted(whole, math.radians(a)).aside for a in angles])
        depth = Panel(
            x="degrees from square",
            y="mm behind the face",
            curves=(
                Curve(name="in the plane of view", x=angles, y=fans[:, 0]),
                Curve(name="across it", x=angles, y=fans[:, 1]),
            ),
            limits=(Limit(name="where it is", value=face.wall + face.inside),),
        )
        moves = Panel(x="degrees from square", y="mm aside", curves=(Curve(name="what is behind", x=angles, y=aside),))
        words = f"Where the {face.far} seems to be through the {face.face}, and how far what is behind moves aside"
        out[f"sight-{face.face}"] = ((depth, moves), words)
    return out
