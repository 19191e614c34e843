"""The computations that are commands: the module of each, and what help says of it.

Nothing of them is loaded here, so that help is quick. A module gives its ``COMPUTATION``.
"""

COMMANDS = {
    "concentrate": ("concentrate.calculator", "What is in the concentrate, mineral by mineral."),
    "charge": ("charge.calculator", "The smelting charge: planned, or a given one judged."),
    "trial": ("charge.trial_calculator", "Reducing power by a trial fusion; nitre, flour, iron."),
    "cupel": ("cupellation.calculator", "Collector, cupel, heat and bead of a cupellation."),
    "roast": ("roasting.calculator", "Stages and gases of a roast; status 3 for a stop."),
    "fineness": ("bead.calculator", "Fineness of a bead: in water, by assay, or known."),
    "fume": ("air.calculator", "Lead, SO2, As, Sb or ZnO of a plan against limits."),
    "limits": ("limits.calculator", "Measured air, blood lead, leach test against limits."),
    "usual": ("usual", "What is usual: a good cupel, minutes, losses, leavings, buyers."),
    "balance": ("balance.calculator", "Recovery of a separation, or gold in and out."),
}
