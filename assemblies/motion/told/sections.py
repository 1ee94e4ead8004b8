"""What packet and terminal say of planned moves: tables of figures, from the report alone."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from assemblies.motion.told.spun import spin_blocks
from assemblies.motion.told.thrown import throw_blocks
from assemblies.report.blocks import Block, Para, Picture, Report, Rows
from assemblies.report.figures import amount
from parts.lengths import LengthUnit, mark_length, write_named

__all__ = ["motion_blocks"]

_WORDS = {
    "steady": "constant acceleration",
    "smooth": "limited jerk",
    "shaped": "in three parts",
    "calm": "calm, the shortest",
}
_SCREEN = ("spin", "throw")
#: What is drawn of each kind of move; a picture that is not there is left out.
_PICTURES = {
    "slide": (
        ("rise", "Level at each wall over time"),
        ("surface", "The surface at key moments"),
        ("schedule", "Place, speed and acceleration over time"),
    ),
    "turn": (("kept", "Kept volume and torque over the tilt"), ("schedule", "Tilt and flow over time")),
    "spin": (("surface", "The surface at full speed"), ("schedule", "Turns and speed over time")),
    "throw": (("schedule", "Speed along the stroke, and the flight of what leaves"),),
}


def motion_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """Every planned move, then those that are not covered."""
    motion = report.get("motion") or {}
    for move in motion.get("moves", ()):
        yield Para(text=_head(move, unit))
        yield from _BLOCKS[move["kind"]](move)
        for what, words in _PICTURES[move["kind"]]:
            aside = move["kind"] in _SCREEN and what == "schedule"  # paper has the surface, and the card on one page
            yield Picture(key=f"move-{move['file']}-{what}", alt=f"{words} of {move['case']}", screen=aside)
    for one in motion.get("not_covered", ()):
        yield Para(text=f"{one['case']}: not covered: {one['why']}.")


def _head(move: Mapping[str, Any], unit: LengthUnit) -> str:
    state = "" if move["passed"] else " NOT PROVEN: it gets no pulses."
    if move["kind"] == "slide":
        text = f"{move['case']}: slides {write_named(move['distance'], unit)} in {move['time']:.2f} s"
        text += f" ({_WORDS[move['profile']]})"
        if move["no_move_under"]:
            text += f"; no move that spares the liquid takes under {move['no_move_under']:.2f} s"
        if move["freeboard"] is not None:
            text += f". It lifts the liquid {move['rise']:.1f} mm of {move['freeboard']:.1f} mm of freeboard"
        return f"{text}.{state}"
    if move["kind"] == "spin":
        text = (
            f"{move['case']}: spins at {move['speed']:.0f} rpm, {move['ramp']:.0f} s up and {move['ramp']:.0f} s down"
        )
        return f"{text}.{state}"
    if move["kind"] == "throw":
        text = (
            f"{move['case']}: is thrown by a cylinder {move['series']}-{move['bore']:g} at {move['pressure']:.1f} bar "
        )
        text += f"over {mark_length(move['stroke'], unit)}, up to {move['speed']:.2f} m/s."
        return text if move["passed"] else f"{text} NOT PROVEN."
    text = f"{move['case']}: leans to {move['greatest']:.1f} degrees and takes {move['time']:.1f} s"
    if move["first_drop"] is not None and move["poured_L"] > 0.0:
        text += f"; the first drop leaves at {move['first_drop']:.1f} degrees, {move['poured_L']:.2f} L pour"
    return f"{text}.{state}"


def _slide(move: Mapping[str, Any]) -> Iterator[Block]:
    yield Rows(
        title="Each way of moving",
        header=("profile", "time s", "rise mm", "left mm", "still after s"),
        rows=[
            (_WORDS[p["name"]], f"{p['time']:.2f}", f"{p['rise']:.1f}", f"{p['left']:.1f}", f"{p['settles']:.0f}")
            for p in move["profiles"]
        ],
        right="lrrrr",
        note="rise: greatest at any wall, all waves, undamped; left: swings after the stop at most; still: settled",
    )
    if move["rises"]:
        yield Rows(
            title="Greatest rise at each wall",
            header=("wall", "rise mm", "margin mm"),
            rows=[(wall, f"{mm:.1f}", f"{move['freeboard'] - mm:.1f}") for wall, mm in move["rises"].items()],
            right="lrr",
        )
    stop, power = move["stop"], move["power"]
    if stop:
        safe = "none" if stop["safe"] is None else f"{stop['safe']:.2f}"
        yield Rows(
            title="Emergency stop at the worst moment",
            header=("stop m/s2", "at s", "rise mm", "runs on mm", "safe m/s2"),
            rows=[
                (
                    f"{stop['acceleration']:g}",
                    f"{stop['worst_at']:.2f}",
                    f"{stop['rise']:.1f}",
                    f"{stop['runs']:.0f}",
                    safe,
                )
            ],
            right="rrrrr",
            note="a brake holds it when power fails"
            if power["brake"]
            else f"no brake: when power fails it runs on by itself, {power['coasts']:.0f} mm",
        )
    if move["repeat"] > 1:
        least = move["shortest_wait"]
        wait = "no wait is long enough" if least is None else f"{least:.1f} s at the least"
        yield Para(
            text=f"{move['repeat']} moves, {move['wait']:.1f} s between them ({wait}); duty {100.0 * move['duty']:.0f} %."
        )
    first = move["drives"][0]
    yield Rows(
        title=f"Drive: {move['mass']:.1f} kg, {first['force']:.1f} N, {move['speed'] / 1000.0:.2f} m/s",
        header=("drive", "N m", "rpm", "W", "holds N m", "pulses/s", "kg mm2"),
        rows=[
            (
                d["drive"],
                f"{d['torque']:.3f}",
                f"{d['rpm']:.0f}",
                f"{d['power']:.1f}",
                f"{d['holds']:.3f}",
                f"{d['pulses_per_s']:.0f}",
                f"{d['inertia']:.0f}",
            )
            for d in move["drives"]
        ],
        right="lrrrrrr",
        note="torque at the motor with a safety of 2; pulses of 200 steps a turn in 8 parts; kg mm2: the motor's own inertia "
        "at least, a tenth of what it moves",
    )

    yield from _motor(move["motor"])


_MOTORS = {"stepper": "stepper", "geared": "geared motor", "servo": "servo"}


def _motor(use: Mapping[str, Any] | None) -> Iterator[Block]:
    """The motor that the order names, held against the move."""
    if use is None:
        return
    torque = "-" if use["gives"] is None else f"{use['gives']:.3f}"
    share = "-" if use["use"] is None else "none left" if math.isinf(use["use"]) else f"{100.0 * use['use']:.0f}"
    holding = "-" if use["holding"] is None else f"{use['holding']:.3f}"
    ratio = "-" if use["inertia_ratio"] is None else f"{use['inertia_ratio']:.1f}"
    micro = use["micro_share"]
    yield Rows(
        title=f"The {_MOTORS[use['kind']]} of the order, where it has least to spare",
        header=("at s", "rpm", "needs N m", "gives N m", "use %", "fastest rpm", "holds N m", "can N m", "inertia"),
        rows=[
            (
                f"{use['at']:.2f}",
                f"{use['rpm']:.0f}",
                f"{use['needs']:.3f}",
                torque,
                share,
                f"{use['fastest']:.0f}",
                f"{use['holds']:.3f}",
                holding,
                ratio,
            )
        ],
        right="rrrrrrrrr",
        note=f"use: with a safety of 2; {use['pulses']:.6g} pulses a {use['pulses_of']}, at most {use['pulses_per_s']:.0f}/s"
        + (f"; one part of a step moves with {100.0 * micro:.0f} % of its holding torque" if micro is not None else ""),
    )


def _turn(move: Mapping[str, Any]) -> Iterator[Block]:
    yield Rows(
        title="Kept volume and torque",
        header=("degrees", "kept L", "torque N m"),
        rows=[(f"{k['angle']:.1f}", f"{k['kept_L']:.3f}", f"{k['torque']:.2f}") for k in move["kept"]],
        right="rrr",
        note="torque of the weight about the pivot; positive drives it on",
    )
    if move["head"] is not None:
        text = (
            f"Greatest flow {move['peak_flow_L_s']:.3f} L/s over {move['lip']:.0f} mm of lip: {move['head']:.1f} mm of head"
            f"{'; ' + move['doubt'] if move['doubt'] else ''}."
        )
        if move["behind"] is not None:
            text += (
                f" The real flow is there {move['behind']:.1f} s late, with {move['standing_L']:.2f} L standing over the lip: "
                f"start {move['start_sooner']:.1f} s sooner."
            )
        if move["delivered_L"] is not None:
            text += f" In all {amount(move['delivered_L'], 'L')} run."
        yield Para(text=text)
        yield Rows(
            title="Where the stream lands",
            header=("below the lip mm", "out from it mm"),
            rows=[(f"{j['below']:.0f}", f"{j['out']:.0f}") for j in move["lands"]],
            right="rr",
            note="at the greatest flow, from level at the speed of critical flow, no air: give or take a quarter (judgement)",
        )
    torque, power = move["torque"], move["power"]
    fails = "returns by itself" if power["falls_from"] is None else f"falls on from {power['falls_from']:.0f} degrees"
    yield Rows(
        title=f"Drive: {torque['greatest']:.2f} N m about the pivot, {move['rate']:.1f} degrees a second",
        header=("gear", "N m", "rpm", "W", "holds N m", "kg mm2"),
        rows=[
            (
                f"{d['gear']:g} : 1",
                f"{d['torque']:.3f}",
                f"{d['rpm']:.1f}",
                f"{d['power']:.2f}",
                f"{d['holds']:.3f}",
                f"{d['inertia']:.0f}",
            )
            for d in move["drives"]
        ],
        right="rrrrrr",
        note=f"torque at the motor with a safety of 2, gear without loss; power lost, it {fails}; brake: "
        f"{'yes' if power['brake'] else 'none'}",
    )
    yield from _motor(move["motor"])


def _spin(move: Mapping[str, Any]) -> Iterator[Block]:
    yield from spin_blocks(move)
    yield from _motor(move["motor"])


_BLOCKS: Final[Mapping[str, Callable[[Mapping[str, Any]], Iterator[Block]]]] = {
    "slide": _slide,
    "turn": _turn,
    "spin": _spin,
    "throw": throw_blocks,
}
