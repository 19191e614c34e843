"""``cupel``: collector, cupel, heat, time and bead of one cupellation."""

from __future__ import annotations

from advisor.errors import InputError
from advisor.metallurgy.common.document import Remark, Result
from advisor.metallurgy.common.inputs import Input, Inputs
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.computation import Computation
from advisor.metallurgy.cupellation.metals import CupelAtHand, CupelCharge
from advisor.metallurgy.cupellation.plan import CupellationPlan, plan_cupellation
from advisor.metallurgy.cupellation.tables import BeadSign, cupellation_tables
from advisor.units import Range
from advisor.words import tr

_NOTHING = Range.exact(0.0)
_PRECIOUS = ("gold", "silver", "parting_silver")
_SIZES = {"small": tr("small"), "ordinary": tr("ordinary"), "large": tr("large")}


def cupel_inputs(tables: Tables) -> tuple[Input, ...]:
    """The inputs of a cupellation."""
    materials = tables.names("cupel_materials", "material")
    return (
        Input(
            "metals",
            tr("mass of each metal on the cupel; parting_silver is silver that was added so that acid can part it"),
            "amounts",
            "metals.gold=12g metals.parting_silver=30g",
            unit="g",
        ),
        Input("button", tr("or: mass of the button"), "amount", "button=15g", unit="g"),
        Input("shares", tr("with button: share of each metal by weight"), "amounts", "shares.gold=80%", unit="%"),
        Input("collector", tr("collector"), "choice", "collector=bismuth", options=("lead", "bismuth"), required=True),
        Input("material", tr("cupel material"), "choice", "material=bone_ash", options=materials, required=True),
        Input(
            "lead_there",
            tr("lead that is in the button already"),
            "amount",
            "lead_there=20g",
            unit="g",
            otherwise=_NOTHING,
        ),
        Input(
            "bismuth_there",
            tr("bismuth that is in the button already"),
            "amount",
            "bismuth_there=20g",
            unit="g",
            otherwise=_NOTHING,
        ),
        Input("cupel_body", tr("weight of one cupel at hand"), "amount", "cupel_body=40g", unit="g"),
        Input(
            "shop_ratio", tr("your own proven bismuth, g to 1 g of metal"), "amount", "shop_ratio=2 to 3", unit="g/g"
        ),
        Input("hot", tr("whether the muffle runs hotter than needed"), "yes_no", "hot=no"),
    )


def calculate_cupel(tables: Tables, inputs: Inputs) -> tuple[Result, ...]:
    """One cupellation.

    Raises:
        InputError: If the inputs do not fit.
    """
    if inputs.has("metals") == inputs.has("button"):
        raise InputError(tr("give either the metals with their masses, or the button with its shares"))
    charge = _by_masses(inputs) if inputs.has("metals") else _by_shares(inputs)
    body = inputs.amount("cupel_body").likely if inputs.has("cupel_body") else None
    plan = plan_cupellation(
        charge,
        collector=inputs.word("collector"),
        cupel=CupelAtHand(inputs.word("material"), body),
        tables=tables.once(cupellation_tables),
        shop_ratio=inputs.optional("shop_ratio"),
        hot=inputs.yes("hot"),
    )
    return cupel_results(tables, plan)


COMPUTATION = Computation("cupel", tr("Cupellation"), cupel_inputs, calculate_cupel)


def _by_masses(inputs: Inputs) -> CupelCharge:
    metals = inputs.amounts("metals")
    return CupelCharge(
        gold_g=metals.get("gold", _NOTHING),
        silver_g=metals.get("silver", _NOTHING),
        parting_silver_g=metals.get("parting_silver", _NOTHING),
        base_g={name: mass for name, mass in metals.items() if name not in _PRECIOUS},
        lead_g=inputs.amount("lead_there"),
        bismuth_g=inputs.amount("bismuth_there"),
    )


def _by_shares(inputs: Inputs) -> CupelCharge:
    if inputs.has("lead_there") or inputs.has("bismuth_there"):
        raise InputError(tr("with button and shares, give lead or bismuth in it as a share"))
    return CupelCharge.from_shares(inputs.amount("button"), inputs.amounts("shares"))


def cupel_results(tables: Tables, plan: CupellationPlan) -> tuple[Result, ...]:
    """A cupellation as it is shown."""
    need = plan.need
    signs = tuple(Remark(kind="sign", text=_sign_words(tables, sign), source=sign.source) for sign in need.signs)
    own = [note for note in plan.notes if note not in need.notes]
    notes = tuple(Remark(kind="note", text=note.said(), source=note.source) for note in (*need.notes, *own))
    collector = Result(
        title=tr("Collector"),
        figures=(need.needed, need.to_add, need.step, need.most, plan.collector_in_all),
        said=(*signs, *notes[: len(need.notes)]),
    )
    cupel = Result(
        title=tr("Cupel"),
        figures=(plan.button, plan.oxide, plan.cupel_mass, plan.cupels),
        said=(
            Remark(kind="step", text=tr("Cupel size: {size}.", size=_SIZES.get(plan.size, ""))),
            *notes[len(need.notes) :],
        ),
    )
    heat = Result(
        title=tr("Heat and time"),
        figures=(plan.open_heat, plan.drive_heat, plan.bead_melting, plan.finish_heat, plan.time),
    )
    out = Result(
        title=tr("What comes out"),
        figures=(plan.bead, plan.gold_loss, plan.silver_loss, *plan.in_air),
        said=(Remark(kind="note", text=tables.notes["losses_are_others"].said()),),
    )
    return (collector, cupel, heat, out)


def _sign_words(tables: Tables, sign: BeadSign) -> str:
    return f"{sign.sign.rstrip('.')}: {sign.means.rstrip('.')}. {tables.notes[f'bead_{sign.action}'].said()}"
