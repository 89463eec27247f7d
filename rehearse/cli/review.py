"""Going through what a position must know, and where two aircraft differ: `review`."""

from __future__ import annotations

from rehearse.cli.common import Commands, add, later
from rehearse.cli.recall import add_answering


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    command = add(
        commands,
        "review",
        "A position's silent review, or what differs between two aircraft.",
    )
    command.add_argument("--aircraft", default="", metavar="ID", help="the aircraft's id")
    command.add_argument("--position", default="", metavar="C4", help="the crew position")
    command.add_argument(
        "--differences", nargs=2, metavar=("HABIT", "HERE"),
        help="two aircraft: where what is right on the first misleads on the second",
    )  # fmt: skip
    command.add_argument("--answers", action="store_true", help="the answers below the questions")
    command.add_argument("--aloud", action="store_true", help="read the review aloud as well")
    command.add_argument(
        "--practise",
        action="store_true",
        help="practise it: each procedure in order, then the questions",
    )
    command.add_argument(
        "--ask", action="store_true", help="with --differences: ask them, and hear the answers"
    )
    add_answering(command)
    command.set_defaults(run=later("review_acts:review_"))
