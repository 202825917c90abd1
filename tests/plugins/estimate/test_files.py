"""The estimate as files: CSV, and a workbook whose formulas another's engine comes to the same by."""

from __future__ import annotations

import csv
import io
import json
import re
import warnings
import zipfile
from decimal import Decimal
from functools import cache
from xml.etree import ElementTree

import pytest

from listel.plugins.estimate.files import as_file
from listel.plugins.estimate.results import ClientLine, Estimate, Item, ShoppingLine

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import formulas

NAMES = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


class Workbook:
    """A sheet of a workbook, read as XML, its formulas reckoned anew by the library ``formulas``."""

    def __init__(self, content, sheet=1):
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            strings = [
                "".join(text.text or "" for text in item.iter(f"{NAMES}t"))
                for item in ElementTree.fromstring(parts.read("xl/sharedStrings.xml"))
            ]
            root = ElementTree.fromstring(parts.read(f"xl/worksheets/sheet{sheet}.xml"))
        self.formulas, self.shown, self.values = {}, {}, {}
        for cell in root.iter(f"{NAMES}c"):
            at, formula, value = cell.get("r"), cell.find(f"{NAMES}f"), cell.find(f"{NAMES}v")
            if formula is not None:
                self.formulas[at] = formula.text
                self.shown[at] = float(value.text)
            elif value is not None:
                self.values[at] = strings[int(value.text)] if cell.get("t") == "s" else float(value.text)

    def worth(self, at):
        if at not in self.formulas:
            return self.values.get(at, 0.0)
        if at not in self.values:
            call = compiled(re.sub(r"(?<=[A-Z])\d+|\$\d+", "", self.formulas[at]), self.formulas[at])
            self.values[at] = float(call(*(self.inside(name) for name in call.inputs)))
        return self.values[at]

    def inside(self, name):
        import numpy

        if ":" not in name:
            return self.worth(name)
        (letter, first), (_, last) = (re.fullmatch(r"([A-Z])(\d+)", end).groups() for end in name.split(":"))
        return numpy.array([[self.worth(f"{letter}{row}")] for row in range(int(first), int(last) + 1)], dtype=object)


@cache
def compiled(_kind, formula):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return formulas.Parser().ast(f"={formula}")[1].compile()


@pytest.fixture(scope="module")
def office(tmp_path_factory):
    """The demo by the invented firm's rates, as JSON and as a workbook."""
    from contextlib import redirect_stdout
    from pathlib import Path

    from listel.core.commands.cli import main

    examples = Path(__file__).parents[3] / "schemas" / "examples"
    out = tmp_path_factory.mktemp("office") / "e.xlsx"
    words = [
        "estimate",
        examples / "stair-hall.yaml",
        "--rates",
        examples / "rates-invented.yaml",
        "--json",
        "--out",
        out,
    ]
    with redirect_stdout(io.StringIO()) as printed:
        main([str(word) for word in words])
    return json.loads(printed.getvalue()), out.read_bytes()


def test_every_formula_of_the_workbook_comes_to_what_it_shows(office):
    told, content = office
    book = Workbook(content)
    assert len(book.formulas) > len(told["items"])
    for at in book.formulas:
        assert book.worth(at) == pytest.approx(book.shown[at], abs=0.0051), (at, book.formulas[at])
    last = max(int(at[1:]) for at in book.formulas)
    assert book.values[f"A{last}"] == "total"
    assert book.worth(f"M{last}") == pytest.approx(told["total"], abs=1e-6)
    assert book.worth(f"K{last}") == pytest.approx(told["hours"], abs=1e-6)


def test_the_sums_of_payment_and_shopping_add_up_too(office):
    told, content = office
    for number in (2, 3):
        book = Workbook(content, number)
        assert book.formulas
        for at in book.formulas:
            assert book.worth(at) == pytest.approx(book.shown[at], abs=1e-6)
    assert max(book.shown.values()) == pytest.approx(told["total"])


def test_the_rate_of_a_line_is_changed_and_the_total_follows(office):
    _, content = office
    book = Workbook(content)
    row = next(int(at[1:]) for at, formula in book.formulas.items() if at.startswith("K") and "J" in formula)
    before = book.shown[f"M{max(int(at[1:]) for at in book.formulas)}"]
    book.values[f"L{row}"] = book.values[f"L{row}"] + 100
    assert book.worth(f"M{max(int(at[1:]) for at in book.formulas)}") > before


ODD = '=HYPERLINK("http://a")'


def odd_estimate():
    item = Item(
        kind="labour",
        work="fit",
        room=ODD,
        trim="+1",
        what="@SUM(A1)",
        quantity=Decimal("1.00"),
        unit="m",
        hours_each=Decimal("2"),
        hours=Decimal("2"),
        rate=Decimal("3"),
        amount=Decimal("6.00"),
    )
    return Estimate(
        items=(item,),
        total=Decimal("6.00"),
        hours=Decimal(2),
        client=(ClientLine(room=ODD, what="-2", amount=Decimal("6.00")),),
        shopping=(ShoppingLine(merchant=ODD, what="=1", pack="box"),),
    )


@pytest.mark.parametrize("part", ["office", "client", "site"])
def test_no_text_of_a_survey_becomes_a_formula(part):
    book = Workbook(as_file(".xlsx", odd_estimate(), part))
    assert all("HYPERLINK" not in formula and "@" not in formula for formula in book.formulas.values())
    assert ODD in book.values.values()
    rows = list(csv.reader(io.StringIO(as_file(".csv", odd_estimate(), part))))
    assert [cell for row in rows[1:] for cell in row if cell[:1] in "=+@-" and cell] == []


def test_a_client_reads_neither_hours_nor_margin_and_the_site_no_money(office, listel, stair_hall, invented, tmp_path):
    for part, absent, there in (
        ("client", ("hours", "rate", "Margin", "Overheads"), "amount"),
        ("site", ("amount", "rate", "Margin", "Tax"), "hours"),
    ):
        out = tmp_path / f"{part}.csv"
        listel("estimate", stair_hall, "--rates", invented, "--for", part, "--out", out)
        head, *rows = csv.reader(io.StringIO(out.read_text(encoding="utf-8")))
        assert there in head
        for word in absent:
            assert word not in (*head, *(cell for row in rows for cell in row)), (part, word)
    client = list(csv.reader(io.StringIO((tmp_path / "client.csv").read_text(encoding="utf-8"))))[1:]
    assert sum(Decimal(row[-1]) for row in client[:-1]) == Decimal(client[-1][-1]) == Decimal(str(office[0]["total"]))


def test_a_blank_schedule_has_quantities_and_formulas_and_no_figure_of_ours(listel, stair_hall, invented, tmp_path):
    out = tmp_path / "blank.xlsx"
    listel("estimate", stair_hall, "--rates", invented, "--blank", "--out", out)
    book = Workbook(out.read_bytes())
    assert not [at for at in book.values if at[0] in "JL" and at[1:] != "1"]
    assert book.values["G2"] > 0
    book.values["J2"], book.values["L2"] = 0.5, 20.0
    assert book.worth("M2") == pytest.approx(book.values["G2"] * 10, abs=0.005)
