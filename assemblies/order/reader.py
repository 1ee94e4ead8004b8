"""From a file to an order, or to every fault it has."""

from __future__ import annotations

import difflib
import os
import re
import stat
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, get_args

from pydantic import BaseModel, ValidationError

from assemblies.order.errors import Key, OrderError, Problem
from assemblies.order.linemap import line_map, nearest_line
from assemblies.order.model import Order, OrderSource

__all__ = ["read_order", "read_order_text"]

LARGEST_BYTES: Final = 262_144
_DEEP_KEY: Final = re.compile(r"""(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){16}""")


def read_order(path: str | Path, schemas: Mapping[str, type[BaseModel]]) -> Order:
    """The order in a file.

    Args:
        path: a regular file, TOML 1.0, UTF-8 with or without byte-order mark.
        schemas: the table of each kind, by the kind's name.

    Raises:
        OrderError: everything that is wrong with it, at once.
    """
    return read_order_text(_text_of(Path(path)), schemas, str(path))


def _fault(file: str, what: str, allowed: str = "", line: int | None = None) -> OrderError:
    return OrderError((Problem(file=file, line=line, key=(), what=what, allowed=allowed),))


def _text_of(path: Path) -> str:
    file = str(path)
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise _fault(file, f"cannot be opened: {reason}", "an order file that can be read") from None
    try:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode):
            what = "a folder" if stat.S_ISDIR(status.st_mode) else "not a regular file"
            raise _fault(file, f"is {what}", "an order file")
        with os.fdopen(handle, "rb", closefd=False) as stream:
            raw = stream.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise _fault(file, f"cannot be read: {error.strerror}", "an order file that can be read") from None
    finally:
        os.close(handle)
    if len(raw) > LARGEST_BYTES:
        raise _fault(file, "is too large for an order", f"at most {LARGEST_BYTES // 1024} KiB")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _fault(file, f"is not UTF-8: byte {error.start + 1}", "a text file in UTF-8", line) from None
    if not text.strip():
        raise _fault(file, "is empty", "an order; `seamwright start tank` prints one")
    return text


def _parse(text: str, file: str) -> tuple[dict[str, Any], dict[Key, int]]:
    deep = _DEEP_KEY.search(text)
    if deep:
        raise _fault(file, "keys are nested too deep", "at most 16 levels", text.count("\n", 0, deep.start()) + 1)
    try:
        data = tomllib.loads(text)
        return data, line_map(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        at = re.search(r" \(at line (\d+), column (\d+)\)$", message)
        line = int(at[1]) if at else text.count("\n") + 1
        raise _fault(file, f"is not TOML: {message[: at.start()] if at else message}", "TOML 1.0", line) from None
    except (RecursionError, ValueError) as error:
        why = "values are nested too deep" if isinstance(error, RecursionError) else f"is not TOML: {error}"
        raise _fault(file, why, "TOML 1.0 of a few levels") from None


def _tuples(value: Any) -> Any:
    """Lists as tuples, so that what is read can be frozen."""
    if isinstance(value, list):
        return tuple(_tuples(v) for v in value)
    if isinstance(value, dict):
        return {k: _tuples(v) for k, v in value.items()}
    return value


def read_order_text(text: str, schemas: Mapping[str, type[BaseModel]], file: str = "order") -> Order:
    """The order in a text; `file` is only named in messages.

    Raises:
        OrderError: as `read_order`.
    """
    data, lines = _parse(text, file)
    plain: dict[str, Any] = _tuples(data)
    problems: list[Problem] = []
    kind = plain.get("kind")
    units = plain.get("units", "mm")
    context = {"units": units if units in ("mm", "in") else "mm"}
    others = {name: plain.pop(name) for name in schemas if name in plain}
    sheet = plain.get("sheet")
    if isinstance(sheet, dict) and "asked" not in sheet and not isinstance(sheet.get("thickness"), bool):
        asked = sheet.get("thickness")
        plain["sheet"] = {**sheet, "asked": asked if isinstance(asked, str) else f"{asked} {context['units']}"}
    order = _validated(Order, plain, (), context, lines, file, problems)
    table = None
    if not isinstance(kind, str) or kind not in schemas:
        problems += _kind_problem(kind, schemas, lines, file)
    else:
        problems += [
            Problem(file=file, line=nearest_line(lines, (name,)), key=(name,), what=f'a [{name}] table in an order of kind "{kind}"', allowed=f"[{kind}]")
            for name in others if name != kind
        ]  # fmt: skip
        if kind in others:
            table = _validated(schemas[kind], others[kind], (kind,), context, lines, file, problems)
        else:
            problems.append(Problem(file=file, line=None, key=(kind,), what="is missing", allowed=f"a [{kind}] table"))
    if problems:
        raise OrderError(tuple(sorted(problems, key=lambda p: (p.line or 0, str(p.key)))))
    assert order is not None
    order._table = table  # type: ignore[assignment]
    order._source = OrderSource(file=file, lines=lines)
    return order


def _kind_problem(kind: Any, schemas: Mapping[str, type[BaseModel]], lines: dict[Key, int], file: str) -> list[Problem]:
    if kind is None:
        return []  # said already, as a missing key
    near = difflib.get_close_matches(str(kind), schemas, n=1)
    hint = f' (did you mean "{near[0]}"?)' if near else ""
    return [
        Problem(file=file, line=nearest_line(lines, ("kind",)), key=("kind",), what=f"{kind!r} is no kind{hint}", allowed=", ".join(schemas))
    ]  # fmt: skip


def _validated(
    model: type[BaseModel], data: Any, base: Key, context: dict[str, Any], lines: dict[Key, int], file: str,
    problems: list[Problem],
) -> Any:  # fmt: skip
    try:
        return model.model_validate(data, context=context)
    except ValidationError as error:
        for one in error.errors(include_url=False):
            key = base + _key_of(one["loc"])
            what, allowed = _words(one, model, key[len(base) :])
            problems.append(Problem(file=file, line=nearest_line(lines, key), key=key, what=what, allowed=allowed))
        return None


def _key_of(loc: tuple[int | str, ...]) -> Key:
    """The file's key path of an error; the checker's own branch names are left out."""
    noise = re.compile(r"^(function-|literal\[|lax-or-strict|float$|str$|\[key\]$)")
    return tuple(part for part in loc if isinstance(part, int) or not noise.match(part))


def _words(error: Any, model: type[BaseModel], key: Key) -> tuple[str, str]:
    """What was wrong and what is allowed, in our words."""
    kind, context = error["type"], error.get("ctx", {})
    given = repr(error.get("input"))
    given = given if len(given) <= 60 else given[:57] + "..."
    if kind == "extra_forbidden":
        known = _known_keys(model, key[:-1])
        near = difflib.get_close_matches(str(key[-1]), known, n=1)
        hint = f' (did you mean "{near[0]}"?)' if near else ""
        return f"unknown key{hint}", ", ".join(known)
    if kind == "missing":
        return "is missing", ""
    if kind == "value_error":
        return str(context.get("error", error["msg"])), ""
    if kind == "literal_error":
        options = context.get("expected", "")
        words = [w.strip("' ") for w in re.split(r",| or ", options)]
        near = difflib.get_close_matches(str(error.get("input")), words, n=1)
        hint = f' (did you mean "{near[0]}"?)' if near else ""
        return f"{given} is not one of the words{hint}", ", ".join(w for w in words if w)
    if kind == "string_pattern_mismatch":
        return f"{given} has characters or a length that are not allowed", f"text like {context.get('pattern')}"
    return f"{given}: {error['msg'][0].lower()}{error['msg'][1:]}", _range_words(context)


def _range_words(context: Mapping[str, Any]) -> str:
    words = {"ge": "at least", "gt": "over", "le": "at most", "lt": "under"}
    said = [f"{word} {context[name]}" for name, word in words.items() if name in context]
    for name, word in (("min_length", "at least"), ("max_length", "at most")):
        if name in context:
            said.append(f"{word} {context[name]} items")
    return " and ".join(said)


def _known_keys(model: type[BaseModel], key: Key) -> list[str]:
    """The keys of the table that an unknown key stands in."""
    here: type[BaseModel] = model
    for part in key:
        if isinstance(part, int):
            continue
        field = next((f for n, f in here.model_fields.items() if (f.alias or n) == part), None)
        inner = _model_in(field.annotation) if field else None
        if inner is None:
            return []
        here = inner
    return [f.alias or n for n, f in here.model_fields.items() if n != "asked"]


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        found = _model_in(inner)
        if found is not None:
            return found
    return None
