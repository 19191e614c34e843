"""The computations that are commands: the module of each, and what help says of it.

Nothing of them is loaded here, so that help is quick. A module gives its ``COMPUTATION``.
"""

from advisor.words import tr

COMMANDS = {
    "concentrate": ("concentrate.calculator", tr("What is in the concentrate, mineral by mineral.")),
    "charge": ("charge.calculator", tr("The smelting charge: planned, or a given one judged.")),
    "trial": ("charge.trial_calculator", tr("Reducing power by a trial fusion; nitre, flour, iron.")),
    "cupel": ("cupellation.calculator", tr("Collector, cupel, heat and bead of a cupellation.")),
    "roast": ("roasting.calculator", tr("Stages and gases of a roast; status 3 for a stop.")),
    "fineness": ("bead.calculator", tr("Fineness of a bead: in water, by assay, or known.")),
    "fume": ("air.calculator", tr("Lead, SO2, As, Sb or ZnO of a plan against limits.")),
    "limits": ("limits.calculator", tr("Measured air, blood lead, leach test against limits.")),
    "usual": ("usual", tr("What is usual: a good cupel, minutes, losses, leavings, buyers.")),
    "balance": ("balance.calculator", tr("Recovery of a separation, or gold in and out.")),
}
