"""The table `[record]` of an order: what was read on the check-in page of one made piece of it, pasted back in."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, PlainSerializer, field_validator

from assemblies.order.errors import Refused, shown
from assemblies.order.files import MOST
from assemblies.order.tables.named import Named, named
from assemblies.order.values import Distance, Reads, Revision, Size2, Table, Text, whole

__all__ = ["ProofResult", "RecordSpec"]


def _day(value: Any) -> str:
    """A date of TOML as it stands there, or a date in the shop's own words."""
    if isinstance(value, datetime.date):  # of a date and time too
        return value.isoformat()
    if not isinstance(value, str):
        raise Refused(f"{shown(value)} is not a date", 'a date such as 2026-11-30, or text such as "30 Nov"')
    if not 0 < len(value.strip()) <= 40 or not value.isprintable():
        raise Refused(f"{shown(value)} is not valid", "1 to 40 printable characters on one line")
    return value


Day = Annotated[str, Reads(_day, allowed="a date such as 2026-11-30, or text")]


class ProofResult(Table):
    """The result of one step of the proof test."""

    step: Annotated[int, whole(1, 1000)]
    """The step, by its number on the check-in page. e.g. `1`"""
    result: Literal["passed", "failed"]
    """What came of it; a step that was not done has no result. e.g. `"passed"`"""
    by: Text | None = None
    """Who saw it. e.g. `"night crew"`"""
    date: Day | None = None
    """On which day. e.g. `2026-11-30`"""
    remarks: Text | None = None
    """What was seen. e.g. `"paper dry after 24 h"`"""


class RecordSpec(Table):
    """What was read at the bench, of one made rig; `check-in.toml` of the packet has every line of it to fill in."""

    revision: Revision | None = None
    """The revision that was made and read. Default: the order's own. e.g. `"A"`"""
    by: Text | None = None
    """Who read it. e.g. `"night crew"`"""
    date: Day | None = None
    """On which day. e.g. `2026-11-30`"""
    gaps: Annotated[Mapping[Text, Distance], AfterValidator(named), PlainSerializer(dict)] = Named()
    """Greatest gap that a feeler finds in each seam when it is taped up, by the seam's number. e.g. `{S1 = 0.05}`"""
    sizes: Annotated[Mapping[Text, Size2], AfterValidator(named), PlainSerializer(dict)] = Named()
    """Width and height of cut pieces that [as-cut] does not take, by name. e.g. `{plate-1 = [120.1, 79.9]}`"""
    proof: Annotated[tuple[ProofResult, ...], Field(max_length=MOST)] = ()

    @field_validator("proof")
    @classmethod
    def _each_once(cls, proof: tuple[ProofResult, ...]) -> tuple[ProofResult, ...]:
        steps = [one.step for one in proof]
        for index, step in enumerate(steps):
            if step in steps[:index]:
                raise Refused(f"step {step} has two results", "one result for each step", (index, "step"))
        return proof
