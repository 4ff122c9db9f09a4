"""The measuring sheet as a page that prints on A4 and Letter."""


from markupsafe import Markup

from recommender.advice.questions import Question
from recommender.advice.sheet import FIRST, PHOTOS, asked, blanks
from recommender.output.html import environment, own_sheet, policy


def sheet_page() -> str:
    """The sheet as HTML; it needs nothing but itself."""
    entries = [
        {
            "ask": one.ask, "how": one.how, "words": one.words, "only": one.mount,
            "blanks": blanks(one), "each": _each(one),
        }
        for one in asked()
    ]  # fmt: skip
    style = own_sheet("recommender.output.papers", "paper.css")
    made = environment("recommender.output.papers").get_template("measuring-sheet.html")
    return made.render(
        entries=entries, first=FIRST, photos=PHOTOS, style=Markup(style), policy=policy("", style)
    )


def _each(question: Question) -> list[str]:
    """What each of many numbers is of: they are written one below the other."""
    return question.ask.rpartition(": ")[2].split(" x ") if blanks(question) > 2 else []
