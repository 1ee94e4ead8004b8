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
                    f"{v['angle']:.0f}°", mark_length(v["in_plane"], unit), mark_length(v["across"], unit),
                    mark_length(v["aside"], unit),
                )
                for v in face["views"]
            ],
            right="rrrr",
        )  # fmt: skip
        yield Picture(
            key=f"sight-{name}",
            alt=f"Where the {far} seems to be, seen through the {name} from square to far aside",
            screen=True,
        )
    if sight:
        yield Para(
            text=f"Index of the liquid {sight['liquid']:g} ({sight['source']}), of the sheet {sight['sheet']:g}; flat walls, "
            "still liquid; seen through a curved or a moving surface it is otherwise."
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
    angles = np.linspace(0.0, 75.0, 76)
    for face in sight.faces:
        layers = [(face.wall, sight.sheet), (face.inside, sight.liquid)]
        fans = np.asarray([fan(layers, math.radians(a)) for a in angles])
        whole = [*layers, *([] if face.face == "bottom" else [(face.wall, sight.sheet)])]
        aside = np.asarray([shifted(whole, math.radians(a)).aside for a in angles])
        depth = Panel(
            x="degrees from square", y="mm behind the face",
            curves=(
                Curve(name="in the plane of view", x=angles, y=fans[:, 0]), Curve(name="across it", x=angles, y=fans[:, 1]),
            ),
            limits=(Limit(name="where it is", value=face.wall + face.inside),),
        )  # fmt: skip
        moves = Panel(x="degrees from square", y="mm aside", curves=(Curve(name="what is behind", x=angles, y=aside),))
        words = f"Where the {face.far} seems to be through the {face.face}, and how far what is behind moves aside"
        out[f"sight-{face.face}"] = ((depth, moves), words)
    return out
