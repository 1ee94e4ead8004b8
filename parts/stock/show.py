"""The tables as a person reads them: the text of `seamwright show SUBJECT`.

Each table is aligned plain text of at most 100 columns; the number in brackets at the end of a row points to its
source below the table, where the row's origin stands with how it is known.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence
from types import MappingProxyType
from typing import Final

from parts.findings import NotCovered, SeamwrightError
from parts.stock.material import DURATIONS, Material, material, material_names
from parts.stock.mounting import Pattern, pattern, pattern_names
from parts.stock.sheet import thickness_tolerance_mm
from parts.stock.thread import DEFAULT_PERCENT, Thread, clearance, tap_drill, threads
from parts.tables import Row, cite, documents_in, load, what_it_is

__all__ = ["SUBJECTS", "show"]

_WIDTH: Final = 100


class _Sources:
    """Numbers the sources of a page in the order they first appear."""

    def __init__(self) -> None:
        self._numbers: dict[tuple[str, str, str], int] = {}

    def __call__(self, item: Row | Thread | Pattern) -> str:
        """The bracketed number of this row's source."""
        if isinstance(item, (Thread, Pattern)):
            key = item.source, item.clause, item.how_known
        else:
            key = item["source"], item["clause"], item["how_known"]
        return f"[{self._numbers.setdefault(key, len(self._numbers) + 1)}]"

    def lines(self) -> list[str]:
        """The list of sources, wrapped."""
        out = ["Sources"]
        for (source, clause, how), number in self._numbers.items():
            text = f"[{number}] {cite(source, clause, how)}"
            out += textwrap.wrap(text, _WIDTH, initial_indent="  ", subsequent_indent="      ")
        cited = documents_in(" ".join(f"{source} {clause}" for source, clause, _ in self._numbers))
        for text in (f"{name}: {what_it_is(name)}" for name in cited):
            out += textwrap.wrap(text, _WIDTH, initial_indent="  ", subsequent_indent="      ")
        return out


def show(subject: str) -> str:
    """The text of a subject, ending in a newline.

    Raises:
        SeamwrightError: when there is no such subject, with the nearest one.

    >>> print(show("drills").splitlines()[0])
    Twist drills
    """
    if subject not in _PAGES:
        import difflib

        near = difflib.get_close_matches(subject.lower(), SUBJECTS, n=1)
        hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(SUBJECTS)}"
        raise SeamwrightError(f"nothing to show on {subject[:40]!r} ({hint})")
    sources = _Sources()
    lines = _PAGES[subject](sources)
    return "\n".join([*lines, "", *sources.lines()]) + "\n"


def _table(headers: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Columns two spaces apart; those that hold only numbers stand right, the others left."""
    cells = [list(headers), *(list(row) for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(headers))]
    right = [all(_is_number(row[i]) for row in cells[1:]) for i in range(len(headers))]
    out = []
    for row in cells:
        padded = (c.rjust(w) if r else c.ljust(w) for c, w, r in zip(row, widths, right, strict=True))
        out.append("  ".join(padded).rstrip())
    out.insert(1, "  ".join("-" * w for w in widths))
    return out


def _is_number(text: str) -> bool:
    return text in ("", "-") or text.replace(".", "", 1).replace("-", "", 1).isdigit()


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH)


def _threads(sources: _Sources) -> list[str]:
    lines = [
        "Threads",
        "",
        *_wrapped(
            f"Tap: the real drill nearest to {DEFAULT_PERCENT:g} % of thread, with the percent it leaves. Shear: "
            "area in mm2 that strips out of the sheet per mm of full thread, worst sizes of both. Sizes in mm."
        ),
        "",
    ]
    head = ["thread", "major", "pitch", "minor", "tap", "mm", "%", "close", "normal", "loose", "shear", ""]
    return lines + _table(head, (_thread_row(each, sources) for each in threads()))


def _thread_row(each: Thread, sources: _Sources) -> list[str]:
    tap = tap_drill(each)
    try:
        holes = [clearance(each, "close").label, clearance(each).label, clearance(each, "loose").label]
        shear = f"{each.internal_shear_area_mm2(1.0):.2f}"
    except NotCovered:
        holes, shear = ["-", "-", "-"], "-"
    notes = sources(each)
    for row in load("clearance_holes"):
        if row["size"] == each.size:
            notes += sources(row)
    sizes = [f"{each.major_mm:.3f}", f"{each.pitch_mm:.3f}", f"{each.minor_mm:.3f}"]
    drilled = [tap.drill.label.replace("letter ", ""), f"{tap.drill.diameter_mm:.2f}", f"{tap.percent:.0f}"]
    return [each.name, *sizes, *drilled, *(h.replace("letter ", "") for h in holes), shear, notes]


def _drills(sources: _Sources) -> list[str]:
    lines = ["Twist drills"]
    for series, title in (
        ("fraction", "Fractions of an inch"),
        ("number", "Numbers"),
        ("letter", "Letters"),
        ("metric", "Metric"),
    ):
        rows = [row for row in load("drills") if row["series"] == series]
        cited = "".join(dict.fromkeys(sources(row) for row in rows))
        if series == "metric":
            lines += ["", f"{title}, mm  {cited}"]
            lines += _in_columns([(row["name"].removesuffix(" mm"), "") for row in rows], columns=12)
        else:
            lines += ["", f"{title}, name and mm  {cited}"]
            lines += _in_columns([(row["name"], f"{float(row['diameter_mm']):.3f}") for row in rows])
    return lines


def _in_columns(pairs: Sequence[tuple[str, str]], columns: int = 6) -> list[str]:
    """Pairs down each column in turn, as many columns as fit."""
    per = -(-len(pairs) // columns)
    left, wide = max(len(name) for name, _ in pairs), max(len(value) for _, value in pairs)
    out = []
    for i in range(per):
        line = (f"{name:>{left}} {value:>{wide}}".rstrip() for name, value in pairs[i::per])
        out.append("  " + "   ".join(line))
    return out


def _sheets(sources: _Sources) -> list[str]:
    lines = [
        "Sheets",
        "",
        *_wrapped("Thickness that is usually stocked and what it may really be when it has not been measured, in mm."),
    ]
    for name in material_names():
        rows = []
        for row in load("sheet_stock"):
            if row["material"] == name:
                usual = float(row["usual_mm"])
                plus = thickness_tolerance_mm(name, usual)
                limits = [f"{usual:g}", f"{plus:.2f}", f"{usual - plus:.2f}", f"{usual + plus:.2f}"]
                mass = f"{usual * material(name).density_kg_m3 / 1000:.2f}"
                rows.append([row["asked"], *limits, mass, _tolerance_source(name, usual, sources) + sources(row)])
        lines += ["", _heading(name)]
        lines += _table(["asked for", "usually", "+/-", "least", "most", "kg/m2", ""], rows)
    return lines


def _tolerance_source(name: str, thickness_mm: float, sources: _Sources) -> str:
    rows = [row for row in load("sheet_tolerance") if row["material"] == name]
    return sources(next(row for row in reversed(rows) if float(row["from_mm"]) <= thickness_mm))


def _materials(sources: _Sources) -> list[str]:
    lines = ["Materials", "", *_design_lines()]
    for owner in ("pmma", *material_names()):
        rows = [row for row in load("pmma") if row["material"] == owner]
        lines += [
            "",
            "Both kinds of sheet" if owner == "pmma" else material(owner).title[0].upper() + material(owner).title[1:],
        ]
        body = []
        for row in rows:
            between = f"{row['low']} to {row['high']}" if row["high"] else ""
            name = row["property"].replace("_", " ")
            body.append([name, row["condition"], row["value"], row["unit"], between, sources(row)])
        lines += _table(["property", "condition", "value", "unit", "range", ""], body)
    return lines


def _heading(name: str) -> str:
    title = material(name).title
    return title[0].upper() + title[1:]


def _design_lines() -> list[str]:
    """The stresses and moduli that the strength check starts from."""

    def row(sheet: Material) -> list[str]:
        return [sheet.name, *(f"{sheet.design_stress(d).value:g}" for d in DURATIONS)]

    head = ["design stress, MPa", *DURATIONS]
    moduli = ["creep modulus, MPa", *(f"{material('cast-pmma').creep_modulus(d).value:g}" for d in DURATIONS)]
    return _table(head, [*(row(material(name)) for name in material_names()), moduli])


def _mountings(sources: _Sources) -> list[str]:
    lines = [
        "Mountings",
        "",
        *_wrapped(
            "Hole: what our plate needs. Bore: for the counterpart's boss, clearance included. Besides these: "
            '"grid PITCH COLUMNSxROWS", as "grid 25 2x2" or "grid 1 in 2x3", "T-slot GRID COLUMNSxROWS", as '
            '"T-slot 20 2x2", or a list of places. All in mm.'
        ),
        "",
    ]
    body = []
    for name in pattern_names():
        found = pattern(name)
        row = next(r for r in load("mounting") if r["name"] == name)
        wide = "" if row["shape"] == "single" else f"{float(row['across_mm']):g}"
        shape = {"circle": f"circle {wide}", "single": "one hole"}.get(row["shape"], f"{wide} x {row['up_mm']}")
        bore = f"{found.pilot_mm:g}" if found.pilot_mm else ""
        body.append([name, str(len(found.centres)), shape, found.thread or "", found.hole, bore, sources(found)])
    lines += _table(["pattern", "holes", "centres", "screw", "hole", "bore", ""], body)
    lines += ["", "T-slot grids"]
    slots = (
        [r["grid"], r["first_slot_mm"], _span(r["slot_from_mm"], r["slot_to_mm"]), r["screw"], sources(r)]
        for r in load("tslot")
    )
    return lines + _table(["grid", "first slot from edge", "slot", "usual screw", ""], slots)


def _cutouts(sources: _Sources) -> list[str]:
    lines = [
        "Cut-outs",
        "",
        *_wrapped(
            "Panel: the thickness that the part clamps; thicker sheet gets a pocket from behind, as wide as room, or a thin "
            "sub-panel. Pitch: least between two. Besides these an order may have round, square, d and window with a size of "
            "their own. Take every figure from the part's own sheet where you have it. All in mm."
        ),
        "",
    ]
    cuts = (
        [
            r["name"],
            r["shape"],
            r["width_mm"],
            r["height_mm"],
            r["plus_mm"],
            _key(r),
            _panel(r),
            r["least_pitch_mm"],
            r["room_mm"],
            _screws(r),
            sources(r),
        ]
        for r in load("cutouts")
    )
    head = ["name", "shape", "width", "height", "plus", "key", "panel", "pitch", "room", "screws", ""]
    lines += [*_table(head, cuts), "", "Panels of a 19-inch rack"]
    return lines + _table(["figure", "mm", ""], ([r["figure"], r["value_mm"], sources(r)] for r in load("rack_panel")))


def _panel(row: Row) -> str:
    return f"{row['panel_from_mm']} to {row['panel_to_mm']}" if row["panel_to_mm"] else ""


def _screws(row: Row) -> str:
    return f"{row['screw']} {row['screw_across_mm']} x {row['screw_up_mm']}" if row["screw"] else ""


def _solvents(sources: _Sources) -> list[str]:
    rows = [[row["solvent"], row["also_called"], row["cas"], row["boils_c"], sources(row)] for row in load("solvents")]
    lines = ["Solvents", "", *_wrapped("Classes of thin solvent; `[shop] solvent` names the one that is used.")]
    return lines + _table(["solvent", "also called", "CAS", "boils at, C", ""], rows)


def _rates(sources: _Sources) -> list[str]:
    rows = [[row["rate"], row["value"], row["unit"], sources(row)] for row in load("rates")]
    lines = [
        "Rates",
        "",
        *_wrapped("Made up: put your own in `[rates]` of the shop file; its `currency` stands at the top."),
    ]
    return lines + _table(["rate", "value", "unit", ""], rows)


def _key(row: Row) -> str:
    return f"{row['key_width_mm']} x {row['key_height_mm']}" if row["key_width_mm"] else ""


def _span(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"


_PAGES: Final = MappingProxyType[str, Callable[[_Sources], list[str]]](
    {
        "threads": _threads,
        "drills": _drills,
        "sheets": _sheets,
        "materials": _materials,
        "mountings": _mountings,
        "cutouts": _cutouts,
        "solvents": _solvents,
        "rates": _rates,
    }
)
#: What `show` knows.
SUBJECTS: Final[tuple[str, ...]] = tuple(_PAGES)
