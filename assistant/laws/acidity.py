"""pH of doughs and crumbs by charge balance, titratable acid; what acid and alkali do to taste and colour.

A mixture is water, a net strong cation (sodium of soda, potassium of tartrates), weak acids and bases with
their pKa, carbon dioxide, and a linear buffer for flours, proteins and leavening phosphates.

`acids` is a tuple of species, each (mmol, (pKa 1, pKa 2, ...), charge of the fully protonated form): acetic
acid is (mmol, (4.756,), 0); a salt is its acid and its cation (cream of tartar: tartaric acid, and as much
potassium in the strong cations). Constants are for 25 C and activity one, so the pH of a dough is good to
some 0.2 to 0.3 and callers give it as a range: move the buffer between its low and high, and see
`pka_in_dough` for salt.
"""

from typing import TypeAlias

from assistant.laws.ranges import greater, margin, sure_to, within

Species: TypeAlias = tuple[float, tuple[float, ...], int]

PKW = 13.995
"""Water at 25 C. Source: crc-handbook; grade: from memory."""
CARBONIC_PKA = (6.352, 10.329)
"""Dissolved CO2 (apparent) and bicarbonate at 25 C. Source: crc-handbook; grade: from memory."""
CO2_SOLUBILITY_MOL_KG_ATM = 0.0334
"""Henry's constant of CO2 in water at 25 C. Source: crc-handbook; grade: from memory."""
BUBBLE_CO2_ATM = (0.5, 0.9, 1.0)
"""Low, usual, high pressure of CO2 in the bubbles of a gassing dough: the first gas drives out the air that
mixing left there (about a tenth of the dough's volume). Derived from volumes; grade: derived."""

CRUMB_CO2_ATM = (0.003, 0.02, 0.1)
"""Low, usual, high pressure of CO2 that a baked and cooled crumb still stands under: steam has swept most of
it out, air (0.0004 atm) takes days to take the rest. Derived: with it soda-raised goods come to the printed
7.5 to 8.8; grade: from memory."""

LEAVENER_OWN_PH = (3.5, 4.2, 4.6)
"""Low, usual, high pH of acid phosphates alone in water.
Source: baking-powder-literature; grade: from memory."""
LEAVENER_END_PH = (6.9, 7.2, 7.5)
"""Low, usual, high pH at which the tabulated neutralising value of phosphates and alums is all spent:
acid pyrophosphate buffers a dough near 7.3-7.5, orthophosphates near 6.9-7.2.
Source: baking-powder-literature; grade: from memory."""

SOAPY_SODA_PCT = (0.2, 0.3, 0.4)
"""Leftover soda, % of the crumb, from which it tastes soapy: it differs between people and flavours.
Source: baking-powder-literature; grade: from memory."""
SOAPY_PH = (7.8, 8.0, 8.2)
"""pH of the crumb above which a soapy taste is usual in plain goods; cocoa hides it to about 8.5.
Source: baking-powder-literature; grade: from memory."""
GREENING_PH = 7.5
"""Chlorogenic acid (sunflower seed) greens above about 7.5 to 8. Source: wildermuth-2016; grade: measured."""
ROPE_PH = 5.4
"""Rope spoilage grows above it in a warm moist crumb. Source: common-practice; grade: from memory."""

_LN10 = 2.302585092994046
_LOWEST, _HIGHEST = -1.0, 15.0


def _known(acids: tuple[Species, ...]) -> None:
    """Refuse acids of no amount, or with constants that no acid has."""
    for amount, pkas, protonated in acids:
        within("acid", amount, 0.0, 1e10, "mmol")
        for pka in pkas:
            within("pKa", pka, -10.0, 20.0)
        within("charge", protonated, -6, 4)


def _imbalance(
    ph: float,
    strong: float,
    acids: tuple[tuple[float, tuple[float, ...], int], ...],
    buffer: float,
    own_ph: float,
    open_co2: float,
) -> tuple[float, float]:
    """Sum of charges (mol/kg) and its slope by pH; the sum falls all the way."""
    h = 10.0**-ph
    oh = 10.0 ** (ph - PKW)
    charge = strong + h - oh + buffer * (own_ph - ph)
    slope = -_LN10 * (h + oh) - buffer
    for amount, constants, protonated in acids:
        weight = total = 1.0
        first = second = 0.0
        for lost, k in enumerate(constants, 1):
            weight *= k / h
            total += weight
            first += lost * weight
            second += lost * lost * weight
        mean = first / total
        charge += amount * (protonated - mean)
        slope -= _LN10 * amount * (second / total - mean * mean)
    if open_co2:
        bicarbonate = open_co2 * 10.0 ** (ph - CARBONIC_PKA[0])
        carbonate = bicarbonate * 10.0 ** (ph - CARBONIC_PKA[1])
        charge -= bicarbonate + 2 * carbonate
        slope -= _LN10 * (bicarbonate + 4 * carbonate)
    return charge, slope


def _solve(
    water_kg: float,
    strong_cation_mmol: float,
    acids: tuple[Species, ...],
    buffer_mmol_per_ph: float,
    buffer_own_ph: float,
    closed_co2_mmol: float,
    co2_atm: float,
) -> float:
    within("water", water_kg, 1e-6, 1e6, "kg")
    mol = 1 / (1000 * water_kg)
    within("strong cation", strong_cation_mmol * mol, -8.0, 8.0, "mol per kg water")
    within("buffering", buffer_mmol_per_ph * mol, 0.0, 20.0, "mol per kg water and pH")
    within("the buffer's own pH", buffer_own_ph, 0.0, 14.0)
    within("carbon dioxide", closed_co2_mmol * mol, 0.0, 8.0, "mol per kg water")
    within("pressure of carbon dioxide", co2_atm, 0.0, 2.0, "atm")
    _known(acids)
    species = []
    for amount, pkas, protonated in (*acids, (closed_co2_mmol, CARBONIC_PKA, 0)):
        within("acid", amount * mol, 0.0, 20.0, "mol per kg water")
        if amount:
            species.append((amount * mol, tuple(10.0**-pka for pka in pkas), protonated))
    put = (
        strong_cation_mmol * mol,
        tuple(species),
        buffer_mmol_per_ph * mol,
        buffer_own_ph,
        co2_atm * CO2_SOLUBILITY_MOL_KG_ATM,
    )
    low, high = _LOWEST, _HIGHEST
    ph = 6.5
    for _ in range(200):
        charge, slope = _imbalance(ph, *put)
        if charge > 0:
            low = ph
        else:
            high = ph
        step = charge / slope
        after = ph - step
        if not low < after < high:
            after = (low + high) / 2
        if abs(after - ph) < 1e-7:
            break
        ph = after
    if after < _LOWEST + 0.01 or after > _HIGHEST - 0.01:
        raise ValueError(f"the mixture has no pH between {_LOWEST:g} and {_HIGHEST:g}")
    return after


@sure_to(margin(0.3))
def ph_of_mixture(
    water_kg: float,
    strong_cation_mmol: float,
    acids: tuple[Species, ...],
    buffer_mmol_per_ph: float,
    buffer_own_ph: float,
    closed_co2_mmol: float = 0.0,
) -> float:
    """pH at which the charges of a mixture sum to nothing; what CO2 there is stays dissolved.

    Sodium and other strong cations, H+, OH-, every step of every weak acid, and a linear buffer that
    takes up buffer_mmol_per_ph for each unit below its own pH. Without CO2 (0) it has all left.

    Units:    kg water; mmol of net strong cation (negative: strong acid); mmol, pKa and charge by species;
              mmol per pH; pH; mmol of carbonates and CO2 together; returns pH
    Range:    water_kg 1e-6 to 1e6 kg; strong_cation_mmol / water_kg -8000 to 8000 mmol/kg; acids[*][0] /
              water_kg 0 to 20000 mmol/kg; acids[*][1][*] -10 to 20; acids[*][2] -6 to 4; buffer_mmol_per_ph /
              water_kg 0 to 20000 mmol/kg; buffer_own_ph 0 to 14; closed_co2_mmol / water_kg 0 to 8000
              mmol/kg; refused too: a mixture of no pH between -1 and 15; else ValueError
    Source:   electroneutrality; pKa crc-handbook; 0.1 M acetic acid has pH 2.88
    Spread:   0.3 pH in a dough, by constants for 25 C and no salt; besides that of its arguments, above all
              the buffer

    >>> round(ph_of_mixture(1.0, 0.0, ((100.0, (4.756,), 0),), 0.0, 7.0), 2)
    2.88
    >>> round(ph_of_mixture(1.0, 100.0, (), 0.0, 7.0, 100.0), 2)      # soda, 0.1 M
    8.34
    """
    return _solve(
        water_kg, strong_cation_mmol, acids, buffer_mmol_per_ph, buffer_own_ph, closed_co2_mmol, 0.0
    )


@sure_to(margin(0.3))
def ph_under_co2(
    water_kg: float,
    strong_cation_mmol: float,
    acids: tuple[Species, ...],
    buffer_mmol_per_ph: float,
    buffer_own_ph: float,
    co2_atm: float,
) -> float:
    """pH of a mixture that stands under carbon dioxide of a given pressure.

    Units:    as ph_of_mixture; atm of CO2; returns pH
    Range:    as ph_of_mixture; co2_atm 0 to 2 atm; else ValueError
    Source:   electroneutrality and Henry's law (crc-handbook); water under 1 atm of CO2 has pH 3.91
    Spread:   0.3 pH, as ph_of_mixture

    >>> round(ph_under_co2(1.0, 0.0, (), 0.0, 7.0, 1.0), 2)
    3.91
    >>> round(ph_under_co2(0.3, 12.0, ((12.0, (4.756,), 0),), 5.0, 6.0, 0.9), 2)     # soda and as much vinegar
    5.76
    """
    return _solve(water_kg, strong_cation_mmol, acids, buffer_mmol_per_ph, buffer_own_ph, 0.0, co2_atm)


def dissolved_co2_share(ph: float) -> float:
    """Share of dissolved carbonates that is CO2 itself.

    Units:    pH; returns 0 to 1
    Range:    ph 0 to 14; else ValueError
    Source:   definition of pKa; crc-handbook
    Spread:   none of its own: a definition

    >>> round(dissolved_co2_share(6.352), 2)
    0.5
    """
    within("pH", ph, 0.0, 14.0)
    return _co2_share(ph)


def _co2_share(ph: float) -> float:
    first = 10.0 ** (ph - CARBONIC_PKA[0])
    share: float = 1 / (1 + first + first * 10.0 ** (ph - CARBONIC_PKA[1]))
    return share


def _vented(
    put: tuple[float, float, tuple[Species, ...], float, float], carbon_mmol: float, co2_atm: float
) -> float:
    """pH with its carbon dissolved, or, where that would be more CO2 than the pressure holds, under it."""
    within("pressure of carbon dioxide", co2_atm, 0.0, 2.0, "atm")
    ph = _solve(*put, carbon_mmol, 0.0)
    held = carbon_mmol / (1000 * put[0])
    if held == 0 or _co2_share(ph) * held <= co2_atm * CO2_SOLUBILITY_MOL_KG_ATM:
        return ph
    return _solve(*put, 0.0, co2_atm)


@sure_to(margin(0.3))
def ph_end_of_mixing(
    water_kg: float,
    strong_cation_mmol: float,
    acids: tuple[Species, ...],
    buffer_mmol_per_ph: float,
    buffer_own_ph: float,
    co2_mmol: float,
    bubble_co2_atm: float,
) -> float:
    """pH of a dough at the end of mixing: CO2 stays dissolved until bubbles of it form, the rest leaves.

    Count as acids what has met the water so far: all of vinegar, juice and cultured milk, but of a slow
    leavening acid only the share released while mixing.

    Units:    as ph_of_mixture; co2_mmol the carbon of all soda (and what yeast has made); bubble_co2_atm
              pressure of CO2 in the bubbles (BUBBLE_CO2_ATM); returns pH
    Range:    as ph_of_mixture; co2_mmol / water_kg 0 to 8000 mmol/kg; bubble_co2_atm 0 to 2 atm; else
              ValueError
    Source:   electroneutrality and Henry's law (crc-handbook)
    Spread:   0.3 pH, as ph_of_mixture

    >>> acetic = ((12.0, (4.756,), 0),)
    >>> round(ph_end_of_mixing(0.3, 12.0, acetic, 5.0, 6.0, 12.0, 0.9), 1)     # vinegar meets its soda
    5.8
    """
    put = (water_kg, strong_cation_mmol, acids, buffer_mmol_per_ph, buffer_own_ph)
    return _vented(put, co2_mmol, bubble_co2_atm)


@sure_to(margin(0.3))
def ph_baked(
    water_kg: float,
    strong_cation_mmol: float,
    acids: tuple[Species, ...],
    buffer_mmol_per_ph: float,
    buffer_own_ph: float,
    soda_left_mmol: float,
    decomposed_share: float,
    crumb_co2_atm: float = CRUMB_CO2_ATM[1],
) -> float:
    """pH of the crumb: every acid has reacted, CO2 is gone, and leftover soda is partly carbonate.

    Each pair of leftover bicarbonates that heat decomposes has lost one CO2, while its alkali stays:
    2 HCO3- -> CO3-- + CO2 + H2O. So the carbon left is soda_left (1 - share/2), in all the sodium; what
    the flours' acids set free of it leaves too, down to the CO2 that a crumb keeps.

    Units:    as ph_of_mixture, water of the crumb; soda_left_mmol as leavening.soda_left_mmol; share 0 to 1
              (leavening.DECOMPOSED_IN_CRUMB); atm of CO2 in the crumb's pores; returns pH
    Range:    as ph_of_mixture; soda_left_mmol 0 to 1e7 mmol; decomposed_share 0 to 1; soda_left_mmol * (1 -
              decomposed_share / 2) / water_kg 0 to 8000 mmol/kg; crumb_co2_atm 0 to 2 atm; else ValueError
    Source:   electroneutrality, Henry's law (crc-handbook), stoichiometry; 0.1 M soda all turned to carbonate has pH 11.5
    Spread:   0.3 pH, as ph_of_mixture

    >>> round(ph_baked(1.0, 100.0, (), 0.0, 7.0, 100.0, 1.0), 1)
    11.5
    >>> round(ph_baked(0.2, 30.0, (), 3.6, 6.0, 30.0, 0.3), 1)      # 2.5 g soda alone in 300 g flour
    8.5
    >>> round(ph_baked(0.2, 30.0, ((20.0, (4.756,), 0),), 3.6, 6.0, 10.0, 0.3), 1)     # and vinegar for two thirds
    7.8
    """
    within("share decomposed by heat", decomposed_share, 0.0, 1.0)
    within("soda left over", soda_left_mmol, 0.0, 1e7, "mmol")
    carbon = soda_left_mmol * (1 - decomposed_share / 2)
    put = (water_kg, strong_cation_mmol, acids, buffer_mmol_per_ph, buffer_own_ph)
    return _vented(put, carbon, crumb_co2_atm)


# Buffers


def buffer_mmol_per_ph(mass_kg: float, mmol_per_kg_ph: float) -> float:
    """Buffering of a mass of flour, milk or egg.

    Units:    kg; mmol H+ per kg and pH; returns mmol per pH
    Range:    mass_kg 0 to 1e6 kg; mmol_per_kg_ph 0 to 500 mmol/kg/pH; else ValueError
    Source:   definition; white flour 8 to 15 (cereal-buffering, from memory)
    Spread:   none of its own: a definition

    >>> buffer_mmol_per_ph(0.5, 12.0)
    6.0
    """
    within("mass", mass_kg, 0.0, 1e6, "kg")
    within("buffering", mmol_per_kg_ph, 0.0, 500.0, "mmol/kg/pH")
    return mass_kg * mmol_per_kg_ph


def leavener_buffer_mmol_per_ph(acid_mmol: float, own_ph: float, end_ph: float) -> float:
    """A leavening phosphate or alum as a linear buffer, from its tabulated equivalents.

    Its protons follow no single pKa (aluminium hydrolyses, calcium phosphates precipitate), so it is
    held as the straight titration line through two known points: alone in water it has its own pH and
    has given nothing; at its end pH it has given just the equivalents of its neutralising value.
    Join it to the flour's buffer with `buffers_together` and `own_ph_together`.

    Units:    mmol H+ by neutralising value; pH (LEAVENER_OWN_PH, LEAVENER_END_PH); returns mmol per pH
    Range:    acid_mmol 0 to 1e7 mmol; own_ph 1 to 8.5; end_ph 1.5 to 9; end_ph - own_ph 0.5 and more; else
              ValueError
    Source:   derived; end pH from baking-powder-literature
    Spread:   that of LEAVENER_OWN_PH and LEAVENER_END_PH
    Not for:  tartrates, citric, lactic or acetic acid and lactones, whose pKa are known

    >>> leavener_buffer_mmol_per_ph(30.0, 4.2, 7.2)
    10.0
    """
    within("acid", acid_mmol, 0.0, 1e7, "mmol")
    within("the acid's own pH", own_ph, 1.0, 8.5)
    within("the acid's end pH", end_ph, own_ph + 0.5, 9.0)
    return acid_mmol / (end_ph - own_ph)


def buffers_together(*mmol_per_ph: float) -> float:
    """Buffering of several linear buffers: their strengths add.

    Units:    mmol per pH; returns mmol per pH
    Range:    mmol_per_ph[*] 0 to 1e9 mmol/pH; else ValueError
    Source:   linearity
    Spread:   none of its own: linearity

    >>> buffers_together(6.0, 10.0)
    16.0
    """
    for strength in mmol_per_ph:
        within("buffering", strength, 0.0, 1e9, "mmol/pH")
    return sum(mmol_per_ph)


def own_ph_together(*strengths_and_own_phs: float) -> float:
    """Own pH of several linear buffers: the mean of theirs, weighted by strength.

    Units:    mmol per pH and pH by turns; returns pH
    Range:    strengths_and_own_phs[::2][*] 0 to 1e9 mmol/pH; sum(strengths_and_own_phs[::2]) 1e-9 and more;
              strengths_and_own_phs[1::2][*] 0 to 14; in pairs; else ValueError
    Source:   linearity: sum of s (own - pH) = S (mean own - pH)
    Spread:   none of its own: linearity

    >>> own_ph_together(6.0, 6.0, 10.0, 4.4)
    5.0
    """
    strengths, own_phs = strengths_and_own_phs[::2], strengths_and_own_phs[1::2]
    if len(strengths) != len(own_phs):
        raise ValueError("each buffer has a strength and a pH of its own; one of them is missing")
    for own_ph in own_phs:
        within("the buffer's own pH", own_ph, 0.0, 14.0)
    whole = buffers_together(*strengths)
    within("the strength of all buffers", whole, 1e-9, 1e12, "mmol/pH")
    return sum(s * p for s, p in zip(strengths, own_phs, strict=True)) / whole


def soda_met_by_buffer_mmol(buffer_mmol_per_ph: float, own_ph: float, end_ph: float) -> float:
    """Soda that flours and proteins neutralise themselves while the pH rises to an end.

    Units:    mmol per pH; pH; pH; returns mmol
    Range:    buffer_mmol_per_ph 0 to 1e9 mmol/pH; own_ph 0 to 14; end_ph own_ph to 14; else ValueError
    Source:   linearity; a cup of flour (125 g at 12 mmol/kg/pH, from pH 6 to 8) meets 3 mmol
    Spread:   none of its own: linearity

    >>> soda_met_by_buffer_mmol(1.5, 6.0, 8.0)
    3.0
    """
    within("buffering", buffer_mmol_per_ph, 0.0, 1e9, "mmol/pH")
    within("the end pH", end_ph, own_ph, 14.0)
    within("the buffer's own pH", own_ph, 0.0, 14.0)
    return buffer_mmol_per_ph * (end_ph - own_ph)


# Salt


@sure_to(margin(0.1))
def pka_in_dough(pka: float, acid_charge: int, ionic_strength_mol_kg: float) -> float:
    """pKa of one step among dissolved salt, on the scale of measured pH (Davies equation).

    Units:    pKa at 25 C and no salt; charge of the form that gives the proton; mol/kg water; returns pKa
    Range:    pka -2 to 16; acid_charge -6 to 4; ionic_strength_mol_kg 0 to 0.8 mol/kg water (beyond, the
              equation turns); else ValueError
    Source:   davies-1962: log g = -0.509 z^2 (sqrt I/(1 + sqrt I) - 0.3 I); second pKa of citric acid 4.35
    Spread:   0.1 pH, as far as its checks PKA01 to PKA07

    >>> round(pka_in_dough(4.756, 0, 0.3), 2), round(pka_in_dough(4.761, -1, 0.3), 2)
    (4.62, 4.36)
    """
    within("pKa", pka, -2.0, 16.0)
    within("charge", acid_charge, -6, 4)
    within("ionic strength", ionic_strength_mol_kg, 0.0, 0.8, "mol/kg water")
    root: float = ionic_strength_mol_kg**0.5
    davies = 0.509 * (root / (1 + root) - 0.3 * ionic_strength_mol_kg)
    return pka - davies * ((acid_charge - 1) ** 2 - acid_charge**2)


def acids_in_dough(acids: tuple[Species, ...], ionic_strength_mol_kg: float) -> tuple[Species, ...]:
    """Species with their pKa moved to the salt of a dough, step by step.

    Units:    as ph_of_mixture; mol/kg water; returns species
    Range:    acids[*][0] 0 to 1e10 mmol; acids[*][1][*] -2 to 16; acids[*][2] -6 to 4; ionic_strength_mol_kg 0
              to 0.8 mol/kg; else ValueError
    Source:   davies-1962
    Spread:   as pka_in_dough, each pKa

    >>> acids_in_dough(((10.0, (4.756,), 0),), 0.0)
    ((10.0, (4.756,), 0),)
    """
    _known(acids)
    return tuple(
        (
            amount,
            tuple(pka_in_dough(pka, charge - step, ionic_strength_mol_kg) for step, pka in enumerate(pkas)),
            charge,
        )
        for amount, pkas, charge in acids
    )


def ionic_strength_mol_kg(sodium_mg: float, potassium_mg: float, water_kg: float) -> float:
    """Ionic strength of a dough's water from its sodium and potassium, each with a single anion.

    Units:    mg; mg; kg; returns mol/kg
    Range:    sodium_mg 0 to 1e9 mg; potassium_mg 0 to 1e9 mg; water_kg 1e-6 to 1e6 kg; else ValueError
    Source:   definition, atomic-weights; 10 g salt (3,934 mg sodium) in 0.35 kg water
    Spread:   none of its own: a definition

    >>> round(ionic_strength_mol_kg(3934.0, 0.0, 0.35), 2)
    0.49
    """
    within("sodium", sodium_mg, 0.0, 1e9, "mg")
    within("potassium", potassium_mg, 0.0, 1e9, "mg")
    within("water", water_kg, 1e-6, 1e6, "kg")
    return (sodium_mg / 22.98977 + potassium_mg / 39.0983) / 1000 / water_kg


# Acid that is left


def undissociated_share(ph: float, pka: float) -> float:
    """Share of a monoprotic acid that keeps its proton: the form that tastes, smells and preserves.

    Units:    pH; pKa; returns 0 to 1
    Range:    ph 0 to 14; pka 0 to 14; else ValueError
    Source:   Henderson-Hasselbalch; lactic acid (3.86) at pH 4.5: 18.6 %
    Spread:   none of its own: a definition

    >>> round(undissociated_share(4.5, 3.86), 3)
    0.186
    """
    within("pH", ph, 0.0, 14.0)
    within("pKa", pka, 0.0, 14.0)
    share: float = 1 / (1 + 10.0 ** (ph - pka))
    return share


def _lost(ph: float, pkas: tuple[float, ...]) -> tuple[float, float]:
    """Mean protons lost by an acid, and the share of it that has lost every one."""
    weight = total = 1.0
    first = 0.0
    for lost, pka in enumerate(pkas, 1):
        weight *= 10.0 ** (ph - pka)
        total += weight
        first += lost * weight
    return first / total, weight / total


def titratable_acid_mmol(
    acids: tuple[Species, ...], buffer_mmol_per_ph: float, from_ph: float, to_ph: float
) -> float:
    """Alkali that brings a mixture from one pH to another: acids that give protons, and the buffer.

    Units:    species as in ph_of_mixture; mmol per pH; pH; pH; returns mmol
    Range:    acids[*][0] 0 to 1e10 mmol; acids[*][1][*] -10 to 20; acids[*][2] -6 to 4; buffer_mmol_per_ph 0
              to 1e9 mmol/pH; from_ph 0 to 14; to_ph from_ph to 14; else ValueError
    Source:   definition; the water's own H+ and OH- left out (under 0.1 mmol/kg between pH 4 and 10)
    Spread:   none of its own: a definition

    >>> round(titratable_acid_mmol(((10.0, (4.756,), 0),), 5.0, 4.756, 8.3), 1)
    22.7
    """
    _known(acids)
    within("buffering", buffer_mmol_per_ph, 0.0, 1e9, "mmol/pH")
    within("pH at the start", from_ph, 0.0, 14.0)
    within("pH at the end", to_ph, from_ph, 14.0)
    given = sum(amount * (_lost(to_ph, pkas)[0] - _lost(from_ph, pkas)[0]) for amount, pkas, _ in acids)
    return given + buffer_mmol_per_ph * (to_ph - from_ph)


def sour_species_mmol_per_kg(acids: tuple[Species, ...], ph: float, mass_kg: float) -> float:
    """What the tongue meets as sour: organic acid that keeps at least one proton, and free H+.

    Units:    species as in ph_of_mixture; pH; kg of crumb; returns mmol per kg
    Range:    acids[*][0] 0 to 1e10 mmol; acids[*][1][*] -10 to 20; acids[*][2] -6 to 4; ph 0 to 14; mass_kg
              1e-6 to 1e6 kg; else ValueError
    Source:   sour-taste-2007: intensity is linear in the protonated species plus free H+; from memory
    Spread:   none of its own: a count of protonated acid

    >>> round(sour_species_mmol_per_kg(((12.0, (4.756,), 0),), 5.2, 0.5), 1)
    6.4
    """
    _known(acids)
    within("pH", ph, 0.0, 14.0)
    within("mass", mass_kg, 1e-6, 1e6, "kg")
    keeping = sum(amount * (1 - _lost(ph, pkas)[1]) for amount, pkas, _ in acids)
    free: float = 10.0 ** (3 - ph)
    return keeping / mass_kg + free


# Taste and colour


def _soapiness_ends(_: float, residual_soda_pct: float, ph_baked: float) -> tuple[float, float]:
    milder, sharper = (
        greater(residual_soda_pct / SOAPY_SODA_PCT[end], 10.0 ** (ph_baked - SOAPY_PH[end])) for end in (2, 0)
    )
    return milder, sharper


@sure_to(_soapiness_ends)
def soapiness(residual_soda_pct: float, ph_baked: float) -> float:
    """How soapy a crumb is: 1 is where most people notice, by leftover soda or by pH, whichever says more.

    Units:    % soda of the crumb; pH; returns index, 0 upwards
    Range:    residual_soda_pct 0 to 10 %; ph_baked 2 to 12; else ValueError
    Source:   baking-powder-literature: 0.2-0.4 % leftover soda; pH 7.8-8.2 in plain goods (from memory)
    Spread:   an order only: of tastes; SOAPY_SODA_PCT and SOAPY_PH between their low and high

    >>> soapiness(0.3, 7.2), round(soapiness(0.0, 8.3), 1), round(soapiness(0.0, 7.0), 1)
    (1.0, 2.0, 0.1)
    """
    within("leftover soda", residual_soda_pct, 0.0, 10.0, "%")
    within("pH of the crumb", ph_baked, 2.0, 12.0)
    by_ph: float = 10.0 ** (ph_baked - SOAPY_PH[1])
    return greater(residual_soda_pct / SOAPY_SODA_PCT[1], by_ph)


@sure_to(lambda _, ph: tuple(sorted((1.1 ** (ph - 6.0), 1.5 ** (ph - 6.0)))))
def browning_factor_of_ph(ph: float) -> float:
    """How much faster a crust browns than at pH 6: alkali frees the amino groups that sugars need.

    A quarter more per unit of pH near neutral, in doughs and crusts (1.1 to 1.5). Amino-acid solutions
    do more than double; flour's own buffering and drying hide most of that.

    Units:    pH of the dough at the surface; returns 1 at pH 6
    Range:    ph 3 to 10; else ValueError
    Source:   maillard-literature; grade: from memory
    Spread:   1.1 to 1.5 times for each unit of pH, by its source

    >>> browning_factor_of_ph(6.0), round(browning_factor_of_ph(8.0), 2)
    (1.0, 1.56)
    """
    within("pH", ph, 3.0, 10.0)
    factor: float = 1.25 ** (ph - 6.0)
    return factor


_TANG = ((2.0, "not sour"), (5.0, "faintly tangy"), (12.0, "mildly sour"), (25.0, "clearly sour"))
_SOAP = ((0.35, "clean"), (0.7, "faintly alkaline"), (1.5, "soapy to some"))


def tang_word(sour_species_mmol_per_kg: float) -> str:
    """A word for the sourness of a crumb.

    Units:    mmol per kg (sour_species_mmol_per_kg); returns a word
    Range:    sour_species_mmol_per_kg 0 to 5000 mmol/kg; else ValueError
    Source:   acids taste sour from 1-2 mmol/L in water, a starchy crumb hides some; steps from-memory
    Spread:   an order only: steps of words

    >>> tang_word(0.5), tang_word(6.4), tang_word(40.0)
    ('not sour', 'mildly sour', 'sharply sour')
    """
    within("sour species", sour_species_mmol_per_kg, 0.0, 5000.0, "mmol/kg")
    return next((word for end, word in _TANG if sour_species_mmol_per_kg < end), "sharply sour")


def soapy_word(soapiness: float) -> str:
    """A word for a soapiness index.

    Units:    index (soapiness); returns a word
    Range:    soapiness 0 to 1e6; else ValueError
    Source:   as soapiness
    Spread:   an order only: steps of words

    >>> soapy_word(0.1), soapy_word(1.0), soapy_word(3.0)
    ('clean', 'soapy to some', 'soapy')
    """
    within("soapiness", soapiness, 0.0, 1e6)
    return next((word for end, word in _SOAP if soapiness < end), "soapy")


def ph_word(ph: float) -> str:
    """What a crumb of this pH is called in the trade.

    Units:    pH; returns a word
    Range:    ph 2 to 12; else ValueError
    Source:   cake-ph-tables (from memory): sourdough 4.0-4.8, yeast bread 5.0-6.2, powder goods 6.6-7.6,
              dark cake raised by soda to 8.8
    Spread:   an order only: steps of words

    >>> ph_word(5.5), ph_word(7.2), ph_word(8.5)
    ('mild', 'neutral', 'alkaline')
    """
    within("pH", ph, 2.0, 12.0)
    if ph < 4.9:
        return "sour"
    if ph < 6.5:
        return "mild"
    return "neutral" if ph <= 7.6 else "alkaline"
