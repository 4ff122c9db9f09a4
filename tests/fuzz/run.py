"""Feeds spoilt files to every reader: `python -m tests.fuzz.run --inputs 100000 --seconds 600`.

What is promised of a reader: it returns or raises BadInput; it is done within 5 s; it takes less
than 1 GiB; it writes nowhere but where it was told to. With `--guided` atheris picks the inputs by
the code they reach. Inputs that break a promise are kept in the folder of findings.
"""

import argparse
import hashlib
import os
import random
import shutil
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FunctionType

from recommender.facts.problems import BadInput
from tests.fuzz.mutate import mutated
from tests.fuzz.targets import Place, Target, prepared, targets
from tests.fuzz.watch import Broken, limit_memory, peak_mebibytes, watched


@dataclass
class Tally:
    """What came of the inputs."""

    inputs: Counter[str] = field(default_factory=Counter)
    taken: Counter[str] = field(default_factory=Counter)
    findings: dict[str, str] = field(default_factory=dict)
    slowest: float = 0.0

    @property
    def total(self) -> int:
        return sum(self.inputs.values())


def feed(target: Target, data: bytes, place: Place, tally: Tally, keep: Path | None) -> None:
    """One input to one reader."""
    path = place.inputs / f"input{target.suffix}"
    path.write_bytes(data)
    start = time.process_time()
    try:
        with watched([place.folder]):
            target.read(path, place)
        tally.taken[target.name] += 1
    except BadInput as bad:
        if not bad.problems or any(_unsafe(str(one)) for one in bad.problems):
            _found(
                target,
                data,
                "BadInput without a message, or one that a terminal would obey",
                tally,
                keep,
            )
    except KeyboardInterrupt:
        raise
    except (Exception, Broken) as error:
        last = traceback.extract_tb(error.__traceback__)
        own = [one for one in last if "/recommender/" in one.filename] or list(last)
        where = f"{Path(own[-1].filename).name}:{own[-1].lineno}"
        _found(target, data, f"{type(error).__name__} at {where}: {error!s:.200}", tally, keep)
    finally:
        tally.inputs[target.name] += 1
        tally.slowest = max(tally.slowest, time.process_time() - start)


def _unsafe(text: str) -> bool:
    return any(not c.isprintable() for c in text)


def _found(target: Target, data: bytes, what: str, tally: Tally, keep: Path | None) -> None:
    """Noted once for each place in the code."""
    key = f"{target.name}: {what.split(': ')[0]}"
    if key in tally.findings:
        return
    tally.findings[key] = what
    if keep is not None:
        name = hashlib.sha256(key.encode()).hexdigest()[:12]
        keep.mkdir(parents=True, exist_ok=True)
        (keep / f"{name}{target.suffix}").write_bytes(data)
        (keep / f"{name}.txt").write_text(
            f"{target.name}: {what}\n", encoding="utf-8", errors="backslashreplace"
        )
        print(
            f"FINDING {target.name}: {what.encode('ascii', 'backslashreplace').decode()}",
            flush=True,
        )


def random_run(
    chosen: Sequence[Target],
    place: Place,
    inputs: int,
    seconds: float,
    seed: int,
    keep: Path | None = None,
    report: float = 0.0,
) -> Tally:
    """Seeded changes of sound files, until so many inputs or seconds. A changed file that was taken
    becomes a seed itself."""
    rng, tally = random.Random(seed), Tally()
    pools = {one.name: list(one.seeds) for one in chosen}
    end, told = time.monotonic() + seconds, time.monotonic()
    for target in chosen:
        for data in target.seeds:
            feed(target, data, place, tally, keep)
    while tally.total < inputs and time.monotonic() < end:
        target = rng.choices(chosen, [one.share for one in chosen])[0]
        pool = pools[target.name]
        data = mutated(rng.choice(pool), pool, rng)
        before = tally.taken[target.name]
        feed(target, data, place, tally, keep)
        longest = 2 * max(map(len, target.seeds))
        if tally.taken[target.name] > before and len(data) < longest and rng.random() < 0.05:
            first = len(target.seeds)
            if len(pool) >= first + 60:
                del pool[rng.randrange(first, len(pool))]
            pool.append(data)
        if report and time.monotonic() - told > report:
            told = time.monotonic()
            print(summary(tally), flush=True)
    return tally


def guided_run(
    chosen: Sequence[Target],
    place: Place,
    inputs: int,
    seconds: float,
    seed: int,
    keep: Path | None,
    report: float,
) -> None:
    """One reader by libFuzzer, which ends the process. The package was instrumented on import."""
    import atheris

    (target,) = chosen
    tally, rng = Tally(), random.Random(seed)
    told = [time.monotonic()]
    corpus = place.folder / "corpus"
    corpus.mkdir(exist_ok=True)
    for number, data in enumerate(target.seeds):
        (corpus / f"seed{number}").write_bytes(data)

    def one(data: bytes) -> None:
        feed(target, data, place, tally, keep)
        if tally.total >= inputs or time.monotonic() - told[0] > report:
            told[0] = time.monotonic()
            print(summary(tally), flush=True)
        if tally.total >= inputs or time.monotonic() > end:
            print(summary(tally), flush=True)
            os._exit(1 if tally.findings else 0)

    def change(data: bytes, most: int, number: int) -> bytes:
        return mutated(data, target.seeds, random.Random(number ^ rng.getrandbits(32)))[:most]

    end = time.monotonic() + seconds
    atheris.Setup(
        [
            sys.argv[0],
            str(corpus),
            f"-seed={seed}",
            "-max_len=200000",
            "-rss_limit_mb=0",
            "-print_final_stats=0",
            "-verbosity=0",
        ],
        one,
        custom_mutator=change,
    )
    atheris.Fuzz()


def summary(tally: Tally) -> str:
    """One line of counts."""
    return (
        f"{tally.total} inputs, {sum(tally.taken.values())} taken, {len(tally.findings)} findings, "
        f"slowest {tally.slowest:.2f} s, peak {peak_mebibytes():.0f} MiB; "
        + ", ".join(f"{name} {count}" for name, count in sorted(tally.inputs.items()))
    )


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=10_000)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--target", help="one reader alone")
    parser.add_argument("--guided", action="store_true", help="by atheris; wants --target")
    parser.add_argument("--keep", type=Path, help="folder for the inputs that break a promise")
    told = parser.parse_args()
    memory = "/dev/shm" if os.path.isdir("/dev/shm") else None
    folder = Path(tempfile.mkdtemp(prefix="fuzz-", dir=memory))
    try:
        place = prepared(folder)
        tempfile.tempdir = str(place.scratch)
        every = targets(place)
        chosen = [one for one in every if told.target in (None, one.name)]
        if not chosen:
            parser.error(f"readers: {', '.join(one.name for one in every)}")
        limit_memory()
        warnings.simplefilter("ignore")
        if told.guided:
            guided_run(chosen, place, told.inputs, told.seconds, told.seed, told.keep, 60.0)
        tally = random_run(chosen, place, told.inputs, told.seconds, told.seed, told.keep, 60.0)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    print(summary(tally))
    sys.exit(1 if tally.findings else 0)


if __name__ == "__main__":
    if "--guided" in sys.argv:
        import atheris

        # Modules are loaded already: their functions are instrumented where they stand.
        for module in [m for n, m in sys.modules.items() if n.startswith("recommender.")]:
            for name, value in list(vars(module).items()):
                if isinstance(value, FunctionType) and value.__module__ == module.__name__:
                    setattr(module, name, atheris.instrument_func(value))
    main()
