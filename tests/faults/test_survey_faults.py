"""Surveys with faults: each is told once, at its line, in words."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from listel.core.survey.messages import Fault
from listel.core.survey.reading import SurveyFaults, job_from_text, read_survey

TWELVE = """\
listel: 1
job: {title: Twelve mistakes}
rooms:
  - name: Parlour
    height: 2950
    walls:
      - name: A
        length: 4862
        corner: {kind: internal, angle: 9.13}
        substrate: {kind: lime-on-lat}
        bow: {chord: 2000, raise: 9}
        openings:
          - {kind: door, at: 4500, width: 838}
      - name: B
        length: 3,2 m
        corner: {kind: internal, angle: 272}
      - name: B
    evidence:
      - {kind: ghost-line, member: dado-rail, height: 868, wall: Z}
trim:
  - name: dado
    member: dado-rail
    where: [{room: Parlor, walls: all}]
  - name: skirting
    member: skirting
    where:
      - room: Parlour
        walls: [A]
    moisture: 140
    moisture: 14
rack:
  - {for: dado, name: R1, length: 1740, defects: [{from: 1700, to: 1650, kind: knot}]}
"""

EXPECTED = [
    (9, "9.13 is below 20; a corner angle is in degrees, 20 to 340, as the bevel reads it. Did you mean 91.3?"),
    (10, "lime-on-lat is not known here. Did you mean lime-on-lath?"),
    (11, "this key is not known here. Did you mean rise?"),
    (13, "it ends at 5338 mm, past the end of the wall at 4862 mm"),
    (15, '"3,2 m" has a comma; write 3.2 m with a point'),
    (16, "an internal corner is under 180, so this one is external; write kind: external and angle: 88"),
    (17, "two walls of this room are called B; the other is on line 14"),
    (19, "there is no wall in Parlour called Z."),
    (23, "there is no room called Parlor. Did you mean Parlour?"),
    (29, "140 is above 100 %"),
    (30, "the key moisture stands here again; it stands on line 29 already"),
    (32, "it ends at 1650 mm, before it begins at 1700 mm"),
]


def faults_of(text: str) -> list[str]:
    """The messages of a survey's faults."""
    with pytest.raises(SurveyFaults) as caught:
        job_from_text(text, "hall.yaml")
    return str(caught.value).splitlines()


def test_twelve_mistakes_print_twelve_messages_each_with_its_line() -> None:
    lines = faults_of(TWELVE)
    assert len(lines) == len(EXPECTED) == 12
    for line, (number, says) in zip(lines, EXPECTED, strict=True):
        assert line.startswith(f"hall.yaml:{number}:")
        assert says in line


def test_a_fault_names_its_place_in_words() -> None:
    first = faults_of(TWELVE)[0]
    assert first.startswith("hall.yaml:9:41: rooms > Parlour > walls > A > corner > angle: 9.13 is below 20;")


SMALL = """\
listel: 1
job: {title: One room}
rooms:
  - name: Parlour
    walls:
      - name: A
        length: 4000
trim:
  - {name: dado, member: dado-rail, where: [{room: Parlour}]}
"""

ONE_FAULT = [
    (
        "        length: 4000",
        "        length: 4000\n        height: 3",
        8,
        "this key is not known here. The keys here are: name, length",
    ),
    ("        length: 4000", "        length:", 7, "nothing is written"),
    ("        length: 4000", "        length: {first: 4000}", 7, "second is missing (second reading)"),
    ("        length: 4000", "        length: {first: 4000, second: x}", 7, '"x" cannot be read; write a length as'),
    ("        length: 4000", "        length: .nan", 7, "is not a finite number"),
    ("        length: 4000", "        length: 0", 7, "0 is below 20 mm"),
    (
        "        length: 4000",
        "        length: 4000\n        lean: 90",
        8,
        "90 is above 10; lean out of plumb, degrees.",
    ),
    (
        "        length: 4000",
        "        length: 4000\n        bow: {chord: 1000, rise: 600}",
        8,
        "more than half its chord",
    ),
    (
        "        length: 4000",
        "        length: 4000\n        external: perhaps",
        8,
        "perhaps (text) cannot stand here; expected true or false",
    ),
    (
        "        length: 4000",
        "        length: 4000\n        floor: [{at: 4100, to-datum: 1000}]",
        8,
        "the reading stands at 4100 mm",
    ),
    (
        "        length: 4000",
        "        length: 4000\n        fittings: [{kind: socket, at: 3950, width: 146}]",
        8,
        "it ends at 4096 mm",
    ),
    *(
        (
            "        length: 4000",
            "        length: 4000\n        openings:\n          - {kind: door, at: 500, width: 800, height: 2000}\n"
            f"        {key}:\n          - {{kind: switch, at: {at}, width: 86, height: 1200}}",
            11,
            "it stands in the clear of the door, from 500 mm to 1300 mm, where no wall is",
        )
        for key in ("fittings", "behind")
        for at in (500, 1214)
    ),
    *(
        (
            "        length: 4000",
            f"        length: 4000\n    stairs: [{{name: stair, walls: [{{wall: A, {told}}}]}}]",
            8,
            says,
        )
        for told, says in (
            ("foot: 4006, up: left", "its first riser stands at 4006 mm, past the end of the wall at 4000 mm"),
            ("winders: {from: 3000, to: 4100}", "4100 mm is past the end of the wall at 4000 mm"),
        )
    ),
    *(
        ("        length: 4000", f"        length: 4000\n        openings:\n{door}", 9, says)
        for door, says in (
            (
                "          - {kind: door, at: 0, width: 900, leads-to: Parlor}",
                "there is no room called Parlor. Did you mean",
            ),
            (
                "          - {kind: door, at: 0, width: 900, leads-to: Parlour}",
                "it leads back into its own room, Parlour",
            ),
            (
                "          - {kind: window, at: 0, width: 900, reveal: 451, splay: 45}",
                "its sides would cross: 900 mm less 902 mm leaves nothing",
            ),
        )
    ),
    (
        "        length: 4000",
        "        length: 4000\n        corner: {kind: external, angle: 270}",
        8,
        "write 90 (360 less it)",
    ),
    (
        "        length: 4000",
        "        length: 4000\n        corner: {kind: internal, angle: 180}",
        8,
        "180 is straight",
    ),
    (
        "        length: 4000",
        "        length: 4000\n        substrate: {kind: brick, plugs: [5000]}",
        8,
        "the plug stands at 5000 mm",
    ),
    (
        "        length: 4000",
        "        length: 4000\n        openings:\n"
        "          - {kind: door, at: 0, width: 900}\n          - {kind: door, at: 890, width: 800}",
        10,
        "this opening begins at 890 mm, before the door beside it ends at 900 mm",
    ),
    ("      - name: A\n", "      - name: 7\n", 6, '7 is a number where text is expected; put it in quotes: "7"'),
    (
        "  - name: Parlour\n",
        "  - name: Parlour\n    height: 2.95\n",
        5,
        "2.95 is below 500 mm; floor to ceiling. Did you mean 2.95 m?",
    ),
    (
        "  - name: Parlour\n",
        "  - name: Parlour\n    height: [{wall: B, at: 20, height: 2950}]\n",
        5,
        "there is no wall in Parlour called B",
    ),
    (
        "  - name: Parlour\n",
        "  - name: Parlour\n    height: [{wall: A, at: near 2, height: 2950}]\n",
        5,
        "write a length as",
    ),
    ("  - name: Parlour\n", "  - name: Parlour\n    period: victorean\n", 5, "Did you mean victorian?"),
    (
        "listel: 1\n",
        "listel: 1\nclimate: {winter: {humidity: 0.42}}\n",
        2,
        "0.42 may be 42 % or 0.42 %; write which, with its %",
    ),
    (
        "listel: 1\n",
        "listel: 1\nclimate: {winter: {temperature: 66}}\n",
        2,
        "66 is above 50 C; air temperature; bare it is C, in a survey in inches F. Did you mean 66 F?",
    ),
    ("listel: 1\n", "listel: 2\n", 1, "2 cannot stand here; write 1"),
    ("listel: 1\n", "listel: 1\nbuilding: {built: before 1838}\n", 2, "about 1838"),
    ("listel: 1\n", "listel: 1\nwork: {laser-class: 2}\n", 2, 'must be written as text here: "2"'),
    (
        "listel: 1\n",
        "listel: 1\nstock: [{for: dadoo, length: 3000}]\n",
        2,
        "there is no trim called dadoo. Did you mean dado?",
    ),
    (
        "listel: 1\n",
        "listel: 1\ndepartures: [{rule: a/b, room: Hall, reason: why, agreed: me}]\n",
        2,
        "no room called Hall",
    ),
    *(
        ("listel: 1\n", f"listel: 1\n{stock}\n", line, f"{says} with a point")
        for stock, line, says in (
            (
                "stock: [{for: dado, length: 3000, price: 31,50, quantity: 2}]",
                2,
                'price: "31,50" has a comma; write 31.50',
            ),
            ("stock: [{for: dado, price: 31,5, length: 3000}]", 2, 'price: "31,5" has a comma; write 31.5'),
            ("stock: [{for: dado, length: 3,000}]", 2, 'length: "3,000" has a comma; write 3.000'),
            ("stock:\n  - for: dado\n    length: 3000\n    price: 31,50", 5, '"31,50" has a comma; write 31.50'),
        )
    ),
    (
        "        length: 4000",
        "        length: 1.448\n        floor: [{at: 1448, to-datum: 1000}]\n"
        "        openings: [{kind: door, at: 100, width: 800}]",
        7,
        "Did you mean 1.448 m?",
    ),
    ("listel: 1\n", "listel: 1\nstock: [{for: dado, length: 3000, 50: 2}]\n", 2, "this key is not known here"),
    ("listel: 1\n", "listel: 1\nclimate: {day: {temperature: -300}}\n", 2, "is below absolute zero"),
    ("listel: 1\n", "", 1, "listel is missing (the version of this form: 1)"),
    (
        "where: [{room: Parlour}]",
        "where: [{room: Parlour, walls: [A], from: 3000, to: 5000}]",
        9,
        "past the end of wall A at 4000 mm",
    ),
    ("where: [{room: Parlour}]", "where: [{room: Parlour, walls: some}]", 9, "write all"),
    ("where: [{room: Parlour}]", "where: [{room: Parlour}], match: [[A, B]]", 9, "no wall of this trim called B"),
    ("where: [{room: Parlour}]", "where: [{walls: all}]", 9, "room is missing"),
]


def test_the_small_survey_is_sound() -> None:
    assert job_from_text(SMALL).rooms[0].walls[0].name == "A"


@pytest.mark.parametrize(("old", "new", "line", "says"), ONE_FAULT)
def test_one_mistake_prints_one_message(old: str, new: str, line: int, says: str) -> None:
    assert old in SMALL
    told = faults_of(SMALL.replace(old, new))
    assert len(told) == 1
    assert told[0].startswith(f"hall.yaml:{line}:")
    assert says in told[0]


def test_a_stretch_of_several_walls_is_refused() -> None:
    text = SMALL.replace("trim:", "      - name: B\ntrim:").replace(
        "{room: Parlour}", "{room: Parlour, from: 20, to: 100}"
    )
    assert faults_of(text)[0].endswith("name that one wall under walls")


def test_a_profile_that_falls_behind_its_wall_is_refused_at_the_element() -> None:
    elements = "[{kind: cyma-recta, height: 20, projection: 10}, {kind: fascia, height: 9, projection: -350}]"
    text = SMALL.replace("where: [{room: Parlour}]", f"where: [{{room: Parlour}}], foot: 8, profile: {elements}")
    told = faults_of(text)
    assert len(told) == 1
    assert "the profile ends 332 mm behind the wall here" in told[0]


@pytest.mark.parametrize("bend", ["bow", "spring", "twist"])
def test_a_board_more_bent_than_it_is_long_is_refused(bend: str) -> None:
    told = faults_of(SMALL + f"rack:\n  - {{for: dado, name: R1, length: 200, {bend}: 101}}\n")
    assert len(told) == 1
    assert f"a {bend} of 101 mm is more than half the board's length, 200 mm" in told[0]


def test_bare_numbers_and_bounds_follow_the_units() -> None:
    text = "units: inches\n" + SMALL.replace("4000", "0.01")
    assert 'is below 13/16"' in faults_of(text)[0]
    assert job_from_text(text.replace("0.01", "157 1/2")).rooms[0].walls[0].length.first == 4000.5  # type: ignore[union-attr]


def test_more_than_200_faults_are_counted() -> None:
    keys = "".join(f"odd{number}: 1\n" for number in range(300))
    told = faults_of(SMALL + keys)
    assert len(told) == 201
    assert told[-1] == "hall.yaml: and 100 faults more; mend these first"


SYNTAX = [
    ("a: 1\n\tb: 2\n", 2, "a tab stands in the indent"),
    ("a: {b: 1\n", 2, "the { opened on line 1 is not closed"),
    ("a: [1, 2\nb: 3\n", 2, "the [ opened on line 1 is not closed"),
    ("a: 'x\n", 2, "the quote opened on line 1 is not closed"),
    ("a: b: c\n", 1, "a colon cannot stand here"),
    ("a:\n  b: 1\n c: 2\n", 3, "this does not line up"),
    ("a: 1\n---\nb: 2\n", 2, "a second document"),
    ("%YAML 1.1\n---\na: 1\n", 1, "is a directive"),
    ("a: *b\n", 1, "the alias *b has no anchor"),
    ("a: &b [*b]\n", 1, "stands inside what it repeats"),
    ("a\0b: 1\n", 1, "a NUL stands here"),
    ("a: 1\nb: \x07\n", 2, "the control character U+0007"),
    ("[a]: 1\n", 1, "a key must be text"),
    ("a: {[b]: 1}\n", 1, "a key must be text"),
    ("a: " + "[" * 100_000, 1, "nested more than 40 deep"),
    ("", 0, "the file holds no survey"),
    ("# only a comment\n", 0, "the file holds no survey"),
    ("a word\n", 0, "the file holds no survey"),
    ("- a\n- b\n", 0, "the file holds no survey"),
]


@pytest.mark.parametrize(("text", "line", "says"), SYNTAX, ids=lambda value: repr(value)[:24])
def test_text_that_is_no_survey_gets_one_message(text: str, line: int, says: str) -> None:
    told = faults_of(text)
    assert len(told) == 1
    assert told[0].startswith(f"hall.yaml:{line}:" if line else "hall.yaml: ")
    assert says in told[0]


@pytest.mark.parametrize("tag", ["!!python/object/apply:os.system [echo]", "!thing x", "!!str 5"])
def test_tags_are_refused(tag: str) -> None:
    told = faults_of(SMALL.replace("title: One room", f"title: One room, note: {tag}") + f"note: {tag}\n")
    assert any("hall.yaml:10:" in line and "is not read; take it out" in line for line in told)


def test_aliases_are_read_and_bounded() -> None:
    text = SMALL.replace("title: One room", "title: &t One room, client: *t")
    assert job_from_text(text).client == "One room"
    layers = "".join(f"x{n}: &x{n} [{', '.join([f'*x{n - 1}'] * 9)}]\n" for n in range(1, 10))
    told = faults_of("x0: &x0 [a, b, c, d, e, f, g, h, i]\n" + layers)
    assert len(told) == 1
    assert "more than 200,000 values, aliases counted in full" in told[0]


def test_keys_inside_an_alias_know_their_lines() -> None:
    text = SMALL.replace(
        "length: 4000", "length: 4000\n        substrate: &s {kind: brick}\n      - name: B\n        substrate: *s"
    )
    job = job_from_text(text)
    assert [wall.substrate.kind for wall in job.rooms[0].walls if wall.substrate] == ["brick", "brick"]
    assert job.line(job.rooms[0].walls[1], "substrate") == 10


def test_what_is_alike_is_told_once_in_the_order_of_the_file() -> None:
    told = [("a", "X"), ("a", "Y"), ("b", "X"), ("c", "Z")]
    faults = SurveyFaults(Fault("s.yaml", 3, 1, path, says) for path, says in told)
    assert [line.rpartition(": ")[2] for line in str(faults).splitlines()] == ["X", "Y", "Z"]


def test_a_wrong_word_behind_an_anchor_is_told_once_with_the_words_there_are() -> None:
    more = "".join(f"\n      - name: {name}\n        substrate: *s" for name in "BC")
    walls = "substrate: &s {kind: balloon frame}" + more
    told = faults_of(SMALL.replace("length: 4000", f"length: 4000\n        {walls}"))
    assert len(told) == 1
    assert "balloon frame is not known here. It may be lime-on-lath, " in told[0]


FILES = [
    (b"PK\x03\x04" + bytes(200), "this is a Word or other zipped file"),
    (b"\xd0\xcf\x11\xe0" + bytes(200), "an old Word or Excel file"),
    (b"%PDF-1.7\n", "a PDF"),
    ("listel: 1".encode("utf-16"), "text in UTF-16"),
    (b"listel: 1\njob: {title: caf\xe9}\n", ":2:17: byte 0xe9 is not UTF-8 text"),
    (b"x" * (1 << 20) + b"y", "1,048,577 bytes are too many"),
    (bytes(range(256)), "byte 0x80 is not UTF-8 text"),
]


@pytest.mark.parametrize(("data", "says"), FILES, ids=[says[:24] for _, says in FILES])
def test_files_that_are_no_text(tmp_path: Path, data: bytes, says: str) -> None:
    path = tmp_path / "hall.yaml"
    path.write_bytes(data)
    with pytest.raises(SurveyFaults) as caught:
        read_survey(path)
    assert says in str(caught.value).splitlines()[0]


def test_a_folder_a_missing_file_and_a_huge_one(tmp_path: Path) -> None:
    with pytest.raises(SurveyFaults, match="this is a folder"):
        read_survey(tmp_path)
    with pytest.raises(SurveyFaults, match=r"there is no such file; `listel survey new hall.yaml` writes a starter"):
        read_survey(tmp_path / "hall.yaml")
    huge = tmp_path / "huge.yaml"
    with huge.open("wb") as file:
        file.truncate(50 * 1024 * 1024)
    with pytest.raises(SurveyFaults, match="52,428,800 bytes are too many"):
        read_survey(huge)


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "hall.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())
    assert read_survey(path).line(read_survey(path).rooms[0].walls[0], "length") == 7


def test_every_parser_tells_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the C parser the same survey reads the same, and the same faults stand at the same places."""
    from ruamel import yaml

    with_c = (job_from_text(SMALL), faults_of(TWELVE), [faults_of(text) for text, _, _ in SYNTAX])
    init = yaml.YAML.__init__

    def pure_init(self: object, *, typ: str, pure: bool) -> None:
        init(self, typ=typ, pure=True)

    monkeypatch.setattr(yaml.YAML, "__init__", pure_init)
    assert (job_from_text(SMALL), faults_of(TWELVE), [faults_of(text) for text, _, _ in SYNTAX]) == with_c


def test_the_digest_is_that_of_the_data_and_not_of_comments() -> None:
    plain = job_from_text(SMALL)
    assert job_from_text("# a comment\n" + SMALL).digest == plain.digest
    assert job_from_text(SMALL.replace("4000", "4001")).digest != plain.digest
    assert len(plain.digest) == 64
    assert json.loads(json.dumps(plain.source)) == "survey.yaml"


@pytest.mark.parametrize("length", ["1e53", "1e300", "-1e53"])
def test_a_length_beyond_all_measure_is_a_fault(length: str) -> None:
    told = faults_of(SMALL.replace("4000", length))
    assert len(told) == 1 and re.search(r": \S+ is (above|below) \d+ mm\.", told[0])


@pytest.mark.parametrize(
    ("wall", "at", "refused"),
    [
        ("openings: [{kind: door, at: 3200, width: 805}]", "", False),
        ("openings: [{kind: door, at: 3200, width: 805.1}]", "past the end of the wall", True),
        ("openings: [{kind: door, at: 900, width: 800}, {kind: door, at: 1700, width: 800}]", "", False),
        ("openings: [{kind: door, at: 900, width: 800}, {kind: door, at: 1699.9, width: 800}]", "they overlap", True),
        ("panels: [{at: 3200, width: 805.1}]", "past the end of the wall", True),
        ("panels: [{at: 300, width: 800}, {at: 1099, width: 800}]", "they overlap", True),
        ("panels: [{at: 300, width: 800}, {at: 1100, width: 800}]", "they overlap", False),
        (
            "panels: [{at: 300, width: 800, underside: 250, height: 400}, {at: 300, width: 800, underside: 700}]",
            "they overlap",
            False,
        ),
        ("corner: {kind: external, angle: 179.9}", "", False),
        ("corner: {kind: external, angle: 180.1}", "an external corner is the angle of the solid", True),
        ("corner: {kind: internal, angle: 180}", "180 is straight", True),
        ("bow: {chord: 1000, rise: 500}", "", False),
        *(
            (
                f"openings: [{{kind: {kind}, at: 500, width: 800, height: 2000}}]\n        fittings: [{{{there}}}]",
                "",
                False,
            )
            for kind, there in (
                ("door", "kind: switch, at: 1300, width: 86, height: 1200"),
                ("door", "kind: switch, at: 1215, width: 86, height: 1200"),
                ("door", "kind: light, at: 850, width: 86, height: 2000"),
                ("door", "kind: switch, at: 850, width: 86"),
                ("fireplace", "kind: gas-pipe, at: 850, width: 22, height: 0"),
            )
        ),
        ("bow: {chord: 1000, rise: 500.1}", "more than half its chord", True),
    ],
)
def test_what_a_wall_can_be_has_one_limit_and_is_told_at_its_line(wall: str, at: str, refused: bool) -> None:
    text = SMALL.replace("length: 4000\n", f"length: 4000\n        {wall}\n")
    if not refused:
        assert job_from_text(text)
        return
    (told,) = faults_of(text)
    assert told.startswith("hall.yaml:8:") and at in told


@pytest.mark.parametrize(
    ("height", "opening", "wall", "says"),
    [
        ("2700", "height: 9560", "", "its head stands at 9560 mm, over the ceiling at 2700 mm"),
        ("[2690, {wall: A, at: 0, height: 2700}]", "sill: 620, height: 2085", "", ""),
        (
            "[2690, {wall: A, at: 0, height: 2700}]",
            "sill: 620, height: 2086",
            "",
            "it was read from the floor write 1466 mm",
        ),
        ("2700", "height: 9560", "ceiling: [{at: 0, to-datum: 8600}]", ""),
        ("2700", "sill: 4000, height: 1200", "raised: -1800", ""),
    ],
)
def test_no_opening_stands_over_the_ceiling_of_its_room(height: str, opening: str, wall: str, says: str) -> None:
    there = f"length: 4000\n        openings: [{{kind: window, at: 900, width: 800, {opening}}}]\n        {wall}\n"
    text = SMALL.replace("length: 4000\n", there).replace("name: Parlour\n", f"name: Parlour\n    height: {height}\n")
    if not says:
        assert job_from_text(text)
        return
    (told,) = faults_of(text)
    assert says in told and told.startswith("hall.yaml:9:")
