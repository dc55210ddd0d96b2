"""What comes after the visits of four invented firms over three years, against what was planted in them: which
circuits are due when and why, what each letter says, what each order asks for, the digests of an index, and what
the fleet shows. Dates are computed here, with the intervals of the rule sets: half a year after a first visit or
one with something to watch, a year after a clean one, three months after an unfinished one.

    firms.py PROGRAM
"""

import calendar
import collections
import csv
import datetime
import hashlib
import io
import json
import math
import os
import pathlib
import random
import subprocess
import sys
import tempfile

program = str(pathlib.Path(sys.argv[1]).resolve())
random.seed(11)
TODAY = datetime.date(2026, 5, 4)
WEEKS = 8
GUNS = {"G1": 0.0, "G2": 0.0, "G3": 2.0}  # what each reads too high, kelvin
FIRMS = [
    ("Lantern Row Electric", "us", "en", "Ada Ohm"),
    ("Brindle & Söhne Elektro", "iec", "de", "Ilse Tarnow"),
    ("Électricité du Quai", "iec", "fr", "Noé Lagarde"),
    ("=Kite Electric", "us", "es", "Pilar Soto"),
]
CLIENTS = ["Lee Park", "Müller, Jürgen", "Éloïse d’Été", "=SUM(A1)", "Kim & “Sons”"]
MONTHS = {
    "de": "Januar Februar März April Mai Juni Juli August September Oktober November Dezember".split(),
    "fr": "janvier février mars avril mai juin juillet août septembre octobre novembre décembre".split(),
    "es": "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre".split(),
}
REASONS = {
    "first": "early second one", "watch": "sooner than usual", "clean": "regular intervals",
    "off": "Do not charge there", "cut": "ended early: The tenant had to leave.",
}


def written(day, language):
    """A date as it is written in a language."""
    if language == "en":
        return f"{calendar.month_name[day.month]} {day.day}, {day.year}"
    month = MONTHS[language][day.month - 1]
    if language == "de":
        return f"{day.day}. {month} {day.year}"
    if language == "fr":
        return f"{'1er' if day.day == 1 else day.day} {month} {day.year}"
    return f"{day.day} de {month} de {day.year}"


def months_later(day, months):
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return day.replace(year=year, month=month + 1, day=min(day.day, calendar.monthrange(year, month + 1)[1]))


class Circuit:
    def __init__(self, site, number, residential):
        self.site, self.id, self.name = site, f"bay-{number}", f"Charger {number}"
        self.residential = residential
        self.us = site["rules"] == "us"
        # A sound make has as many chargers as there are bad receptacles, most of them beside one.
        self.make = "Harrow" if random.random() < (0.7 if residential else 0.2) else random.choice(["Linnet", "Kestrel"])
        self.bad = residential and random.random() < 0.65
        self.fault = random.choice(["hot", "melted"]) if not residential and random.random() < 0.08 else None
        self.base = random.gauss(8, 0.5)
        self.mended = False

    def where(self):
        return "receptacle-L1" if self.bad else "breaker-L1"

    def faulty(self):
        return (self.bad or self.fault is not None) and not self.mended

    def visited(self, day, gun, done, repaired):
        """The circuit in a visit file; `done` is whether its hour at full current was not cut short."""
        ground, legs = ("G", ["L1", "L2"]) if self.us else ("PE", ["L1", "L2", "L3"])
        degrees = (lambda c: f"{c * 1.8 + 32:.1f} °F") if self.us else (lambda c: f"{c:.1f} °C")
        torque = "40 in·lb" if self.us else "2.5 N·m"
        hot = self.where() if self.faulty() and self.fault != "melted" else None
        rises, places = {}, []
        for place in ["breaker", "receptacle", "plug"] if self.us else ["breaker", "charger"]:
            own = []
            for leg in legs + ([] if self.us else ["N"]):
                one = {"id": f"{place}-{leg}", "leg": leg, "kind": "blade" if place == "plug" else "screw-terminal", "surface": "tape"}
                own.append(one)
                rise = 1.0 if leg == "N" else self.base + 0.6 * (day - self.site["begin"]).days / 365.25 + random.gauss(0, 0.2)
                rises[one["id"]] = rise + GUNS[gun] + (18 if one["id"] == hot else 0)
            if place != "plug":
                own.append({"id": f"{place}-{ground}", "leg": ground, "kind": "screw-terminal"})
                for one in own:
                    one["torque"] = torque
            if not self.us:
                for one in own:
                    one["standard"] = "iec-60898-1" if place == "breaker" else "iec-61439-1"
            if self.mended == day:
                own[0]["remade"] = own[0]["id"] == self.where()
            places.append({"id": place, "name": f"Terminals of the {place}", "part": place, "connections": own})
        air = 20 + 5 * math.sin(day.timetuple().tm_yday / 58)

        def rounds(first, second, third, without=None):
            share = lambda minutes: 1 - math.exp(-minutes / 18)
            less = {without: 18} if without else {}
            reads = lambda part: {id: degrees(air + part * (rise - less.get(id, 0))) for id, rise in rises.items()}
            loaded = {"air": degrees(air), "current": "32 A", "voltage": "238 V" if self.us else "398 V"}
            all = [{"at": first, "air": degrees(air), "current": "0 A", "readings": reads(0)},
                   {"at": second, **loaded, "readings": reads(share(15))},
                   {"at": third, **loaded, "readings": reads(share(65))}]
            return all if done else all[:2]

        pairs = ["L1-L2", "L1-G", "L2-G"] if self.us else [
            "L1-L2", "L1-L3", "L2-L3", "L1-N", "L2-N", "L3-N", "L1-PE", "L2-PE", "L3-PE", "N-PE"]
        connections = [one for place in places for one in place["connections"]]
        circuit = {
            "id": self.id, "name": self.name,
            "charger": {"make": self.make, "model": f"{self.make[0]}-32", "rated_current": "32 A",
                        "serial": f"{self.site['name']} {self.id}", "connection": "receptacle" if self.us else "hardwired"},
            "dedicated": True, "hottest_air": "40 °C", "places": places,
            "isolation": {"tester": "tester", "proved_before": "241 V", "dead": {pair: "0 V" for pair in pairs},
                          "proved_after": "241 V", "locked": True},
            "torque": [{"connection": one["id"], "found": "held", "left": torque, "with": "driver"}
                       for one in connections if "torque" in one],
            "looked_at": [{"place": place["id"], "seen": "clean"} for place in places],
            "heat": {"with": "gun", "charging_from": "09:00", "rounds": rounds("08:50", "09:15", "10:05")},
        }
        if self.us:
            circuit |= {
                "supply": {"phases": 1, "legs": ["L1", "L2"], "voltage": "240 V"},
                "breaker": {"rating": "40 A", "poles": 2, "terminal_rating": "75 °C", "ground_fault": "gfci"},
                "conductors": {"material": "copper", "size": "8 AWG", "insulation": "90 °C", "wiring": "conduit",
                               "length": "40 ft", "current_carrying": 2, "stranded": True},
                "disconnect": {"kind": "breaker", "in_sight": True, "lockable": True},
                "receptacle": {"configuration": "14-50", "grade": "residential" if self.residential else "industrial",
                               "rating": "75 °C", "wet_location": False},
            }
        else:
            circuit |= {
                "supply": {"phases": 3, "legs": ["L1", "L2", "L3", "N"], "voltage": "400 V", "system": "wye", "earthing": "tn"},
                "breaker": {"kind": "mcb", "rating": "40 A", "poles": 4},
                "conductors": {"material": "copper", "size": "10 mm²", "insulation": "70 °C", "wiring": "cable", "method": "C",
                               "circuits_together": 1, "length": "24 m", "stranded": True},
                "rcd": {"type": "a", "rating": "30 mA", "dc_detection": True, "trip_time": "26 ms"},
            }
        if self.faulty() and self.fault == "melted":
            circuit["looked_at"][0]["seen"] = "melted"
        if repaired and hot:
            circuit["repairs"] = [{"connection": hot, "done": "remade", "at": "11:00", "cooled_to": degrees(air), "with": "gun"}]
            circuit["heat_after"] = {"with": "gun", "charging_from": "12:00", "rounds": rounds("11:50", "12:15", "13:05", without=hot)}
        return circuit


def sites():
    number = 0
    for n in range(36):
        name, rules, language, person = FIRMS[n % 4]
        begin = datetime.date(2023, 12, 31) if n % 12 == 0 else datetime.date(2023, 6, 1) + datetime.timedelta(days=random.randrange(400))
        site = {"firm": name, "rules": rules, "language": language, "inspector": person, "begin": begin,
                "name": f"{n}/{n + 1} Mill Lane", "address": f"{n} Mill Lane\nFernhollow",
                "client": CLIENTS[n % 5], "client_address": f"{n % 10} Bank Street\nFernhollow"}
        site["circuits"] = []
        for bay in range(1, random.choice([2, 3, 3])):
            number += 1
            site["circuits"].append(Circuit(site, bay, rules == "us" and number % 2 == 0))
        yield site


def visits(site):
    """The visits to a site: day, reason, thermometer, kind, circuits."""
    day, reason, gun = site["begin"], "first", random.choice(list(GUNS))
    for n in range(4):
        kind = random.choices(["usual", "cut", "mended on the day"], [8, 1, 1])[0]
        yield day, reason, gun, kind, site["circuits"]
        broken = [c for c in site["circuits"] if c.faulty()]
        if kind == "mended on the day":
            for circuit in broken:
                circuit.mended = circuit.fault != "melted" and day
            broken = [c for c in broken if c.faulty()]
        if broken and kind != "cut" and random.random() < 0.6:
            later = day + datetime.timedelta(days=random.randrange(5, 25))
            for circuit in broken:
                circuit.mended = later
            yield later, "after-repair", gun, "usual", broken
        day += datetime.timedelta(days=(180 if n == 0 else 365) + random.randrange(-20, 20))
        reason, gun = "periodic", random.choice(list(GUNS))
        if day > TODAY:
            return


def expected(circuit, day, reason, kind, ends):
    """State of a circuit after a visit: when it is due and why, and what an order asks for."""
    hot = circuit.faulty() and circuit.fault != "melted"
    jobs = [("unsuitable-receptacle", "")] if circuit.residential else []
    first = reason == "first"
    due, why = months_later(day, 6 if first or circuit.residential else 12), "watch" if circuit.residential else "first" if first else "clean"
    if circuit.faulty() and circuit.fault == "melted":
        due, why, jobs = None, "off", [("damaged-part", ""), *jobs]
    elif hot and kind != "mended on the day":
        # Over 15 K between legs, and the charger has no lower current.
        due, why, jobs = None, "off", [("poor-joint", circuit.where()), *jobs]
    if kind == "cut" and why != "off":
        due = min(due, months_later(day, 3), ends or datetime.date.max)
    return {"due": due, "why": why, "jobs": jobs, "cut": kind == "cut", "ends": ends}


def run(folder, *args, codes=(0, 5)):
    ran = subprocess.run([program, *args], cwd=folder, capture_output=True, env={**os.environ, "XDG_CONFIG_HOME": str(folder / "config")})
    assert ran.returncode in codes, (args, ran.returncode, ran.stderr.decode()[-2000:])
    return ran.stdout


def table(raw):
    return list(csv.DictReader(io.StringIO(raw.decode("utf-8-sig"), newline="")))


def write(folder):
    """Writes all visits; returns what each is to show, by number, and the last states of every circuit."""
    after, number = {}, 0
    (folder / "visits").mkdir()
    for site in sites():
        for day, reason, gun, kind, circuits in visits(site):
            number += 1
            ends = day + datetime.timedelta(days=20) if kind == "cut" and number % 2 else None
            told = f"{number:04}"
            over = (day + datetime.timedelta(days=300)).isoformat()
            visit = {
                "visit": {"number": told, "date": day.isoformat(), "reason": reason, "rules": site["rules"]},
                "print": {"language": site["language"]},
                "inspector": {"name": site["inspector"], "firm": site["firm"], "phone": "555-0100"},
                "client": {"name": site["client"], "role": "owner", "address": site["client_address"]},
                "site": {"name": site["name"], "address": site["address"]},
                "instruments": {
                    "gun": {"kind": "infrared-thermometer", "serial": gun, "calibration_due": over,
                            "accuracy": {"of_reading": "1 %", "at_least": "1 °C"}, "emissivity": 0.95, "distance_to_spot": "100:1"},
                    "driver": {"kind": "torque-screwdriver", "serial": "D1", "calibration_due": over, "accuracy": {"of_reading": "6 %"}},
                    "tester": {"kind": "voltage-tester", "serial": "V1", "calibration_due": over},
                    "clamp": {"kind": "clamp-meter", "serial": "C1", "calibration_due": over, "accuracy": {"of_reading": "2 %"}},
                },
                # A visit that ends early leaves its last circuit unfinished.
                "circuits": [c.visited(day, gun, kind != "cut" or c is not circuits[-1], kind == "mended on the day") for c in circuits],
            }
            if kind == "cut":
                visit["cut_short"] = {"why": "The tenant had to leave.", **({"return": ends.isoformat()} if ends else {})}
            lines = [f"{key}: {json.dumps(value, ensure_ascii=False)}\n" for key, value in visit.items()]
            (folder / "visits" / f"{told}.yaml").write_text("".join(lines))
            after[told] = (site, day, {
                c.id: expected(c, day, reason, "usual" if kind == "cut" and c is not circuits[-1] else kind, ends) for c in circuits})
    return after


def in_force(after):
    """The certificate in force of each circuit, what is expected of it, and the visit that ended early, if any."""
    found = {}
    for number, (site, day, circuits) in after.items():
        for id, state in circuits.items():
            before = found.get((site["name"], id))
            # What is to be repaired stays until a complete visit finds it mended.
            unfinished = before and state["cut"] and before[2]["why"] == "off" != state["why"]
            found[site["name"], id] = (*before[:3], state) if unfinished else (number, day, state, state if state["cut"] else None)
    return found


def due(folder, after):
    monday = TODAY - datetime.timedelta(days=TODAY.weekday())
    until = monday + datetime.timedelta(weeks=WEEKS + 1)
    wanted = {}
    for key, (number, day, state, cut) in in_force(after).items():
        if cut:
            # On the day that was agreed, or of the rules.
            wanted[key] = ("cut-short", cut["ends"] or cut["due"], number, ["cut"] + (["off"] if state["why"] == "off" else []))
        elif state["due"] is None:
            wanted[key] = ("do-not-use", None, number, ["off"])
        elif state["due"] < until:
            wanted[key] = ("overdue" if state["due"] < TODAY else "due", state["due"], number, [state["why"]])
    options = ["due", "certificates", "--today", TODAY.isoformat(), "--weeks", str(WEEKS), "--seals-only"]
    listed = json.loads(run(folder, *options, "--format", "json", "--letters", "letters", "--letters-as", "text"))["circuits"]
    found = {(c["site"], c["circuit"]): (c["state"], c["day"] and datetime.date.fromisoformat(c["day"]), c["certificate"]) for c in listed}
    assert found == {key: value[:3] for key, value in wanted.items()}, [
        (key, found.get(key), wanted.get(key)) for key in found.keys() | wanted if found.get(key) != wanted.get(key, (None,) * 4)[:3]]
    for circuit in listed:
        for why in wanted[circuit["site"], circuit["circuit"]][3]:
            assert REASONS[why] in circuit["reason"], (circuit, why)
        assert circuit["withheld"] is None and circuit["letter"], circuit

    letters = {letter["file"]: letter for letter in table((folder / "letters" / "letters.csv").read_bytes())}
    sections = 0
    for file, letter in letters.items():
        text = (folder / "letters" / file).read_text()
        lines = text.split("\n")
        own = [c for c in listed if c["letter"] == file]
        assert own and f"\n{own[0]['client']}\n{own[0]['client_address']}\n" in text, text
        # The line below a heading has dashes.
        heads = {lines[i - 1]: i for i, line in enumerate(lines) if line and set(line) == {"-"}}
        for circuit in own:
            begin = heads.pop(f"{circuit['circuit_name']}, {circuit['site']}")
            section = "\n".join(lines[begin:]).split("\n---")[0]
            state, day, number, _ = wanted[circuit["site"], circuit["circuit"]]
            site = after[number][0]
            assert letter["language"] == site["language"], letter
            off = circuit["do_not_use"]
            assert off or written(day, site["language"]) in section, (day, section)
            assert number in section and written(after[number][1], site["language"]) in section, section
            sections += 1
        # What is left is what to prepare.
        assert len(heads) == 1, heads
    assert sections == len(listed)
    return collections.Counter(c["state"] for c in listed), len(letters)


def labels(folder, after, files):
    """The labels of some certificates: number, dates, and whether the circuit is to stay off."""
    count = 0
    for number in list(after)[::9]:
        site, day, circuits = after[number]
        run(folder, "extract", files[number], "--label", "-o", "label.pdf", "--force")
        text = subprocess.run(["pdftotext", "-raw", folder / "label.pdf", "-"], capture_output=True, text=True, check=True).stdout
        pages = text.split("\f")[:-1]
        assert len(pages) == len(circuits), text
        for page, state in zip(pages, circuits.values()):
            words = " ".join(page.split()).replace("\u202f", " ")
            assert number in words and written(day, site["language"]) in words, words
            assert state["due"] is None or written(state["due"], site["language"]) in words, (state, words)
            count += 1
    return count


def orders(folder, after, files):
    count = 0
    for number, (_, _, circuits) in after.items():
        wanted = sorted((id, *job) for id, state in circuits.items() for job in state["jobs"])
        if not wanted and int(number) % 8:
            continue
        raw = run(folder, "order", files[number], "-o", "order.pdf", "--csv", "-", "--force")
        lines = table(raw) if raw else []
        ids = {f"Charger {n}": f"bay-{n}" for n in range(1, 4)}
        # What could not be finished is no job; what a rise of the whole place shows is a note.
        found = sorted((ids[l["circuit"]], l["finding"], l["connections"]) for l in lines if l["grade"] != "note")
        assert found == wanted, (number, found, wanted)
        count += bool(lines)
    return count


with tempfile.TemporaryDirectory() as folder:
    folder = pathlib.Path(folder)
    after = write(folder)
    (folder / "certificates").mkdir()
    run(folder, "certify", "visits", "--name", "{firm}/{site}/{date} {number}.pdf", "-o", "certificates")
    paths = sorted((folder / "certificates").rglob("*.pdf"))
    assert len(paths) == len(after)
    files = {path.stem.split()[1]: str(path) for path in paths}
    for number, (site, day, _) in after.items():
        assert files[number].endswith(f"/{site['firm']}/{site['name'].replace('/', '-')}/{day} {number}.pdf"), files[number]

    options = ["register", "certificates", "--today", TODAY.isoformat(), "--seals-only"]
    run(folder, *options, "--fleet", "fleet.json", "--index", "certificates/index", "--sealed-by", "Ada Ohm")
    index = table((folder / "certificates" / "index.csv").read_bytes())
    assert sorted(line["number"] for line in index) == sorted(after)
    for line in index:
        digest = hashlib.sha256((folder / "certificates" / line["file"]).read_bytes()).hexdigest()
        assert digest == line["sha256"], line
    # An index is no certificate, and says so.
    told = " ".join(run(folder, "verify", "certificates/index.pdf", codes=[1]).decode().split())
    assert told.startswith(f"Index of {len(after)} certificates; ask for") and "Unchanged since" in told, told

    states, letters = due(folder, after)
    ordered = orders(folder, after, files)
    labelled = labels(folder, after, files)

    fleet = json.loads((folder / "fleet.json").read_text())
    named = {(s["what"], s["value"]) for s in fleet["stands_out"]}
    assert ("receptacle", "14-50, residential") in named, named
    assert not any(what.startswith("charger") for what, _ in named), named
    reads = {t["thermometer"]: t["reads"] for t in fleet["thermometers"]}
    assert reads == {"G1": None, "G2": None, "G3": "high"}, fleet["thermometers"]
    print(f"{len(after)} certificates of {len(FIRMS)} firms: {dict(states)} circuits due, {letters} letters, {ordered} orders, {labelled} labels, the index, and the fleet are as planted")
