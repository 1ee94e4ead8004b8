"""The check of what was read: a proof test that failed, a gap too wide, a size out of its tolerance is said."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from assemblies.fit import Fit
from assemblies.report.check import Check, Checked, Made, Rows, SectionOf
from assemblies.shop.record.check_in import CheckIn, SizeRead, check_in
from assemblies.shop.record.sections import check_in_blocks
from parts.findings import Finding, worst
from parts.stock.rules import rule_source

__all__ = ["RECORD"]

_READ: Final = "the order: what was read"


def _run(made: Made) -> Checked:
    """Nothing where nothing was read and the seams are not known."""
    if made.of(Fit) is None and made.order.record is None:
        return Checked()
    found = check_in(made)
    findings = tuple(_findings(made, found))
    return Checked(state="failed" if worst(findings) == "stop" else "passed", findings=findings, figures=found)


def _findings(made: Made, found: CheckIn) -> Iterator[Finding]:
    yield from _of_gaps(found)
    yield from _of_proof(made, found)
    for size in found.sizes:
        if any(size.over):
            yield _of_size(size)


def _of_gaps(found: CheckIn) -> Iterator[Finding]:
    for gap in found.gaps:
        if gap.read is not None and gap.read > gap.ok:
            stop = gap.read > gap.stop
            limit = f"over the {gap.stop:.2f} mm that thin solvent bridges" if stop else f"over {gap.ok:.2f} mm"
            yield Finding(
                level="stop" if stop else "care",
                check="record",
                where=f"{gap.seam}: {gap.a} and {gap.b}",
                why=f"a feeler of {gap.read:.2f} mm goes in, {limit}",
                do="do not bond this seam: square or machine the edges, tape it up and gauge it again"
                if stop
                else "draw it closed with tape and gauge it again; if it stays open, machine the edge",
                source=rule_source("gap_ok"),
            )


def _of_proof(made: Made, found: CheckIn) -> Iterator[Finding]:
    """What failed, what was passed out of turn, what was passed by another revision."""
    for one in found.proof:
        if one.result == "failed":
            yield Finding(
                level="stop",
                check="record",
                where=f"proof test, step {one.step} ({one.case})",
                why=f"this step failed{f': {one.remarks}' if one.remarks else ''}",
                do="take it out of use. After a repair repeat the whole test and write down its results; "
                "a rig made anew starts with an empty record",
                source=_READ,
            )
    results = [one.result for one in found.proof]
    done = [one.step for one in found.proof if one.result]
    first_open = next((one.step for one in found.proof if one.result != "passed"), None)
    if done and first_open and results[done[-1] - 1] == "passed" and done[-1] > first_open:
        yield Finding(
            level="care",
            check="record",
            where="proof test",
            why=f"step {done[-1]} is passed, step {first_open} before it is not",
            do="do the steps in their order: each must be passed before the next",
            source="common practice, no source",
        )
    elif done and first_open and "failed" not in results:
        yield Finding(
            level="care",
            check="record",
            where="proof test",
            why=f"not finished: step {first_open} has no result yet",
            do="finish it before the rig is used",
            source=_READ,
        )
    if done and found.of_revision != made.order.revision:
        yield Finding(
            level="care",
            check="record",
            where="proof test",
            why=f"it was done with revision {found.of_revision}; this is revision {made.order.revision}",
            do="test what is made to this revision anew",
            source="judgement",
        )


def _of_size(size: SizeRead) -> Finding:
    assert size.read is not None
    said = [
        f"{word} {read:.2f} mm read, {asked:.2f} ± {size.plus_minus:.2f} asked: {abs(over):.2f} mm "
        f"too {'large' if over > 0 else 'small'}"
        for word, read, asked, over in zip(("width", "height"), size.read, size.asked, size.over, strict=True)
        if over
    ]
    return Finding(
        level="care",
        check="record",
        where=size.name,
        why=f"out of tolerance: {'; '.join(said)}",
        do="the fit here goes by the size that was read: look at its seams before you bond"
        if size.followed
        else "the fit here still goes by the size asked: cut it again, or gauge its seams taped up before you bond",
        source="the order: tolerance of the cut",
    )


def _rows(made: Made, found: CheckIn) -> Rows:
    return {"check_in": found}


RECORD: Final = Check(
    name="record",
    run=_run,
    after=("fit",),
    questions=("fit", "hold", "cut"),
    rows=_rows,
    wanted=lambda order: order.record is not None,
    sections=(SectionOf(id="check-in", station="check-in", title="Check-in", blocks=check_in_blocks),),
)
