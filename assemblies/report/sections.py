"""The packet in sections, made from the report alone. What the report does not have makes no heading."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

from assemblies.report.blocks import STATIONS, Block, Cautions, Para, Remark, Remarks, Rows, Section, Station, Steps
from assemblies.report.check import Check, SectionOf
from assemblies.report.figures import amount
from assemblies.report.found import at_steps, shown_findings
from assemblies.report.pieces import piece_blocks
from parts.findings import Finding, sentence
from parts.in_unit import said_in
from parts.lengths import LengthUnit, dial_length, write_named
from parts.tables import documents_in, what_it_is

__all__ = ["TAKEN", "sections", "taken_words", "verdict_words"]

Report = Mapping[str, Any]
_VERDICT = {
    "go": ("Go", "All required checks passed."),
    "stop": ("Stop", "Do not build it as ordered. What stops it comes first."),
    "not-proven": ("Not proven", "Nothing says stop, but not every required check has passed."),
}
TAKEN = "Assumed, because the order does not say"
_LEVEL = {"stop": "Stop", "care": "Care", "note": "Note"}
_FINDINGS = {"stop": "What stops it", "care": "Take care", "note": "Notes"}
#: Steps of work whose cautions hang at another station than their own name says.
_PLACES: Mapping[str, Station] = {"edges": "dry-fit", "wait": "bond"}
#: Stations of the bonding plan whose steps bear their own cautions, and the section that shows those steps.
_OWN_CAUTIONS = {"edges": "fit", "tape": "fit", "bond": "bonding", "wait": "bonding"}


def verdict_words(report: Report) -> tuple[str, str]:
    """The verdict as a word and a sentence, with the state of each check.

    >>> verdict_words({"verdict": "not-proven", "checks": {"fit": "passed", "strength": "not-covered"}})
    ('Not proven', 'Nothing says stop, but not every required check has passed. fit: passed; strength: not-covered.')
    """
    word, sentence = _VERDICT[report["verdict"]]
    if report.get("until"):
        word = f"{word} until {' and '.join(report['until'])}"
    checks = "; ".join(f"{name}: {state}" for name, state in report["checks"].items())
    return word, f"{sentence} {checks}." if checks else sentence


def sections(report: Report, unit: LengthUnit, checks: Iterable[Check]) -> tuple[Section, ...]:
    """Every section that the report has something for, in the order of the stations.

    Args:
        report: as in report.json.
        unit: in which lengths are shown to people.
        checks: those that were asked; each brings its sections.
    """
    brought = [*_FIRST, *(section for check in checks for section in check.sections), *_LAST]
    out = []
    for one in _in_place(brought):
        blocks = tuple(one.blocks(report, unit))
        if blocks:
            out.append(Section(id=one.id, station=one.station, title=one.title, blocks=blocks))
    made = _with_cautions(report, out)
    return tuple(one if one.id == "sources" else _in_unit(one, unit) for one in made)


_NOT_SAID = ("source", "file", "key", "keys", "about", "right", "id", "station")
_BARE = re.compile(
    r"[\d.]+ mm"
)  # a cell with a figure alone: what is shown in people's units is, what is bought by mm stays


def _in_unit(shown: Any, unit: LengthUnit, *, cell: bool = False) -> Any:
    """The same with every sentence in the unit of the order."""
    if unit == "mm":
        return shown
    if isinstance(shown, str):
        return shown if cell and _BARE.fullmatch(shown) else said_in(shown, unit)
    if isinstance(shown, list | tuple):
        return tuple(_in_unit(one, unit, cell=cell) for one in shown)
    if is_dataclass(shown) and not isinstance(shown, type):
        names = [f.name for f in fields(shown) if f.name not in _NOT_SAID]
        return replace(shown, **{name: _in_unit(getattr(shown, name), unit, cell=name == "rows") for name in names})
    return shown


def _in_place(brought: Sequence[SectionOf]) -> list[SectionOf]:
    """By station; at a station as they come, but for those that stand before another."""
    out: list[SectionOf] = []
    for one in sorted(brought, key=lambda s: list(STATIONS).index(s.station)):
        at = next((k for k, other in enumerate(out) if other.id == one.before), len(out))
        out.insert(at, one)
    return out


def _with_cautions(report: Report, made: list[Section]) -> tuple[Section, ...]:
    """Each station's cautions stand before its first steps; a station with cautions alone gets a section for them.

    A caution that a step bears itself is not said a second time.
    """
    there = {s.id for s in made}
    own = {
        caution
        for step in report.get("bonding", {}).get("steps", ())
        if _OWN_CAUTIONS.get(step["station"]) in there
        for caution in step["cautions"]
    }
    by_station: dict[Station, list[Remark]] = {}
    for caution in report.get("cautions", ()):
        if caution["id"] not in own:
            station = _PLACES.get(caution["station"], caution["station"])
            remark = Remark(level="Caution", where=caution["hazard"], text=caution["text"], source=caution["source"])
            by_station.setdefault(station, []).append(remark)
    for one in at_steps(report):
        if one.step and one.step != "method":
            by_station.setdefault(one.step, []).append(_caution(one))
    out = list(made)
    for station, remarks in by_station.items():
        _place(out, station, Cautions(items=remarks))
    return tuple(out)


def _place(made: list[Section], station: Station, cautions: Cautions) -> None:
    """Put a station's cautions before its first steps, else first of all."""
    mine = [k for k, s in enumerate(made) if s.station == station]
    if not mine:
        order = list(STATIONS)
        at = next((k for k, s in enumerate(made) if order.index(s.station) > order.index(station)), len(made))
        title = f"{STATIONS[station]}: cautions"
        made.insert(at, Section(id=f"{station}-cautions", station=station, title=title, blocks=(cautions,)))
        return
    steps = ((k, n) for k in mine for n, block in enumerate(made[k].blocks) if isinstance(block, Steps))
    k, n = next(steps, (mine[0], 0))
    s = made[k]
    blocks = (*s.blocks[:n], cautions, *s.blocks[n:])
    made[k] = Section(id=s.id, station=s.station, title=s.title, blocks=blocks)


def _verdict(report: Report, unit: LengthUnit) -> Iterator[Block]:
    word, sentence = verdict_words(report)
    used = f" Shop file: {report['shop_file']}." if "shop_file" in report else ""
    yield Para(text=f"{word}. {sentence}{used}")
    for level, title in _FINDINGS.items():
        found = [_remark(f) for f in shown_findings(report) if f.level == level]
        if found:
            yield Remarks(title=title, items=found)


def _remark(finding: Finding) -> Remark:
    """A finding with its reason first, then its places."""
    text = f"{sentence(finding.why)}. At {finding.where} ({finding.check})"
    return Remark(level=_LEVEL[finding.level], where="", text=text, do=finding.do, source=finding.source)


def _caution(finding: Finding) -> Remark:
    """A usual caution under the heading of its steps."""
    where = f"{finding.where} ({finding.check})"
    return Remark(level="Caution", where=where, text=sentence(finding.why), do=finding.do, source=finding.source)


def _method(report: Report, unit: LengthUnit) -> Iterator[Block]:
    said = [_remark(f) for f in at_steps(report) if f.step == "method"]
    if said:
        yield Remarks(title="No result changes by these here", items=said)


def taken_words(one: Mapping[str, Any], unit: LengthUnit) -> tuple[str, str]:
    """Of something taken its name and its value with its unit, lengths in the order's."""
    value = one["value"]
    if isinstance(value, str):
        return one["what"], said_in(value, unit)
    if one["unit"] != "mm":
        return one["what"], amount(value, one["unit"]).strip()
    named = write_named(value, unit)
    return one["what"], named if named.endswith(unit) else dial_length(value, unit)


def _taken(report: Report, unit: LengthUnit) -> Iterator[Block]:
    if report.get("taken"):
        rows = [(*taken_words(one, unit), one["why"], one["say"]) for one in report["taken"]]
        yield Rows(
            title="Biggest possible effect first",
            header=("what", "assumed", "what depends on it", "set it with"),
            rows=rows,
        )


def _sources(report: Report, unit: LengthUnit) -> Iterator[Block]:
    found: dict[str, None] = {}

    def walk(value: Any) -> None:
        if isinstance(value, Mapping):
            for key, inner in value.items():
                if key == "source" and isinstance(inner, str) and inner:
                    found[inner] = None
                else:
                    walk(inner)
        elif isinstance(value, list | tuple):
            for inner in value:
                walk(inner)

    walk(report)
    if found:
        yield Rows(title="Every source named in this packet", header=("source",), rows=[(s,) for s in sorted(found)])
    lettered = sorted(documents_in(" ".join(found)), key=lambda name: (len(name.split()[1]), name.split()[1]))
    if lettered:
        yield Rows(
            title="Documents: English, one page, unless said",
            header=("document", "what it is"),
            rows=[(name, what_it_is(name)) for name in lettered],
        )


#: What every packet has, before and after the sections that checks bring.
_FIRST = (
    SectionOf(id="verdict", station="plan", title="Verdict", blocks=_verdict),
    SectionOf(id="taken", station="plan", title=TAKEN, blocks=_taken),
    SectionOf(id="pieces", station="plan", title="Pieces", blocks=piece_blocks),
)
_LAST = (
    SectionOf(id="method", station="sources", title="Notes on method", blocks=_method),
    SectionOf(id="sources", station="sources", title="Sources", blocks=_sources),
)
