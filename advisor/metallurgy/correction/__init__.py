"""What puts a bad piece right, in grams, degrees and minutes.

For others: ``calculator`` (all corrections as computations) and ``tables``. The corrections stand by what they treat:
``bead``, ``fineness``, ``cupel``, ``bar``, ``smelt``, ``slag`` and ``scale``.
"""
