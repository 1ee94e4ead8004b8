"""What the server answers: the page and its files, the order, the answers to a state of it, save, make, the packet.

It holds no state of a page but the number of its last change: the page sends the text it stands on and what was changed in it,
so that pages never mix, and one outlives the server.
"""

from __future__ import annotations

import asyncio
import gzip
import json
from collections import OrderedDict
from collections.abc import AsyncIterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from mimetypes import guess_type
from pathlib import Path
from typing import Any, Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from assemblies.kinds import FOLDERS, starter
from assemblies.page.answer import Ground, Message, data_of, quick, refused
from assemblies.page.disk import Changed, Disk, Opened
from assemblies.page.edit import EditError, edited
from assemblies.page.form import edits_of, form
from assemblies.page.guard import PACKET_POLICY, Guard
from assemblies.page.worker import Computing, Job
from parts.findings import SeamwrightError

__all__ = ["Trial", "application"]

_WEB: Final = "web"
_FILES: Final = {"try.js", "view.js", "fields.js", "try.css"}
#: Of the packet's own page, used here too.
_PACKETS: Final = {"liquid.js": "liquid.js", "page.css": "page.css", "three.js": "three.min.js.gz"}
_MOST_PAGES: Final = 64


@dataclass
class Trial:
    """One start of the command.

    Attributes:
        disk: the order, or where new ones go.
        out: the folder that packets are made in.
        shop: the shop file that was named.
        computing: where strength, solids and packets are worked out.
        last: the number of the last change of each page, the page that was heard of last at the end.
        made: the packets that were made, by name.
        kind: whose starter is opened where no order was named.
        rig_file: the part of the rig that the order named when it was last read.
    """

    disk: Disk
    out: Path
    computing: Computing
    shop: Path | None = None
    kind: str = "tank"
    rig_file: str | None = None
    last: OrderedDict[str, int] = field(default_factory=OrderedDict)
    made: dict[str, Path] = field(default_factory=dict)
    quick: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(1, thread_name_prefix="quick"))

    def heard(self, page: str, number: int) -> bool:
        """Note the number of a page's change; whether it is the newest."""
        newest = number >= self.last.get(page, -1)
        if newest:
            self.last[page] = number
            self.last.move_to_end(page)
            while len(self.last) > _MOST_PAGES:
                self.last.popitem(last=False)
        return newest

    def newest(self, page: str, number: int) -> bool:
        return self.last.get(page, number) == number

    def ground(self, name: str | None) -> Ground:
        """Where an order stands: the one that was named (`""`), one that was written, or a starter, in the folder of the start.

        Raises:
            Unwritable: there is none of this name.
        """
        path = self.disk.folder / "new.toml" if name is None else self.disk.path(name)
        rig = self.rig_file if name == "" else None  # the text of a new one comes from the page, whoever wrote it
        return Ground(file=str(path), shop=None if self.shop is None else str(self.shop), rig_file=rig)

    def begun(self) -> Opened | None:
        """The order that was named, as it is on the disk now; the part of the rig that it names may be opened from then on."""
        if self.disk.order is None:
            return None
        opened = self.disk.opened()
        rig = data_of(opened.text, str(self.disk.order)).get("rig")
        named = rig.get("file") if isinstance(rig, dict) else None
        self.rig_file = named if isinstance(named, str) else None
        return opened


def application(trial: Trial, host: str, token: str) -> Guard:
    """The server's application behind its gate.

    Args:
        host: as browsers write it: `127.0.0.1:8611`.
        token: the first part of every path.
    """
    app = Starlette(
        routes=[
            Route("/", _page),
            Route("/begin", _begin),
            Route("/starter/{kind}", _starter),
            Route("/answer", _answer, methods=["POST"]),
            Route("/save", _save, methods=["POST"]),
            Route("/make", _make, methods=["POST"]),
            Route("/packet/{name}/{path:path}", _packet),
            Route("/{file}", _file),
        ]
    )
    app.state.trial = trial
    return Guard(app, host, token)


def _trial(request: Request) -> Trial:
    found: Trial = request.app.state.trial
    return found


@cache
def _web(name: str) -> bytes:
    if name in _PACKETS:
        raw = (files("assemblies.packet.pages") / _WEB / _PACKETS[name]).read_bytes()
        return gzip.decompress(raw) if _PACKETS[name].endswith(".gz") else raw
    return (files(__package__) / _WEB / name).read_bytes()


async def _page(request: Request) -> Response:
    return Response(_web("try.html"), media_type="text/html; charset=utf-8")


async def _file(request: Request) -> Response:
    name = request.path_params["file"]
    if name not in _FILES and name not in _PACKETS:
        return Response("nothing here\n", 404)
    sort = "text/css" if name.endswith(".css") else "text/javascript"
    return Response(_web(name), media_type=f"{sort}; charset=utf-8")


def _as_opened(opened: Opened, name: str | None) -> dict[str, Any]:
    return {"text": opened.text, "digest": opened.digest, "name": name, "file": opened.name}


async def _begin(request: Request) -> Response:
    """All that a page needs to begin: the fields of every kind, the order as it is on the disk now."""
    trial = _trial(request)
    kinds = [folder.replace("_", "-") for folder in FOLDERS]
    told: dict[str, Any] = {"form": form(), "kinds": kinds, "kind": trial.kind, "out": str(trial.out), "order": None}
    try:
        opened = trial.begun()
    except SeamwrightError as error:
        return JSONResponse({"why": str(error)}, 409)
    told["whose"] = str(trial.disk.order or trial.disk.folder)
    told["order"] = _as_opened(opened, "") if opened is not None else _as_starter(trial.kind)
    return JSONResponse(told)


def _as_starter(kind: str) -> dict[str, Any]:
    return {"text": starter(kind), "digest": None, "name": None, "file": f"starter: {kind}"}


async def _starter(request: Request) -> Response:
    name = request.path_params["kind"]
    if name.replace("-", "_") not in FOLDERS or "_" in name:
        return JSONResponse({"why": "there is no such kind"}, 404)
    return JSONResponse(_as_starter(name))


async def _asked(request: Request) -> dict[str, Any] | None:
    """The body, if it is what a page sends."""
    try:
        asked = json.loads(await request.body())
    except (ValueError, RecursionError):
        return None
    known = {
        "page": str,
        "number": int,
        "text": str,
        "edits": list,
        "name": str | None,
        "digest": str | None,
        "replace": bool,
    }
    if not isinstance(asked, dict) or not isinstance(asked.get("text"), str):
        return None
    fits = all(key in known and isinstance(value, known[key]) for key, value in asked.items())
    return (
        {"page": "", "number": 0, "edits": [], "name": None, "digest": None, "replace": False, **asked}
        if fits and len(asked.get("page", "")) <= 64
        else None
    )


async def _answer(request: Request) -> Response:
    """The answers to a state, a line each as they come; the first has the text with its changes made."""
    trial, asked = _trial(request), await _asked(request)
    if asked is None:
        return JSONResponse({"why": "not asked so"}, 400)
    try:
        ground = trial.ground(asked["name"])
    except SeamwrightError as error:
        return JSONResponse({"why": str(error)}, 409)
    trial.heard(asked["page"], asked["number"])
    return StreamingResponse(_answers(trial, asked, ground), media_type="application/x-ndjson")


async def _answers(trial: Trial, asked: Mapping[str, Any], ground: Ground) -> AsyncIterator[bytes]:
    page, number = asked["page"], asked["number"]
    loop = asyncio.get_running_loop()

    def first() -> Message:
        if not trial.newest(page, number):
            return {"stage": "superseded"}
        try:
            text = edited(asked["text"], edits_of(asked["edits"]))
            return {"text": text, **quick(text, ground)}
        except EditError as error:
            return {"text": asked["text"], "stage": "unchanged", "why": str(error)}
        except SeamwrightError as error:
            return {"text": asked["text"], "data": {}, **refused(error, ground.file)}
        except Exception as error:
            return {
                "text": asked["text"],
                "stage": "fault",
                "why": f"a fault of seamwright, not of the order: {error!r}",
            }

    told = await loop.run_in_executor(trial.quick, first)
    yield _line({"number": number, **told})
    if told["stage"] not in ("sizes", "chosen") or not trial.newest(page, number):
        return
    async for message in _computed(trial, page, Job(text=told["text"], ground=ground)):
        if not trial.newest(page, number):
            yield _line({"number": number, "stage": "superseded"})
            return
        message.pop("report", None)  # the page needs none of it; it is large
        yield _line({"number": number, **message})


async def _computed(trial: Trial, whose: str, job: Job) -> AsyncIterator[Message]:
    """The answers of the worker; left early, it is told to stop."""
    loop, queue = asyncio.get_running_loop(), asyncio.Queue[Message | None]()

    def tell(message: Message | None) -> None:
        loop.call_soon_threadsafe(queue.put_nowait, message)

    trial.computing.ask(whose, job, tell)
    try:
        while (message := await queue.get()) is not None:
            yield message
    finally:
        trial.computing.drop(whose, tell)


def _line(message: Mapping[str, Any]) -> bytes:
    return (json.dumps(message, separators=(",", ":"), default=str) + "\n").encode()


async def _save(request: Request) -> Response:
    """Write the text over the file it was read from, or as a new one."""
    trial, asked = _trial(request), await _asked(request)
    if asked is None:
        return JSONResponse({"why": "not asked so"}, 400)
    try:
        if asked["name"] is None:
            opened = trial.disk.save_new(asked["text"])
        else:
            opened = trial.disk.save(asked["text"], asked["name"], asked["digest"] or "")
    except Changed as error:
        return JSONResponse({"why": str(error), "changed": True}, 409)
    except SeamwrightError as error:
        return JSONResponse({"why": str(error)}, 409)
    return JSONResponse(_as_opened(opened, opened.name))


async def _make(request: Request) -> Response:
    """Make the packet of the text, a line for each step."""
    trial, asked = _trial(request), await _asked(request)
    if asked is None:
        return JSONResponse({"why": "not asked so"}, 400)
    try:
        ground = trial.ground(asked["name"])
        data_of(asked["text"], ground.file)
    except SeamwrightError as error:
        return JSONResponse({"why": str(error)}, 409)
    return StreamingResponse(_steps(trial, asked, ground), media_type="application/x-ndjson")


async def _steps(trial: Trial, asked: Mapping[str, Any], ground: Ground) -> AsyncIterator[bytes]:
    job = Job(text=asked["text"], ground=ground, out=str(trial.out), replace=asked["replace"])
    async for message in _computed(trial, asked["page"], job):
        if message["stage"] == "made":
            trial.made[message["name"]] = Path(message["folder"])
        yield _line(message)


async def _packet(request: Request) -> Response:
    """A file of a packet that was made here, read only: one that its list names, and no link that leads out of it."""
    from assemblies.packet.folder import MANIFEST

    folder = _trial(request).made.get(request.path_params["name"])
    nothing = Response("nothing here\n", 404)
    if folder is None:
        return nothing
    try:
        listed = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError):
        return nothing
    path = request.path_params["path"]
    target = folder / path
    if path not in listed or not target.is_file() or folder.resolve() not in target.resolve().parents:
        return nothing
    sort = guess_type(path)[0] or "application/octet-stream"
    own = (
        {"content-security-policy": PACKET_POLICY} if sort == "text/html" else {}
    )  # a print is no page: its viewer is the browser's
    return FileResponse(target, media_type=sort, headers=own)
