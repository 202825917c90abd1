"""Many houses at once: what is examined, kept, pooled and told, and what goes wrong with one."""

from __future__ import annotations

import csv
import json
import os
import stat
from concurrent.futures import ProcessPoolExecutor
from dataclasses import make_dataclass, replace
from datetime import date
from functools import partial
from io import BytesIO
from multiprocessing import active_children, get_context
from pathlib import Path
from zipfile import ZipFile

import pytest
from browsing import BROWSER, NO_BROWSER, asked
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_terrace import terrace

from listel.core.commands.cli import main
from listel.core.contract.lines import form_of, of_plain, plain
from listel.core.host.firm import Firm
from listel.plugins.cutting import Share
from listel.plugins.cutting.pool import in_turn
from listel.reports.estate import command, timber
from listel.reports.estate.house import Choice, House, Task, Trace
from listel.reports.estate.pages import A_PAGE, pages
from listel.reports.estate.programme import calendar, spells
from listel.reports.estate.sisters import differing, offered, slips
from listel.reports.estate.work import Lost, worked

PROCESSES = 2


@pytest.fixture(scope="module")
def street(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A terrace of six houses in two streets, examined once by two processes."""
    folder = tmp_path_factory.mktemp("terrace")
    terrace(folder, 6, streets=2)
    assert main(["estate", str(folder), "--jobs", str(PROCESSES), "--xlsx", "--crews", "2"]) == 1
    return folder


def told(capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def test_two_processes_tell_what_one_tells(street: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["estate", str(street), "--jobs", "1", "--out", str(tmp_path / "serial"), "--json"]) == 1
    serial = told(capsys)
    assert main(["estate", str(street), "--jobs", "2", "--json"]) == 1
    both = told(capsys)
    assert (serial.pop("examined"), both.pop("examined")) == (6, 0)
    assert serial == both
    for page in (tmp_path / "serial" / "houses").iterdir():
        assert page.read_text() == (street / "estate" / "houses" / page.name).read_text()


def test_together_never_costs_more_and_every_piece_is_cut_once(
    street: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["estate", str(street), "--json"])
    lines = told(capsys)["timber"]
    assert [line["trim"] for line in lines] == ["dado rail", "skirting"]
    for line in lines:
        assert line["bound"] <= line["cost"] + 1e-6 and line["cost"] <= line["alone"]
        assert sum(share["together"] for share in line["shares"]) == pytest.approx(line["cost"], abs=0.01)
        assert all(share["together"] <= share["alone"] + 1e-6 for share in line["shares"])
        assert not line["unmade"]
    with (street / "estate" / "cuts.csv").open(newline="") as file:
        cut = [row["piece"] for row in csv.DictReader(file)]
    wanted = [
        f"{share['house']}: {piece['label']}"
        for kept in (street / "estate" / "kept").glob("*.timber.json")
        for share in json.loads(kept.read_text())
        for piece in share["pieces"]
    ]
    assert sorted(cut) == sorted(wanted)


def test_only_what_changed_is_examined_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paths = terrace(tmp_path, 3)
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    before = told(capsys)
    survey = json.loads(paths[1].read_text())
    survey["job"]["title"] = "Another title"
    paths[1].write_text(json.dumps(survey))
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    after = told(capsys)
    assert (before["examined"], after["examined"]) == (3, 1)
    (tmp_path / "estate" / "kept" / "no-1.json").write_text('{"made_of": 7}')
    (tmp_path / "estate" / "houses" / "no-3.html").unlink()
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    assert told(capsys)["examined"] == 2


def test_what_is_kept_in_another_form_is_made_anew(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    older = make_dataclass("Share", [("house", str), ("alike", tuple[str, ...])])
    assert form_of(older) != form_of(make_dataclass("Share", [("house", str), ("alike", tuple[str, int])]))
    terrace(tmp_path, 1)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(command, "Share", older)
        main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    assert '"examined": 1,' in capsys.readouterr().out.split("\n}\n")[1]


def test_one_bad_survey_stops_no_other(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paths = terrace(tmp_path, 2)
    (tmp_path / "broken.yaml").write_text("job: {title: A house\nrooms: [")
    (tmp_path / "copy.yaml").write_text(paths[0].read_text())
    (tmp_path / "rates.yaml").write_text("currency: GBP\n")
    for name in ("old.yaml", "older.yaml"):
        (tmp_path / name).write_bytes(b"job: {title: caf\xe9}\n")
    assert main(["estate", str(tmp_path), "--jobs", "2"]) == 2
    said = capsys.readouterr().out
    assert "houses     6, 6 looked at now; 3 held, 3 that cannot be examined" in said
    assert f"fault      {tmp_path / 'broken.yaml'}\n           broken.yaml:" in said
    assert "byte 0xe9 is not UTF-8 text" in said
    assert "copy and no-1 are one and the same survey; each is counted." in said
    assert said.count("one and the same survey") == 1
    assert "copy and no-1 have one reference, T-1." in said
    assert "It could not be examined." in (tmp_path / "estate" / "street-here.html").read_text()


def test_the_tables_hold_every_house_and_no_formula(street: Path) -> None:
    folder = street / "estate"
    with (folder / "houses.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["house"] for row in rows] == [f"street {n % 2 + 1}-no-{n + 1}" for n in (0, 2, 4, 1, 3, 5)]
    assert all(float(row["metres"]) > 15 for row in rows)
    with ZipFile(BytesIO((folder / "estate.xlsx").read_bytes())) as book:
        assert sum(name.startswith("xl/worksheets/sheet") for name in book.namelist()) == 6
        assert not any(b"<f>" in book.read(name) for name in book.namelist())


def test_a_folder_without_a_survey_or_not_there_or_not_to_be_written_is_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["estate", str(tmp_path)]) == 2
    assert "there is no survey here" in capsys.readouterr().err
    assert main(["estate", str(tmp_path / "none")]) == 2
    assert "there is no such folder or survey" in capsys.readouterr().err
    assert main(["estate", str(tmp_path), "--out", str(tmp_path)]) == 2
    assert "nothing is looked at in the folder that --out names" in capsys.readouterr().err
    (survey,) = terrace(tmp_path, 1)
    taken = tmp_path / "taken"
    taken.write_text("a file")
    assert main(["estate", str(survey), "--out", str(taken)]) == 2
    assert "it cannot be written" in capsys.readouterr().err
    if os.geteuid():
        tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
        assert main(["estate", str(tmp_path)]) == 2


def test_the_estimate_over_all_is_the_houses_less_what_timber_saves(
    tmp_path: Path, examples: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    terrace(tmp_path, 4)
    main(["estate", str(tmp_path), "--jobs", "1", "--json", "--rates", str(examples / "rates-invented.yaml")])
    said = told(capsys)
    found, trims = said["estimate"], {line["trim"]: line for line in said["timber"]}
    rows = {row["heading"]: row for row in found["rows"]}
    assert found["apart"] == pytest.approx(sum(house["total"] for house in said["houses"]), abs=0.001)
    assert found["apart"] == pytest.approx(sum(row["amount"] for row in rows.values()), abs=0.001)
    assert rows["Timber"]["amount"] == pytest.approx(sum(line["alone"] for line in trims.values()))
    assert (rows["skirting"]["trade"], rows["Painting"]["trade"]) == ("joiner", "decorator")
    saved = {name.split(",")[0]: amount for name, amount in found["saved"]}
    assert saved == pytest.approx({trim: line["alone"] - line["cost"] for trim, line in trims.items()})
    whole = sum(saved.values())
    # overheads 11, margin 9, contingency 7.5 and tax 20 % of the invented rates, one upon the other
    assert found["laid_on"] == pytest.approx(whole * (1.11 * 1.09 * 1.075 * 1.2 - 1), abs=0.05)
    assert found["together"] == pytest.approx(found["apart"] - whole - found["laid_on"], abs=0.001)
    assert whole > 0
    with (tmp_path / "estate" / "estimate.csv").open(newline="") as file:
        table = sum(float(row["amount"]) for row in csv.DictReader(file))
    assert table == pytest.approx(found["together"], abs=0.001)
    assert "4 houses are held" in (tmp_path / "estate" / "estimate.html").read_text()


def test_many_pieces_are_cut_in_lots_of_neighbours(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    terrace(tmp_path, 4)
    monkeypatch.setattr(timber, "MOST_PIECES", 60)
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    lines = told(capsys)["timber"]
    assert [(line["lot"], line["houses"]) for line in lines[::2]] == [
        ("no-1 to no-2", ["no-1", "no-2"]),
        ("no-3 to no-4", ["no-3", "no-4"]),
    ]
    kept = [path.stat().st_mtime_ns for path in sorted((tmp_path / "estate" / "lots").iterdir())]
    survey = json.loads((tmp_path / "no-4.yaml").read_text())
    survey["rooms"][0]["walls"][1]["length"] += 100
    (tmp_path / "no-4.yaml").write_text(json.dumps(survey))
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    assert told(capsys)["timber"][:2] == lines[:2]
    again = [path.stat().st_mtime_ns for path in sorted((tmp_path / "estate" / "lots").iterdir())]
    assert [was == now for was, now in zip(kept, again, strict=True)] == [True, False]


# ---------------------------------------------------------------- the workers


def dies_once(task: str) -> str:
    mark = Path(task)
    if mark.name == "dies" and not mark.exists():
        mark.touch()
        os._exit(9)
    return mark.name


def dies(task: str) -> str:
    if task == "dies":
        os._exit(9)
    if task == "fails":
        raise ValueError("so it is")
    return task


def test_a_worker_plans_whose_parent_has_planned_before(street: Path, tmp_path: Path) -> None:
    houses = [
        of_plain(House, json.loads(file.read_text())) for file in (street / "estate" / "kept").glob("*-no-?.json")
    ]
    (lot,) = timber.lots(houses, tmp_path, False, False)
    plan = partial(timber.planned, lot, street / "estate", False)
    before = plan()
    lot.kept.unlink()
    with ProcessPoolExecutor(1, get_context("fork")) as pool:
        again = pool.submit(plan)
        try:
            assert again.result(60) == before
        except TimeoutError:
            for child in active_children():
                child.kill()
            raise


def test_a_worker_that_dies_loses_nothing(tmp_path: Path) -> None:
    tasks = [str(tmp_path / name) for name in ("a", "b", "dies", "c", "d", "e")]
    got = dict(worked(tasks, dies_once, PROCESSES, ProcessPoolExecutor))
    assert got == {task: Path(task).name for task in tasks}


def test_what_kills_its_worker_twice_is_told_and_the_rest_is_done() -> None:
    tasks = ["a", "dies", "fails", "b", "c"]
    got = dict(worked(tasks, dies, PROCESSES, ProcessPoolExecutor))
    assert isinstance(got.pop("dies"), Lost)
    assert str(got.pop("fails")) == "so it is"
    assert got == {task: task for task in ("a", "b", "c")}


def test_ctrl_c_keeps_what_is_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    terrace(tmp_path, 3)
    whole = command._one

    def stopped(task: Task, **given: object) -> House:
        if task.name == "no-2":
            raise KeyboardInterrupt
        return whole(task, **given)  # type: ignore[arg-type]

    monkeypatch.setattr(command, "_one", stopped)
    assert main(["estate", str(tmp_path), "--jobs", "1"]) == 130
    assert "stopped; 1 of 3 houses are done, and kept in" in capsys.readouterr().err
    monkeypatch.undo()
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    assert told(capsys)["examined"] == 2


def test_workers_are_told_whole_paths(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, examples: Path) -> None:
    (survey,) = terrace(tmp_path, 1)
    (tmp_path / "rules.yaml").write_text((examples / "house-plumbline.yaml").read_text())
    monkeypatch.chdir(tmp_path)
    seen: list[Path] = []

    def noted(task: Task, firm: Firm, out: Path, **given: object) -> House:
        seen.extend((task.folder, out, *firm._made_of["house"]))
        return house(task.name, fault="not looked at")

    monkeypatch.setattr(command, "_one", noted)
    main(["estate", survey.name, "--jobs", "1", "--house", "rules.yaml"])
    assert seen == [tmp_path, tmp_path / "estate", tmp_path / "rules.yaml"]


def test_a_cluster_does_the_same_work(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    distributed = pytest.importorskip("distributed")
    terrace(tmp_path, 2)
    main(["estate", str(tmp_path), "--jobs", "1", "--json", "--out", str(tmp_path / "serial")])
    serial = told(capsys)
    with distributed.LocalCluster(n_workers=1, processes=False, dashboard_address=None) as cluster:
        main(["estate", str(tmp_path), "--scheduler", cluster.scheduler_address, "--json"])
    assert told(capsys) == serial


def test_a_scheduler_that_is_none_is_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("distributed")
    terrace(tmp_path, 1)
    assert main(["estate", str(tmp_path), "--scheduler", "nonsense://here"]) == 2
    assert "no scheduler answers there" in capsys.readouterr().err


# ---------------------------------------------------------------- what is told of all together

EMPTY = House(name="", street="", survey="", made_of="")


def house(name: str, **facts: object) -> House:
    return replace(EMPTY, name=name, **facts)  # type: ignore[arg-type]


def test_rooms_of_one_name_that_differ_are_told_with_their_houses() -> None:
    top = [Choice("Front parlour", "dado-rail", "top", value) for value in ("950 mm", "960 mm")]
    houses = [house("1", choices=(top[0],)), house("2", choices=(top[0],)), house("3", choices=(top[1],))]
    (found,) = differing(houses)
    assert (found.room, found.what, found.values) == (
        "Front parlour",
        "top",
        (("950 mm", ("1", "2")), ("960 mm", ("3",))),
    )
    assert differing(houses[:2]) == []


def test_a_street_by_a_link_counts_and_no_house_twice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    terrace(tmp_path / "elsewhere", 1)
    place = tmp_path / "place"
    place.mkdir()
    (place / "lane").symlink_to(tmp_path / "elsewhere")
    (place / "round").symlink_to(place)
    (place / "gone.yaml").symlink_to(place / "nowhere.yaml")
    main(["estate", str(place), "--jobs", "1", "--json"])
    assert [(one["house"], bool(one["fault"])) for one in told(capsys)["houses"]] == [
        ("gone", True),
        ("lane-no-1", False),
    ]


def test_a_trim_is_told_in_its_own_money(tmp_path: Path) -> None:
    paths = terrace(tmp_path, 2)
    for path, money in zip(paths, ("USD", ""), strict=True):
        survey = json.loads(path.read_text())
        survey["cutting"] = {**survey.get("cutting", {}), "currency": money} if money else {}
        for board in survey["stock"]:
            board["price"] = 10
        path.write_text(json.dumps(survey))
    main(["estate", str(tmp_path), "--jobs", "1"])
    page = (tmp_path / "estate" / "timber.html").read_text()
    assert ">$10.00<" in page and ">10.00<" in page and "£" not in page


def test_a_trace_is_offered_to_sisters_that_have_none() -> None:
    rail = Choice("front parlour", "dado-rail", "top", "950 mm")
    trace = Trace("Front parlour", "paint-ridge", "dado-rail", 948.0)
    traced = [house(name, choices=(rail,), traces=(trace, trace)) for name in ("5", "1")]
    (found,) = offered([*traced, house("2", choices=(rail,)), house("3")])
    assert (found.houses, found.sisters) == (("1", "5"), ("2",))


def test_units_that_differ_are_told() -> None:
    houses = [house("1", units="mm"), house("2", units="mm"), house("3", units="inches")]
    assert slips(houses, {}) == ["3 is surveyed in inches, the others not; lengths here are in mm."]


def test_a_board_that_stands_in_several_racks_is_told_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for number, path in enumerate(terrace(tmp_path, 3)):
        survey = json.loads(path.read_text())
        board = {"for": survey["trim"][0]["name"], "name": "R1", "length": 1650 if number else 1500}
        path.write_text(json.dumps({**survey, "rack": [board, {**board, "name": "R2"}] if number else [board]}))
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    (said,) = [one for one in told(capsys)["slips"] if "racks" in one]
    assert said.startswith("no-2 and no-3 list alike in their racks: R1 for ") and said.count("1650 mm") == 2


def test_houses_go_to_the_crew_that_is_free_first() -> None:
    houses = [house(str(n), begins="2026-05-04", days=days) for n, days in enumerate((10.0, 3.0, 4.0))]
    found = {spell.house: spell for spell in spells([*houses, house("held", days=1.0)], 2)}
    assert set(found) == {"0", "1", "2"}
    assert found["2"].crew == found["1"].crew and found["2"].first == date(2026, 5, 7)
    assert calendar(list(found.values())).count("BEGIN:VEVENT") == 3


lines = st.lists(st.sets(st.sampled_from("abcde"), min_size=1, max_size=2), min_size=1, max_size=9)


@given(lines)
@settings(max_examples=40)
def test_an_order_takes_every_board_once_and_counts_the_houses_open(of: list[set[str]]) -> None:
    order, most = in_turn(of, "abcde")
    assert sorted(order) == list(range(len(of)))
    open_at = [
        {
            house
            for house in "abcde"
            if any(house in of[n] for n in order[: at + 1]) and any(house in of[n] for n in order[at:])
        }
        for at in range(len(order))
    ]
    assert most == max(map(len, open_at))


def test_a_long_street_is_told_on_several_pages() -> None:
    houses = [house(f"no-{n}", street="long", metres=1.0) for n in range(2 * A_PAGE + 1)]
    made = {str(file): text for file, text in pages(houses, [], None, [], 1, [])}
    assert {"street-long.html", "street-long-2.html", "street-long-3.html"} < made.keys()
    assert made["street-long-3.html"].count("<tr>") == 2
    assert all(f'href="street-long{more}.html"' in made["index.html"] for more in ("", "-2", "-3"))


def test_next_comes_always_the_board_that_leaves_the_fewest_open() -> None:
    houses = [str(n) for n in range(40)]
    of = [{houses[n % 40], houses[n * 7 % 40], houses[n * n % 40]} for n in range(90)]
    order, _ = in_turn(of, houses)
    begun: set[str] = set()
    for turn, number in enumerate(order):

        def open_after(other: int, turn: int = turn, begun: set[str] = begun) -> int:
            still = set().union(*(of[n] for n in order[turn:] if n != other))
            return len((begun | of[other]) & still)

        assert open_after(number) == min(map(open_after, order[turn:]))
        begun = (begun | of[number]) & set().union(*(of[n] for n in order[turn + 1 :]))


def test_houses_that_share_no_board_are_cut_one_after_another() -> None:
    assert in_turn([{"a"}, {"b"}, {"a"}, {"b"}, {"a"}], "ab")[1] == 1


def test_by_date_the_house_that_begins_first_is_cut_first() -> None:
    of = [{"c"}, {"b", "c"}, {"a", "c"}, {"b"}]
    order, _ = in_turn(of, "abc", by_date=True)
    assert (order[0], order[-1]) == (2, 0)
    assert in_turn(of, "cba", by_date=True)[0][-1] == 3


SIDEWAYS = """
  document.querySelectorAll("details").forEach(one => { one.open = true; });
  const all = [document.documentElement, ...document.querySelectorAll(".wide")];
  return all.map(one => one.scrollWidth - one.clientWidth);
"""


@pytest.mark.skipif(BROWSER is None, reason=NO_BROWSER)
def test_no_page_scrolls_sideways_on_a_phone(street: Path, tmp_path: Path) -> None:
    houses = [
        house(
            "street 1-the-old-rectory-with-its-coach-house", fault="the { opened on line 1 is not closed", street="x"
        ),
        house("street 1-no-1", street="x", total=123_456.78, currency="GBP", metres=1234.5, surveyed="2026-03-09"),
    ]
    (odd,) = (text for file, text in pages(houses, [], None, [], 1, []) if file.name == "street-x.html")
    wanted = {f"{page.name} 360": page.read_text("utf-8") for page in sorted((street / "estate").glob("*.html"))}
    told = asked(tmp_path, {**wanted, "odd 360": odd}, SIDEWAYS)
    assert len(told) == 8
    assert {name: beyond for name, beyond in told.items() if any(beyond)} == {}


def test_what_is_kept_of_a_house_reads_back(street: Path) -> None:
    for kept in (street / "estate" / "kept").iterdir():
        form = json.loads(kept.read_text())
        read = [of_plain(Share, one) for one in form] if kept.name.endswith(".timber.json") else of_plain(House, form)
        assert plain(read) == form


def test_a_street_may_buy_for_itself(street: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["estate", str(street), "--json", "--by-street"])
    apart = told(capsys)["timber"]
    main(["estate", str(street), "--json"])
    whole = told(capsys)["timber"]
    assert [len(line["houses"]) for line in apart] == [3, 3, 3, 3]
    assert sum(line["cost"] for line in whole) <= sum(line["cost"] for line in apart) + 0.01


def test_what_no_board_gives_stands_among_the_cuts_with_why(tmp_path: Path) -> None:
    for path in terrace(tmp_path, 2):
        survey = json.loads(path.read_text())
        survey["stock"] = [board for board in survey["stock"] if board["for"] == "skirting"]
        path.write_text(json.dumps(survey))
    main(["estate", str(tmp_path), "--jobs", "1", "--json"])
    with (tmp_path / "estate" / "cuts.csv").open(newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["trim"] == "dado rail"]
    assert rows and all(row["piece"].startswith(("no-1: ", "no-2: ")) for row in rows)
    assert {(row["turn"], row["board"], row["why"]) for row in rows} == {("", "", "no board is listed for it")}
    assert all(float(row["length"]) > 0 for row in rows)
    assert f"{rows[0]['piece']} (no board is listed for it)" in (tmp_path / "estate" / "timber.html").read_text()
