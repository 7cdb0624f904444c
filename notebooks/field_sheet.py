"""Makes field_sheet.png anew: the demo farm's first sheet page beside a block's page, as they print on letter paper.

Needs Chromium with its driver, selenium and Pillow: `python notebooks/field_sheet.py`.
"""

from __future__ import annotations

import io
import shutil
import tempfile
from pathlib import Path

from PIL import Image
from selenium import webdriver

import dibble
from dibble.farm import Farm

WIDTH_PX = round((8.5 - 2 * 12 / 25.4) * 96)
HEIGHT_PX = round((11 - 2 * 12 / 25.4) * 96)
MARGIN_PX = 28
GRAYS = 16


def main() -> None:
    """Write the picture beside this file."""
    sheet = dibble.plan(Farm.demo(), Farm.demo_weather(), sets=True).sheet()
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "sheet.html"
        file.write_text(sheet, encoding="utf-8")
        options = webdriver.ChromeOptions()
        options.binary_location = shutil.which("chromium") or ""
        for argument in ("headless", "no-sandbox", "disable-gpu", f"user-data-dir={folder}/profile"):
            options.add_argument(f"--{argument}")
        driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(executable_path=shutil.which("chromedriver")))
        try:
            driver.get(file.as_uri())
            driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
            size = {"width": WIDTH_PX, "height": 3 * HEIGHT_PX, "deviceScaleFactor": 1, "mobile": False}
            driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
            driver.execute_script("document.querySelector('.answer').prepend(document.querySelector('header'))")
            shots = [driver.find_element("css selector", section).screenshot_as_png for section in (".answer", ".carried")]
        finally:
            driver.quit()
    pages = [Image.open(io.BytesIO(shot)).convert("L") for shot in shots]
    height = max(HEIGHT_PX, *(page.height for page in pages)) + 2 * MARGIN_PX
    picture = Image.new("L", (2 * WIDTH_PX + 5 * MARGIN_PX, height), 200)
    for place, page in enumerate(pages):
        left = MARGIN_PX + place * (WIDTH_PX + 3 * MARGIN_PX)
        picture.paste(255, (left - MARGIN_PX // 2, MARGIN_PX // 2, left + WIDTH_PX + MARGIN_PX // 2 + MARGIN_PX, height - MARGIN_PX // 2))
        picture.paste(page, (left + MARGIN_PX // 2, MARGIN_PX))
    picture.quantize(GRAYS).save(Path(__file__).with_suffix(".png"), optimize=True)


if __name__ == "__main__":
    main()
