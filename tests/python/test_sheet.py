"""The field sheet: it stands alone, escapes names, and holds in a real browser, on paper and on a small screen."""

import base64
import csv
import datetime as dt
import importlib.resources
import io
import json
import re
import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import dibble
from dibble import _field_map
from dibble.farm import Farm, Plan

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
PAPERS = {"letter": (8.5, 11.0), "A4": (210 / 25.4, 297 / 25.4)}
MARGIN_IN = 12 / 25.4
PX_PER_IN = 96
STRANGE = '<script>alert("1")</script> & مزرعة الصنوبر 木の農場'
DEMO = dibble.plan(Farm.demo(), Farm.demo_weather())
PLACED = dibble.plan(Farm.demo(), Farm.demo_weather(), sets=True)


def large_farm(blocks: int, name: str = "Sixty blocks") -> Farm:
    """Return a farm of so many blocks on one soil."""
    block = 'species = "balsam fir"\nplanted = 2024\nrow_spacing = "6 ft"\ntree_spacing = "6 ft"\ntrees = 300\nsoil = "hill"\n'
    text = f'name = {json.dumps(name)}\nunits = "us"\n[site]\nlatitude_deg = 45.5\nelevation = "950 ft"\n'
    text += '[soil.hill]\ntexture = "silt loam"\n'
    return Farm.parse(text + "".join(f'[[block]]\nname = "Block {n} {name[-3:]}"\n{block}' for n in range(1, blocks + 1)))


class Words(HTMLParser):
    """Gathers the tags and the visible text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def read(sheet: str) -> Words:
    words = Words()
    words.feed(sheet)
    return words


def test_each_block_with_sets_is_drawn_with_their_numbers_and_minutes() -> None:
    plan = PLACED
    page = read(plan.sheet())
    timetable = (plan.week or {})["schedule"]["timetable"]
    maps = [attributes["aria-label"] or "" for tag, attributes in page.tags if tag == "svg" and attributes.get("class") == "map"]
    assert len(maps) == len(plan.blocks)
    for block in plan.blocks:
        sets = block.sets
        assert sets is not None
        label = next(words for words in maps if words.startswith(f"Map of {block.name}, north up: "))
        assert label.count("set ") == len(sets["sets"])
        for one in sets["sets"]:
            runs = [s["run_min"] for s in timetable if (s["job"], s["set"]) == (block.name, str(one["number"]))]
            assert runs, "the demo's week serves every block"
            assert f"set {one['number']} at row {one['row']}, tree {one['tree']}, {sum(runs):.0f} min" in label
            assert f"{sum(runs):.0f} min" in page.text
    assert 'class="map"' not in DEMO.sheet()


def test_every_run_of_the_timetable_has_its_box_to_tick() -> None:
    sheet = PLACED.sheet()
    timetable = (PLACED.week or {})["schedule"]["timetable"]
    assert sheet.count('class="tick"') == len(timetable)
    assert sheet.count("<h3>What was done</h3>") == len(PLACED.blocks)
    assert read(sheet).text.count("level scoop") >= sum(len(b.feeding["next"]["amounts"]) for b in PLACED.blocks if b.feeding) - 1
    for block in PLACED.blocks:  # the page of a block says the same as the first page's slip, in words of its own
        part = next(part for part in PLACED.field()["parts"] if (part["key"], part["block"]) == ("positions", block.name))
        runs = [run for row in part["tables"][0]["rows"] for run in row[-1].split("\n")]
        assert len(runs) == sum(stint["job"] == block.name for stint in timetable)


def test_the_first_page_tells_each_run_with_its_place_its_begin_and_its_end() -> None:
    week = next(part for part in PLACED.field()["parts"] if part["key"] == "week")
    table = week["tables"][0]
    assert table["head"] == ["water on", "off", "min", "block and set (pulse)", "where"]
    timetable = (PLACED.week or {})["schedule"]["timetable"]
    assert len(table["rows"]) == len(timetable)
    for (on, off, minutes, name, where), stint in zip(table["rows"], timetable, strict=True):
        assert name == f"{stint['job']} {stint['set']}"
        one = next(s for s in (PLACED.block(stint["job"]).sets or {})["sets"] if str(s["number"]) == stint["set"])
        assert where.startswith(f"row {one['row']}, tree {one['tree']}; {one['hydrant']}")
        assert float(minutes) == round(stint["run_min"])
        begin, end = (dt.datetime.fromisoformat(stint[key]) for key in ("on", "off"))
        assert (on, off) == (f"{begin:%a} {clock(begin)}", clock(end))
    first = PLACED.sheet().split('class="carried"')[0]
    assert all(f">{cell}<" in first for row in table["rows"] for cell in row)


def clock(moment: dt.datetime) -> str:
    return f"{moment.hour % 12 or 12}:{moment:%M} {moment:%p}".lower()


def test_the_map_and_the_page_tell_where_row_one_begins() -> None:
    ends = {"South slope": ("south", "west"), "Pond field": ("east", "south"), "Clay pocket": ("east", "south"), "Kame": ("east", "south")}
    for name, (edge, end) in ends.items():
        first = (PLACED.block(name).sets or {})["first_tree"]
        along = 90.0 if name == "South slope" else 0.0
        assert first["along_deg"] == along
        assert f"row 1 is farthest {edge}; count trees from the {end} end" in PLACED.part(name)
        # it stands at the outline's end on that side, but for headland and slant
        outline = (PLACED.block(name).sets or {})["outline_m"]
        to_side = [-y if edge == "south" else x for x, y in [*outline, (first["x_m"], first["y_m"])]]
        assert max(to_side) - to_side[-1] < 4.0
    sheet = PLACED.sheet()
    assert sheet.count(">row 1, tree 1</text>") == len(ends)
    assert sheet.count("row 1, tree 1 is marked") == len(ends)
    for along, tip in ((0.0, (0.0, -34.0)), (90.0, (34.0, 0.0))):
        drawn = _field_map._first_tree((100.0, 100.0), along, 300.0, [])
        found = re.search(r'<path d="M100.0 100.0 L([0-9.]+) ([0-9.]+)"', drawn)
        assert found
        assert (float(found[1]) - 100.0, float(found[2]) - 100.0) == pytest.approx(tip)


def test_trees_out_of_reach_get_a_bucket_on_the_page_of_their_block() -> None:
    short_hose = re.sub(r"reach_m = [0-9.]+", "reach_m = 80.0", Farm.demo().to_toml())
    plan = dibble.plan(Farm.parse(short_hose), Farm.demo_weather(), sets=True)
    lists = [(block, (block.sets or {})["bucket"]) for block in plan.blocks if (block.sets or {}).get("bucket")]
    assert lists, "with hoses of 80 m some trees stay dry"
    page = " ".join(read(plan.sheet()).text.split())
    for block, bucket in lists:
        assert f"{block.name}: by hand" in page
        part = next(part for part in plan.field()["parts"] if (part["key"], part["block"]) == ("bucket", block.name))
        assert len(part["tables"][0]["rows"]) == len(bucket["loads"])


def test_a_map_marks_short_trees_and_parts_of_circles_and_escapes_names() -> None:
    one = {"number": 1, "x_m": 10.0, "y_m": 10.0, "row": 2, "tree": 3, "run_min": 30.0, "runs": 3, "arc_deg": [180.0, 90.0]}
    square = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]]
    short = [{"x_m": 39.0, "y_m": 29.0}, {"x_m": 38.0, "y_m": 29.0}]
    sets = {"outline_m": square, "sets": [one], "hydrants": [["<gate>", [0.0, 0.0]]], "short": short, "head": {"radius_m": 12.0}}
    drawn = _field_map.svg(STRANGE, sets, "si")
    assert "<script" not in drawn
    assert "&lt;script&gt;" in drawn
    assert "hydrant &lt;gate&gt;" in drawn
    assert "30 min in 3 pulses" in drawn
    assert "2 trees out of reach or short, marked x" in drawn
    assert "25 m" in drawn
    assert drawn.count("l6 6 m0 -6 l-6 6") == 2
    assert " A" in drawn
    assert drawn.count("<circle") == 1
    assert _field_map.svg("None", sets | {"sets": []}, "us") == ""


def test_sets_on_one_spot_stand_side_by_side_in_the_map_each_with_its_minutes() -> None:
    full = {"number": 8, "x_m": 20.0, "y_m": 15.0, "row": 2, "tree": 3, "run_min": 76.0, "runs": 1, "arc_deg": None}
    half = full | {"number": 9, "run_min": 240.0, "arc_deg": [180.0, 0.0]}
    apart = full | {"number": 10, "x_m": 38.0, "run_min": 50.0}
    square = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]]
    sets = {"outline_m": square, "sets": [full, half, apart], "hydrants": [], "short": [], "head": {"radius_m": 12.0}}
    drawn = _field_map.svg("Ell", sets, "us")
    discs = [(float(x), float(y)) for x, y in re.findall(r'<circle cx="([0-9.]+)" cy="([0-9.]+)" r="15"', drawn)]
    numbers = re.findall(r'<text x="([0-9.]+)" y="[0-9.]+" font-size="20"[^>]*>([0-9]+)<', drawn)
    assert [int(number) for _, number in numbers] == [8, 9, 10]
    assert [float(x) for x, _ in numbers] == [x for x, _ in discs]
    assert discs[1][0] - discs[0][0] >= 30.0  # as wide as a disc, so that neither covers the other
    assert discs[1][1] == discs[0][1]
    # the minutes of each beside its own number: 8's end left of it, 9's begin right of it
    ends = {words: (float(x), side) for x, side, words in re.findall(r'<text x="([0-9.]+)"[^>]*text-anchor="(\w+)">(\d+ min)<', drawn)}
    assert [ends[words][1] for words in ("76 min", "240 min")] == ["end", "start"]
    assert [ends[words][0] for words in ("76 min", "240 min")] == pytest.approx([discs[0][0] - 20, discs[1][0] + 20], abs=0.11)


def test_where_each_set_has_one_run_the_sheet_and_the_table_say_so_in_one_voice() -> None:
    chosen = next(way for way in (PLACED.week or {})["schedule"]["candidates"] if way["chosen"])
    assert chosen["way"] == "one_run"
    block = PLACED.block("Clay pocket")
    sets = (block.sets or {})["sets"]
    assert any(len(one["pulses"]["pulses"]) > 1 for one in sets)
    assert all(one["runs"] == 1 for one in sets)
    rows = [row for row in csv.DictReader(io.StringIO(PLACED.sets_csv())) if row["block"] == "Clay pocket"]
    assert [(float(row["minutes"]), row["pulses"]) for row in rows] == [(one["run_min"], "1") for one in sets]
    label = re.search(r'aria-label="(Map of Clay pocket[^"]*)"', PLACED.sheet())
    assert label
    assert "pulses" not in label[1]


def test_the_plan_keeps_to_its_published_schema() -> None:
    schema = json.loads(Plan.schema())
    jsonschema.Draft202012Validator.check_schema(schema)
    plan = json.loads(PLACED.to_json())
    jsonschema.validate(plan, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(plan | {"blocks": 5}, schema)


def test_the_sheet_stands_alone() -> None:
    sheet = DEMO.sheet()
    page = read(sheet)
    assert "script" not in {tag for tag, _ in page.tags}
    assert not [a for _, a in page.tags if any(k in a for k in ("src", "href", "onload", "onclick"))]
    assert not re.search(r"url\((?!#)|@import", sheet)


def test_the_sheet_tells_what_the_plan_tells() -> None:
    text = " ".join(read(DEMO.sheet()).text.split())
    page = DEMO.page()
    rows = [
        cell for part in page["parts"] if part["key"] == "headlines" for table in part["tables"] for row in table["rows"] for cell in row
    ]
    cautions = [line["text"] for part in page["parts"] if part["key"] in ("cautions", "assumptions") for line in part["lines"]]
    for words in [page["title"], *rows, *cautions]:
        assert words in text
    assert text.index(rows[0]) < text.index("Block by block"), "the week's answer stands first"


def test_names_are_words_and_never_markup() -> None:
    plan = dibble.plan(large_farm(2, STRANGE), Farm.demo_weather())
    sheet = plan.sheet()
    page = read(sheet)
    assert "script" not in {tag for tag, _ in page.tags}
    assert STRANGE in page.text
    assert '<h1 dir="auto">' in sheet, "a name may be written from right to left"


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    if CHROMIUM is None or DRIVER is None:
        pytest.skip("no Chromium with its driver is installed here; the sheet is not opened in a browser")
    from selenium import webdriver

    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM
    quiet = ("disable-background-networking", "disable-component-update", "disable-sync", "disable-quic", "no-first-run")
    for argument in ("headless", "no-sandbox", "disable-gpu", f"user-data-dir={tmp_path_factory.mktemp('profile')}", *quiet):
        options.add_argument(f"--{argument}")
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(executable_path=DRIVER))
    yield driver
    driver.quit()


def opened(browser: Any, plan: Plan, folder: Path) -> Any:
    file = folder / "sheet.html"
    file.write_text(plan.sheet(), encoding="utf-8")
    browser.get(file.as_uri())
    return browser


def pages(browser: Any, paper: str) -> int:
    """Return the number of printed pages."""
    width, height = PAPERS[paper]
    how = {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": False, "marginTop": MARGIN_IN, "marginBottom": MARGIN_IN}
    pdf = base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", how | {"marginLeft": MARGIN_IN, "marginRight": MARGIN_IN})["data"])
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


@pytest.mark.parametrize("paper", PAPERS)
def test_four_blocks_with_their_sets_print_on_eight_pages(browser: Any, tmp_path: Path, paper: str) -> None:
    opened(browser, PLACED, tmp_path)
    assert pages(browser, paper) <= 8
    hidden = "document.querySelectorAll('.sheet-end').forEach(part => part.remove())"
    browser.execute_script(hidden)
    assert pages(browser, paper) == 1 + len(PLACED.blocks), "the week on the first page, then a page for each block"


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("plan", [DEMO, PLACED], ids=["plain", "with sets"])
def test_no_table_is_cut_by_the_end_of_a_page(browser: Any, tmp_path: Path, paper: str, plan: Plan) -> None:
    opened(browser, plan, tmp_path)
    width, height = (round((side - 2 * MARGIN_IN) * PX_PER_IN) for side in PAPERS[paper])
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride", {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    )
    tall = browser.execute_script(
        "return [...document.querySelectorAll('table, article')].filter(t => t.getBoundingClientRect().height > arguments[0]).length",
        height,
    )
    rules = browser.execute_script("return [...document.querySelectorAll('table, article')].map(t => getComputedStyle(t).breakInside)")
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert tall == 0
    assert set(rules) == {"avoid"}


def test_nothing_runs_over_the_edge_of_a_small_screen(browser: Any, tmp_path: Path) -> None:
    for plan in (DEMO, PLACED, dibble.plan(large_farm(2, STRANGE), Farm.demo_weather(), units="si")):
        opened(browser, plan, tmp_path)
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": 360, "height": 740, "deviceScaleFactor": 2, "mobile": True})
        wide = browser.execute_script("return document.documentElement.scrollWidth")
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
        assert wide <= 360


def test_a_reader_that_listens_finds_headings_tables_and_contrast(browser: Any, tmp_path: Path) -> None:
    axe = importlib.resources.files("axe_core_python").joinpath("axe.min.js").read_text(encoding="utf-8")
    for plan in (DEMO, PLACED):
        opened(browser, plan, tmp_path)
        browser.execute_script(axe)
        found = browser.execute_async_script("const done = arguments[0]; axe.run().then(r => done({bad: r.violations, good: r.passes}));")
        assert [(rule["id"], [node["html"][:80] for node in rule["nodes"]]) for rule in found["bad"]] == []
        passed = {rule["id"] for rule in found["good"]}
        assert {"color-contrast", "heading-order", "document-title", "svg-img-alt", "html-has-lang"} <= passed


@pytest.mark.parametrize("paper", PAPERS)
def test_sixty_blocks_print_on_a_dozen_pages(browser: Any, tmp_path: Path, paper: str) -> None:
    blocks = 60
    opened(browser, dibble.plan(large_farm(blocks), Farm.demo_weather()), tmp_path)
    assert 1 < pages(browser, paper) <= 2 + blocks / 6


def test_a_name_that_is_a_script_is_shown_and_not_run(browser: Any, tmp_path: Path) -> None:
    opened(browser, dibble.plan(large_farm(2, STRANGE), Farm.demo_weather()), tmp_path)
    assert STRANGE in browser.find_element("tag name", "h1").text
    assert browser.execute_script("return document.scripts.length") == 0
