"""How a run over many recipes went: counts, as a table, CSV and JSON."""

import csv
import io
import json
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Outcome = Literal["done", "done with cautions", "blocked", "unreadable"]
OUTCOMES: tuple[Outcome, ...] = ("done", "done with cautions", "blocked", "unreadable")
MOST_NAMED = 40
"""Reasons told one by one, those met most often first; the table and the files stay short."""


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one recipe. `document` is its JSON on one line; `said` a short line for a person.

    `because` tells which wishes block it: what many recipes have in common, and not what is theirs alone.
    """

    outcome: Outcome
    document: bytes
    said: str
    because: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Tally:
    """Recipes by outcome, and the blocked ones by what blocks them (one may be blocked by several)."""

    outcomes: Mapping[str, int] = field(default_factory=dict)
    because: Mapping[str, int] = field(default_factory=dict)

    def __add__(self, other: "Tally") -> "Tally":
        """Both counts together.

        >>> (Tally({"done": 2}) + Tally({"done": 1, "blocked": 1}, {"vegan": 1})).recipes
        4
        """
        return Tally(
            Counter(self.outcomes) + Counter(other.outcomes), Counter(self.because) + Counter(other.because)
        )

    @property
    def recipes(self) -> int:
        """All that were seen."""
        return sum(self.outcomes.values())


NOTHING = Tally()


def tally_of(results: Iterable[Result]) -> Tally:
    """Counts of these results."""
    results = tuple(results)
    return Tally(
        Counter(r.outcome for r in results),
        Counter(reason for r in results for reason in dict.fromkeys(r.because)),
    )


@dataclass(frozen=True, slots=True)
class Summary:
    """A run's counts. `stopped` is the sentence that says why it ended before its time, or "".

    `before` are the recipes that an earlier, interrupted run had done.
    """

    tally: Tally
    before: int = 0
    stopped: str = ""

    @property
    def complete(self) -> bool:
        """Whether every recipe was read and has a plan."""
        whole = self.tally.outcomes.get("done", 0) + self.tally.outcomes.get("done with cautions", 0)
        return not self.stopped and whole == self.tally.recipes


def rows(tally: Tally) -> list[tuple[str, str, int]]:
    """Outcome, what blocks, recipes: every outcome, then the blocked by what blocks them."""
    counted = [(outcome, "", tally.outcomes.get(outcome, 0)) for outcome in OUTCOMES]
    ordered = sorted(tally.because.items(), key=lambda item: (-item[1], item[0]))
    named = [("blocked by", what, recipes) for what, recipes in ordered[:MOST_NAMED]]
    if len(ordered) > MOST_NAMED:
        named.append(
            (
                "blocked by",
                f"{len(ordered) - MOST_NAMED} other reasons",
                sum(n for _, n in ordered[MOST_NAMED:]),
            )
        )
    return [*counted, *named]


def table(summary: Summary) -> str:
    """The counts for a person.

    >>> print(table(Summary(Tally({"done": 9, "blocked": 1}, {"no egg": 1}), before=4)))
    10 recipes, 4 of them done before
      done                     9
      done with cautions       0
      blocked                  1
        by: no egg             1
      unreadable               0
    """
    found = rows(summary.tally)
    by = [(f"    by: {what}", recipes) for _, what, recipes in found[len(OUTCOMES) :]]
    lines = [(f"  {outcome}", recipes) for outcome, _, recipes in found[: len(OUTCOMES)]]
    place = OUTCOMES.index("blocked") + 1
    lines[place:place] = by
    wide = max(22, *(len(text) for text, _ in lines))
    count = summary.tally.recipes
    head = f"{count} recipe{'' if count == 1 else 's'}"
    head += f", {summary.before} of them done before" if summary.before else ""
    return "\n".join([head, *(f"{text:{wide}} {recipes:5}" for text, recipes in lines)])


def as_csv(tally: Tally) -> str:
    """The counts as CSV.

    >>> as_csv(Tally({"blocked": 1}, {"no egg": 1})).splitlines()[-2:]
    ['unreadable,,0', 'blocked by,no egg,1']
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(("outcome", "because", "recipes"))
    writer.writerows(rows(tally))
    return text.getvalue()


def as_json(tally: Tally) -> str:
    """The counts as one JSON document."""
    document: dict[str, Any] = {"recipes": tally.recipes}
    document |= {outcome.replace(" ", "_"): tally.outcomes.get(outcome, 0) for outcome in OUTCOMES}
    document["blocked_by"] = [
        {"what": what, "recipes": n} for kind, what, n in rows(tally) if kind == "blocked by"
    ]
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"
