"""The templates that drawings are rendered with."""

from __future__ import annotations

from importlib import resources

from jinja2 import Environment, FunctionLoader, StrictUndefined, Template


def template(package: str, name: str) -> Template:
    """The template of this name in the folder `layout` of a package, its texts escaped."""
    folder = resources.files(package).joinpath("layout")
    environment = Environment(
        loader=FunctionLoader(lambda part: folder.joinpath(part).read_text(encoding="utf-8")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(name)
