"""How documents look: on one screen, phase by phase, as text, as pages for the wall, in pictures. Nothing here asks."""

__all__ = ["drawing", "pages", "screens", "text"]
