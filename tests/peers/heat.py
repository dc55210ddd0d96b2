#!/usr/bin/env python3
"""The numbers of heat of random visits, computed again with numpy and scipy.

    heat.py WARMLUG [VISITS]

Writes visits with random thermometers, surfaces, currents, air, sun and noise, has them checked, and
computes each rise, settled rise, rise at rated current, projection, margin and leg difference, and
the uncertainty of each, from the definitions: emissivity by Planck's law integrated by quadrature,
curves by scipy's least squares, uncertainties by numerical derivatives (JCGM 100:2008, 5.1 and 5.2).
All must agree to 0.01 K, and half the last digit that the JSON prints.

How much the rounds determine, and which reading would have been enough where they do not, is not
decided again here; tests/trade/thermal/peers.py does that. Where a lower reading decides (a rise that
is neither settled nor measured), the rise at rated current is left out, and counted.
"""

import json
import math
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import yaml
from scipy import constants, integrate, optimize

from ledger import close, expect

program = Path(sys.argv[1]).resolve()
VISITS = int(sys.argv[2]) if len(sys.argv) > 2 else 150
WITHIN = 0.01 + 0.0051
K = 2.0
C2 = constants.h * constants.c / constants.k
BAND = (8e-6, 14e-6)
RATED = 40.0
EXPONENTS = (1.6, 2.0)
# Ranges of general emissivity tables, and of the rule set.
SURFACES = {"insulation": (0.89, 0.99), "tape": (0.95, 0.97), "plastic": (0.85, 0.97)}
SLOW_SHARE, SLOW_MIN = 0.45, 90.0
NEARLY_ALL = 0.9


def root(*parts):
    return math.sqrt(sum(p * p for p in parts))


def left(whole, part):
    return math.sqrt(max(whole * whole - part * part, 0.0))


def radiance(t):
    def planck(w):
        return 2 * constants.h * constants.c**2 / w**5 / math.expm1(C2 / (w * t))

    return integrate.quad(planck, *BAND, epsabs=0.0, epsrel=1e-11)[0]


def slope(t):
    return (radiance(t + 0.05) - radiance(t - 0.05)) / 0.1


class Thermometer:
    def __init__(self, told):
        accuracy = told["accuracy"]
        self.share = float(accuracy["of_reading"].split()[0]) / 100
        self.least = float(accuracy["at_least"].split()[0])
        self.repeatability = float(told["repeatability"].split()[0]) if "repeatability" in told else None
        self.setting = told.get("emissivity", 0.95)

    def standard(self, celsius):
        return max(self.least, self.share * abs(celsius)) / math.sqrt(3)

    def scatter(self, celsius):
        """Of one reading; an assumed one is never worse than the accuracy."""
        if self.repeatability is None:
            return min(0.5, self.standard(celsius))
        return self.repeatability


class Read:
    """A reading as a rise over the air, with the parts of its uncertainty."""

    def __init__(self, shown, air, connection, gun, air_gun, minutes):
        self.minutes, self.air = minutes, air
        e, half = connection.get("emissivity"), 0.05
        if e is None:
            low, high = SURFACES[connection["surface"]]
            inside = low <= gun.setting <= high
            e = gun.setting if inside else (low + high) / 2
            half = (high - low) / 2
        ti, tr, es = shown + 273.15, air + 273.15, gun.setting
        own = (es * radiance(ti) + (e - es) * radiance(tr)) / e
        t = ti if e == es else optimize.brentq(lambda t: radiance(t) / own - 1, 150, 800, xtol=1e-10)
        by_shown = es * slope(ti) / (e * slope(t))
        by_e = (radiance(tr) - radiance(t)) / (e * slope(t))
        by_reflected = (e - es) * slope(tr) / (e * slope(t))
        whole = gun.standard(shown)
        one = gun.scatter(shown)
        u_air = air_gun.standard(air)
        self.t = t - 273.15
        self.scatter = by_shown * one
        self.instrument = max(by_shown, 1.0) * max(whole, one)
        emissivity = by_e * half / math.sqrt(3)
        own = root(self.instrument, emissivity)
        self.u = root(own, by_reflected * u_air)
        self.rise = self.t - air
        by_air = -1.0 + by_reflected
        self.u_rise = root(own, by_air * u_air)
        s_air = 0.5 if air_gun.repeatability is None else air_gun.repeatability
        self.rise_scatter = root(self.scatter, by_air * min(s_air, u_air))
        # What all readings of the thermometer have in common, and the rest.
        self.bias = left(self.instrument, self.scatter)
        self.own = left(self.u, self.bias)


class Curve:
    """R and τ of the loaded rounds under one current, by least squares."""

    def __init__(self, loaded, cold):
        self.t = np.array([r.minutes for r in loaded])
        self.y = np.array([r.rise for r in loaded])
        self.u = np.array([r.u_rise for r in loaded])
        self.airs = [cold.air if cold else loaded[0].air, *(r.air for r in loaded)]
        self.start = cold.rise if cold and cold.rise > K * cold.u_rise else 0.0
        shares = [min((r.rise_scatter / r.u_rise) ** 2, 1.0) for r in loaded[:-1]]
        self.share = max(shares) if shares else None

    def model(self, r, tau):
        """Integrated from round to round: the air changes linearly between them."""
        out, now, begin = [], self.start, 0.0
        for i, end in enumerate(self.t):
            d = end - begin
            drift = (self.airs[i + 1] - self.airs[i]) / d
            goal = r - tau * drift
            now = goal + (now - goal) * math.exp(-d / tau)
            out.append(now)
            begin = end
        return np.array(out)

    def combined(self, independent, common):
        if self.share is None:
            return max(independent, common)
        return math.sqrt(self.share * independent**2 + (1 - self.share) * common**2)

    def fit(self):
        """R, its standard uncertainty without a slow part, the heat still to come, and its own."""
        def residual(p):
            return (self.y - self.model(p[0], math.exp(p[1]))) / self.u

        best = None
        for tau in np.geomspace(self.t[0] / 16, self.t[-1] * 40, 25):
            f = self.model(1.0, tau) - self.model(0.0, tau)
            rest = self.y - self.model(0.0, tau)
            r = float(np.sum(f * rest / self.u**2) / np.sum((f / self.u) ** 2))
            chi = float(np.sum(residual((r, math.log(tau))) ** 2))
            if best is None or chi < best[0]:
                best = (chi, r, math.log(tau))
        found = optimize.least_squares(
            residual, best[1:], x_scale=(10.0, 1.0), xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=2000
        )
        r, tau = found.x[0], math.exp(found.x[1])

        def by(f):
            """Derivatives by R and τ."""
            h, k = 1e-4 * abs(r), 1e-4 * tau
            return np.array([(f(r + h, tau) - f(r - h, tau)) / (2 * h), (f(r, tau + k) - f(r, tau - k)) / (2 * k)])

        jacobian = (by(self.model) / self.u).T
        covariance = np.linalg.inv(jacobian.T @ jacobian)
        common = covariance @ jacobian.T @ np.ones(len(self.t))
        spare = len(self.t) - 2
        independent = 1.0 if self.share is None else self.share
        birge = max(1.0, float(np.sum(found.fun**2)) / independent / spare) if spare else 1.0
        to_come = by(lambda r, tau: r - self.model(r, tau)[-1])

        def spread(q):
            return self.combined(math.sqrt(birge * q @ covariance @ q), abs(q @ common))

        return r, spread(np.array([1.0, 0.0])), r - self.model(r, tau)[-1], spread(to_come)

    def plateau(self):
        w = self.u**-2.0
        r = float(np.sum(w * self.y) / np.sum(w))
        u = self.combined(float(np.sum(w)) ** -0.5, float(np.sum(w * self.u) / np.sum(w)))
        return r, u, 0.0, 0.0


def factor(current):
    """Mean and standard deviation of qⁿ, and the mean of n·qⁿ, for equally likely n."""
    q = RATED / current
    low, high = EXPONENTS

    def mean(f):
        return integrate.quad(f, low, high, epsabs=0, epsrel=1e-12)[0] / (high - low)

    m = mean(lambda n: q**n)
    return m, math.sqrt(max(mean(lambda n: (q**n - m) ** 2), 0.0)), mean(lambda n: n * q**n)


def at_rated(rise, u, current, accuracy):
    m, spread, by_current = factor(current)
    u_current = accuracy * current / math.sqrt(3)
    value = rise * m if rise > 0 else rise
    return value, root(m * u, rise * by_current / current * u_current, rise * spread)


def kept(place):
    """What each connection of a place keeps without load, with its standard uncertainty."""
    least = min(r.rise for _, loaded in place for r in loaded)

    def beyond(cold, least):
        value = min(cold.rise, least)
        return (value, cold.rise_scatter) if value > K * cold.u_rise else None

    each = [beyond(cold, least) for cold, _ in place]
    common = min(each) if len(each) > 1 and all(each) else None
    out = []
    for cold, loaded in place:
        rises = [r.rise for r in loaded]
        own = beyond(cold, min(rises))
        if own and own[0] < NEARLY_ALL * max(rises):
            own = None
        if own and common and common[0] > own[0]:
            own = common
        out.append(own or common)
    return out


def hidden():
    """Share of a joint's own excess that insulation 30 mm off does not show, 6 AWG of copper: a fin."""
    area = 13.302e-6
    around = math.pi * 2 * (math.sqrt(area / math.pi) + 0.0012)
    return 1 - math.exp(-0.03 / math.sqrt(390 * area / (10 * around)))


def made_up(dice, number):
    """A random visit, as the file has it."""
    def tenth(low, high):
        return round(dice.uniform(low, high), 1)

    gun = {
        "kind": "infrared-thermometer", "serial": "G-1", "calibration_due": "2027-02-10",
        "accuracy": {"of_reading": f"{dice.choice([1, 1.5, 2])} %", "at_least": f"{dice.choice([1, 1.5, 2])} °C"},
        "emissivity": dice.choice([0.95, 0.95, 0.97, 0.93]), "distance_to_spot": "100:1",
    }
    if dice.random() < 0.7:
        gun["repeatability"] = f"{dice.choice([0.2, 0.3, 0.4])} °C"
    instruments = {"gun": gun}
    if dice.random() < 0.4:
        instruments["air"] = {
            "kind": "air-thermometer", "serial": "A-1",
            "accuracy": {"of_reading": "0.5 %", "at_least": f"{dice.choice([0.5, 1])} °C"},
        }
        if dice.random() < 0.5:
            instruments["air"]["repeatability"] = "0.2 °C"
    if dice.random() < 0.5:
        instruments["clamp"] = {"kind": "clamp-meter", "accuracy": {"of_reading": f"{dice.choice([1.5, 2])} %"}}
    current = RATED if dice.random() < 0.5 else tenth(18, 40)
    minutes = dice.choice([(15, 60), (15, 60), (20, 75), (10, 30, 60), (15, 45, 90), (60,)])
    air = tenth(5, 35)
    airs = [air] + [round(air + dice.uniform(-0.6, 0.6), 1) for _ in minutes]
    sun = tenth(8, 15) if dice.random() < 0.15 else 0.0
    bias, scatter = dice.uniform(-1, 1), dice.choice([0.1, 0.3, 0.4])
    places, readings = [], [{} for _ in airs]
    for place in ("breaker", "charger"):
        surface = dice.choice(list(SURFACES))
        tau, rise = dice.uniform(8, 25), dice.uniform(4, 30)
        described = []
        for leg in ("L1", "L2"):
            connection = {"id": f"{place}-{leg}", "leg": leg, "kind": "screw-terminal", "surface": surface}
            if dice.random() < 0.15:
                connection["emissivity"] = dice.choice([0.9, 0.92, 0.98])
            described.append(connection)
            own = (rise + dice.choice([0, 0, 3, 8, 20]) * dice.random()) * (current / RATED) ** 2
            for out, a, m in zip(readings, airs, (0, *minutes)):
                shown = a + sun + own * (1 - math.exp(-m / tau)) + bias + dice.gauss(0, scatter)
                out[connection["id"]] = round(shown, 2)
        places.append({"id": place, "name": f"The {place}", "connections": described})
    times = ["09:45"] + [f"{10 + m // 60:02}:{m % 60:02}" for m in minutes]
    rounds = [
        {"at": at, "air": a, "current": f"{current if i else 0} A", "readings": r}
        for i, (at, a, r) in enumerate(zip(times, airs, readings))
    ]
    return {
        "visit": {"number": f"R-{number:04}", "date": "2026-10-06", "reason": "first", "rules": "us"},
        "print": {"units": "si", "paper": "a4", "language": "en"},
        "units": {"temperature": "°C", "torque": "N·m", "length": "m"},
        "inspector": {"name": "Ada Ohm"}, "client": {"name": "Lee Park", "role": "owner"},
        "site": {"name": "12 Maple Court"}, "instruments": instruments,
        "circuits": [{
            "id": "bay-1", "charger": {"rated_current": "40 A", "connection": "hardwired"},
            "supply": {"phases": 1, "legs": ["L1", "L2"], "voltage": "240 V"},
            "breaker": {"rating": "50 A", "poles": 2, "terminal_rating": "75 °C", "ground_fault": "none"},
            "conductors": {"material": "copper", "size": "6 AWG", "insulation": "90 °C", "wiring": "nm-cable",
                           "length": 15, "current_carrying": 2},
            "hottest_air": tenth(30, 45), "places": places,
            "heat": {"with": "gun", "charging_from": "10:00", "rounds": rounds},
        }],
    }


worst = {}
left_out = 0


def same(visit, name, ours, theirs):
    agree = ours is not None and abs(ours - theirs) <= WITHIN
    kind = name.split(":")[0]
    worst[kind] = max(worst.get(kind, 0.0), math.inf if ours is None else abs(ours - theirs))
    expect(f"{visit}, {name}", agree, f"{ours}, the peer says {theirs:.4f}")


def compare(visit, told):
    global left_out
    name = visit["visit"]["number"]
    circuit, out = visit["circuits"][0], told["circuits"][0]
    gun = Thermometer(visit["instruments"]["gun"])
    air_gun = Thermometer(visit["instruments"].get("air", visit["instruments"]["gun"]))
    clamp = visit["instruments"].get("clamp")
    accuracy = float(clamp["accuracy"]["of_reading"].split()[0]) / 100 if clamp else 0.03
    rounds = circuit["heat"]["rounds"]
    current = float(rounds[1]["current"].split()[0])
    minutes = [-15.0] + [float((int(r["at"][:2]) - 10) * 60 + int(r["at"][3:])) for r in rounds[1:]]
    hottest = max([circuit["hottest_air"]] + [r["air"] for r in rounds])
    for place in circuit["places"]:
        all_read = []
        for connection in place["connections"]:
            read = [
                Read(r["readings"][connection["id"]], r["air"], connection, gun, air_gun, m)
                for r, m in zip(rounds, minutes)
            ]
            all_read.append((read[0], read[1:]))
        keeps = kept(all_read)
        legs = []
        for connection, (cold, loaded), keep in zip(place["connections"], all_read, keeps):
            ours = next(c for c in out["connections"] if c["id"] == connection["id"])
            where = connection["id"]
            for r, o in zip([cold, *loaded], ours["rounds"]):
                same(name, f"rise: {where} at {o['at']}", o["rise_k"], r.rise)
                same(name, f"rise, U: {where} at {o['at']}", o["rise_uncertainty_k"], K * r.u_rise)
            excess, u_excess = keep or (0.0, 0.0)
            if keep or ours["without_load_k"] is not None:
                same(name, f"without load: {where}", ours["without_load_k"], excess)
            # The last round is scaled; what was hotter before it counts as it was read.
            read = [(loaded[-1], current), *((r, max(current, RATED)) for r in loaded[:-1])]

            def measured(excess, u_excess):
                scaled = [at_rated(r.rise - excess, root(r.u_rise, u_excess), i, accuracy) for r, i in read]
                return max(scaled, key=lambda s: s[0])

            curve, by, settled = Curve(loaded, cold), ours["settled_by"], None
            if by in ("two-rounds", "least-squares"):
                settled = curve.fit()
            elif by == "measured":
                settled = curve.plateau()
            growth = (1.0, 0.0)
            if settled:
                r, u, to_go, u_to_go = settled
                # A bias that is not corrected is added to U as it is (JCGM 100:2008, F.2.4.5).
                fitted, u = u, u + r * SLOW_SHARE * math.exp(-loaded[-1].minutes / SLOW_MIN) / K
                slow = left(u, fitted)
                same(name, f"settled rise: {where}", ours["settled_rise_k"], r)
                same(name, f"settled rise, U: {where}", ours["settled_rise_uncertainty_k"], K * u)

            def largest(excess, u_excess):
                m = measured(excess, u_excess)
                if not settled:
                    return m
                s = at_rated(r - excess, root(u, u_excess), current, accuracy)
                return s if s[0] >= m[0] else (m[0], root(m[1], factor(current)[0] * slow))

            rise, u_rise = largest(excess, u_excess)
            known = settled or by == "one-round"
            if known and ours["rise_at_rated_k"] is not None:
                same(name, f"rise at rated: {where}", ours["rise_at_rated_k"], rise)
                same(name, f"rise at rated, U: {where}", ours["rise_at_rated_uncertainty_k"], K * u_rise)
                most, u_most = largest(0.0, 0.0)
                same(name, f"projection: {where}", ours["projected_c"], hottest + most)
                limit = 75.0
                same(name, f"margin: {where}", ours["margin_k"], limit - hottest - most)
                if connection["surface"] == "insulation":
                    h = hidden()
                    u_most = root(u_most, max(most, 0.0) * h / (1 - h) / math.sqrt(3))
                check = [c for c in told["checks"] if c["id"] == "projected-heat" and where == c["connections"][0]]
                if check and abs(check[0]["value"] - ours["margin_k"]) < 0.006:
                    same(name, f"margin, U: {where}", check[0]["uncertainty"], K * u_most)
                if settled:
                    on_curve = rise * (1 - to_go / (r - excess))
                    grown = max(rise / max(on_curve, measured(excess, u_excess)[0]), 1.0)
                    growth = (grown, u_to_go / (r - excess) * grown)
            else:
                left_out += 1
            legs.append((where, loaded[-1], excess, u_excess, growth, keep, known))
        differences(name, told, place, legs, current, accuracy)


def differences(name, told, place, legs, current, accuracy):
    ours = [c for c in told["checks"] if c["id"] == "leg-difference" and c["place"] == place["id"]]
    if not ours or not all(leg[-1] for leg in legs):
        return
    hot, cool = sorted(legs, key=lambda leg: leg[1].t - leg[2], reverse=True)
    read = (hot[1].t - hot[2]) - (cool[1].t - cool[2])
    u = root(hot[1].own, cool[1].own, hot[1].bias - cool[1].bias)
    if hot[5] != cool[5]:
        u = root(u, hot[3], cool[3])
    value, u = at_rated(read, u, current, accuracy) if current < RATED else (read, u)
    m = factor(current)[0] if current < RATED else 1.0
    grown, u_grown = hot[4]
    grows = min(value, m * (hot[1].rise - hot[2]))
    if grown * grows > value:
        value, u = grown * grows, root(grown * u, grows * u_grown)
    same(name, f"leg difference: {place['id']}", ours[0]["value"], value)
    same(name, f"leg difference, U: {place['id']}", ours[0]["uncertainty"], K * u)


dice = random.Random(20261006)
with tempfile.TemporaryDirectory() as folder:
    for number in range(VISITS):
        visit = made_up(dice, number)
        path = Path(folder) / "visit.yaml"
        path.write_text(yaml.safe_dump(visit, allow_unicode=True, sort_keys=False), encoding="utf-8")
        done = subprocess.run([program, "check", path, "--format", "json"], capture_output=True, text=True)
        if done.returncode != 0:
            expect(f"{number} is checked", False, done.stderr[:2000])
            continue
        compare(visit, json.loads(done.stdout))

for kind, off in sorted(worst.items()):
    print(f"{kind}: {off:.4f} K at most")
print(f"{left_out} rises at rated current left out")
KINDS = {"rise", "rise, U", "settled rise", "settled rise, U", "rise at rated", "rise at rated, U", "projection",
         "margin", "margin, U", "leg difference", "leg difference, U", "without load"}
expect("every number was compared", set(worst) == KINDS, KINDS - set(worst))
close()
