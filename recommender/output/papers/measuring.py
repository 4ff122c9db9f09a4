"""The measuring sheet as a page that prints on A4 and Letter."""


from markupsafe import Markup

from recommender.advice.sheet import FIRST, PHOTOS, asked, blanks
from recommender.output.html import environment, own_sheet, policy


def sheet_page() -> str:
    """The sheet as HTML; it needs nothing but itself."""
    entries = [
        {
            "ask": one.ask, "how": one.how, "words": one.words, "only": one.mount,
            "blanks": blanks(one),
            # Many numbers are written one below the other, each beside its name.
            "each": one.parts if len(one.parts) > 2 else (),
        }
        for one in asked()
    ]  # fmt: skip
    style = own_sheet("recommender.output.papers", "paper.css")
    made = environment("recommender.output.papers").get_template("measuring-sheet.html")
    return made.render(
        entries=entries, first=FIRST, photos=PHOTOS, style=Markup(style), policy=policy("", style)
    )
