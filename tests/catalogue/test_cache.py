"""Tables kept between runs: the same as parsed, and never trusted blindly. [own] the reference is
the reader itself, without the cache."""

import io
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recommender.catalogue import cache, catalogue, packed
from recommender.catalogue.cache import MAGIC, SUFFIX, VARIABLE, fetched, put_by
from recommender.catalogue.catalogue import Catalogue, read_catalogue
from recommender.catalogue.columns import Table
from recommender.facts.problems import BadInput, Problem
from recommender.facts.tables import TABLES
from tests.bench.generate import make_catalogue, write_folder
from tests.catalogue.build import shock, write_catalogue

SHOCKS = (
    shock("A", length_mm="210 +/- 0.4", model='two\nlines, "quoted"', price=None),
    shock("B", length_mm="?", maker="Ünïcøde ∅", stroke_settings_mm=""),
    shock("C", stroke_mm="50 +/- 1"),
)


@pytest.fixture
def kept_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache of its own, for catalogues of any size."""
    folder = tmp_path / "cache"
    monkeypatch.setenv(VARIABLE, str(folder))
    monkeypatch.setattr(cache, "WORTH", 0)
    return folder


@pytest.fixture
def parsing(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Grows with the name of every table that is parsed."""
    names: list[str] = []
    plain = catalogue.parsed

    def parse(data: bytes, file: str, name: str) -> tuple[Table, list[Problem]]:
        names.append(name)
        return plain(data, file, name)

    monkeypatch.setattr(catalogue, "parsed", parse)
    return names


def _small(tmp_path: Path) -> Path:
    return write_catalogue(tmp_path / "catalogue", shocks=SHOCKS)


def _same(one: Catalogue, other: Catalogue) -> None:
    assert (one.digest, one.folder) == (other.digest, other.folder)
    for name in (*TABLES, "delivered_tunes"):
        mine, theirs = getattr(one, name), getattr(other, name)
        if mine is None or theirs is None:
            assert mine is theirs
            continue
        assert (mine.name, mine.key, mine.file) == (theirs.name, theirs.key, theirs.file)
        assert list(mine.columns) == list(theirs.columns)
        _same_parts({"lines": mine.lines}, {"lines": theirs.lines})
        for field, column in mine.columns.items():
            assert type(column) is type(theirs.columns[field])
            _same_parts(vars(column), vars(theirs.columns[field]))


def _same_parts(mine: dict[str, object], theirs: dict[str, object]) -> None:
    for name, part in mine.items():
        other = theirs[name]
        if isinstance(part, np.ndarray):
            assert isinstance(other, np.ndarray)
            assert part.dtype == other.dtype
            # Bit for bit: a minus before a zero, too.
            assert part.tobytes() == other.tobytes()
        else:
            assert part == other


def _off(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Catalogue:
    with monkeypatch.context() as some:
        some.setenv(VARIABLE, "off")
        return read_catalogue(folder)


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 10**6), st.sampled_from((0.0, 0.05, 0.5)), st.integers(1, 300))
def test_kept_is_parsed(
    kept_in: Path, parsing: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path,
    seed: int, loose: float, size: int,
) -> None:  # fmt: skip
    folder = tmp_path / f"c{seed}-{loose}-{size}"
    folder.mkdir(exist_ok=True)
    write_folder(make_catalogue(size, 20, 8, springs=4, loose=loose, seed=seed), folder)
    plain = _off(folder, monkeypatch)
    _same(plain, read_catalogue(folder))
    parsing.clear()
    _same(plain, read_catalogue(folder))
    assert parsing == []


def test_texts_of_every_kind(
    kept_in: Path, parsing: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    folder = _small(tmp_path)
    plain = _off(folder, monkeypatch)
    read_catalogue(folder)
    parsing.clear()
    _same(plain, read_catalogue(folder))
    assert parsing == []


@settings(max_examples=25)
@given(st.lists(st.floats(allow_nan=True, allow_infinity=True)), st.lists(st.text(
    st.characters(codec="utf-8", exclude_characters="\0"))), st.lists(
        st.integers(-(2**63), 2**63 - 1)))  # fmt: skip
def test_columns_survive_packing(numbers: list[float], texts: list[str], codes: list[int]) -> None:
    values = np.array(numbers, np.float64)
    made = packed._distinct("x", values)
    assert packed._spread("x", made).tobytes() == values.tobytes()
    assert packed._words(packed._bytes(tuple(texts))) == tuple(texts)
    assert packed._small(np.array(codes, np.int64)).astype(np.int64).tolist() == codes


def _fill(kept_in: Path, tmp_path: Path) -> tuple[Path, Path]:
    folder = _small(tmp_path)
    read_catalogue(folder)
    (file,) = kept_in.glob("*" + SUFFIX)
    return folder, file


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_spoilt_files_are_noticed(
    kept_in: Path, parsing: list[str], tmp_path: Path, data: st.DataObject
) -> None:
    folder, file = _fill(kept_in, tmp_path)
    good = file.read_bytes()
    at = data.draw(st.integers(0, len(good) - 1))
    how = data.draw(st.sampled_from(("flip", "cut", "insert")))
    bit = 1 << data.draw(st.integers(0, 7))
    bad = {
        "flip": good[:at] + bytes([good[at] ^ bit]) + good[at + 1 :],
        "cut": good[:at],
        "insert": good[:at] + data.draw(st.binary(min_size=1, max_size=9)) + good[at:],
    }[how]
    file.write_bytes(bad)
    parsing.clear()
    read_catalogue(folder)
    assert bad == good or "shocks" in parsing
    assert file.read_bytes() == good  # and made good again


def _sealed(file: Path, change: Callable[[dict[str, np.ndarray]], None]) -> None:
    """The file with other arrays, under a seal that is right for them."""
    payload = file.read_bytes()[len(MAGIC) + cache._DIGEST :]
    with np.load(io.BytesIO(payload)) as arrays:
        held = {name: arrays[name] for name in arrays.files}
    change(held)
    stream = io.BytesIO()
    np.savez(stream, **held)
    new = stream.getbuffer()
    file.write_bytes(b"".join((MAGIC, cache._seal(file.stem, new), new)))


def _object(held: dict[str, np.ndarray]) -> None:
    held["shocks/price/low/values"] = np.array([print, 1.0, 2.0], object)


@pytest.mark.parametrize(
    "change",
    [
        lambda held: held.pop("shocks/lines"),
        lambda held: held.pop("shocks/maker/words"),
        lambda held: held.update({"shocks/maker/codes": held["shocks/maker/codes"] + 7}),
        lambda held: held.update({"shocks/head_mount/codes": np.array([9, 9, 9])}),
        lambda held: held.update({"shocks/lines": held["shocks/lines"][:-1]}),
        lambda held: held.update({"shocks/price/low/codes": np.array([0, 0])}),
        _object,
    ],
)
def test_files_that_are_sealed_but_no_such_tables(
    kept_in: Path, parsing: list[str], tmp_path: Path,
    change: Callable[[dict[str, np.ndarray]], None],
) -> None:  # fmt: skip
    folder, file = _fill(kept_in, tmp_path)
    _sealed(file, lambda held: None)
    parsing.clear()
    read_catalogue(folder)
    assert parsing == []  # sealed anew without a change it is taken
    _sealed(file, change)
    read_catalogue(folder)
    assert "shocks" in parsing


@pytest.fixture
def shared() -> Iterator[None]:
    """What a user writes is the group's to write too, unless said otherwise."""
    before = os.umask(0o002)
    yield
    os.umask(before)


@pytest.mark.usefixtures("shared")
def test_a_user_who_shares_new_files_has_a_cache_too(
    kept_in: Path, parsing: list[str], tmp_path: Path
) -> None:
    folder, file = _fill(kept_in, tmp_path)
    assert file.stat().st_mode & 0o777 == 0o600
    parsing.clear()
    read_catalogue(folder)
    assert parsing == []
    file.chmod(0o664)
    read_catalogue(folder)
    assert "shocks" in parsing
    assert file.stat().st_mode & 0o777 == 0o600


def test_files_of_others_and_of_another_name(
    kept_in: Path, parsing: list[str], tmp_path: Path
) -> None:
    folder, file = _fill(kept_in, tmp_path)
    file.chmod(0o666)
    parsing.clear()
    read_catalogue(folder)
    assert "shocks" in parsing
    kept = file.read_bytes()
    with open(folder / "shocks.csv", "a") as stream:
        stream.write("\n")
    (other,) = {path for _ in [read_catalogue(folder)] for path in kept_in.iterdir()} - {file}
    other.write_bytes(kept)
    parsing.clear()
    read_catalogue(folder)
    assert "shocks" in parsing


def test_any_change_of_a_table_or_of_the_code_is_another_key(
    kept_in: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, _ = _fill(kept_in, tmp_path)
    data = (folder / "shocks.csv").read_bytes()
    (folder / "shocks.csv").write_bytes(data.replace(b",210,", b",211,", 1))
    assert read_catalogue(folder).digest
    assert len(list(kept_in.iterdir())) == 2
    monkeypatch.setattr(cache, "code_digest", lambda *packages: "other code")
    read_catalogue(folder)
    assert len(list(kept_in.iterdir())) == 3


def test_the_same_bytes_elsewhere_name_their_own_files(kept_in: Path, tmp_path: Path) -> None:
    folder, _ = _fill(kept_in, tmp_path)
    moved = folder.rename(tmp_path / "moved")
    assert read_catalogue(moved).shocks.file == str(moved / "shocks.csv")


def test_faults_are_told_the_same_and_nothing_is_kept(
    kept_in: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write_catalogue(tmp_path / "bad", shocks=[shock("A", length_mm="long"), shock("A")])
    told = []
    for _ in range(2):
        with pytest.raises(BadInput) as caught:
            read_catalogue(folder)
        told.append(str(caught.value))
    with pytest.raises(BadInput) as caught:
        _off(folder, monkeypatch)
    assert told == [str(caught.value)] * 2
    assert not kept_in.exists() or not list(kept_in.iterdir())
    good = _small(tmp_path)
    read_catalogue(good)
    (good / "frames").mkdir()
    (good / "frames" / "x.toml").write_text("[bike]\nmount = 'glue'\n")
    with pytest.raises(BadInput, match="glue"):
        read_catalogue(good)


def test_a_folder_that_cannot_be_written_or_is_full(
    kept_in: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = _small(tmp_path)
    monkeypatch.setenv(VARIABLE, str(folder / "shocks.csv" / "below"))
    read_catalogue(folder)
    monkeypatch.setenv(VARIABLE, str(kept_in))

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    read_catalogue(folder)
    assert list(kept_in.iterdir()) == []


def test_only_so_many_are_kept(
    kept_in: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cache, "MOST_KEPT", 2)
    tables = {"shocks": read_catalogue(_small(tmp_path)).shocks}
    old = kept_in / ".unfinished-old"
    old.write_bytes(b"half")
    os.utime(old, (1, 1))
    for k in range(4):
        put_by({"shocks": bytes([k])}, tables)
        time.sleep(0.01)
    assert len(list(kept_in.iterdir())) == 2
    assert fetched({"shocks": bytes([3])}, {"shocks": "x.csv"}) is not None


def test_off_by_default_for_small_catalogues(
    kept_in: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cache, "WORTH", 2**20)
    read_catalogue(_small(tmp_path))
    assert not kept_in.exists()


@pytest.mark.parametrize("word", ["off", "OFF", "no", "0"])
def test_switched_off(word: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, word)
    assert cache.cache_folder() is None


def test_the_users_own_cache_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv(VARIABLE)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    found = cache.cache_folder()
    assert found is not None
    assert found.name == "shock-recommender"
    if sys.platform == "linux":
        assert found.parent == tmp_path


def test_a_catalogue_that_changes_while_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, plain = _small(tmp_path), catalogue.read_frames

    def slow(path: Path) -> object:
        with open(folder / "kits.csv", "a") as stream:
            stream.write("\n")
        return plain(path)

    monkeypatch.setattr(catalogue, "read_frames", slow)
    with pytest.raises(BadInput, match=r"kits\.csv: changed while the catalogue was read"):
        read_catalogue(folder)


CODE = (
    "import os, sys\n"
    "from pathlib import Path\n"
    "from recommender.catalogue import cache\n"
    "from recommender.catalogue.catalogue import read_catalogue\n"
    "cache.WORTH = 0\n"
    "plain = os.replace\n"
    "def waiting(a, b):\n"
    "    print('writing', flush=True)\n"
    "    sys.stdin.readline()\n"
    "    plain(a, b)\n"
    "os.replace = waiting\n"
    "print(read_catalogue(Path(sys.argv[1])).digest)\n"
)
"""Reads a catalogue; what it would keep it renames into place only when told to go on."""


def _begin(folder: Path) -> "subprocess.Popen[str]":
    """A process that stands with its file written aside, not yet renamed."""
    return subprocess.Popen(
        [sys.executable, "-c", CODE, str(folder)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip


def _writes(process: "subprocess.Popen[str]") -> None:
    """Waits until it has written its file aside."""
    assert process.stdout is not None
    assert process.stdout.readline() == "writing\n"


@pytest.fixture
def begun() -> Iterator[list["subprocess.Popen[str]"]]:
    """Processes that are ended with the test."""
    processes: list[subprocess.Popen[str]] = []
    yield processes
    for one in processes:
        one.kill()
        one.wait()


def test_killed_in_the_midst_of_writing(
    kept_in: Path, tmp_path: Path, begun: list["subprocess.Popen[str]"], parsing: list[str]
) -> None:
    folder = _small(tmp_path)
    begun.append(_begin(folder))
    _writes(begun[0])
    begun[0].send_signal(signal.SIGKILL)
    begun[0].wait()
    assert not list(kept_in.glob("*" + SUFFIX))
    read_catalogue(folder)
    assert "shocks" in parsing
    parsing.clear()
    read_catalogue(folder)
    assert parsing == []


@pytest.mark.parametrize("first", [0, 1])
def test_two_runs_at_once_on_one_cache(
    kept_in: Path, tmp_path: Path, begun: list["subprocess.Popen[str]"], parsing: list[str],
    first: int,
) -> None:  # fmt: skip
    """Both have parsed, and written aside, before either renames; then one after the other."""
    folder = _small(tmp_path)
    begun += [_begin(folder), _begin(folder)]
    for one in begun:
        _writes(one)
    told = [begun[k].communicate("go on\n")[0] for k in (first, 1 - first)]
    assert told == [read_catalogue(folder).digest + "\n"] * 2
    assert parsing == []
    assert [path.suffix for path in kept_in.iterdir()] == [SUFFIX]
