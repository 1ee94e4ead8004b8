"""`seamwright try` as a process, its worker, and what is left when any of it is ended or killed."""

from __future__ import annotations

import http.client
import json
import multiprocessing
import os
import queue
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from assemblies.kinds import starter
from assemblies.page.answer import Ground, Message
from assemblies.page.disk import Disk
from assemblies.page.worker import Job, Worker


def hears_ctrl_c() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@contextmanager
def trying(folder: Path, *words: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command, and the address that it says."""
    with subprocess.Popen(
        [sys.executable, "-m", "assemblies", "try", "--no-browser", *words], cwd=folder, text=True, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(Path.cwd())}, preexec_fn=hears_ctrl_c,
    ) as run:  # fmt: skip
        assert run.stdout is not None
        try:
            yield run, run.stdout.readline().strip()
        finally:
            run.kill()


def ask(address: str, what: str, body: Any = None) -> bytes:
    """The answer; its first line, where something is sent."""
    host, _, path = address.removeprefix("http://").partition("/")
    connection = http.client.HTTPConnection(host, timeout=30)
    sent = None if body is None else json.dumps(body)
    more = {} if body is None else {"Origin": f"http://{host}", "Content-Type": "application/json"}
    with closing(connection):
        connection.request("GET" if body is None else "POST", f"/{path}{what}", sent, more)
        answer = connection.getresponse()
        with answer:
            return answer.read() if body is None else answer.readline()


def children(pid: int) -> list[int]:
    return [int(one) for one in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def gone(pids: list[int], within_s: float = 5.0) -> bool:
    end = time.monotonic() + within_s
    while time.monotonic() < end:
        if not any(
            Path(f"/proc/{pid}/stat").exists() and Path(f"/proc/{pid}/stat").read_text().split()[2] != "Z"
            for pid in pids
        ):
            return True
        time.sleep(0.05)
    return False


def test_it_says_its_address_answers_there_alone_and_ends_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "order.toml").write_text(starter("panels"))
    with trying(tmp_path, "order.toml") as (run, address):
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/[\w-]{32}/", address)
        assert b"<title>" in ask(address, "")
        port = int(address.split(":")[2].partition("/")[0])
        listening = [
            line.split()[1] for line in Path("/proc/net/tcp").read_text().splitlines()[1:] if line.split()[3] == "0A"
        ]
        assert [at for at in listening if at.endswith(f":{port:04X}")] == [f"0100007F:{port:04X}"]  # 127.0.0.1
        with socket.socket(socket.AF_INET6) as other, pytest.raises(ConnectionRefusedError):
            other.connect(("::1", port))
        text = json.loads(ask(address, "begin"))["order"]["text"]
        answers = ask(address, "answer", {"page": "p", "number": 1, "text": text, "name": "", "edits": []})
        assert json.loads(answers)["stage"] == "sizes"  # the rest is still being worked out
        below = children(run.pid)
        run.send_signal(signal.SIGINT)
        _, said = run.communicate(timeout=20)
    assert (run.returncode, said) == (130, "stopped\n")
    assert below
    assert gone(below)
    assert [path.name for path in tmp_path.iterdir()] == ["order.toml"]


def test_a_server_that_is_killed_leaves_no_worker_behind(tmp_path: Path) -> None:
    with trying(tmp_path) as (run, _):
        below = children(run.pid)
        run.kill()
        run.wait()
        assert below
        assert gone(below)


def test_a_port_that_is_taken_is_said_and_the_usual_one_gives_way(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        with trying(tmp_path, "--port", port) as (run, address):
            _, said = run.communicate(timeout=20)
        assert (run.returncode, address) == (2, "")
        assert said == f"port {port} of this machine cannot be used: Address already in use; choose another --port\n"


@pytest.mark.parametrize(("text", "said"), [(None, "cannot be opened"), ("a = = 1", "order.toml:1")])
def test_an_order_that_cannot_be_read_is_refused_as_by_the_other_commands(
    tmp_path: Path, text: str | None, said: str
) -> None:
    if text is not None:
        (tmp_path / "order.toml").write_text(text)
    with trying(tmp_path, "order.toml") as (run, _):
        _, error = run.communicate(timeout=20)
    assert run.returncode == 2
    assert said in error
    assert len(error.splitlines()) == 1


# the worker


@pytest.fixture(scope="module")
def worker() -> Iterator[Worker]:
    one = Worker()
    yield one
    one.stop()


def take(told: queue.Queue[Message | None], within_s: float = 60.0) -> list[Message]:
    """All that is told until the end."""
    out: list[Message] = []
    while (message := told.get(timeout=within_s)) is not None:
        out.append(message)
    return out


def job(text: str) -> Job:
    return Job(text=text, ground=Ground(file="/nowhere/order.toml"))


def test_a_newer_state_ends_the_older_one_and_is_answered_in_full(worker: Worker) -> None:
    text = starter("panels")
    first, second = queue.Queue[Message | None](), queue.Queue[Message | None]()
    worker.ask("page", job(text), first.put)
    time.sleep(0.02)
    later = text.replace("[240, 200]", "[241, 200]")
    assert later != text
    worker.ask("page", job(later), second.put)
    assert take(first, 5.0) == []
    told = take(second)
    assert [message["stage"] for message in told] == ["held", "whole"]
    foot = next(part for part in told[-1]["report"]["parts"] if part["part"] == "foot")
    assert foot["size"][:2] == [241.0, 200.0]
    assert told[-1]["report"]["checks"] == {
        "fit": "passed",
        "strength": "not-covered",
    }  # as the README has it of panels


def test_what_is_dropped_ends_and_other_pages_go_on(worker: Worker) -> None:
    dropped, kept = queue.Queue[Message | None](), queue.Queue[Message | None]()
    tell = dropped.put
    worker.ask("a", job(starter("enclosure")), tell)  # its strength takes seconds
    worker.ask("b", job("a = 1"), kept.put)
    assert [message["stage"] for message in take(kept)] == ["refused"]
    worker.drop("a", tell)
    with pytest.raises(queue.Empty):
        dropped.get(timeout=0.3)


def test_a_worker_that_dies_is_said() -> None:
    one = Worker()
    try:
        told = queue.Queue[Message | None]()
        one.ask("page", job(starter("enclosure")), told.put)
        os.killpg(one._keeper.pid, signal.SIGKILL)
        (said,) = take(told, 10.0)
        assert said["stage"] == "fault"
        assert "verdict" not in said
    finally:
        one.stop()


@pytest.mark.slow
def test_a_packet_is_made_in_steps_and_one_that_is_dropped_leaves_nothing(worker: Worker, tmp_path: Path) -> None:
    told, dropped = queue.Queue[Message | None](), queue.Queue[Message | None]()
    asked = Job(text=starter("panels"), ground=Ground(file=str(tmp_path / "order.toml")), out=str(tmp_path / "out"))
    tell = dropped.put
    worker.ask("a", replace(asked, out=str(tmp_path / "none")), tell)
    while (step := dropped.get(timeout=60)) is not None and not step.get("say", "").startswith("Writing"):
        pass
    worker.ask("b", asked, told.put)
    worker.drop("a", tell)  # while it is being written
    steps = take(told)
    assert [step["stage"] for step in steps] == ["making", "making", "made"]
    folder = Path(steps[-1]["folder"])
    assert folder == tmp_path / "out" / steps[-1]["name"]
    assert {"packet.html", "packet.pdf", "report.json", "manifest.json"} <= {path.name for path in folder.iterdir()}
    assert steps[-1]["verdict"]["tone"] == json.loads((folder / "report.json").read_text())["verdict"]
    assert [path.name for path in tmp_path.iterdir()] == ["out"]
    before = (folder / "report.json").read_bytes()
    other = re.sub("^title .*", 'title = "Another"', asked.text, flags=re.MULTILINE)
    worker.ask("b", replace(asked, text=other), told.put)
    (step,) = take(told)
    assert step["stage"] == "failed"
    assert step["other"]
    assert "packet of another order" in step["why"]
    assert (folder / "report.json").read_bytes() == before


# the order file


def _save_for_ever(path: Path, texts: tuple[str, str]) -> None:
    disk = Disk(order=path, folder=path.parent)
    digest = disk.opened().digest
    for n in range(10**6):
        digest = disk.save(texts[n % 2], "", digest).digest


def test_killed_at_twenty_moments_the_order_is_whole_and_drafts_go_with_the_next_save(tmp_path: Path) -> None:
    texts = (starter("tank"), starter("tank").replace("300, 200, 150", "310, 200, 150") + "# more\n" * 500)
    path = tmp_path / "order.toml"
    path.write_text(texts[0])
    context = multiprocessing.get_context("fork")
    for n in range(20):
        one = context.Process(target=_save_for_ever, args=(path, texts))
        one.start()
        time.sleep(0.01 + 0.0037 * n)
        with suppress(ProcessLookupError):
            os.kill(one.pid or 0, signal.SIGKILL)
        one.join()
        assert one.exitcode == -signal.SIGKILL
        assert path.read_text() in texts
    disk = Disk(order=path, folder=tmp_path)
    disk.save(texts[0], "", disk.opened().digest)
    assert [p.name for p in tmp_path.iterdir()] == ["order.toml"]
