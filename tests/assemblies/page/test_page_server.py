"""The server of the page, asked by starlette's own client: who may ask, what is answered, what is written where."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from node_tools import node
from starlette.testclient import TestClient

from assemblies.kinds import schemas, starter
from assemblies.order.reader import SHARED
from assemblies.page.answer import Ground, Message, quick
from assemblies.page.app import Trial, application
from assemblies.page.disk import Disk
from assemblies.page.form import form
from assemblies.page.guard import LARGEST
from assemblies.page.worker import Job, Tell

WEB = Path(__file__).parents[3] / "assemblies" / "page" / "web"
HOST, TOKEN = "127.0.0.1:8611", "a-token-that-nobody-guesses"
ORIGIN = {"Origin": f"http://{HOST}"}
WHOLE: Message = {
    "stage": "whole",
    "verdict": {"tone": "go", "word": "Go", "text": ""},
    "to_come": [],
    "report": {"large": 1},
}


@dataclass
class Here:
    """What the worker would say, said by the test: each job waits until it is let go."""

    says: list[Message] = field(default_factory=lambda: [{"stage": "held"}, WHOLE])
    asked: list[tuple[str, Job]] = field(default_factory=list)
    dropped: list[str] = field(default_factory=list)
    slow_s: float = 0.0

    def ask(self, whose: str, job: Job, tell: Tell) -> None:
        self.asked.append((whose, job))

        def run() -> None:
            time.sleep(self.slow_s)
            for message in self.says:
                tell(dict(message))
            tell(None)

        threading.Thread(target=run, daemon=True).start()

    def drop(self, whose: str, tell: Tell) -> None:
        self.dropped.append(whose)


@dataclass
class Asking:
    """A client of a server with its trial."""

    client: TestClient
    trial: Trial
    computing: Here

    def post(self, what: str, body: Any, **more: Any) -> Any:
        headers = {**ORIGIN, "Content-Type": "application/json", **more.pop("headers", {})}
        return self.client.post(f"/{TOKEN}/{what}", content=json.dumps(body), headers=headers, **more)

    def answers(self, **body: Any) -> list[Message]:
        response = self.post("answer", {"page": "p", "number": 1, "edits": [], **body})
        assert response.status_code == 200, response.text
        return [json.loads(line) for line in response.text.splitlines()]


def asking(folder: Path, order: Path | None) -> Iterator[Asking]:
    here = Here()
    trial = Trial(disk=Disk(order=order, folder=folder), out=folder / "out", computing=here)
    trial.begun()
    with TestClient(application(trial, HOST, TOKEN), base_url=f"http://{HOST}") as client:
        yield Asking(client, trial, here)


@pytest.fixture
def named(tmp_path: Path) -> Iterator[Asking]:
    """A server for an order that was named."""
    (tmp_path / "order.toml").write_bytes(b"\xef\xbb\xbf" + starter("tank").replace("\n", "\r\n").encode())
    yield from asking(tmp_path, tmp_path / "order.toml")


@pytest.fixture
def unnamed(tmp_path: Path) -> Iterator[Asking]:
    """One for none."""
    yield from asking(tmp_path, None)


SET = {"do": "set", "key": ["tank", "size", 0], "typed": "310"}


# who may ask


@pytest.mark.parametrize(
    ("path", "headers", "status"),
    [
        (f"/{TOKEN}/", {}, 200), (f"/{TOKEN}/begin", {}, 200), (f"/{TOKEN}/try.js", ORIGIN, 200),
        (f"/{TOKEN}/three.js", {}, 200),
        ("/", {}, 404), ("/try.js", {}, 404), (f"/{TOKEN[:-1]}/", {}, 404), (f"/{TOKEN}x/begin", {}, 404),
        ("/begin", {}, 404), (f"//{TOKEN}/", {}, 404),
        (f"/{TOKEN}/", {"Host": "example.com"}, 421), (f"/{TOKEN}/", {"Host": "localhost:8611"}, 421),
        (f"/{TOKEN}/", {"Host": "127.0.0.1"}, 421),
        (f"/{TOKEN}/", {"Host": "127.0.0.1:8611.example.com"}, 421),
        (f"/{TOKEN}/begin", {"Origin": "http://example.com"}, 403), (f"/{TOKEN}/begin", {"Origin": "null"}, 403),
        (f"/{TOKEN}/begin", {"Origin": "http://localhost:8611"}, 403),
        (f"/{TOKEN}/begin", {"Sec-Fetch-Site": "cross-site"}, 403),
        (f"/{TOKEN}/begin", {"Sec-Fetch-Site": "same-site"}, 403),
        (f"/{TOKEN}/nothing.js", {}, 404), (f"/{TOKEN}/../../../etc/passwd", {}, 404),
        (f"/{TOKEN}/..%2f..%2fapp.py", {}, 404),
        (f"/{TOKEN}/page.py", {}, 404), (f"/{TOKEN}/starter/..%2ftank", {}, 404), (f"/{TOKEN}/starter/round_tank", {}, 404),
    ],
)  # fmt: skip
def test_only_the_page_that_was_handed_out_is_answered(
    named: Asking, path: str, headers: dict[str, str], status: int
) -> None:
    response = named.client.get(path, headers=headers)
    assert response.status_code == status
    for one, said in (
        ("content-security-policy", "default-src 'none'"),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cache-control", "no-store"),
    ):
        assert said in response.headers[one]
    if status != 200:
        assert len(response.text) < 40
        assert TOKEN not in response.text


def test_the_page_may_load_nothing_but_its_own(named: Asking) -> None:
    policy = named.client.get(f"/{TOKEN}/").headers["content-security-policy"]
    assert "script-src 'self';" in policy
    assert "connect-src 'self';" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy
    assert "access-control-allow-origin" not in named.client.get(f"/{TOKEN}/begin", headers=ORIGIN).headers


def test_the_validator_finds_nothing_in_the_page() -> None:
    found = node(
        "html-validate",
        "const v = new lib.HtmlValidate({extends: ['html-validate:recommended']});"
        "const r = v.validateStringSync(require('fs').readFileSync(args[0], 'utf8'));"
        "console.log(JSON.stringify(r.results.flatMap((x) => x.messages.map((m) => `${m.line}: ${m.ruleId}: ${m.message}`))))",
        str(WEB / "try.html"),
    )
    assert found == []


@pytest.mark.parametrize("name", ["tank", "panels", "prop-mount"])
def test_the_fields_of_a_kind_are_the_tables_that_it_reads(name: str) -> None:
    reads = {key for key in schemas()[name] if key in SHARED}
    told = quick(starter(name), Ground(file="/nowhere/order.toml"))
    assert set(told["tables"]) == reads
    some = {table["path"] for table in form() if table["shared"]} | {"as-cut"}
    assert {path.partition(".")[0] for path in some} == set(SHARED)


@pytest.mark.parametrize("what", ["answer", "save", "make"])
@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "http://example.com"}, 403), ({"Content-Type": "text/plain"}, 415),
        ({"Content-Type": "application/x-www-form-urlencoded"}, 415),
        ({"Host": "example.com"}, 421), ({"Content-Length": str(10 * 2**20)}, 413), ({"Content-Length": "-1"}, 413),
        ({"Content-Length": "9" * 30}, 413),
    ],
)  # fmt: skip
def test_what_is_sent_from_elsewhere_changes_nothing(
    named: Asking, what: str, headers: dict[str, str], status: int
) -> None:
    before = sorted(named.trial.disk.folder.rglob("*"))
    body = {"text": starter("tank"), "name": "", "digest": named.trial.disk.opened().digest}
    assert named.post(what, body, headers=headers).status_code == status
    assert named.computing.asked == []
    assert sorted(named.trial.disk.folder.rglob("*")) == before


def test_a_post_without_an_origin_is_refused(named: Asking) -> None:
    response = named.client.post(f"/{TOKEN}/save", content="{}", headers={"Content-Type": "application/json"})
    assert response.status_code == 403


@pytest.mark.parametrize("said", [True, False])
def test_ten_megabytes_are_refused_whatever_length_is_said(named: Asking, said: bool) -> None:
    body = json.dumps({"text": "x" * 10 * 2**20}).encode()
    parts: Any = body if said else (body[k : k + 2**16] for k in range(0, len(body), 2**16))
    response = named.client.post(
        f"/{TOKEN}/answer", content=parts, headers={**ORIGIN, "Content-Type": "application/json"}
    )
    assert response.status_code == 413
    assert len(body) > LARGEST


@pytest.mark.parametrize(
    "body",
    [
        [], 3, {}, {"text": 3}, {"text": "", "page": 3}, {"text": "", "number": "1"}, {"text": "", "edits": {}},
        {"text": "", "path": "/etc/passwd"},
        {"text": "", "name": 3}, {"text": "", "page": "p" * 100},
    ],
)  # fmt: skip
@pytest.mark.parametrize("what", ["answer", "save", "make"])
def test_what_no_page_sends_is_refused(named: Asking, what: str, body: Any) -> None:
    assert named.post(what, body).status_code == 400


def test_other_methods_are_refused(named: Asking) -> None:
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS"):
        assert named.client.request(method, f"/{TOKEN}/begin", headers=ORIGIN).status_code == 405


# what is answered


def test_the_order_is_told_as_it_is_with_the_fields_of_every_kind(named: Asking) -> None:
    told = named.client.get(f"/{TOKEN}/begin").json()
    assert told["order"]["text"].encode() == (named.trial.disk.folder / "order.toml").read_bytes()
    sizes = next(table for table in told["form"] if table["path"] == "tank")["keys"][0]
    assert (sizes["name"], sizes["items"], sizes["needed"], sizes["sort"]) == (
        "size",
        ["length", "width", "depth"],
        True,
        "list",
    )
    assert {"tank", "gearbox", "deflector"} <= set(told["kinds"])


def test_sizes_come_first_then_what_the_worker_says_and_the_report_stays(named: Asking) -> None:
    text = named.trial.disk.opened().text
    first, held, whole = named.answers(text=text, edits=[SET], name="", number=7)
    assert [m["stage"] for m in (first, held, whole)] == ["sizes", "held", "whole"]
    assert {m["number"] for m in (first, held, whole)} == {7}
    assert first["text"] == text.replace("[300, 200, 150]", "[310, 200, 150]")
    assert first["verdict"]["tone"] == "working"
    assert "report" not in whole
    ((_, job),) = named.computing.asked
    assert (job.text, job.out) == (first["text"], None)


def test_what_is_no_order_is_not_given_to_the_worker(named: Asking) -> None:
    text = named.trial.disk.opened().text
    (refused,) = named.answers(text=text, edits=[{**SET, "typed": "-1"}], name="")
    assert refused["stage"] == "refused"
    assert refused["problems"][0]["key"] == ["tank", "size", 0]
    (unchanged,) = named.answers(text=text, edits=[{**SET, "key": ["nothing"]}], name="", number=2)
    assert (unchanged["stage"], unchanged["text"]) == ("unchanged", text)
    (broken,) = named.answers(text="a = = 1", name="", number=3)
    assert broken["stage"] == "refused"
    assert named.computing.asked == []


@pytest.mark.parametrize("later_s", [0.02, 0.3])
def test_of_two_states_in_20_ms_the_later_is_answered(named: Asking, later_s: float) -> None:
    """The earlier one ends as soon as the later is heard of, and says so; of a page that sends them the wrong way round too."""
    text, got = named.trial.disk.opened().text, {}
    named.computing.slow_s = 0.6

    def ask(number: int) -> None:
        got[number] = named.answers(text=text, edits=[{**SET, "typed": str(300 + number)}], name="", number=number)

    first = threading.Thread(target=ask, args=(1,))
    first.start()
    time.sleep(later_s)
    ask(2)
    first.join()
    assert got[1][-1]["stage"] == "superseded" or len(got[1]) == 1
    assert all(m["stage"] != "whole" for m in got[1])
    assert [m["stage"] for m in got[2]] == ["sizes", "held", "whole"]
    assert "[302, 200, 150]" in got[2][0]["text"]
    ask(1)
    assert [m["stage"] for m in got[1]] == ["superseded"]


def test_two_pages_do_not_end_each_other(named: Asking) -> None:
    text = named.trial.disk.opened().text
    assert named.answers(text=text, name="", page="a", number=9)[-1]["stage"] == "whole"
    assert named.answers(text=text, name="", page="b", number=1)[-1]["stage"] == "whole"
    for n in range(200):  # pages that were closed are forgotten
        named.trial.heard(f"page {n}", 1)
    assert len(named.trial.last) <= 64


def test_a_fault_of_ours_is_said_and_is_no_verdict(named: Asking, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(text: str, ground: Any) -> Message:
        raise ZeroDivisionError

    monkeypatch.setattr("assemblies.page.app.quick", broken)
    (told,) = named.answers(text="", name="")
    assert told["stage"] == "fault"
    assert "not of the order" in told["why"]
    assert "verdict" not in told


# what is written


def test_save_writes_what_was_changed_and_keeps_every_other_byte(named: Asking) -> None:
    path = named.trial.disk.folder / "order.toml"
    before, opened = path.read_bytes(), named.trial.disk.opened()
    path.chmod(0o640)
    text = named.answers(text=opened.text, edits=[SET], name="")[0]["text"]
    saved = named.post("save", {"text": text, "name": "", "digest": opened.digest})
    assert saved.status_code == 200
    assert path.read_bytes() == before.replace(b"[300, 200, 150]", b"[310, 200, 150]")
    assert path.stat().st_mode & 0o777 == 0o640
    again = named.post("save", {"text": opened.text, "name": "", "digest": saved.json()["digest"]})
    assert again.status_code == 200
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == ["order.toml"]


def test_a_file_that_changed_meanwhile_is_not_written_over(named: Asking) -> None:
    path, opened = named.trial.disk.folder / "order.toml", named.trial.disk.opened()
    path.write_bytes(path.read_bytes() + b"# mine\r\n")
    kept = path.read_bytes()
    for digest in (opened.digest, "", None):
        response = named.post("save", {"text": opened.text, "name": "", "digest": digest})
        assert response.status_code == 409
        assert response.json()["changed"]
    assert path.read_bytes() == kept
    path.unlink()
    assert named.post("save", {"text": opened.text, "name": "", "digest": opened.digest}).status_code == 409
    assert list(path.parent.iterdir()) == []


@pytest.mark.parametrize("name", ["other", "../order", "/etc/passwd", "order.toml", ".", None])
def test_only_the_order_that_was_named_is_written(named: Asking, name: str | None) -> None:
    before = {p: p.read_bytes() for p in named.trial.disk.folder.iterdir()}
    response = named.post("save", {"text": starter("panels"), "name": name, "digest": named.trial.disk.opened().digest})
    assert response.status_code == 409
    assert {p: p.read_bytes() for p in named.trial.disk.folder.iterdir()} == before


def test_what_is_no_toml_or_too_large_is_not_saved(named: Asking) -> None:
    before, digest = (named.trial.disk.folder / "order.toml").read_bytes(), named.trial.disk.opened().digest
    for text in ("a = = 1", "\ud800", "# " + "x" * 300_000, ""):
        assert named.post("save", {"text": text, "name": "", "digest": digest}).status_code in (400, 409)
    assert (named.trial.disk.folder / "order.toml").read_bytes() == before


def test_a_new_order_is_saved_under_its_own_name_and_over_nothing(unnamed: Asking) -> None:
    text, folder = starter("tank"), unnamed.trial.disk.folder
    saved = unnamed.post("save", {"text": text, "name": None, "digest": None}).json()
    assert (saved["name"], saved["file"]) == ("ripple-trough.toml", "ripple-trough.toml")
    assert (folder / "ripple-trough.toml").read_text() == text
    assert unnamed.post("save", {"text": text, "name": None}).status_code == 409  # it is there already
    more = unnamed.post("save", {"text": text + "# more\n", "name": saved["name"], "digest": saved["digest"]})
    assert more.status_code == 200
    assert (folder / "ripple-trough.toml").read_text() == text + "# more\n"
    assert [p.name for p in folder.iterdir()] == ["ripple-trough.toml"]


@pytest.mark.parametrize(
    "name", ['"../up"', '"a/b"', '"con"', '""', '"/etc/x"', "3", '"UP"', '".hidden"', '"a\\u0000"']
)
def test_a_new_order_has_no_name_that_leads_elsewhere(unnamed: Asking, name: str) -> None:
    text = starter("tank").replace('"ripple-trough"', name)
    assert unnamed.post("save", {"text": text, "name": None}).status_code == 409
    assert list(unnamed.trial.disk.folder.iterdir()) == []


def test_a_file_that_stands_there_or_a_link_is_not_written_over(unnamed: Asking) -> None:
    folder = unnamed.trial.disk.folder
    (folder / "ripple-trough.toml").symlink_to(folder / "elsewhere")
    assert unnamed.post("save", {"text": starter("tank"), "name": None}).status_code == 409
    assert not (folder / "elsewhere").exists()
    assert (
        unnamed.post("save", {"text": starter("tank"), "name": "ripple-trough.toml", "digest": ""}).status_code == 409
    )


# the packet


def packet(folder: Path) -> None:
    (folder / "drawings").mkdir(parents=True)
    (folder / "packet.html").write_text("<p>page")
    (folder / "drawings" / "end.pdf").write_bytes(b"%PDF")
    (folder / "mine.txt").write_text("mine")
    (folder / "link.html").symlink_to(folder.parent.parent / "order.toml")
    listed = {"packet.html": "", "drawings/end.pdf": "", "link.html": "", "../../order.toml": ""}
    (folder / "manifest.json").write_text(json.dumps({"packet": 1, "files": listed}))


def test_the_packet_that_was_made_here_is_served_as_its_list_has_it(named: Asking) -> None:
    folder = named.trial.disk.folder / "out" / "ripple-trough"
    packet(folder)
    base = f"/{TOKEN}/packet/ripple-trough"
    assert named.client.get(f"{base}/packet.html").status_code == 404  # it was not made by this run
    named.computing.says = [
        {"stage": "making", "say": "Writing"},
        {"stage": "made", "name": "ripple-trough", "folder": str(folder), "aside": []},
    ]
    response = named.post("make", {"page": "p", "text": starter("tank"), "name": ""})
    assert [json.loads(line)["stage"] for line in response.text.splitlines()] == ["making", "made"]
    ((_, job),) = named.computing.asked
    assert job.out == str(named.trial.out)
    page = named.client.get(f"{base}/packet.html")
    assert (page.status_code, page.text) == (200, "<p>page")
    assert "sandbox" in page.headers["content-security-policy"]  # it can ask nothing of this server
    assert "connect-src" not in page.headers["content-security-policy"]
    assert named.client.get(f"{base}/drawings/end.pdf").headers["content-type"] == "application/pdf"
    for path in (
        "mine.txt",
        "manifest.json",
        "link.html",
        "../../order.toml",
        "..%2f..%2forder.toml",
        "%2e%2e/%2e%2e/order.toml",
        "",
        "drawings",
    ):
        assert named.client.get(f"{base}/{path}").status_code == 404, path
    assert named.client.get(f"/{TOKEN}/packet/other/packet.html").status_code == 404


def test_a_page_that_leaves_ends_what_it_asked(named: Asking) -> None:
    text = named.trial.disk.opened().text
    named.answers(text=text, name="", page="a")
    assert named.computing.dropped == ["a"]
