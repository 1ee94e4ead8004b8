"""Schedules of planned moves: the samples as CSV, and of what is proven the pulses, a C header and one place a picture."""

from __future__ import annotations

import csv
import re
from pathlib import Path

from assemblies.motion.schedule import NOT_PROVEN, Schedule, c_header, frames, pulses, slugs
from assemblies.packet.ink.readback import expect, write_checked
from assemblies.report.tables import csv_text

__all__ = ["write_schedules"]

_PULSES = ("time_s", "pulses", "missed")


def write_schedules(found: tuple[Schedule, ...], folder: Path) -> None:
    """Every schedule into `folder`, which is made; each file is read back.

    Raises:
        WrongFile: a file did not read back as the schedule.
    """
    if not found:
        return
    folder.mkdir()
    names = slugs([one.case for one in found])
    for one in found:
        name = names[one.case]
        _write(folder / f"{name}.csv", csv_text(one.header, list(one.table())), one)
        if one.proven:
            whole, missed = pulses(one)
            unit = one.header[1].rpartition("_")[2]
            rows = [
                (f"{t:.9g}", str(n), f"{m + 0.0:.3g}") for t, n, m in zip(one.rows[:, 0], whole, missed, strict=True)
            ]
            _text(folder / f"{name}-pulses.csv", csv_text((*_PULSES[:2], f"missed_{unit}"), rows))
            pictures = list(frames(one))
            _text(folder / f"{name}-frames.csv", csv_text(("picture", "time_s", one.header[1]), pictures))
            _header(folder / f"{name}.h", c_header(one, name), [int(n) for n in whole])


def _write(path: Path, text: str, one: Schedule) -> None:
    def check(written: Path) -> None:
        with written.open(encoding="utf-8", newline="") as file:
            header, *rows = csv.reader(file)
        expect(written, tuple(header) == one.header, "its columns are others")
        expect(written, len(rows) == max(len(one.rows), 1), "samples are missing")
        expect(
            written, all((row[-1] == NOT_PROVEN) != one.proven for row in rows), "it does not say whether it is proven"
        )
        if len(one.rows):
            last = one.rows[-1, 1]
            expect(
                written, abs(float(rows[-1][1]) - last) < 1e-8 * max(abs(last), 1.0), "it does not end at its target"
            )

    write_checked(path, text.encode("utf-8"), check)


def _header(path: Path, text: str, whole: list[int]) -> None:
    def check(written: Path) -> None:
        inside = re.search(r"\{([^}]*)\}", written.read_text(encoding="utf-8"))
        numbers = [int(n) for n in re.findall(r"-?\d+", inside[1])] if inside else []
        expect(written, numbers == whole, "its pulses are others")

    write_checked(path, text.encode("utf-8"), check)


def _text(path: Path, text: str) -> None:
    write_checked(
        path, text.encode("utf-8"), lambda written: expect(written, written.stat().st_size > 0, "it is empty")
    )
