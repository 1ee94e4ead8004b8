"""What is wrong with a line that is no TOML, in the words of who wrote it: the comma, the quote, the key given twice.

How deep a text nests is told in one pass before it is parsed: a parser of nested text can be made to blow up.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from assemblies.order.errors import Key, shown

__all__ = ["DEEPEST", "not_toml", "too_deep"]

DEEPEST: Final = 16

# A string that is not closed swallows the rest of its line (or text), so that one pass stays one pass.
_TOKEN: Final = re.compile(
    r'''"""(?:\\.|[^\\])*?(?:"""|\\?\Z)|\'\'\'.*?(?:\'\'\'|\Z)|"(?:\\.|[^"\\\n])*"?|'[^'\n]*'?'''
    r"""|\#[^\n]*|[\w+-]+|[^\S\n]+|.""",
    re.DOTALL | re.VERBOSE,
)
_LINE: Final = re.compile(r"\s*(?P<key>[A-Za-z0-9_-]+)\s*(?P<sign>[=:])?\s*(?P<value>.*?)\s*")
_HEADER: Final = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_.-]+)\s*\]\]?\s*(?:#.*)?")
_COMMA: Final = re.compile(r"[+-]?\d+,\d+")
_AMOUNT: Final = re.compile(r"[+-]?[\d.]+(?:\s*/\s*\d+|\s+\d+/\d+)?\s*[A-Za-z\"'%/0-9²]*(?:\s*/\s*\w+)?", re.ASCII)
_Fault = tuple[str, str]


def not_toml(text: str, message: str) -> tuple[int, Key, str, str]:
    """Line, key, what is wrong and what is allowed, of a text that the TOML reader refused with a message.

    >>> not_toml("[sheet]\\nthickness = 5,0\\n", "Expected newline (at line 2, column 14)")
    (2, ('sheet', 'thickness'), '5,0 has a decimal comma', 'a decimal point: 5.0')
    """
    at = re.search(r" \(at line (\d+), column (\d+)\)$", message)
    line = int(at[1]) if at else text.rstrip().count("\n") + 1
    lines = text.split("\n")
    written = _LINE.fullmatch(re.sub(r"\s#[^\"']*$", "", lines[line - 1]))
    if "overwrite" in message or "twice" in message:
        return _twice(lines, line)
    if written is not None:
        for look in _LOOKS:
            found = look(written["key"], written["sign"] or "", written["value"])
            if found:
                return line, (*_table(lines, line), written["key"]), *found
    why = message[: at.start()] if at else message.removesuffix(" (at end of document)")
    why = re.sub(r"\('(.*?)',?\)", lambda m: m[1].replace("', '", "."), why)
    return line, (), f"is not TOML: {why[:1].lower()}{why[1:]}", "TOML 1.0"


def _table(lines: list[str], line: int) -> Key:
    """The table that a line stands in; of a list of tables with its number."""
    counts: dict[str, int] = {}
    base: Key = ()
    for text in lines[: line - 1]:
        header = _HEADER.fullmatch(text)
        if header is None:
            continue
        parts = header[2].split(".")
        if header[1] == "[[":
            counts[header[2]] = counts.get(header[2], -1) + 1
            base = (*parts, counts[header[2]])
        else:
            base = tuple(parts)
    return base


def _twice(lines: list[str], line: int) -> tuple[int, Key, str, str]:
    """A key, or a table, that stands above already."""
    header = _HEADER.fullmatch(lines[line - 1])
    if header is not None:
        headers = ((k, _HEADER.fullmatch(text)) for k, text in enumerate(lines[: line - 1], 1))
        first = next((k for k, one in headers if one is not None and one[2] == header[2]), None)
        key: Key = tuple(header[2].split("."))
        return line, key, f"the table is given twice{_first(first)}", "each table once, all its keys under it"
    written = _LINE.fullmatch(lines[line - 1])
    name = written["key"] if written else ""
    base = _table(lines, line)
    above = [k for k in range(1, line) if re.match(rf"\s*{re.escape(name)}\s*=", lines[k - 1])]
    first = next((k for k in above if _table(lines, k) == base), None)
    return line, (*base, name) if name else base, f"is given twice{_first(first)}", "each key once"


def _first(line: int | None) -> str:
    return f", first on line {line}" if line else ""


def _comma(key: str, sign: str, value: str) -> _Fault | None:
    if sign and _COMMA.fullmatch(value):
        return f"{value} has a decimal comma", f"a decimal point: {value.replace(',', '.')}"
    return None


def _colon(key: str, sign: str, value: str) -> _Fault | None:
    if sign == ":":
        return "has a colon where an equals sign belongs", f"{key} = {value}"
    if not sign and value and "=" not in value:
        return "has no equals sign", f"{key} = {value}"
    return None


def _large(key: str, sign: str, value: str) -> _Fault | None:
    if value.lower() in ("true", "false") and value != value.lower():
        return f"{value} has a capital letter", value.lower()
    return None


def _nought(key: str, sign: str, value: str) -> _Fault | None:
    if re.fullmatch(r"0\d+(?:\.\d+)?", value, re.ASCII):
        return f"{value} has a leading zero", value.lstrip("0")
    return None


def _open_quote(key: str, sign: str, value: str) -> _Fault | None:
    for quote in "\"'":
        if value[:1] == quote and value.count(quote) == 1:
            return "the closing quote is missing", f"{key} = {quote}{value[1:]}{quote}"
        if value[-1:] == quote and value.count(quote) == 1 and not value[:1].isdigit():
            return "the opening quote is missing", f"{key} = {quote}{value[:-1]}{quote}"
    return None


def _no_quotes(key: str, sign: str, value: str) -> _Fault | None:
    if not sign or not value or value[0] in "\"'[{" or len(value) > 200:
        return None
    if value[0].isalpha() or (_AMOUNT.fullmatch(value) and not re.fullmatch(r"[+-]?[\d.]+", value)):
        quote = "'" if '"' in value else '"'
        return f"{shown(value)[1:-1]} has no quotes round it", f"{key} = {quote}{value}{quote}"
    return None


_LOOKS: Final[tuple[Callable[[str, str, str], _Fault | None], ...]] = (
    _comma,
    _colon,
    _large,
    _nought,
    _open_quote,
    _no_quotes,
)


def too_deep(text: str) -> int | None:
    """The line (from 1) on which brackets nest, or a dotted key runs, more than `DEEPEST` deep; None where none does.

    >>> too_deep("a = 1\\nb = " + "[" * 17), too_deep("a" + ".a" * 17), too_deep("a = 'a" + ".a" * 17 + "'")
    (2, 1, None)
    """
    brackets = dots = 0
    for token in _TOKEN.finditer(text):
        first = token[0][0]
        if first in "[{":
            brackets, dots = brackets + 1, 0
        elif first in "]}":
            brackets = max(0, brackets - 1)
        elif first == ".":
            dots += 1
        elif not (first.isalnum() or first in "_-+\"' \t"):
            dots = 0
        if brackets > DEEPEST or dots > DEEPEST:
            return text.count("\n", 0, token.start()) + 1
    return None
