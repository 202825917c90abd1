"""Pages read in a real browser: a headless Chromium of this machine, with a new, empty profile and no network of its
own. Nothing is fetched: what is to run in a page is put into a copy of it."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
NO_BROWSER = "no Chromium on this machine: install one to read the pages in a browser"
QUIET = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--allow-file-access-from-files",
)


def browse(folder: Path, *words: str) -> str:
    """What Chromium prints, started with these words and a profile in the folder."""
    assert BROWSER
    started = [BROWSER, *QUIET, f"--user-data-dir={folder / 'profile'}", *words]
    return subprocess.run(started, capture_output=True, text=True, timeout=120, check=True).stdout


def printed(folder: Path, page: str) -> Path:
    """The PDF that Chromium prints of a page, on the sheet size of its style."""
    (folder / "page.html").write_text(page, "utf-8")
    browse(folder, "--no-pdf-header-footer", f"--print-to-pdf={folder / 'page.pdf'}", str(folder / "page.html"))
    return folder / "page.pdf"


def asked(folder: Path, pages: dict[str, str], script: str) -> dict[str, Any]:
    """What ``script`` tells of each page, by name. It is the body of an async function, run in a frame that holds the
    page and has the size ``width`` of 1280 unless the name ends in one (``"statement 390"``)."""
    frames = []
    for number, (name, page) in enumerate(pages.items()):
        width = re.search(r" (\d+)$", name)
        probe = f"<script>window.told = () => (async () => {{ {script} }})();</script></body>"
        (folder / f"page-{number}.html").write_text(page.replace("</body>", probe), "utf-8")
        frames.append([name, f"page-{number}.html", int(width[1]) if width else 1280])
    (folder / "frames.html").write_text(FRAMES.replace("FRAMES", json.dumps(frames)), "utf-8")
    shown = browse(folder, "--virtual-time-budget=600000", "--dump-dom", str(folder / "frames.html"))
    told = re.search(r"<pre>(.*?)</pre>", shown, re.DOTALL)
    assert told, shown[:500]
    answers: dict[str, Any] = json.loads(html.unescape(told[1]))
    return answers


FRAMES = """<!DOCTYPE html><title>Frames</title><body><script>
(async () => {
  const answers = {};
  for (const [name, address, width] of FRAMES) {
    const frame = document.createElement("iframe");
    frame.style.cssText = `width:${width}px;height:900px;border:0`;
    frame.src = address;
    await new Promise(done => { frame.onload = done; document.body.append(frame); });
    answers[name] = await frame.contentWindow.told();
    frame.remove();
  }
  const told = document.createElement("pre");
  told.textContent = JSON.stringify(answers);
  document.body.replaceChildren(told);
})();
</script>"""
