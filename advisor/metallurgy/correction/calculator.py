"""The corrections that a diagnosis offers for one piece: what each asks for and what it works out.

Amounts come as ranges; one that nobody knows comes as a wide range. Most words know ``unknown``.
"""

from __future__ import annotations

from collections.abc import Callable

from advisor.metallurgy.charge.tables import charge_data
from advisor.metallurgy.common.document import Result
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.correction.bar import borax_clean, brittle_metal
from advisor.metallurgy.correction.bead import Bead, copper_button, dull_bead
from advisor.metallurgy.correction.cupel import FirstCupel, frozen_cupel, second_cupel
from advisor.metallurgy.correction.fineness import FinenessCorrection, low_fineness
from advisor.metallurgy.correction.scale import LostGold, lost_gold, scale_check
from advisor.metallurgy.correction.slag import FLUX_USED, Slag, slag_shot, thin_slag
from advisor.metallurgy.correction.smelt import HeldCharge, Matte, matte_iron, reheat_charge, speiss
from advisor.metallurgy.correction.tables import correction_tables
from advisor.metallurgy.cupellation.tables import cupellation_tables
from advisor.units import Range
from advisor.words import tr

_NONE = Range.exact(0.0)
_COLLECTORS = ("lead", "bismuth")
_CUPELS = ("bone_ash", "magnesia", "cement", "unknown")


def _correction(
    name: str,
    title: str,
    inputs: tuple[Input | Callable[[Tables], Input], ...],
    outputs: tuple[str, ...],
    work: Callable[[Tables, Inputs], tuple[Figure, ...]],
    sometimes: tuple[str, ...] = (),
) -> Computation:
    """A correction: one result, and no command of its own. An input may come from the tables."""

    def wanted(tables: Tables) -> tuple[Input, ...]:
        return tuple(one if isinstance(one, Input) else one(tables) for one in inputs)

    def calculate(tables: Tables, given: Inputs) -> tuple[Result, ...]:
        return (Result(title, work(tables, given)),)

    return Computation(name, title, wanted, calculate, outputs, sometimes, command=False)


def _amount(name: str, title: str, example: str, unit: str, otherwise: Range | None = None) -> Input:
    required = otherwise is None
    return Input(name, title, "amount", f"{name}={example}", unit=unit, required=required, otherwise=otherwise)


def _assumed(name: str, title: str, example: str, unit: str, what: str) -> Callable[[Tables], Input]:
    """An amount for which a row of the rules stands where nobody measured it."""
    return lambda tables: _amount(name, title, example, unit, tables.assumed(what))


def _mass(name: str, title: str, otherwise: Range | None = None) -> Input:
    return _amount(name, title, "10g", "g", otherwise)


def _word(name: str, title: str, options: tuple[str, ...], otherwise: str | None = None) -> Input:
    required = otherwise is None
    return Input(name, title, "choice", f"{name}={options[0]}", options=options, required=required, otherwise=otherwise)


_COLLECTOR = _word("collector", tr("collector"), _COLLECTORS)
_CUPEL = _word("cupel_kind", tr("what the cupel is made of"), _CUPELS, "unknown")
_LARGEST = _mass("largest_cupel_mass_g", tr("weight of the largest cupel at hand"), _NONE)
_CUPEL_AGAIN = ("cupel_mass_g", "cupels_pieces", "time_min")


def _dull_bead(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    bead = Bead(
        given.amount("bead_mass_g"),
        given.word("bead_look"),
        given.word("cupel_stain"),
        given.amount("gold_share"),
        given.word("cupel_kind"),
        given.amount("largest_cupel_mass_g"),
    )
    return dull_bead(bead, given.word("collector"), tables.once(correction_tables), tables.once(cupellation_tables))


def _second_cupel(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    cupels = FirstCupel(
        given.word("cupel_kind"), given.amount("first_cupel_mass_g"), given.amount("largest_cupel_mass_g")
    )
    return second_cupel(given.amount("button_mass_g"), given.word("collector"), cupels, tables.once(cupellation_tables))


def _frozen_cupel(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    return frozen_cupel(
        given.amount("button_mass_g"),
        given.amount("temperature_c"),
        given.word("collector"),
        tables.once(correction_tables),
        tables.once(cupellation_tables),
        given.word("cupel_kind"),
    )


def _matte_iron(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    matte = Matte(given.amount("matte_mass_g"), given.word("matte_kind"), given.amount("slag_mass_g"))
    return matte_iron(matte, given.word("collector"), tables.once(correction_tables), tables.once(charge_data))


_MAKEUP = {
    "slag_silica_g": "SiO2",
    "slag_borax_g": "Na2B4O7",
    "slag_soda_g": "Na2CO3",
    "slag_iron_oxide_g": "FeO",
    "slag_lime_g": "CaO",
}


def _thin_slag(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    slag = Slag(
        given.amount("slag_mass_g"),
        given.word("slag_look"),
        given.amount("pot_temperature_c"),
        given.word("flux_used"),
        {formula: given.amount(name) for name, formula in _MAKEUP.items()},
    )
    return thin_slag(slag, tables.once(correction_tables))


def _slag_shot(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    return slag_shot(
        given.amount("slag_mass_g"),
        given.amount("shot_share"),
        given.word("collector"),
        tables.once(correction_tables),
        tables.once(charge_data),
    )


def _brittle_metal(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    return brittle_metal(
        given.amount("metal_mass_g"),
        given.word("suspected"),
        given.word("collector"),
        tables.once(correction_tables),
        tables.once(cupellation_tables),
        given.word("cupel_kind"),
    )


def _borax_clean(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    return borax_clean(given.amount("metal_mass_g"), given.amount("dirt_mass_g"), tables.once(correction_tables))


def _scale_check(tables: Tables, given: Inputs) -> tuple[Figure, ...]:  # noqa: ARG001 - every one has the same signature
    return scale_check(*(given.amount(name) for name in ("mass_weighed_g", "scale_step_g", "mass_expected_g")))


def _lost_gold(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    lost = LostGold(
        expected_g=given.amount("gold_expected_g"),
        found_g=given.amount("gold_found_g"),
        slag_g=given.amount("slag_mass_g"),
        cupel_g=given.amount("cupel_mass_g"),
        collector_used_g=given.amount("collector_used_g"),
        collector=given.word("collector"),
        silver_g=given.amount("silver_g"),
    )
    return lost_gold(lost, tables.once(correction_tables), tables.once(cupellation_tables))


def _low_fineness(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    fineness = FinenessCorrection(
        given.in_unit("fineness_permille"), given.in_unit("fineness_wanted_permille"), given.amount("silver_share")
    )
    return low_fineness(
        given.amount("bead_mass_g"),
        fineness,
        given.word("collector"),
        tables.once(correction_tables),
        tables.once(cupellation_tables),
        given.word("cupel_kind"),
    )


def _copper_button(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    return copper_button(
        given.amount("button_mass_g"),
        given.amount("copper_share"),
        given.word("collector"),
        tables.once(correction_tables),
        tables.once(cupellation_tables),
        given.word("cupel_kind"),
    )


def _speiss(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    return speiss(given.amount("speiss_mass_g"), tables.once(correction_tables))


def _reheat_charge(tables: Tables, given: Inputs) -> tuple[Figure, ...]:
    held = HeldCharge(
        given.amount("charge_mass_g"),
        given.amount("temperature_c"),
        given.amount("time_in_min"),
        given.word("charge_state"),
    )
    return reheat_charge(held, tables.once(correction_tables))


CORRECTIONS = (
    _correction(
        "dull_bead",
        tr("a bead that is dull, matt, coppery or blackened"),
        (
            _mass("bead_mass_g", tr("weight of the bead")),
            _word(
                "bead_look", tr("look of the bead"), ("shiny", "dull", "matt_crust", "coppery", "blackened", "unknown")
            ),
            _word(
                "cupel_stain",
                tr("stain of the cupel when cold"),
                ("none", "yellow", "green", "brown_black", "grey", "pink", "unknown"),
                "unknown",
            ),
            _COLLECTOR,
            _assumed("gold_share", tr("gold in the bead"), "10%", "%", "gold_in_bead"),
            _CUPEL,
            _LARGEST,
        ),
        (
            "base_metal_share",
            "collector_to_add_g",
            *_CUPEL_AGAIN,
            "cupel_temperature_c",
            "finish_temperature_c",
            "gold_loss_extra_g",
        ),
        _dull_bead,
    ),
    _correction(
        "second_cupel",
        tr("a button too heavy for its cupel"),
        (
            _mass("button_mass_g", tr("weight of the button before the first cupel")),
            _COLLECTOR,
            _CUPEL,
            _mass("first_cupel_mass_g", tr("weight of the cupel that is full"), _NONE),
            _LARGEST,
        ),
        (
            "cupel_mass_g",
            "share_taken_by_first",
            "collector_left_g",
            "cupel_mass_for_rest_g",
            "pieces",
            "pieces_for_rest",
        ),
        _second_cupel,
    ),
    _correction(
        "frozen_cupel",
        tr("a button that froze on its cupel"),
        (
            _mass("button_mass_g", tr("weight of the button")),
            _assumed("temperature_c", tr("heat of the muffle as it froze"), "1000C", "C", "heat"),
            _COLLECTOR,
            _CUPEL,
        ),
        ("restart_temperature_c", "heat_to_gain_c", "drive_temperature_c", "collector_to_add_g", "time_min"),
        _frozen_cupel,
        ("bath_uncovers_c", "air_uncovers_c", "air_drives_c", "silver_finish_least_c"),
    ),
    _correction(
        "matte_iron",
        tr("a layer of matte between slag and metal"),
        (
            _mass("matte_mass_g", tr("weight of the matte")),
            _word("matte_kind", tr("kind of matte"), ("iron", "copper", "lead", "mixed", "unknown")),
            _COLLECTOR,
            _mass("slag_mass_g", tr("slag that is melted with it"), _NONE),
        ),
        (
            "iron_to_add_g",
            "iron_rod_g",
            "metal_set_free_g",
            "sulphide_to_hide_g",
            "soda_to_add_g",
            "silica_to_add_g",
            "borax_to_add_g",
            "matte_it_can_hold_g",
            "roast_first",
            "collector_g",
            "temperature_c",
            "time_min",
        ),
        _matte_iron,
    ),
    _correction(
        "thin_slag",
        tr("a slag that is stiff, pasty, stony or foaming"),
        (
            _mass("slag_mass_g", tr("weight of the slag")),
            _word(
                "slag_look",
                tr("look of the slag"),
                ("stony_basic", "pasty_siliceous", "pasty_iron", "glassy_stiff", "foamy", "unknown"),
            ),
            _assumed("pot_temperature_c", tr("heat of the pot"), "1000C", "C", "heat"),
            _word("flux_used", tr("fluxes that are used"), FLUX_USED, "unknown"),
            _mass("slag_silica_g", tr("silica in it, if known"), _NONE),
            _mass("slag_borax_g", tr("anhydrous borax in it, if known"), _NONE),
            _mass("slag_soda_g", tr("soda ash in it, if known"), _NONE),
            _mass("slag_iron_oxide_g", tr("lower iron oxide in it, if known"), _NONE),
            _mass("slag_lime_g", tr("lime in it, if known"), _NONE),
        ),
        (
            "borax_to_add_g",
            "soda_to_add_g",
            "silica_to_add_g",
            "fluorspar_to_add_g",
            "flour_to_add_g",
            "target_temperature_c",
            "time_min",
        ),
        _thin_slag,
        ("slag_degree", "slag_degree_wanted"),
    ),
    _correction(
        "slag_shot",
        tr("a slag with beads of metal in it"),
        (
            _mass("slag_mass_g", tr("weight of the slag")),
            _assumed("shot_share", tr("metal in the slag, by weight"), "10%", "%", "metal_in_slag"),
            _COLLECTOR,
        ),
        (
            "collector_g",
            "collector_oxide_g",
            "flour_g",
            "charcoal_g",
            "borax_g",
            "shot_g",
            "expected_metal_g",
            "temperature_c",
            "time_min",
        ),
        _slag_shot,
    ),
    _correction(
        "brittle_metal",
        tr("a bar or button that breaks under the hammer"),
        (
            _mass("metal_mass_g", tr("weight of the metal")),
            _word(
                "suspected",
                tr("what is suspected in it"),
                ("bismuth", "lead", "sulphur", "antimony_arsenic", "tellurium", "tin_zinc", "unknown"),
            ),
            _COLLECTOR,
            _CUPEL,
        ),
        ("set_aside_g", "collector_g", "cupel_mass_g", "borax_g", "nitre_g", "bone_ash_g"),
        _brittle_metal,
        ("cupels_pieces", "cupel_time_min", "temperature_c", "time_min"),
    ),
    _correction(
        "borax_clean",
        tr("a bead or bar dirty with slag, scale or cupel"),
        (
            _mass("metal_mass_g", tr("weight of the metal with its dirt")),
            _mass("dirt_mass_g", tr("weight of the dirt, if known"), _NONE),
        ),
        ("borax_g", "silica_g", "temperature_c", "time_min"),
        _borax_clean,
    ),
    _correction(
        "scale_check",
        tr("a weighing that does not agree"),
        (
            _mass("mass_weighed_g", tr("what the scale showed")),
            _mass("scale_step_g", tr("smallest step of the scale")),
            _mass("mass_expected_g", tr("what it should have been")),
        ),
        ("difference_g", "smallest_meaning_difference_g", "within_share", "smallest_meaning_share"),
        _scale_check,
    ),
    _correction(
        "lost_gold",
        tr("gold that is missing"),
        (
            _mass("gold_expected_g", tr("gold expected")),
            _mass("gold_found_g", tr("gold found")),
            _mass("slag_mass_g", tr("weight of the slag"), _NONE),
            _mass("cupel_mass_g", tr("weight of the used cupels"), _NONE),
            _mass("collector_used_g", tr("collector that went into the cupels"), _NONE),
            _word("collector", tr("collector"), _COLLECTORS, "lead"),
            _mass("silver_g", tr("silver that lay with the gold"), _NONE),
        ),
        (
            "missing_g",
            "gold_in_cupel_g",
            "gold_in_slag_g",
            "gold_in_red_iron_slag_g",
            "unexplained_g",
            "unexplained_share",
            "cupel_soda_g",
            "cupel_borax_g",
            "cupel_fluorspar_g",
            "cupel_charcoal_g",
        ),
        _lost_gold,
    ),
    _correction(
        "low_fineness",
        tr("a bead or bar below the fineness wanted"),
        (
            _mass("bead_mass_g", tr("weight of the bead")),
            _amount("fineness_permille", tr("gold in it"), "900permille", "permille"),
            _amount("fineness_wanted_permille", tr("gold wanted"), "900permille", "permille"),
            _COLLECTOR,
            _assumed("silver_share", tr("silver in it"), "10%", "%", "silver_in_bead"),
            _CUPEL,
        ),
        (
            "too_much_g",
            "base_to_remove_g",
            "collector_to_add_g",
            *_CUPEL_AGAIN,
            "reachable_fineness_permille",
            "silver_left_g",
        ),
        _low_fineness,
    ),
    _correction(
        "copper_button",
        tr("a button that is red and hard with copper"),
        (
            _mass("button_mass_g", tr("weight of the button")),
            _amount("copper_share", tr("copper in it"), "10%", "%"),
            _COLLECTOR,
            _CUPEL,
        ),
        (
            "lead_by_silver_table_g",
            "lead_by_gold_table_g",
            "collector_g",
            "number_of_rounds",
            "collector_each_round_g",
            *_CUPEL_AGAIN,
        ),
        _copper_button,
    ),
    _correction(
        "speiss",
        tr("a hard white layer on the metal"),
        (_mass("speiss_mass_g", tr("weight of the layer")),),
        ("set_aside_mass_g",),
        _speiss,
    ),
    _correction(
        "reheat_charge",
        tr("a charge that is not melted through, not quiet or crusted"),
        (
            _mass("charge_mass_g", tr("weight of the charge")),
            _assumed("temperature_c", tr("heat it has"), "1000C", "C", "heat"),
            _assumed("time_in_min", tr("time it has been in the fire"), "30min", "min", "time_heated"),
            _word(
                "charge_state", tr("what it looks like"), ("not_melted", "not_quiet", "crusted", "unknown"), "unknown"
            ),
        ),
        ("more_time_min", "target_temperature_c", "heat_to_gain_c", "borax_to_add_g"),
        _reheat_charge,
    ),
)
