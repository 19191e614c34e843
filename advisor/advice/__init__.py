"""From conclusions to advice: weighed amounts, a numbered plan, hazards with controls, what to expect."""

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice

__all__ = ["Advice", "build_advice"]
