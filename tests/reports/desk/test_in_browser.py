"""The desk in a real browser: what a person types, sees and is told. Skipped where no Chromium or Playwright is."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import axe_core_python
import pytest
from browsing import BROWSER, NO_BROWSER

from listel.core.files import beside
from listel.core.host.firm import Firm
from listel.core.survey.splice import found
from listel.core.survey.words import built_in_schema
from listel.core.survey.yaml_places import read_document
from listel.reports.desk.form import Field, Form, fields_of
from listel.reports.desk.paths import path_of
from listel.reports.desk.views import place_of
from listel.reports.statement import render

sync_api = pytest.importorskip("playwright.sync_api", reason="no Playwright: pip install 'listel[test]'")
pytestmark = pytest.mark.skipif(BROWSER is None, reason=NO_BROWSER)

PHONE, LAPTOP = {"width": 360, "height": 780}, {"width": 1280, "height": 900}
LENGTH = "rooms/0/walls/0/length/first"
WALL = "/room/0/wall/0"
Page = Any


def until(page: Page, told: str, seconds: float = 20) -> None:
    """Until that is so; a strict content policy leaves a page no way to wait by itself."""
    end = time.monotonic() + seconds
    while not _so(page, told):
        assert time.monotonic() < end, f"never so: {told}; {page.inner_text('#state')}; {page.inner_text('#unread')}"
        page.wait_for_timeout(15)


def _so(page: Page, told: str) -> bool:
    """Whether it is so; while a page goes, nothing is."""
    try:
        return bool(page.evaluate(f"document.readyState === 'complete' && ({told})"))
    except sync_api.Error as error:
        if "navigation" in str(error):
            return False
        raise


def kept(page: Page) -> None:
    """Until all that was typed is in the file."""
    until(page, "document.querySelector('#state').textContent.startsWith('All kept')")


class Opened:
    """A desk, and a browser of its own that speaks with it; nothing of a former one is kept in it."""

    def __init__(self, browser: Any, survey: Path, address: str) -> None:
        self.survey, self.address, self.base = survey, address, address.partition("/?")[0]
        self.context = browser.new_context(viewport=PHONE)
        self.console: list[str] = []
        self._let_in = False

    def page(self, path: str = "/job", size: dict[str, int] = PHONE) -> Page:
        """A page of the desk in a window of that size."""
        page = self.context.new_page()
        page.set_viewport_size(size)
        page.on("console", lambda message: self.console.append(message.text))
        page.on("pageerror", lambda error: self.console.append(str(error)))
        if not self._let_in:
            self.context.request.get(self.address)
            self._let_in = True
        page.goto(self.base + path)
        return page


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One browser for all of them."""
    with sync_api.sync_playwright() as play:
        started = play.chromium.launch(
            executable_path=BROWSER, args=["--no-sandbox", "--disable-gpu", "--disable-quic"]
        )
        yield started
        started.close()


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory, examples: Path) -> Iterator[tuple[Path, str]]:
    """One desk in a process of its own for all of them: its survey, and its address."""
    survey = tmp_path_factory.mktemp("desk") / "plain-room.yaml"
    shutil.copy(examples / "plain-room.yaml", survey)
    words = [sys.executable, "-m", "listel", "desk", str(survey), "--port", "0", "--no-open", "--json"]
    words += ["--rates", str(examples / "rates-invented.yaml")]
    process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout
    yield survey, json.loads(process.stdout.readline())["address"]
    process.terminate()
    process.communicate(timeout=20)


@pytest.fixture
def opened(browser: Any, served: tuple[Path, str], examples: Path) -> Iterator[Callable[..., Opened]]:
    """Opens the desk on a fresh copy of the plain room, or of the starter."""
    survey, address = served
    desk = Opened(browser, survey, address)

    def begun(text: Path = examples / "plain-room.yaml") -> Opened:
        survey.write_bytes(text.read_bytes())
        return desk

    yield begun
    desk.context.close()


def typed(page: Page, field: Field, value: str) -> None:
    """Into a field, by keyboard."""
    input_ = page.locator(f'[id="{field.id}"]')
    input_.focus()
    if field.kind in ("choice", "yes-no"):
        page.keyboard.type(value.replace("-", " ") or "not said")
    else:
        page.keyboard.press("ControlOrMeta+a")
        page.keyboard.type(value) if value else page.keyboard.press("Delete")
    assert input_.input_value() == value, field.id


def added(page: Page, name: str, kind: str) -> None:
    """One more entry, by keyboard."""
    number = page.locator(f'[id^="{name}/"][id$="-fault"]').count()
    add = page.locator(f'.add[data-name="{name}"]')
    if kind:
        add.locator(".kind").focus()
        page.keyboard.type(kind.replace("-", " "))
    add.locator(".more").first.focus()
    page.keyboard.press("Enter")
    until(page, f"""document.querySelectorAll('[id^="{name}/"][id$="-fault"]').length > {number}""")


def rows_of(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[str, str]]:
    """Each list of entries in the survey that the starter has not, entry by entry, and its kind."""
    parts = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, part in parts:
        here = (*path, key)
        if isinstance(key, int) and isinstance(part, dict) and path not in (("rooms",), ("rooms", 0, "walls")):
            yield "/".join(map(str, path)), part.get("kind") or part.get("member") or ""
        yield from rows_of(part, here)


def test_a_whole_room_is_typed_by_keyboard_on_a_phone(opened: Callable[..., Opened], examples: Path) -> None:
    """From the starter to the plain room: the same data, and word for word the same statement."""
    desk = opened(beside("listel.schemas", "starter.yaml"))
    example = examples / "plain-room.yaml"
    wanted = read_document(example).data
    form = Form(built_in_schema(), wanted, "mm")
    fields = [field for field in fields_of(form.parts((), form.keys(()))) if field.value]
    done: set[str] = set()
    page = desk.page()

    def fill(wanted_fields: list[Field]) -> None:
        for field in wanted_fields:
            if field.id not in done:
                typed(page, field, field.value)
                done.add(field.id)

    rows = list(rows_of(wanted))
    for place in ("/job", "/room/0", WALL, "/trim"):
        page.goto(desk.base + place)
        here = [field for field in fields if place_of(path_of(field.id)).address == place]
        inside = tuple(f"{name}/" for name, _ in rows)
        fill([field for field in here if not field.id.startswith(inside)])
        count: dict[str, int] = {}
        for name, kind in rows:
            if place_of((*path_of(name), 0, "x")).address != place:
                continue
            entry = f"{name}/{count.get(name, 0)}/"
            if page.locator(f'[id^="{entry}"]').count():  # trim is begun in the only room
                page.locator(f'[id="{entry[:-1]}"] > summary').press("Enter")
            else:
                added(page, name, kind)
            count[name] = count.get(name, 0) + 1
            deeper = tuple(f"{other}/" for other, _ in rows if other.startswith(entry))
            fill([field for field in here if field.id.startswith(entry) and not field.id.startswith(deeper)])
        if place == "/job":
            use = form.part(("building", "use"))
            assert isinstance(use, Field)
            typed(page, use, "")
        kept(page)
    assert read_document(desk.survey).data == wanted
    firm = Firm(installed=False)
    statements = [render(firm.examine(firm.read(path))) for path in (example, desk.survey)]
    assert len({re.sub(r"lines? [\d, ]+|:\d+", "", one) for one in statements}) == 1
    assert desk.console == []


def test_a_fault_is_shown_beside_its_field_and_mended(opened: Callable[..., Opened]) -> None:
    desk = opened()
    page = desk.page(WALL)
    field = page.locator(f'[id="{LENGTH}"]')
    field.fill("36oo")
    until(page, "document.querySelector('[aria-invalid=true]')")
    fault = page.locator(f'[id="{LENGTH}-fault"]')
    assert "36oo" in fault.inner_text()
    assert f"{LENGTH}-fault" in (field.get_attribute("aria-describedby") or "")
    assert "36oo" in page.locator("#spoken").inner_text()
    assert page.locator("#seen svg").count() == 2  # the rest is still drawn
    fault.get_by_role("button", name="Put back 3.62 m").click()
    until(page, "!document.querySelector('[aria-invalid=true]')")
    kept(page)
    assert "length: 3.62 m" in desk.survey.read_text("utf-8")
    assert desk.console == []


def test_a_drawing_follows_what_is_typed(opened: Callable[..., Opened]) -> None:
    desk = opened()
    page = desk.page(WALL, LAPTOP)
    page.locator(f'[id="{LENGTH}"]').fill("4100")
    until(page, "document.querySelector('#seen').textContent.includes('4100')")
    kept(page)
    page.get_by_role("button", name=re.compile("^Undo .*3.62 m → 4100")).click()
    until(page, "document.querySelector('#seen').textContent.includes('3620')")
    assert page.locator(f'[id="{LENGTH}"]').input_value() == "3.62 m"
    assert "length: 3.62 m" in desk.survey.read_text("utf-8")


def test_what_is_drawn_leads_to_its_field(opened: Callable[..., Opened]) -> None:
    """By pointer on the ring of a number, on a line, on the key; and by keyboard."""
    desk = opened()
    page = desk.page(WALL, LAPTOP)

    def pressed(words: str, leads_to: str) -> None:
        drawn = page.locator("#seen text", has_text=re.compile(words)).first
        drawn.scroll_into_view_if_needed()
        page.wait_for_timeout(50)
        at = drawn.bounding_box()
        page.mouse.click(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
        until(page, f"document.activeElement.id.startsWith('{leads_to}')")

    pressed("^switch", "rooms/0/walls/0/fittings/1/")
    pressed("^1$", "rooms/0/walls/0/openings/0/")
    pressed("^3620$", "rooms/0/walls/0/length/first")
    page.goto(desk.base + "/room/0")
    pressed("^A ", "rooms/0/walls/0/length/first")
    link = page.get_by_role("link", name="Back bedroom, wall A, length").first
    link.focus()
    page.keyboard.press("Enter")
    until(page, f"document.activeElement.id === '{LENGTH}'")
    page.goto(desk.base + WALL)
    page.locator("#seen a[href^='/trim']").first.focus()
    page.keyboard.press("Enter")
    until(page, "location.pathname === '/trim' && document.activeElement.id.startsWith('trim/')")
    assert desk.console == []


def test_papers_are_saved_and_what_stops_one_is_told(opened: Callable[..., Opened]) -> None:
    """The estimate too, since rates were given."""
    desk = opened()
    page = desk.page("/papers")
    with page.expect_download() as coming:
        page.get_by_role("link", name=re.compile("Save.*Estimate, CSV")).click()
    assert coming.value.suggested_filename == "plain-room-estimate.csv"
    assert "labour" in Path(coming.value.path()).read_text("utf-8")
    desk.survey.write_text(desk.survey.read_text("utf-8").replace("3.62 m", "36z0"), "utf-8")
    page.get_by_role("link", name=re.compile("Save.*Cutting list")).click()
    until(page, "document.querySelector('#unread').textContent.includes('36z0')")


def test_two_pages_edit_one_file_and_conflicts_are_told(opened: Callable[..., Opened]) -> None:
    desk = opened()
    one, other = desk.page(WALL), desk.page(WALL, LAPTOP)
    one.locator(f'[id="{LENGTH}"]').fill("3700")
    kept(one)
    other.locator(f'[id="{LENGTH}"]').fill("3800")
    fault = other.locator(f'[id="{LENGTH}-fault"]')
    fault.wait_for()
    assert "The file says 3700; you typed 3800" in fault.inner_text()
    assert "length: 3700" in desk.survey.read_text("utf-8")
    fault.get_by_role("button", name="Put 3800").click()
    kept(other)
    assert "length: 3800" in desk.survey.read_text("utf-8")
    one.evaluate("look()")
    until(one, f"document.getElementById('{LENGTH}').value === '3800' || document.activeElement.id === '{LENGTH}'")
    until(one, "document.querySelector('#seen').textContent.includes('3800')")


def test_what_is_typed_without_a_line_is_kept_and_sent_when_it_is_back(opened: Callable[..., Opened]) -> None:
    """Through a reload too: the drafts are on the device."""
    desk = opened()
    page = desk.page(WALL)
    desk.context.set_offline(True)
    page.locator('[id="rooms/0/walls/0/moisture"]').fill("13")
    until(page, "document.querySelector('#state').textContent.includes('1 kept on this device')")
    assert "moisture: 13" not in desk.survey.read_text("utf-8")
    text = desk.survey.read_text("utf-8").replace("3.62 m", "3650")
    desk.survey.write_text(text, "utf-8")  # another hand, meanwhile
    desk.context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    kept(page)
    now = desk.survey.read_text("utf-8")
    assert "moisture: 13" in now
    assert "length: 3650" in now
    assert all("ERR_INTERNET_DISCONNECTED" in one for one in desk.console)


def test_a_file_broken_by_hand_keeps_the_drafts_and_goes_on(opened: Callable[..., Opened]) -> None:
    desk = opened()
    page = desk.page(WALL)
    good = desk.survey.read_text("utf-8")
    desk.survey.write_text(good.replace("floor: [{", "floor: [{{"), "utf-8")
    page.locator('[id="rooms/0/walls/0/moisture"]').fill("13")
    until(page, "!document.querySelector('#unread').hidden")
    assert re.search(r"plain-room\.yaml:\d+:", page.locator("#unread").inner_text())
    desk.survey.write_text(good, "utf-8")
    kept(page)
    assert "moisture: 13" in desk.survey.read_text("utf-8")
    assert page.locator("#unread").is_hidden()


def test_a_photograph_is_made_small_and_kept_without_its_marks(opened: Callable[..., Opened], tmp_path: Path) -> None:
    from PIL import Image

    desk = opened()
    page = desk.page(WALL)
    marks = Image.Exif()
    marks[0x010F] = "A camera"
    marks.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)  # where it was taken
    Image.effect_noise((2400, 1800), 20).convert("RGB").save(tmp_path / "wall.jpg", exif=marks)
    page.set_input_files("#camera", tmp_path / "wall.jpg")
    page.locator(".shots img").wait_for()
    kept_file = next((desk.survey.parent / "photos").glob("*.jpg"))
    assert b"Exif" in (tmp_path / "wall.jpg").read_bytes()
    assert b"Exif" not in kept_file.read_bytes()
    with Image.open(kept_file) as image:
        assert image.size == (1600, 1200)
        assert dict(image.getexif()) == {}
    assert f"file: photos/{kept_file.name}" in desk.survey.read_text("utf-8")
    until(page, "document.querySelector('.shots img').naturalWidth === 1600")
    assert desk.console == []


def test_every_page_is_clean_to_a_checker_in_four_sizes(opened: Callable[..., Opened]) -> None:
    """Web Content Accessibility Guidelines 2.1 (W3C, 2018), by axe-core; nothing runs off the page sideways, and what
    is pressed is 44 px high (2.5.5)."""
    desk = opened()
    script = (Path(axe_core_python.__file__).parent / "axe.min.js").read_text("utf-8")
    page = desk.page()
    for path in ("/job", "/room/0", WALL, "/trim", "/records", "/open", "/papers"):
        page.goto(desk.base + path)
        page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        page.evaluate(script)
        for width, scheme in ((360, "light"), (768, "dark"), (1280, "light"), (1920, "light")):
            page.set_viewport_size({"width": width, "height": 900})
            page.emulate_media(color_scheme=scheme)
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (path, width)
            low = (
                "[...document.querySelectorAll('button, input, select, textarea, nav a')]"
                ".filter(one => one.checkVisibility() && one.offsetHeight < 44).map(one => one.outerHTML)"
            )
            assert page.evaluate(low) == [], (path, width)
            contrast = str(width < 1920).lower()  # which takes longest; the widest is laid out and coloured as 1280 is
            found_wrong = page.evaluate(
                "axe.run({exclude: [['svg > text'], ['svg > path'], ['svg > circle']]}, {resultTypes: ['violations'], "
                f"selectors: false, rules: {{'color-contrast': {{enabled: {contrast}}}}}}}).then(told => "
                "told.violations.map(one => [one.id, one.nodes.slice(0, 3).map(node => node.html.slice(0, 200))]))"
            )
            assert found_wrong == [], (path, width)
    assert desk.console == []


def test_the_key_stays_out_of_the_address(opened: Callable[..., Opened]) -> None:
    desk = opened()
    page = desk.context.new_page()
    page.goto(desk.address)
    assert page.url == f"{desk.base}/room/0"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the form"


def test_enter_goes_to_the_next_field_and_a_link_to_its_field(opened: Callable[..., Opened]) -> None:
    desk = opened()
    page = desk.page(WALL)
    page.locator(f'[id="{LENGTH}"]').focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == LENGTH.replace("first", "second")
    page.locator('[id="rooms/0/walls/0/substrate/plaster"]').fill("")
    page.locator("#missing a", has_text="plaster").click()
    until(page, "document.activeElement.id === 'rooms/0/walls/0/substrate/plaster'")


def test_found_in_the_survey() -> None:
    assert found({"a": [{"b": 1}]}, ("a", 0, "b")) == 1
