"""The page that says how to install from a kit: one HTML file that stands by itself."""

from __future__ import annotations

from advisor.document import part
from advisor.present.pages.html import environment


@part
class KitPage:
    """What the page says.

    Attributes:
        version: The version of the program.
        wheels: The folder of wheels in the kit.
        name: What the program is called where it is installed.
        systems: The systems that it is for; empty where it is for the system that it was made on.
        pythons: The versions of Python that it is for.
        prints: Pages to print, with what they are called, by their place in the kit.
        forms: Forms to fill in, in the same way.
    """

    version: str
    wheels: str
    name: str
    systems: tuple[str, ...]
    pythons: tuple[str, ...]
    prints: dict[str, str]
    forms: dict[str, str]


def kit_html(page: KitPage) -> str:
    """The whole page as an HTML document."""
    return environment().get_template("kit.html.j2").render(page=page)
