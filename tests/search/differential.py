"""Many random questions against three referees: `python -m tests.search.differential --help`.

Each question is answered by the engine, by brute force over every completion, and by a SAT solver
that enumerates the least sets of broken rules; exact ones besides by a CP solver whose encoding
shares nothing with the rules. A question on which they differ is shrunk and printed.
"""

import argparse
import random
import time
from collections import Counter
from collections.abc import Callable
from hashlib import sha256
from typing import Any

from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.verdicts import STATES
from tests.search.cp_encoding import Own, plain_case
from tests.search.families import ruled, told
from tests.search.random_market import Case, cases
from tests.search.sat_encoding import families
from tests.search.test_solvers import solutions

LOOSE = (0, 2, 6)
"""So many loose facts at most: a third of the questions each."""
done: Counter[str] = Counter()
different: dict[str, set[str]] = {"brute force and SAT": set(), "CP": set()}


def by_brute_force_and_sat(case: Case) -> None:
    """State and both families of every shock."""
    for verdicts, referee, shock, ruling in ruled(case):
        mine = told(verdicts, shock)
        assert mine == (ruling.state, ruling.certain, ruling.possible), "brute force differs"
        assert mine[1:] == families(referee, shock), "the SAT solver differs"
        done["shocks by brute force and SAT"] += 1
    _counted("brute force and SAT", case)


def by_cp(number: int) -> None:
    """How many completions of every shock break nothing, and so its state."""
    case = plain_case(random.Random(number))
    question, catalogue = case.open()
    verdicts = judge(open_market(question, catalogue), question.wishes)
    for shock, row in enumerate(case.tables["shocks"]):
        found = solutions(Own(case, row))
        assert (STATES[int(verdicts.state[shock])] == "fits") == (found > 0), "CP differs"
        done["shocks by CP"] += 1
    _counted("CP", case)


def _counted(referee: str, case: Case) -> None:
    """A question that comes again counts once."""
    told = repr((case.bike, case.rider, case.wishes, case.tables)).encode()
    different[referee].add(sha256(told).hexdigest())
    done[f"questions by {referee}"] = len(different[referee])


def tried(check: Callable[[Any], None], drawn: st.SearchStrategy[Any], many: int, at: int) -> None:
    """The check on so many questions. Raises AssertionError with a shrunk one where it fails."""
    some = settings(
        max_examples=many, deadline=None, database=None, print_blob=True,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    seed(at)(some(given(drawn)(check)))()


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n\n")[0])
    parser.add_argument("--questions", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--of", choices=("all", "sat", "cp"), default="all")
    asked = parser.parse_args()
    start = time.monotonic()
    # In parts, so that a run that is stopped has told how far it came.
    for part, first in enumerate(range(0, asked.questions, 300)):
        many = min(300, asked.questions - first)
        if asked.of != "cp":
            for loose in LOOSE:
                tried(by_brute_force_and_sat, cases(loose), -(-many // 3), asked.seed + part)
        if asked.of != "sat":
            tried(by_cp, st.integers(0, 2**32 - 1), many, asked.seed + part)
        print(f"{time.monotonic() - start:6.0f} s: {dict(done)}, no difference", flush=True)


if __name__ == "__main__":
    main()
