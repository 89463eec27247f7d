"""The records of checks: `records`. What each command does stands in the `records_*` modules."""

from __future__ import annotations

import argparse

from rehearse.cli.common import Commands, add, add_acting, add_programme, add_store, later
from rehearse.cli.people import add_person

VERDICTS = ("said", "incomplete", "wrong", "out_of_order", "not_said", "unclear")
REPORTS = ("person", "class", "check", "own")
KINDS = ("identity", "credential", "remark", "sound")


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    records = add(commands, "records", "Read, overrule, sign, report and keep what was checked.")
    kinds = records.add_subparsers(dest="records_command", required=True, metavar="WHAT")
    _add_reading(kinds)
    _add_judging(kinds)
    _add_retraining(kinds)
    _add_currency(kinds)
    _add_report(kinds)
    _add_proof(kinds)
    _add_upkeep(kinds)
    _add_privacy(kinds)


def _command(kinds: Commands, name: str, text: str, module: str) -> argparse.ArgumentParser:
    command = add(kinds, name, text)
    add_acting(command)
    command.set_defaults(run=later(f"{module}:{name.replace('-', '_')}_"))
    return command


def _add_result(command: argparse.ArgumentParser, nargs: str | None = None) -> None:
    command.add_argument("result", nargs=nargs, metavar="RECORD", help="as 'records list' shows it")


def _add_json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="one JSON object a line")


def _add_reading(kinds: Commands) -> None:
    command = _command(kinds, "list", "Records by time, of one person or of everyone.",
                       "records_listing")  # fmt: skip
    command.add_argument("--person", metavar="STAFFNUMBER", help="of this person only")
    command.add_argument("--on", metavar="DATE", help="of this day only")
    command.add_argument("--unsigned", action="store_true", help="checks that wait for a signature")
    _add_json(command)
    command = _command(kinds, "show", "One record with all that was added to it.",
                       "records_reading")  # fmt: skip
    _add_result(command)
    _add_json(command)
    command = _command(kinds, "listen", "Write a take's sound to a file; that you did is recorded.",
                       "records_reading")  # fmt: skip
    _add_result(command)
    command.add_argument("--purpose", default="", help="why you listen; needed for another's sound")
    command.add_argument("--to", required=True, metavar="FILE", help="a new file, FLAC")


def _add_judging(kinds: Commands) -> None:
    command = _command(kinds, "overrule", "Put your verdict in place of one; both stay.",
                       "records_judging")  # fmt: skip
    _add_result(command)
    command.add_argument("step", metavar="STEP", help="the step's id, as 'records show' has it")
    command.add_argument("verdict", choices=VERDICTS, metavar="VERDICT", help=", ".join(VERDICTS))
    command.add_argument("--reason", required=True, help="why; it stays on record")
    command.add_argument(
        "--correct", action="store_true", help="the record is signed: add a signed correction"
    )
    command = _command(kinds, "remark", "Add a remark to a record.", "records_judging")
    _add_result(command)
    command.add_argument("text", help="the remark")
    command.add_argument("--second", type=float, metavar="S", help="where in the take")
    command = _command(kinds, "mark", "Mark a take a second time without seeing the first marks.",
                       "records_judging")  # fmt: skip
    _add_result(command, "?")
    command.add_argument(
        "--ask", metavar="STAFFNUMBER", help="ask this person for it; the record is closed to them"
    )
    command.add_argument(
        "--verdict",
        nargs="+",
        default=[],
        metavar="STEP=VERDICT",
        help="your verdict on every step; without it you see the take, and not its record",
    )
    command.add_argument("--takes", metavar="FOLDER", help="where takes are kept")
    command = _command(kinds, "agreement", "How far first and second marks agree: Cohen's kappa.",
                       "records_judging")  # fmt: skip
    _add_result(command, "*")
    _add_json(command)
    command = _command(kinds, "sign", "Seal records with your signature, for good.",
                       "records_judging")  # fmt: skip
    _add_result(command, "+")
    command.add_argument(
        "--anyway", action="store_true", help="sign in spite of warnings; they are kept with it"
    )


def _add_retraining(kinds: Commands) -> None:
    retrain = add(kinds, "retrain", "What was failed, and how it was made good.")
    acts = retrain.add_subparsers(dest="retrain_command", required=True, metavar="WHAT")
    command = add(acts, "list", "Retraining entries.")
    add_acting(command)
    command.add_argument("--person", metavar="STAFFNUMBER", help="of this person only")
    command.add_argument("--open", action="store_true", help="those still open")
    command.set_defaults(run=later("records_currency:retrain_list_"))
    command = add(acts, "close", "Close an entry: later passes count again.")
    add_acting(command)
    command.add_argument("entry", metavar="ENTRY", help="as 'records retrain list' shows it")
    command.add_argument("how", help="what was retrained, and by whom")
    command.set_defaults(run=later("records_currency:retrain_close_"))


def _add_currency(kinds: Commands) -> None:
    command = _command(kinds, "due", "What is due, overdue, stale or blocked, and for whom.",
                       "records_currency")  # fmt: skip
    add_programme(command)
    command.add_argument("--on", metavar="DATE", help="on this day, today by default")
    command.add_argument("--person", metavar="STAFFNUMBER", help="for this person only")
    _add_json(command)
    command = _command(kinds, "import", "Take over past results from a CSV file, all or none.",
                       "records_currency")  # fmt: skip
    add_programme(command)
    command.add_argument("file", metavar="FILE", help="columns as programmes/README.md has them")
    command = _command(kinds, "practice", "Record practice takes that were kept.",
                       "records_currency")  # fmt: skip
    command.add_argument("--person", metavar="STAFFNUMBER", help="whose practice; else your own")
    command.add_argument("take", nargs="+", metavar="FOLDER", help="kept takes")


def _add_report(kinds: Commands) -> None:
    command = _command(kinds, "report", "A report as PDF, CSV, JSON, text or picture.",
                       "records_reports")  # fmt: skip
    command.add_argument(
        "report",
        choices=REPORTS,
        help="person: a training record; class: a day's sheet; check: one record; "
        "own: a trainee's own page",
    )
    command.add_argument(
        "about",
        nargs="?",
        default="",
        metavar="OF",
        help="a staff number; a RECORD for check; the title for class",
    )
    add_programme(command)
    command.add_argument("--on", metavar="DATE", help="on this day, today by default")
    command.add_argument("--place", default="", help="where the class was held")
    command.add_argument(
        "--format", choices=("pdf", "csv", "json", "text", "svg"), default="pdf", help="as what"
    )
    command.add_argument("--paper", choices=("a4", "letter"), default="a4", help="for PDF")
    command.add_argument("--to", metavar="FOLDER", default=".", help="where the file goes")


def _add_proof(kinds: Commands) -> None:
    command = add(
        kinds, "verify", "Whether every row is as it was written; names the first bad one."
    )
    add_store(command)
    command.add_argument(
        "--known", nargs="+", default=[], metavar="HEAD", help="heads that were printed or exported"
    )
    command.add_argument("--heads", metavar="FILE", help="a file of such heads, one a line")
    command.set_defaults(run=later("records_upkeep:verify_"))
    command = _command(kinds, "head", "The end of every chain, to be kept elsewhere.",
                       "records_upkeep")  # fmt: skip
    command.add_argument("--to", metavar="FILE", help="write them to a new file")


def _add_upkeep(kinds: Commands) -> None:
    command = add(kinds, "create", "Make a new record store with its first administrator.")
    add_store(command)
    command.add_argument("--station", required=True, help="this computer's name, as east")
    command.add_argument("--zone", required=True, help="the operator's time zone, as Europe/Lisbon")
    command.add_argument("--administrator", required=True, metavar="STAFFNUMBER",
                         help="who sets it up")  # fmt: skip
    command.add_argument("--name", required=True, help="that person's name")
    command.set_defaults(run=later("records_upkeep:create_"))
    command = add(kinds, "new-key", "Make an operator key, under which names and sound are kept.")
    command.add_argument("file", metavar="FILE", help="a new file; keep a copy elsewhere")
    command.set_defaults(run=later("records_upkeep:new_key_"))
    command = _command(kinds, "backup", "Copy everything to a new file while others work on.",
                       "records_upkeep")  # fmt: skip
    command.add_argument("file", metavar="FILE", help="the new file")
    command.add_argument("--text", action="store_true", help="as text that any database can take")
    command = add(kinds, "restore", "Make a new store from a backup, which is verified first.")
    add_store(command)
    command.add_argument("file", metavar="FILE", help="the backup")
    command.add_argument("--station", required=True, help="the new store's own name, as east")
    command.add_argument("--known", nargs="+", default=[], metavar="HEAD",
                         help="heads that must be in it")  # fmt: skip
    command.set_defaults(run=later("records_upkeep:restore_"))
    command = _command(kinds, "merge", "Take over what is new in another station's store.",
                       "records_upkeep")  # fmt: skip
    command.add_argument("other", metavar="OTHER", help="a database URL, a file or a backup")
    command = _command(kinds, "incidents", "What the store noticed or was put through.",
                       "records_upkeep")  # fmt: skip
    command = _command(kinds, "sign-ins", "Every PIN that was tried, and when.", "records_upkeep")


def _add_privacy(kinds: Commands) -> None:
    command = _command(kinds, "consent", "Record whether a person's sound may be kept.",
                       "records_privacy")  # fmt: skip
    add_person(command)
    command.add_argument("answer", choices=("yes", "no"), help="the person's word")
    command = _command(kinds, "accesses", "Who read or heard what of whom.", "records_privacy")
    command.add_argument("--person", metavar="STAFFNUMBER", help="of this person only")
    command = _command(kinds, "export-person", "Everything about one person, sound included.",
                       "records_privacy")  # fmt: skip
    add_person(command)
    command.add_argument("--to", required=True, metavar="FOLDER", help="a new folder")
    command = _command(kinds, "erase-person", "Erase identity, PIN, remarks and sound for good.",
                       "records_privacy")  # fmt: skip
    add_person(command)
    command.add_argument("--reason", required=True, help="why; it stays on record")
    command.add_argument("--takes", metavar="FOLDER", help="where takes are kept")
    command = _command(kinds, "retention", "Show or set how long each kind is kept.",
                       "records_privacy")  # fmt: skip
    command.add_argument("kind", nargs="?", choices=KINDS, help="what: " + ", ".join(KINDS))
    command.add_argument("days", nargs="?", help="for how many days, or 'always'")
    _command(kinds, "tidy", "Erase what has been kept for its time.", "records_privacy")
