"""Words of others are rendered without reach and without hunger."""

from __future__ import annotations

import resource

import pytest

from listel.core.house.filters import filters
from listel.core.house.sandbox import SandboxFault, rendered, sentence, template

NAMES = frozenset({"room", "spacing", "avoid", "grounds"})
VALUES = {"room": "Hall", "spacing": 350.0, "avoid": ["hammer", "nail"], "grounds": {"formula": "half"}}

ESCAPES = [
    "{{ room.__class__ }}",
    "{{ room.__class__.__mro__[1].__subclasses__() }}",
    "{{ room|attr('__class__') }}",
    "{{ ''['__class__'] }}",
    "{{ room.format }}{{ room.format(spacing) }}",
    "{{ avoid.append('x') }}",
    "{{ self }}",
    "{{ config }}",
    "{{ cycler.__init__.__globals__.os.popen('id').read() }}",
    "{% include '/etc/passwd' %}",
    "{% import 'os' as os %}",
    "{% extends 'x' %}",
    "{{ 'a' * 1000000000 }}",
    "{{ 9 ** 999999999 }}",
    "{{ 'a'.ljust(1000000000) }}",
    "{{ '%1000000000d'|format(1) }}",
    "{{ lipsum(n=1000000) }}",
    "{{ range(1000000000)|list }}",
    "{{ 'a'|center(1000000000) }}",
    "{{ 'a'|indent(1000000000) }}",
    "{{ room|replace('a', 'aaaaaaaaaa')|replace('a', 'aaaaaaaaaa') }}",
    "{{ room|join('xxxxxxxxxx')|join('xxxxxxxxxx') }}",
    "{% set a = room ~ room %}{{ a }}",
    "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}",
    "{% for a in avoid recursive %}{{ loop(avoid) }}{% endfor %}",
    "{{ avoid|map('attr', '__class__')|join }}",
    "{{ avoid|map(attribute='__class__')|join }}",
    "{{ avoid|sort(attribute='__class__.__mro__')|join }}",
    "{{ avoid|selectattr('__class__')|join }}",
    "{{ spacing + 1 }}",
    "{{ room[0:1] }}",
]


@pytest.mark.parametrize("text", ESCAPES)
@pytest.mark.parametrize("make", [sentence, template], ids=["sentence", "template"])
def test_reach_and_hunger_are_refused(text, make):
    with pytest.raises(SandboxFault):
        rendered(make(text, NAMES, {}), VALUES)


def test_all_that_a_text_may_not_hold_is_told_at_once():
    with pytest.raises(SandboxFault) as fault:
        sentence("{{ rom }}\n{{ spacing + 1 }}\n{{ avoid|tojson }}\n{{ spacing + 1 + 1 }}", NAMES, {})
    told = [(each.line, str(each).split(" ")[:4]) for each in (fault.value, *fault.value.more)]
    assert told == [
        (1, ["there", "is", "no", "rom"]),
        (2, ["+", "(add)", "is", "not"]),
        (3, ["the", "filter", "tojson", "is"]),
        (4, ["+", "(add)", "is", "not"]),
    ]


def test_a_test_that_there_is_none_of_is_told():
    with pytest.raises(SandboxFault, match="there is no test oddish; there are odd, "):
        template("{{ spacing is oddish }}", NAMES, {})


@pytest.mark.parametrize(
    ("text", "gives"),
    [
        ("In the {{ room }} at {{ spacing|round|title }}.", "In the Hall at 350.0."),
        ("{% if spacing > 300 and not room == 'Attic' %}wide{% else %}near{% endif %}", "wide"),
        ("{{ 'far' if spacing >= 350 else 'near' }}", "far"),
        ("no {{ avoid|join(', no ') }}", "no hammer, no nail"),
        ("{{ grounds.formula|upper }}", "HALF"),
    ],
)
def test_a_sentence_says_what_it_may(text, gives):
    assert rendered(sentence(text, NAMES, {}), VALUES) == gives


def test_an_unknown_name_is_told_with_its_line_and_those_there_are():
    with pytest.raises(
        SandboxFault, match="there is no colour here; there are avoid, grounds, room, spacing"
    ) as caught:
        sentence("The {{ room }}\nis {{ colour }}.", NAMES, {})
    assert caught.value.line == 2


def test_a_value_that_is_not_there_is_told():
    with pytest.raises(SandboxFault, match="every name must be there"):
        rendered(sentence("{{ grounds.worked }}", NAMES, {}), VALUES)


def test_a_long_sentence_is_refused():
    with pytest.raises(SandboxFault, match="at most 600"):
        sentence("a" * 601, NAMES, {})


def test_a_template_loops_over_what_it_is_given_and_escapes_it():
    made = template("{% for item in avoid %}<p>{{ item }}</p>{% endfor %}", NAMES, {})
    assert rendered(made, {**VALUES, "avoid": ["<b>", "x"]}) == "<p>&lt;b&gt;</p><p>x</p>"


ROWS = {"rows": [{"a": "x" * 200}] * 200, "spacing": 1.5, "room": "Hall"}
LOOP = "{% for a in rows %}"
HUNGRY = [
    LOOP * 4 + "y" * 20000 + "{% endfor %}" * 4,
    "{{ rows|map(attribute='a')|join(rows|map(attribute='a')|join(rows|map(attribute='a')|join('xx'))) }}",
    "{{ " + "[" * 900 + "]" * 900 + " }}",
    "{% if " + "(" * 3000 + "room" + ")" * 3000 + " %}{% endif %}",
    "{{ spacing|round(999999999, 'ceil') }}",
    "{{ room|round }}",
]


@pytest.mark.parametrize("text", HUNGRY, ids=["loops", "joins", "nested list", "brackets", "power", "no number"])
def test_a_template_has_no_way_to_grow_beyond_measure(text):
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(SandboxFault):
        rendered(template(text, frozenset(ROWS), {}), ROWS)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 100_000, "KiB of memory"


@pytest.mark.parametrize("text", ["{{ spacing|num(999999999) }}", "{{ spacing|round(999999999) }}"])
def test_decimals_without_end_are_cut_short(text):
    assert len(rendered(sentence(text, frozenset(ROWS), filters("mm")), ROWS)) < 20


def test_a_value_that_does_not_suit_its_filter_is_told():
    with pytest.raises(SandboxFault, match="does not suit"):
        rendered(sentence("{{ room|mm }}", frozenset(ROWS), filters("mm")), ROWS)


def test_a_list_of_one_key_may_be_joined():
    made = template("{{ rows|map(attribute='a')|join(', ') }}", frozenset({"rows"}), {})
    assert rendered(made, {"rows": [{"a": "near"}, {"a": "far"}]}) == "near, far"


def test_what_is_not_allowed_is_named_as_it_was_written_with_what_to_do_instead():
    with pytest.raises(SandboxFault, match=r"\{% set %\} .* is not allowed here; .* write the value where it is used"):
        template("{% set a = room %}{{ a }}", NAMES, {})


def test_an_unknown_name_is_met_with_the_nearest():
    with pytest.raises(SandboxFault, match=r"Did you mean spacing\?"):
        sentence("{{ spacng }}", NAMES, {})
