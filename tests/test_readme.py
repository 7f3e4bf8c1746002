"""The README is true: its conversation is what the program says, its commands exist, and a slip gets one sentence."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text()


def crumbwright(*arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "assistant", *arguments]
    return subprocess.run(command, input=typed, capture_output=True, text=True, timeout=60, check=False)


def test_the_conversation_shown_is_what_is_said() -> None:
    shown = re.search(r"<!-- conversation -->\n```\n(.*?)\n```", README, re.DOTALL)
    assert shown is not None
    assert crumbwright("chat", "--script", "readme").stdout.strip() == shown[1].strip()


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (("read", "no-such-file.txt"), 2, "no such file"),
        (("nutrition", "larch-hut/sed-rolls"), 2, "did you mean larch-hut/seed-rolls"),
        (("swap", "larch-hut/seed-rolls", "saffron"), 2, "is not in"),
        (("swap", "larch-hut/seed-rolls", "yeast", "--for", "moon dust"), 2, "no ingredient I know"),
        (("swap", "larch-hut/seed-rolls", "yeast", "--choose", "99"), 2, "numbered from 1"),
        (("chat", "--script", "no-such-script"), 2, "no such file"),
        (("rules", "show", "no-such-id"), 2, "no entry has this id"),
        (("compare", "larch-hut/seed-rolls"), 2, "at least two"),
        (("--shelf", "no-such-folder", "rules", "check"), 2, "no such folder"),
    ],
)
def test_a_wrong_request_gets_one_sentence_and_status_two(
    arguments: tuple[str, ...], status: int, words: str
) -> None:
    told = crumbwright(*arguments)
    assert told.returncode == status
    assert words in told.stderr
    assert "Traceback" not in told.stderr


def test_a_recipe_that_cannot_be_read_gives_status_one_and_writes_nothing(tmp_path: Path) -> None:
    for name, text in {
        "a.yaml": "lines: [",
        "b.txt": "Dear diary, it rained.\n",
        "c.yaml": "name: x\nlines:\n  - {ingredient: water, grams: -5}\n",
    }.items():
        file = tmp_path / name
        file.write_text(text)
        told = crumbwright("read", str(file))
        assert told.returncode == 1, name
        assert "Traceback" not in told.stderr + told.stdout
    big = tmp_path / "big.txt"
    big.write_text("flour 100 g\n" * 450_000)
    told = crumbwright("read", str(big))
    assert told.returncode == 1
    assert "Traceback" not in told.stderr + told.stdout


@pytest.mark.parametrize("command", [("read", "larch-hut/soda-bread"), ("nutrition", "larch-hut/soda-bread"),
                                     ("swap", "larch-hut/soda-bread", "buttermilk"), ("why", "larch-hut/soda-bread", "acid"),
                                     ("compare", "larch-hut/seed-rolls", "larch-hut/seed-rolls-quick"), ("rules", "laws")])  # fmt: skip
def test_a_command_prints_one_json_document(command: tuple[str, ...]) -> None:
    told = crumbwright(*command, "--json")
    assert told.returncode == 0, told.stderr
    assert isinstance(json.loads(told.stdout), dict)


def test_each_command_in_the_readme_has_help() -> None:
    for name in set(re.findall(r"^\| `crumbwright (\w+)", README, re.MULTILINE)):
        assert crumbwright(name, "--help").returncode == 0
