"""What the studio refuses: other sites, other hosts, paths out, bodies too large, words as code.

Origin and Host: RFC 6454 and RFC 9110; Fetch Metadata: W3C.
"""

from __future__ import annotations

import http.client
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from urllib.parse import quote

import pytest

from lickwright.errors import LessonError
from lickwright.studio.server.guard import MAX_BODY, Guard, Reach
from lickwright.studio.server.login import password_from
from lickwright.studio.server.serve import serve

from .conftest import Hand, Running, start_studio

EVIL = "http://evil.example"
PASSWORD = "a long enough word"


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    folder = tmp_path_factory.mktemp("safe") / "lessons"
    folder.mkdir()
    (folder / "tide.yaml").write_bytes(Path(__file__).with_name("tide.yaml").read_bytes())
    (folder.parent / "secret.yaml").write_text("lesson: Secret\n", "utf-8")
    (folder / "leak.yaml").symlink_to(folder.parent / "secret.yaml")
    built = folder / "built" / "tide"
    built.mkdir(parents=True)
    (built / "index.html").write_text("<p>built</p>", "utf-8")
    (built / "out.txt").symlink_to(folder.parent / "secret.yaml")
    studio = start_studio(folder)
    yield studio
    studio.kill()


def ask(
    running: Running, method: str, path: str, body: bytes = b"", **headers: str
) -> tuple[int, dict[str, str], bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", running.port, timeout=20)
    own = {"Host": f"127.0.0.1:{running.port}"} | {
        name.replace("_", "-"): value for name, value in headers.items()
    }
    connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    for name, value in own.items():
        connection.putheader(name, value)
    if body:
        connection.putheader("Content-Length", str(len(body)))
    connection.endheaders()
    if body:
        with suppress(BrokenPipeError, ConnectionResetError):  # refused before it was read whole
            connection.send(body)
    answer = connection.getresponse()
    got = {name.lower(): value for name, value in answer.getheaders()}
    return answer.status, got, answer.read()


def test_it_listens_on_this_machine_alone(running: Running) -> None:
    sockets = Path("/proc/net/tcp")
    if not sockets.is_file():
        pytest.skip("this system does not list its sockets")
    listening = [
        line.split()[1]
        for line in sockets.read_text("utf-8").splitlines()[1:]
        if line.split()[3] == "0A" and int(line.split()[1].rpartition(":")[2], 16) == running.port
    ]
    assert listening == [f"0100007F:{running.port:04X}"]  # 127.0.0.1, as the kernel writes it


def test_a_wider_host_needs_a_password(tmp_path: Path) -> None:
    clean = {key: value for key, value in os.environ.items() if key != "LICKWRIGHT_PASSWORD"}
    command = (
        "import typer; from lickwright.cli import studio; from lickwright.errors import"
        " LickwrightError\nimport sys\napp = typer.Typer(); studio.register(app)\n"
        "try: app()\nexcept LickwrightError as error: print(error, file=sys.stderr); sys.exit(2)"
    )
    ended = subprocess.run(
        [sys.executable, "-c", command, str(tmp_path), "--host", "0.0.0.0", "--no-browser"],
        capture_output=True,
        text=True,
        env=clean,
        timeout=60,
        check=False,
    )
    assert ended.returncode == 2
    assert "Set a password" in ended.stderr
    assert "Traceback" not in ended.stderr


def test_a_short_password_is_none(tmp_path: Path) -> None:
    file = tmp_path / "word"
    file.write_text("short\n", "utf-8")
    with pytest.raises(LessonError, match="too short"):
        password_from(file)
    with pytest.raises(LessonError, match="too short"):
        serve(tmp_path, host="0.0.0.0", password_file=file)


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80", "127.0.0.1.evil.example", "", "a@127.0.0.1"]
)
def test_another_name_for_this_machine_is_refused(running: Running, host: str) -> None:
    status, _, body = ask(running, "GET", "/", Host=host)
    assert status in {400, 421}
    assert b"nicegui" not in body


def test_two_hosts_are_none(running: Running) -> None:
    own = f"127.0.0.1:{running.port}"
    for first, second in ((own, "evil.example"), ("evil.example", own), (own, own)):
        connection = http.client.HTTPConnection("127.0.0.1", running.port, timeout=20)
        connection.putrequest("GET", "/", skip_host=True)
        connection.putheader("Host", first)
        connection.putheader("Host", second)
        connection.endheaders()
        answer = connection.getresponse()
        assert answer.status in {400, 421}
        assert b"nicegui" not in answer.read()


@pytest.mark.parametrize(
    "said",
    [
        {"X_Forwarded_Host": "studio.example"},
        {"Forwarded": "host=studio.example;proto=https;for=127.0.0.1"},
        {"X_Forwarded_For": "127.0.0.1", "X_Forwarded_Proto": "https"},
    ],
)
def test_what_a_proxy_says_changes_nothing(running: Running, said: dict[str, str]) -> None:
    assert ask(running, "GET", "/", Host="studio.example", **said)[0] == 421
    status, headers, body = ask(running, "GET", "/", **said)
    assert status == 200
    assert b"studio.example" not in body
    assert "studio.example" not in str(headers)
    # A page under the proxy's name would have to change things under that name.
    said |= {"Origin": "https://studio.example"}
    assert ask(running, "POST", "/bring", b"x", **said)[0] == 403


@pytest.mark.parametrize(
    ("listens", "comes_in", "stays_out"),
    [
        ("127.0.0.1", ["127.0.0.1:80", "localhost:80", "[::1]:80"], ["192.168.1.20", "8.8.8.8"]),
        ("localhost", ["localhost:1", "127.0.0.1"], ["localhost.", "localhost.example"]),
        (
            "0.0.0.0",
            ["192.168.1.20:80", "[fe80::1]:80", "127.0.0.1", "localhost"],
            ["studio.example", "192.168.1.20.example", "localhost.example"],
        ),
        ("Desk.lan", ["desk.lan:80", "DESK.LAN", "192.168.1.20"], ["desk.lan.example", "lan"]),
    ],
)
def test_it_answers_to_addresses_and_the_name_it_was_given(
    listens: str, comes_in: list[str], stays_out: list[str]
) -> None:
    async def nothing(*_: object) -> None: ...

    guard = Guard(nothing, Reach(listens))
    scope = {"type": "http", "method": "GET", "path": "/"}
    for host in comes_in:
        assert guard.refusal(scope, {"host": host}) is None, host
        change = scope | {"method": "POST"}
        assert guard.refusal(change, {"host": host, "origin": f"http://{host}"}) is None, host
    for host in stays_out:
        refusal = guard.refusal(scope, {"host": host})
        assert refusal is not None, host
        assert refusal.status == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": EVIL},
        {"Origin": "null"},
        {},
        {"Origin": "http://127.0.0.1:1"},
    ],
)
def test_a_change_comes_from_our_own_pages(running: Running, headers: dict[str, str]) -> None:
    status, _, _ = ask(running, "POST", "/bring", b"x", **headers)
    assert status == 403


def test_nothing_is_fetched_into_another_site(running: Running) -> None:
    cross = {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "no-cors"}
    assert ask(running, "GET", "/built/tide.yaml/index.html", **cross)[0] == 403
    to_read = {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "navigate"}
    assert ask(running, "GET", "/", **to_read, Sec_Fetch_Dest="document")[0] == 200
    assert ask(running, "GET", "/", **to_read, Sec_Fetch_Dest="iframe")[0] == 403


@pytest.mark.parametrize("origin", [EVIL, "null", ""])
def test_another_site_gets_no_socket(running: Running, origin: str) -> None:
    headers = {
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec_WebSocket_Version": "13",
        "Sec_WebSocket_Key": "dGhlIHNhbXBsZSBub25jZQ==",  # RFC 6455, section 1.3
    } | ({"Origin": origin} if origin else {})
    path = "/_nicegui_ws/socket.io/?EIO=4&transport=websocket"
    assert ask(running, "GET", path, **headers)[0] == 403


def test_every_answer_carries_its_headers(running: Running) -> None:
    for path in ("/", "/own/studio.css", "/nowhere"):
        _, headers, _ = ask(running, "GET", path)
        assert "default-src 'self'" in headers["content-security-policy"]
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"


@pytest.mark.parametrize(
    "path",
    [
        "/built/tide.yaml/../../../secret.yaml",
        "/built/tide.yaml/%2e%2e/%2e%2e/tide.yaml",
        "/built/tide.yaml/out.txt",
        "/built/..%2fsecret.yaml/index.html",
        "/built/leak.yaml/index.html",
        "/download/..%2Fsecret.yaml",
        "/download/leak.yaml",
        "/own/..%2fapp.py",
        "/own/app.py",
    ],
)
def test_no_path_leads_out(running: Running, path: str) -> None:
    status, _, body = ask(running, "GET", path)
    assert status == 404
    assert b"Secret" not in body
    assert ask(running, "GET", "/built/tide.yaml/index.html")[0] == 200


@pytest.mark.parametrize("name", ["leak.yaml", "..%2Fsecret.yaml", "%2e%2e", "no-such.yaml"])
def test_no_lesson_outside_is_opened(running: Running, name: str) -> None:
    status, _, body = ask(running, "GET", f"/lesson/{name}")
    assert status in {200, 404}
    assert b"Secret" not in body
    assert status == 404 or b"cannot be opened" in body


def test_a_file_that_is_no_lesson_says_why(running: Running) -> None:
    broken = running.folder / "broken.yaml"
    broken.write_text("lesson: Broken\nkey: H\nexamples: []\n", "utf-8")
    status, _, body = ask(running, "GET", "/lesson/broken.yaml")
    broken.unlink()
    assert status == 200
    assert b"cannot be opened" in body
    assert b"broken.yaml:" in body


def form(name: str, data: bytes) -> tuple[bytes, dict[str, str]]:
    head = (
        f'--edge\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n'
        "Content-Type: application/yaml\r\n\r\n"
    )
    body = head.encode() + data + b"\r\n--edge--\r\n"
    return body, {"Content_Type": "multipart/form-data; boundary=edge"}


def own(running: Running) -> dict[str, str]:
    return {"Origin": f"http://127.0.0.1:{running.port}"}


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("big.yaml", b"# " + b"x" * 1_000_001),
        ("bad.yaml", b"lesson: [unclosed"),
        ("bytes.yaml", b"\xff\xfe\x00lesson"),
        ("bomb.yaml", b"a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a]\nc: [*b,*b]\n"),
        ("page.html", b"lesson: X\nkey: C\n"),
        (".hidden.yaml", b"lesson: X\nkey: C\n"),
        ("none.yaml", b""),
    ],
)
def test_what_is_no_lesson_is_not_taken_in(running: Running, name: str, data: bytes) -> None:
    before = sorted(running.folder.iterdir())
    body, kind = form(name, data)
    status, _, answer = ask(running, "POST", "/bring", body, **kind, **own(running))
    assert status == 422
    assert b"Traceback" not in answer
    assert sorted(running.folder.iterdir()) == before


def test_a_body_has_a_largest_size(running: Running) -> None:
    body, kind = form("huge.yaml", b"x" * (MAX_BODY + 1))
    assert ask(running, "POST", "/bring", body, **kind, **own(running))[0] == 413


def test_a_lesson_is_taken_in_under_its_own_name(running: Running) -> None:
    data = Path(__file__).with_name("tide.yaml").read_bytes()
    for wanted in ("brought.yaml", "brought-2.yaml"):
        body, kind = form("../../brought.yaml", data)
        status, headers, _ = ask(running, "POST", "/bring", body, **kind, **own(running))
        assert status == 303
        assert headers["location"] == f"/lesson/{wanted}"
        assert (running.folder / wanted).read_bytes() == data


# --- the door -------------------------------------------------------------------------------------


def test_behind_the_door_nothing_is_said(studio: Callable[..., Running], tide: Path) -> None:
    running = studio(tide.parent, LICKWRIGHT_PASSWORD=PASSWORD)
    for path in ("/", "/lesson/tide.yaml", "/own/studio.js", "/_nicegui_ws/socket.io/?EIO=4"):
        assert ask(running, "GET", path)[0] == 401
    asked = ask(running, "GET", "/", Accept="text/html")
    assert asked[0] == 303
    assert asked[1]["location"] == "/door"
    assert b"Tide" not in ask(running, "GET", "/door")[2]
    kind = {"Content_Type": "application/x-www-form-urlencoded", **own(running)}
    assert ask(running, "POST", "/door", b"word=wrong", **kind)[0] == 403
    status, headers, _ = ask(running, "POST", "/door", f"word={quote(PASSWORD)}".encode(), **kind)
    assert status == 303
    cookie = headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "samesite=strict" in cookie.lower()
    assert ask(running, "GET", "/", Cookie=cookie.partition(";")[0])[0] == 200


# --- words are words ------------------------------------------------------------------------------


def test_a_lessons_words_never_become_code(
    studio: Callable[..., Running], hand: Callable[..., Hand], tide: Path
) -> None:
    evil = "<img src=x onerror=window.hit=1><script>window.hit=1</script>"
    text = tide.read_text("utf-8")
    text = text.replace("lesson: Tide Tables", f"lesson: '{evil}'")
    text = text.replace("name: My own", f"name: '{evil}'")
    text = text.replace("Two plain triads", f"{evil} [link](javascript:window.hit=1) Two triads")
    tide.write_text(text, "utf-8")
    running = studio(tide.parent)
    teacher = hand()
    page = teacher.page
    teacher.open(running.address)
    page.get_by_text("<script>window.hit=1</script>").first.wait_for()
    teacher.open(f"{running.address}lesson/tide.yaml")
    for room in ("Find", "Place", "Shape", "Carry", "Hear", "Lesson"):
        teacher.click(room, within=".rooms")
        if room == "Place":
            page.get_by_role("button", name="2 <img").click()
        page.wait_for_timeout(400)
    assert page.evaluate("window.hit") is None
    assert page.locator("img[src='x']").count() == 0
    assert page.locator("a[href^='javascript']").count() == 0
