"""The statement in a real browser: it asks for nothing, fits a phone and a desk, and prints."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from listel.core.engine import Outcome
from listel.reports.statement import render

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")

PROBE = """<script>
addEventListener("load", () => {
  const asked = performance.getEntriesByType("resource").map(entry => entry.name);
  const links = [...document.querySelectorAll("a")];
  const dead = links.filter(a => !document.getElementById(a.hash.slice(1))).length;
  const wide = document.documentElement.scrollWidth > innerWidth;
  document.body.textContent = JSON.stringify({asked, dead, wide});
});
</script></body>"""
READER = """<script>
addEventListener("load", () => setTimeout(() => {
  document.title = document.querySelector("iframe").contentDocument.body.textContent;
}, 300));
</script>"""


def browse(*words: str) -> str:
    assert BROWSER
    common = ["--headless", "--no-sandbox", "--disable-gpu", "--allow-file-access-from-files"]
    made = subprocess.run([BROWSER, *common, *words], capture_output=True, text=True, timeout=120, check=True)
    return made.stdout


@pytest.mark.parametrize("width", [390, 1280])
def test_loads_with_no_request_and_fits(outcome: Outcome, tmp_path: Path, width: int) -> None:
    (tmp_path / "page.html").write_text(render(outcome).replace("</body>", PROBE), "utf-8")
    frame = f'<iframe src="page.html" style="width:{width}px;height:900px"></iframe>'
    (tmp_path / "frame.html").write_text(f"<!DOCTYPE html>{frame}{READER}", "utf-8")
    page = browse("--virtual-time-budget=5000", "--dump-dom", str(tmp_path / "frame.html"))
    told = re.search(r"<title>(.*?)</title>", page)
    assert told
    assert '"asked":[]' in told[1].replace("&quot;", '"')
    assert '"dead":0' in told[1].replace("&quot;", '"')
    assert '"wide":false' in told[1].replace("&quot;", '"')


def test_prints(outcome: Outcome, tmp_path: Path) -> None:
    (tmp_path / "page.html").write_text(render(outcome), "utf-8")
    browse(f"--print-to-pdf={tmp_path / 'page.pdf'}", "--no-pdf-header-footer", str(tmp_path / "page.html"))
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF-")
