"""What is read at the bench and written into the order: judged, shown beside what was asked, never silently passed.

Sizes and seams are those of the order on two plates: 300 x 200 x 150 inside, sheet of 5.82 mm, seams S1 to S10; limits are
the shop's rules (0.10 mm goes, over 0.25 mm stops) and the saw's tolerance of 0.25 mm.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest
from asked import ask, printed
from starters import two_plates

from assemblies.examine import Examined
from assemblies.kinds import schemas, starter
from assemblies.order import OrderError, read_order_text
from assemblies.packet.bench.check_in_file import check_in_text
from assemblies.report.blocks import Form


def read(more: str, question: Any = "fit", text: str = "") -> Examined:
    return ask(read_order_text((text or two_plates()) + "\n" + more, schemas(), "order.toml"), question)


def said(found: Examined) -> list[tuple[str, str, str]]:
    return [(f["level"], f["where"], f["why"]) for f in found.report["findings"] if f["check"] == "record"]


def proof(*results: tuple[int, str]) -> str:
    return "\n".join(f'[[record.proof]]\nstep = {step}\nresult = "{result}"' for step, result in results)


ALL_PASSED = proof(*((step, "passed") for step in range(1, 6)))


def test_what_was_not_read_has_no_value_and_no_finding() -> None:
    found = read("")
    rows = found.report["check_in"]
    assert [g["read"] for g in rows["gaps"]] == [None] * 10
    assert {s["name"]: s["read"] for s in rows["sizes"]} == dict.fromkeys(
        ("left", "right", "front", "back", "bottom", "plate-1", "plate-2")
    )
    assert [p["result"] for p in rows["proof"]] == [None] * 5
    assert said(found) == []
    assert "record" not in found.report["checks"]


@pytest.mark.parametrize(
    ("mm", "level"),
    [("0", ""), ("0.10", ""), ("0.11", "care"), ("0.25", "care"), ("0.26", "stop"), ('"0.011 in"', "stop")],
)
def test_a_gap_too_wide_is_said_and_over_what_solvent_bridges_stops(mm: str, level: str) -> None:
    found = read(f"[record.gaps]\nS3 = {mm}")
    assert [row[:2] for row in said(found)] == ([(level, "S3: left and bottom")] if level else [])
    assert found.report["checks"]["record"] == ("failed" if level == "stop" else "passed")
    assert (found.report["verdict"] == "stop") == (level == "stop")


@pytest.mark.parametrize("question", ["fit", "hold", "cut"])
def test_a_failed_proof_test_stops_whatever_is_asked(question: Any) -> None:
    """Where `make` asks all, the verdict is the same: the check has no other answer."""
    found = read(proof((1, "passed"), (2, "failed")) + '\nremarks = "S3 weeps"', question)
    stops = [row for row in said(found) if row[0] == "stop"]
    assert stops == [("stop", "proof test, step 2 (run the trough)", "this step failed: S3 weeps")]
    assert found.report["verdict"] == "stop"
    assert found.report["checks"]["record"] == "failed"


def test_the_terminal_says_it_too() -> None:
    text = " ".join(printed(read(proof((1, "failed")), "hold").report, "hold").split())
    assert "STOP: This step failed. At proof test, step 1 (brim full)" in text


def test_a_proof_test_is_done_in_order_and_to_its_end() -> None:
    assert said(read(ALL_PASSED)) == []
    assert said(read(proof((1, "passed"), (2, "passed")))) == [
        ("care", "proof test", "not finished: step 3 has no result yet")
    ]
    assert said(read(proof((1, "passed"), (3, "passed")))) == [
        ("care", "proof test", "step 3 is passed, step 2 before it is not")
    ]


def test_a_test_of_another_revision_does_not_speak_for_this_one() -> None:
    later = two_plates().replace('revision = "A"', 'revision = "B"')
    assert 'revision = "B"' in later
    found = read('[record]\nrevision = "A"\n' + ALL_PASSED, text=later)
    assert said(found) == [("care", "proof test", "it was done with revision A; this is revision B")]


def test_cut_sizes_are_held_to_what_was_asked_and_those_as_cut_are_followed() -> None:
    """Front asked 311.64 x 155.82: 0.40 mm more is 0.15 mm too much; a plate 0.25 mm too small is within tolerance."""
    more = "[as-cut]\nfront = [312.04, 155.82]\n[record.sizes]\nplate-1 = [49.75, 50]\nplate-2 = [49.7, 50]"
    found = read(more)
    rows = {s["name"]: s for s in found.report["check_in"]["sizes"]}
    assert rows["front"]["asked"] == [311.64, 155.82]
    assert rows["front"]["read"] == [312.04, 155.82]
    assert rows["front"]["over"] == pytest.approx([0.15, 0.0])
    assert [row[1] for row in said(found)] == ["front", "plate-2"]
    why = said(found)[0][2]
    assert why == "out of tolerance: width 312.04 mm read, 311.64 ± 0.25 asked: 0.15 mm too large"
    does = {f["where"]: f["do"] for f in found.report["findings"] if f["check"] == "record"}
    assert "goes by the size that was read" in does["front"]
    assert "still goes by the size asked" in does["plate-2"]


def test_readings_of_a_sheet_outside_its_standard_are_marked() -> None:
    """Cast sheet of 15 mm may have 13.1 to 16.9 mm: ISO 7823-1, 0.4 mm + 0.1 t."""
    found = read("", text=two_plates().replace("[5.82, 5.80, 5.84]", "[5.82, 7.2, 5.84]"))
    (six,) = [s for s in found.report["check_in"]["sheets"] if s["nominal"] == 6]
    assert (six["least"], six["greatest"], six["outside"]) == (5.0, 7.0, True)
    forms = {b.title: b for s in found.sections if s.id == "check-in" for b in s.blocks if isinstance(b, Form)}
    assert forms["Sheets, masking film off, mm"].rows[0][2:] == ("5.82", "7.2", "5.84 OUT OF TOLERANCE")


@pytest.mark.parametrize(
    ("more", "key", "says"),
    [
        ("[record.gaps]\nS99 = 0.1", "record.gaps.S99", "is not a seam to be bonded"),
        ("[record.gaps]\nS1 = -0.1", "record.gaps.S1", "is negative"),
        ("[record.gaps]\nS1 = [0.1]", "record.gaps.S1", "is not a length"),
        ("[record.sizes]\nplaet-1 = [50, 50]", "record.sizes.plaet-1", 'did you mean "plate-1"'),
        ("[record.sizes]\nplate-1 = 50", "record.sizes.plate-1", "is not a list"),
        ("[as-cut]\nfront = [312, 156]\n[record.sizes]\nfront = [312, 156]", "record.sizes.front", "stands in [as-cut] too"),
        (proof((6, "passed")), "record.proof[1].step", "there is no step 6"),
        (proof((1, "ok")), "record.proof[1].result", "allowed: passed, failed"),
        (proof((1, "passed"), (1, "failed")), "record.proof[2].step", "step 1 has two results"),
        ("[[record.proof]]\nresult = \"passed\"", "record.proof[1].step", "is missing"),
        ("[record]\ndate = 12", "record.date", "is not a date"),
        ("[record]\nby = \"\"", "record.by", "is not valid"),
        ("[record]\ngap = 1", "record.gap", 'did you mean "gaps"'),
    ],
)  # fmt: skip
def test_a_wrong_record_is_refused_at_its_line_and_key(more: str, key: str, says: str) -> None:
    with pytest.raises(OrderError) as caught:
        read(more)
    (problem,) = caught.value.problems
    assert key in str(problem)
    assert says in str(problem)
    assert (problem.line or 0) > two_plates().count("\n")


def test_a_date_is_one_of_toml_or_the_shop_s_own_words() -> None:
    assert read("[record]\ndate = 2026-11-30").report["check_in"]["date"] == "2026-11-30"
    assert read('[record]\ndate = "30 Nov"').report["check_in"]["date"] == "30 Nov"


def test_a_test_that_nothing_has_takes_no_result() -> None:
    with pytest.raises(OrderError, match="there is no step 1"):
        read(proof((1, "passed")), text=starter("gearbox"))


# ---- the file ----


def stub(found: Examined) -> str:
    return check_in_text(found.report, found.order.units, as_cut=True)


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_file_says_nothing_until_it_is_filled_in(unit: Any) -> None:
    text = check_in_text(read("").report, unit, as_cut=True)
    assert len(text.splitlines()) > 40
    assert all(line == "" or line.startswith("#") for line in text.splitlines())
    assert tomllib.loads(text) == {}


def uncomment(text: str, line: str, becomes: str = "") -> str:
    """Take the `#` off a line, with a figure put in."""
    assert text.count(line) == 1, line
    return text.replace(line, becomes or line.removeprefix("# "))


def test_filled_in_and_copied_into_the_order_it_comes_back_and_is_shown() -> None:
    first = read("")
    text, day = stub(first), "# date =  # such as 2026-11-30"
    for line, becomes in (
        ("# [as-cut]", ""), ("# front = [ , ]", "front = [311.7, 155.8]"), ("# [record]", ""), ('# revision = "A"', ""),
        ("# by =  # who read it", 'by = "night crew"'), (f"{day}\n\n# [record.s", "date = 2026-11-30\n\n# [record.s"),
        ("# [record.sizes]", ""), ("# plate-1 = [ , ]", "plate-1 = [50.1, 49.9]"), ("# [record.gaps]", ""),
        ("# S1 =", "S1 = 0"), ("# S2 =", "S2 = 0.15"), ("# [[record.proof]]  # brim full", ""), ("# step = 1", ""),
    ):  # fmt: skip
        text = uncomment(text, line, becomes)
    text = text.replace("# result = ", 'result = "passed"', 1).replace("# remarks = ", 'remarks = "paper dry"', 1)
    second = read(text)
    rows = second.report["check_in"]
    assert (rows["by"], rows["date"], rows["of_revision"]) == ("night crew", "2026-11-30", "A")
    assert {s["name"]: s["read"] for s in rows["sizes"] if s["read"]} == {
        "front": [311.7, 155.8],
        "plate-1": [50.1, 49.9],
    }
    assert {g["seam"]: g["read"] for g in rows["gaps"] if g["read"] is not None} == {"S1": 0.0, "S2": 0.15}
    assert rows["proof"][0] == {
        "step": 1, "case": "brim full", "speed_percent": None, "result": "passed", "by": None, "date": None,
        "remarks": "paper dry",
    }  # fmt: skip
    assert [row[:2] for row in said(second)] == [("care", "S2: left and back"), ("care", "proof test")]
    cells = [
        c
        for s in second.sections
        if s.id == "check-in"
        for b in s.blocks
        if isinstance(b, Form)
        for r in b.rows
        for c in r
    ]
    assert {
        "night crew",
        "2026-11-30",
        "311.7",
        "155.8",
        "50.1",
        "49.9",
        "0.00 mm",
        "0.15 mm: too wide",
        "yes",
        "paper dry",
    } <= set(cells)
    again = stub(second)  # what was read stands there as it was, to take the place of the order's tables
    assert read(again).report["check_in"] | {"sheets": []} == read(text).report["check_in"] | {"sheets": []}
    assert re.search(r"^S2 = 0\.15  #", again, re.M)


def test_a_line_left_half_filled_in_is_refused() -> None:
    for line in ("# [as-cut]", "# S1 ="):
        text = uncomment(stub(read("")), line)
    with pytest.raises(OrderError):
        read(text)
