"""Orders that nobody meant: starters with lines, numbers, words, lists and tables changed at random, the same for a seed.

PYTHONPATH=. python tests/kit/mutants.py 1000 3000        hunts by hand: prints what ends in any other way than it should
"""

from __future__ import annotations

import contextlib
import io
import random
import re
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from assemblies import cli
from assemblies.kinds import kinds, starter

__all__ = ["ask", "faults", "mutant"]

Commands = Sequence[Sequence[str]]
_COMMANDS: Commands = (["hold"], ["fit", "--sizes-only"], ["cut", "--seconds", "0.05"], ["hold", "--json"], ["move"])
_ODD = (
    "0", "-1", "1", "2", "7", "0.001", "1e-9", "1e9", "1e300", "nan", "-inf", "true", '""', '"x"', "[]", "[0]", "[1, 2, 3]",
    "[[]]", "[[0, 0], [0, 0]]", "{}", "{a = 1}", '"1/4 in"', '"5 L"', '"-3 mm"', '"0 mm"', '"1 m/s2"', "2026-10-05",
    '"grid 10 3x3"', '"ISO 15552-40"', '"NEMA 23"', '"M3"', '"choose"', '"minutes"', '"left"', '"none"', "100000", "90", "180",
)  # fmt: skip
_NUMBER = re.compile(r"(?<![\w.\"-])-?\d+(?:\.\d+)?(?![\w.])")
Mutation = Callable[[list[str], random.Random], None]


def _keyed(lines: list[str]) -> list[int]:
    return [k for k, line in enumerate(lines) if re.match(r"[a-z][a-z0-9-]*\s*=", line)]


def _odd_value(lines: list[str], dice: random.Random) -> None:
    k = dice.choice(_keyed(lines))
    lines[k] = f"{lines[k].partition('=')[0]}= {dice.choice(_ODD)}"


def _other_number(lines: list[str], dice: random.Random) -> None:
    k = dice.choice([k for k in _keyed(lines) if _NUMBER.search(lines[k])])
    found = dice.choice(list(_NUMBER.finditer(lines[k])))
    factor = dice.choice((-1.0, 0.0, 0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99, 1.01, 1.1, 1.3, 1.5, 2.0, 4.0, 1000.0))
    lines[k] = f"{lines[k][: found.start()]}{float(found[0]) * factor:.6g}{lines[k][found.end() :]}"


def _other_word(lines: list[str], dice: random.Random) -> None:
    """One of the words that its comment names."""
    named = [k for k in _keyed(lines) if " | " in lines[k].partition("#")[2]]
    if named:
        k = dice.choice(named)
        words = re.findall(r"[\w-]+(?= \|)|(?<=\| )[\w-]+", lines[k].partition("#")[2])
        lines[k] = f'{lines[k].partition("=")[0]}= "{dice.choice(words)}"'


def _value_of_another(lines: list[str], dice: random.Random) -> None:
    one, other = dice.choice(_keyed(lines)), dice.choice(_keyed(lines))
    lines[one] = f"{lines[one].partition('=')[0]}={lines[other].partition('=')[2]}"


def _line_gone(lines: list[str], dice: random.Random) -> None:
    del lines[dice.randrange(len(lines))]


def _line_moved(lines: list[str], dice: random.Random) -> None:
    line = lines.pop(dice.choice(_keyed(lines)))
    lines.insert(dice.randrange(len(lines) + 1), line)


def _line_twice(lines: list[str], dice: random.Random) -> None:
    lines.insert(dice.randrange(len(lines) + 1), dice.choice(lines))


def _letter(lines: list[str], dice: random.Random) -> None:
    k = dice.choice(_keyed(lines))
    at, how = dice.randrange(len(lines[k])), dice.randrange(3)
    other = dice.choice("\"'[]{}=.,#-+ xX0é\t\\")
    lines[k] = lines[k][:at] + ("" if how == 0 else other) + lines[k][at + (how != 1) :]


def _cut_short(lines: list[str], dice: random.Random) -> None:
    del lines[dice.randrange(len(lines) // 2, len(lines)) :]


def _blocks(lines: list[str]) -> list[tuple[int, int]]:
    heads = [k for k, line in enumerate(lines) if line.startswith("[")]
    return list(zip(heads, [*heads[1:], len(lines)], strict=True))


def _table_gone(lines: list[str], dice: random.Random) -> None:
    if blocks := _blocks(lines):
        begin, end = dice.choice(blocks)
        del lines[begin:end]


def _table_twice(lines: list[str], dice: random.Random) -> None:
    if blocks := _blocks(lines):
        begin, end = dice.choice(blocks)
        lines += lines[begin:end]


def _table_of_another(lines: list[str], dice: random.Random) -> None:
    other = _whole(dice.choice(sorted(kinds())), dice)
    begin, end = dice.choice(_blocks(other))
    lines += other[begin:end]


def _item(lines: list[str], dice: random.Random) -> None:
    """An item of a list gone, or there twice."""
    listed = [k for k in _keyed(lines) if re.search(r"\[.*,.*\]", lines[k])]
    if listed:
        k = dice.choice(listed)
        head, _, rest = lines[k].partition("[")
        inner, _, tail = rest.partition("#")[0].rpartition("]")
        items = inner.split(", ")
        at = dice.randrange(len(items))
        items[at : at + 1] = dice.choice(([], [items[at]] * 2))
        lines[k] = f"{head}[{', '.join(items)}]{tail}"


#: What keeps most orders in the language comes more often than what does not.
_MUTATIONS: tuple[Mutation, ...] = (
    *(_other_number,) * 12, *(_odd_value,) * 2, *(_other_word,) * 6, _value_of_another, _line_gone, _line_moved, _line_twice,
    _letter, _cut_short, _table_gone, _table_twice, _table_of_another, _item,
)  # fmt: skip


def _whole(kind: str, dice: random.Random) -> list[str]:
    """A starter, some of its extras taken in."""
    body, _, extras = starter(kind).partition("# Extras:")
    out = body.splitlines()
    for block in re.split(r"\n\n", extras)[1:]:
        if dice.random() < 0.25:
            out += re.sub(r"(?m)^# ", "", block).splitlines()
    return out


def mutant(seed: int) -> str:
    """An order with one to three changes."""
    dice = random.Random(seed)
    lines = _whole(sorted(kinds())[seed % len(kinds())], dice)
    for _ in range(dice.choice((1, 1, 1, 2, 3))):
        if _keyed(lines):
            dice.choice(_MUTATIONS)(lines, dice)
    return "\n".join(lines) + "\n"


def ask(seed: int, folder: Path, commands: Commands = _COMMANDS) -> tuple[object, str, str]:
    """Exit code, output and errors of a command that is asked about a mutant in this process."""
    path = folder / "o.toml"
    path.write_text(mutant(seed), encoding="utf-8")
    command, *more = commands[seed // len(kinds()) % len(commands)]
    out, err, before = io.StringIO(), io.StringIO(), sys.argv
    sys.argv = ["seamwright", command, str(path), *more]
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            cli.main()
    except SystemExit as end:
        return end.code, out.getvalue(), err.getvalue()
    finally:
        sys.argv = before
    return None, out.getvalue(), err.getvalue()


def faults(seed: int, folder: Path, commands: Commands = _COMMANDS) -> list[str]:
    """What is wrong with the end that a mutant comes to; nothing where it is as it should be."""
    code, out, err = ask(seed, folder, commands)
    said = []
    if code not in (0, 1, 2):
        said.append(f"exit code {code}")
    if "Traceback" in err or "fault of seamwright" in err:
        said.append(" | ".join(err.strip().splitlines()[-8:]))
    if code == 2:
        if out:
            said.append("refused, and yet an answer")
        lines = err.splitlines()
        if not lines or not all(line.startswith(("o.toml", str(folder), "and ")) for line in lines):
            said.append(f"lines that do not name the order: {err!r}")
        if any(len(line) > 600 + len(str(folder)) or not line.isprintable() for line in lines):
            said.append(f"a line that nobody reads: {err!r}")
    elif not out:
        said.append("no answer")
    said += [f"{word} in the answer" for word in ("nan", "inf") if re.search(rf"(?<![\w-]){word}(?![\w-])", out)]
    return said


def main() -> int:
    first, last = map(int, sys.argv[1:3])
    bad = 0
    with tempfile.TemporaryDirectory() as name:
        for seed in range(first, last):
            began = time.process_time()
            said = faults(seed, Path(name))
            took = time.process_time() - began
            if took > 20.0:
                said.append(f"{took:.0f} s of processor")
            bad += bool(said)
            for one in said:
                print(f"{seed}: {one}", flush=True)
    print(f"{last - first} mutants, {bad} at fault")
    return int(bool(bad))


if __name__ == "__main__":
    sys.exit(main())
