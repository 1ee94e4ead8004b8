"""The report: plain, closed by one rule, the same each time."""

import json

import pytest
from asked import ask, printed

from assemblies.kinds import schemas, starter
from assemblies.order import Order, read_order_text
from assemblies.report.base import base_report, close_report
from parts.findings import Finding

REQUIRED = ("fit", "strength", "liquid")


def order(text: str | None = None) -> Order:
    return read_order_text(text or starter("tank"), schemas())


def closed(checks: dict[str, str], level: str | None = None) -> str:
    said = [Finding(level=level, check="fit", where="x", why="y")] if level else []  # type: ignore[arg-type]
    return str(close_report({}, checks, REQUIRED, said)["verdict"])


@pytest.mark.parametrize(
    ("states", "level", "verdict"),
    [
        (("passed", "passed", "passed"), None, "go"),
        (("passed", "passed", "passed"), "care", "go"),
        (("passed", "passed", "passed"), "stop", "stop"),
        (("passed", "not-run", "passed"), None, "not-proven"),
        (("passed", "not-covered", "passed"), "care", "not-proven"),
        (("failed", "not-run", "not-run"), None, "stop"),
    ],
)
def test_go_needs_every_required_check_and_no_stop(states: tuple[str, ...], level: str | None, verdict: str) -> None:
    assert closed(dict(zip(REQUIRED, states, strict=True)), level) == verdict


def test_findings_come_gravest_first_and_each_once() -> None:
    said = [
        Finding(level=lv, check="c", where=str(i), why="w") for i, lv in enumerate(("note", "care", "stop", "care"))
    ]  # type: ignore[arg-type]
    report = close_report({}, {}, (), [*said, said[1]])
    assert [f["level"] for f in report["findings"]] == ["stop", "care", "care", "note"]


def test_parts_count_their_instances_and_carry_their_holes() -> None:
    report = base_report(ask(order(), "fit").design)
    rows = {p["part"]: p for p in report["parts"]}
    assert {name: row["count"] for name, row in rows.items()} == {"end": 2, "front-back": 2, "bottom": 1, "plate": 2}
    hole = rows["plate"]["holes"][0]
    assert hole["at"] == [12.5, 12.5]
    assert (hole["kind"], hole["thread"], hole["diameter"], hole["depth"]) == ("tapped", "M6", 6.0, None)
    assert hole["drill"] == pytest.approx(5.2, abs=0.11)
    assert sum(p["mass"] * p["count"] for p in report["parts"]) == pytest.approx(1.58882, abs=1e-4)


def test_the_same_order_gives_the_same_report_and_it_is_plain_data() -> None:
    one, two = (json.dumps(ask(order()).report) for _ in range(2))
    assert one == two
    assert "NaN" not in one
    assert "Infinity" not in one


def test_what_was_not_run_is_absent_and_says_so() -> None:
    report = ask(order(), "fit").report
    assert report["checks"] == {"fit": "not-run", "strength": "not-run", "liquid": "not-run"}
    assert report["verdict"] == "not-proven"
    assert "strength" not in report
    assert "interferences" not in report["fit"]


def test_already_cut_pieces_tell_what_is_left_and_which_is_last() -> None:
    text = starter("tank") + "\n[as-cut]\nfront = [311.8, 155.9]\nleft = [199.9, 150.0]\nright = [199.8, 150.1]\n"
    report = ask(order(text), "fit").report
    left = [f for f in report["findings"] if "still to be cut" in f["why"]]
    assert [f["where"] for f in left] == ["back", "bottom"]
    assert "last: 311.80 x 199.80 mm" in left[1]["why"]


def test_text_for_people_fits_eighty_columns() -> None:
    report = ask(order()).report
    for text in (printed(report, "fit"), printed(report, "hold")):
        assert max(len(line) for line in text.splitlines()) <= 80
