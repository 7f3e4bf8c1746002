"""Writing a formula so that reading it again gives the same: our YAML form, and plain text for people.

Text puts grams first and the household amount in brackets. Each line and step is read back as it is
written; where plain words would be read otherwise, a stricter form is used for that line alone.
"""

import os
from collections.abc import Iterable, Mapping
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

from assistant.formula.card import NONE, Written, plural, read_card, read_yield
from assistant.formula.line import quoted
from assistant.formula.method import Called, SoFar, read_paragraph
from assistant.formula.model import Bake, Formula, Line, Step
from assistant.formula.parts import WHOLE
from assistant.formula.read import clean_text, line_places, names_of
from assistant.formula.recognise import ingredients_of, recognise_product
from assistant.formula.resolve import UNKNOWN, read_ingredient_line
from assistant.rulebook.model import Rulebook
from assistant.rulebook.names import Names
from assistant.words.faults import Fault, Place
from assistant.words.units import exact_number, plain_number, unit_text

_UNSAID = Formula("", "", ())


def amount_written(line: Line) -> tuple[float | None, str]:
    """Amount and unit of a line as a person wrote it: grams where nothing else was written.

    >>> amount_written(Line("salt", None, 9.0)), amount_written(Line("egg", None, 100.0, 2.0, "each"))
    ((9.0, 'g'), (2.0, 'each'))
    """
    if line.amount is not None:
        return line.amount, line.unit
    return (None, "") if line.grams is None else (line.grams, "g")


# -- YAML -----------------------------------------------------------------------------------------


def to_yaml(formula: Formula) -> str:
    """A formula in our YAML form; what has its usual value is left out.

    >>> rolls = Formula("Rolls", "", (Line("flour", None, 500.0),), pieces=8, piece_name="roll")
    >>> print(to_yaml(rolls), end="")
    name: Rolls
    product: unknown
    yield: {pieces: 8, piece: roll}
    lines:
      - {name: flour, grams: 500}
    bake: none
    """
    head: list[str] = [_entry({"name": formula.name}), _entry({"product": formula.product or UNKNOWN})]
    made = _filled({"pieces": formula.pieces, "piece": formula.piece_name})
    if made:
        head.append(f"yield: {_flow(made)}")
    head += [
        _entry({key: _number(value)})
        for key, value, usual in (
            ("altitude_m", formula.altitude_m, _UNSAID.altitude_m),
            ("room_c", formula.room_c, _UNSAID.room_c),
            ("version", formula.version, _UNSAID.version),
        )
        if value != usual
    ]
    if formula.note:
        head.append("note: |-\n" + "\n".join(f"  {line}" for line in formula.note.split("\n")))
    lines = [f"  - {_flow(_line_fields(line))}" for line in formula.lines]
    steps = [f"  - {_flow(_step_fields(step, formula.lines))}" for step in formula.steps]
    body = [*head, "lines:", *lines] + (["steps:", *steps] if steps else [])
    body.append(f"bake: {NONE if formula.bake is None else _flow(_bake_fields(formula.bake))}")
    return "\n".join(body) + "\n"


def _entry(fields: Mapping[str, Any]) -> str:
    import yaml

    return yaml.dump(fields, Dumper=yaml.CSafeDumper, allow_unicode=True, width=10**6).strip()


def _flow(fields: Mapping[str, Any]) -> str:
    import yaml

    return yaml.dump(
        fields,
        Dumper=yaml.CSafeDumper,
        default_flow_style=True,
        sort_keys=False,
        allow_unicode=True,
        width=10**6,
    ).strip()


def _filled(fields: Mapping[str, Any]) -> dict[str, Any]:
    return {
        key: _number(value) for key, value in fields.items() if value is not None and value not in ("", [])
    }


def _number(value: Any) -> Any:
    """Whole floats as whole numbers, so that 168 g is not written as 168.0."""
    return int(value) if isinstance(value, float) and value == int(value) and abs(value) < 1e15 else value


def _line_fields(line: Line) -> dict[str, Any]:
    return _filled(
        {
            "ingredient": line.ingredient,
            "name": line.name,
            "grams": line.grams,
            "amount": line.amount,
            "unit": line.unit,
            "low_g": line.low_g,
            "high_g": line.high_g,
            "note": line.note,
            "part": line.part,
            "confidence": line.confidence if line.ingredient and line.confidence != 1.0 else None,
            "text": line.text,
        }
    )


def _step_fields(step: Step, lines: tuple[Line, ...]) -> dict[str, Any]:
    return _filled(
        {
            "kind": step.kind,
            "text": step.text,
            "part": step.part,
            "minutes": step.minutes,
            "minutes_high": step.minutes_high,
            "temperature_c": step.temperature_c,
            "uses": [_use(at, lines) for at in step.uses],
        }
    )


def _use(at: int, lines: tuple[Line, ...]) -> str:
    """What a step calls a line: its id or name where that is its alone, else its number."""
    for called in (lines[at].ingredient, lines[at].name):
        if called and line_places(called, lines) == [at]:
            return called
    return f"line {at + 1}"


def _bake_fields(bake: Bake) -> dict[str, Any]:
    return _filled(
        {
            "oven_c": bake.oven_c,
            "minutes": bake.minutes,
            "minutes_low": bake.minutes_low,
            "minutes_high": bake.minutes_high,
            "pan": bake.pan,
            "oven": "" if bake.oven == "still" else bake.oven,
            "material": bake.material,
            "size_cm": _size_text(bake),
            "litres": bake.litres,
            "shape": bake.shape,
            "steam_min": bake.steam_min or None,
        }
    )


# -- text -----------------------------------------------------------------------------------------


def to_text(formula: Formula, book: Rulebook, names: Names | None = None) -> str:
    """A formula as plain text that a person reads and a reader reads back.

    All of a formula but the wording its lines were first read from, and how sure their names were.
    """
    known = names if names is not None else names_of(book)
    title = formula.name if read_card(formula.name, "").name == formula.name else f"Title: {formula.name}"
    head = [title, "", *_labels(formula, book)]
    body = [*head, "", "Ingredients", "", *_ingredient_lines(formula, book, known)]
    if formula.steps:
        body += ["", "Method", "", *_step_lines(formula, book)]
    if formula.note:
        body += ["", "Notes", "", *(f"Note: {line}" for line in formula.note.split("\n") if line)]
    return "\n".join(escape(line) for line in body) + "\n"


def escape(line: str) -> str:
    """A line in which what looks like a sign of HTML (&amp;) is not taken for one.

    >>> escape("bread & butter"), escape("&frac12; pound")
    ('bread & butter', '&amp;frac12; pound')
    """
    return line if unescape(line) == line else line.replace("&", "&amp;")


def _labels(formula: Formula, book: Rulebook) -> Iterable[str]:
    recognised = recognise_product(formula, book)
    product = book.products.get(formula.product)
    if product is not None:
        yield f"Kind: {product.name}"
    elif recognised:
        yield f"Kind: {UNKNOWN}"
    yield from _yield_lines(formula)
    if formula.altitude_m != _UNSAID.altitude_m:
        yield f"Altitude: {plain_number(formula.altitude_m)} m"
    if formula.room_c != _UNSAID.room_c:
        yield f"Room: {plain_number(formula.room_c)} C"
    if formula.version != _UNSAID.version:
        yield f"Version: {formula.version}"
    yield f"Oven: {NONE if formula.bake is None else _oven_text(formula.bake)}"


def _yield_lines(formula: Formula) -> Iterable[str]:
    pieces, piece = formula.pieces, formula.piece_name
    if pieces is None:
        if piece:
            yield f"Piece: {piece}"
        return
    said = f"{pieces} {plural(piece) if pieces != 1 else piece}".strip()
    if read_yield(said, Place(""))[:2] == (pieces, piece):
        yield f"Makes {said}"
    else:
        yield f"Makes {pieces}"
        yield f"Piece: {piece}"


def _size_text(bake: Bake) -> str:
    return " x ".join(plain_number(side_cm) for side_cm in bake.size_cm)


def _oven_text(bake: Bake) -> str:
    fan = " fan" if bake.oven == "fan" else ""
    bits = [f"{plain_number(bake.oven_c)} C{fan}"]
    if bake.minutes_low is None or bake.minutes_high is None:
        bits.append(f"{plain_number(bake.minutes)} minutes")
    else:
        bits.append(f"{plain_number(bake.minutes_low)} to {plain_number(bake.minutes_high)} minutes")
        if bake.minutes != (bake.minutes_low + bake.minutes_high) / 2:
            bits.append(f"about {plain_number(bake.minutes)}")
    bits += [bake.pan] if bake.pan else []
    bits += [bake.material] if bake.material else []
    bits += [f"{_size_text(bake)} cm"] if bake.size_cm else []
    bits += [] if bake.litres is None else [f"{plain_number(bake.litres)} litres"]
    bits += [f"shaped as {bake.shape}"] if bake.shape else []
    bits += [f"steam for {plain_number(bake.steam_min)}"] if bake.steam_min else []
    return ", ".join(bits)


def _ingredient_lines(formula: Formula, book: Rulebook, names: Names) -> Iterable[str]:
    part = ""
    for line in formula.lines:
        if line.part != part:
            part = line.part
            yield from ("", f"For the {part or WHOLE}:")
        yield line_text(line, book, names)


def line_text(line: Line, book: Rulebook, names: Names) -> str:
    """A line of an ingredient list, in the plainest words that are read back as the same line."""
    wanted = carried(line)
    forms = _forms(line)
    for form in forms:
        read, _ = read_ingredient_line(Written(form, Place(""), line.part), book, names, "us")
        if carried(read) == wanted:
            return form
    return forms[-1]


def carried(line: Line) -> Line:
    """What of a line its text carries: all but its former wording and how sure its name was."""
    return replace(line, text="", confidence=1.0)


def _forms(line: Line) -> list[str]:
    """Ways to write a line, plainest first."""
    measure = "" if line.amount is None else _measure_text(line.amount, line.unit)
    ends = (
        ""
        if line.low_g is None or line.high_g is None
        else f"{_exact(line.low_g)} to {_exact(line.high_g)} g"
    )
    note = f", {line.note}" if line.note else ""
    inside = "; ".join(bit for bit in (measure, ends) if bit)
    bracket = f" ({inside})" if inside else ""
    forms = []
    if line.grams is None:
        forms.append(f"{measure} {line.name}".strip() + note)
    else:
        if ends and line.note == ends:
            forms.append(f"{ends} {line.name}")
        forms.append(f"{_exact(line.grams)} g {line.name}{bracket}{note}")
    mass = "?" if line.grams is None else f"{_exact(line.grams)} g"
    end = f"{bracket}; {line.note}" if line.note else bracket
    forms.append(f"{mass} {quoted(line.name)}{end}")
    if line.ingredient is not None:
        forms.append(f"{mass} {quoted(line.name)} [{line.ingredient}]{end}")
    return forms


def _exact(grams: float) -> str:
    return plain_number(grams)


def _measure_text(amount: float, unit: str) -> str:
    if unit in ("each", ""):
        return exact_number(amount)
    return f"{exact_number(amount)} {unit_text(unit, amount)}"


def _step_lines(formula: Formula, book: Rulebook) -> Iterable[str]:
    called = Called(formula.lines, ingredients_of(formula.lines, book))
    so_far, part = SoFar(), ""
    for number, step in enumerate(formula.steps, start=1):
        if step.part != part:
            part = step.part
            yield from ("", f"For the {part or WHOLE}:")
        plain = read_paragraph(step.text, called, so_far, part) == (step,)
        yield f"{number}. {step.text if plain else _stated_text(step)}"
        so_far = so_far.after(step)


def _stated_text(step: Step) -> str:
    """A step in its own words, followed by all there is to it in square brackets."""
    bits = [step.kind]
    if step.minutes is not None:
        high = "" if step.minutes_high is None else f" to {plain_number(step.minutes_high)}"
        bits.append(f"{plain_number(step.minutes)}{high} min")
    if step.temperature_c is not None:
        bits.append(f"{plain_number(step.temperature_c)} C")
    if step.uses:
        bits.append("lines " + " ".join(str(at + 1) for at in step.uses))
    return f"{step.text} [{'; '.join(bits)}]".strip()


# -- files ----------------------------------------------------------------------------------------


def save(path: Path, text: str, overwrite: bool = False) -> Fault | None:
    """Write a file whole or not at all; a fault when it stands already or can't be written.

    The text goes into a new file beside the old, which then takes its name in one step.
    """
    where = Place(clean_text(str(path)))
    try:
        if path.is_dir():
            return Fault(where, "this is a folder", "name a file in it", kind="not possible")
        if path.exists() and not overwrite:
            said = "there is a file of this name already"
            return Fault(where, said, "choose another name", kind="not possible")
        target = path.resolve()
        beside = target.with_name(f".{target.name}.{os.getpid()}.part")
        try:
            handle = os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666)
            with open(handle, "w", encoding="utf-8", newline="\n") as file:  # noqa: PTH123  (a handle, no path)
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            beside.replace(target)
        finally:
            beside.unlink(missing_ok=True)
    except (OSError, ValueError) as error:
        said = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        return Fault(where, f"the file can't be written: {said}", "choose another place", kind="not possible")
    return None
