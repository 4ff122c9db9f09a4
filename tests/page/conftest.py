"""A headless Chromium for the page's tests; without it they are skipped with the reason."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from recommender.answer.answer import Case
from recommender.output.page.page import ENGINE, page, source
from tests.cli.run import demo_case

CHROMIUM = Path("/usr/bin/chromium")
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    playwright = pytest.importorskip(
        "playwright.sync_api", reason="needs the test extra's playwright"
    )
    if not CHROMIUM.exists():
        pytest.skip(f"needs a browser at {CHROMIUM}: apt-get install chromium")
    with playwright.sync_playwright() as running:
        made = running.chromium.launch(executable_path=str(CHROMIUM), args=list(QUIET))
        yield made
        made.close()


class Watched:
    """A page of the browser with everything it complained of and everything it asked for."""

    def __init__(self, browser: Any, **options: Any) -> None:
        self.context = browser.new_context(**options)
        self.page = self.context.new_page()
        self.said: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda one: self.said.append(f"{one.type}: {one.text}"))
        self.page.on("pageerror", lambda one: self.said.append(f"error: {one}"))
        self.page.on(
            "dialog", lambda one: (self.said.append(f"dialog: {one.message}"), one.dismiss())
        )
        self.page.on("request", lambda one: self.asked.append(one.url))

    def open(self, path: Path) -> Any:
        self.page.goto(path.as_uri())
        self.page.wait_for_function("document.readyState === 'complete'")
        return self.page


@pytest.fixture
def watch(browser: Any) -> Iterator[Any]:
    """Makes watched pages and closes them."""
    made: list[Watched] = []

    def new(**options: Any) -> Watched:
        made.append(Watched(browser, **options))
        return made[-1]

    yield new
    for one in made:
        one.context.close()


@pytest.fixture(scope="session")
def case() -> Case:
    """The demo's question."""
    return demo_case()


@pytest.fixture(scope="session")
def sheet(case: Case, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's page as a file."""
    path = tmp_path_factory.mktemp("page") / "answer.html"
    path.write_text(page(case, full=2), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def engine(browser: Any) -> Any:
    """A blank page that holds the engine."""
    page = browser.new_context().new_page()
    page.goto("about:blank")
    page.add_script_tag(content="\n".join(map(source, ENGINE)))
    return page
