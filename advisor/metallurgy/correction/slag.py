"""A slag that is too thick or foams, and a slag with metal in it.

The silicate degree decides where the make-up of the slag is known; otherwise its look, which is practice. Grams
are of soda ash and anhydrous borax: take 1.9 times as much of hydrated borax, 1.6 times as much of bicarbonate.

Sources: C. and J. J. Beringer, A Text-book of Assaying (1904), pp. 17, 91-94, 138; the degree as in ``slag``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.charge.reducing import bismuth_by_lead_g, reductant_for
from advisor.metallurgy.charge.slag import acid_oxygen, base_oxygen
from advisor.metallurgy.charge.tables import ChargeData
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.metals import metal_word
from advisor.metallurgy.common.range_sums import ZERO, positive, total
from advisor.metallurgy.common.rows import SourcedRange, in_words
from advisor.metallurgy.correction.tables import (
    CorrectionTables,
    figure,
    fraction,
    heat_c,
    part_of,
    piece_g,
    plain,
    some_g,
)
from advisor.metallurgy.cupellation.cupel import collector_named, oxide_per_metal
from advisor.units import Range
from advisor.units.substances import molar_mass_g
from advisor.words import tr

FLUX_USED = ("soda_and_borax", "borax_only", "unknown")
_LEAST_MOL = 1e-9


@frozen
class Slag:
    """A slag as it looks, and its make-up where that is known.

    Attributes:
        mass_g: Its mass, in g.
        look: stony_basic, pasty_siliceous, pasty_iron, glassy_stiff, foamy or unknown.
        pot_c: Heat of the pot, in °C.
        flux_used: ``soda_and_borax``, ``borax_only`` or ``unknown``.
        makeup_g: What it was made of, in g by formula: SiO2, Na2B4O7, Na2CO3, FeO, CaO; empty if not known.
    """

    mass_g: Range
    look: str
    pot_c: Range
    flux_used: str = "unknown"
    makeup_g: Mapping[str, Range] = field(default_factory=dict)

    def __post_init__(self) -> None:
        piece_g(tr("The slag"), self.mass_g)
        heat_c(tr("The pot"), self.pot_c)
        if self.flux_used not in FLUX_USED:
            raise InputError(
                tr(
                    "'{flux}' is not a flux known here; known are {fluxes}",
                    flux=self.flux_used[:40],
                    fluxes=", ".join(FLUX_USED),
                )
            )
        for formula, mass in self.makeup_g.items():
            some_g(tr("The {formula} of the slag", formula=formula), mass)

    @property
    def acid_mol(self) -> Range:
        """Acid oxygen, in mol."""
        return total(m.scaled(acid_oxygen(f) / molar_mass_g(f)) for f, m in self.makeup_g.items())

    @property
    def base_mol(self) -> Range:
        """Base oxygen, in mol."""
        return total(m.scaled(base_oxygen(f) / molar_mass_g(f)) for f, m in self.makeup_g.items())

    @property
    def has_degree(self) -> bool:
        """Whether a degree can be computed."""
        return self.base_mol.low > _LEAST_MOL and self.acid_mol.low > _LEAST_MOL


def thin_slag(slag: Slag, tables: CorrectionTables) -> tuple[Figure, ...]:
    """What to add to a slag that does not run.

    Args:
        slag: The slag.
        tables: The figures of the corrections.

    Returns:
        ``borax_to_add_g`` (anhydrous), ``soda_to_add_g`` (soda ash), ``silica_to_add_g``, ``fluorspar_to_add_g``,
        ``flour_to_add_g``, ``target_temperature_c`` and ``time_min``; with a make-up also ``slag_degree`` and
        ``slag_degree_wanted``. With ``borax_only`` no soda is added: twice the book's weight of borax does the
        work of soda.

    Raises:
        InputError: If a mass, a temperature or a word is impossible.

    Example:
        200 g of slag, pasty with quartz: 30 to 100 g of soda ash, likely 60, and about 10 g of borax.

    References:
        Beringer, pp. 17, 91, 93-94, 138. Grams to 1 g of slag are practice.
    """
    look = tables.case("slag", slag.look, tr("a look of a slag"))
    silica = _by_look(slag, look, "silica", tr("clean quartz sand"), tables)
    soda = _by_look(slag, look, "soda", tr("soda ash"), tables)
    borax = _by_look(slag, look, "borax", tr("anhydrous borax"), tables)
    degrees: tuple[Figure, ...] = ()
    if slag.has_degree and look != "foamy":
        wanted = tables.at("slag", "any", "degree_wanted")
        soda, silica, degrees = _by_degree(slag, wanted)
    if slag.flux_used == "borax_only":
        soda, borax = _borax_for_soda(soda, borax, tables.at("slag", "any", "borax_for_soda"))
    return (
        borax,
        soda,
        silica,
        _by_look(slag, look, "fluorspar", tables.notes["fluorspar_eats_clay"].said(), tables),
        _by_look(slag, look, "flour", tables.notes["flour_for_red_iron"].said(), tables),
        _target(slag, look, tables),
        plain("time_min", tr("time before it is poured"), tables.at("slag", "any", "time_min"), "min"),
        *degrees,
    )


def _by_look(slag: Slag, look: str, flux: str, title: str, tables: CorrectionTables) -> Figure:
    part = tables.or_none("slag", look, f"{flux}_per_g")
    return part_of(
        f"{flux}_to_add_g",
        title,
        slag.mass_g,
        part,
        tr("slag"),
        tr("by its look ({look}), not by its make-up", look=look),
    )


def _by_degree(slag: Slag, wanted: SourcedRange) -> tuple[Figure, Figure, tuple[Figure, ...]]:
    """Soda and silica that bring the slag to the degree wanted, and both degrees."""
    acid, base = slag.acid_mol, slag.base_mol
    soda = positive(acid / wanted.amount - base).scaled(molar_mass_g("Na2CO3") / base_oxygen("Na2CO3"))
    silica = positive(base * wanted.amount - acid).scaled(molar_mass_g("SiO2") / acid_oxygen("SiO2"))
    found = acid / base
    degrees = tr("degree {found}, wanted {wanted}", found=in_words(found, ""), wanted=in_words(wanted.amount, ""))
    how = tr("{degrees}; by the make-up, oxygen of acids over bases", degrees=degrees)
    return (
        figure("soda_to_add_g", tr("soda ash"), soda, "g", how, "calculation", wanted.source),
        figure("silica_to_add_g", tr("clean quartz sand"), silica, "g", how, "calculation", wanted.source),
        (
            figure("slag_degree", tr("degree of the slag"), found, "", how, "calculation"),
            figure("slag_degree_wanted", tr("degree wanted"), wanted.amount, "", tr("table"), wanted.source),
        ),
    )


def _borax_for_soda(soda: Figure, borax: Figure, ratio: SourcedRange) -> tuple[Figure, Figure]:
    """No soda at hand: borax does its work, worse."""
    more = soda.amount * ratio.amount
    how = tr(
        "{how}; and {more} in place of soda, {ratio} for 1 g",
        how=borax.how,
        more=in_words(more, "g"),
        ratio=in_words(ratio.amount, "g"),
    )
    return (
        figure(soda.name, soda.title, ZERO, "g", tr("only borax is used here"), "practice"),
        figure(borax.name, borax.title, borax.amount + more, "g", how, borax.source, ratio.source),
    )


def _target(slag: Slag, look: str, tables: CorrectionTables) -> Figure:
    rise, least, most = (
        tables.at("slag", look, "rise_c"),
        tables.at("slag", "any", "least_c"),
        tables.at("slag", "any", "most_c"),
    )
    amount = (slag.pot_c + rise.amount).most(least.amount).least(most.amount)
    how = tr(
        "{pot} + {rise}, at least {least}, at most {most}",
        pot=in_words(slag.pot_c, "C"),
        rise=in_words(rise.amount, "C"),
        least=in_words(least.amount, "C"),
        most=in_words(most.amount, "C"),
    )
    return figure("target_temperature_c", tr("heat to reach"), amount, "C", how, rise.source, least.source, most.source)


def slag_shot(
    slag_g: Range, shot_share: Range, collector: str, tables: CorrectionTables, charge: ChargeData
) -> tuple[Figure, ...]:
    """A slag with beads of metal in it, ground and melted again with a little collector.

    Args:
        slag_g: The slag, in g.
        shot_share: Metal in it, as a fraction of its mass.
        collector: ``lead`` or ``bismuth``.
        tables: The figures of the corrections.
        charge: The figures of the smelting charge.

    Returns:
        ``collector_g`` as metal, ``collector_oxide_g`` to weigh, ``flour_g`` or ``charcoal_g`` (one of them),
        ``borax_g`` (anhydrous), ``shot_g``, ``expected_metal_g``, ``temperature_c`` and ``time_min``.

    Raises:
        InputError: If a mass, a share or a word is impossible.

    Example:
        120 g of gold slag: 40 to 52 g of litharge with 3 to 4 g of flour; the book takes 40 and 4 (Beringer, p.
        138).

    References:
        Beringer, pp. 91, 94 and 138. For bismuth practice.
    """
    slag, share, name = (
        piece_g(tr("The slag"), slag_g),
        fraction(tr("The share of shots"), shot_share),
        collector_named(collector),
    )
    metal, oxide, source = _cleaning_collector(slag, name, tables)
    as_lead = metal if name == "lead" else metal / bismuth_by_lead_g(Range.exact(1.0))
    agents = (reductant_for(as_lead, charge.reductants[agent]) for agent in ("flour", "charcoal"))
    shot, gathered = slag * share, tables.at("shot", "any", "gathered_share")
    expected = (shot + metal) * gathered.amount
    note = tables.notes["bismuth_no_ratio" if name == "bismuth" else "gold_slag_cleaned"].said()
    how = tr(
        "({shot} of shots + {metal} of {collector}) x {gathered}",
        shot=in_words(shot, "g"),
        metal=in_words(metal, "g"),
        collector=metal_word(name),
        gathered=in_words(gathered.amount, ""),
    )
    return (
        figure(
            "collector_g",
            tr("{collector}, as metal", collector=metal_word(name)),
            metal,
            "g",
            tr("{slag} of slag; {note}", slag=in_words(slag, "g"), note=note),
            source,
        ),
        figure(
            "collector_oxide_g",
            tr("{collector} oxide that gives it", collector=metal_word(name)),
            oxide,
            "g",
            tables.notes["one_reductant"].said(),
            source,
        ),
        *agents,
        part_of("borax_g", tr("anhydrous borax"), slag, tables.at("shot", "any", "borax_per_g"), tr("slag")),
        figure(
            "shot_g",
            tr("metal in the slag"),
            shot,
            "g",
            f"{in_words(slag, 'g')} x {in_words(share, '')}",
            "calculation",
        ),
        figure("expected_metal_g", tr("button to expect"), expected, "g", how, gathered.source, source),
        plain("temperature_c", tr("heat of the melt"), tables.at("shot", "any", "temperature_c"), "C"),
        plain("time_min", tr("time of the melt"), tables.at("shot", "any", "time_min"), "min"),
    )


def _cleaning_collector(slag: Range, collector: str, tables: CorrectionTables) -> tuple[Range, Range, str]:
    """Collector metal and its oxide for a slag, and where that comes from."""
    if collector == "lead":
        litharge = tables.at("shot", "lead", "litharge_per_g")
        oxide = slag * litharge.amount
        return oxide.scaled(1 / oxide_per_metal("PbO", "Pb")), oxide, litharge.source
    bismuth = tables.at("shot", "bismuth", "collector_per_g")
    metal = slag * bismuth.amount
    return metal, metal.scaled(oxide_per_metal("Bi2O3", "Bi")), bismuth.source
