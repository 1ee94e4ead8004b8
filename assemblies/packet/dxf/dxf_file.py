"""What all our DXF files have in common: R2000, mm, one neutral colour, the same bytes every time; and a reader of their tags.

*Operation layers* (`LAYERS`): what is done along a line, in files that are cut by. Drawings have layers of their own.

Source: DXF reference (release 2000), header variables $ACADVER, $INSUNITS, $MEASUREMENT, $EXTMIN, $EXTMAX, entities LWPOLYLINE
and CIRCLE.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, Final

from assemblies.packet.ink.readback import expect
from parts.shape.outline import Circle, Loop

__all__ = [
    "LAYERS",
    "MM",
    "NEUTRAL",
    "RELEASE",
    "Box",
    "Numbers",
    "Tags",
    "add_layers",
    "add_loop",
    "dxf_bytes",
    "dxf_entities",
    "dxf_text",
    "dxf_words",
    "loop_numbers",
    "rounded",
]

LAYERS: Final = ("outer-cut", "inner-cut", "drill", "tap-mark", "saw-cut", "score", "bend-line", "label")
RELEASE: Final = "AC1015"  # how R2000 calls itself
MM: Final = 4  # of $INSUNITS
NEUTRAL: Final = 7
_METRIC: Final = 1
_SIGNS: Final = {"Ø": "%%c", "°": "%%d", "±": "%%p"}
#: Values by which the library that writes the file names itself: of its application, and of what it notes of itself.
_THEIRS: Final = re.compile(r"(?m)^(?:(?:CREATED|WRITTEN)_BY_)?EZDXF(?:_META)?$")
_OURS: Final = "SEAMWRIGHT"
_PLACES: Final = 6  # decimals of a mm in which two shapes are one

Box = tuple[float, float, float, float]
Numbers = tuple[float, ...]
Tags = list[tuple[str, str]]


def dxf_bytes(draw: Callable[[Any], Box]) -> bytes:
    """A file that `draw` fills; same drawing, same bytes.

    Args:
        draw: is given the empty document, and returns the extents x min, y min, x max, y max in mm.
    """
    from ezdxf import new, options  # type: ignore[attr-defined]  # public names, not marked for export

    fixed_before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # no dates, no random ids
    try:
        document = new("R2000", setup=False, units=MM)
        document.header["$MEASUREMENT"] = _METRIC
        x0, y0, x1, y1 = draw(document)
        space = document.modelspace()
        space.reset_extents((x0, y0, 0.0), (x1, y1, 0.0))
        space.reset_limits((x0, y0), (x1, y1))
        for key, (x, y) in (("$EXTMIN", (x0, y0)), ("$EXTMAX", (x1, y1))):  # not taken over from one at (0, 0)
            document.header[key] = (round(x, 9) + 0.0, round(y, 9) + 0.0, 0.0)
        text = io.StringIO()
        document.write(text)
    finally:
        options.write_fixed_meta_data_for_testing = fixed_before
    return _THEIRS.sub(_OURS, text.getvalue()).encode("ascii")


def dxf_text(text: str) -> str:
    r"""A text as the format writes it, in ASCII: what a CAD program shows and copies out is the text as it was.

    `%%` and `^` begin the format's own codes and a backslash with `U+` one of a character, so they are escaped.

    Source: DXF reference, group code 1 of TEXT; special characters %%c, %%d, %%p, %%%, ^ with a space, backslash U+nnnn.

    >>> dxf_text("4 Ø6.6, 90°"), dxf_text("9 %%c^J")
    ('4 %%c6.6, 90%%d', '9 %%%%%%c^ J')
    """
    text = re.sub(r"%(?=[%Ø°±])|(?<=%)%", "%%%", text).replace("^", "^ ").replace("\\U+", "\\U+005CU+")
    return "".join(_SIGNS.get(c) or (c if " " <= c <= "~" else _code(c)) for c in text)


def dxf_words(written: str) -> str:
    r"""The text that a CAD program shows for one that is written in a file.

    >>> [dxf_words(dxf_text(text)) for text in ("9 %%c^J", "50 %°", r"\U+0041", "波")]
    ['9 %%c^J', '50 %°', '\\U+0041', '波']
    """
    text = re.sub(r"\\U\+([0-9A-F]{4})", lambda m: chr(int(m[1], 16)), written)
    named = {code: sign for sign, code in _SIGNS.items()} | {"%%%": "%"}
    return re.sub("%%[cdp%]", lambda m: named[m[0]], text).replace("^ ", "^")


def _code(character: str) -> str:
    return f"\\U+{ord(character) if ord(character) <= 0xFFFF else 0xFFFD:04X}"


def add_layers(document: Any, *more: str) -> None:
    """One layer for each usual operation, all of them in every file; and those that this one needs besides."""
    for layer in (*LAYERS, *more):
        document.layers.add(layer, color=NEUTRAL)


def add_loop(space: Any, layer: str, loop: Loop | Circle) -> None:
    """A CIRCLE, or a closed LWPOLYLINE with bulges."""
    if isinstance(loop, Circle):
        space.add_circle((loop.x_mm, loop.y_mm), loop.radius_mm, dxfattribs={"layer": layer})
    else:
        points = [(v.x_mm, v.y_mm, v.bulge) for v in loop.vertices]
        space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": layer})


def loop_numbers(loop: Loop | Circle) -> Numbers:
    """What tells one shape from another: three numbers of a circle, three for each vertex of a loop."""
    if isinstance(loop, Circle):
        return rounded((loop.x_mm, loop.y_mm, loop.radius_mm))
    return rounded(c for v in loop.vertices for c in (v.x_mm, v.y_mm, v.bulge))


def rounded(values: Iterable[float]) -> Numbers:
    """To the millionth of a mm, without a minus nought.

    >>> rounded((1.00000004, -0.0))
    (1.0, 0.0)
    """
    return tuple(round(float(c), _PLACES) + 0.0 for c in values)


def dxf_entities(path: Path) -> tuple[dict[str, Tags], list[tuple[str, Tags]]]:
    """Header variables and the entities of the ENTITIES section, each with its tags.

    Raises:
        WrongFile: the file is cut short.
        ValueError: it is not text of pairs.
    """
    header: dict[str, Tags] = {}
    entities: list[tuple[str, Tags]] = []
    section, opening, current = "", False, []  # type: str, bool, Tags
    for code, value in _tags(path):
        if code == "0":
            opening, current = value == "SECTION", []
            if value == "ENDSEC":
                section = ""
            elif section == "ENTITIES":
                entities.append((value, current))
        elif opening and code == "2":
            section, opening = value, False
        elif section == "HEADER" and code == "9":
            current = header.setdefault(value, [])
        else:
            current.append((code, value))
    return header, entities


def _tags(path: Path) -> Iterator[tuple[str, str]]:
    """The file's pairs of group code and value."""
    lines = path.read_bytes().decode("ascii").splitlines()
    expect(path, len(lines) % 2 == 0 and lines[-1].strip() == "EOF", "is cut short")
    return zip((code.strip() for code in lines[::2]), (value.strip() for value in lines[1::2]), strict=True)
