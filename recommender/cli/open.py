"""Opening a case: reading catalogue and question for the commands."""

from pathlib import Path

from recommender.advice.delivered import with_delivered
from recommender.answer.answer import Case
from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.question import Question, read_question
from recommender.cli.inputs import demo_question, shipped
from recommender.facts.problems import BadInput, Problem
from recommender.ranking.weights import weighed


def open_case(
    files: list[Path] | None, catalogue: Path | None, weights: list[str] | None = None
) -> Case:
    """The case the options name. Raises BadInput."""
    read = read_catalogue(catalogue or shipped("catalogs"))
    question = with_delivered(read_question(files or demo_question(), read.frames), read)
    wishes = weighed(question.wishes, _weights(weights or []))
    return Case(Question(question.bike, question.rider, wishes, question.digest), read)


def _weights(options: list[str]) -> dict[str, float]:
    out, problems = {}, []
    for option in options:
        name, _, value = option.partition("=")
        try:
            out[name.strip()] = float(value)
        except ValueError:
            problems.append(
                Problem("--weight", "accepted: a criterion and a number, 'price=2'", value=option)
            )
    if problems:
        raise BadInput(problems)
    return out
