"""From rule files to entries: YAML, the shape of each entry, and layers laid over each other."""

__all__ = ["entries", "expand_causes", "origins", "refused", "rule_file", "texts", "yaml_reader"]
