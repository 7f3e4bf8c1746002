"""What is said of a dough in its tin, of the custom for dark and glass pans, and of another height."""

from assistant.formula.model import Formula
from assistant.plan.height import WHY, Height, Row
from assistant.plan.pans import CUSTOM_C, Custom, Fit
from assistant.rulebook.model import Rulebook
from assistant.talk.phrasing import amount, columns, in_what, number, paragraph
from assistant.words.derivation import Derivation

CUSTOM_IN = {
    "dark": "for dark pans, printed on cake mixes",
    "glass": "for glass, common practice without a source",
}


def fit(found: Fit, product: str) -> str:
    """How full the tin is before and after, what is usual, and what to do.

    `product` is the class's name, as in "psyllium bread".
    """
    tins = "it" if found.tins == 1 else f"each of {found.tins}"
    each = "" if found.tins == 1 else " in each"
    before = "before it rises" if found.rises else "as it goes in"
    said = [
        f"{tin(found)} holds {amount(found.tin_ml)}. {number(found.dough_g.value, 'g')} of dough{each} fills {tins} to "
        f"{amount(found.before_pct)} {before}, and about {amount(found.baked_pct)} baked."
    ]
    if found.usual_pct is None or found.fits_g is None:
        return paragraph(f"{said[0]} How full such a tin usually is of {product} dough is not known.")
    room = f"usual for {product} is {_band(found.usual_pct.low, found.usual_pct.high, '%')}"
    takes = f"which here is {_band(found.fits_g.low, found.fits_g.high, 'g')} of dough"
    if found.over_g is not None:
        such = "cups" if found.tins > 1 else "such tins"
        said.append(
            f"That is too full: {room}, {takes}. Take {found.tins_needed} {such}, or leave "
            f"{number(found.over_g.value, 'g')}{each} out."
        )
    elif found.verdict == "low":
        said.append(f"That is low: {room}, {takes}. It bakes flat and sooner; a smaller tin suits it better.")
    else:
        said.append(f"It fits: {room}, {takes}.")
    return paragraph(" ".join(said))


def no_tin(formula: Formula, needed: Derivation | None) -> str:
    """A recipe that names no tin, and what one for all of its dough must hold.

    >>> from assistant.formula.model import Bake
    >>> rolls = Formula("Rolls", "", (), bake=Bake(200, 20, pan="sheet"))
    >>> print(no_tin(rolls, Derivation("what a tin must hold", 2100.0, "mL", low=1750.0, high=2600.0)))
    Rolls bakes on a sheet, so there is nothing to fill. All of its dough would
    take a tin of 1750 to 2600 ml; name one, as in: will it fit a 2 litre tin.
    """
    where = "" if formula.bake is None else in_what(formula.bake)
    takes = (
        ""
        if needed is None
        else f" All of its dough would take a tin of {_band(needed.low, needed.high, 'mL')};"
    )
    name = "name one, as in: will it fit a 2 litre tin."
    return paragraph(
        f"{formula.name} bakes {where or 'in no tin that it names'}, so there is nothing to fill."
        f"{takes} {name if takes else name.capitalize()}"
    )


def tin(found: Fit) -> str:
    """The tin with its size: "A loaf tin of 23 x 13 x 7 cm"."""
    if not found.sides_cm or found.depth_cm is None:
        return f"The {found.pan}"
    sides = " x ".join(number(round(side, 1)) for side in (*found.sides_cm, found.depth_cm))
    usual = "" if found.said else ", the usual size,"
    return f"A {'muffin cup' if found.pan == 'muffin tin' else found.pan} of {sides} cm{usual}"


def _band(low: float | None, high: float | None, unit: str) -> str:
    return f"{number(low, unit).split()[0]} to {number(high, unit)}"


def custom(found: Custom) -> str:
    """The customary cooler oven beside what the law gives, and which of them keeps the crust."""
    lower = f"{number(CUSTOM_C, 'C')} (25 °F) lower"
    head = f"Custom has the oven {lower} {CUSTOM_IN[found.finish]}."
    law = (
        f"By the law this pan browns x{found.browns.value:.2f} in the same oven; {lower} the time is "
        f"x{found.cooler.value:.2f} and the browning x{found.browns_cooler.value:.2f}."
    )
    keeps = found.keeps_c.value
    end = (
        "So it needs no cooler oven."
        if keeps > -2.5
        else "So the custom holds here."
        if keeps <= -0.75 * CUSTOM_C
        else f"So about {number(-keeps, 'C')} lower would do."
    )
    return paragraph(f"{head} {law} {end}")


def height(found: Height, recipe: str, book: Rulebook) -> str:
    """One answer for another height: what to change, beside what is printed, and why they part."""
    gas = f"the same gas takes x{found.gas_room.value:.2f} of the room"
    head = (
        f"{recipe} is written for {at(found.from_m)}. At {at(found.to_m)} {gas}, and water boils at "
        f"{number(found.boils.value, 'C')} instead of {number(found.boiled.value, 'C')}."
    )
    rows = [["", "now", "by the laws", f"printed for {found.table}s" if found.printed else ""]]
    rows += [[row.what, _now(row), _law(row), _printed(row)] for row in found.rows]
    parts = [paragraph(head), *columns(rows)]
    if found.hotter is not None:
        oven, minutes = found.hotter
        parts.append(
            paragraph(
                f"In the printed oven, {number(oven.value, 'C')}, it would take {number(minutes.value, 'min')}.",
                2,
            )
        )
    if found.soda_left is not None:
        parts.append(paragraph(
            f"The soda stays: {number(found.soda_left.value, 'g')} of it is left over already, and more would taste of soap. "
            "For more lift add powder.", 2,
        ))  # fmt: skip
    for kind in dict.fromkeys(row.kind for row in found.rows if row.parts and row.kind in WHY):
        what = " and ".join(row.what for row in found.rows if row.parts and row.kind == kind)
        parts.append(paragraph(f"Law and table part on {what}: {WHY[kind]}.", 2))
    if found.says:
        parts.append(paragraph(f"Printed too: {found.says}.", 2))
    if not found.printed and not found.says:
        parts.append(paragraph(_unprinted(found), 2))
    named = "; ".join(_source(key, book) for key in found.sources)
    if named and (found.printed or found.says):
        parts.append(paragraph(f"Tables: {named}.", 2))
    return "\n".join(parts)


def _unprinted(found: Height) -> str:
    if found.beyond:
        return "Printed tables end at 7,000 ft (2,134 m)."
    if not found.table:
        return "No printed table speaks of this kind of bake."
    return "Printed tables have no figure for this; below 3,000 ft (914 m) they change nothing."


def at(height_m: float) -> str:
    """A height as a baker says it.

    >>> at(0.0), at(1900.0)
    ('sea level', '1900 m')
    """
    return "sea level" if abs(height_m) < 1 else number(height_m, "m")


def _source(key: str, book: Rulebook) -> str:
    known = book.sources.get(key)
    return key if known is None else f"{known.author}, {known.title}"


def _now(row: Row) -> str:
    return number(row.before.value, row.before.unit)


def _law(row: Row) -> str:
    same = _now(row) == number(row.law.value, row.law.unit)
    return "as it is" if same else number(row.law.value, row.law.unit)


def _printed(row: Row) -> str:
    if row.printed is None:
        return ""
    low, high = (number(end, row.law.unit) for end in row.printed)
    return low if low == high else _band(*row.printed, row.law.unit)
