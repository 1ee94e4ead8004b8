"""An independent check of layouts: saws every sheet apart and looks at what falls off.

Written apart from the engine and sharing nothing with it. A blank is a rectangle; a cut is a band one kerf wide
straight through it; a piece is done when it fills its blank or is left in a blank that only has waste round it.
"""

from fractions import Fraction

Box = tuple[Fraction, Fraction, Fraction, Fraction]  # x0, y0, x1, y1


def faults(plan, parts, stock, kerf=0, trim=0, turn=True):
    """Everything that is wrong with a plan; empty when it can be sawn and gives exactly the parts."""
    stock = [stock] if isinstance(stock[0], (int, float)) else stock
    out = []
    cut = [0] * len(parts)
    used = [0] * len(stock)
    for number, sheet in enumerate(plan["sheets"]):
        sizes = [tuple(s[:2]) for s in stock]
        if tuple(sheet["size"]) not in sizes:
            out.append(f"sheet {number} is no stock size")
            continue
        used[sizes.index(tuple(sheet["size"]))] += 1
        boxes = []
        for put in sheet["placed"]:
            x, y, w, h = (_exact(put[side]) for side in "xywh")
            boxes.append((x, y, x + w, y + h))
            out += _size_faults(put["part"], w, h, parts, turn)
            cut[put["part"]] += 1
        width, height = (_exact(v) for v in sheet["size"])
        blank = (_exact(trim), _exact(trim), width - _exact(trim), height - _exact(trim))
        if not boxes:
            out.append(f"sheet {number} is empty")
        elif not _saws_apart(blank, boxes, _exact(kerf)):
            out.append(f"sheet {number} cannot be sawn apart")
    out += [f"part {i}: {n} cut, {p[2]} wanted" for i, (n, p) in enumerate(zip(cut, parts, strict=True)) if n != p[2]]
    for number, sheet in enumerate(stock):
        if len(sheet) > 2 and sheet[2] is not None and used[number] > sheet[2]:
            out.append(f"stock {number}: {used[number]} used, {sheet[2]} there")
    return out


def _exact(value):
    return Fraction(value) if isinstance(value, int) else Fraction(round(value * 1_000_000), 1_000_000)


def _size_faults(part, w, h, parts, turn):
    wanted = tuple(_exact(v) for v in parts[part][:2])
    may_turn = turn and (len(parts[part]) < 4 or parts[part][3])
    if (w, h) == wanted or (may_turn and (h, w) == wanted):
        return []
    return [f"part {part} is cut {w} x {h}"]


def _saws_apart(blank: Box, boxes: list[Box], kerf: Fraction) -> bool:
    """Whether straight cuts free every box of the blank."""
    waiting = [(blank, boxes)]
    while waiting:
        (x0, y0, x1, y1), inside = waiting.pop()
        if any(b[0] < x0 or b[1] < y0 or b[2] > x1 or b[3] > y1 for b in inside):
            return False
        if len(inside) < 2:
            continue
        halves = _first_cut((x0, y0, x1, y1), inside, kerf)
        if halves is None:
            return False
        waiting += [half for half in halves if half[1]]
    return True


def _first_cut(blank: Box, inside: list[Box], kerf: Fraction):
    """Any cut with pieces on both sides, its blade just beyond the far edge of a piece; None when there is none.

    Which one is taken first does not matter: a cut that is possible now stays possible in the halves of another.
    """
    x0, y0, x1, y1 = blank
    for axis in (0, 1):
        for at in sorted({b[axis + 2] for b in inside}):
            low = [b for b in inside if b[axis + 2] <= at]
            high = [b for b in inside if b[axis] >= at + kerf]
            if high and len(low) + len(high) == len(inside):
                if axis == 0:
                    return ((x0, y0, at, y1), low), ((at + kerf, y0, x1, y1), high)
                return ((x0, y0, x1, at), low), ((x0, at + kerf, x1, y1), high)
    return None
