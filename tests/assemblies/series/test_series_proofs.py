"""Forty members against single runs of `hold`, and a scheduler that is reached by TLS with certificates of its own."""

from __future__ import annotations

import contextlib
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from assemblies import cli
from assemblies.kinds import starter
from assemblies.series.rank import ranked, trade_offs
from assemblies.series.rows import row_of
from assemblies.series.run import by_scheduler
from assemblies.series.spec import Asked, read_series
from parts.findings import SeamwrightError

MODULES, SPEEDS, TORQUES = (1.5, 2, 2.5, 3), (10, 30, 60, 120, 240), (0.05, 0.3)
SERIES = f"""name = "trains"
title = "Which module"
order = "train.toml"
least = ["use", "mass"]
[[vary]]
key = "gearbox.module"
values = {list(MODULES)}
[[vary]]
key = "gearbox.speed"
values = {list(SPEEDS)}
[[vary]]
key = "gearbox.torque"
values = {list(TORQUES)}
"""
OWN = ("module = 2  ", "speed  = 30  ", "torque = 0.08  ")


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    folder = tmp_path_factory.mktemp("trains")
    (folder / "train.toml").write_text(starter("gearbox"))
    (folder / "series.toml").write_text(SERIES)
    return read_series(folder / "series.toml")


def held(text: str, path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[object, dict[str, object]]:
    """Exit code and report of `hold --json` of one order file."""
    path.write_text(text)
    monkeypatch.setattr(sys, "argv", ["seamwright", "hold", str(path), "--json"])
    out = io.StringIO()
    with pytest.raises(SystemExit) as end, contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        cli.main()
    return end.value.code, json.loads(out.getvalue())


def test_forty_members_are_what_forty_files_held_one_by_one_come_to(
    asked: Asked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    every = [(m, s, t) for m in MODULES for s in SPEEDS for t in TORQUES]
    assert [asked.values(k) for k in range(asked.count)] == every
    assert asked.count == 40
    rows, singles = [row_of(asked, k) for k in range(40)], []
    for row, values in zip(rows, every, strict=True):
        text = starter("gearbox")
        for old, value in zip(OWN, values, strict=True):
            assert text.count(old) == 1
            text = text.replace(old, f"{old.partition('=')[0]}= {value}  ")
        code, report = held(text, tmp_path / "one.toml", monkeypatch)
        assert row.state == ("passed" if code == 0 else "stop" if report["verdict"] == "stop" else "not-proven")
        gears = report["gears"]["gears"]  # type: ignore[index,call-overload]
        use = max(gear["stress"] for gear in gears) / report["gears"]["allowed"]  # type: ignore[index,call-overload]
        mass = sum(part["mass"] * part["count"] for part in report["parts"])  # type: ignore[index,attr-defined]
        assert row.figures["use"] == pytest.approx(use, rel=3e-6)
        assert row.figures["mass"] == pytest.approx(mass, abs=1e-9)
        if code == 0:
            singles.append((row.figures["use"], row.figures["mass"], row.member))
    assert 5 < len(singles) < 40  # some pass and some do not
    assert [row.member for row in ranked(asked, rows)] == [member for *_, member in sorted(singles)]
    best = [a for a in singles if not any(b[0] <= a[0] and b[1] <= a[1] and b[:2] != a[:2] for b in singles)]
    assert [row.member for row in trade_offs(asked, rows)] == [member for *_, member in sorted(best)]


def certificates(folder: Path, name: str) -> tuple[Path, Path, Path]:
    """An authority, and a certificate of it for this machine with its key."""
    ca, ca_key, cert, key = (folder / f"{name}-{part}.pem" for part in ("ca", "ca-key", "cert", "key"))
    asks = folder / f"{name}.csr"
    new = ["openssl", "req", "-newkey", "rsa:2048", "-nodes", "-subj"]
    for line in (
        [*new, f"/CN={name} authority", "-x509", "-days", "2", "-keyout", ca_key, "-out", ca],
        [*new, "/CN=localhost", "-keyout", key, "-out", asks],
        [
            "openssl",
            "x509",
            "-req",
            "-days",
            "2",
            "-in",
            asks,
            "-CA",
            ca,
            "-CAkey",
            ca_key,
            "-CAcreateserial",
            "-out",
            cert,
        ],
    ):
        subprocess.run(list(map(str, line)), check=True, capture_output=True, timeout=60)
    return ca, cert, key


def test_a_scheduler_is_reached_by_tls_and_by_no_other_authority(asked: Asked, tmp_path: Path) -> None:
    from distributed import LocalCluster, Security

    ours, others = certificates(tmp_path, "ours"), certificates(tmp_path, "others")
    ca, cert, key = map(str, ours)
    secure = Security(
        tls_ca_file=ca, require_encryption=True, tls_client_cert=cert, tls_client_key=key, tls_scheduler_cert=cert,
        tls_scheduler_key=key, tls_worker_cert=cert, tls_worker_key=key,
    )  # fmt: skip
    with LocalCluster(
        n_workers=1,
        threads_per_worker=1,
        processes=False,
        dashboard_address=None,
        host="tls://127.0.0.1",
        security=secure,
    ) as cluster:
        address = cluster.scheduler_address
        assert address.startswith("tls://127.0.0.1:")
        rows = sorted(by_scheduler(asked, range(3), address, ours), key=lambda row: row.member)
        assert rows == [row_of(asked, k) for k in range(3)]
        for tls, why in (
            (others, f"--scheduler {address}: nobody answers"),
            (None, f"--scheduler {address}: tls:// needs --tls"),
            ((ours[0], others[1], ours[2]), "cannot be used: .*key values mismatch"),
            ((tmp_path / "gone.pem", *ours[1:]), "cannot be used: No such file"),
        ):
            with pytest.raises(SeamwrightError, match=why):
                next(by_scheduler(asked, [0], address, tls))
