"""Compares what `warmlug due` lists with the register, by Python's own calendar; reads its calendar with
icalendar, its tables with the csv module, and its letters with poppler.

    due.py PROGRAM CERTIFICATES
"""

import csv
import datetime
import io
import json
import pathlib
import subprocess
import sys
import tempfile

import icalendar

program, certificates = sys.argv[1], sys.argv[2]


def run(*args):
    ran = subprocess.run([program, *args, "--allow-uncompared"], capture_output=True)
    assert ran.returncode == 0, ran.stderr.decode()
    return ran.stdout


def table(raw):
    text = raw.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


with tempfile.TemporaryDirectory() as folder:
    folder = pathlib.Path(folder)
    rows = [json.loads(line) for line in run("register", certificates, "--format", "jsonl").splitlines()]
    current = [row for row in rows if row["current"]]
    days = sorted(row["next_due"] for row in current if row["next_due"])
    # A day in the middle, so that some are overdue and some are to come.
    today = datetime.date.fromisoformat(days[len(days) // 2])
    weeks = 6
    monday = today - datetime.timedelta(days=today.weekday())
    before = monday + datetime.timedelta(weeks=weeks + 1)
    wanted = {
        (row["site"], row["circuit"])
        for row in current
        if row["next_due"] is None or datetime.date.fromisoformat(row["next_due"]) < before
    }
    options = [certificates, "--today", str(today), "--weeks", str(weeks)]
    listed = json.loads(run("due", *options, "--format", "json"))
    circuits = listed["circuits"]
    assert listed["before"] == str(before), (listed["before"], before)
    found = {(c["site"], c["circuit"]) for c in circuits}
    # A visit that ended early is listed whenever it is due.
    early = {(c["site"], c["circuit"]) for c in circuits if c["state"] == "cut-short"}
    assert found - early == wanted - early, found ^ wanted
    for circuit in circuits:
        if circuit["day"]:
            year, week, _ = datetime.date.fromisoformat(circuit["day"]).isocalendar()
            assert circuit["week"] == f"{year}-W{week:02}", circuit

    raw = run("due", *options, "--format", "csv", "--letters", str(folder / "letters"))
    lines = table(raw)
    assert [line["sha256"] for line in lines] == [c["sha256"] for c in circuits]

    events = icalendar.Calendar.from_ical(run("due", *options, "--format", "ics")).walk("VEVENT")
    assert len(events) == len(circuits)
    assert len({str(event["uid"]) for event in events}) == len(events)
    for event, circuit in zip(events, circuits):
        day = datetime.date.fromisoformat(circuit["day"]) if circuit["day"] else today
        assert event["dtstart"].dt == max(day, today), event
        assert circuit["site"] in event["summary"], event

    letters = table((folder / "letters" / "letters.csv").read_bytes())
    for letter in letters:
        told = subprocess.run(
            ["pdftotext", str(folder / "letters" / letter["file"]), "-"], capture_output=True, text=True, check=True
        )
        words = " ".join(told.stdout.split())
        own = [line for line in lines if line["letter"] == letter["file"]]
        assert own, letter
        for line in own:
            assert line["client"] == letter["client"], line
            assert " ".join(line["site"].split()) in words, (line["site"], words)
            assert line["certificate"] in words, (line["certificate"], words)
    assert sum(1 for line in lines if line["letter"]) + sum(1 for line in lines if line["withheld"]) == len(lines)
    print(f"{len(circuits)} circuits due, {len(events)} events, {len(letters)} letters read")
