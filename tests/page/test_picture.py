"""The picture of the page that README shows. PAGE_WRITE=1 makes it anew."""

import os
import re
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent.parent
PICTURE = ROOT / "demo" / "page.png"
MOST_BYTES = 300_000


def test_readme_shows_a_picture_of_the_page() -> None:
    data = PICTURE.read_bytes()
    assert data.startswith(b"\x89PNG\r\n")
    assert len(data) < MOST_BYTES
    found = re.search(r"!\[([^\]]+)\]\(demo/page\.png\)", (ROOT / "README.md").read_text("utf-8"))
    assert found
    assert len(found[1]) > 40, "the alt text should say what is to be seen"


def test_picture_can_be_made(sheet: Path, watch: Any, tmp_path: Path) -> None:
    page = watch(viewport={"width": 1000, "height": 900}, color_scheme="light").open(sheet)
    path = PICTURE if os.environ.get("PAGE_WRITE") else tmp_path / "page.png"
    page.screenshot(path=path)
    assert path.stat().st_size < MOST_BYTES
