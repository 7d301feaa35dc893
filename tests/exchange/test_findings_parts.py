"""A table of many diaries in parts, as CSV and Parquet, by one machine or several: same bytes."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from companion.app import commands, exits
from companion.exchange.files import diary_bytes
from companion.exchange.findings_table import columns, part_of, rows_of_file, write_rows
from companion.system.resources import demo_profiles
from tests.exchange.test_findings_table import one_of
from tests.ground.checkout import ROOT

COUNT = 7


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Diaries, one of them hurt: few, so that no other process is started."""
    folder = tmp_path_factory.mktemp("many")
    for number in range(COUNT):
        (folder / f"k{number}.homeknee").write_bytes(diary_bytes(one_of(number)))
    (folder / "k3-cut").write_bytes(diary_bytes(one_of(9))[:-40])
    return folder


@pytest.fixture(scope="module", params=["csv", "parquet"])
def whole(request: pytest.FixtureRequest, folder: Path, tmp_path_factory: Any) -> Path:
    """The table of the whole folder, of either kind."""
    out: Path = tmp_path_factory.mktemp("whole") / f"all.{request.param}"
    run("findings", folder, "--table", out)
    return out


def run(*words: str | Path, code: int = exits.DONE) -> None:
    assert commands.run([str(word) for word in words]) == code


@pytest.mark.parametrize("parts", [1, 3, 20])
def test_parts_joined_are_the_whole(folder: Path, whole: Path, tmp_path: Path, parts: int) -> None:
    made = [tmp_path / f"{number:02}{whole.suffix}" for number in range(1, parts + 1)]
    for number, part in enumerate(made, 1):
        run("findings", folder, "--table", part, "--shard", f"{number}/{parts}")
    joined = tmp_path / f"joined{whole.suffix}"
    run("join-tables", *made, "--out", joined)
    assert joined.read_bytes() == whole.read_bytes()


def test_every_figure_has_its_column() -> None:
    """Of each demo person; what a diary does not have is an empty cell."""
    for diary in demo_profiles().glob("*/diary.homeknee"):
        for row in rows_of_file(diary).rows:
            known = {name for name, value in row.items() if value is not None}
            assert known <= set(columns())
    kinds: dict[str, type | tuple[type, ...]] = {
        "boolean": bool, "integer": int, "number": (int, float), "string": str,
    }  # fmt: skip
    for name, value in rows_of_file(demo_profiles() / "jory" / "diary.homeknee").rows[0].items():
        assert value is None or isinstance(value, kinds[columns()[name]]), name


def test_parquet_holds_what_csv_says(folder: Path, tmp_path: Path) -> None:
    import pyarrow.parquet as pq

    for name in ("t.csv", "t.parquet"):
        run("findings", folder, "--table", tmp_path / name)
    table = pq.read_table(tmp_path / "t.parquet").to_pylist()
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as file:
        told = list(csv.DictReader(file))
    assert len(table) == len(told) == COUNT
    for typed, texts in zip(table, told, strict=True):
        for name, value in typed.items():
            text = (
                ""
                if value is None
                else str(int(value) if value is True or value is False else value)
            )
            assert texts[name] == text, name


def test_an_empty_part_has_its_columns(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    run("findings", tmp_path / "empty", "--table", tmp_path / "t.csv")
    assert (tmp_path / "t.csv").read_text().rstrip("\r\n").split(",") == list(columns())


@pytest.mark.parametrize("count", [0, 1, 10, 23])
@pytest.mark.parametrize("of", [1, 3, 30])
def test_each_file_is_in_one_part(count: int, of: int) -> None:
    paths = [Path(f"{number:03}") for number in range(count)]
    parts = [part_of(paths, number, of) for number in range(1, of + 1)]
    assert [path for part in parts for path in part] == paths
    assert max(map(len, parts)) - min(map(len, parts)) <= 1


def test_rows_go_to_the_disk_as_they_come(tmp_path: Path) -> None:
    """And no table is there where reading ended badly."""
    (row,) = rows_of_file(demo_profiles() / "edda" / "diary.homeknee").rows
    seen: list[int] = []

    def rows() -> Iterator[Any]:
        for _ in range(50):
            yield row
            seen.append(sum(path.stat().st_size for path in tmp_path.iterdir()))
        raise LookupError

    with pytest.raises(LookupError):
        write_rows(tmp_path / "t.csv", rows())
    assert seen[-1] > 30 * len(row)
    assert list(tmp_path.iterdir()) == []


def test_what_is_no_part_is_refused(
    whole: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    stranger = tmp_path / f"stranger{whole.suffix}"
    stranger.write_bytes(b"file,person\r\n")
    out = tmp_path / f"out{whole.suffix}"
    run("join-tables", whole, stranger, "--out", out, code=exits.REFUSED)
    assert "stranger" in capsys.readouterr().err
    assert not out.exists()
    other = tmp_path / ("out.csv" if whole.suffix == ".parquet" else "out.parquet")
    run("join-tables", whole, "--out", other, code=exits.REFUSED)
    assert ".parquet" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["--shard", "2/3"], ["--scheduler", "tcp://127.0.0.1:1"]])
def test_parts_and_clusters_are_of_tables(folder: Path, words: list[str]) -> None:
    run("findings", folder, *words, code=exits.USAGE)


@pytest.mark.parametrize("said", ["0/3", "4/3", "3", "a/b", "1/0"])
def test_a_part_that_is_none_is_a_usage_error(folder: Path, tmp_path: Path, said: str) -> None:
    with pytest.raises(SystemExit) as left:
        commands.run(["findings", str(folder), "--table", str(tmp_path / "t"), "--shard", said])
    assert left.value.code == exits.USAGE


def test_a_cluster_of_two_makes_the_same_bytes(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two workers in processes of their own, on this machine."""
    from distributed import LocalCluster

    alone = tmp_path / "alone.csv"
    run("findings", folder, "--table", alone)
    monkeypatch.setattr("companion.exchange.findings_cluster.FILES_TOGETHER", 2)
    monkeypatch.chdir(ROOT)  # where the workers find the program and the tests
    with LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1"
    ) as cluster:
        out = tmp_path / "by-cluster.csv"
        run("findings", folder, "--table", out, "--scheduler", cluster.scheduler_address)
    assert out.read_bytes() == alone.read_bytes()
