"""What a series writes: a table, a plot of the best trade-offs, a page; and what it says on a terminal."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from assemblies.packet.ink.primitives import Circle, Line, Primitive, Text
from assemblies.packet.ink.svg import svg
from assemblies.report.tables import csv_text
from assemblies.report.terminal.console import filled, table
from assemblies.series.figures import FIGURES
from assemblies.series.rank import trade_offs, within
from assemblies.series.rows import Row
from assemblies.series.spec import Asked
from parts.findings import SeamwrightError
from parts.process.ending import undone_if_ended

__all__ = ["said", "series_csv", "trade_off_svg", "write_series"]

_STATES: Final = {"passed": "passed", "stop": "stop", "not-proven": "not proven", "broken": "broken"}
_SHOWN: Final = 12  # lines of a terminal
_WIDE, _HIGH, _LEFT, _LOW = 170.0, 105.0, 24.0, 16.0  # of the plot, mm


def write_series(asked: Asked, rows: Sequence[Row], folder: Path) -> None:
    """`series.csv`, `trade-offs.svg` and `series.html`, each whole or not at all.

    Raises:
        SeamwrightError: one cannot be written.
    """
    plot = trade_off_svg(asked, rows)
    out = {"series.csv": series_csv(asked, rows), "series.html": _page(asked, rows, plot)}
    for name, text in (out | ({"trade-offs.svg": plot} if plot else {})).items():
        _put(folder / name, text)


def _put(path: Path, text: str) -> None:
    new = path.with_name(f".{path.name}.new")
    with undone_if_ended(lambda: new.unlink(missing_ok=True)):
        try:
            new.write_bytes(text.encode("utf-8"))
            os.replace(new, path)
        except OSError as error:
            new.unlink(missing_ok=True)
            why = f"{path}: cannot be written: {error.strerror}; what is worked out is kept in the journal"
            raise SeamwrightError(why) from error


def _heads() -> dict[str, str]:
    """Figures as headers with their units."""
    return {n: f"{n}_{f.unit.replace('/', '_per_')}".replace("-", "_").rstrip("_") for n, f in FIGURES.items()}


def _known(rows: Sequence[Row]) -> list[str]:
    return [name for name in FIGURES if any(name in row.figures for row in rows)]


def _value(value: Any) -> str:
    if isinstance(value, tuple | list):
        return " x ".join(_value(one) for one in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def series_csv(asked: Asked, rows: Sequence[Row]) -> str:
    """Every member: what it is, whether it has passed, keeps to the limits, is bettered by none, and its figures."""
    known, heads = _known(rows), _heads()
    best = {row.member for row in trade_offs(asked, rows)}
    header = [
        "member",
        *(one.name for one in asked.vary),
        "state",
        "within_limits",
        "best",
        *(heads[n] for n in known),
        "reason",
    ]
    return csv_text(
        header,
        (
            [
                row.member + 1,
                *(_value(v) for v in asked.values(row.member)),
                row.state,
                within(asked, row),
                row.member in best,
                *(row.figures.get(name) for name in known),
                row.reason,
            ]
            for row in rows
        ),
    )


def _row_words(asked: Asked, row: Row, names: Sequence[str]) -> list[str]:
    figures = [f"{row.figures[n]:.3g}" if n in row.figures else "" for n in names]
    return [str(row.member + 1), *(_value(v) for v in asked.values(row.member)), *figures]


def _head_words(asked: Asked, names: Sequence[str]) -> list[str]:
    units = [f"{n}, {FIGURES[n].unit}" if FIGURES[n].unit else n for n in names]
    return ["no.", *(one.name for one in asked.vary), *units]


def _counts(rows: Sequence[Row]) -> str:
    counted = [(words, sum(row.state == state for row in rows)) for state, words in _STATES.items()]
    return ", ".join(f"{count} {words}" for words, count in counted if count)


def said(asked: Asked, rows: Sequence[Row]) -> str:
    """What the command prints: how many came to what, the best trade-offs, the most frequent reasons."""
    best = trade_offs(asked, rows)
    wants = ", ".join(f"{'least' if w.sign > 0 else 'most'} {w.figure}" for w in asked.wants)
    blocks = [f"{asked.title}: {len(rows)} members, {_counts(rows)}"]
    if best:
        names = [name for name in _known(best) if name in asked.figures] or list(asked.figures)
        lines = [_row_words(asked, row, names) for row in best[:_SHOWN]]
        more = f"\nand {len(best) - _SHOWN} more in series.csv" if len(best) > _SHOWN else ""
        right = "r" * (1 + len(asked.vary) + len(names))
        blocks.append(f"The best trade-offs ({wants}):\n{table(_head_words(asked, names), lines, right)}{more}")
    else:
        blocks.append(_none(asked, rows))
    few = sorted(_reasons(rows).items(), key=lambda pair: -len(pair[1]))[:3]
    blocks += [filled(f"{len(members)} of them: {reason}", "  ") for reason, members in few]
    return "\n\n".join(blocks)


def _none(asked: Asked, rows: Sequence[Row]) -> str:
    passed = [row for row in rows if row.state == "passed"]
    lacking = [name for name in asked.figures if not any(name in row.figures for row in passed)]
    if passed and lacking:
        return (
            f"None can be ranked: {' and '.join(lacking)} of this kind of order is not known here; want another figure."
        )
    return "None has passed within the limits."


def _reasons(rows: Sequence[Row]) -> dict[str, list[int]]:
    """Why members have not passed, with their numbers."""
    out: dict[str, list[int]] = {}
    for row in rows:
        if row.reason:
            out.setdefault(row.reason, []).append(row.member + 1)
    return out


def _some(members: Sequence[int]) -> str:
    more = f" and {len(members) - _SHOWN} more" if len(members) > _SHOWN else ""
    return ", ".join(map(str, members[:_SHOWN])) + more


def trade_off_svg(asked: Asked, rows: Sequence[Row]) -> str:
    """Every passed member over the first two wanted figures, those that none betters filled, numbered and joined.

    Nothing where fewer than two figures are wanted, or nothing has passed.
    """
    good = [row for row in rows if within(asked, row)]
    if len(asked.wants) < 2 or not good:
        return ""
    names = [want.figure for want in asked.wants[:2]]
    spans = [_span([row.figures[name] for row in good]) for name in names]
    best = trade_offs(asked, rows)

    def at(row: Row) -> tuple[float, float]:
        x, y = ((row.figures[n] - low) / (high - low) for n, (low, high) in zip(names, spans, strict=True))
        return _LEFT + x * (_WIDE - _LEFT - 8.0), _LOW + y * (_HIGH - _LOW - 10.0)

    marks: list[Primitive] = [*_axes(names, spans)]
    marks += [Circle(x=at(r)[0], y=at(r)[1], radius=0.8, layer="dimension") for r in good]
    marks += [
        Line(x0=at(a)[0], y0=at(a)[1], x1=at(b)[0], y1=at(b)[1], layer="hidden")
        for a, b in pairwise(sorted(best, key=at))
    ]
    for row in best:
        x, y = at(row)
        marks += [
            Circle(x=x, y=y, radius=1.1, fill="solid"),
            Text(x=x + 1.8, y=y + 1.0, text=str(row.member + 1), height=2.2),
        ]
    return svg(marks, _WIDE, _HIGH, f"{asked.title}: {names[1]} over {names[0]}")


def _span(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    air = 0.05 * (high - low) or max(abs(high), 1.0) * 0.05
    return low - air, high + air


def _axes(names: Sequence[str], spans: Sequence[tuple[float, float]]) -> list[Primitive]:
    """Two axes with five figures each and their names."""
    right, top = _WIDE - 8.0, _HIGH - 10.0
    marks: list[Primitive] = [
        Line(x0=_LEFT, y0=_LOW, x1=right, y1=_LOW),
        Line(x0=_LEFT, y0=_LOW, x1=_LEFT, y1=top),
        Text(x=right, y=3.0, text=_axis(names[0]), anchor="end"),
        Text(x=3.0, y=top + 4.0, text=_axis(names[1])),
    ]
    for k in range(5):
        x, y = _LEFT + k / 4.0 * (right - _LEFT), _LOW + k / 4.0 * (top - _LOW)
        (a, b), (c, d) = spans
        marks += [
            Line(x0=x, y0=_LOW, x1=x, y1=_LOW - 1.5, layer="dimension"),
            Line(x0=_LEFT, y0=y, x1=_LEFT - 1.5, y1=y, layer="dimension"),
            Text(x=x, y=_LOW - 5.0, text=f"{a + (b - a) * k / 4.0:.3g}", anchor="middle", height=2.2),
            Text(x=_LEFT - 2.5, y=y - 1.0, text=f"{c + (d - c) * k / 4.0:.3g}", anchor="end", height=2.2),
        ]
    return marks


def _axis(name: str) -> str:
    figure = FIGURES[name]
    return f"{figure.label}, {figure.unit}" if figure.unit else figure.label


def _page(asked: Asked, rows: Sequence[Row], plot: str) -> str:
    from jinja2 import Environment
    from markupsafe import Markup

    text = (files("assemblies.series") / "series.html.j2").read_text(encoding="utf-8")
    names = _known(rows)
    best = trade_offs(asked, rows)
    shown: Mapping[str, Any] = {
        "title": asked.title,
        "counts": _counts(rows),
        "file": Path(asked.file).name,
        "count": len(rows),
        "heads": _head_words(asked, names),
        "vary": asked.vary,
        "states": _STATES,
        "best": [_row_words(asked, row, names) for row in best],
        "rows": [(row, _row_words(asked, row, names), within(asked, row)) for row in rows[:_MOST_ROWS]],
        "most": _MOST_ROWS,
        "wants": [("least" if w.sign > 0 else "most", _axis(w.figure)) for w in asked.wants],
        "limits": [(_axis(one.figure), one.least, one.most) for one in asked.limits],
        "reasons": [(_some(members), reason) for reason, members in _reasons(rows).items()],
        "plot": Markup(plot[plot.index("<svg") :]) if plot else "",
    }
    return Environment(autoescape=True, keep_trailing_newline=True).from_string(text).render(shown)


_MOST_ROWS: Final = 2000  # of a page; the table has all
