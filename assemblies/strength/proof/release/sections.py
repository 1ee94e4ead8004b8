"""What the packet says of a quick-release plate: what is used most, sizes, how it is made, tried and swapped."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.report.blocks import Bar, Block, Figure, Figures, Report, Rows, Step, Steps
from assemblies.report.figures import amount, used_most
from parts.lengths import LengthUnit, gauge_length, mark_length, write_length

__all__ = ["load_blocks", "size_blocks", "swap_blocks", "try_blocks"]


def load_blocks(report: Report, _unit: LengthUnit) -> Iterator[Block]:
    for one in report.get("releases", ()):
        why = "clamp open, no friction, one pin of several drawn"
        bars = [
            Bar(label=use["what"], use=use["use"], why=why, text=f"{use['case']}: {_figures(use)}")
            for use in one["uses"]
        ]
        yield used_most(f"{one['plate']} on {one['strip']}", bars)


def _figures(use: Report) -> str:
    if not use["unit"]:
        return "share of its limit"
    return f"{amount(use['value'], use['unit'])} of {amount(use['allowed'], use['unit'])}"


def size_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    for one in report.get("releases", ()):
        yield from _made(one, unit)


def _made(one: Report, unit: LengthUnit) -> Iterator[Block]:
    shoe = one["shoe"]

    def size(value: float) -> str:
        return write_length(round(value, 2), unit)

    rows = [
        ("strip: narrow face, against the plate", size(one["narrow"])),
        ("strip: wide face", size(one["wide"])),
        ("height of the flanks", size(one["depth"])),
        ("flank to seat", f"{one['angle']:g}°"),
        (f"strip over two pins of {size(one['gauge'])}", size(one["over_pins"])),
        (f"slot, open, between two pins of {size(one['gauge'])}", size(one["between_pins"])),
        ("clearance, set with shims", gauge_length(one["clearance"], unit)),
        ("jaws: length, foot", f"{size(shoe['jaw'])}, {size(shoe['root'])}"),
        (f"{one['pins']} pins, bores", f"{size(one['pin'])}, {size(one['bore'])}"),
        ("line of the pins past the plate", size(one["reach"])),
    ]
    if shoe["of"] != "acrylic":
        forces = one["forces"]
        rows += [
            (f"shoe of {shoe['of']}, to buy or have made", f"{shoe['count']}"),
            ("its base at least", " × ".join(size(v) for v in (*shoe["size"], shoe["base"]))),
            ("its holes to the rig", f"{len(shoe['places'])} × {shoe['bolt']}, {shoe['holes']}"),
            ("each jaw must bear, off the seat", amount(forces["jaw"], "N", 0)),
            ("and outward", amount(forces["spread"], "N", 0)),
            ("pins and stop must bear along the slot", amount(forces["along"], "N", 0)),
            ("root of its flanks", f"relieved by {size(one['relief'])}; the strip's sharp edge is broken by as much"),
        ]
    yield Rows(
        title=f"{one['strip']} and its shoe",
        header=("what", "size"),
        rows=rows,
        right="lr",
        note="Two pins in the acute corners measure a bevel better than a rule: strip over pins, slot between pins.",
    )
    if shoe["of"] != "acrylic":
        yield Rows(
            title="Holes of its base",
            header=("the way out", "across"),
            right="rr",
            rows=[(size(u), size(v)) for u, v in shoe["places"]],
            note=f"{shoe['bolt']}, {shoe['holes']}, from under the middle of {one['plate']}; heads sunk under the slot. "
            "Drawing and model for its maker: folder made-elsewhere.",
        )
    yield Steps(title=f"To make and set {one['strip']}", items=list(_make_steps(one, unit)))


def _make_steps(one: Report, unit: LengthUnit) -> Iterator[Step]:
    gap, shoe = gauge_length(one["clearance"], unit), one["shoe"]
    yield Step(
        text=f"Cut all flanks at one setting, {90.0 - one['angle']:g}° from square, on sheet of one thickness; break the "
        f"sharp edges by {mark_length(1.0, unit)} with a scraper."
    )
    yield Step(
        text=f"Bond {one['strip']} to {one['plate']}, ends flush at the stop, before {one['plate']} goes on the tank."
    )
    if shoe["of"] == "acrylic":
        base, fixed, clamped, rail, stop = shoe["pieces"]
        yield Step(text=f"Bond {fixed} and {stop} to {base}, square to each other; screw {fixed} down besides.")
        yield Step(
            text=f"Lay the strip against {fixed} and {stop}, a shim of {gap} between it and {clamped}, and {rail} against "
            f"that; bond {rail}. No solvent may run under {clamped}: it must slide."
        )
    yield Step(
        text="Push the strip home against the stop and drill the bores of the pins through strip and base in one."
    )


def try_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    for one in report.get("releases", ()):
        rows = [
            (
                state["state"],
                gauge_length(state["sideways"], unit),
                gauge_length(state["lift"], unit),
                f"{state['yaw_deg']:.2f}°",
                f"{100.0 * state['overlap']:.0f} %",
            )
            for state in one["slack"]
        ]
        yield Rows(
            title=f"Play of {one['strip']}, clamp open",
            header=("state", "sideways", "up", "turns", "flank under its lip"),
            rows=rows,
            right="lrrrr",
            note=f"Given up once a flank is worn by {gauge_length(one['wear'], unit)}: feel the play sideways with shims.",
        )
        tilt = one["slides_deg"]
        yield Figures(
            items=[
                Figure(
                    label="Without its pins and clamp it slides out of a level shoe that is tilted by",
                    value="never" if tilt is None else f"{tilt:.0f}° at most",
                    why="friction of wet sheet 0.1; oiled or worn, less",
                )
            ]
        )
        yield Steps(
            title=f"Try {one['strip']} with one latch open, empty, before the first fill",
            items=[
                Step(
                    text="Clamp loose, both pins home: pull, push and lift by hand as hard as it weighs full. It rattles by "
                    "its play and no more.",
                    sign=True,
                ),
                Step(
                    text="Clamp tight, then each pin drawn in turn: push it out along the slot as hard as it weighs full. It "
                    "stays.",
                    sign=True,
                ),
                Step(
                    text="Lanyard hooked on, pins drawn, clamp loose: slide it off. The lanyard holds before it falls.",
                    sign=True,
                ),
            ],
        )


def swap_blocks(report: Report, _unit: LengthUnit) -> Iterator[Block]:
    for one in report.get("releases", ()):
        yield Steps(
            title=f"Swap: {one['strip']} off and on",
            items=[
                Step(text="Empty it. Hook the lanyard on."),
                Step(text="Loosen the clamp, draw the pins, slide it out over the whole length; never lift it out."),
                Step(
                    text="Wipe strip and slot: no grit, no oil. Look at bonds and flanks: crazed or cracked, do not use it."
                ),
                Step(
                    text="Slide it home against the stop. Pins in until each head sits on the strip and no red stands above "
                    "it; tug at each ring; then the clamp."
                ),
                Step(
                    text="Pull at it once. No red above the strip, lanyard on: only now fill it, and only now may the rig move."
                ),
            ],
        )
