"""Reads the register with programs that are not ours: 100,000 rows as CSV and as Parquet with
DuckDB, the calendar with icalendar.

    register.py PROGRAM CERTIFICATES
"""

import csv as csv_module
import datetime
import json
import pathlib
import subprocess
import sys
import tempfile

import duckdb
import icalendar

ROWS = 100_000
program, certificates = sys.argv[1], sys.argv[2]


def register(*args):
    ran = subprocess.run([program, "register", "--allow-uncompared", *args], capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


def invented(number):
    """A row as a certificate's would be, every kind of cell told and left out in turn."""
    date = datetime.date(2000, 1, 1) + datetime.timedelta(days=number % 9000)
    due = None if number % 7 == 0 else (date + datetime.timedelta(days=365)).isoformat()
    return {
        "number": f"{date.year}-{number:06}",
        "site": f'Mill "Lane" {number % 997}, rear\nyard é',
        "circuit": f"bay-{number % 6}",
        "circuit_name": None if number % 2 else f"Bay {number % 6}",
        "date": date.isoformat(),
        "outcome": "unsatisfactory" if due is None else "incomplete" if number % 5 == 0 else "satisfactory",
        "complete": number % 5 != 0,
        "worst_grade": "stop" if due is None else "pass",
        "worst_margin_k": None if number % 11 == 0 else number / 1000 - 20,
        "next_due": due,
        "signer": "Ada Ohm",
        "fingerprint": "ab" * 32,
        "signed_at": "2026-01-01T02:00:00+02:00",
        "signatures": 1 + number % 3,
        "valid": True,
        "problem": None,
        "units": "us",
        "sha256": f"{number:064x}",
        "replaces": None,
        "file": f"{number}.pdf",
        "margins": [{"connection": "breaker-L1", "margin_k": number / 1000 - 20}],
    }


with tempfile.TemporaryDirectory() as name:
    folder = pathlib.Path(name)
    truth = [invented(n) for n in range(ROWS)]
    lines = folder / "rows.jsonl"
    lines.write_text("".join(json.dumps(row) + "\n" for row in truth))
    for form in ("csv", "parquet"):
        register(str(lines), "--believe-lines", "--format", form, "-o", str(folder / f"register.{form}"))

    db = duckdb.connect()
    parquet = f"read_parquet('{folder}/register.parquet')"
    # All columns as text, so that nothing is guessed; an empty cell is one not told.
    csv = f"read_csv('{folder}/register.csv', all_varchar = true)"
    names = [k for k in truth[0] if k != "margins"]
    want = sorted(tuple(row[n] for n in names) for row in truth)

    cells = db.sql(f"select {', '.join(names)} from {parquet}").fetchall()
    def plain_cell(cell):
        if isinstance(cell, datetime.datetime):
            return cell.astimezone(datetime.timezone(datetime.timedelta(hours=2))).isoformat()
        return cell.isoformat() if isinstance(cell, datetime.date) else cell

    plain = [tuple(plain_cell(c) for c in row) for row in cells]
    assert sorted(plain) == want, "Parquet tells something else"
    types = dict(db.sql(f"select name, type from (describe from {parquet}) t(name, type, a, b, c, d)").fetchall())
    assert types["date"] == "DATE" and types["next_due"] == "DATE", types
    assert types["signed_at"] == "TIMESTAMP WITH TIME ZONE" and types["signatures"] == "BIGINT", types
    assert types["complete"] == "BOOLEAN" and types["worst_margin_k"] == "DOUBLE", types

    # RFC 4180, 2.1: CRLF, also inside quotes only what the cell holds; spreadsheets tell UTF-8 by its mark.
    raw = (folder / "register.csv").read_bytes()
    assert raw.startswith(b"\xef\xbb\xbfnumber,") and raw.endswith(b"\r\n")
    with (folder / "register.csv").open(encoding="utf-8-sig", newline="") as file:
        assert sum(1 for _ in csv_module.reader(file, strict=True)) == ROWS + 1

    cells = db.sql(
        f"select number, site, circuit, date::date, complete::boolean, worst_margin_k::double,"
        f" next_due::date, file from {csv}"
    ).fetchall()
    date = lambda t: t and datetime.date.fromisoformat(t)
    want = sorted(
        (r["number"], r["site"], r["circuit"], date(r["date"]), r["complete"],
         r["worst_margin_k"], date(r["next_due"]), r["file"])
        for r in truth
    )
    assert sorted(cells) == want, "CSV tells something else"

    # The query that the README shows.
    due = db.sql(
        f"select site, circuit, worst_margin_k, next_due from {parquet}"
        " where valid and next_due < date '2010-01-01' order by worst_margin_k limit 5"
    ).fetchall()
    assert len(due) == 5 and all(d[3] < datetime.date(2010, 1, 1) for d in due), due
    print(f"DuckDB {duckdb.__version__}: {ROWS} rows as CSV and Parquet, cell by cell the same")

    ics = folder / "due.ics"
    rows = [json.loads(l) for l in register(certificates, "--format", "jsonl", "--calendar", str(ics)).splitlines()]
    calendar = icalendar.Calendar.from_ical(ics.read_text())
    events = list(calendar.walk("VEVENT"))
    days = {e["dtstart"].dt.isoformat() for e in events}
    due_days = {r["next_due"] for r in rows if r["valid"] and r["next_due"]}
    stops = [e for e in events if e["summary"].startswith("DO NOT USE")]
    today = datetime.date.today()
    assert stops and all(e["dtstart"].dt in (today, today - datetime.timedelta(days=1)) for e in stops), stops
    days -= {e["dtstart"].dt.isoformat() for e in stops}
    assert len({e["uid"] for e in events}) == len(events)
    assert events and days <= due_days, (days, due_days)
    for event in events:
        assert not event.errors and event["uid"] and event["dtstamp"], event
        assert "dtend" not in event or event["dtend"].dt > event["dtstart"].dt, event
        (alarm,) = event.walk("VALARM")
        assert alarm["action"] == "DISPLAY", alarm
        assert alarm["trigger"].dt == datetime.timedelta(days=0 if event in stops else -14), alarm
        assert event["summary"] == alarm["description"], alarm
    for line in ics.read_bytes().split(b"\r\n"):
        assert len(line) <= 75 and b"\n" not in line, line
    print(f"icalendar {icalendar.__version__}: {len(events)} events, each with its reminder")
