"""Words of others are rendered without reach and without hunger."""

from __future__ import annotations

import pytest
from listel.core.sandbox import SandboxFault, rendered, sentence, template

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
    "{{ spacing + 1 }}",
    "{{ room[0:1] }}",
]


@pytest.mark.parametrize("text", ESCAPES)
@pytest.mark.parametrize("make", [sentence, template], ids=["sentence", "template"])
def test_reach_and_hunger_are_refused(text, make):
    with pytest.raises(SandboxFault):
        rendered(make(text, NAMES, {}), VALUES)


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
    with pytest.raises(SandboxFault, match="there is no colour here; there are avoid, grounds, room, spacing") as caught:
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
