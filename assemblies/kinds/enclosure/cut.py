"""What is cut into the faces of a box: mounting holes, standoffs, cut-outs, vents, labels, the groove of its cord."""

from __future__ import annotations

from dataclasses import replace

from assemblies.design import Bought, Fastener
from assemblies.design.onto import Onto
from assemblies.kinds.enclosure.laid import Laid, said
from assemblies.kinds.enclosure.openings import cut_part, groove, part_of, plain_holes, sub_panel, vent_slots
from assemblies.kinds.sheets import extra_sheet
from assemblies.order import Faults
from parts.findings import SeamwrightError
from parts.shape.piece import Mark
from parts.stock.mounting import pattern, pattern_findings
from parts.stock.rules import rule
from parts.stock.thread import clearance, thread

__all__ = ["STEPS", "cut_gasket"]

_SQUEEZE, _WIDER = 0.75, 1.15  # judgement: depth and width of a groove, in diameters of its cord
_BESIDE_MM = 1.0  # judgement: least of the wall's edge on either side of a groove


def _mount(laid: Laid, faults: Faults) -> None:
    """Holes by which it is held."""
    mount = laid.spec.mount
    if mount is None or mount.by == "table":
        laid.bought.append(
            Bought(item="stick-on rubber foot, at least 5 mm high", count=4, note="under the corners of the bottom")
        )
        return
    if mount.by == "rack":
        return
    with faults.step(), said(laid.order, "mount", "pattern"):
        assert mount.pattern is not None
        found = pattern(mount.pattern, thread=mount.thread, unit=laid.order.units)
        screw = found.thread or "M4"
        laid.findings += pattern_findings(replace(found, hole="clearance"), mount.on)
        face = laid.faces[mount.on]
        wide = clearance(thread(screw)).diameter_mm
        plain_holes(
            face, f"mount {mount.by}", [(face.middle[0] + x, face.middle[1] + y) for x, y in found.centres], wide
        )
        into = {"wall": "into the wall", "din-rail": "into a clip for the rail", "t-slot": "into nuts in the slots"}[
            mount.by
        ]
        laid.more.append(
            Fastener(
                name=f"screw {screw} (mount)",
                piece=mount.on,
                through=(mount.on,),
                thread=screw,
                count=len(found.centres),
                note=f"from inside {into}, a washer under each head",
                ends="counterpart",
                onto=None
                if mount.by == "din-rail"  # its clip has its holes
                else Onto(
                    name="wall" if mount.by == "wall" else "rail",
                    side="far" if face.inside == "near" else "near",
                    pattern=found,
                    at=face.middle,
                ),
            )
        )
        if mount.by == "din-rail":
            laid.bought.append(
                Bought(
                    item="clip for a rail IEC 60715 TH35", count=1, note=f"on the {mount.on}; holes by its own sheet"
                )
            )


def _boards(laid: Laid, faults: Faults) -> None:
    """Holes for standoffs, and that each board has room."""
    (x0, y0, z0), (x1, y1, z1) = laid.inside
    face = laid.faces["bottom"]
    rooms: list[tuple[str, tuple[float, float, float, float]]] = []
    for i, board in enumerate(laid.spec.board):
        with faults.step(), said(laid.order, "board", i):
            found = pattern(board.pattern, thread=board.thread, unit=laid.order.units)
            w, h = board.size
            box = board.at[0] - w / 2, board.at[1] - h / 2, board.at[0] + w / 2, board.at[1] + h / 2
            side = laid.post[0] if laid.spec.joints == "screwed" else 0.0
            if box[0] < x0 + side or box[1] < y0 or box[2] > x1 - side or box[3] > y1:
                raise SeamwrightError(f"{board.name} of {w:g} x {h:g} mm does not lie inside the box")
            if z0 + board.standoff + board.tall > z1 - laid.post_sheet.thickness_mm and _under_post(laid, box):
                raise SeamwrightError(
                    f"{board.name} stands {board.standoff + board.tall:g} mm high under a corner post"
                )
            if board.standoff + board.tall > z1 - z0:
                raise SeamwrightError(
                    f"{board.name} stands {board.standoff + board.tall:g} mm high in a box {z1 - z0:g} mm deep"
                )
            for name, other in rooms:
                if box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]:
                    raise SeamwrightError(f"{board.name} and {name} overlap")
            rooms.append((board.name, box))
            if max(abs(x) for x, _ in found.centres) > w / 2 or max(abs(y) for _, y in found.centres) > h / 2:
                raise SeamwrightError(f"holes of {board.name} lie beside the board of {w:g} x {h:g} mm")
            wide = clearance(thread(board.thread)).diameter_mm
            places = [(face.middle[0] + board.at[0] + x, face.middle[1] + board.at[1] + y) for x, y in found.centres]
            plain_holes(face, f"standoffs of {board.name}", places, wide)
            item = f"standoff {board.thread} x {board.standoff:g} mm, tapped at both ends"
            note = f"{board.name}: a screw from below with a washer, a screw through the board"
            laid.bought.append(Bought(item=item, count=len(places), note=note))


def _under_post(laid: Laid, box: tuple[float, float, float, float]) -> bool:
    (x0, y0, _), (x1, y1, _) = laid.inside
    side = laid.post[0]
    return (box[0] < x0 + side or box[2] > x1 - side) and (box[1] < y0 + side or box[3] > y1 - side)


def _cutouts(laid: Laid, faults: Faults) -> None:
    """Openings, with a pocket or a sub-panel where the wall is too thick."""
    numbers = 0
    for i, one in enumerate(laid.spec.cutout):
        with faults.step(), said(laid.order, "cutout", i):
            part, face = part_of(one, laid.radius), laid.faces[one.on]
            if one.behind == "sub-panel":
                numbers += 1
                thin = extra_sheet(laid.order, one.thin)
                piece, x, y = sub_panel(face, part, one.at, thin, numbers, laid.radius)
                laid.subs.append((one.on, piece, (x, y)))
                continue
            deep = cut_part(face, part, one.at, laid.t)
            if deep:
                laid.reliefs.append((one.on, part.name, deep))


def _vents(laid: Laid, faults: Faults) -> None:
    from assemblies.kinds.enclosure.vents import vent_area

    for i, one in enumerate(laid.spec.vent):
        with faults.step(), said(laid.order, "vent", i):
            face = laid.faces[one.on]
            vent_slots(face, one, f"vent {i + 1}")
            area = vent_area(one.slots, one.width, one.length) * one.free / 100.0
            laid.vents.append((area, laid.height(one.on, one.at[1]), one.on))


def _labels(laid: Laid, faults: Faults) -> None:
    """Room for what is engraved, and its lines."""
    for i, one in enumerate(laid.spec.label):
        with faults.step(), said(laid.order, "label", i):
            face = laid.faces[one.on]
            x, y = face.middle[0] + one.at[0], face.middle[1] + one.at[1]
            mark = Mark(text=one.text, x_mm=x, y_mm=y, height_mm=one.height)
            wide = mark.length_mm
            box = x - wide / 2, y - one.height / 2, x + wide / 2, y + one.height / 2
            a, b, c, d = face.outer.bounds_mm
            if box[0] < a or box[1] < b or box[2] > c or box[3] > d:
                raise SeamwrightError(f"{one.text!r} is {wide:.1f} mm long and leaves the {one.on}")
            for what, other in (*face.openings, *face.marked):
                if box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]:
                    raise SeamwrightError(f"{one.text!r} runs into {what} on the {one.on}")
            face.marked.append((repr(one.text), box))
            face.marks.append(mark)


def cut_gasket(laid: Laid) -> None:
    """A groove over the middle of the walls' upper edges."""
    cord = laid.spec.gasket
    if cord is None:
        return
    if laid.spec.joints == "screwed" or laid.rack:
        raise SeamwrightError("front and back that come off, or a rack panel, leave no rim for a cord all round")
    wide, deep = round(_WIDER * cord, 3), round(_SQUEEZE * cord, 3)
    if laid.t - wide < 2.0 * _BESIDE_MM:
        raise SeamwrightError(
            f"a groove of {wide:g} mm on walls of {laid.t:.2f} mm leaves under {_BESIDE_MM:g} mm beside it: at most a cord of "
            f"{(laid.t - 2 * _BESIDE_MM) / _WIDER:.1f} mm"
        )
    if laid.t - deep < rule("floor_left_min"):
        raise SeamwrightError(f"a groove {deep:g} mm deep leaves under {rule('floor_left_min'):g} mm of the lid")
    _, _, w, h = laid.faces["lid"].outer.bounds_mm
    groove(laid.faces["lid"], laid.spec.drip + (laid.t - wide) / 2.0, wide, deep, (w, h))
    laid.bought.append(
        Bought(
            item=f"closed-cell sponge or soft cord, {cord:g} mm",
            count=1,
            note="into the groove of the lid, butt ends bonded; nothing is claimed of what it keeps out",
        )
    )


def _walls(laid: Laid, faults: Faults) -> None:
    """Walls inside, with their slots."""
    from assemblies.kinds.enclosure.walls import inner_wall

    room = laid.spec.size[2] - laid.post_sheet.thickness_mm
    for i, wall in enumerate(laid.spec.wall):
        with faults.step(), said(laid.order, "wall", i):
            height = wall.height or room
            if height > room + 1e-9:
                raise SeamwrightError(f"a wall {height:g} mm high: under the corner posts there are {room:g} mm")
            across = wall.runs == "across"
            most = (laid.spec.size[0] if across else laid.spec.size[1]) / 2.0 - laid.post[0] - laid.t / 2.0
            if abs(wall.at) > most:
                raise SeamwrightError(
                    f"at {wall.at:g} mm it stands in the corner: at most {most:.1f} mm from the middle"
                )
            for board in laid.spec.board:
                half = board.size[0 if across else 1] / 2.0
                if abs(wall.at - board.at[0 if across else 1]) < half + laid.t / 2.0:
                    raise SeamwrightError(f"it runs through {board.name}")
            relief = laid.edges.relief if laid.edges else laid.radius
            laid.walls.append(inner_wall(laid.order, laid.spec, wall, i + 1, laid.sheet, laid.faces, height, relief))


#: What is cut, one after the other; each gathers what is refused.
STEPS = (_mount, _walls, _boards, _cutouts, _vents, _labels)
