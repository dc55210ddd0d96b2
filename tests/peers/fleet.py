"""Computes what `register --fleet` says of many circuits again, with DuckDB from the JSON lines: counts and
intervals of every make and part, which of them stand out, thermometers, how rises grow in a year, and how much
since the first certificate. Intervals of medians come from SciPy's binomial distribution. 300 invented circuits
have a planted bad receptacle and a thermometer that reads high. The query that the README shows runs as it is
there.

    fleet.py PROGRAM
"""

import datetime
import json
import pathlib
import random
import subprocess
import sys
import tempfile

import duckdb
from scipy.stats import binom, binomtest, hypergeom

program = sys.argv[1]
CIRCUITS = 300
random.seed(25)


def invented():
    """Rows as certificates would have them."""
    number = 0
    for n in range(CIRCUITS):
        site = f"{n // 2} Mill Lane"
        receptacle = random.choice(["14-50, residential", "14-50, industrial", "14-50, industrial", "6-50"])
        # Most bad receptacles are beside one make.
        make = random.choice(["Kestrel Works", "Kestrel Works", "Harrow"]) if "resi" in receptacle else random.choice(["Harrow", "Linnet", "Kestrel Works"])
        begin = datetime.date(2023, 1, 1) + datetime.timedelta(days=random.randrange(300))
        base = random.gauss(12, 3)
        for visit in range(random.choice([1, 2, 3, 3])):
            number += 1
            date = begin + datetime.timedelta(days=visit * 365 + random.randrange(-20, 20))
            gun = random.choice(["G1", "G2", "G3", None]) if visit else "G1"
            rises = {}
            points = []
            for place, kind in [("breaker", "screw-terminal"), ("receptacle", "screw-terminal"), ("plug", "blade"), ("charger", "lug")]:
                bad = place == "receptacle" and "resi" in receptacle and random.random() < 0.4
                odd = random.random()
                grade = "repair" if bad or odd < 0.015 else "stop" if odd < 0.018 else "watch" if odd < 0.08 else "pass"
                rises[place] = round(base + 0.7 * visit + (3.0 if gun == "G3" else 0.0) + random.gauss(0, 0.6), 2)
                points.append({
                    "connection": f"{place}-L1", "place": place, "part": place, "kind": kind,
                    "worst_grade": grade, "rise_at_rated_k": rises[place] if random.random() < 0.97 else None,
                    "rise_uncertainty_k": 2.0, "margin_k": round(35 - rises[place], 2),
                    "fresh": random.random() < 0.05,
                })
            yield {
                "number": f"N-{number:05}", "site": site, "circuit": f"bay-{n % 2}", "circuit_name": None,
                "date": date.isoformat(), "outcome": "satisfactory", "complete": True, "worst_grade": "pass",
                "worst_margin_k": min(p["margin_k"] for p in points), "next_due": "2027-01-01",
                "signer": "Ada Ohm", "fingerprint": "ab" * 32, "signed_at": f"{date}T12:00:00+00:00",
                "valid": True, "problem": None, "units": "us", "sha256": f"{number:064x}", "replaces": None,
                "file": f"{number}.pdf", "charger_make": make, "thermometer": gun,
                "equipment": {
                    "charger_model": {"Kestrel Works": "K1", "Harrow": "H4", "Linnet": None}[make],
                    "receptacle": receptacle, "breaker": random.choice(["mcb, 50 A", "fuse, 63 A"]),
                    "conductors": random.choice(["copper", "copper", "aluminium"]),
                },
                "margins": [{"connection": p["connection"], "margin_k": p["margin_k"]} for p in points],
                "points": points,
            }


WHATS = {
    "charger-make": ("charger_make", "part in ('charger', 'plug')"),
    "charger-model": ("charger_make || ' ' || equipment.charger_model", "part in ('charger', 'plug')"),
    "receptacle": ("equipment.receptacle", "part in ('receptacle', 'plug')"),
    "breaker": ("equipment.breaker", "part in ('breaker', 'busbar')"),
    "conductors": ("equipment.conductors", "true"),
    "part": ("part || ', ' || kind", "true"),
}
GRADES = {"repair": "('repair', 'stop')", "watch": "('watch', 'repair', 'stop')"}


def compare(db, fleet):
    db.execute("""
        create table cases (what varchar, worse varchar, value varchar, site varchar, circuit varchar, failed boolean)
    """)
    for what, (value, at) in WHATS.items():
        for worse, grades in GRADES.items():
            db.execute(f"""
                insert into cases select '{what}', '{worse}', {value}, site, circuit, bool_or(worst_grade in {grades})
                from points where ({value}) is not null and {at} group by all
            """)
    wilson = """
        select *, (k + zz/2) / (n + zz) - sqrt(zz) / (n + zz) * sqrt(k * (n - k) / n + zz/4) as low,
               (k + zz/2) / (n + zz) + sqrt(zz) / (n + zz) * sqrt(k * (n - k) / n + zz/4) as high
        from (select *, 3.841458820694124 as zz from {counts})
    """
    counts = """
        (select what, worse, value, count(*) as n, count(*) filter (failed) as k,
                count(distinct site) filter (failed) as properties
         from cases where (site, circuit) not in (select site, circuit from without) group by all)
    """
    rest = """
        (select own.what, own.worse, own.value, total.n - own.n as n, total.k - own.k as k
         from {counts} own join (select what, worse, sum(n) as n, sum(k) as k from {counts} group by all) total
         using (what, worse) where total.n > own.n)
    """.replace("{counts}", counts)
    both = f"""
        select own.what, own.worse, own.value, own.n, own.k, own.low, own.high,
               rest.n, rest.k, rest.low, rest.high, own.properties
        from ({wilson.format(counts=counts)}) own left join ({wilson.format(counts=rest)}) rest
        using (what, worse, value)
    """
    db.execute("create table without (site varchar, circuit varchar)")
    theirs = {(g["what"], g["worse"], g["value"]): g for g in fleet["groups"]}
    ours = db.sql(both).fetchall()
    assert len(ours) == len(theirs) > 25, (len(ours), len(theirs))
    near = lambda a, b: abs(a - b) < 2e-6
    for what, worse, value, n, k, low, high, rest_n, rest_k, rest_low, rest_high, _ in ours:
        group = theirs[what, worse, value]
        assert (group["group"]["circuits"], group["group"]["failed"]) == (n, k), (value, group)
        assert (group["rest"]["circuits"], group["rest"]["failed"]) == (rest_n, rest_k), (value, group)
        assert near(group["group"]["interval"][0], max(low, 0)) and near(group["group"]["interval"][1], min(high, 1)), group
        assert near(group["rest"]["interval"][0], max(rest_low, 0)) and near(group["rest"]["interval"][1], min(rest_high, 1)), group
        # SciPy has the same interval under its own name.
        own = binomtest(k, n).proportion_ci(method="wilson")
        assert near(own.low, group["group"]["interval"][0]) and near(own.high, group["group"]["interval"][1]), group

    comparisons = sum(r[3] >= 10 and r[7] is not None and r[7] >= 10 for r in ours)
    assert comparisons == fleet["rule"]["comparisons"], (comparisons, fleet["rule"])

    def chance(row):
        n, k, rest_n, rest_k = row[3], row[4], row[7], row[8]
        return min(1, comparisons * hypergeom.sf(k - 1, n + rest_n, k + rest_k, n))

    found, chances = [], []
    for worse in GRADES:
        while True:
            clear = [r for r in db.sql(both).fetchall()
                     if r[1] == worse and r[3] >= 10 and r[4] >= 4 and r[7] is not None and r[7] >= 10
                     and r[11] >= 3 and r[5] > r[10] and chance(r) <= 0.05]
            if not clear:
                break
            row = max(clear, key=lambda r: r[5] - r[10])
            what, _, value, *_ = row
            chances.append(chance(row))
            found.append((what, worse, value))
            db.execute("insert into without select distinct site, circuit from cases where what = ? and value = ?", [what, value])
    told = [(s["what"], s["worse"], s["value"]) for s in fleet["stands_out"]]
    assert found == told, (found, told)
    assert all(near(s["by_chance"], own) for s, own in zip(fleet["stands_out"], chances)), (fleet["stands_out"], chances)
    assert ("receptacle", "repair", "14-50, residential") in found, found
    return len(ours), found


def interval(values):
    """Median and interval between two of the values, by SciPy's binomial distribution."""
    if len(values) < 10:
        return None, None
    values, n = sorted(values), len(values)
    outside = next(k for k in range(n) if binom.cdf(k, n, 0.5) > 0.025)
    return duckdb.sql(f"select median(v) from (select unnest({values}::double[]) as v)").fetchall()[0][0], [values[outside - 1], values[n - outside]]


def same(theirs, middle, bounds, keys):
    own = theirs[keys]
    assert (own is None) == (middle is None) and (own is None or abs(own - middle) < 2e-6), (theirs, middle)
    if bounds:
        assert all(abs(a - b) < 2e-6 for a, b in zip(theirs["interval"], bounds)), (theirs, bounds)


def changes(db, fleet):
    # Each visit with the one before it.
    db.execute("""
        create table pairs as
        with visits as (select distinct site, circuit, date, thermometer, sha256 from points),
        before as (select *, lag(sha256) over w as earlier, lag(date) over w as earlier_date,
                   lag(thermometer) over w as earlier_gun, count(*) over (partition by site, circuit) as visits
                   from visits window w as (partition by site, circuit order by date))
        select b.site, b.circuit, now.part, b.thermometer as gun, b.earlier_gun,
               now.rise_at_rated_k - was.rise_at_rated_k as change, (b.date - b.earlier_date) / 365.25 as years
        from before b join points now using (sha256) join points was
          on was.sha256 = b.earlier and was.connection = now.connection
        where not now.fresh and now.rise_at_rated_k is not null and was.rise_at_rated_k is not null
    """)
    same_gun = "gun is not distinct from earlier_gun and years >= 0.25"
    growth = 0
    for theirs in fleet["growth"]:
        part = "true" if theirs["part"] is None else f"part = '{theirs['part']}'"
        values = [v for (v,) in db.sql(f"select median(change / years) from pairs where {same_gun} and {part} group by site, circuit").fetchall()]
        assert len(values) == theirs["circuits"] > 10, theirs
        middle, bounds = interval(values)
        same(theirs, middle, bounds, "k_per_year")
        growth = middle if theirs["part"] is None else growth
    assert abs(growth - 0.7) < 0.3, growth

    diffs = db.sql(f"""
        select site, circuit, gun, earlier_gun, median(change) - any_value(years) * {growth:.6f} as more
        from pairs where gun <> earlier_gun group by site, circuit, gun, earlier_gun, years
    """).fetchall()
    own = {}
    for site, circuit, gun, other, more in diffs:
        for gun, more in ((gun, more), (other, -more)):
            own.setdefault(gun, {}).setdefault((site, circuit), []).append(more)
    assert set(own) == {t["thermometer"] for t in fleet["thermometers"]} == {"G1", "G2", "G3"}
    for theirs in fleet["thermometers"]:
        means = [sum(m) / len(m) for m in own[theirs["thermometer"]].values()]
        assert len(means) == theirs["circuits"], theirs
        middle, bounds = interval(means)
        same(theirs, middle, bounds, "above_others_k")
    reads = {t["thermometer"]: t["reads"] for t in fleet["thermometers"]}
    assert reads == {"G1": None, "G2": None, "G3": "high"}, reads
    return growth


def ages(db, fleet):
    """Each visit with the first one, but for connections that were made anew since then."""
    values = db.sql("""
        with visits as (select distinct site, circuit, date, thermometer, sha256 from points),
        begun as (select site, circuit, min(date) as date from visits group by all),
        first as (select visits.* from visits join begun using (site, circuit, date)),
        anew as (select site, circuit, connection, date from points where fresh),
        changes as (
          select now.site, now.circuit, cast(floor((now.date - first.date) / 365.25) as int) as years,
                 now.rise_at_rated_k - was.rise_at_rated_k as change
          from points now
          join first on first.site = now.site and first.circuit = now.circuit and first.date < now.date
          join points was on was.sha256 = first.sha256 and was.connection = now.connection
          where now.thermometer is not distinct from first.thermometer
            and not exists (from anew where anew.site = now.site and anew.circuit = now.circuit
                            and anew.connection = now.connection and anew.date > first.date and anew.date <= now.date)
            and now.rise_at_rated_k is not null and was.rise_at_rated_k is not null)
        select years, median(change) from changes group by site, circuit, years order by years
    """).fetchall()
    years = sorted({year for year, _ in values})
    assert years == [theirs["years"] for theirs in fleet["by_age"]] and len(years) > 2, (years, fleet["by_age"])
    for theirs in fleet["by_age"]:
        own = [change for year, change in values if year == theirs["years"]]
        assert len(own) == theirs["circuits"], theirs
        middle, bounds = interval(own)
        same(theirs, middle, bounds, "grown_k")
    # 0.7 K from one visit to the next were planted, which are a year apart, or some days less.
    grown = [theirs["grown_k"] for theirs in fleet["by_age"]]
    assert abs(grown[0] - 0.7) < 0.3 and grown == sorted(grown), grown


with tempfile.TemporaryDirectory() as name:
    folder = pathlib.Path(name)
    (folder / "given.jsonl").write_text("".join(json.dumps(row) + "\n" for row in invented()))
    command = [program, "register", "given.jsonl", "--believe-lines", "--allow-uncompared", "--no-known",
               "--format", "jsonl", "-o", "register.jsonl", "--fleet", "fleet.json"]
    ran = subprocess.run(command, cwd=folder, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr
    fleet = json.loads((folder / "fleet.json").read_text())

    db = duckdb.connect()
    lines = f"read_json('{folder}/register.jsonl', format = 'newline_delimited', union_by_name = true)"
    db.execute(f"""
        create table points as select site, circuit, date::date as date, sha256, thermometer, charger_make, equipment, p.*
        from (select *, unnest(points) as p from {lines} where valid)
    """)
    assert db.sql("select count(distinct (site, circuit)), count(distinct sha256) from points").fetchall() == [(fleet["circuits"], fleet["visits"])]
    groups, found = compare(db, fleet)
    growth = changes(db, fleet)
    ages(db, fleet)

    worst = db.sql(f"""
        select site, circuit, m.connection, m.margin_k from
        (select site, circuit, unnest(margins) as m from {lines} where current)
        order by m.margin_k, site, circuit, m.connection limit 10
    """).fetchall()
    assert worst == [(w["site"], w["circuit"], w["connection"], w["margin_k"]) for w in fleet["worst_margins"]], worst

    readme = (pathlib.Path(__file__).parents[2] / "README.md").read_text()
    query = readme.split("```sql\n", 1)[1].split("```", 1)[0]
    shown = db.sql(query.replace("'register.jsonl'", f"'{folder}/register.jsonl'")).fetchall()
    for what, n, k, low, high in shown:
        (group,) = [g for g in fleet["groups"] if (g["what"], g["worse"], g["value"]) == ("receptacle", "repair", what)]
        assert (group["group"]["circuits"], group["group"]["failed"]) == (n, k), group
        assert abs(group["group"]["interval"][0] - low) < 2e-6 and abs(group["group"]["interval"][1] - high) < 2e-6, group
    assert shown[0][0] == "14-50, residential", shown
    print(f"DuckDB {duckdb.__version__}: {groups} groups of {fleet['circuits']} circuits, what stands out ({', '.join(v for _, _, v in found)}),"
          f" thermometers, growth since the first certificate and in a year ({growth:.2f} K a year) are the same")
