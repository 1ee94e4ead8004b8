"""What is engraved on the outside of a tank: the level of its fill, and its name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from assemblies.kinds.tank.pouring.lips import Low, wall_local
from assemblies.kinds.tank.shell import Shell
from assemblies.order import Faults, Order
from parts.findings import SeamwrightError
from parts.lengths import write_length
from parts.shape.piece import Hole, Mark

__all__ = ["engraved"]

#: Between what is engraved and the edge of its panel: laser-engraved PMMA crazes where solvent reaches it. Judgement.
_CLEAR_MM: Final = 12.0
_Box = tuple[float, float, float, float]


def engraved(
    shell: Shell,
    level_mm: tuple[float, float] | None,
    holes: Mapping[str, Sequence[Hole]],
    low: Sequence[Low],
    faults: Faults,
) -> dict[str, tuple[Mark, ...]]:
    """The marks of each panel, on its outside.

    Args:
        shell: the box.
        level_mm: how deep the ordered liquid stands, and how high over the tank's own floor; None where there is none.
        holes: of each panel.
        low: places where its rim is cut away.
        faults: what is refused goes there.
    """
    spec, found = shell.order.engrave, dict[str, tuple[Mark, ...]]()
    if spec is None:
        return found
    taken: dict[str, list[_Box]] = {}
    if spec.fill is not None:
        with faults.step():
            mark = _fill_line(shell, spec.fill, level_mm)
            x0, x1, y = mark.rule_mm or (0.0, 0.0, 0.0)
            top = mark.y_mm + mark.height_mm / 2.0
            _place(shell, "fill", spec.fill, (x0, y, x1, top), holes, low, taken)
            found[spec.fill] = (mark,)
    if spec.name is not None:
        with faults.step():
            mark = _name(shell, spec.name)
            half, high = mark.length_mm / 2.0, mark.height_mm / 2.0
            box = (mark.x_mm - half, mark.y_mm - high, mark.x_mm + half, mark.y_mm + high)
            _place(shell, "name", spec.name, box, holes, low, taken)
            found[spec.name] = (*found.get(spec.name, ()), mark)
    if "text" in spec.model_fields_set and spec.name is None:
        with faults.step():
            raise shell.order.refuse(
                ("engrave", "text"), "the face that it goes on is missing", 'name, such as "front"'
            )
    return found


def _lettered(
    order: Order, key: str, text: str, x_mm: float, y_mm: float, rule: tuple[float, float, float] | None
) -> Mark:
    assert order.engrave is not None
    try:
        return Mark(text=text, x_mm=x_mm, y_mm=y_mm, height_mm=order.engrave.letters, rule_mm=rule)
    except SeamwrightError as error:
        raise order.refuse(("engrave", key), str(error), "A to Z, 0 to 9, spaces and - + . / :") from error


def _fill_line(shell: Shell, on: str, level_mm: tuple[float, float] | None) -> Mark:
    """A level line over the middle third of the wall, its depth written on it."""
    order = shell.order
    if order.liquid is None or level_mm is None:
        raise order.refuse(("engrave", "fill"), "there is no [liquid] to fill it with", "[liquid] with its fill")
    assert order.engrave is not None
    width, _ = shell.box.size_mm(on)
    floor = shell.box.inside[0][2]
    text = f"FILL {write_length(round(level_mm[0], 2), order.units).upper()}"
    middle, y = wall_local(shell, on, (0.0, floor + level_mm[1]))
    mark = _lettered(order, "fill", text, middle, y + order.engrave.letters, None)
    half = max(width / 6.0, mark.length_mm / 2.0)
    return _lettered(order, "fill", text, middle, mark.y_mm, (middle - half, middle + half, y))


def _name(shell: Shell, on: str) -> Mark:
    """The name, in the middle above the lower edge of what is seen from outside."""
    spec = shell.order.engrave
    assert spec is not None
    text = spec.text or shell.order.name.upper()
    middle, floor = wall_local(shell, on, (0.0, shell.box.inside[0][2]))
    y = max(floor, 0.0) + _CLEAR_MM + spec.letters / 2.0
    return _lettered(shell.order, "text" if spec.text else "name", text, middle, y, None)


def _place(
    shell: Shell,
    key: str,
    on: str,
    box: _Box,
    holes: Mapping[str, Sequence[Hole]],
    low: Sequence[Low],
    taken: dict[str, list[_Box]],
) -> None:
    """Refuse what leaves its panel, or runs into something on it."""
    order, (width, height) = shell.order, shell.box.size_mm(on)
    x0, y0, x1, y1 = box
    if min(x0, y0, width - x1, height - y1) < _CLEAR_MM - 1e-9:
        what = f"{x1 - x0:.0f} x {y1 - y0:.0f} mm comes within {_CLEAR_MM:g} mm of the edge of the {on}"
        raise order.refuse(("engrave", key), what, "smaller letters, a shorter text, or another face")
    right, floor = wall_local(shell, on, (0.0, 0.0))
    if any(one.spec.on == on and one.meets(x0 - right, x1 - right, y1 - floor) for one in low):
        raise order.refuse(("engrave", key), f"it runs into a low place of the {on}", "another face")
    for hole in holes.get(on, ()):
        r = max(hole.diameter_mm, hole.bore_mm) / 2.0
        if x0 - r < hole.x_mm < x1 + r and y0 - r < hole.y_mm < y1 + r:
            raise order.refuse(("engrave", key), f"it runs into a hole of the {on}", "another face")
    for a, b, c, d in taken.get(on, []):
        if x0 < c and a < x1 and y0 < d and b < y1:
            raise order.refuse(("engrave", key), f"the name runs into the fill line on the {on}", "another face")
    taken.setdefault(on, []).append(box)
