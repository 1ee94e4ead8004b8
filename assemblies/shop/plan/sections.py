"""What the packet says of cutting."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assemblies.report.blocks import Block, Figure, Figures, Picture, Remark, Remarks, Report, Rows, Step, Steps
from assemblies.report.figures import amount, drawn_sheets, kerf_words, percent, sheet_title, size_words
from assemblies.shop.plan.labels import piece_labels
from assemblies.shop.plan.many import ALIKE, MANY, folded
from parts.lengths import LengthUnit, mark_length, write_length

__all__ = ["cut_blocks"]


def cut_blocks(report: Report, unit: LengthUnit) -> Iterator[Block]:
    """The saw plan and the nests: tools, sheets, cuts in order, what becomes of the sheet, labels."""
    cutting, nesting = report.get("cutting") or {}, report.get("nesting") or {}
    tools = [*cutting.get("processes", ()), *nesting.get("processes", ())]
    if tools:
        rows = [(t["process"], ", ".join(t["parts"]), t["tool"], t["source"]) for t in tools]
        yield Rows(title="Tools", header=("by", "parts", "tool", "source"), rows=rows)
        cautions = [Remark(level="Caution", where=t["process"], text=t["caution"], source=t["source"]) for t in tools]
        yield Remarks(title="At the machine", items=cautions)
    most = MANY if sum(len(sheet["placed"]) for sheet in cutting.get("sheets", ())) <= MANY else ALIKE
    for sheet in drawn_sheets(cutting) if cutting else ():
        yield from _sheet(sheet, unit, most)
    if cutting.get("steps"):
        cuts = "1 cut" if len(cutting["steps"]) == 1 else f"{len(cutting['steps'])} cuts"
        settings = "1 setting" if cutting["settings"] == 1 else f"{cutting['settings']} settings"
        yield Steps(
            title=f"Cuts in order: {cuts} at {settings}; what is named first lies against the fence",
            items=[_step(words) for words in cutting["words"]],
        )
    if cutting.get("balance"):
        fetch = Figure(label="To fetch", value=amount(cutting["mass"], "kg", 1), why="whole sheets")
        yield Figures(items=[*_shares(cutting["balance"]), fetch, *map(_proven, cutting["proven"])])
    for index, sheet in enumerate(nesting.get("sheets", ()), start=1):
        yield from _nest(sheet, index, unit)
    if nesting.get("proven"):
        yield Figures(items=[*map(_proven, nesting["proven"])])
    bevels = [*cutting.get("bevels", ()), *nesting.get("bevels", ())]
    if bevels:
        yield _bevelled(bevels, unit)
    if cutting.get("edges"):
        yield _edges(cutting["edges"], unit)
    labels = piece_labels(report, unit)
    if labels:
        sheets = [*cutting.get("sheets", ()), *nesting.get("sheets", ())]
        kept = any(rest["label"] for sheet in sheets for rest in sheet.get("offcuts", ()))
        yield Rows(
            title="Labels for the pieces",
            header=("label", "part", "no.", "width and height", "thickness", "face"),
            rows=folded(
                [(x.name, x.part, x.count_words, x.size, x.thickness, x.face_words) for x in labels],
                [(x.part, f"of {x.count}", x.size, x.thickness, x.face_words) for x in labels],
                ALIKE,
            ),
            keys=[x.name for x in labels] if len(labels) <= ALIKE else (),
            note=f"To print and cut out: labels.pdf{', with those of the offcuts' if kept else ''}.",
        )


def _place(mm: float, unit: LengthUnit) -> str:
    """Where a piece lies on a sheet, as a rule shows it."""
    return mark_length(mm, unit) if unit == "in" else write_length(mm, unit)


def _whole(sheet: Report, unit: LengthUnit) -> str:
    return sheet_title(sheet["stock"], sheet["material"], sheet["thickness"], sheet["size"], unit)


def _placed_row(placed: Report, unit: LengthUnit, turned: str) -> tuple[str, ...]:
    where, size = (_place(placed[k], unit) for k in "xy"), (write_length(placed[k], unit) for k in "wh")
    return placed["name"], *where, *size, turned


def _placed_rows(sheet: Report, unit: LengthUnit, turned: Sequence[str], most: int) -> list[tuple[str, ...]]:
    """The pieces of a sheet, each where it lies, or of very many the equal ones together; then its offcuts."""
    rows = [_placed_row(p, unit, words) for p, words in zip(sheet["placed"], turned, strict=True)]
    alike = [(*(["various"] * 2), *row[3:]) for row in rows]
    parts = [(*key, str(p["part"])) for key, p in zip(alike, sheet["placed"], strict=True)]
    return [*(row[:6] for row in folded(rows, parts, most)), *_offcut_rows(sheet, unit)]


def _keys(names: Sequence[str], sheet: Report, most: int) -> Sequence[str]:
    return [*names, *("" for _ in sheet.get("offcuts", ()))] if len(names) <= most else ()


def _where(names: Sequence[str], most: int) -> str:
    return "" if len(names) <= most else "Where each piece lies: see the drawing, its DXF, or report.json."


def _sheet(sheet: Report, unit: LengthUnit, most: int) -> Iterator[Block]:
    names, said = [p["name"] for p in sheet["placed"]], sheet["said"].capitalize()
    alt = f"{said}: {size_words(sheet['size'], unit)}, {len(names)} pieces"
    yield Picture(key=f"sheet-{sheet['number']}", alt=alt, about=" ".join(names))
    rows = _placed_rows(sheet, unit, ["turned" if p["turned"] else "" for p in sheet["placed"]], most)
    yield Rows(
        title=f"{said}: {_whole(sheet, unit)}",
        header=("piece", "from left", "from below", "width", "height", ""),
        rows=rows,
        right="lrrrrl",
        keys=_keys(names, sheet, most),
        note=_where(names, most),
    )


def _shares(balance: Report) -> list[Figure]:
    """What becomes of the sheets, sawn or nested."""
    whole = balance["stock"]
    return [
        Figure(label="Parts", value=percent(balance["pieces"] / whole), why="net area over the area of the sheets"),
        Figure(label="Offcuts, back on the rack", value=percent(balance["offcuts"] / whole), why="large enough to use"),
        Figure(label="Chips", value=percent(balance["kerf"] / whole), why="kerf times the length of the cuts"),
        Figure(
            label="Waste",
            value=percent(balance["waste"] / whole),
            why="what is left; the four shares add up to the whole",
        ),
    ]


def _proven(row: Report) -> Figure:
    """Whether fewer or cheaper sheets would do."""
    return Figure(label=row["sheet"], value="proven best" if row["best"] else "not proven best", why=row["text"])


def _edges(edges: Sequence[Report], unit: LengthUnit) -> Rows:
    """What is done to the edges of each part, those alike in one row; what is taken off is in the cut sizes."""
    alike: dict[tuple[str, str, str, float], list[str]] = {}
    for edge in edges:
        alike.setdefault((edge["part"], edge["use"], edge["work"], edge["takes_mm"]), []).append(edge["side"])
    rows = [
        (part, ", ".join(sides), use, work, write_length(takes, unit) if takes else "nothing to allow for")
        for (part, use, work, takes), sides in alike.items()
    ]
    return Rows(
        title="Edges",
        header=("part", "edges, as drawn", "they are", "do", "taken off each"),
        rows=rows,
        note="Cut sizes have what is taken off already; after it the part has its net size.",
    )


def _bevelled(bevels: Sequence[Report], unit: LengthUnit) -> Rows:
    """Edges that are cut again at an angle, those alike in one row."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for one in bevels:
        tool = "saw, blade tilted" if one["process"] == "saw" else "router table, fence or bit at the angle"
        key = (
            one["part"],
            str(one["count"]),
            f"{one['angle']:.4g}°",
            write_length(one["back"], unit),
            one["face"],
            tool,
        )
        alike.setdefault(key, []).append(one["side"])
    return Rows(
        title="Bevels, cut last",
        header=("part", "pieces", "edges, as drawn", "from square", "back", "on face", "by"),
        rows=[(part, count, ", ".join(sides), *rest) for (part, count, *rest), sides in alike.items()],
        note="First saw the piece square to its size: the sharp edge of the bevel is the edge of that size. Set the angle on "
        "scrap of the same sheet with a protractor, push with a block, keep the sharp edge off the fence; break it lightly.",
    )


def _offcut_rows(sheet: Report, unit: LengthUnit) -> list[tuple[str, ...]]:
    return [
        (o["label"] or o["name"], *(_place(v, unit) for v in (o["x"], o["y"], *o["size"])), "offcut")
        for o in sheet.get("offcuts", ())
    ]


def _step(words: str) -> Step:
    """One line of the plan: its number, or those of the cuts at one setting, and what is done."""
    number, text = words.split(". ", 1)
    return Step(text=text, number=number)


def _nest(sheet: Report, index: int, unit: LengthUnit) -> Iterator[Block]:
    names = [p["name"] for p in sheet["placed"]]
    pieces = "1 piece" if len(names) == 1 else f"{len(names)} pieces"
    alt = f"Nest {index}: {size_words(sheet['size'], unit)}, {pieces}; the table says where each lies"
    yield Picture(key=f"nest-{index}", alt=alt, about=" ".join(names))
    yield Rows(
        title=f"Nest {index}, {sheet['process']}: {_whole(sheet, unit)}",
        header=("piece", "from left", "from below", "width", "height", ""),
        rows=_placed_rows(
            sheet, unit, [f"turned {p['turned']:g}°" if p["turned"] else "" for p in sheet["placed"]], ALIKE
        ),
        right="lrrrrl",
        keys=_keys(names, sheet, ALIKE),
        note=f"File: {sheet['file']}; plain holes right through are cut with it, not drilled. {_where(names, ALIKE)}".rstrip(),
    )
    minutes = sheet.get("minutes")
    yield Figures(
        items=[
            Figure(
                label="Cut length", value=write_length(round(sheet["cut_length"]), unit), why="all loops of the nest"
            ),
            Figure(
                label="Time",
                value=amount(minutes, "min", 0) if minutes is not None else "not known",
                why="cut length over the speed for this thickness, and each pierce",
            ),
            Figure(label="Kerf", value=kerf_words(sheet["kerf"], unit), why="the file's paths stand off by half of it"),
            *_shares(sheet["balance"]),
        ]
    )
