"""What people read is in the words of the trade: phrases that rang translated do not come back, spelling is British.

Looked at: every text in the code that is no docstring, every cell of the tables, the starters, the help of the commands and
what `show order` prints, README.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from assemblies.cli import cli
from parts.tables import load, names

ROOT = Path(__file__).parents[1]
#: Read by fresh eyes, once; what stands for each now is in the texts.
RANG = (
    r"every check that this kind",
    r"do not build it so",
    r"is no stable load",
    r"shorter than the cut is wide",
    r"to be led along",
    r"leaves? over the rim",
    r"held besides",
    r"for good\b",
    r"the gap can lie",
    r"below nothing",
    r"seam drink",
    r"dab a run",
    r"^draw \{|\bdraw [0-9{]",
    r"fills the gaps",
    r"(?<!the )room at\b",
    r"\b1-2-dichloro",
    r"bears a touch",
    r"leave it lying",
    r"the very (?:solvent|sheet)",
    r"nothing stocked holds",
    r"is used to \{",
    r"becomes pieces",
    r"reaches at most",
    r"always come at",
    r"o-cutter",
    r"against the cutter's turn",
    r"the pieces out\b",
    r"behind a full stop",
    r"not one of the words",
    r"\bcannot be['\"]?$",
    r"with the order of the solution",
    r"1/t[0-9]",
    r"without the geometry",
    r"reckon",
    r"stands a second time",
    r"(?<!there )\bis no (?:number|list|table|text|length|kind|wall|grid)\b",
    r"no device's name",
    r"leading nought",
    r"on it hangs",
    r"say it as",
    r"what hangs on it",
    r"have it proven",
    r"may not be built so",
    r"looks at a flat face",
    r"as thin as it(?:s sheet)? may come",
    r"\btaken, (?:because|not stated|the order)",
    r"licensed practice",
    r"counts as lost",
    r"(?<!\w)[0-9}] C\b(?! sheet)",
)
#: American spellings; `vise` is the trade's word in both.
SPELT = r"\b(?:colors?|center(?:s|ed)?|millimeters?|meters?|gray|aluminum|vice|mold(?:s|ed)?|fiber|plow)\b"


def texts_of(path: Path) -> Iterator[str]:
    """The texts of a module: literals joined as they stand, what is filled in as {}."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    inside: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            inside |= {id(part) for part in node.values}
            parts = (str(p.value) if isinstance(p, ast.Constant) else "{}" for p in node.values)
            yield "".join(parts)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs | inside:
            yield node.value


@cache
def told() -> tuple[tuple[str, str], ...]:
    """Every text with where it is from."""
    out = [(p.name, t) for room in ("parts", "assemblies") for p in (ROOT / room).rglob("*.py") for t in texts_of(p)]
    out += [
        (name, cell)
        for name in names()
        for row in load(name)
        for key, cell in row.items()
        if key in ("text", "tool", "caution")
    ]
    out += [(p.name, p.read_text(encoding="utf-8")) for p in (ROOT / "assemblies").rglob("*.toml")]
    run = CliRunner()
    for args in (
        ["show", "order"],
        ["show", "shop"],
        ["show", "rack"],
        *([c, "--help"] for c in ("make", "fit", "hold", "cut", "start")),
    ):
        out.append((" ".join(args), run.invoke(cli, args).output))
    return (*out, ("README", (ROOT / "README.md").read_text(encoding="utf-8")))


@pytest.mark.parametrize("phrase", RANG)
def test_a_phrase_that_rang_translated_does_not_come_back(phrase: str) -> None:
    found = {(where, text[:80]) for where, text in told() if re.search(phrase, text, re.IGNORECASE | re.MULTILINE)}
    assert found == set()


def test_spelling_is_british() -> None:
    plain = [(where, text) for where, text in told() if " " in text.strip() and "<" not in text and "=" not in text]
    assert {(where, text) for where, text in plain if re.search(SPELT, text, re.IGNORECASE)} == set()
    assert any("vise" in text for _, text in plain)


def test_the_texts_are_found() -> None:
    texts = {text for _, text in told()}
    assert len(texts) > 2500
    assert any("All required checks passed." in text for text in texts)
    assert any("Blot any run at once; don't wipe." in text for text in texts)
