"""One job reckoned by hand, line by line, and the laws that every estimate keeps."""

from __future__ import annotations

import copy
import json
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listel.core.contract.cases import base
from listel.core.contract.tables import load_table
from listel.core.host.engine import examine
from listel.core.host.registry import load
from listel.core.survey.reading import job_from_text
from listel.plugins.estimate import Estimate, read_rates
from listel.plugins.estimate.used import stage_of, used
from listel.plugins.sequence import Sequence as OrderOfWork
from listel.plugins.setting_out import SettingOut

RATES = """
listel-rates: 1
firm: A firm
currency: GBP
wages: {joiner: 30, decorator: 20}
labour:
  - {work: fit, hours: 0.2}
  - {work: fit, member: skirting, hours: 0.25}
  - {work: square, hours: 0.05}
  - {work: cope, hours: 0.3}
  - {work: mitre, hours: 0.1}
  - {work: scarf, hours: 0.1}
  - {work: return, hours: 0.4}
  - {work: fixing, hours: 0.06}
  - {work: survey, hours: 2}
  - {work: protect, hours: 0.1}
  - {work: set-out, hours: 1}
  - {work: seal-knots, hours: 0.02}
  - {work: back-prime, hours: 0.05}
  - {work: fill, hours: 0.05}
  - {work: sand, hours: 0.05}
  - {work: undercoat, hours: 0.06}
  - {work: top-coat, hours: 0.1}
  - {work: clean, hours: 0.5}
  - {work: hand-over, hours: 1}
timber:
  - {member: skirting, price: 10}
  - {member: dado-rail, price: 5}
materials:
  - {what: screws, unit: each, per: 100, pack: box, price: 6, merchant: fixings}
  - {what: 6 mm plugs, unit: each, per: 100, pack: bag, price: 3}
  - {what: hybrid polymer adhesive, unit: ml, per: 290, pack: tube, price: 7}
  - {what: hybrid polymer, unit: ml, per: 290, pack: tube, price: 6}
  - {what: two-part, unit: ml, per: 250, pack: tin, price: 8}
  - {what: shellac, unit: ml, per: 125, pack: bottle, price: 5}
  - {what: primer, unit: litre, per: 0.75, pack: tin, price: 15}
  - {what: undercoat, unit: litre, per: 0.75, pack: tin, price: 15}
  - {what: finish, unit: litre, per: 0.75, pack: tin, price: 16}
charges:
  - {kind: waste, what: The tip, price: 50}
  - {kind: preliminaries, what: Services traced, price: 80, step: detect-services}
  - {kind: preliminaries, what: Lead, price: 60, step: lead-check}
  - {kind: preliminaries, what: Asbestos, price: 90, step: asbestos-check}
  - {kind: preliminaries, what: Circuits tested, price: 40, step: restore-power}
order: {delivery: 25}
overheads: 10 %
margin: 10 %
tax: [{name: VAT, rate: 20 %, why: the firm says so}]
"""

BY_HAND = """
fit         skirting  3.60 x 0.25 x 30  27.00
fit         dado      3.60 x 0.2 x 30   21.60
square      skirting  2 x 0.05 x 30      3.00
square      dado      2 x 0.05 x 30      3.00
fixing      skirting  18 x 0.06 x 30    32.40
fixing      dado      10 x 0.06 x 30    18.00
survey      -         1 x 2 x 30        60.00
protect     -         3.60 x 0.1 x 30   10.80
set-out     -         1 x 1 x 30        30.00
seal-knots  skirting  3.60 x 0.02 x 20   1.44
seal-knots  dado      3.60 x 0.02 x 20   1.44
back-prime  skirting  3.60 x 0.05 x 20   3.60
back-prime  dado      3.60 x 0.05 x 20   3.60
fill        skirting  3.60 x 0.05 x 20   3.60
fill        dado      3.60 x 0.05 x 20   3.60
sand        skirting  3.60 x 0.05 x 20   3.60
sand        dado      3.60 x 0.05 x 20   3.60
undercoat   skirting  3.60 x 0.06 x 20   4.32
undercoat   dado      3.60 x 0.06 x 20   4.32
top-coat    skirting  3.60 x 0.1 x 20    7.20
top-coat    dado      3.60 x 0.1 x 20    7.20
clean       -         1 x 0.5 x 30      15.00
hand-over   -         1 x 1 x 30        30.00
timber      skirting  1 x 42            42.00
timber      dado      1 x 21            21.00
material    screws    1 x 6              6.00
material    screws    1 x 6              6.00
material    plugs     1 x 3              3.00
material    adhesive  2 x 7             14.00
material    filler    1 x 8              8.00
material    sealant   1 x 6              6.00
material    knotting  1 x 5              5.00
material    primer    1 x 15            15.00
material    undercoat 1 x 15            15.00
material    finish    1 x 16            16.00
delivery    -         1 x 25            25.00
waste       -         1 x 50            50.00
detect-services -     1 x 80            80.00
lead-check  -         1 x 60            60.00
asbestos-check -      1 x 90            90.00
restore-power -       1 x 40            40.00
overheads   -         800.32 x 10 %     80.03
margin      -         880.35 x 10 %     88.04
tax         -         968.39 x 20 %    193.68
"""
"""The wall of the test kit, 3.6 m with a skirting and a dado rail, each cut from one board of 4.2 m, by these rates."""
TOTAL = "1162.07"


@pytest.fixture(scope="module")
def registry():
    return load(entry_points=False)


@pytest.fixture(scope="module")
def rates(tmp_path_factory):
    def written(text=RATES):
        path = tmp_path_factory.mktemp("firm") / "rates.yaml"
        path.write_text(text, encoding="utf-8")
        return read_rates(path)

    return written


def priced(registry, data, *given):
    return examine(job_from_text(json.dumps(data)), registry, given=given).sheet[Estimate]


def kit(name="one-wall"):
    return copy.deepcopy(base(name))


def of_length(length):
    data = kit()
    wall = data["rooms"][0]["walls"][0]
    wall["length"] = wall["floor"][1]["at"] = length
    return data


def _by_hand():
    for row in BY_HAND.strip().splitlines():
        words = row.split()
        yield words[0], words[1].strip("-"), words[2], Decimal(words[-1])


def test_one_job_by_hand_line_by_line(registry, rates):
    found = priced(registry, kit(), rates())
    lines = sorted((item.work or item.kind, str(item.quantity), item.amount) for item in found.items)
    assert lines == sorted((work, quantity, amount) for work, _, quantity, amount in _by_hand())
    trims = [(work, trim, amount) for work, trim, _, amount in _by_hand() if trim in ("skirting", "dado")]
    assert sorted((item.work, item.trim, item.amount) for item in found.items if item.trim) == sorted(trims)
    assert found.total == Decimal(TOTAL) == sum(item.amount for item in found.items)


def test_the_lines_a_client_reads_the_stages_of_payment_and_the_lines_sum_to_the_total(registry, rates):
    found = priced(registry, kit("whole-room"), rates())
    assert found.total == sum(item.amount for item in found.items if item.amount is not None)
    assert found.total == sum(line.amount for line in found.client)
    assert found.total == sum(stage.amount for stage in found.stages) == found.stages[-1].so_far
    for item in found.items:
        columns = item.labour + item.materials + item.hire + item.waste
        assert columns in (0, item.amount or 0)


@settings(max_examples=12)
@given(length=st.integers(1500, 7000), trade=st.sampled_from(["joiner: 30", "joiner: 41.17", "joiner: 0.33"]))
def test_halved_wages_halve_the_labour_and_nothing_else(registry, rates, length, trade):
    data = of_length(length)
    whole = priced(registry, data, rates(RATES.replace("joiner: 30, decorator: 20", f"{trade}, decorator: 20")))
    wage = Decimal(trade.split()[1]) / 2
    half = priced(registry, data, rates(RATES.replace("joiner: 30, decorator: 20", f"joiner: {wage}, decorator: 10")))
    for one, other in zip(whole.items, half.items, strict=True):
        if one.kind == "labour":
            assert abs(one.labour - 2 * other.labour) <= Decimal("0.02")
        assert (one.materials, one.hire, one.waste) == (other.materials, other.hire, other.waste)
    assert half.hours == whole.hours


@settings(max_examples=15)
@given(length=st.integers(600, 9000))
def test_a_metre_more_never_lowers_the_total(registry, rates, length):
    totals = []
    for more in (0, 1000):
        totals.append(priced(registry, of_length(length + more), rates()).total)
    assert totals[0] <= totals[1]


def test_the_order_of_rooms_changes_nothing(registry, rates):
    data = kit()
    other = copy.deepcopy(data["rooms"][0])
    other["name"] = "Parlour"
    other["walls"][0]["length"] = 2750
    other["walls"][0]["floor"][1]["at"] = 2750
    data["rooms"].append(other)
    for trim in data["trim"]:
        trim["where"].append({"room": "Parlour", "walls": ["A"]})
    turned = copy.deepcopy(data)
    turned["rooms"].reverse()
    for trim in turned["trim"]:
        trim["where"].reverse()
    one, two = (priced(registry, each, rates()) for each in (data, turned))
    assert one.total == two.total
    assert _about(one) == _about(two)


def test_a_job_in_inches_costs_what_its_twin_in_millimetres_costs(registry, rates):
    data = of_length(3657.6)
    twin = json.loads(json.dumps(data))
    twin["units"] = "inches"
    for place, key in _lengths(twin):
        place[key] = place[key] / 25.4
    one, two = (priced(registry, each, rates()) for each in (data, twin))
    assert _but_for_screws(one) == _but_for_screws(two)
    assert one.hours == two.hours


def _but_for_screws(found):
    """Every line before what is laid on all, but for screws: a job in inches buys them in other lengths."""
    laid_on = ("overheads", "margin", "tax")
    kept = [i for i in found.items if not i.what.startswith("screws") and i.kind not in laid_on]
    return [(i.kind, i.work, i.trim, i.quantity, i.amount) for i in kept]


def _lengths(data):
    room = data["rooms"][0]
    wall = room["walls"][0]
    yield from ((room, "height"), (room, "datum"), (wall, "length"), (wall["substrate"], "plaster"))
    for reading in wall["floor"]:
        yield from ((reading, "at"), (reading, "to-datum"))
    for trim in data["trim"]:
        yield from ((trim["section"], "height"), (trim["section"], "projection"))
    yield from ((board, "length") for board in data["stock"])


def _about(found):
    return sorted((i.kind, i.work, i.room, i.trim, i.quantity, i.amount or 0) for i in found.items)


def test_without_rates_there_are_quantities_and_no_price_at_all(registry):
    found = priced(registry, kit())
    assert found.standing == "quantities only"
    assert {item.amount for item in found.items} == {None} == {found.total}
    assert [item.quantity for item in found.items if item.work == "fit"] == [Decimal("3.60"), Decimal("3.60")]
    assert found.client == found.stages == ()


def test_a_line_without_its_rate_has_no_amount_and_says_what_it_lacks(registry, rates):
    text = RATES.replace("  - {work: clean, hours: 0.5}\n", "").replace(", decorator: 20", "")
    lacking = {item.work: item.lacks for item in priced(registry, kit(), rates(text)).unpriced}
    assert lacking["clean"] == "hours for clean"
    assert lacking["top-coat"] == "the wage of a decorator"


def test_the_row_that_says_most_is_taken_and_of_two_alike_the_upper(rates):
    told = rates(RATES + "\n").hours_for("fit", member="skirting", substrate="cob", state="new", trim="skirting")
    assert told is not None and told.hours == Decimal("0.25")
    two = RATES.replace("  - {work: square", "  - {work: fit, substrate: cob, hours: 9}\n  - {work: square")
    told = rates(two).hours_for("fit", member="skirting", substrate="cob", state="new", trim="skirting")
    assert told is not None and told.hours == Decimal("0.25")


def test_an_open_hold_makes_a_budget_and_stands_among_what_is_not_in_the_price(registry, rates):
    data = kit()
    found = priced(registry, data, rates())
    assert found.standing == "budget, not an offer"
    assert "safety/asbestos" in {out.rule for out in found.not_included if out.kind == "provisional"}


def test_every_assumed_value_is_a_qualification(registry, rates):
    outcome = examine(job_from_text(json.dumps(kit())), registry, given=[rates()])
    assumed = {each.name for finding in outcome.findings for each in finding.grounds.inputs if each.assumed}
    assert assumed
    assert assumed <= {each.what for each in outcome.sheet[Estimate].qualifications}


def test_what_work_took_stands_beside_what_was_estimated_with_the_ratio(registry, rates):
    data = {**kit(), "actual": [{"work": "fit", "room": "Hall", "trim": "skirting", "hours": 1.8}]}
    (told,) = priced(registry, data, rates()).actual
    assert (told.hours, told.estimated_hours, told.ratio) == (1.8, Decimal("0.9"), pytest.approx(2.0))


def test_board_has_no_knots_to_seal_and_old_trim_of_no_trim_of_the_job_is_named(registry, rates):
    data = kit()
    data["trim"][0]["timber"] = "mdf"
    lining = {"member": "wainscot", "from": 0, "to": 900, "state": "loose", "intent": "refix", "holes": [100, 800]}
    data["rooms"][0]["walls"][0]["existing"] = [lining]
    found = priced(registry, data, rates())
    assert {item.trim for item in found.items if item.work == "seal-knots"} == {data["trim"][1]["name"]}
    (back,) = [item for item in found.items if (item.work, item.state) == ("fit", "refix")]
    assert (back.what, back.about) == ("Put old trim back, old holes first", "wainscot panelling")


def test_hire_by_the_week_is_counted_from_the_covering_of_the_floors_not_from_the_wait_for_consent(registry, rates):
    data = kit()
    data["building"] |= {"protection": "listed-grade-2", "region": "england"}
    data.setdefault("work", {})["access"] = "hop-up"
    by_week = rates(
        RATES.replace("order:", "  - {kind: hire, what: Hop-ups, per: week, price: 10, access: hop-up}\norder:")
    )
    outcome = examine(job_from_text(json.dumps(data)), registry, given=[by_week])
    order, found = outcome.sheet[OrderOfWork], outcome.sheet[Estimate]
    assert order.days - order.on_site > 50
    hire = next(item for item in found.items if item.kind == "hire")
    weeks = {day // 7 for day, _ in order.at_work}
    assert hire.quantity == len(weeks) == sum(count for _, count in hire.spread)
    assert [each.value for each in hire.grounds.inputs[:2]] == [order.at_work[-1][0] + 1, len(weeks)]
    assert order.at_work[-1][0] < order.on_site


def test_hire_is_counted_and_paid_by_the_weeks_in_which_somebody_is_at_work():
    """Weeks run from the covering of the floors; in the second and the fourth of them nobody is at work."""
    days = ((0, ("protect-finishes",)), (6, ("cut",)), (14, ("fix", "restore-power")), (15, ("undercoat", "fix")))
    order = OrderOfWork(at_work=(*days, (28, ("snag",))))
    assert used(order, "week") == {"begun": 1, "fitted": 1, "handed-over": 1}
    assert used(order, "day") == {"begun": 1, "fitted": 3, "handed-over": 1}
    assert [stage_of(order, step) for step in ("restore-power", "undercoat", "consent")] == ["fitted", "fitted", ""]


def test_each_stage_carries_the_hire_that_is_used_in_it(registry, rates):
    data = kit()
    data.setdefault("work", {})["access"] = "hop-up"
    hired = "  - {kind: hire, what: Hop-ups, per: week, price: 10, access: hop-up}\norder:"
    bare, more = (priced(registry, data, rates(text)) for text in (RATES, RATES.replace("order:", hired)))
    hire = next(item for item in more.items if item.kind == "hire")
    assert len(hire.spread) > 1 and hire.amount == 10 * sum(count for _, count in hire.spread)
    amounts = {each.name: each.amount for each in bare.stages}
    assert all(each.amount > amounts.get(each.name, 0) for each in more.stages if each.name in dict(hire.spread))


def test_trim_that_is_finished_clear_has_its_coats_by_the_metre_or_is_told_as_not_priced(registry, rates):
    data = kit()
    data["trim"][1]["finish"] = "wax"
    waxed = {item.work: item for item in priced(registry, data, rates()).items if item.trim == "dado"}
    assert waxed["clear-coat"].quantity == Decimal("3.60")
    assert waxed["clear-coat"].lacks == "hours for clear-coat"
    assert "top-coat" not in waxed
    text = RATES.replace("labour:", "labour:\n  - {work: clear-coat, hours: 0.1}")
    found = {(item.work, item.trim): item.amount for item in priced(registry, data, rates(text)).items}
    assert found["clear-coat", "dado"] == Decimal("7.20")
    assert ("clear-coat", "skirting") not in found


def test_a_step_that_no_row_names_is_priced_by_its_hours_in_the_order_of_work(registry, rates):
    """Stripping 3.6 m of two trims: 4 + 0.25 x 7.2 = 5.8 h, for two together 2.9, to the quarter 3.00."""
    data = kit()
    data["work"] = {"strip-paint": True, "crew": 2}

    def strip(rows: str):
        items = priced(registry, data, rates(RATES.replace("labour:", f"labour:\n{rows}"))).items
        return next(item for item in items if item.step == "strip-paint")

    assert strip("").lacks == "hours for strip-paint"
    by_factor = strip("  - {work: other-step, hours: 1.5}")
    assert (by_factor.trade, by_factor.hours, by_factor.amount) == ("decorator", Decimal("9.00"), Decimal("180.00"))
    assert strip("  - {work: other-step, step: strip-paint, hours: 8}").amount == Decimal("160.00")


@pytest.mark.parametrize("finish", ["paint", "wax", "none"])
def test_every_step_of_those_on_site_has_a_line(registry, finish):
    data = kit("whole-room")
    data["work"] = {"strip-paint": True}
    for trim in data["trim"]:
        trim["finish"] = finish
    sheet = examine(job_from_text(json.dumps(data)), registry).sheet
    lines = {item.work: item for item in sheet[Estimate].items}
    works = {row.name: row.get("steps", []) for row in load_table("listel.plugins.estimate", "works")}
    told = {step for work in lines if work in works for step in works[work]}
    told |= {item.step for item in sheet[Estimate].items}
    mine = {step.name for step in sheet[OrderOfWork].steps if step.who in ("joiner", "decorator") and not step.done}
    assert mine <= told


IN_FEET = """
listel-rates: 1
firm: A firm
currency: USD
units: inches
wages: {joiner: 60, decorator: 40}
labour: [{work: fit, hours: 0.06}, {work: protect, hours: 0.01}, {work: square, hours: 0.05}]
timber: [{member: skirting, price: 3.10}]
materials: [{what: primer, unit: gallon, price: 48}, {what: undercoat, unit: quart, pack: can, price: 19}]
charges: [{kind: waste, what: The tip, per: ft, price: 2}]
"""


def test_rates_told_by_the_foot_have_the_estimate_counted_in_feet(registry, rates):
    """A wall of 3.6 m is 11.81 ft, and what is sheeted along it 38.75 sq ft."""
    data = kit()
    metric = {item.what: item for item in priced(registry, data).items}
    found = {(item.work, item.trim or item.what): item for item in priced(registry, data, rates(IN_FEET)).items}
    fit, floor = found["fit", "skirting"], found["protect", "Sheet the floor and protect finishes"]
    assert (fit.quantity, fit.unit, fit.amount) == (Decimal("11.81"), "ft", Decimal("42.52"))
    assert (floor.quantity, floor.unit) == (Decimal("38.75"), "sq ft")
    assert found["square", "skirting"].unit == "each"
    primer = next(item for item in found.values() if item.what.startswith("primer"))
    assert (primer.quantity, primer.unit, primer.amount) == (1, "gallon", Decimal("48.00"))
    putty = next(item for item in found.values() if item.unit == "fl oz")
    assert abs(putty.quantity * Decimal("29.5735") - metric[putty.what].quantity) < Decimal("0.2")
    tip = next(item for item in found.values() if item.what == "The tip")
    assert (tip.quantity, tip.unit) == (Decimal("23.62"), "ft")


def test_blocks_are_counted_and_not_measured() -> None:
    block = {"name": "rosette", "member": "corner-block", "where": [{"room": "Parlour"}], "section": {"height": 90}}
    casing = {"name": "casing", "member": "architrave", "where": [{"room": "Parlour"}], "section": {"height": 80}}
    data = base("whole-room")
    data["trim"] += [{**each, "section": {**each["section"], "projection": 20}} for each in (casing, block)]
    items = examine(job_from_text(json.dumps(data)), load(entry_points=False), []).sheet[Estimate].items
    counted = {(each.work, each.unit): each.quantity for each in items if each.trim == "rosette"}
    assert counted["block", "nr"] == 4, "two at the door and two at the window"
    assert ("fit", "m") not in counted


def test_what_is_not_known_is_excluded_once_and_in_words_that_read_on(registry, rates):
    data = kit()
    label = examine(job_from_text(json.dumps(data)), registry).sheet[SettingOut].pieces[0].label
    data["done"] = {"pieces": [{"piece": label, "state": state, "by": "a joiner"} for state in ("cut", "fixed")]}
    out = [each for each in priced(registry, data, rates()).not_included if each.kind == "exclusion"]
    assert len(out) == len(set(out)) and any(label in each.what for each in out)
    assert all(each.what.startswith("Not known, with what follows from it: ") for each in out)
