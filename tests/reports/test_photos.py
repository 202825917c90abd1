"""Photographs: shown upright and small, nothing of what the camera wrote in any form; a fault where one cannot be."""

from __future__ import annotations

import argparse
import json
import re
import struct
import sys
import zipfile
import zlib
from base64 import b64decode
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ExifTags, Image

from listel.core.commands.cli import main
from listel.core.commands.run import examined
from listel.core.contract.cases import base, changed
from listel.core.host.outcome import Outcome
from listel.reports import photos
from listel.reports.markdown import to_markdown
from listel.reports.pdf import to_pdf
from listel.reports.statement import compose, to_html
from listel.reports.word import to_word

SECRET = b"51.5014N-0.1419W"


def photograph(width: int = 1600, height: int = 900) -> bytes:
    """A picture as a telephone writes it: lying on its side, with its place and the maker in its metadata."""
    image = Image.linear_gradient("L").resize((width, height)).convert("RGB")
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6
    exif[ExifTags.Base.ImageDescription] = SECRET.decode()
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSAreaInformation] = SECRET
    out = BytesIO()
    image.save(out, "JPEG", exif=exif, comment=SECRET)
    return out.getvalue()


def outcome(folder: Path, *files: str, **sets: object) -> Outcome:
    """The outcome of a survey in that folder which lists these files as photographs."""
    listed = [
        {"name": f"view {number}", "file": file, "shows": f"the old skirting, {number}", "room": "Hall", "wall": "A"}
        for number, file in enumerate(files, 1)
    ]
    survey = folder / "survey.yaml"
    survey.write_text(json.dumps(changed(base("one-wall"), {"photos": listed, **sets})), encoding="utf-8")
    return examined(survey, argparse.Namespace(plugin=[], house=[]))


def told(made: Outcome) -> list[str]:
    """What is told of photographs that are not shown."""
    return [finding.says for finding in made.findings if finding.rule == "existing/photo-not-shown"]


def test_nothing_the_camera_wrote_is_in_any_form(tmp_path):
    raw = photograph()
    assert SECRET in raw
    (tmp_path / "one.jpg").write_bytes(raw)
    statement = compose(outcome(tmp_path, "one.jpg"))
    page = to_html(statement)
    pictures = [b64decode(data) for data in re.findall(r"data:image/jpeg;base64,([A-Za-z0-9+/=]+)", page)]
    assert len(pictures) == 1
    text, drawings = to_markdown(statement, "drawings")
    word = zipfile.ZipFile(BytesIO(to_word(statement)))
    forms = [
        page.encode(),
        *pictures,
        to_pdf(statement).content,
        text.encode(),
        *(d.encode() for d in drawings.values()),
    ]
    forms += [word.read(name) for name in word.namelist() if name != "docProps/thumbnail.jpeg"]  # the template's own
    for form in forms:
        assert SECRET not in form
        assert b"Exif" not in form


def test_it_is_upright_and_no_longer_than_1200_pixels(tmp_path):
    (tmp_path / "one.jpg").write_bytes(photograph(1600, 900))
    made = outcome(tmp_path, "one.jpg")
    (listed,) = next(each for each in made.given).photos
    data, width, height = photos.kept(listed)
    assert (width, height) == Image.open(BytesIO(data)).size == (675, 1200)


def bare(width: int = 400, height: int = 300) -> bytes:
    """A picture with nothing beside it."""
    out = BytesIO()
    Image.linear_gradient("L").resize((width, height)).convert("RGB").save(out, "JPEG")
    return out.getvalue()


def shown(folder: Path, data: bytes) -> bytes:
    """How a photograph of these bytes is shown."""
    (folder / "one.jpg").write_bytes(data)
    (listed,) = next(each for each in outcome(folder, "one.jpg").given).photos
    return photos.kept(listed)[0]


def test_one_that_is_small_and_bare_is_shown_as_it_is(tmp_path, monkeypatch):
    wide = shown(tmp_path, bare(1300, 900))
    assert Image.open(BytesIO(wide)).size == (1200, 831)
    small = bare()
    monkeypatch.setitem(sys.modules, "PIL", None)
    assert shown(tmp_path, small) == small


def test_what_stands_beside_the_picture_goes_wherever_it_stands(tmp_path):
    data = bare()
    heads = [found.start() for found in re.finditer(rb"\xff[\xc0\xc4\xda\xdb\xe0]", data[:700])]
    assert len(heads) > 5
    for marker in (0xE0, 0xE1, 0xEE, 0xFE):
        secret = bytes((0xFF, marker)) + struct.pack(">H", len(SECRET) + 2) + SECRET
        for at in (*heads, len(data) - 2, len(data)):
            assert SECRET not in shown(tmp_path, data[:at] + secret + data[at:]), (marker, at)
    thumbed = data.replace(b"\0\x10JFIF\0", struct.pack(">H", 16 + len(SECRET)) + b"JFIF\0", 1)
    assert SECRET not in shown(tmp_path, thumbed[:20] + SECRET + thumbed[20:])


@given(cut=st.integers(0, 700), byte=st.integers(0, 255))
@settings(max_examples=60)
def test_any_bytes_are_judged(cut, byte):
    data = bare(8, 8)
    changed = data[:cut] + bytes((byte,)) + data[cut + 1 :]
    for one in (data[:cut], changed):
        found = photos._bare(one)
        assert found is None or (one.endswith(b"\xff\xd9") and min(found) > 0)


def test_four_stand_on_a_page_with_their_words_for_those_who_cannot_see_them(tmp_path):
    for number in range(5):
        (tmp_path / f"{number}.jpg").write_bytes(photograph(400, 300))
    statement = compose(outcome(tmp_path, *(f"{number}.jpg" for number in range(5))))
    (part,) = (part for part in statement.parts if part.name == "part-photographs")
    assert [found.count("<image ") for found in re.findall(r"<svg.*?</svg>", part.body, re.DOTALL)] == [4, 1]
    assert "Photographs: 1 the old skirting, 1; 2 the old skirting, 2" in part.body
    word = zipfile.ZipFile(BytesIO(to_word(statement))).read("word/document.xml").decode()
    assert 'descr="Photograph: 5 the old skirting, 5."' in word


def test_the_files_digest_is_in_the_statements(tmp_path):
    (tmp_path / "one.jpg").write_bytes(photograph(40, 30))
    first = outcome(tmp_path, "one.jpg").digest
    (tmp_path / "one.jpg").write_bytes(photograph(40, 31))
    assert outcome(tmp_path, "one.jpg").digest != first


def png(width: int, height: int) -> bytes:
    """A PNG that says it is that large."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 9)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("file", "data", "says"),
    [
        ("none.jpg", None, "there is no such file"),
        ("one.jpg", b"GIF89a", "neither JPEG nor PNG"),
        ("one.jpg", b"", "neither JPEG nor PNG"),
        ("one.jpg", b"\xff\xd8\xff\xe0\x00\x04ab", "its JPEG is broken"),
        ("one.png", png(8001, 8000), "more than 64 million"),
        ("../one.jpg", None, "inside the folder"),
        ("/etc/passwd", None, "inside the folder"),
        ("link.jpg", "link", "it is a link"),
    ],
)
def test_what_cannot_be_shown_is_told_at_its_line_and_its_caption_stands(tmp_path, file, data, says):
    if data == "link":
        (tmp_path / "real.jpg").write_bytes(photograph(40, 30))
        (tmp_path / file).symlink_to(tmp_path / "real.jpg")
    elif data is not None:
        (tmp_path / file).write_bytes(data)
    made = outcome(tmp_path, file)
    (sentence,) = told(made)
    assert says in sentence
    assert next(f for f in made.findings if f.rule == "existing/photo-not-shown").where.line == 1
    page = to_html(compose(made))
    assert "the old skirting, 1" in page
    assert "<image " not in page


def test_one_too_large_to_read_is_not_read(tmp_path, monkeypatch):
    monkeypatch.setattr("listel.core.survey.photographs.MOST_BYTES", 100)
    (tmp_path / "one.jpg").write_bytes(photograph(40, 30))
    assert "it is larger than" in told(outcome(tmp_path, "one.jpg"))[0]


def test_a_picture_that_is_broken_inside_shows_its_caption(tmp_path):
    (tmp_path / "one.png").write_bytes(png(300, 200))
    page = to_html(compose(outcome(tmp_path, "one.png")))
    assert "its picture is broken or too large" in page


def test_without_the_extra_the_caption_says_what_to_install(tmp_path, monkeypatch):
    (tmp_path / "one.jpg").write_bytes(photograph(40, 30))
    made = outcome(tmp_path, "one.jpg")
    monkeypatch.setitem(sys.modules, "PIL", None)
    page = to_html(compose(made))
    assert "the old skirting, 1" in page
    assert "pip install" in page


def test_a_finding_of_height_names_the_photograph_of_its_mark(tmp_path):
    (tmp_path / "one.jpg").write_bytes(photograph(40, 30))
    mark = {"kind": "ghost-line", "member": "dado-rail", "height": 900, "wall": "A", "photos": ["view 1"]}
    made = outcome(tmp_path, "one.jpg", **{"rooms.0.evidence": [mark]})
    inputs = [one.note for finding in made.findings for one in finding.grounds.inputs]
    assert "photograph view 1" in inputs


def test_each_is_marked_where_it_was_taken(tmp_path):
    from listel.reports.drawings import draw
    from listel.reports.drawings.paper import text_boxes

    (tmp_path / "one.jpg").write_bytes(photograph(40, 30))
    made = outcome(tmp_path, *["one.jpg"] * 7, **{"photos.6.at": 1800})
    for name in ("elevation", "plan"):
        assert "7" in [words for words, _ in text_boxes(draw(name, made, room="Hall").svg)]


def test_reading_back_tells_which_cannot_be_shown(tmp_path, capsys):
    (tmp_path / "one.jpg").write_bytes(photograph(40, 30))
    outcome(tmp_path, "one.jpg", "none.jpg")
    capsys.readouterr()
    assert main(["survey", str(tmp_path / "survey.yaml")]) == 0
    told = capsys.readouterr().out
    assert "photographs 2" in told
    assert "photograph view 2 is not shown (line 1): none.jpg: there is no such file" in told
    assert "view 1 is not" not in told
