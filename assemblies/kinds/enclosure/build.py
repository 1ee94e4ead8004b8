"""A box for electronics in its pieces: bottom, walls, lid, corner posts, strips, sub-panels; what is screwed and bought.

The lid lies on the walls. *Posts* are blocks of thicker sheet in the corners under it, bonded to the walls and tapped. With
screwed joints front and back come off: each is screwed to two upright *strips* that are bonded to bottom and ends.
"""

from __future__ import annotations

from assemblies.design import Bought, Design, Fastener
from assemblies.kinds.enclosure.cut import STEPS, cut_gasket
from assemblies.kinds.enclosure.laid import Laid, said
from assemblies.kinds.enclosure.openings import plain_holes
from assemblies.kinds.enclosure.spec import EnclosureSpec
from assemblies.kinds.enclosure.walls import bare_faces, edges_of
from assemblies.kinds.sheets import extra_sheet
from assemblies.order import Faults, Order
from parts.findings import SeamwrightError
from parts.make.panel import panel
from parts.shape.piece import Hole
from parts.shape.slot import Slot, slot_loop
from parts.shape.tapped import full_thread_mm, tapped_hole
from parts.stock.cutout import rack_figure, rack_panel
from parts.stock.sheet import Sheet
from parts.stock.thread import clearance, thread

__all__ = ["Laid", "build_enclosure", "laid_out"]

POST_MM = 12.0  # judgement: room for two and a half diameters of M4
_HINGE_UP_MM, _HINGE_APART_MM = 8.0, 20.0  # judgement: a small butt hinge; take your hinge's own
_STRIP_SCREWS_MM = 60.0  # judgement: from screw to screw along a strip
_WAYS = {"front": "front", "back": "back", "left": "left", "right": "right", "lid": "up", "bottom": "up"}


def build_enclosure(order: Order, thickness: object = None) -> Design:
    """The box that an order means.

    Raises:
        OrderError: what only building shows: openings in each other's way, posts without room, tabs too narrow.
    """
    laid = laid_out(order)
    return Design(
        name=order.name,
        title=order.title,
        kind=order.kind,
        revision=order.revision,
        placed=laid.gathered.placed,
        joints=laid.gathered.joints,
        fasteners=(*laid.gathered.fasteners, *laid.more),
        bought=tuple(laid.bought),
        retention=order.support.retention if order.support else "none",
        quantity=order.quantity,
        findings=tuple(laid.findings),
        taken=tuple(laid.taken),
    )


def laid_out(order: Order) -> Laid:
    """The same with what its checks read."""
    spec = order.table
    assert isinstance(spec, EnclosureSpec)
    if order.liquid is not None:
        raise order.refuse(("liquid",), "a box for electronics holds no liquid", "no [liquid] table here")
    if not isinstance(order.sheet.thickness, float):
        raise order.refuse(("sheet", "thickness"), "the thickness of a box is not chosen here", "a thickness")
    sheet = Sheet(material=order.sheet.material, nominal_mm=order.sheet.thickness, readings_mm=order.sheet.measured)
    d = thread(spec.thread).major_mm
    post = spec.post or (4.0 * d, POST_MM)
    with said(order, "joints"):
        edges = edges_of(order, spec, sheet)
        faces = bare_faces(order, spec, sheet.thickness_mm, edges)
    laid = Laid(order, spec, sheet, edges, faces, post, extra_sheet(order, post[1]))
    faults = Faults()
    with faults.step(), said(order, "post"):
        _see_post(laid, d)
    faults.settle()
    _reserve(laid)
    for step in STEPS:
        step(laid, faults)
    with faults.step(), said(order, "gasket"):
        cut_gasket(laid)
    faults.settle()
    with said(order):
        _lid_screws(laid)
        _wall_screws(laid)
        _place(laid)
        _posts(laid)
        _panels_behind(laid)
        _inner_walls(laid)
    return laid


def _see_post(laid: Laid, d: float) -> None:
    side, thick = laid.post
    if side < 2.5 * d:
        raise SeamwrightError(
            f"a post of {side:g} mm leaves too little beside {laid.spec.thread}: at least {2.5 * d:g} mm"
        )
    full = full_thread_mm(tapped_hole(0.0, 0.0, laid.spec.thread), laid.post_sheet.thickness_mm)
    if full < d:
        raise SeamwrightError(
            f"{laid.spec.thread} finds {full:.1f} mm of thread in a post of {thick:g} mm: less than its diameter"
        )
    length, width, depth = laid.spec.size
    needed = thick * (2.0 if laid.spec.joints == "screwed" else 1.0) + 2.0
    if min(length, width) < 2.0 * side + 10.0 or depth < needed:
        raise SeamwrightError(
            f"posts of {side:g} x {side:g} x {thick:g} mm leave no room in {length:g} x {width:g} x {depth:g} mm"
        )


def _reserve(laid: Laid) -> None:
    """What posts and strips take of the faces behind them."""
    side, thick = laid.post
    for name in ("front", "back", "left", "right"):
        face = laid.faces[name]
        x0, y0, x1, y1 = face.free
        tall = y1 - y0 if laid.spec.joints == "screwed" else laid.post_sheet.thickness_mm
        wide = max(side, thick) if laid.spec.joints == "screwed" else side
        face.taken += [
            ("a corner post", (x0, y1 - tall, x0 + wide, y1)),
            ("a corner post", (x1 - wide, y1 - tall, x1, y1)),
        ]
    lid = laid.faces["lid"]
    x0, y0, x1, y1 = lid.free
    lid.taken += [("a corner post", (x, y, x + side, y + side)) for x in (x0, x1 - side) for y in (y0, y1 - side)]


def _post_places(laid: Laid) -> list[tuple[str, float, float]]:
    """Name and low corner of each post: two in front only under a hinged lid."""
    (x0, y0, _), (x1, y1, _) = laid.inside
    side = laid.post[0]
    ys = (("front", y0), ("back", y1 - side)) if laid.spec.lid == "screwed" else (("front", y0),)
    return [(f"post-{at}-{end}", x, y) for at, y in ys for end, x in (("left", x0), ("right", x1 - side))]


def _lid_screws(laid: Laid) -> None:
    face, side = laid.faces["lid"], laid.post[0]
    low = laid.low("lid")
    wide = clearance(thread(laid.spec.thread)).diameter_mm
    for _, x, y in _post_places(laid):
        face.holes.append(
            Hole(x_mm=x + side / 2 - low[0], y_mm=y + side / 2 - low[1], kind="through", diameter_mm=wide)
        )
    if laid.spec.lid == "hinged":
        _hinges(laid)


def _hinges(laid: Laid) -> None:
    """Holes of two bought hinges: in the lid over the inside, in the back under its upper edge."""
    lid, back = laid.faces["lid"], laid.faces["back"]
    x0, _, x1, y1 = lid.free
    wide, reach = clearance(thread("M3")).diameter_mm, laid.spec.size[0] / 4.0
    if reach < laid.post[0] + _HINGE_APART_MM:
        raise SeamwrightError(f"a box {laid.spec.size[0]:g} mm long is too short for two hinges")
    for x in (-reach, reach):
        for off in (-_HINGE_APART_MM / 2, _HINGE_APART_MM / 2):
            lid.holes.append(
                Hole(x_mm=(x0 + x1) / 2 + x + off, y_mm=y1 - _HINGE_UP_MM, kind="through", diameter_mm=wide)
            )
            p = back.middle[0] + x + off, back.free[3] - _HINGE_UP_MM
            plain_holes(back, "a hinge", [p], wide)
    laid.bought.append(
        Bought(
            item="butt hinge with two M3 holes 20 mm apart in each leaf",
            count=2,
            note="with screws M3, washers and lock nuts; its holes by its own sheet before you drill",
        )
    )


def _place(laid: Laid) -> None:
    """Bottom, walls, lid, and how they are joined."""
    process = None
    for name in ("bottom", "front", "back", "left", "right", "lid"):
        group = "lid" if name in ("bottom", "lid") else "walls"
        piece = laid.faces[name].piece(laid.sheet, group, "lid" if name == "lid" else "shell", process)
        laid.gathered.place(name, piece, faces=_WAYS[name], low=laid.low(name))
    if laid.edges is not None:
        for a, b in (
            ("bottom", "front"),
            ("bottom", "back"),
            ("bottom", "left"),
            ("bottom", "right"),
            ("front", "left"),
            ("front", "right"),
            ("back", "left"),
            ("back", "right"),
        ):
            laid.gathered.join(a, b, "tab and slot")
    for name in ("front", "back", "left", "right"):
        if not (laid.rack and name == "front"):
            laid.gathered.join(name, "lid", "loose")
    if laid.rack:
        laid.gathered.join("front", "lid", "loose")
    if laid.spec.joints == "screwed":
        for off in ("front", "back"):
            for other in ("bottom", "left", "right"):
                laid.gathered.join(other, off, "loose")


def _posts(laid: Laid) -> None:
    """Posts under the lid; strips below them where walls are screwed."""
    side, thick = laid.post[0], laid.post_sheet.thickness_mm
    z1 = laid.inside[1][2]
    hole = tapped_hole(side / 2, side / 2, laid.spec.thread)
    post = panel("post", side, side, laid.post_sheet, holes=[hole], cut_group="posts", kind="block", role="inner")
    if laid.spec.joints == "screwed":
        _strips(laid)
    names = []
    for name, x, y in _post_places(laid):
        laid.gathered.place(name, post, faces="up", low=(x, y, z1 - thick))
        laid.gathered.join(name, "lid", "screwed")
        names.append(name)
        if laid.spec.joints == "screwed":
            laid.gathered.join(name, "front" if "front" in name else "back", "loose")
    for name in names:
        laid.more.append(
            Fastener(
                name=f"screw {laid.spec.thread} (lid)",
                piece=name,
                through=("lid", name),
                thread=laid.spec.thread,
                count=1,
                note="with a plain washer; finger tight and a quarter turn",
            )
        )


def _strip_ys(laid: Laid, at: str) -> tuple[float, tuple[float, ...]]:
    """How tall the strips of front or back are, and how high their screws stand over the bottom."""
    under = laid.spec.lid == "screwed" or at == "front"
    tall = laid.spec.size[2] - (laid.post_sheet.thickness_mm if under else 0.0)
    count = max(2, round(tall / _STRIP_SCREWS_MM))
    return tall, tuple(tall * (k + 0.5) / count for k in range(count))


def _wall_screws(laid: Laid) -> None:
    """The holes of front and back for the screws into their strips, and those of a rack panel."""
    wide = clearance(thread(laid.spec.thread)).diameter_mm
    for at in ("front", "back") if laid.spec.joints == "screwed" else ():
        face = laid.faces[at]
        x0, y0, x1, _ = face.free
        half = laid.post[0] / 2.0
        face.holes += [
            Hole(x_mm=x, y_mm=y0 + y, kind="through", diameter_mm=wide)
            for y in _strip_ys(laid, at)[1]
            for x in (x0 + half, x1 - half)
        ]
    if laid.rack:
        assert laid.spec.mount
        assert laid.spec.mount.units
        found, face = rack_panel(laid.spec.mount.units), laid.faces["front"]
        rows = (found.rows[0], found.rows[-1])
        for x in ((found.width - found.columns) / 2.0, (found.width + found.columns) / 2.0):
            for y in rows:
                face.inner.append(
                    slot_loop(
                        Slot(
                            x_mm=x,
                            y_mm=y,
                            width_mm=rack_figure("slot_wide"),
                            travel_mm=rack_figure("slot_travel"),
                            along_rad=0.0,
                        )
                    )
                )
        laid.bought.append(
            Bought(item="screw M6 with plastic washer and cage nut", count=4, note="into the posts of the rack")
        )


def _strips(laid: Laid) -> None:
    """Upright strips in the corners, tapped from the front or the back."""
    side, thick = laid.post[0], laid.post_sheet.thickness_mm
    (x0, y0, z0), (x1, y1, _) = laid.inside
    for at in ("front", "back"):
        tall, ys = _strip_ys(laid, at)
        piece = panel(
            f"strip-{at}",
            side,
            tall,
            laid.post_sheet,
            kind="strip",
            cut_group="posts",
            role="inner",
            holes=[tapped_hole(side / 2, y, laid.spec.thread) for y in ys],
        )
        y = y0 if at == "front" else y1 - thick
        for end, x in (("left", x0), ("right", x1 - side)):
            name = f"strip-{at}-{end}"
            laid.gathered.place(name, piece, faces=at, low=(x, y, z0))
            laid.gathered.join(name, at, "screwed")
            laid.more.append(
                Fastener(
                    name=f"screw {laid.spec.thread} (wall)",
                    piece=name,
                    through=(at, name),
                    thread=laid.spec.thread,
                    count=len(ys),
                    note="with a plain washer",
                )
            )


def _inner_walls(laid: Laid) -> None:
    """Walls inside, their tabs through bottom and faces."""
    z0 = laid.inside[0][2]
    for wall in laid.walls:
        x, y, z = wall.low
        laid.gathered.place(wall.piece.name, wall.piece, faces=wall.faces, low=(x, y, z + z0))
        for face in wall.slotted:
            laid.gathered.join(face, wall.piece.name, "tab and slot")
        for face in wall.touched:
            laid.gathered.join(face, wall.piece.name, "loose")


def _panels_behind(laid: Laid) -> None:
    """Sub-panels, bonded to the inside of their face."""
    for on, piece, at in laid.subs:
        placed = laid.gathered.instance(on, on)
        inner = 0.0 if laid.faces[on].inside == "near" else placed.piece.thickness_mm
        w, h, t = piece.size_mm
        corners = [placed.world(at[0] + u, at[1] + v, inner) for u in (0.0, w) for v in (0.0, h)]
        sign = -1.0 if laid.faces[on].inside == "near" else 1.0
        corners += [tuple(c[k] + sign * t * placed.z[k] for k in range(3)) for c in corners]  # type: ignore[misc]
        low = tuple(min(c[k] for c in corners) for k in range(3))
        laid.gathered.place(piece.name, piece, faces=_WAYS[on], low=low)
