"""Many recipes at once: each is done once, in order, whatever breaks off, fills up or can't be read."""

import io
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import psutil
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant.__main__ import main
from assistant.batch.convert import CHUNK, Convert, Job, run
from assistant.batch.summary import Summary
from assistant.formula.model import Formula
from assistant.formula.write import to_yaml
from assistant.plan.model import Options
from assistant.rulebook.model import Rulebook
from assistant.words.faults import Fault
from tests.corpus import recipes
from tests.handmade import option

ROOT = Path(__file__).resolve().parent.parent
CHUNKY = 5 * CHUNK // 2
"""Recipes enough for three chunks."""


# -- conversions, made in whatever process does the work -------------------------------------------


def by_name(book: Rulebook, each: Callable[[str], None] = lambda name: None) -> Convert:
    """A conversion that does what the recipe's name asks for; by hand, so that it is quick."""

    def convert(formulas: Sequence[Formula]) -> list[Options]:
        told = []
        for formula in formulas:
            each(formula.name)
            if "fails" in formula.name:
                raise ValueError("a law does not hold here")
            if "blocked" in formula.name:
                wish = "no soy" if "soy" in formula.name else "vegan"
                told.append(Options(formula, (), (wish, f"{formula.name} is to be kept")))
            elif "plan" in formula.name:
                told.append(Options(formula, (option(formula),)))
            else:
                told.append(Options(formula, (), ("no wish",)))
        return told

    return convert


def slow(book: Rulebook) -> Convert:
    return by_name(book, lambda name: time.sleep(0.01))


def deadly(book: Rulebook) -> Convert:
    """Kills its process at a recipe called so."""

    def each(name: str) -> None:
        if name == "deadly":
            os.kill(os.getpid(), signal.SIGKILL)

    return by_name(book, each)


def interrupted(book: Rulebook, at: str) -> Convert:
    """Ctrl-C at a recipe."""

    def each(name: str) -> None:
        if name == at:
            raise KeyboardInterrupt

    return by_name(book, each)


def once_deadly(book: Rulebook, marker: Path) -> Convert:
    """Kills the first process that comes to recipe 40, and no other."""

    def each(name: str) -> None:
        time.sleep(0.002)
        if name == "recipe 40" and not marker.exists():
            marker.touch()
            os.kill(os.getpid(), signal.SIGKILL)

    return by_name(book, each)


def recipe(name: str) -> dict[str, Any]:
    return {"name": name, "lines": [{"name": "bread flour", "grams": 500}, {"name": "water", "grams": 330}]}


def written(path: Path, names: Sequence[str]) -> Path:
    path.write_text("".join(json.dumps(recipe(name)) + "\n" for name in names), encoding="utf-8")
    return path


def many(folder: Path, number: int = CHUNKY) -> Path:
    return written(folder / "all.jsonl", [f"recipe {n}" for n in range(number)])


def ran(book: Rulebook, *paths: Path, make: Any = by_name, **more: Any) -> tuple[Summary, str, str]:
    """The summary, and what was printed and shown."""
    show, lines = io.StringIO(), io.BytesIO()
    as_json = more.pop("as_json", False)
    more.setdefault("workers", 1)
    summary = run(
        Job(paths, make, more.pop("asked", {"diets": ["vegan"]}), **more), book, show, lines, as_json
    )
    assert isinstance(summary, Summary), summary
    return summary, lines.getvalue().decode(), show.getvalue()


def refused(book: Rulebook, *paths: Path, **more: Any) -> Fault:
    asked = more.pop("asked", {"diets": ["vegan"]})
    fault = run(Job(paths, by_name, asked, **more), book, io.StringIO(), io.BytesIO())
    assert isinstance(fault, Fault)
    assert fault.mend
    return fault


def documents(path: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


# -- what comes out -------------------------------------------------------------------------------


def test_each_recipe_is_one_line_of_json_in_the_order_it_came_in(book: Rulebook, tmp_path: Path) -> None:
    path = written(tmp_path / "some.jsonl", ["a plan", "blocked one", "another plan"])
    summary, lines, _ = ran(book, path, as_json=True)
    told = [json.loads(line) for line in lines.splitlines()]
    assert [(each["recipe"], each["formula"]) for each in told] == [
        (f"{path}:1", "a plan"),
        (f"{path}:2", "blocked one"),
        (f"{path}:3", "another plan"),
    ]
    assert [len(each["options"]) for each in told] == [1, 0, 1]
    assert told[1]["blocked_by"] == ["vegan", "blocked one is to be kept"]
    assert not summary.complete


def test_the_summary_counts_what_became_of_each(book: Rulebook, tmp_path: Path) -> None:
    names = ["a plan", "another plan", "blocked", "blocked too", "blocked by soy"]
    path = written(tmp_path / "some.jsonl", names)
    path.write_text(path.read_text() + "{broken\n")
    out = tmp_path / "out"
    _, _, shown = ran(book, path, out=out)
    assert "6 recipes" in shown
    assert json.loads((out / "summary.json").read_text()) == {
        "recipes": 6,
        "done": 0,
        "done_with_cautions": 2,
        "blocked": 3,
        "unreadable": 1,
        "blocked_by": [{"what": "vegan", "recipes": 2}, {"what": "no soy", "recipes": 1}],
    }
    assert (out / "summary.csv").read_text().splitlines() == [
        "outcome,because,recipes",
        "done,,0",
        "done with cautions,,2",
        "blocked,,3",
        "unreadable,,1",
        "blocked by,vegan,2",
        "blocked by,no soy,1",
    ]
    assert [each["formula"] for each in documents(out / "results.jsonl")] == names
    (aside,) = documents(out / "unreadable.jsonl")
    assert aside["recipe"] == f"{path}:6"
    assert aside["faults"][0]["where"] == f"{path}:6"
    assert "not JSON" in aside["faults"][0]["what"]
    assert {p.name for p in out.iterdir()} == {
        "journal.jsonl", "results.jsonl", "unreadable.jsonl", "summary.csv", "summary.json"
    }  # fmt: skip


def test_what_fails_for_one_recipe_costs_that_one_alone(book: Rulebook, tmp_path: Path) -> None:
    path = written(tmp_path / "some.jsonl", ["a plan", "this fails", "blocked"])
    summary, lines, shown = ran(book, path)
    assert summary.tally.outcomes == {"done with cautions": 1, "unreadable": 1, "blocked": 1}
    assert f"{path}:2: working it out failed: ValueError a law does not hold here" in shown
    assert lines.splitlines() == ["a plan: baking powder", "blocked: no plan: vegan blocked is to be kept"]


def test_recipes_of_one_long_json_text_are_given_out_one_by_one(book: Rulebook, tmp_path: Path) -> None:
    path = tmp_path / "all.json"
    path.write_text(json.dumps([recipe(f"recipe {n}") | {"note": "x" * 4000} for n in range(CHUNKY)]))
    assert path.stat().st_size > 300_000
    _, lines, _ = ran(book, path, as_json=True)
    assert [json.loads(line)["recipe"] for line in lines.splitlines()] == [
        f"{path}#{n + 1}" for n in range(CHUNKY)
    ]


def test_processes_give_what_this_process_gives(book: Rulebook, tmp_path: Path) -> None:
    path = many(tmp_path)
    assert ran(book, path, as_json=True, workers=2)[1] == ran(book, path, as_json=True)[1]


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_terminal_shows_rate_and_time_left(book: Rulebook, tmp_path: Path) -> None:
    show = Terminal()
    run(Job((many(tmp_path),), slow, {}, workers=1), book, show, io.BytesIO())
    assert f"/{CHUNKY} [" in show.getvalue()
    assert "recipes/s" in show.getvalue()
    assert f"{CHUNKY} recipes\n" in show.getvalue()


# -- broken off, and gone on with -----------------------------------------------------------------


@pytest.fixture(scope="module")
def whole(book: Rulebook, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Recipes, every tenth broken, and the folder of a run that nothing disturbed."""
    folder = tmp_path_factory.mktemp("whole")
    path = many(folder)
    lines = path.read_text().splitlines()
    path.write_text("".join(("{broken" if n % 10 == 7 else line) + "\n" for n, line in enumerate(lines)))
    ran(book, path, out=folder / "out")
    return path, folder / "out"


FILES = ("results.jsonl", "unreadable.jsonl", "summary.csv", "summary.json")


def same(folder: Path, other: Path) -> bool:
    return all((folder / name).read_bytes() == (other / name).read_bytes() for name in FILES)


def cut_off(whole: Path, folder: Path, chunk: int, file: int, share: float) -> None:
    """The folder of a run that was killed while it wrote to one of its files for a chunk."""
    head, *entries = (whole / "journal.jsonl").read_bytes().splitlines(keepends=True)
    entries = [entry for entry in entries if not json.loads(entry)["finished"]]
    before = json.loads(entries[chunk - 1]) if chunk else {"results": 0, "unreadable": 0}
    after = json.loads(entries[chunk])
    folder.mkdir()
    for number, name in enumerate(("results", "unreadable")):
        start, end = before[name], after[name]
        reached = end if number < file else start if number > file else start + int(share * (end - start))
        content = (whole / f"{name}.jsonl").read_bytes()[:reached]
        (folder / f"{name}.partial.jsonl").write_bytes(content)
    last = entries[chunk][: int(share * len(entries[chunk]))] if file == 2 else b""
    (folder / "journal.jsonl").write_bytes(head + b"".join(entries[:chunk]) + last)


@given(chunk=st.integers(0, 2), file=st.integers(0, 2), share=st.floats(0, 1))
def test_killed_at_any_byte_it_goes_on_and_nothing_is_lost_or_twice(
    book: Rulebook, whole: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory, chunk: int, file: int, share: float
) -> None:  # fmt: skip
    path, undisturbed = whole
    folder = tmp_path_factory.mktemp("cut") / "out"
    cut_off(undisturbed, folder, chunk, file, share)
    done: list[str] = []
    summary, _, _ = ran(book, path, make=lambda book: by_name(book, done.append), out=folder)
    assert same(folder, undisturbed)
    assert summary.before == (min(CHUNK * (chunk + 1), CHUNKY) if file == 2 and share == 1 else CHUNK * chunk)
    assert done == [f"recipe {n}" for n in range(summary.before, CHUNKY) if n % 10 != 7]


def test_a_journal_ahead_of_its_files_is_not_believed(
    book: Rulebook, whole: tuple[Path, Path], tmp_path: Path
) -> None:
    """As a power cut may leave it: the journal reached the disk, the results did not."""
    path, undisturbed = whole
    folder = tmp_path / "out"
    cut_off(undisturbed, folder, 1, 2, 1.0)
    partial_file = folder / "results.partial.jsonl"
    partial_file.write_bytes(partial_file.read_bytes()[:-1])
    summary, _, _ = ran(book, path, out=folder)
    assert summary.before == CHUNK
    assert same(folder, undisturbed)


@pytest.mark.parametrize("line", ["{}", "[]", '{"units": 1}', "noise"])
def test_lines_that_no_run_wrote_are_dropped_from_a_journal(
    book: Rulebook, whole: tuple[Path, Path], tmp_path: Path, line: str
) -> None:
    path, undisturbed = whole
    folder = tmp_path / "out"
    cut_off(undisturbed, folder, 1, 2, 1.0)
    with (folder / "journal.jsonl").open("a", encoding="utf-8") as journal:
        journal.write(line + "\n")
    summary, _, _ = ran(book, path, out=folder)
    assert summary.before == 2 * CHUNK
    assert same(folder, undisturbed)


def test_what_is_done_is_not_done_again(book: Rulebook, whole: tuple[Path, Path]) -> None:
    path, undisturbed = whole
    done: list[str] = []
    summary, _, shown = ran(book, path, make=lambda book: by_name(book, done.append), out=undisturbed)
    assert done == []
    assert summary.before == CHUNKY
    assert f"{CHUNKY} recipes, {CHUNKY} of them done before" in shown


def test_ctrl_c_keeps_what_is_done(book: Rulebook, tmp_path: Path) -> None:
    path, out = many(tmp_path), tmp_path / "out"
    summary, _, shown = ran(book, path, make=partial(interrupted, at=f"recipe {2 * CHUNK + 6}"), out=out)
    assert not summary.complete
    assert "goes on where it ended" in shown
    assert summary.tally.recipes == 2 * CHUNK
    assert not (out / "results.jsonl").exists()
    summary, _, _ = ran(book, path, out=out)
    assert summary.before == 2 * CHUNK
    assert [each["formula"] for each in documents(out / "results.jsonl")] == [
        f"recipe {n}" for n in range(CHUNKY)
    ]


SCRIPT = """
import io, resource, sys
from pathlib import Path
from assistant.batch.convert import Job, run
from assistant.rulebook.read import load
from tests.test_batch import slow
limit_bytes, workers = int(sys.argv[3]), int(sys.argv[4])
book, _ = load()
if limit_bytes:
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit_bytes, limit_bytes))
print("begun", flush=True)
summary = run(Job((Path(sys.argv[1]),), slow, {"diets": ["vegan"]}, out=Path(sys.argv[2]), workers=workers), book, sys.stderr, io.BytesIO())
sys.exit(0 if summary.complete else 1)
"""


def started(path: Path, out: Path, limit_bytes: int = 0, workers: int = 2) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", SCRIPT, str(path), str(out), str(limit_bytes), str(workers)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def wait_until(holds: Callable[[], bool], seconds: float = 60) -> None:
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)


def children(pid: int) -> list[int]:
    """Processes that a process started, and theirs."""
    return [child.pid for child in psutil.Process(pid).children(recursive=True)]


def alive(pid: int) -> bool:
    return bool(psutil.pid_exists(pid) and psutil.Process(pid).status() != psutil.STATUS_ZOMBIE)


def test_a_killed_run_leaves_no_process_and_no_final_file_and_goes_on(book: Rulebook, tmp_path: Path) -> None:
    path, out = many(tmp_path, 300), tmp_path / "out"
    with started(path, out) as killed:
        journal = out / "journal.jsonl"
        wait_until(lambda: journal.exists() and journal.read_bytes().count(b"\n") >= 3)
        workers = children(killed.pid)
        killed.kill()
    assert len(workers) >= 2
    assert not (out / "results.jsonl").exists()
    wait_until(lambda: not any(map(alive, workers)))
    summary, _, _ = ran(book, path, out=out)
    assert 2 * CHUNK <= summary.before < 300
    assert [each["formula"] for each in documents(out / "results.jsonl")] == [
        f"recipe {n}" for n in range(300)
    ]


def test_a_recipe_that_kills_its_process_is_set_aside_alone(book: Rulebook, tmp_path: Path) -> None:
    names = [f"recipe {n}" for n in range(CHUNK + 8)]
    names[5] = "deadly"
    path = written(tmp_path / "all.jsonl", names)
    summary, lines, shown = ran(book, path, make=deadly, workers=2, as_json=True)
    assert summary.tally.outcomes == {"blocked": CHUNK + 7, "unreadable": 1}
    assert [json.loads(line)["formula"] for line in lines.splitlines()] == names[:5] + names[6:]
    assert f"{path}:6: the process working on it was killed" in shown


# -- another request, other recipes ---------------------------------------------------------------


def test_rules_that_change_while_it_runs_end_it_with_a_sentence(book: Rulebook, tmp_path: Path) -> None:
    summary, lines, _ = ran(replace(book, digest="of before"), many(tmp_path), workers=2)
    assert "the rules have changed" in summary.stopped
    assert lines == ""


def test_another_request_is_not_mixed_in(book: Rulebook, tmp_path: Path) -> None:
    path, out = many(tmp_path, 3), tmp_path / "out"
    ran(book, path, out=out)
    fault = refused(book, path, out=out, asked={"diets": ["keto"]})
    assert "another request" in fault.what
    assert "wishes" in fault.what
    assert "--out" in fault.mend
    assert "recipes" in refused(book, tmp_path, out=out).what


@pytest.mark.parametrize("change", ["another", "one more"])
def test_other_recipes_are_not_mixed_in(book: Rulebook, tmp_path: Path, change: str) -> None:
    path, out = many(tmp_path, 3), tmp_path / "out"
    ran(book, path, out=out)
    written(
        path,
        ["recipe 0", "another", "recipe 2"] if change == "another" else [f"recipe {n}" for n in range(4)],
    )
    assert "changed since" in refused(book, path, out=out).what


def test_results_of_another_making_are_not_written_over(book: Rulebook, tmp_path: Path) -> None:
    path, out = many(tmp_path, 3), tmp_path / "out"
    out.mkdir()
    (out / "results.jsonl").write_text("mine\n")
    assert "results.jsonl already" in refused(book, path, out=out).what
    assert (out / "results.jsonl").read_text() == "mine\n"


def test_two_runs_do_not_write_to_one_folder(book: Rulebook, tmp_path: Path) -> None:
    path, out = many(tmp_path, 120), tmp_path / "out"
    with started(path, out, workers=1) as other:
        wait_until(lambda: (out / "results.partial.jsonl").exists())
        assert "another run" in refused(book, path, out=out).what
        assert other.wait() == 1
    assert len(documents(out / "results.jsonl")) == 120


# -- bad input, full disks ------------------------------------------------------------------------


def test_a_folder_without_a_recipe_or_a_missing_file_is_a_wrong_request(
    book: Rulebook, tmp_path: Path
) -> None:
    (tmp_path / "empty").mkdir()
    assert "no recipe in this folder" in refused(book, tmp_path / "empty").what
    assert "no such file" in refused(book, tmp_path / "none.yaml").what
    summary, _, shown = ran(book, tmp_path / "none.yaml", many(tmp_path, 2))
    assert summary.tally.outcomes == {"unreadable": 1, "blocked": 2}
    assert "none.yaml: there is no such file" in shown


@pytest.mark.parametrize("name", ["huge.jsonl", "huge.json", "huge.yaml", "huge.html", "huge.txt"])
def test_a_file_of_200_mb_is_set_aside_and_the_rest_go_on(book: Rulebook, tmp_path: Path, name: str) -> None:
    with (tmp_path / name).open("wb") as file:
        file.truncate(200_000_000)
    many(tmp_path, 2)
    summary, _, shown = ran(book, tmp_path)
    assert summary.tally.outcomes == {"unreadable": 1, "blocked": 2}
    assert f"{name}" in shown
    assert "longer than" in shown


def test_links_that_lead_in_a_circle_end(book: Rulebook, tmp_path: Path) -> None:
    many(tmp_path, 2)
    (tmp_path / "again").symlink_to(tmp_path)
    (tmp_path / "a.yaml").symlink_to(tmp_path / "b.yaml")
    (tmp_path / "b.yaml").symlink_to(tmp_path / "a.yaml")
    summary, _, shown = ran(book, tmp_path)
    assert summary.tally.outcomes["blocked"] == 2
    assert "leads back to itself" in shown
    assert "leads to a folder read before" in shown


def test_results_among_the_recipes_are_not_read_as_recipes(book: Rulebook, tmp_path: Path) -> None:
    many(tmp_path, 2)
    for _ in range(2):
        summary, _, _ = ran(book, tmp_path, out=tmp_path / "out")
        assert summary.tally.recipes == 2
    assert "very folder" in refused(book, tmp_path, out=tmp_path).what


@pytest.mark.parametrize("name", ["a file", "a file/below"])
def test_an_output_that_can_be_no_folder_is_a_wrong_request(
    book: Rulebook, tmp_path: Path, name: str
) -> None:
    (tmp_path / "a file").write_text("mine")
    fault = refused(book, many(tmp_path, 2), out=tmp_path / name)
    assert str(tmp_path / name) in fault.sentence
    assert (tmp_path / "a file").read_text() == "mine"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_standard_output_ends_the_run_with_a_sentence(book: Rulebook, tmp_path: Path) -> None:
    show = io.StringIO()
    with Path("/dev/full").open("wb", buffering=0) as full:
        summary = run(Job((many(tmp_path, 2),), by_name, {}, workers=1), book, show, full, True)
    assert isinstance(summary, Summary)
    assert "standard output: this can't be written: No space left on device" in summary.stopped


def test_a_full_disk_ends_the_run_with_a_sentence_and_nothing_is_lost(book: Rulebook, tmp_path: Path) -> None:
    """A limit to the size of files stands for the end of the disk."""
    path, out = many(tmp_path), tmp_path / "out"
    ran(book, path, out=tmp_path / "whole")
    three_fifths = (tmp_path / "whole" / "results.jsonl").stat().st_size * 3 // 5
    with started(path, out, limit_bytes=three_fifths, workers=1) as full:
        _, shown = full.communicate()
    assert full.returncode == 1
    assert "results.partial.jsonl: this can't be written: File too large" in shown
    assert "make room" in shown
    assert "Traceback" not in shown
    assert {p.name for p in out.iterdir()} == {
        "journal.jsonl",
        "results.partial.jsonl",
        "unreadable.partial.jsonl",
    }
    summary, _, _ = ran(book, path, out=out)
    assert summary.before == CHUNK
    assert [each["formula"] for each in documents(out / "results.jsonl")] == [
        f"recipe {n}" for n in range(CHUNKY)
    ]


# -- on a cluster ---------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def scheduler() -> Iterator[str]:
    """The address of a local Dask scheduler with two workers, each a process."""
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        yield cluster.scheduler_address


def test_on_a_cluster_that_loses_a_worker_nothing_is_lost_or_twice(
    book: Rulebook, tmp_path: Path, scheduler: str
) -> None:
    path, out, marker = many(tmp_path, 200), tmp_path / "out", tmp_path / "killed"
    ran(book, path, make=partial(once_deadly, marker=marker), cluster=scheduler, out=out)
    assert marker.exists()
    ran(book, path, out=tmp_path / "here")
    assert same(out, tmp_path / "here")


def test_the_command_does_on_a_cluster_what_it_does_here(
    tmp_path: Path, scheduler: str, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    path = tmp_path / "all.jsonl"
    path.write_text("".join(json.dumps(yaml.safe_load(to_yaml(each))) + "\n" for each in recipes(CHUNK + 8)), encoding="utf-8")
    words = ["adapt", str(path), "--diet", "vegan", "--plans", "1", "--no-working", "--json"]
    main([*words, "--cluster", scheduler])
    there = capsysbinary.readouterr().out
    main([*words, "--workers", "1"])
    assert there.count(b"\n") == CHUNK + 8
    assert there == capsysbinary.readouterr().out


def test_a_cluster_with_other_rules_is_told(book: Rulebook, tmp_path: Path, scheduler: str) -> None:
    summary, _, _ = ran(replace(book, digest="another"), many(tmp_path, 2), cluster=scheduler)
    assert "other rules" in summary.stopped


def test_a_cluster_that_does_not_answer_is_a_wrong_request(book: Rulebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    fault = refused(book, many(tmp_path, 2), cluster="nowhere")
    assert "no scheduler answers" in fault.what
    monkeypatch.setattr("assistant.batch.cluster.ANSWER_S", 0.2)
    fault = refused(book, many(tmp_path, 2), cluster="tcp://127.0.0.1:9")
    assert "no scheduler answers" in fault.what
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert "crumbwright[cluster]" in refused(book, many(tmp_path, 2), cluster="tcp://127.0.0.1:9").mend
