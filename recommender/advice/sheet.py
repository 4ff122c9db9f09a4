"""The measuring sheet: printed, taken to the bike, filled in with a pencil."""

from textwrap import wrap

from recommender.advice.questions import QUESTIONS, Question
from recommender.answer.cautions import OPENING

WIDTH = 78
LEFT_OUT = ("wanted-travel", "sag", "budget", "days", "adjusters", "tools", "taste")
PHOTOS = (
    "the shock's label with its full part number",
    "the shock from each side, both ends and the reservoir in view",
    "both mounts close up, bolt heads and washers in view",
    "the caliper on each gap, its display readable",
    "the tyre at full compression, at every near place, a ruler beside it",
    "the frame's own label, size and serial number",
)
FIRST = (
    f"{OPENING} Write the unit where it is not mm; write '?' where nobody knows; write a reading "
    "you doubt as 22.2 +/- 0.2."
)


def measuring_sheet() -> str:
    """The sheet as plain text of at most 78 columns."""
    out = [
        "MEASURING SHEET",
        "",
        "Bike ______________________  Date ____________  By ____________",
        "",
    ]
    out += [*wrap(FIRST, WIDTH), ""]
    for number, question in enumerate(asked(), start=1):
        out += [*_entry(number, question), ""]
    out += ["Photographs", *(f"  [ ] {text}" for text in PHOTOS), ""]
    return "\n".join(out)


def asked() -> list[Question]:
    """The questions that are settled at the bike, in the order of the work."""
    return [
        one for one in QUESTIONS if one.name not in LEFT_OUT and one.name not in ("name", "rider")
    ]


def _entry(number: int, question: Question) -> list[str]:
    head = f"{number:>2}. {question.ask}"
    only = {"eyelet": " (eyelet head)", "trunnion": " (trunnion head)"}.get(question.mount, "")
    head += only
    if question.words:
        line = [head, *_boxes(question.words)]
    else:
        blank = " x ".join(["_____"] * blanks(question)) if blanks(question) > 1 else "_" * 12
        line = (
            [f"{head:<{WIDTH - len(blank) - 1}} {blank}"]
            if len(head) + len(blank) < WIDTH
            else [head, f"    {blank}"]
        )
    return [*line, *(f"    {text}" for text in wrap(question.how, WIDTH - 4))]


def blanks(question: Question) -> int:
    """How many numbers its answer holds."""
    return 2 if question.form == "sizes" else len(question.parts) or 1


def _boxes(words: tuple[str, ...]) -> list[str]:
    """The words with a box each, as many in a line as there is room for."""
    lines = ["   "]
    for word in words:
        box = f"{'' if lines[-1] == '   ' else '  '} [ ] {word}"
        if len(lines[-1]) + len(box) > WIDTH:
            lines.append("   ")
            box = f" [ ] {word}"
        lines[-1] += box
    return lines
