"""Models that a user adds: `models`."""

from __future__ import annotations

from rehearse.cli.common import Commands, add, later


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    models = add(commands, "models", "List, add and question the models of this machine.")
    kinds = models.add_subparsers(dest="models_command", required=True, metavar="WHAT")
    listing = add(kinds, "list", "What is there, and what can be added.")
    listing.set_defaults(run=later("models_acts:list_"))
    adding = add(kinds, "add", "Fetch a model from the net, check it and put it in its place.")
    adding.add_argument("name", metavar="NAME", help="a model that 'models list' shows, as vosk-en")
    adding.set_defaults(run=later("models_acts:add_"))
    words = add(kinds, "words", "Words of procedures that an added model does not know.")
    words.add_argument(
        "names", nargs="*", metavar="PROCEDURE", help="only these; all of its language if none"
    )
    words.add_argument(
        "--language", metavar="CODE", help="only the model of this language, as en or ko"
    )
    words.set_defaults(run=later("models_acts:words_"))
