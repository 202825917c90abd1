"""Templates are compiled once for all jobs; what depends on a job is worked out when they run."""

from __future__ import annotations

from pathlib import Path

from listel.core.survey.job import Cutting, Job
from listel.reports.templating import environment, render_file


def test_a_literal_in_a_template_is_written_in_the_units_of_each_job(tmp_path: Path) -> None:
    template = tmp_path / "words.html.j2"
    template.write_text("{{ 101.6 | mm }}, {{ 12.5 | money }}, {{ 'a gap of 25.4 mm' | in_units }}", "utf-8")
    metric = Job("a job", cutting=Cutting(currency="GBP"))
    inches = Job("a job", units="inches", cutting=Cutting(currency="USD"))
    for _ in range(2):
        assert render_file(environment(metric), template, {}, trusted=True) == "102 mm, £12.50, a gap of 25.4 mm"
        assert render_file(environment(inches), template, {}, trusted=True) == "4&#34;, $12.50, a gap of 1&#34;"
