"""``listel estimate``: what it prints, refuses, proposes and compares."""

from __future__ import annotations

import json
from decimal import Decimal
from shutil import copytree

import pytest

from listel.core.survey.messages import SurveyFaults
from listel.plugins.estimate import Estimate, read_rates
from listel.plugins.estimate.fitted import fitted
from listel.plugins.estimate.results import Actual, Item

GOOD = "listel-rates: 1\nfirm: A firm\ncurrency: GBP\nwages: {joiner: 30}\nlabour:\n  - {work: fit, hours: 0.2}\n"


def test_the_demo_has_items_that_sum_to_the_total_and_each_line_its_price(listel, stair_hall, invented):
    status, out, _ = listel("estimate", stair_hall, "--rates", invented, "--json")
    told = json.loads(out)
    assert status == 1
    assert told["standing"] == "budget, not an offer"
    assert sum(Decimal(str(item["amount"] or 0)) for item in told["items"]) == Decimal(str(told["total"]))
    assert [item["what"] for item in told["items"] if item["kind"] in ("labour", "timber") and item["lacks"]] == []
    priced = [item for item in told["items"] if item["amount"] is not None]
    assert all(item["grounds"]["result"] and item["grounds"]["sources"] for item in priced)


def test_without_rates_the_command_tells_quantities(listel, stair_hall):
    _, out, _ = listel("estimate", stair_hall)
    assert out.startswith("quantities only")
    assert "£" not in out


@pytest.mark.parametrize(
    ("was", "now", "place", "says"),
    [
        ("hours: 0.2", "hours: -0.2", "6:24", "-0.2 is below 0"),
        ("hours: 0.2", "hours: quick", "6:24", "quick"),
        ("joiner: 30", "joiner: -1", "4:17", "below 0"),
        ("joiner: 30", "joiner: a lot", "4:17", "a lot"),
        ("currency: GBP\n", "", "1:1", "currency is missing"),
        ("currency: GBP", "currency: pounds", "3:11", "pounds"),
        ("work: fit", "work: fitt", "6:12", "Did you mean fit?"),
        ("hours: 0.2", "hours: 0.2, trade: wizard", "6:36", "wages has no wizard"),
        ("hours: 0.2", "ours: 0.2", "6:17", "Did you mean hours?"),
        ("wages:", "margin: 120 %\nwages:", "4:9", "above"),
        ("wages:", "tax: [{name: VAT, rate: 20 %}]\nwages:", "4:7", "why is missing"),
    ],
)
def test_rates_with_nonsense_are_refused_at_the_line(tmp_path, was, now, place, says):
    assert was in GOOD
    path = tmp_path / "rates.yaml"
    path.write_text(GOOD.replace(was, now), encoding="utf-8")
    with pytest.raises(SurveyFaults) as refused:
        read_rates(path)
    (fault,) = str(refused.value).splitlines()
    assert fault.startswith(f"{path}:{place}:")
    assert says in fault


def test_no_survey_names_rates(listel, tmp_path, stair_hall, invented):
    survey = tmp_path / "s.yaml"
    survey.write_text(stair_hall.read_text(encoding="utf-8") + f"\nrates: {invented}\n", encoding="utf-8")
    status, _, err = listel("estimate", survey)
    assert status == 2
    assert "rates: this key is not known here" in err


def test_the_settings_may_name_the_rates(listel, stair_hall, invented, tmp_path, monkeypatch):
    path = tmp_path / "settings.yaml"
    path.write_text(f"options: {{estimate: {{rates: {invented}}}}}\n", encoding="utf-8")
    monkeypatch.setenv("LISTEL_SETTINGS", str(path))
    _, out, _ = listel("estimate", stair_hall)
    assert out.startswith("Wick & Tallow (invented)")


def test_started_rates_read_and_price_nothing_until_they_are_filled_in(listel, stair_hall, tmp_path):
    path = tmp_path / "rates.yaml"
    listel("estimate", stair_hall, "--rates-new", path)
    rates = read_rates(path)
    assert rates.currency == "GBP"
    assert {row.hours for row in rates.labour} == {None}
    assert any(row.particulars.get("substrate") == "lime-on-lath" for row in rates.labour)
    _, out, _ = listel("estimate", stair_hall, "--rates", path, "--json")
    told = json.loads(out)
    assert {item["amount"] for item in told["items"] if item["kind"] == "labour"} == {None}
    status, _, err = listel("estimate", stair_hall, "--rates-new", path)
    assert (status, "not written over" in err) == (2, True)


def test_joints_that_two_pieces_make_are_said_to_be_counted_by_ends(listel, stair_hall, tmp_path):
    path = tmp_path / "rates.yaml"
    _, written, _ = listel("estimate", stair_hall, "--rates-new", path)
    assert written == f"written    {path}\n"
    _, out, _ = listel("estimate", stair_hall)
    text = path.read_text(encoding="utf-8")
    for work in ("mitre", "scarf", "knee"):
        rows = [line for line in text.splitlines() if line.startswith(f"  - {{work: {work},")]
        assert rows and all(line.endswith(", each end, nr") for line in rows)
        assert f"  {rows[0].split(' # ')[1].removesuffix(', nr')}, " in out


def test_started_rates_filled_in_price_every_line(listel, stair_hall, tmp_path):
    path = tmp_path / "rates.yaml"
    listel("estimate", stair_hall, "--rates-new", path)
    text = path.read_text(encoding="utf-8")
    for key in ("hours", "price", "least", "delivery"):
        text = text.replace(f"{key}: }}", f"{key}: 1}}").replace(f"{key}: ,", f"{key}: 1,")
    text = "".join(
        f"{line} 20\n" if line.endswith(("joiner:", "decorator:")) else f"{line}\n" for line in text.splitlines()
    )
    path.write_text(text, encoding="utf-8")
    _, out, _ = listel("estimate", stair_hall, "--rates", path, "--json")
    assert [item["what"] for item in json.loads(out)["items"] if item["amount"] is None] == []


def test_another_survey_is_told_room_by_room_by_what_it_costs_more(listel, stair_hall, invented, tmp_path):
    other = tmp_path / "other.yaml"
    text = stair_hall.read_text(encoding="utf-8")
    other.write_text(text.replace("price: 46.20", "price: 56.20"), encoding="utf-8")
    _, out, _ = listel("estimate", stair_hall, "--rates", invented, "--with", other, "--json")
    told = json.loads(out)
    rooms = told["beside"]["other.yaml"]
    assert {(row["room"], row["laid_on"]) for row in rooms if row["more"]} == {("", False), ("", True)}
    assert sum(Decimal(str(row["this"])) for row in rooms) == Decimal(str(told["total"]))
    status, _, err = listel("estimate", stair_hall, "--with", other)
    assert (status, "--rates" in err) == (2, True)


def record(work, quantity, hours):
    item = Item(kind="labour", work=work, what=work, quantity=Decimal(str(quantity)), unit="m")
    return Estimate(items=(item,), actual=(Actual(work=work, hours=hours),))


def test_rates_are_proposed_from_finished_jobs_with_their_spread():
    fit = fitted([record("fit", 10, 2.1), record("fit", 20, 4.2), record("fit", 40, 7.6), record("cope", 6, 1.8)], None)
    by_work = {each.work: each for each in fit.proposals}
    least_squares = (10 * 2.1 + 20 * 4.2 + 40 * 7.6) / (10**2 + 20**2 + 40**2)
    assert by_work["fit"].proposed == pytest.approx(least_squares)
    assert by_work["fit"].low < least_squares < by_work["fit"].high
    assert by_work["cope"].proposed == pytest.approx(0.3)


def test_too_few_jobs_are_said_to_be_too_few():
    job = record("fit", 10, 2.1)
    both = Estimate(
        items=(*job.items, *record("cope", 6, 1).items),
        actual=(Actual(work="fit", hours=2), Actual(work="fit", hours=2)),
    )
    assert "give rates, but not how far they spread" in fitted([job], None).says
    assert fitted([both], None).proposals[0].proposed == pytest.approx(0.2)
    told = fitted([Estimate(items=both.items, actual=(Actual(work="fit", hours=None, cost=3.0),))], None)
    assert "No survey tells" in told.says and told.proposals == ()


def test_kinds_of_work_that_no_record_tells_apart_get_no_rate(invented):
    rates = read_rates(invented)
    items = tuple(
        Item(kind="labour", work="fit", member=member, what="", quantity=Decimal(5), unit="m", state="new")
        for member in ("skirting", "dado-rail")
    )
    told = fitted([Estimate(items=items, actual=(Actual(work="fit", hours=3.0),))], rates)
    assert {each.proposed for each in told.proposals} == {None}
    assert "too few to tell 2 kinds of work apart" in told.says


def test_the_clients_part_of_the_statement_shows_the_price_with_rates_only(listel, stair_hall, invented, tmp_path):
    listel("statement", stair_hall, "--for", "client", "--rates", invented, "--out", tmp_path / "with.html")
    listel("statement", stair_hall, "--for", "client", "--out", tmp_path / "without.html")
    _, out, _ = listel("estimate", stair_hall, "--rates", invented, "--json")
    price = f"£{json.loads(out)['total']:,.2f}"
    assert price in (tmp_path / "with.html").read_text(encoding="utf-8")
    assert "Payment by stages" not in (tmp_path / "without.html").read_text(encoding="utf-8")


def test_compare_tells_what_a_revision_costs(listel, stair_hall, invented, tmp_path):
    text = stair_hall.read_text(encoding="utf-8")
    (tmp_path / "b.yaml").write_text(text.replace("price: 46.20", "price: 56.20"), encoding="utf-8")
    for name, survey in (("a.json", stair_hall), ("b.json", tmp_path / "b.yaml")):
        _, out, _ = listel("statement", survey, "--rates", invented, "--json")
        (tmp_path / name).write_text(out, encoding="utf-8")
    was, now = (json.loads((tmp_path / name).read_text(encoding="utf-8")) for name in ("a.json", "b.json"))
    totals = [Decimal(str(told["results"]["Estimate"]["total"])) for told in (was, now)]
    _, out, _ = listel("compare", tmp_path / "a.json", tmp_path / "b.json")
    assert f"It costs £{totals[1]:,.2f}, £{totals[1] - totals[0]:,.2f} more: the whole job" in out
    assert "Estimate," not in out


def test_a_board_in_other_money_than_the_rates_is_told_and_not_added(listel, invented, stair_hall):
    """Priced in dollars: by the rates' own metre where they have one, else not at all."""
    _, said, _ = listel("estimate", stair_hall.with_name("us-house.yaml"), "--rates", invented, "--json")
    boards = {
        item["what"].partition(",")[0]: item for item in json.loads(said)["items"] if ", boards of" in item["what"]
    }
    assert boards["base"]["amount"] == pytest.approx(8 * 41.70)
    assert boards["plate rail"]["amount"] is None
    assert boards["plate rail"]["lacks"].endswith("in GBP, the survey's being in USD")


def test_each_other_step_of_started_rates_has_a_row_of_its_own(listel, stair_hall, tmp_path):
    survey, path = tmp_path / "hall.yaml", tmp_path / "rates.yaml"
    copytree(stair_hall.parent / "photos", tmp_path / "photos")
    text = stair_hall.read_text(encoding="utf-8").replace("strip-paint: false", "strip-paint: true")
    loose = text.replace("\n            finish: paint\n", "\n            finish: paint\n            paint: flaking\n")
    survey.write_text(loose, encoding="utf-8")
    _, _, err = listel("estimate", survey, "--rates-new", path)
    assert err == ""
    steps = [row.particulars.get("step") for row in read_rates(path).labour if row.work == "other-step"]
    assert {"strip-paint", "settle-paint"} <= set(steps)
    assert None not in steps
