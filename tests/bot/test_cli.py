"""The `ovipost` command."""

import io
import json
import subprocess
import sys

import pytest

from bot.cli import main
from bot.settings import SettingsError

FARM = {
    "name": "Ocotillo Flats",
    "timezone": "America/Denver",
    "units": "F",
    "now": "2026-07-14T08:10-06:00",
    "people": [{"name": "Noor", "role": "owner"}, {"name": "Tomas", "role": "hand"}],
    "places": [{"name": "lamp shelf", "lamp": True, "humidifier": False}],
    "bins": [{"name": "B1", "holds": "adults", "chirp": "2026-06-14T19:30-06:00", "tray_in": "2026-07-13T07:45-06:00"}],
    "tubs": [{"name": "T5", "from": "B1", "pulled": "2026-07-06T08:00-06:00", "place": "lamp shelf", "covered": False}],
}


@pytest.fixture
def farm(tmp_path):
    file = tmp_path / "farm.json"
    file.write_text(json.dumps(FARM), encoding="utf-8")
    return str(file)


@pytest.fixture
def written(tmp_path):
    def write(name, *lines):
        file = tmp_path / name
        file.write_text("\n".join(x if isinstance(x, str) else json.dumps(x) for x in lines), encoding="utf-8")
        return str(file)

    return write


@pytest.fixture
def run(capsys):
    """Run a command that works; give the lines that it printed."""

    def command(*arguments):
        assert main(arguments) == 0
        printed = capsys.readouterr()
        assert printed.err == ""
        return printed.out.splitlines()

    return command


@pytest.fixture
def complaint(capsys):
    """Run a command that cannot work; give the sentence that it says."""

    def command(*arguments):
        assert main(arguments) == 2
        printed = capsys.readouterr()
        assert printed.out == ""
        assert printed.err.count("\n") == 1
        return printed.err.strip()

    return command


@pytest.fixture(autouse=True)
def database(tmp_path, monkeypatch):
    for name in ("OVIPOST_TELEGRAM_TOKEN", "OVIPOST_WEBHOOK_URL", "OVIPOST_WEBHOOK_SECRET"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("OVIPOST_DB", f"sqlite:///{tmp_path / 'farm' / 'ovipost.db'}")


def said(at, text, who="Noor"):
    return {"id": at, "from": who, "at": f"2026-07-{at}-06:00", "text": text}


# read


def test_read_says_what_messages_mean_on_a_farm(run, farm, written):
    file = written("in.jsonl", said("14T08:10", "chirping in bin 2"), said("14T08:11", "see you tomorrow"))

    lines = [json.loads(line) for line in run("read", "--farm", farm, file)]

    assert lines[0] == {"id": "14T08:10", "means": [{"kind": "chirp", "bin": "B2"}]}
    assert lines[1] == {"id": "14T08:11", "means": []}


def test_read_settles_what_the_farm_settles(run, farm, written):
    file = written("in.jsonl", said("14T08:10", "pulled the tray"))

    assert json.loads(run("read", "--farm", farm, file)[0])["means"][0]["bin"] == "B1"


def test_read_loads_neither_database_nor_telegram_and_starts_fast(written):
    file = written("in.jsonl", said("14T08:10", "chirping in bin 2"))
    heavy = ["telegram", "sqlalchemy", "matplotlib", "pydantic", "prompt_toolkit", "rich", "apscheduler", "numpy"]
    program = f"""
import sys
from bot.cli import main
code = main(["read", {file!r}])
print([name for name in {heavy} if name in sys.modules], file=sys.stderr)
sys.exit(code)
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)  # noqa: S603

    assert json.loads(done.stdout)["means"][0]["kind"] == "chirp"
    assert done.stderr.strip() == "[]"


def test_read_names_the_line_that_it_cannot_read(complaint, written):
    assert complaint("read", written("in.jsonl", "{")) == "Line 1: it is not JSON."


# replay


def test_replay_prints_answers_and_reminders_at_their_times(run, farm, written):
    file = written(
        "in.jsonl",
        said("14T08:20", "pulled it, lamp shelf, loads of eggs"),
        said("14T08:21", "watered the lamp shelf", "Tomas"),
    )

    lines = [json.loads(x) for x in run("replay", file, "--farm", farm, "--until", "2026-07-14T18:00")]
    replies = [line for line in lines if line["type"] == "reply"]
    pushes = [line for line in lines if line["type"] == "push"]

    assert [line["to"] for line in replies] == [["Noor"], ["Tomas"]]
    assert replies[0]["events"][0]["kind"] == "tray_out"
    assert {f["tub"] for f in replies[0]["forecast"]} == {"T6"}
    evening = [line for line in pushes if line["at"] == "2026-07-14T18:00-06:00"]
    assert evening[0]["to"] == ["Noor", "Tomas"]
    assert evening[0]["chores"][0]["chore"] == "water"


def test_replay_without_a_farm_lets_the_first_message_found_one(run, written):
    file = written("in.jsonl", said("14T08:20", "tub 3 watered"))

    line = json.loads(run("replay", file)[0])

    assert line["at"] == "2026-07-14T08:20-06:00"
    assert line["events"] == [{"kind": "watered", "tubs": ["T3"]}]


def test_replay_presses_a_button_by_its_label(run, farm, written):
    press = {"at": "2026-07-14T08:30-06:00", "from": "Noor", "press": "Undo"}
    file = written("in.jsonl", said("14T08:20", "chirping in bin 2"), press)

    assert [json.loads(x)["type"] for x in run("replay", file, "--farm", farm)].count("reply") == 2


def test_replay_names_the_line_with_a_button_that_is_not_there(capsys, farm, written):
    press = {"at": "2026-07-14T08:30-06:00", "from": "Noor", "press": "Fly"}

    assert main(["replay", written("in.jsonl", press), "--farm", farm]) == 2
    assert capsys.readouterr().err == "Line 1: Noor was shown no button 'Fly'.\n"


# forecast


def test_forecast_prints_times_as_json(run, written):
    log = written("log.csv", "time,temp", "2026-05-01T08:00,90.5", "2026-05-03T08:00,90.5")

    (line,) = run("forecast", "--csv", log, "--laid", "2026-05-01T08:00", "--unit", "F", "--json")

    found = json.loads(line)
    assert list(found) == ["earliest", "likely", "latest"]
    assert found["likely"] == "2026-05-10T11:39:40+00:00"


def test_forecast_says_what_it_rests_on(run, written):
    log = written("log.csv", "time,temp", "2026-05-01T08:00-06:00,32.5", "2026-05-03T08:00-06:00,32.5")

    lines = run("forecast", "--csv", log, "--laid", "2026-05-01T08:00-06:00", "--unit", "C")

    assert lines[1] == "Likely    Sun May 10 2026 11:39 -0600"
    assert any(line.startswith("Rests on 2 readings") for line in lines)


def test_forecast_of_an_uncovered_tub_goes_by_the_humidity_of_the_log(run, written):
    log = written("log.csv", "time,temp,rh", "2026-05-01T08:00-06:00,32.5,45", "2026-05-03T08:00-06:00,32.5,45")

    lines = run("forecast", "--csv", log, "--laid", "2026-05-01T08:00-06:00", "--unit", "C", "--uncovered")

    assert lines[1] == "Likely    Tue May 12 2026 21:23 -0600"


@pytest.mark.parametrize(
    ("log", "options", "sentence"),
    [
        (["time,temp", "soon,80"], (), "Line 2: 'soon' is not a time such as 2026-07-14 08:10."),
        (["time,temp"], (), "The file has no readings."),
        (["time,temp", "2026-05-01T08:00,90"], ("--species", "locust"), "Species is 'locust', must be one of: house"),
        (["time,temp", "2026-05-01T08:00,90"], ("--laid", "today"), "--laid has to be a time such as"),
        (["time,temp", "2026-05-01T08:00,90"], ("--uncovered",), "For an uncovered tub every line needs its humidity"),
    ],
    ids=["row", "empty", "species", "laid", "no humidity"],
)
def test_forecast_says_in_one_sentence_what_is_wrong(complaint, written, log, options, sentence):
    file = written("log.csv", *log)

    assert complaint("forecast", "--csv", file, "--laid", "2026-05-01T08:00", "--unit", "F", *options).startswith(
        sentence
    )


# the database


def test_the_journal_of_a_chat_comes_out_as_json_lines(run, monkeypatch, capsys):
    with monkeypatch.context() as at_the_terminal:
        at_the_terminal.setattr(sys, "stdin", io.StringIO("chirping in bin 2\n"))
        assert main(["chat", "--as", "Noor"]) == 0
    capsys.readouterr()

    lines = [json.loads(line) for line in run("journal")]

    chirp = next(line for line in lines if line["kind"] == "chirp")
    assert chirp["by"] == "Noor"
    assert chirp["bin"] == "B2"
    assert [line["number"] for line in lines] == list(range(1, len(lines) + 1))
    assert {"farm", "said_at", "happened_at"} <= set(chirp)


def test_a_backup_comes_back(run, complaint, tmp_path):
    kept = str(tmp_path / "kept.db")
    assert complaint("backup", kept).startswith("There is no database at ")
    run("migrate")
    run("backup", kept)

    assert complaint("restore", kept).startswith("There is a database at ")
    run("restore", kept, "--overwrite")
    assert run("journal") == []


def test_without_a_database_the_journal_says_what_makes_one(complaint):
    assert complaint("journal") == "There is no database yet; `ovipost chat` or `ovipost serve` makes one."


def test_a_farm_that_is_not_there_is_said(run, complaint):
    run("migrate")

    assert complaint("journal", "--farm", "Elsewhere") == "There is no farm 'Elsewhere'."


def test_doctor_says_what_to_do(run, capsys):
    assert main(["doctor"]) == 1
    assert "look: database: There is no database yet;" in capsys.readouterr().out

    run("migrate")
    assert all(line.startswith("ok: ") for line in run("doctor"))


# mistakes


def test_serve_without_a_token_says_what_to_do(complaint):
    assert complaint("serve").startswith("Set OVIPOST_TELEGRAM_TOKEN ")


def test_a_setting_that_cannot_be_used_is_one_sentence(complaint, monkeypatch):
    monkeypatch.setenv("OVIPOST_PORT", "high")

    assert complaint("doctor").startswith("OVIPOST_PORT is 'high' but has to be ")
    assert issubclass(SettingsError, Exception)


def test_a_database_that_cannot_be_opened_is_one_sentence(complaint):
    assert complaint("chat", "--db", "nosuch://there").startswith("OVIPOST_DB or --db has to be ")


def test_a_file_that_is_not_there_is_one_sentence(complaint):
    assert complaint("replay", "nowhere.jsonl") == "nowhere.jsonl: No such file or directory."


def test_a_farm_that_cannot_be_read_is_one_sentence(complaint, written):
    assert complaint("read", "--farm", written("farm.json", "[]"), "x").endswith(
        "has to hold a JSON object that describes a farm."
    )
    assert "cannot be read" in complaint("read", "--farm", written("farm.json", "{}"), "x")


def test_an_unknown_command_is_one_sentence(capsys):
    with pytest.raises(SystemExit) as left:
        main(["fly"])

    assert left.value.code == 2
    assert capsys.readouterr().err.count("\n") == 1
