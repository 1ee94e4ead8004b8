"""Tables as data: one CSV per table in this folder, read strictly.

The first row holds the headers, with units in them (`density_kg_m3`). The last three columns are the
*provenance* of each row: `source` (a document's name), `clause` (page, table, clause or note; `-` for none)
and `how_known`, one of

- `published`: read in the document itself;
- `secondary`: read in another document that quotes it;
- `computed`: from a formula, which the clause names;
- `common-practice`: what shops do, no source found;
- `from-memory`: remembered, not confirmed;
- `judgement`: a choice of ours.

A document that has no number of its own, such as a maker's manual, is cited by a letter (`manual A`); the table `documents`
has each once. A row without a document has for its `source` what it is instead (`NO_DOCUMENT`); why it is so stands in its
`clause`.

The *key* of a table is its first column, unless `KEYS` or the caller names others; no two rows share it.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

from parts.findings import SeamwrightError

__all__ = [
    "HOW_KNOWN",
    "KEYS",
    "NO_DOCUMENT",
    "PROVENANCE",
    "Row",
    "TableError",
    "cite",
    "documents_in",
    "load",
    "named",
    "names",
    "plain_name",
    "read_table",
    "what_it_is",
]

Row = Mapping[str, str]

PROVENANCE: Final = ("source", "clause", "how_known")
HOW_KNOWN: Final = ("published", "secondary", "computed", "common-practice", "from-memory", "judgement")
#: What stands for a document where there is none, by how the row is known.
NO_DOCUMENT: Final[Mapping[str, str]] = MappingProxyType(
    {
        "judgement": "judgement",
        "from-memory": "from memory",
        "common-practice": "common practice, no source",
        "computed": "computed",
    }
)
#: Tables whose key is not their first column alone.
KEYS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "meant_words": ("word", "meant"),
        "pmma": ("material", "property", "condition"),
        "sheet_stock": ("material", "asked"),
        "sheet_tolerance": ("material", "from_mm"),
    }
)


class TableError(SeamwrightError):
    """A table that breaks a rule; the message names file and line."""


@cache
def load(name: str, key: tuple[str, ...] | None = None) -> tuple[Row, ...]:
    """The rows of the table `name` (without `.csv`), read once and never changed.

    Args:
        name: file name without its ending.
        key: columns that name a row; by default `KEYS[name]`, else the first column.

    Raises:
        TableError: when there is no such table, or it breaks a rule of this module.
    """
    from importlib.resources import files

    file = files(__name__) / f"{name}.csv"
    if not name.replace("_", "").isalnum() or not file.is_file():
        raise TableError(f"no table {name!r}: there are {', '.join(names())}")
    return tuple(_rows(file.read_text(encoding="utf-8"), f"{name}.csv", key or KEYS.get(name)))


def names() -> tuple[str, ...]:
    """The names of all tables, in order."""
    from importlib.resources import files

    return tuple(sorted(f.name[:-4] for f in files(__name__).iterdir() if f.name.endswith(".csv")))


def read_table(path: Path, key: tuple[str, ...] | None = None) -> tuple[Row, ...]:
    """The rows of any table file under the same rules.

    Raises:
        TableError: when it breaks a rule, with file name and line.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise TableError(f"{path.name}: not UTF-8 text ({error.reason} at byte {error.start})") from None
    return tuple(_rows(text, path.name, key))


def _rows(text: str, file: str, key: tuple[str, ...] | None) -> Iterator[Row]:
    """Yield the checked rows of a table's text."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        headers = next(reader, [])
        _check_headers(headers, f"{file}:1")
        key = key or (headers[0],)
        if missing := [column for column in key if column not in headers]:
            raise TableError(f"{file}:1: no key column {missing[0]!r} among {', '.join(headers)}")
        first_seen: dict[tuple[str, ...], int] = {}
        for cells in reader:
            place = f"{file}:{reader.line_num}"
            row = _check_row(headers, cells, place)
            named = tuple(row[column] for column in key)
            if not any(named):
                raise TableError(f"{place}: empty key ({', '.join(key)})")
            if named in first_seen:
                raise TableError(f"{place}: key {', '.join(named)} is already in line {first_seen[named]}")
            first_seen[named] = reader.line_num
            yield row
    except csv.Error as error:
        raise TableError(f"{file}:{reader.line_num}: {error}") from None
    if not first_seen:
        raise TableError(f"{file}:1: a table without rows")


def _check_headers(headers: list[str], place: str) -> None:
    for header in headers:
        if not header.strip():
            raise TableError(f"{place}: blank header")
        if header != header.strip() or header.startswith("\ufeff"):
            raise TableError(f"{place}: padded header {header!r}")
    if twice := [header for header in headers if headers.count(header) > 1]:
        raise TableError(f"{place}: header {twice[0]!r} stands twice")
    if tuple(headers[-3:]) != PROVENANCE or len(headers) < 4:
        raise TableError(f"{place}: the last columns must be {', '.join(PROVENANCE)}, with others before")


def _check_row(headers: list[str], cells: list[str], place: str) -> Row:
    if len(cells) != len(headers):
        raise TableError(f"{place}: {len(cells)} cells where the header has {len(headers)}")
    for header, cell in zip(headers, cells, strict=True):
        if cell != cell.strip():
            raise TableError(f"{place}: padded cell {cell!r} in column {header}")
    row = MappingProxyType(dict(zip(headers, cells, strict=True)))
    for header in PROVENANCE:
        if not row[header] or (header == "source" and row[header] == "-"):
            raise TableError(f"{place}: empty {header}")
    if row["how_known"] not in HOW_KNOWN:
        raise TableError(f"{place}: how_known {row['how_known']!r} is none of {', '.join(HOW_KNOWN)}")
    return row


def plain_name(text: str) -> str:
    """A name as the tables write names: small letters, words joined by hyphens.

    >>> plain_name(" Methylene  chloride"), plain_name("1,2-dichloroethane")
    ('methylene-chloride', '1-2-dichloroethane')
    """
    return "-".join(re.sub(r"[-_,]", " ", text.lower()).split())


def cite(source: str, clause: str, how_known: str) -> str:
    """Where a row comes from, as it is printed.

    >>> cite("manual A", "p. 28", "secondary"), cite("judgement", "between tabs", "judgement"), cite("ISO 273", "-", "computed")
    ('manual A, p. 28 (secondary)', 'judgement: between tabs', 'ISO 273 (computed)')
    """
    if source in NO_DOCUMENT.values():
        return source if clause == "-" else f"{source}: {clause}"
    how = how_known.replace("-", " ")
    return f"{source} ({how})" if clause == "-" else f"{source}, {clause} ({how})"


_LETTERED: Final = re.compile(
    r"\b(?:manual|page|brief|paper|table|article|sheet|note|data|glossary|handbook|book|catalogue) [A-Z]{1,2}\b"
)


def documents_in(text: str) -> tuple[str, ...]:
    """The documents that a text cites by their letter, as the table `documents` names them.

    >>> documents_in("page J; manual A, p. 28 (secondary)")
    ('page J', 'manual A')
    """
    return tuple(dict.fromkeys(_LETTERED.findall(text)))


def what_it_is(document: str) -> str:
    """A document that is cited by its letter, in words: in English and of one page unless they say otherwise.

    Raises:
        TableError: the table `documents` does not have it.

    >>> what_it_is("manual D")
    "sheet maker's rules for machining; German; cited section 3.1"
    """
    for row in load("documents"):
        if row["document"] == document:
            told = (row["kind"], row["language"], row["year"], row["pages"])
            return "; ".join(text for text in told if text not in ("-", "English", "1"))
    raise TableError(f"no document {document!r} in the table documents")


def named(table: str, column: str, text: str) -> Row | None:
    """The first row that a name in a column means, or one of the names after semicolons in `also_called`; None where none does.

    >>> named("solvents", "solvent", "DCM")["solvent"], named("fluids", "fluid", "Salt water")["fluid"]
    ('dichloromethane', 'salt-water')
    """
    plain = plain_name(text)
    for row in load(table):
        if plain in {plain_name(name) for name in (row[column], *row.get("also_called", "").split(";"))} - {""}:
            return row
    return None
