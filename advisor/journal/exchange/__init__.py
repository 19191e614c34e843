"""The whole journal out of its file and back: as JSON or CSV, an entry at a time, without loss."""

__all__ = ["exporting", "importing", "json_stream"]
