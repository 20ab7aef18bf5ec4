"""The `ovipost` command: its arguments, and what each of its subcommands prints.

Parts are joined in bootstrap, and imported where a command needs them: `ovipost read` loads no database, no Telegram.
"""

import argparse
import contextlib
import datetime as dt
import json
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TextIO

from bot.channels import own_output

if TYPE_CHECKING:
    from bot.settings import Settings
    from core.journal.event import Event

USER_MISTAKE = 2  # exit code
BROKEN = 1
INTERRUPTED = 130  # as shells have it

Run = Callable[[argparse.Namespace], int | None]


class CommandError(Exception):
    """A command cannot go on; the text is one sentence for whoever gave it."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        """Say what is wrong in one sentence, without the usage."""
        self.exit(USER_MISTAKE, f"{_sentence(message)} See `{self.prog} --help`.\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command and give the exit code."""
    own_output.prepare(is_own_process=arguments is None)
    given = _parser().parse_args(arguments)
    run: Run = given.run
    try:
        return run(given) or 0
    except CommandError as error:
        return _complain(str(error), USER_MISTAKE)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:  # whoever read our output has enough
        os.dup2(
            os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno()
        )  # else Python complains when it flushes at the end
        return 0
    except OSError as error:
        return _complain(f"{error.filename or 'The system'}: {error.strerror or error}.", USER_MISTAKE)
    except Exception as error:  # noqa: BLE001 - no trace is shown to a person
        return _complain(f"Something is wrong in Ovipost itself: {type(error).__name__}: {error}", BROKEN)


def _complain(sentence: str, code: int) -> int:
    print(sentence, file=sys.stderr)
    return code


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="ovipost", description="A farm assistant in a chat for people who breed house crickets.")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    def command(name: str, run: Run, text: str) -> argparse.ArgumentParser:
        made = commands.add_parser(name, help=text, description=_sentence(text))
        made.set_defaults(run=run)
        return made

    chat = command("chat", _chat, "talk in this terminal, reminders included")
    chat.add_argument("--db", metavar="URL", help="database instead of OVIPOST_DB")
    chat.add_argument("--as", dest="name", metavar="NAME", help="who sits at the terminal")
    chat.add_argument("--demo", action="store_true", help="on an invented farm in mid-season; nothing is kept")
    command("serve", _serve, "run the Telegram bot")
    _add_files(command)
    _add_care(command)
    return parser


def _add_files(command: Callable[[str, Run, str], argparse.ArgumentParser]) -> None:
    read = command("read", _read, "say what messages mean: JSON lines in, JSON lines out")
    read.add_argument("--farm", metavar="FARM.json", help="the farm that they are read on")
    read.add_argument("file", nargs="?", metavar="FILE", help="standard input where it is left out")
    replay = command("replay", _replay, "play timed messages against a simulated clock and print all that is said")
    replay.add_argument("file", metavar="FILE")
    replay.add_argument("--farm", metavar="FARM.json", help="the farm to begin with")
    replay.add_argument("--until", metavar="TIME", help="go on with reminders until then")
    forecast = command("forecast", _forecast, "forecast a hatch from logged temperatures")
    forecast.add_argument("--csv", required=True, metavar="FILE", help="with the header time,temp or time,temp,rh")
    forecast.add_argument("--laid", required=True, metavar="TIME", help="when the tray was pulled")
    forecast.add_argument("--unit", required=True, choices=("C", "F"))
    forecast.add_argument("--species", default="house", metavar="NAME")
    forecast.add_argument("--uncovered", action="store_true", help="the log is of the air around an uncovered, wet tub")
    forecast.add_argument("--json", action="store_true")


def _add_care(command: Callable[[str, Run, str], argparse.ArgumentParser]) -> None:
    journal = command("journal", _journal, "print the recorded events as JSON lines")
    journal.add_argument("--farm", metavar="NAME", help="of this farm only")
    backup = command("backup", _backup, "copy the database into a file")
    backup.add_argument("file", metavar="FILE")
    restore = command("restore", _restore, "put a backup in the place of the database")
    restore.add_argument("file", metavar="FILE")
    restore.add_argument("--overwrite", action="store_true", help="also where there is a database already")
    command("migrate", _migrate, "bring the database up to date")
    command("doctor", _doctor, "look whether all is well with the set-up")


def _settings() -> "Settings":
    from bot import settings

    try:
        return settings.load()
    except settings.SettingsError as error:
        raise CommandError(str(error)) from None


@contextlib.contextmanager
def _store_errors() -> Iterator[None]:
    from bot.bootstrap import StoreError
    from bot.ports.stores import StoreDownError
    from bot.storage import troubles
    from bot.storage.backup import BackupError

    try:
        yield
    except (StoreError, BackupError) as error:
        raise CommandError(_sentence(str(error))) from None
    except StoreDownError as error:
        raise CommandError(troubles.sentence(error)) from None


@contextlib.contextmanager
def _opened(file: str | None) -> Iterator[TextIO]:
    if file in (None, "-"):
        yield sys.stdin
        return
    with Path(str(file)).open(encoding="utf-8-sig", errors="replace", newline="") as opened:
        yield opened


def _write(row: dict[str, Any]) -> None:
    print(json.dumps(row, ensure_ascii=False))


def _chat(given: argparse.Namespace) -> None:
    import asyncio
    import getpass
    import logging

    from bot import bootstrap
    from bot.channels import demo
    from bot.channels.terminal.lines import lines_for

    name = given.name or (demo.OWNER if given.demo else getpass.getuser().capitalize())
    if not name.strip():
        raise CommandError("--as has to be a name.")
    lines = lines_for(sys.stdin, name)
    with _store_errors():
        talk = (
            bootstrap.build_demo(name, lines)
            if given.demo
            else bootstrap.build_chat(given.db or _settings().db, name, lines)
        )
    logging.disable()  # it would write over the line being typed; the person is told of what went wrong
    try:
        asyncio.run(talk.run())
    finally:
        logging.disable(logging.NOTSET)


def _serve(_: argparse.Namespace) -> int | None:
    import asyncio
    import logging

    from bot import bootstrap, logs
    from bot.channels.listening import PortError
    from bot.channels.stopping import StopSignals
    from bot.channels.telegram.account import TokenRefusedError

    settings = _settings()
    if settings.telegram_token is None:
        raise CommandError("Set OVIPOST_TELEGRAM_TOKEN to the token that BotFather gave you for your bot.")
    logs.start(settings.log)
    signals = StopSignals()
    signals.listen()
    logging.getLogger("bot").info("starting")
    with _store_errors():
        service = bootstrap.build_serve(settings)
    try:
        asyncio.run(signals.run(service.run))
        signals.leave()
    except (TokenRefusedError, PortError) as error:
        raise CommandError(str(error)) from None
    except OSError:  # a sentence is made of it, as with every command
        raise
    except Exception as error:  # its own words may hold what people wrote, and a log is kept
        logging.getLogger("bot").critical("the program cannot go on", exc_info=error)
        return BROKEN
    return None


def _read(given: argparse.Namespace) -> None:
    from bot import bootstrap
    from bot.channels import json_lines
    from core.farm.farm import Farm
    from core.farm.fold import fold

    farm = Farm() if given.farm is None else fold(_opening(_description(given.farm)))
    with _opened(given.file) as source, _line_errors():
        for row in json_lines.meanings(source, bootstrap.build_reader(), farm):
            _write(row)
            sys.stdout.flush()


def _replay(given: argparse.Namespace) -> None:
    from bot import bootstrap, logs
    from bot.channels import json_lines
    from core.farm.settings import tzinfo_of

    logs.start("ERROR", has_traces=False)
    farm = None if given.farm is None else _description(given.farm)
    opening = () if farm is None else _opening(farm)
    zone = dt.UTC if farm is None else tzinfo_of(farm.get("timezone", "UTC"))  # for times without an offset
    with _opened(given.file) as source, _line_errors():
        lines = json_lines.timed_lines(source, zone)
    until = None if given.until is None else _time("--until", given.until, zone)
    if not lines and farm is None:
        return
    start = opening[0].said_at if opening else lines[0].at
    with bootstrap.build_replay(farm, start) as player, _line_errors():
        for row in player.play(lines, until):
            _write(row)


@contextlib.contextmanager
def _line_errors() -> Iterator[None]:
    from bot.channels.json_lines import LineError

    try:
        yield
    except LineError as error:
        raise CommandError(str(error)) from None


def _forecast(given: argparse.Namespace) -> None:
    from bot.channels import hatch_report, thermometer
    from core.science.species import UnknownSpeciesError, species
    from core.units import TemperatureUnit

    unit = TemperatureUnit(given.unit)
    laid = _time("--laid", given.laid)
    try:
        kind = species(given.species)
        with _opened(given.csv) as source:
            readings = thermometer.readings(source, unit)
        outcome = hatch_report.outcome_of(readings, laid, kind, is_uncovered=given.uncovered)
    except (UnknownSpeciesError, thermometer.LogError) as error:
        raise CommandError(_sentence(str(error))) from None
    if given.json:
        _write(hatch_report.as_json(outcome))
        return
    for line in hatch_report.as_text(outcome, readings, laid, kind, unit):
        print(line)


def _journal(given: argparse.Namespace) -> None:
    from bot import bootstrap
    from bot.channels import json_lines

    with _store_errors():
        store = bootstrap.open_store(_settings().db, make=False)
    with _store_errors(), contextlib.closing(store):
        rows = json_lines.journal_rows(store, given.farm)
        first = next(rows, None)
        if first is None and given.farm is not None:
            raise CommandError(f"There is no farm {given.farm!r}.")
        for row in () if first is None else (first, *rows):
            _write(row)


def _backup(given: argparse.Namespace) -> None:
    from bot.storage.backup import backup

    with _store_errors():
        backup(_settings().db, Path(given.file))


def _restore(given: argparse.Namespace) -> None:
    from bot.storage.backup import restore

    with _store_errors():
        restore(Path(given.file), _settings().db, overwrite=given.overwrite)


def _migrate(_: argparse.Namespace) -> None:
    from bot import bootstrap

    with _store_errors():
        bootstrap.open_store(_settings().db, make=True).close()


def _doctor(_: argparse.Namespace) -> int:
    from bot.bootstrap import doctor

    is_well = True
    for finding in doctor.checkup(_settings()):
        print(f"{'ok' if finding.is_well else 'look'}: {finding.text}")
        is_well = is_well and finding.is_well
    return 0 if is_well else BROKEN


def _description(file: str) -> dict[str, Any]:
    with _opened(file) as source:
        try:
            found = json.load(source)
        except ValueError as error:
            raise CommandError(f"{file} is not JSON: {error}.") from None
    if not isinstance(found, dict):
        raise CommandError(f"{file} has to hold a JSON object that describes a farm.")
    return found


def _opening(farm: dict[str, Any]) -> "tuple[Event, ...]":
    from core.farm.opening import OpeningError, opening_events

    try:
        return opening_events(farm)
    except OpeningError as error:
        raise CommandError(_sentence(str(error))) from None


def _time(option: str, text: str, zone: dt.tzinfo | None = None) -> dt.datetime:
    try:
        at = dt.datetime.fromisoformat(text.strip())
        return at if at.tzinfo else at.replace(tzinfo=zone)
    except ValueError:
        raise CommandError(f"{option} has to be a time such as 2026-07-14T08:10-06:00, not {text!r}.") from None
