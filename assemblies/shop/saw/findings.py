"""What the saw plan has to say: cut groups made at more than one setting, and the cautions of each kind of cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from assemblies.shop.layout.job import NM_PER_MM
from assemblies.shop.saw.cuts import Box
from parts.findings import Finding

if TYPE_CHECKING:
    from assemblies.shop.saw.model import Blank, SawPart, SawShop, SawStep

__all__ = ["group_findings", "safety_findings"]

Made = dict[str, str | None]

_PUSH_STICK = "page S (secondary)"


def group_findings(parts: Sequence[SawPart], pieces: Sequence[Blank], steps: Sequence[SawStep]) -> list[Finding]:
    """A `care` for each dimension that two or more pieces of a cut group share and that does not come from one setting."""
    made = _made_at(steps)
    out = []
    for group in dict.fromkeys(part.group for part in parts if part.group):
        members = [p for p in pieces if p.part is not None and parts[p.part].group == group]
        counts = Counter(size for p in members for size in {p.box.w, p.box.h})
        for size in sorted((size for size, count in counts.items() if count > 1), reverse=True):
            each = [set(_settings(p, size, made)) for p in members if size in (p.box.w, p.box.h)]
            if set.intersection(*each) - {None}:  # of a square one pair of sides is enough
                continue
            settings = set.union(*each)
            known = sorted((s.rsplit(" ", 1) for s in settings if s is not None), key=lambda s: (s[0], int(s[1])))
            named = ", ".join(
                [*(" ".join(s) for s in known), *(["what other cuts leave over"] if None in settings else [])]
            )
            out.append(
                Finding(
                    level="care",
                    check="cut group",
                    where=group,
                    why=f"the {size / NM_PER_MM:g} mm of {counts[size]} of its pieces comes from {named}",
                    do="measure them together before gluing, or recut the odd ones at one setting",
                    source="common practice, no source",
                )
            )
    return out


def _made_at(steps: Sequence[SawStep]) -> dict[tuple[int, Box], Made]:
    """What gave every rectangle its width (x) and height (y): a setting, the sheet itself, or None: left over."""
    made: dict[tuple[int, Box], Made] = {}
    for step in steps:
        sheet = step.blank.sheet
        before = made.get((sheet, step.cut.blank), _uncut(sheet))
        exact = f"setting {step.setting}" if step.cut.role in ("size", "strip") else None
        made[sheet, step.cut.kept] = {**before, step.cut.axis: exact}
        if step.cut.rest is not None:
            made[sheet, step.cut.rest] = {**before, step.cut.axis: None}
    return made


def _uncut(sheet: int) -> Made:
    return {"x": f"the width of sheet {sheet + 1}", "y": f"the height of sheet {sheet + 1}"}


def _settings(piece: Blank, size: int, made: dict[tuple[int, Box], Made]) -> list[str | None]:
    """What gave a piece each of its sides of this size."""
    at = made.get((piece.sheet, piece.box), _uncut(piece.sheet))
    return [at[axis] for axis, side in (("x", piece.box.w), ("y", piece.box.h)) if side == size]


def safety_findings(steps: Sequence[SawStep], shop: SawShop) -> list[Finding]:
    """One finding for each kind of caution, with the steps it is about."""
    out = []
    sled = [step for step in steps if step.mode == "sled"]
    if sled:
        out.append(
            Finding(
                level="care",
                check="saw",
                step="cut",
                where=_numbers(sled),
                why=f"the edge against the fence is under {shop.short_edge_mm:g} mm, or shorter than the distance to the blade",
                do="crosscut on a sled against a stop block, never along the fence; hold the longer part, cut from a bigger "
                "blank where you can, and leave short pieces to the router or laser if they cannot be held",
                source="common practice, no source",
            )
        )
    narrow = [s for s in steps if s.mode in ("rip", "crosscut") and s.setting_nm < 50 * NM_PER_MM]
    if narrow:
        out.append(
            Finding(
                level="care",
                check="saw",
                step="cut",
                where=_numbers(narrow),
                why="less than 50 mm between fence and blade",
                do="use a carrier or push block the full length, not the hand",
                source="common practice, no source",
            )
        )
    guide = [step for step in steps if step.mode == "guide"]
    if guide:
        out.append(
            Finding(
                level="care",
                check="saw",
                step="cut",
                where=_numbers(guide),
                why="the fence does not reach, or the blank is too large to run along the fence",
                do="cut with a hand-held saw along a clamped straightedge, the sheet supported on both sides of the cut",
                source="judgement",
            )
        )
    if any(step.mode == "snap" for step in steps):
        out.append(
            Finding(
                level="care",
                check="cutting",
                step="cut",
                where="every snapped edge",
                why="it is sharp, and not square",
                do="cut-proof gloves and eye protection; finish the edge before it is bonded",
                source="page U (secondary)",
            )
        )
    if any(step.mode in ("rip", "crosscut") for step in steps):
        out.append(
            Finding(
                level="note",
                check="saw",
                step="cut",
                where="every cut on the fence",
                why="the hand comes near the blade at the end of each cut",
                do="riving knife and guard on, eye protection; a push stick of at least 450 mm for the last 300 mm",
                source=_PUSH_STICK,
            )
        )
    return out


def _numbers(steps: Sequence[SawStep]) -> str:
    """`step 4` or `steps 2, 5, 7 and 12 more`."""
    shown = [str(step.number) for step in steps[:6]]
    more = f" and {len(steps) - 6} more" if len(steps) > 6 else ""
    return f"step{'s' if len(steps) > 1 else ''} {', '.join(shown)}{more}"
