"""Densities of mixtures, and what a density says of the shares in it.

Source of the rules and of the worked examples: C. and J. J. Beringer, A Text-book of Assaying, ninth edition
(1904), pp. 84-86. They hold where mixing changes no volume, as with grains of minerals.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.errors import InputError
from advisor.metallurgy.common.bounds import range_within
from advisor.units import Range
from advisor.words import tr

Band = tuple[Range, Range]
"""Volume share and density of one mineral."""

_SHARES_ADD_UP_WITHIN = 0.1


def heavy_share(mixture: Range, heavy: Range, light: Range) -> Range:
    """Share by weight of the heavier of two minerals, from the density of their mixture.

    Share = H (M - L) / (M (H - L)).

    Args:
        mixture: Density M of the mixture, g/ml.
        heavy: Density H of the heavier mineral, g/ml.
        light: Density L of the lighter mineral, g/ml.

    Returns:
        Share by weight, 0 to 1. It leans hard on the density: one part in a hundred of M moves it by two to
        three.

    Raises:
        InputError: If the minerals are as heavy as each other or the mixture lies outside them.

    Example:
        >>> round(heavy_share(Range.exact(3.0), Range.exact(5.1), Range.exact(2.6)).likely, 3)
        0.272
    """
    for what, density in ((tr("mixture"), mixture), (tr("heavy mineral"), heavy), (tr("light mineral"), light)):
        range_within(tr("The density of the {what}", what=what), density, "g/ml", 0.5, 25.0)
    if heavy.low <= light.high:
        raise InputError(tr("the two minerals are about as heavy as each other; a density cannot part them"))
    if not light.low <= mixture.likely <= heavy.high:
        raise InputError(
            tr(
                "a mixture of {mixture:g} g/ml cannot be made of minerals of {light:g} and "
                "{heavy:g} g/ml; weigh again without air bubbles, or name the minerals again",
                mixture=mixture.likely,
                light=light.likely,
                heavy=heavy.likely,
            )
        )
    low = _heavy_share(mixture.low, heavy.high, light.high)
    likely = _heavy_share(mixture.likely, heavy.likely, light.likely)
    return Range(min(low, likely), likely, max(likely, _heavy_share(mixture.high, heavy.low, light.low)))


def _heavy_share(mixture: float, heavy: float, light: float) -> float:
    return min(1.0, max(0.0, heavy * (mixture - light) / (mixture * (heavy - light))))


def mass_shares(bands: Mapping[str, Band]) -> dict[str, Range]:
    """Shares by weight from shares by volume, with bounds that use that the shares make up the whole.

    Args:
        bands: Volume share (0 to 1) and density (g/ml) of each mineral.

    Returns:
        Share by weight of each. Its low end has this mineral at its least and the heaviest others in its place.

    Raises:
        InputError: If the shares cannot make up the whole.

    Example:
        >>> half = Range.exact(0.5)
        >>> shares = mass_shares({"a": (half, Range.exact(5.0)), "b": (half, Range.exact(2.5))})
        >>> round(shares["a"].likely, 3)
        0.667
    """
    volumes = _whole({name: volume for name, (volume, _) in bands.items()})
    full = {name: (volumes[name], density) for name, (_, density) in bands.items()}
    weight = sum(volume.likely * density.likely for volume, density in full.values())
    result = {}
    for name, (volume, density) in full.items():
        others = [band for other, band in full.items() if other != name]
        likely = volume.likely * density.likely / weight
        low = _extreme_share(volume, density, others, heaviest=True)
        high = _extreme_share(volume, density, others, heaviest=False)
        result[name] = Range(min(low, likely), likely, max(high, likely))
    return result


def _whole(volumes: Mapping[str, Range]) -> dict[str, Range]:
    """The same shares with middle values that add up to one.

    Where the bands allow the whole, the middle values move within them; otherwise all are scaled, if little.
    """
    for name, volume in volumes.items():
        range_within(tr("The volume share of {name}", name=name), volume, "", 0.0, 1.0)
    low = sum(volume.low for volume in volumes.values())
    likely = sum(volume.likely for volume in volumes.values())
    high = sum(volume.high for volume in volumes.values())
    if low <= 1.0 <= high:
        return {name: _moved(volume, 1.0 - likely, high - likely, likely - low) for name, volume in volumes.items()}
    if abs(likely - 1.0) > _SHARES_ADD_UP_WITHIN:
        raise InputError(
            tr(
                "the volume shares add up to {likely:.0%}; name what is missing (often quartz) or lower them until "
                "they make 100 %",
                likely=likely,
            )
        )
    return {name: _capped(volume.scaled(1.0 / likely)) for name, volume in volumes.items()}


def _moved(volume: Range, missing: float, room_above: float, room_below: float) -> Range:
    """The middle value moved up or down by its part of what is missing."""
    if missing > 0.0 and room_above > 0.0:
        likely = volume.likely + missing / room_above * (volume.high - volume.likely)
    elif missing < 0.0 and room_below > 0.0:
        likely = volume.likely + missing / room_below * (volume.likely - volume.low)
    else:
        likely = volume.likely
    return Range(volume.low, min(max(likely, volume.low), volume.high), volume.high)


def _capped(volume: Range) -> Range:
    return Range(min(volume.low, 1.0), min(volume.likely, 1.0), min(volume.high, 1.0))


def _extreme_share(volume: Range, density: Range, others: Sequence[Band], *, heaviest: bool) -> float:
    """Least (with the heaviest others) or greatest (with the lightest others) share by weight of one mineral."""
    most_of_others = sum(other.high for other, _ in others)
    least_of_others = sum(other.low for other, _ in others)
    if heaviest:
        own = max(volume.low, 1.0 - most_of_others) * density.low
        own_volume = max(volume.low, 1.0 - most_of_others)
    else:
        own = min(volume.high, 1.0 - least_of_others) * density.high
        own_volume = min(volume.high, 1.0 - least_of_others)
    filling = _filling_mass(1.0 - own_volume, others, heaviest=heaviest)
    return own / (own + filling) if own + filling > 0.0 else 0.0


def _filling_mass(volume: float, others: Sequence[Band], *, heaviest: bool) -> float:
    """Greatest or least mass with which the others can fill a volume within their bands."""
    weights = [(density.high if heaviest else density.low, band) for band, density in others]
    weights.sort(key=lambda weight: weight[0], reverse=heaviest)
    mass = sum(density * band.low for density, band in weights)
    room = volume - sum(band.low for _, band in weights)
    for density, band in weights:
        taken = min(max(room, 0.0), band.high - band.low)
        mass += taken * density
        room -= taken
    return mass
