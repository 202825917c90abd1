"""Each guard of the desk, and somebody who tries to get past it."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from listel.reports.desk.guard import MOST, PAPER_POLICY
from listel.reports.desk.photos import MOST_PHOTO, without_marks

from .conftest import HOST, Asked

Begun = Callable[..., Asked]


def test_the_door_opens_by_its_key_and_leaves_a_cookie_no_script_can_read(at_desk: Begun) -> None:
    desk = at_desk()
    page = desk.ask("GET", f"/?key={desk.keys.door}")
    assert page.status_code == 200
    assert "HttpOnly" in page.headers["set-cookie"]
    assert "SameSite=Strict" in page.headers["set-cookie"]
    assert desk.keys.door not in page.headers["set-cookie"]


@pytest.mark.parametrize(
    "path", ["/", "/?key=", "/?key=x", "/job", "/state", "/desk.js", "/paper/statement", "/photos/a.jpg"]
)
def test_nothing_is_shown_without_the_key(at_desk: Begun, path: str) -> None:
    assert at_desk().ask("GET", path).status_code == 403


def test_the_key_opens_the_front_door_only(at_desk: Begun) -> None:
    desk = at_desk()
    assert desk.ask("GET", f"/job?key={desk.keys.door}").status_code == 403
    assert desk.ask("POST", f"/?key={desk.keys.door}").status_code == 403
    assert desk.ask("GET", "/job", headers={"cookie": f"{desk.keys.cookie}={desk.keys.door}"}).status_code == 403


def test_a_key_for_one_device_opens_once(at_desk: Begun) -> None:
    desk = at_desk()
    key = desk.keys.for_one()
    assert [desk.ask("GET", f"/?key={key}").status_code for _ in range(2)] == [200, 403]


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "localhost:8417.evil.example", f"{HOST}.", ""]
)
def test_it_answers_under_its_own_name_only(at_desk: Begun, host: str) -> None:
    """A page elsewhere whose name is turned to this machine (rebinding) gets no further, with key or cookie."""
    desk = at_desk()
    for path in (f"/?key={desk.keys.door}", "/job"):
        assert desk.ask("GET", path, headers={"host": host, **desk.cookie}).status_code == 421


@pytest.mark.parametrize("origin", ["http://evil.example", f"https://{HOST}", "null", "", "http://127.0.0.1:9"])
def test_a_change_comes_from_the_desks_own_page(at_desk: Begun, origin: str) -> None:
    desk = at_desk()
    before = desk.survey.read_bytes()
    assert desk.post("/undo", {}, origin=origin).status_code == 403
    assert desk.survey.read_bytes() == before


@pytest.mark.parametrize("media", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""])
def test_a_form_of_another_page_changes_nothing(at_desk: Begun, media: str) -> None:
    assert at_desk().post("/add", {"name": "rooms"}, **{"content-type": media}).status_code == 415


def test_too_much_is_not_taken(at_desk: Begun) -> None:
    desk = at_desk()
    assert desk.post("/set", b" " * (MOST + 1)).status_code == 413
    assert desk.post("/set", b"{}", **{"content-length": "9" * 40}).status_code == 413
    assert desk.post("/set", b"{}", **{"content-length": "x"}).status_code == 411
    assert desk.post("/set", {"place": "/job", "drafts": [{}] * 501}).status_code == 400


@pytest.mark.parametrize("told", [b"", b"[", b"[]", b"1", b"[" * 60_000, b'{"drafts": 1}', b'{"drafts": [1]}'])
def test_what_is_no_change_is_told_so(at_desk: Begun, told: bytes) -> None:
    assert at_desk().post("/set", told).status_code == 400


def test_nothing_runs_but_the_one_script(at_desk: Begun) -> None:
    """Strict content policy; what a survey says is never markup."""
    wall = '{name: A, length: "<i>"}'
    text = (
        f'listel: 1\njob: {{title: "<script>alert(1)</script>"}}\nrooms: [{{name: "</script><b>", walls: [{wall}]}}]\n'
    )
    desk = at_desk(text=text)
    for path in ("/room/0", "/room/0/wall/0", "/job", "/open", "/papers"):
        page = desk.get(path)
        policy = page.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert "<script>alert" not in page.text
        assert "</script><b>" not in page.text
        assert page.text.count("<script") == 2
        assert "style=" not in page.text
        assert " on" + "click" not in page.text


def test_a_paper_is_shown_in_a_box_of_its_own(at_desk: Begun) -> None:
    shown = at_desk().get("/paper/workshop?look")
    assert shown.headers["content-security-policy"] == PAPER_POLICY
    assert "content-disposition" not in shown.headers


@pytest.mark.parametrize(
    "name", ["..%2Fsurvey.yaml", "..%2F..%2Fetc%2Fpasswd", ".hidden.jpg", "link.jpg", "a.png", "%00.jpg"]
)
def test_no_path_leads_out_of_the_folder(at_desk: Begun, tmp_path: Path, name: str) -> None:
    desk = at_desk()
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "link.jpg").symlink_to(desk.survey)
    assert desk.get(f"/photos/{name}").status_code == 404


def test_a_folder_that_is_a_link_takes_no_photograph(at_desk: Begun, tmp_path: Path) -> None:
    desk = at_desk()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "photos").symlink_to(tmp_path / "elsewhere")
    answer = desk.post("/photo", {"wall": "rooms/0/walls/0", "data": base64.b64encode(jpeg()).decode()})
    assert answer.status_code == 503
    assert list((tmp_path / "elsewhere").iterdir()) == []


def jpeg() -> bytes:
    """The least that has a JPEG's form, with a place and a comment in it."""
    return (
        b"\xff\xd8\xff\xe0\x00\x04JF\xff\xe1\x00\x0dExif GPS 51\xff\xfe\x00\x08secret\xff\xdb\x00\x03Q"
        b"\xff\xda\x00\x03Sdata\xff\xd9"
    )


def test_a_photograph_keeps_nothing_of_where_it_was_taken(at_desk: Begun, tmp_path: Path) -> None:
    desk = at_desk()
    answer = desk.post("/photo", {"wall": "rooms/0/walls/0", "data": base64.b64encode(jpeg()).decode()})
    assert answer.status_code == 200
    assert "file: photos/back-bedroom-a-1.jpg" in desk.survey.read_text("utf-8")
    name = answer.json()["name"]
    kept = (tmp_path / "photos" / name).read_bytes()
    assert kept == b"\xff\xd8\xff\xe0\x00\x04JF\xff\xdb\x00\x03Q\xff\xda\x00\x03Sdata\xff\xd9"
    assert desk.get(f"/photos/{name}").content == kept
    assert name in desk.get("/room/0/wall/0").text
    again = desk.post("/photo", {"wall": "rooms/0/walls/0", "data": base64.b64encode(jpeg()).decode()})
    assert again.json()["name"] != name


@pytest.mark.parametrize(
    "content", [b"", b"GIF89a", b"\xff\xd8", jpeg()[:20], b"\xff\xd8\xff\xe1\x00\x00rest", b"<svg/>"]
)
def test_what_is_no_photograph_is_not_kept(at_desk: Begun, tmp_path: Path, content: bytes) -> None:
    answer = at_desk().post("/photo", {"wall": "rooms/0/walls/0", "data": base64.b64encode(content).decode()})
    assert answer.status_code == 503
    assert not list((tmp_path / "photos").glob("*"))


def test_a_photograph_has_its_limits(at_desk: Begun) -> None:
    desk = at_desk()
    large = base64.b64encode(jpeg() + b"x" * MOST_PHOTO).decode()
    assert desk.post("/photo", {"wall": "rooms/0/walls/0", "data": large}).status_code == 503
    for wall in ("rooms/0", "../..", "rooms/0/walls/7x", ""):
        assert desk.post("/photo", {"wall": wall, "data": ""}).status_code == 400
    assert without_marks(jpeg()).endswith(b"data\xff\xd9")


@pytest.mark.parametrize(
    "name", ["listel", "rooms", "x/y", "rooms/0/walls/0/substrate", "rooms/999/name/x", "", "job/title/x"]
)
def test_only_fields_of_the_form_are_set(at_desk: Begun, name: str) -> None:
    desk = at_desk()
    before = desk.survey.read_bytes()
    answer = desk.set("/job", (name, "", "1"))
    assert name in answer.json()["refused"]
    assert desk.survey.read_bytes() == before


def test_the_state_asked_for_is_of_a_page(at_desk: Begun) -> None:
    desk = at_desk()
    for place in ("", "/x", "/room", "/room/-1", "/room/0/walls/1", "/room/0/wall", "//job/../x", "/room/99999999"):
        assert desk.get(f"/state?place={place}").status_code == 400, place


def test_another_site_is_told_nothing_of_where_one_came_from(at_desk: Begun) -> None:
    headers = at_desk().get("/job").headers
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cache-control"] == "no-store"
    assert json.dumps(dict(headers)).count("access-control") == 0
