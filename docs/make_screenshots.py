"""Take docs/images/page-*.jpg: each page of the dashboard, at the bench and on a phone.

Run it after a change to a page: `python docs/make_screenshots.py`. It needs Debian's Chromium.
"""

import io
import json
import runpy
import shutil
import tempfile
from pathlib import Path
from urllib.parse import urlencode

from bench_browser import BENCH, PHONE, Tab, chromium, served
from PIL import Image
from playwright.sync_api import Browser

from scrapeview.record import FacePlan, Record
from scrapeview.record_samples import keep_samples

DOCS = Path(__file__).parent
IMAGES = DOCS / "images"
SHOT = DOCS.parent / "sample_images" / "two-colour.jpg"
BEGUN = FacePlan(name="Lower face", role="flat way", width_mm=220, height_mm=150)
"""A face without a print yet; it belongs to the invented job."""
LONG_RECORD = DOCS.parent / "tests" / "long_record.py"
LONG = {"long-face": "Strip", "long-face-stretch": "Stretch", "long-face-in-line": "In line"}
"""Parts of the page Long face."""
JUDGED = {"verdict": "Verdict", "next-pass": "Next pass", "shape": "Shape"}
"""Parts of the page Judge, which its address names."""
HIGHEST_PX = {False: 1500, True: 1900}
"""No picture is higher: what is on a page first is on it, what is far down is not."""
DENSITY = {False: 1.0, True: 2.0}
JPEG_QUALITY = 80


def main() -> None:
    """Start a server on a fresh record with the sample series and take all pictures."""
    # always the same folder, as the page Settings shows it
    folder = Path(tempfile.gettempdir()) / "bench"
    folder.mkdir()
    try:
        home = folder / "record"
        record = Record.open(home)
        done = keep_samples(record)
        begun = record.add_face(done.part.part_id, BEGUN)
        invented = runpy.run_path(str(LONG_RECORD))
        long_id = invented["keep_long_face"](record, invented["LARGE"])
        record.close()
        with served(home) as server, chromium() as browser:
            for phone in (False, True):
                take_pages(browser, server.url, done.face_id, begun.face_id, phone=phone)
                take_long_face(browser, server.url, long_id, phone=phone)
    finally:
        shutil.rmtree(folder)


def take_pages(browser: Browser, url: str, face_id: int, begun_id: int, *, phone: bool) -> None:
    """Take each page, for the bench or for a phone."""
    tab = Tab(browser, url, phone=phone, device_scale_factor=DENSITY[phone], color_scheme="light")
    where = "phone" if phone else "bench"
    for name, path in (("shop", ""), ("face", "face"), ("side-by-side", "side-by-side"),
                       ("settings", "settings")):  # fmt: skip
        tab.open(f"{path}?face={face_id}")
        take(tab, f"page-{name}-{where}")
    for name, look in JUDGED.items():
        tab.open(f"judge?{urlencode({'face': face_id, 'look': look})}")
        take(tab, f"page-judge-{name}-{where}")
    tab.open(f"new-print?face={begun_id}")
    take_new_print(tab, where)
    tab.close()


def take_long_face(browser: Browser, url: str, face_id: int, *, phone: bool) -> None:
    """Take the parts of the page Long face."""
    tab = Tab(browser, url, phone=phone, device_scale_factor=DENSITY[phone], color_scheme="light")
    for name, look in LONG.items():
        tab.open(f"long-face?{urlencode({'face': face_id, 'look': look})}")
        take(tab, f"page-{name}-{'phone' if phone else 'bench'}")
    tab.close()


def take_new_print(tab: Tab, where: str) -> None:
    """Take the page New print twice: with the corners picked, and with what was read."""
    told = json.loads(SHOT.with_suffix(".json").read_text())
    with Image.open(SHOT) as picture:
        size_px = picture.size
    tab.upload(SHOT)
    tab.pick(told["corners_px"], size_px)
    take(tab, f"page-new-print-corners-{where}")
    tab.press("Read with these corners")
    tab.page.get_by_test_id("picture-stage").wait_for()
    take(tab, f"page-new-print-{where}")


def take(tab: Tab, name: str) -> None:
    """Write a picture of the page from its top, as high as the page is within the limit."""
    width = (PHONE if tab.phone else BENCH)["width"]
    highest = HIGHEST_PX[tab.phone]
    tab.page.set_viewport_size({"width": width, "height": highest})
    tab.page.mouse.move(0, 0)
    tab.page.get_by_test_id("stMain").evaluate("main => main.scrollTo(0, 0)")
    tab.settle()
    # charts and pictures draw themselves after the page stands
    tab.page.wait_for_timeout(2500)
    complaints = tab.complaints()
    if complaints:
        raise RuntimeError(f"{name}: {'; '.join(complaints)}")
    high = tab.page.evaluate(
        "Math.ceil(document.querySelector('[data-testid=stMainBlockContainer]')"
        ".getBoundingClientRect().bottom)"
    )
    shown = {"x": 0, "y": 0, "width": width, "height": min(highest, high)}
    taken = Image.open(io.BytesIO(tab.page.screenshot(clip=shown)))
    taken.convert("RGB").save(IMAGES / f"{name}.jpg", quality=JPEG_QUALITY, optimize=True)
    tab.page.set_viewport_size(PHONE if tab.phone else BENCH)


if __name__ == "__main__":
    main()
