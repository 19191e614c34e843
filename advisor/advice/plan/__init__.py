"""Everything that is weighed and computed for one batch or one piece.

Others use the worked-out batch, its routes side by side, and the weights; the rest is how these come about.
"""

__all__ = ["planned_batch", "side_by_side", "weighing"]
