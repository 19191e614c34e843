"""From conclusions to advice: weighed amounts, a numbered plan, hazards with controls, what to expect."""

from advisor.planning.advice import Advice
from advisor.planning.building import build_advice

__all__ = ["Advice", "build_advice"]
