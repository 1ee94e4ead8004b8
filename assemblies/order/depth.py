"""How deep a TOML text nests, told in one pass before it is parsed: a parser of nested text can be made to blow up."""

from __future__ import annotations

import re
from typing import Final

__all__ = ["DEEPEST", "too_deep"]

DEEPEST: Final = 16

# A string that is not closed swallows the rest of its line (or text), so that one pass stays one pass.
_TOKEN: Final = re.compile(
    r'''"""(?:\\.|[^\\])*?(?:"""|\\?\Z)|\'\'\'.*?(?:\'\'\'|\Z)|"(?:\\.|[^"\\\n])*"?|'[^'\n]*'?'''
    r"""|\#[^\n]*|[\w+-]+|[^\S\n]+|.""",
    re.DOTALL | re.VERBOSE,
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
