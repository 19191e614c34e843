"""What is in the concentrate: mineral masses from eye estimates, from displaced water, or from an assay."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import ZERO, cited, complement, positive, total
from advisor.metallurgy.common.rows import Rows, in_words, text
from advisor.metallurgy.concentrate.minerals import Mineral
from advisor.metallurgy.concentrate.mixtures import heavy_share, mass_shares
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.units.substances import Reaction, atoms, mass_fraction
from advisor.words import tr

_ASSAY_MAY_ADD_UP_TO = 1.03
_OXIDES_OF_ASSAY = {"SiO2": "Si", "CaO": "Ca", "TiO2": "Ti"}


@frozen
class MineralMass:
    """How much of one mineral there is.

    Attributes:
        mineral: The mineral.
        mass_g: Its mass, g.
    """

    mineral: Mineral
    mass_g: Range


@frozen
class Trial:
    """What a trial fusion told: the lead that a little of the concentrate threw down from litharge to spare.

    Attributes:
        lead: Lead to 1 g of concentrate, g, less what oxides in it keep up; its gold is not counted, its galena is.
        soda_ash: Soda ash to 1 g of concentrate in the trial, g.
        how: How it was found, in words.
        source: Where the way comes from.
    """

    lead: Range
    soda_ash: float
    how: str
    source: str


@frozen
class Concentrate:
    """A dry concentrate as minerals.

    Attributes:
        dry_mass_g: Its dry mass, g.
        minerals: The minerals with their masses; the middle values make up the dry mass.
        how: How the masses were found.
        source: Where the densities and formulas come from.
        raw_mass_g: After a roast, the dry mass before it, g.
        trial: What a trial fusion of it told; None without one.
    """

    dry_mass_g: Range
    minerals: tuple[MineralMass, ...]
    how: str
    source: str
    raw_mass_g: Range | None = None
    trial: Trial | None = None

    def mass_g(self, *names: str) -> Range:
        """Mass of one mineral, or of several together, g."""
        return total(part.mass_g for part in self.minerals if part.mineral.name in names)

    def kind_g(self, *kinds: str) -> Range:
        """Mass of all minerals of some kinds, g."""
        return total(part.mass_g for part in self.minerals if part.mineral.kind in kinds)

    def unaccounted_g(self) -> Range:
        """What is in the sample beside the minerals named, g."""
        return positive(self.dry_mass_g - total(part.mass_g for part in self.minerals))

    def scaled(self, factor: float) -> Concentrate:
        """The same material in another amount."""
        parts = tuple(MineralMass(part.mineral, part.mass_g.scaled(factor)) for part in self.minerals)
        raw = self.raw_mass_g.scaled(factor) if self.raw_mass_g is not None else None
        return Concentrate(self.dry_mass_g.scaled(factor), parts, self.how, self.source, raw, self.trial)

    def figures(self) -> tuple[Figure, ...]:
        """The mass of each mineral, for documents."""
        return tuple(
            Figure(f"{part.mineral.name}_g", part.mineral.title, part.mass_g, "g", self.how, part.mineral.source)
            for part in self.minerals
        )


def by_masses(minerals: Mapping[str, Mineral], masses_g: Mapping[str, Range]) -> Concentrate:
    """A concentrate whose mineral masses are known.

    Args:
        minerals: The minerals, by name.
        masses_g: Mass of each, g.

    Raises:
        InputError: If a mineral is unknown, a mass is below zero, or nothing is there.
    """
    parts = []
    for name, mass_g in masses_g.items():
        range_within(tr("The mass of {name}", name=name), mass_g, "g", 0.0)
        parts.append(MineralMass(_known(minerals, name), mass_g))
    whole = total(mass_g for mass_g in masses_g.values())
    if whole.likely <= 0.0:
        raise InputError(tr("the concentrate weighs nothing; give at least one mineral with a mass above zero"))
    return Concentrate(whole, tuple(parts), tr("masses as given"), _sources(parts))


def by_volume_shares(minerals: Mapping[str, Mineral], shares: Mapping[str, Range], dry_mass_g: Range) -> Concentrate:
    """Mineral masses from shares by volume, as judged in the pan or under the loupe.

    mass = dry mass x (volume share x density) / sum of (volume share x density).

    Args:
        minerals: The minerals, by name.
        shares: Share by volume of each, 0 to 1; the middle values must make 1 to within a tenth.
        dry_mass_g: Dry mass, g.

    Returns:
        The concentrate; the ends of each mass use the ends of the shares and densities.

    Raises:
        InputError: If a mineral is unknown, the shares do not make up the whole, or the mass is not above zero.
    """
    _heavy_enough(dry_mass_g)
    densities = {name: _known(minerals, name).density for name in shares}
    by_mass = mass_shares({name: (band, densities[name]) for name, band in shares.items()})
    how = tr(
        "{dry_mass} dry, times volume share times density over the sum of these", dry_mass=in_words(dry_mass_g, "g")
    )
    return _parted(minerals, by_mass, dry_mass_g, how)


def by_displaced_water(
    minerals: Mapping[str, Mineral],
    heavy: str,
    light: str,
    dry_mass_g: Range,
    displaced_ml: Range,
    known_g: Mapping[str, Range] | None = None,
) -> Concentrate:
    """Mineral masses from the dry mass and the water it displaces.

    Two minerals are unknown; the masses of others may be given (gold picked out, magnetite lifted off).

    Args:
        minerals: The minerals, by name.
        heavy: Name of the heavier unknown mineral.
        light: Name of the lighter one.
        dry_mass_g: Dry mass, g.
        displaced_ml: Water displaced, ml at room temperature.
        known_g: Masses already known, g.

    Returns:
        The concentrate. Air bubbles and damp make the light mineral come out too high.

    Raises:
        InputError: If the density lies outside the two minerals or more is known than there is.
    """
    _heavy_enough(dry_mass_g)
    range_within(tr("The displaced water"), displaced_ml, "ml", 0.01)
    known = {name: (_known(minerals, name), mass) for name, mass in (known_g or {}).items()}
    left_g = dry_mass_g - total(mass for _, mass in known.values())
    left_ml = displaced_ml - total(mass / mineral.density for mineral, mass in known.values())
    if left_g.low <= 0.0 or left_ml.low <= 0.0:
        raise InputError(tr("the known minerals fill the whole sample; give smaller masses for them"))
    share = heavy_share(left_g / left_ml, _known(minerals, heavy).density, _known(minerals, light).density)
    parts = [MineralMass(mineral, mass) for mineral, mass in known.values()]
    parts.append(MineralMass(minerals[heavy], left_g * share))
    parts.append(MineralMass(minerals[light], left_g * complement(share)))
    density = format_number(left_g.likely / left_ml.likely)
    how = tr(
        "density {density} g/ml parted between {heavy} and {light}",
        density=density,
        heavy=minerals[heavy].title,
        light=minerals[light].title,
    )
    source = cited("beringer-1904, p. 85", _sources(parts))
    return Concentrate(dry_mass_g, tuple(parts), how, source)


def by_assay(
    minerals: Mapping[str, Mineral], order: Rows, assay: Mapping[str, Range], dry_mass_g: Range
) -> Concentrate:
    """Mineral masses from an assay by element.

    Each element of the table is turned into its mineral in turn; the mineral takes its other elements along.

    Args:
        minerals: The minerals, by name.
        order: Rows of the table ``assay_minerals``.
        assay: Share by weight of each element (or of SiO2, CaO, TiO2), 0 to 1.
        dry_mass_g: Dry mass, g.

    Returns:
        The concentrate; what the assay does not account for is left out of the minerals.

    Raises:
        InputError: If a share is impossible, an element is not known here, or the minerals weigh more than
            the sample.
    """
    _heavy_enough(dry_mass_g)
    left = _elements(assay, {text(row, "element") for row in order})
    shares: dict[str, Range] = {}
    for row in order:
        element, mineral = text(row, "element"), _known(minerals, text(row, "mineral"))
        amount = left.get(element, ZERO).scaled(1.0 / mass_fraction(mineral.formula, element))
        if amount.high > 0.0:
            shares[mineral.name] = amount
            for other in atoms(mineral.formula):
                taken = amount.scaled(mass_fraction(mineral.formula, other))
                left[other] = positive(left.get(other, ZERO) - taken)
    whole = sum(share.likely for share in shares.values())
    if not 0.0 < whole <= _ASSAY_MAY_ADD_UP_TO:
        raise InputError(
            tr(
                "the assay makes up {whole:.0%} of the sample as minerals; between 1 and 100 % is possible, so check "
                "the assay and its units (write 0.12 for 12 %)",
                whole=whole,
            )
        )
    how = tr("{dry_mass} dry, each element turned into its mineral by formula", dry_mass=in_words(dry_mass_g, "g"))
    return _parted(minerals, shares, dry_mass_g, how)


def roasted(concentrate: Concentrate, minerals: Mapping[str, Mineral], reactions: Rows) -> Concentrate:
    """What a complete roast leaves of a concentrate.

    Args:
        concentrate: The raw concentrate.
        minerals: All minerals, by name; each solid product must be the formula of one of them.
        reactions: Rows of the table ``roasting``.

    Returns:
        The roasted material. Real roasts leave some sulphide and lose some dust; weigh what you have.
    """
    reaction_of = {text(row, "mineral"): Reaction.parse(text(row, "reaction")) for row in reactions}
    by_formula = {mineral.formula: mineral for mineral in minerals.values()}
    masses: dict[str, Range] = {}
    left = concentrate.dry_mass_g
    for part in concentrate.minerals:
        formula = part.mineral.formula
        kept = 0.0
        reaction = reaction_of[part.mineral.name]
        for product in reaction.right:
            if product in by_formula:
                grams = reaction.made_per_gram(product, formula)
                name = by_formula[product].name if product != formula else part.mineral.name
                kept += grams
                masses[name] = masses.get(name, ZERO) + part.mass_g.scaled(grams)
        left = left - part.mass_g.scaled(1.0 - kept)
    whole = by_masses(minerals, masses)
    raw = concentrate.raw_mass_g or concentrate.dry_mass_g
    # What is left of a known mass is known better than the sum of minerals that are not.
    summed = whole.dry_mass_g
    low, high = max(left.low, summed.low), min(left.high, summed.high)
    dry_mass_g = Range(min(low, summed.likely), summed.likely, max(high, summed.likely))
    return Concentrate(dry_mass_g, whole.minerals, tr("complete roast, by formula"), whole.source, raw)


def _elements(assay: Mapping[str, Range], known: set[str]) -> dict[str, Range]:
    result: dict[str, Range] = {}
    for name, amount in assay.items():
        range_within(tr("The share of {name} in the assay", name=name), amount, "", 0.0, 1.0)
        element = _OXIDES_OF_ASSAY.get(name, name)
        if element not in known:
            raise InputError(
                tr(
                    "the assay names {name}, which is of no use here; known are {names}",
                    name=name,
                    names=", ".join(sorted(known)),
                )
            )
        result[element] = amount.scaled(mass_fraction(name, element))
    return result


def _parted(minerals: Mapping[str, Mineral], shares: Mapping[str, Range], dry_mass_g: Range, how: str) -> Concentrate:
    parts = tuple(MineralMass(_known(minerals, name), dry_mass_g * part) for name, part in shares.items())
    return Concentrate(dry_mass_g, parts, how, _sources(parts))


def _known(minerals: Mapping[str, Mineral], name: str) -> Mineral:
    if name not in minerals:
        raise InputError(
            tr(
                "there is no mineral '{name}'; known are {minerals}",
                name=name[:40],
                minerals=", ".join(sorted(minerals)),
            )
        )
    return minerals[name]


def _heavy_enough(dry_mass_g: Range) -> None:
    range_within(tr("The dry mass"), dry_mass_g, "g", 0.001)


def _sources(parts: Iterable[MineralMass]) -> str:
    return cited(*(part.mineral.source for part in parts))
