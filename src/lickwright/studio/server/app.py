"""The studio as one web app: its pages, its files, its login."""

from __future__ import annotations

import mimetypes
from collections.abc import Callable, Iterator
from functools import lru_cache
from importlib import resources

from fastapi import FastAPI, Form, HTTPException, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from nicegui import Client, ui
from nicegui import app as pages
from starlette.types import ASGIApp

from lickwright.drawing import escape_xml as esc
from lickwright.errors import LickwrightError, OutputError
from lickwright.files import read_plain
from lickwright.lesson.file import MAX_BYTES
from lickwright.studio.rooms.all_rooms import ROOMS
from lickwright.studio.server import lessons_page
from lickwright.studio.server.folder import Folder, NoLessonError
from lickwright.studio.server.guard import COOKIE, LOGIN_PATH, LOGOUT_PATH, Guard, Reach, tokens_of
from lickwright.studio.server.login import SESSION_S, Logins
from lickwright.studio.session.shared import Studio
from lickwright.studio.session.tab import NARROW_MM, NARROW_PX, Tab, watch
from lickwright.studio.work.disk import PAGE_S, at_disk

#: Seconds between two looks at whether a file was changed from outside.
LOOK_EVERY_S = 1.0
#: A page whose connection broke is kept so long for it to come back.  A page that says nothing for
#: 0.4 of it counts as gone: ten seconds in all took a busy machine for one that was switched off.
RECONNECT_S = 60.0
#: How long a page may take to call back, and what tells it that its hands are heard from now on.
_CONNECT_S = 30.0
#: How long the library below may wait for a page: we say ourselves that the disk does not answer.
_ANSWER_S = PAGE_S + 5.0
_READY = "document.body.dataset.ready = ''"


def asset(name: str) -> str:
    """One of the studio's own texts."""
    room = "lickwright.engrave.web" if name == "web.css" else "lickwright.studio"
    return resources.files(room).joinpath(name).read_text("utf-8")


def make_app(folder: Folder, reach: Reach, password: str = "") -> ASGIApp:
    """The whole studio, guarded.

    Parameters
    ----------
    folder : where lessons are.
    reach : the address that it will listen on, and by which names it is known.
    password : asked of everybody where it is not empty.
    """
    studio = Studio(folder)
    outer = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    _add_pages(studio)
    _add_files(outer, studio)
    logins = Logins(password) if password else None
    if logins is not None:
        _add_login(outer, logins)
    ui.run_with(
        outer,
        title="Lickwright studio",
        favicon=_ICON,
        dark=None,
        language="en-US",
        tailwind=False,
        show_welcome_message=False,
        reconnect_timeout=RECONNECT_S,
    )
    pages.on_startup(lambda: studio.workers)
    pages.on_shutdown(studio.close)
    return Guard(outer, reach, logins, _visitors)


def _visitors() -> Iterator[str]:
    """Who holds a page: one entry for each."""
    for client in Client.instances.values():
        yield client.request.scope["state"]["visitor"]


#: A disc inside a tile: a note that two triads share.
_ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32">'
    '<rect x="2.5" y="2.5" width="27" height="27" rx="7" fill="#fffdf9" stroke="#b0490c" '
    'stroke-width="4"/><circle cx="16" cy="16" r="8.5" fill="#1c4f82"/></svg>'
)


# --- pages ----------------------------------------------------------------------------------------


def _add_pages(studio: Studio) -> None:
    @ui.page("/", title="Lessons · Lickwright studio", response_timeout=_ANSWER_S)
    async def _lessons() -> None:
        found = await lessons_page.look(studio.folder)
        _add_assets()
        lessons_page.draw(studio, found)
        client = ui.context.client
        await client.connected(timeout=_CONNECT_S)
        client.run_javascript(_READY)

    @ui.page("/lesson/{name}", title="Lickwright studio", response_timeout=_ANSWER_S)
    async def _lesson(name: str) -> Response | None:
        try:
            lesson = await studio.open(name)
        except NoLessonError as error:
            return HTMLResponse(_plain_page("This lesson cannot be opened", str(error)), 404)
        except OutputError as error:
            return HTMLResponse(_plain_page("This lesson cannot be opened", str(error)), 503)
        except LickwrightError as error:
            _add_assets()
            lessons_page.draw_unreadable(error)
            return None
        _add_assets()
        tab = Tab(lesson, ROOMS, studio.keep)
        lesson.tabs.append(tab)
        tab.build()
        client = ui.context.client
        client.on_delete(lambda: studio.leave(lesson, tab))
        client.on_connect(tab.catch_up)
        await client.connected(timeout=_CONNECT_S)
        width = await client.run_javascript("lickwright.width()", timeout=10.0)
        if int(width) < NARROW_PX:
            tab.width_mm = NARROW_MM
        client.run_javascript(_READY)
        await tab.show()
        ui.timer(LOOK_EVERY_S, lambda: watch(tab))
        return None


def _add_assets() -> None:
    ui.add_head_html(
        '<link rel="stylesheet" href="/own/web.css"><link rel="stylesheet" href="/own/studio.css">'
        '<script src="/own/page_library.js" defer></script>'
        '<script src="/own/wire.js" defer></script>'
        '<script src="/own/acts.js" defer></script>'
        '<script src="/own/studio.js" defer></script>'
        '<script src="/own/drag.js" defer></script>'
    )


# --- files ----------------------------------------------------------------------------------------


def _add_files(outer: FastAPI, studio: Studio) -> None:
    own = {
        "web.css": ("text/css", asset("web.css")),
        "studio.css": ("text/css", asset("studio.css")),
        "page_library.js": ("text/javascript", asset("page_library.js")),
        "wire.js": ("text/javascript", asset("wire.js")),
        "acts.js": ("text/javascript", asset("acts.js")),
        "studio.js": ("text/javascript", asset("studio.js")),
        "drag.js": ("text/javascript", asset("drag.js")),
    }

    @outer.get("/own/{name}")
    async def _own(name: str) -> Response:
        if name not in own:
            raise HTTPException(404)
        kind, text = own[name]
        return Response(text, media_type=kind, headers={"cache-control": "no-cache"})

    @outer.get("/sound/{token}/{part}.wav")
    async def _sound(token: str, part: str) -> Response:
        sound = studio.sounds.get(token)
        if sound is None or part not in {"lead", "backing", "click"}:
            raise HTTPException(404)
        data: bytes = getattr(sound, part)
        return Response(data, media_type="audio/wav", headers={"cache-control": "no-store"})

    @outer.get("/built/{name}/{inside:path}")
    async def _built(name: str, inside: str) -> Response:
        data = await _found(lambda: read_plain(studio.folder.built_file(name, inside)))
        kind = mimetypes.guess_type(inside)[0] or "application/octet-stream"
        return Response(data, media_type=kind, headers={"cache-control": "no-cache"})

    @outer.get("/download/{name}")
    async def _download(name: str) -> Response:
        data = await _found(lambda: studio.folder.built_zip(name))
        stem = name.rpartition(".")[0]
        return Response(
            data,
            media_type="application/zip",
            headers={"content-disposition": f"attachment; filename*=UTF-8''{_quoted(stem)}.zip"},
        )

    @outer.post("/bring")
    async def _bring(file: UploadFile) -> Response:
        data = await file.read(MAX_BYTES + 1)
        try:
            sent = file.filename or ""
            name = await at_disk(lambda: lessons_page.take_in(studio.folder, sent, data))
        except LickwrightError as error:
            return HTMLResponse(_plain_page("That cannot be opened", str(error)), 422)
        return RedirectResponse(f"/lesson/{_quoted(name)}", 303)


def _quoted(text: str) -> str:
    from urllib.parse import quote

    return quote(text, safe="")


async def _found(look: Callable[[], bytes]) -> bytes:
    """What a look at the disk finds; where that is nothing, one sentence and 404."""
    try:
        return await at_disk(look, within_s=PAGE_S)
    except OutputError as error:
        raise HTTPException(503, str(error)) from error
    except LickwrightError as error:
        raise HTTPException(404, str(error)) from error
    except OSError as error:  # gone since it was found, or not ours to read
        said = (error.strerror or str(error)).lower()
        raise HTTPException(404, f"The file cannot be read ({said}).") from error


# --- login -------------------------------------------------------------------------------------


def _add_login(outer: FastAPI, logins: Logins) -> None:
    @outer.get(LOGIN_PATH)
    async def _ask() -> HTMLResponse:
        return HTMLResponse(_login_page(""))

    @outer.post(LOGIN_PATH)
    async def _enter(request: Request, word: str = Form("")) -> Response:
        address = request.client.host if request.client is not None else ""
        token = logins.open(word, address)
        if token is None:
            wait_s = logins.wait_s(address)
            if wait_s:
                said = f"Too many wrong words from your address: wait {wait_s} seconds."
                return HTMLResponse(_login_page(said), 429, {"retry-after": str(wait_s)})
            return HTMLResponse(_login_page("That is not the password."), 403)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(
            COOKIE,
            token,
            max_age=int(SESSION_S),
            httponly=True,
            samesite="strict",
            secure=request.url.scheme == "https",
        )
        return answer

    @outer.post(LOGOUT_PATH)
    async def _leave(request: Request) -> Response:
        for token in tokens_of(request.scope):
            logins.end(token)
        answer = RedirectResponse(LOGIN_PATH, 303)
        answer.delete_cookie(COOKIE, httponly=True, samesite="strict")
        return answer


@lru_cache(maxsize=128)
def _login_page(said: str) -> str:
    told = f'<p class="alert" role="alert">{esc(said)}</p>' if said else ""
    return _plain_page(
        "The studio asks for a password",
        "",
        f'{told}<form method="post" action="{LOGIN_PATH}" class="fields"><div class="field">'
        '<label for="word">Password</label><input id="word" name="word" type="password" '
        'autocomplete="current-password" required autofocus></div>'
        '<button class="act main">Come in</button></form>',
    )


def _plain_page(title: str, text: str, body: str = "") -> str:
    said = f"<p>{esc(text)}</p><p><a href='/'>All lessons</a></p>" if text else ""
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{esc(title)}</title><style>{asset('web.css')}{asset('studio.css')}</style></head>"
        f'<body><main class="desk"><h1>{esc(title)}</h1>{said}{body}</main></body></html>'
    )
