"""The rule base as typed objects: reads the YAML, checks it, compiles the conditions. Knows nothing of gold."""
