"""Every published check value beside ours: python -m tests.published"""

import sys
from collections import Counter

from tests.published.checks import HOMES, Compared, checks, compared, shown

HEAD = ("id", "quantity", "source", "published", "ours", "error", "within", "grade", "result")
WIDEST = (8, 64, 44, 16, 12, 10, 9, 15)


def _cells(found: Compared) -> tuple[str, ...]:
    check = found.check
    low, high = check.tolerances if check.bounds else (0.0, 0.0)
    error = "" if found.error is None else f"{found.error:+.3g}" if found.error else "0"
    within = "" if check.bounds is None else shown(min(low, high))
    result = "pass" if found.passes else f"FAILS: {check.fails or 'no reason known'}"
    published = f"{check.value} {check.unit}".removesuffix(" 1")
    return (check.id, check.quantity, check.source, published, shown(found.ours), error, within, check.grade, result)  # fmt: skip


def _line(cells: tuple[str, ...]) -> str:
    kept = (
        cell if len(cell) <= width else cell[: width - 1] + "…"
        for cell, width in zip(cells, WIDEST, strict=False)
    )
    padded = (cell.ljust(width) for cell, width in zip(kept, WIDEST, strict=True))
    return "  ".join((*padded, cells[-1])).rstrip()


def lines(found: list[Compared]) -> list[str]:
    """The whole table, and what it comes to."""
    out = [_line(HEAD)]
    for table in HOMES:
        here = [one for one in found if one.check.table == table]
        out += ["", f"{table}: {len(here)} checks", *(_line(_cells(one)) for one in here)]
    grades = Counter(one.check.grade for one in found)
    told = ", ".join(f"{count} {grade}" for grade, count in grades.most_common())
    failing = sum(not one.passes for one in found)
    out += [
        "",
        f"{len(found)} checks: {len(found) - failing} pass, {failing} fail with their reason. Grades: {told}.",
    ]
    out.append("Printed pairs of bakes and their errors: python -m tests.published.bake_table")
    return out


def main() -> int:
    """Print the table; 1 when a check fails without a reason, or no longer fails as it says."""
    found = [compared(check) for table in HOMES for check in checks(table)]
    print("\n".join(lines(found)))
    return int(any(one.passes == bool(one.check.fails) for one in found))


if __name__ == "__main__":
    sys.exit(main())
