"""The three answers to an order's text against what the commands say of the same file; a stale verdict is never go."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from starters import bare
from test_edited_orders import EVERY, KINDS, at, other

from assemblies.examine import examine
from assemblies.kinds import kind, schemas, starter
from assemblies.order import OrderError, read_order
from assemblies.page.answer import TO_COME, Ground, quick, refused, shown_verdict, solved
from assemblies.page.edit import edited
from assemblies.page.form import edits_of
from parts.findings import Finding

STATES = ("passed", "failed", "not-proven", "not-run", "not-covered")


def ground(folder: Path) -> Ground:
    return Ground(file=str(folder / "order.toml"))


def change(text: str, *key: Any, typed: str) -> str:
    return edited(text, edits_of([{"do": "set", "key": list(key), "typed": typed}]))


def commands_quick(path: Path) -> dict[str, Any]:
    """What `fit --sizes-only` says of a file: its report, or what is wrong."""
    try:
        order = read_order(path, schemas())
        found = examine(order, kind(order.kind).asked("fit", solids=False))
    except OrderError as error:
        return {"problems": refused(error, str(path))["problems"]}
    return {"report": found.report}


@pytest.mark.parametrize("stage", [stage for stage in TO_COME if TO_COME[stage]])
@pytest.mark.parametrize("verdict", ["go", "stop", "not-proven"])
@pytest.mark.parametrize("state", STATES)
def test_a_verdict_is_never_go_while_anything_is_to_come(stage: str, verdict: str, state: str) -> None:
    shown = shown_verdict({"verdict": verdict, "checks": {"fit": "passed", "strength": state}}, TO_COME[stage])
    assert shown["tone"] == ("stop" if verdict == "stop" else "working")
    assert "go" not in shown["word"].lower().split()
    assert shown["text"].startswith("Still to come: ")


@pytest.mark.parametrize(("state", "tone"), [("passed", "go"), ("not-run", "not-proven")])
def test_a_verdict_is_never_go_where_a_check_was_not_run(state: str, tone: str) -> None:
    assert shown_verdict({"verdict": "go", "checks": {"fit": state}}, [])["tone"] == tone


def same_problem(told: dict[str, Any], said: dict[str, Any]) -> bool:
    return [(p["key"], p["what"], p["allowed"]) for p in told["problems"]] == [
        (p["key"], p["what"], p["allowed"]) for p in said["problems"]
    ]


def compared(text: str, folder: Path) -> str:
    """The first answer against the command's report of the same text; its stage."""
    path = folder / "order.toml"
    path.write_text(text, encoding="utf-8")
    told, said = quick(text, ground(folder)), commands_quick(path)
    assert told["data"] == json.loads(json.dumps(tomllib.loads(text), default=str))
    if told["stage"] == "refused":
        assert "problems" not in said or same_problem(told, said)
        assert "problems" in said or told["problems"][0]["key"][0] == "liquid"  # a fill that `hold` refuses
        return "refused"
    report = said["report"]
    units = tomllib.loads(text).get("units", "mm")
    rows = {row["id"]: row["value"] for row in told["rows"]}
    assert [row for row in rows if row.startswith("part ")] == [f"part {part['part']}" for part in report["parts"]]
    mass = sum(part["mass"] * part["count"] for part in report["parts"])
    assert float(rows["mass"].split()[0]) == pytest.approx(mass, abs=6e-4)
    assert told["verdict"]["tone"] == ("stop" if report["verdict"] == "stop" else "working")
    stops = {f["why"] for f in report["findings"] if f["level"] == "stop" and f["check"] in ("fit", "holes", "sheet")}
    if units == "mm":
        assert stops <= {f["why"] for f in told["findings"] if f["level"] == "stop"}
    assert sorted(p["name"] for p in told["view"]["pieces"]) == sorted(p["name"] for p in report["placed"])
    return "sizes"


@pytest.mark.parametrize(
    "name", [name for name in KINDS if name != "gearbox"]
)  # its seams are asked in `kinds/gearbox`
def test_the_first_answer_to_a_starter_is_what_fit_says(name: str, tmp_path: Path) -> None:
    assert compared(starter(name), tmp_path) == "sizes"


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in KINDS if name != "gearbox"])  # the seams of gears take 0.6 s a state
def test_every_field_changed_once_is_answered_as_the_command_answers(name: str, tmp_path: Path) -> None:
    text = starter(name)
    data = tomllib.loads(text)
    paths = [path for whose, path in EVERY if whose == name and path[0] not in ("kind", "units")]
    some = paths[
        :: {"enclosure": 15, "panels": 5, "round-tank": 3, "prop-mount": 3, "deflector": 3}.get(name, 1)
    ]  # all of these were tried on 2026-11-28: 30 s
    stages = [compared(change(text, *path, typed=other(at(data, path))), tmp_path) for path in some]
    assert "sizes" in stages


def test_every_fault_is_told_at_its_key(tmp_path: Path) -> None:
    text = change(change(starter("tank"), "tank", "size", 0, typed="-3"), "liquid", "name", typed="soup")
    told = quick(text, ground(tmp_path))
    assert told["stage"] == "refused"
    assert told["verdict"]["tone"] == "refused"
    assert [(p["key"], p["line"]) for p in told["problems"]] == [
        (
            ["tank", "size", 0],
            1 + text.splitlines().index(next(line for line in text.splitlines() if line.startswith("size      = [-3"))),
        ),
        (["liquid", "name"], 1 + text.splitlines().index('name = "soup"')),
    ]


def test_a_fault_of_the_shop_file_is_told_by_its_name(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text("[shop]\nthroat = -1\n")
    told = quick(starter("tank"), ground(tmp_path))
    assert told["stage"] == "refused"
    assert told["problems"][0]["what"].startswith(f"{tmp_path / 'shop.toml'}: ")


def test_a_thickness_that_is_chosen_waits_for_its_proofs(tmp_path: Path) -> None:
    text = change(bare("tank").replace("measured  = [5.82, 5.80, 5.84]", ""), "sheet", "thickness", typed="choose")
    told = quick(text, ground(tmp_path))
    assert (told["stage"], told["verdict"]["tone"]) == ("chosen", "working")
    assert "rows" not in told


def test_a_file_that_a_page_names_is_not_opened(tmp_path: Path) -> None:
    text = change(starter("tank"), "rig", "file", typed="/etc/passwd")
    told = quick(text, ground(tmp_path))
    assert [p["key"] for p in told["problems"]] == [["rig", "file"]]
    assert "is not opened from this page" in told["problems"][0]["what"]
    named = Ground(file=str(tmp_path / "order.toml"), rig_file="/etc/passwd")
    assert quick(text, named)["stage"] == "sizes"  # the order named it itself: it is read where the solids are


@pytest.fixture(scope="module")
def tank(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """The answers of the worker to the tank, 10 mm longer, and the report of `make` of the same file."""
    folder = tmp_path_factory.mktemp("tank")
    text = change(bare("tank"), "tank", "size", 0, typed="310")
    (folder / "order.toml").write_text(text, encoding="utf-8")
    return list(solved(text, ground(folder))), examine(read_order(folder / "order.toml", schemas())).report


def test_the_last_answer_is_what_make_says(tank: tuple[list[dict[str, Any]], dict[str, Any]]) -> None:
    told, report = tank
    assert [message["stage"] for message in told] == ["held", "whole"]
    assert told[-1]["report"] == report
    assert told[-1]["verdict"]["tone"] == report["verdict"]
    rows = {row["id"]: row["value"] for row in told[-1]["rows"]}
    assert rows["price"] == f"{report['cost']['currency']} {report['cost']['each']:.2f}"
    assert int(rows["fence"].partition(":")[0]) == report["cutting"]["settings"]
    used = max(one["use"] for key in ("cases", "seams") for one in report["strength"][key])
    assert f"{round(100 * used)} % of its limit" in rows["use"]


def test_what_holds_is_told_before_the_rest_and_says_what_is_to_come(
    tank: tuple[list[dict[str, Any]], dict[str, Any]],
) -> None:
    held = tank[0][0]
    assert held["checks"] == {**tank[1]["checks"], "fit": "not-run"}
    assert held["checks"]["strength"] == "passed"
    assert held["verdict"] == {"tone": "working", "word": "Working", "text": "Still to come: solids, cutting plan."}


def test_nothing_is_asked_twice(tank: tuple[list[dict[str, Any]], dict[str, Any]], tmp_path: Path) -> None:
    """What reads the fit (the card, the price) is asked again when there is a fit; strength is not."""
    from assemblies.page.answer import _kept

    one = kind("tank")
    names = {check.name for check in one.asked("hold")}
    kept = _kept(one.checks(), dict.fromkeys(names))  # type: ignore[arg-type]
    assert {"strength", "liquid", "loads", "handling"} <= set(kept)
    assert "card" in names - set(kept)


def test_a_finding_is_told_in_the_order_of_its_gravity(tmp_path: Path) -> None:
    text = change(starter("tank"), "cutting", "repeat", typed="0.6")
    told = quick(text, ground(tmp_path))
    levels = [f["level"] for f in told["findings"]]
    assert told["verdict"]["tone"] == "stop"
    assert levels == sorted(levels, key=("stop", "care", "note").index)
    assert set(told["findings"][0]) <= set(Finding.__dataclass_fields__)
    assert {piece["name"] for piece in told["view"]["pieces"] if piece["red"]}
