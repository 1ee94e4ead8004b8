"""What the packet says of gears: the train, what it carries, its backlash, what teeth are gauged by."""

from __future__ import annotations

from collections.abc import Iterator

from assemblies.report.blocks import Block, Para, Report, Rows, Step, Steps
from assemblies.report.figures import amount
from parts.lengths import LengthUnit, gauge_length

__all__ = ["gauge_blocks", "gear_blocks"]

#: With shafts, bearings and washers, which are no pieces: the order of assembly has only what is cut.
_STEPS = (
    "Gauge the teeth and the bores. A bearing goes into its bore, and a shaft into a gear, by hand and without a press.",
    "Tape or screw hubs and gears of each shaft together on the shaft, flats in line. Where they are bonded, draw the shaft "
    "before solvent is run in.",
    "Screw the lower covers on, stand the base plate on its feet and lay the lower bearings in.",
    "Put in the shafts with their washers, gears and hubs, all the same face up as they were cut; turn each mesh by hand.",
    "Stand the posts, lay on washers and upper bearings, then the top plate; its screws hand tight, turned in little by little "
    "while the drive is turned.",
    "Screw the upper covers on. Turn the last shaft once round by the crank: it must run free all the way round.",
)
#: With a bar: before the posts, and in place of the last, for no shaft may be turned past its travel.
_BAR_STEPS = (
    "Lay the bar in its guide, the same face up as it was cut, its middle at the last wheel; push it from stop to stop by hand "
    "and back to the middle.",
    "Screw the upper covers on. Drive the bar by the crank to either end of its travel, no further: it must run free all the "
    "way.",
)


def gear_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Gears, meshes and shafts, each as a table."""
    found = report.get("gears")
    if not found:
        return
    yield Para(
        text=f"{found['ratio']:.6g} turns of the first shaft for one of the last. Teeth as the basic rack {found['rack']} of "
        f"ISO 53 makes them, its flank straight to {found['straight']:.2f} modules: undercut is said of this rack. "
        f"Teeth may be bent with {amount(found['allowed'], 'MPa')}. Feet carry only the weight: clamp the base plate down "
        "before you turn it."
    )
    yield Rows(
        title="Gears",
        header=("gear", "teeth", "shift", "tip", "root", "Y", "torque, N m", "stress, MPa", "limit, N m"),
        rows=[
            (
                g["name"],
                str(g["teeth"]),
                f"{g['shift']:.3f}",
                gauge_length(g["tip"], unit),
                gauge_length(g["root"], unit),
                f"{g['form_factor']:.3f}",
                f"{g['torque']:.3g}",
                f"{g['stress']:.2f}",
                f"{g['limit_torque']:.3g}",
            )
            for g in found["gears"]
        ],
        right="lrrrrrrrr",
        keys=[g["name"] for g in found["gears"]],
        note="limit: the torque at its own shaft at which its teeth reach their allowed bending stress",
    )
    yield Rows(
        title="Meshes",
        header=("gears", "centres", "contact ratio", "backlash as cut", "left", "lost motion", "speed", "warmth"),
        rows=[
            (
                " and ".join(s["gears"]),
                gauge_length(s["centre"], unit),
                f"{s['contact_ratio']:.2f}",
                gauge_length(s["play"], unit),
                gauge_length(s["play_grown"], unit),
                f"{s['lost_deg']:.2f}°",
                f"{s['speed']:.2f} m/s",
                f"{s['warmth']:.1f} K",
            )
            for s in found["stages"]
        ],
        right="lrrrrrrr",
        keys=[" ".join(s["gears"]) for s in found["stages"]],
        note="backlash along the line of action; left: grown, tapered and cut at the limits; lost motion at the driven gear",
    )
    for s in found["stages"]:
        taken = s["taken"]
        yield Para(
            text=f"{' and '.join(s['gears'])}: their shafts stand apart by what the gears will grow, which gives "
            f"{taken['growth']:.3f} mm along the line of action; each tooth is thinned by {gauge_length(s['thinned'], unit)} "
            f"on the reference circle, for taper {taken['taper']:.3f}, cutting {taken['cut']:.3f}, bearings "
            f"{taken['bearings']:.3f} and {taken['left']:.3f} mm to be left."
        )
    if found["bar"] is not None:
        yield from _bar_blocks(found["bar"], unit)
        yield Para(
            text=f"{found['gears'][-1]['name']} is driven on one flank of its teeth and drives with the other: bent both ways, "
            f"they may be bent with {amount(found['gears'][-1]['allowed'], 'MPa')}."
        )
    yield Rows(
        title="Shafts",
        header=(
            "shaft",
            "turns a minute",
            "torque, N m",
            "limit, N m",
            "force, N",
            "askew, mm",
            "steel, MPa",
            "plates, MPa",
        ),
        rows=[
            (
                str(s["number"]),
                f"{s['speed']:.3g}",
                f"{s['torque']:.3g}",
                f"{s['limit_torque']:.3g}",
                f"{s['force']:.3g}",
                f"{s['askew']:.3f}",
                f"{s['stress']:.0f}",
                f"{s['plate_stress']:.2f}",
            )
            for s in found["shafts"]
        ],
        right="rrrrrrrr",
        note="steel: bent by the force in the middle, and twisted; plates: an upper bound, all the force of a shaft in one "
        "plate over its narrowest strips, times 4",
    )
    steps = _STEPS if found["bar"] is None else (*_STEPS[:4], *_BAR_STEPS[:1], *_STEPS[4:-1], *_BAR_STEPS[1:])
    yield Steps(title="Putting the drive together", items=[Step(text=text) for text in steps])


def _bar_blocks(bar: Report, unit: LengthUnit) -> Iterator[Block]:
    taken = bar["taken"]
    yield Rows(
        title="Bar",
        header=(
            "teeth",
            "travel",
            "a turn",
            "contact ratio",
            "backlash as cut",
            "left",
            "Y",
            "force, N",
            "limit, N",
            "stress, MPa",
            "speed",
        ),
        rows=[
            (
                str(bar["teeth"]),
                gauge_length(bar["travel"], unit),
                gauge_length(bar["a_turn"], unit),
                f"{bar['contact_ratio']:.2f}",
                gauge_length(bar["play"], unit),
                gauge_length(bar["play_grown"], unit),
                f"{bar['form_factor']:.3f}",
                f"{bar['force']:.3g}",
                f"{bar['limit_force']:.3g}",
                f"{bar['stress']:.2f}",
                f"{bar['speed']:.2f} m/s",
            )
        ],
        right="rrrrrrrrrrr",
        keys=["bar"],
        note="travel: in all, half to either side of where it is drawn; a turn: of the last shaft; limit: at the torque limit "
        "of that shaft",
    )
    yield Para(
        text=f"The bar: its back lies {gauge_length(bar['distance'], unit)} from the axis of the last wheel. Its travel takes "
        f"{bar['turns']:.2f} turns of the last shaft. Each tooth is thinned by {gauge_length(bar['thinned'], unit)} on the "
        f"datum line, beside the wheel's own, and the bar lies out by {gauge_length(bar['out'], unit)} for growth of wheel "
        f"and bar toward each other; together growth {taken['growth']:.3f}, taper "
        f"{taken['taper']:.3f}, cutting {taken['cut']:.3f}, bearing and guide {taken['bearings']:.3f} and {taken['left']:.3f} "
        "mm to be left, along the line of action. What guides it is not made here."
    )


def gauge_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Over teeth and over pins, for each gear."""
    gauges = report.get("gauges")
    if not gauges:
        return
    yield Para(
        text="Gauge each gear on the face where its teeth are thicker, before it is bonded. Over the greatest figure: the pair "
        "may jam when it is damp; under the least: it rattles. Mesh all gears the same face up as they were cut."
    )
    rows = []
    for g in gauges:
        span = "" if g["span"] is None else f"{gauge_length(g['span'][0], unit)} to {gauge_length(g['span'][1], unit)}"
        pins = "" if g["pins"] is None else f"{gauge_length(g['pins'][0], unit)} to {gauge_length(g['pins'][1], unit)}"
        pin = "" if g["pin"] is None else gauge_length(g["pin"], unit)
        rows.append((g["gear"], str(g["teeth"]), "" if g["over"] is None else str(g["over"]), span, pin, pins))
    yield Rows(
        title="Teeth",
        header=("gear", "teeth", "jaws over", "span", "pins", "over pins"),
        rows=rows,
        right="lrrrrr",
        keys=[g["gear"] for g in gauges],
        note="two pins in opposite spaces; nearly opposite where the teeth are odd; of a bar one pin, from its back",
    )
