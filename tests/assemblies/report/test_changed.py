"""What `make` says of the packet that stood there before."""

from __future__ import annotations

from pathlib import Path

import pytest
from asked import ask
from starters import bare

from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.packet.folder import new_packet, old_report
from assemblies.report.base import Report
from assemblies.report.changed import changed_text, changes

START = bare("tank")


def report(*edits: tuple[str, str]) -> Report:
    text = START
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    return ask(read_order_text(text, schemas()), "fit").report


def test_the_same_order_has_changed_nothing() -> None:
    assert changed_text(report(), report(), "mm") == ""
    assert changed_text(None, report(), "mm") == ""


def test_sizes_pieces_holes_and_verdict_are_listed() -> None:
    port = '\n[[port]]\nkind = "drain"\non = "bottom"\nat = [0, 10]\ndiameter = 8\n'
    longer = ("[300, 200, 150]", "[310, 200, 150]")
    before, now = report(), report(longer, ("[support]", port + "[support]"), ('lid       = "none"', 'lid = "loose"'))
    said = list(changes({**before, "verdict": "go"}, {**now, "verdict": "stop"}, "mm"))
    assert said[0] == "verdict: go before, stop now"
    assert "bottom: 311.64 mm x 200 mm x 5.82 mm before, 321.64 mm x 200 mm x 5.82 mm now" in said
    assert any(line.startswith("lid: new, 1 of ") for line in said)
    assert [line for line in said if line.startswith("bottom: new hole of 8 mm at 160.82 mm, ")], said
    back = list(changes(now, before, "mm"))
    assert "lid: no longer made" in back
    assert any(line.startswith("bottom: no longer hole of 8 mm at 160.82 mm, ") for line in back)
    assert "of revision A that stood there:" in changed_text(before, now, "mm")


@pytest.mark.parametrize("spoil", ["changed", "gone", "pipe"])
def test_an_old_report_that_is_not_as_it_was_written_is_not_read(tmp_path: Path, spoil: str) -> None:
    import os

    target = tmp_path / "job"
    with new_packet(target) as draft:
        (draft / "report.json").write_text('{"version": 1}')
    assert old_report(target) == {"version": 1}
    path = target / "report.json"
    path.unlink()
    if spoil == "changed":
        path.write_text('{"version": 1, "revision": 7}')
    elif spoil == "pipe":
        os.mkfifo(path)
    assert old_report(target) is None
