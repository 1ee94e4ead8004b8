"""A box for electronics in its pieces: bottom, walls, lid, corner posts, strips, sub-panels; what is screwed and bought.

The lid lies on the walls. *Posts* are blocks of thicker sheet in the corners under it, bonded to the walls and tapped. With
screwed joints front and back come off: each is screwed to two upright *strips* that are bonded to bottom and ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

from assemblies.design import Bought, Design, Fastener
from assemblies.design.gather import Gathered
from assemblies.kinds.enclosure.openings import Face, cut_part, groove, part_of, plain_holes, sub_panel, vent_slots
from assemblies.kinds.enclosure.spec import EnclosureSpec
from assemblies.kinds.enclosure.walls import Edges, bare_faces, edges_of
from assemblies.kinds.sheets import extra_sheet
from assemblies.order import Faults, Order, OrderError
from assemblies.order.errors import Key
from parts.findings import Finding, SeamwrightError, Taken
from parts.make.panel import panel
from parts.shape.mark import Mark
from parts.shape.piece import Hole, Piece
from parts.shape.slot import Slot, slot_loop
from parts.shape.tapped import full_thread_mm, tapped_hole
from parts.stock.cutout import rack_figure, rack_panel
from parts.stock.mounting import pattern, pattern_findings
from parts.stock.rules import rule
from parts.stock.sheet import Sheet
from parts.stock.thread import clearance, thread
from parts.vectors import Vector

__all__ = ["Laid", "build_enclosure", "laid_out"]

POST_MM = 12.0  # judgement: room for two and a half diameters of M4
_SQUEEZE, _WIDER = 0.75, 1.15  # judgement: depth and width of a groove, in diameters of its cord
_BESIDE_MM = 1.0  # judgement: least of the wall's edge on either side of a groove
_HINGE_UP_MM, _HINGE_APART_MM = 8.0, 20.0  # judgement: a small butt hinge; take your hinge's own
_STRIP_SCREWS_MM = 60.0  # judgement: from screw to screw along a strip
_WAYS = {"front": "front", "back": "back", "left": "left", "right": "right", "lid": "up", "bottom": "up"}


@dataclass
class Laid:
    """The box as it grows. `t`: as its sheet measures; `walls`: the inside of the box in the world, low and high corner."""

    order: Order
    spec: EnclosureSpec
    sheet: Sheet
    edges: Edges | None
    faces: dict[str, Face]
    post: tuple[float, float]
    post_sheet: Sheet
    gathered: Gathered = field(default_factory=Gathered)
    more: list[Fastener] = field(default_factory=list)
    bought: list[Bought] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    taken: list[Taken] = field(default_factory=list)
    reliefs: list[tuple[str, str, float]] = field(default_factory=list)
    vents: list[tuple[float, float, str]] = field(default_factory=list)
    subs: list[tuple[str, Piece, tuple[float, float]]] = field(default_factory=list)

    @property
    def t(self) -> float:
        return self.sheet.thickness_mm

    @property
    def inside(self) -> tuple[Vector, Vector]:
        length, width, depth = self.spec.size
        return (-length / 2, -width / 2, self.t), (length / 2, width / 2, self.t + depth)

    @property
    def radius(self) -> float:
        """Of inside corners: what the shop wants, and the cutter leaves."""
        cutter = self.order.cutting.kerf / 2.0 if self.order.cutting.process == "router" else 0.0
        least = max(rule("inside_corner_min"), rule("inside_corner_thickness_min") * self.t)
        return round(max(least, cutter), 3)

    def height(self, name: str, up: float) -> float:
        """How high a place of a face stands over the table, mm; `up` from the face's middle."""
        placed = self.low(name)
        return placed[2] + (self.faces[name].middle[1] + up if name not in ("lid", "bottom") else 0.0)

    def low(self, name: str) -> Vector:
        """Where the low corner of a face's box stands."""
        (x0, y0, z0), (x1, y1, z1) = self.inside
        wide, _ = self.faces[name].outer.bounds_mm[2:]
        w, h = self.faces[name].outer.bounds_mm[2:]
        tabs = self.edges is not None
        return {
            "bottom": (-w / 2, y1 + self.t - h, 0.0),
            "front": (-wide / 2, y0 - self.t, (z1 + self.t - h) / 2 if self.rack else 0.0 if tabs else z0),
            "back": (-wide / 2, y1, 0.0 if tabs else z0),
            "left": (x0 - self.t, -wide / 2, 0.0 if tabs else z0),
            "right": (x1, -wide / 2, 0.0 if tabs else z0),
            "lid": (-w / 2, (y0 if self.rack else y0 - self.t - self.spec.drip), z1),
        }[name]

    @property
    def rack(self) -> bool:
        return self.spec.mount is not None and self.spec.mount.by == "rack"


def build_enclosure(order: Order, thickness: object = None) -> Design:
    """The box that an order means.

    Raises:
        OrderError: what only building shows: openings in each other's way, posts without room, tabs too narrow.
    """
    laid = laid_out(order)
    return Design(
        name=order.name, title=order.title, kind=order.kind, revision=order.revision, placed=laid.gathered.placed,
        joints=laid.gathered.joints, fasteners=(*laid.gathered.fasteners, *laid.more), bought=tuple(laid.bought),
        retention=order.support.retention if order.support else "none", quantity=order.quantity,
        findings=tuple(laid.findings), taken=tuple(laid.taken),
    )  # fmt: skip


@contextmanager
def _said(order: Order, *key: str | int) -> Iterator[None]:
    """What makers of pieces refuse, said at a key of the order."""
    try:
        yield
    except OrderError:
        raise
    except SeamwrightError as error:
        at: Key = ("enclosure", *key)
        raise order.refuse(at, str(error), "") from error


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
    with _said(order, "joints"):
        edges = edges_of(order, spec, sheet)
        faces = bare_faces(order, spec, sheet.thickness_mm, edges)
    laid = Laid(order, spec, sheet, edges, faces, post, extra_sheet(order, post[1]))
    faults = Faults()
    with faults.step(), _said(order, "post"):
        _see_post(laid, d)
    faults.settle()
    _reserve(laid)
    steps = (_mount, _boards, _cutouts, _vents, _labels)
    for step in steps:
        step(laid, faults)
    with faults.step(), _said(order, "gasket"):
        _gasket(laid)
    faults.settle()
    with _said(order):
        _lid_screws(laid)
        _wall_screws(laid)
        _place(laid)
        _posts(laid)
        _panels_behind(laid)
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
    with faults.step(), _said(laid.order, "mount", "pattern"):
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
            Fastener(name=f"screw {screw} (mount)", piece=mount.on, through=(mount.on,), thread=screw, count=len(found.centres),
                     note=f"from inside {into}, a washer under each head", ends="counterpart")
        )  # fmt: skip
        if mount.by == "din-rail":
            laid.bought.append(
                Bought(
                    item="clip for a rail IEC 60715 TH35", count=1, note=f"on the {mount.on}; holes by its own sheet"
                )
            )


def _boards(laid: Laid, faults: Faults) -> None:
    """Holes for standoffs, and that each board has room."""
    (x0, y0, z0), (x1, y1, z1) = laid.inside
    face, rooms = laid.faces["bottom"], []
    for i, board in enumerate(laid.spec.board):
        with faults.step(), _said(laid.order, "board", i):
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
        with faults.step(), _said(laid.order, "cutout", i):
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
    from assemblies.warmth.vents import vent_area

    for i, one in enumerate(laid.spec.vent):
        with faults.step(), _said(laid.order, "vent", i):
            face = laid.faces[one.on]
            vent_slots(face, one, f"vent {i + 1}")
            area = vent_area(one.slots, one.width, one.length) * one.free / 100.0
            laid.vents.append((area, laid.height(one.on, one.at[1]), one.on))


def _labels(laid: Laid, faults: Faults) -> None:
    """Room for what is engraved, and its lines."""
    for i, one in enumerate(laid.spec.label):
        with faults.step(), _said(laid.order, "label", i):
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


def _gasket(laid: Laid) -> None:
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
        for a, b in (("bottom", "front"), ("bottom", "back"), ("bottom", "left"), ("bottom", "right"), ("front", "left"),
                     ("front", "right"), ("back", "left"), ("back", "right")):  # fmt: skip
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
        face.holes += [Hole(x_mm=x, y_mm=y0 + y, kind="through", diameter_mm=wide)
                       for y in _strip_ys(laid, at)[1] for x in (x0 + half, x1 - half)]  # fmt: skip
    if laid.rack:
        assert laid.spec.mount
        assert laid.spec.mount.units
        found, face = rack_panel(laid.spec.mount.units), laid.faces["front"]
        rows = (found.rows[0], found.rows[-1])
        for x in ((found.width - found.columns) / 2.0, (found.width + found.columns) / 2.0):
            for y in rows:
                face.inner.append(slot_loop(Slot(x_mm=x, y_mm=y, width_mm=rack_figure("slot_wide"),
                                                 travel_mm=rack_figure("slot_travel"), along_rad=0.0)))  # fmt: skip
        laid.bought.append(
            Bought(item="screw M6 with plastic washer and cage nut", count=4, note="into the posts of the rack")
        )


def _strips(laid: Laid) -> None:
    """Upright strips in the corners, tapped from the front or the back."""
    side, thick = laid.post[0], laid.post_sheet.thickness_mm
    (x0, y0, z0), (x1, y1, _) = laid.inside
    for at in ("front", "back"):
        tall, ys = _strip_ys(laid, at)
        piece = panel(f"strip-{at}", side, tall, laid.post_sheet, kind="strip", cut_group="posts", role="inner",
                      holes=[tapped_hole(side / 2, y, laid.spec.thread) for y in ys])  # fmt: skip
        y = y0 if at == "front" else y1 - thick
        for end, x in (("left", x0), ("right", x1 - side)):
            name = f"strip-{at}-{end}"
            laid.gathered.place(name, piece, faces=at, low=(x, y, z0))
            laid.gathered.join(name, at, "screwed")
            laid.more.append(
                Fastener(name=f"screw {laid.spec.thread} (wall)", piece=name, through=(at, name), thread=laid.spec.thread,
                         count=len(ys), note="with a plain washer")
            )  # fmt: skip


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
