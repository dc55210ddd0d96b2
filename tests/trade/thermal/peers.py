#!/usr/bin/env python3
"""Computes the cases of cases.rs again with scipy, numpy and uncertainties.

    cargo test --test trade thermal
    pip install -r tests/peers/requirements.txt
    python3 tests/trade/thermal/peers.py [--keep] [CASES.jsonl]

Without a path the file below target/tmp is read. With --keep, some of the cases are written to
tests/trade/thermal/kept.jsonl together with the answers found here, where kept.rs holds
our functions to them on machines without Python. Prints, for each kind of case and each number
compared, the worst difference against its tolerance, then "N passed, N failed"; a case passes
when all its numbers agree. Exits 1 when any failed or a kind has fewer than 1,000 cases.

The formulas here are not ours translated: radiance is integrated by quadrature, temperatures are
found by Brent's method, settling curves are sums of steps and ramps fitted by scipy's least
squares from many starts, budgets and ratios are propagated by uncertainties' derivatives.
"""

import json
import math
import pathlib
import sys
from collections import defaultdict

import numpy as np
from scipy import constants, integrate, optimize, stats
from uncertainties import correlated_values, ufloat

CASES_OF_EACH_KIND = 1_000
C2 = constants.h * constants.c / constants.k
COVERAGE = 2.0


class Ledger:
    """Worst difference of each number compared, and cases passed and failed."""

    def __init__(self):
        self.worst = {}
        self.failures = defaultdict(list)
        self.cases = defaultdict(int)
        self.bad = set()

    def same(self, case, name, ours, theirs, tolerance, scale=1.0):
        """Compares ours with theirs; the difference counts relative to `scale`."""
        if ours is None or theirs is None:
            off = 0.0 if ours is theirs else math.inf
        else:
            off = abs(ours - theirs) / scale
        key = (case["kind"], name)
        case.setdefault("peers", {})[name] = None if theirs is None else float(theirs)
        if off > self.worst.get(key, (-1.0, 0.0))[0] or math.isnan(off):
            self.worst[key] = (off, tolerance)
        if not off <= tolerance:
            self.bad.add(case["line"])
            self.failures[key].append((case["line"], ours, theirs))

    def relative(self, case, name, ours, theirs, tolerance):
        self.same(case, name, ours, theirs, tolerance, max(abs(theirs or 0.0), 1e-300))


def planck(wavelength, t):
    """Spectral radiance of a black body, W/(m²·sr·m)."""
    return (
        2.0 * constants.h * constants.c**2 / wavelength**5 / math.expm1(C2 / (wavelength * t))
    )


def slope(wavelength, t):
    """Its derivative by temperature."""
    x = C2 / (wavelength * t)
    return planck(wavelength, t) * x / t / -math.expm1(-x)


def quad(f, band):
    return integrate.quad(f, band[0] * 1e-6, band[1] * 1e-6, epsabs=0.0, epsrel=1e-12)[0]


def radiance(band, t):
    return quad(lambda w: planck(w, t), band)


def check_radiance(case, ledger):
    theirs = radiance(case["band_um"], case["t_k"])
    ledger.relative(case, "radiance", case["radiance"], theirs, 1e-11)
    whole = constants.sigma / math.pi * case["t_k"] ** 4
    ledger.relative(case, "fraction", case["fraction"], theirs / whole, 1e-9)


def check_correction(case, ledger):
    band, e, es = case["band_um"], case["surface"], case["set"]
    tr, ti = case["reflected_k"], case["shown_k"]
    trs = tr if case["set_reflected_k"] is None else case["set_reflected_k"]
    l_r = radiance(band, tr)
    own = (es * radiance(band, ti) + (1 - es) * radiance(band, trs) - (1 - e) * l_r) / e
    if own <= 0.0:
        ledger.same(case, "no temperature", case["t_k"], None, 0.0)
        return
    t = optimize.brentq(lambda t: radiance(band, t) / own - 1.0, 40.0, 3000.0, xtol=1e-10)
    ledger.same(case, "temperature, K", case["t_k"], t, 1e-7)

    def d(at):
        return quad(lambda w: slope(w, at), band)

    l, dl = radiance(band, t), e * d(t)
    ledger.relative(case, "by shown", case["by_shown"], es * d(ti) / dl, 1e-8)
    ledger.same(
        case, "by emissivity", case["by_emissivity"], (l_r - l) / dl, 1e-8, 1.0 + abs(l / dl)
    )
    follows = (1 - es) * d(trs) if case["set_reflected_k"] is None else 0.0
    by_reflected = (follows - (1 - e) * d(tr)) / dl
    ledger.same(case, "by reflected", case["by_reflected"], by_reflected, 1e-8)


class Curve:
    """First-order settling as a sum of steps of heat and ramps of air."""

    def __init__(self, case, halfway=False):
        rounds = np.array(case["rounds"])
        self.t, self.y, self.u, current, air = rounds.T
        self.start = case["start_rise_k"]
        loaded = current[current > 0.0]
        self.heat = (current / loaded[-1]) ** case["exponent"]
        begin = np.concatenate([[0.0], self.t[:-1]])
        airs = np.concatenate([[case["start_air_c"]], air])
        drift = np.diff(airs) / (self.t - begin)
        # Steps: at each begin the heat changes to the next round's (or halfway to it).
        at = begin.copy()
        if halfway:
            at[1:] = 0.5 * (begin[1:] + self.t[1:])
        self.steps = list(zip(at, np.diff(np.concatenate([[0.0], self.heat]))))
        self.ramps = list(zip(begin, np.diff(np.concatenate([[0.0], drift]))))
        self.air = airs

    def f(self, tau):
        out = np.zeros_like(self.t) + 0.0 * tau
        for at, step in self.steps:
            on = self.t > at
            out[on] += step * -np.expm1(-(self.t[on] - at) / tau)
        return out

    def g(self, tau):
        out = self.start * np.exp(-self.t / tau)
        for at, ramp in self.ramps:
            on = self.t > at
            out[on] -= ramp * tau * -np.expm1(-(self.t[on] - at) / tau)
        return out

    def residual(self, p):
        r, log_tau = p
        tau = np.exp(log_tau)
        return (self.y - r * self.f(tau) - self.g(tau)) / self.u

    def chi(self, p):
        return float(np.sum(self.residual(p) ** 2))

    def slope(self, s):
        """dχ²/ds at the best R, by a complex step."""
        h = 1e-30
        return np.imag(np.sum(self.residual((self.linear(math.exp(s)), complex(s, h))) ** 2)) / h

    def linear(self, tau):
        """Best R for one τ."""
        f, y = self.f(tau), self.y - self.g(tau)
        w = self.u**-2.0
        return float(np.sum(w * f * y) / np.sum(w * f * f))

    def flat(self):
        w = self.u**-2.0
        r = float(np.sum(w * self.heat * self.y) / np.sum(w * self.heat**2))
        return r, float(np.sum(w * (self.y - r * self.heat) ** 2))

    def straight(self):
        begin = np.concatenate([[0.0], self.t[:-1]])
        f = np.cumsum(self.heat * (self.t - begin))
        y = self.y - self.start + (self.air[1:] - self.air[0])
        w = self.u**-2.0
        r = float(np.sum(w * f * y) / np.sum(w * f * f))
        return float(np.sum(w * (y - r * f) ** 2))

    def search(self):
        """Least squares from starts all over ln τ, within the span that is searched."""
        low, high = math.log(self.t[0] / 16.0), math.log(self.t[-1] * 50.0)
        best = None
        for s in np.linspace(low, high, 41):
            c = self.chi((self.linear(math.exp(s)), s))
            if best is None or c < best[0]:
                best = (c, s)
        step = (high - low) / 40
        span = (max(low, best[1] - step), min(high, best[1] + step))
        found = optimize.least_squares(
            self.residual,
            (self.linear(math.exp(best[1])), best[1]),
            bounds=([-np.inf, low - 1e-9], [np.inf, high + 1e-9]),
            x_scale=(10.0, 1.0),
            xtol=1e-15,
            ftol=1e-15,
            gtol=1e-15,
            jac="3-point",
            max_nfev=400,
        )
        p = found.x
        # Polished in one dimension: the value of χ² tells its minimum to half the digits only,
        # its derivative to nearly all.
        below, above = self.slope(span[0]), self.slope(span[1])
        if below < 0.0 < above:
            s = optimize.brentq(self.slope, *span, xtol=1e-14)
        elif below < 0.0 and above < 0.0:
            s = span[1]
        elif below > 0.0 and above > 0.0:
            s = span[0]
        else:
            s = p[1]
        return np.array([self.linear(math.exp(s)), s])

    def jacobian(self, r, tau):
        """∂r(t)/∂(R, τ), by complex steps."""
        h = 1e-30
        t = complex(tau, h)
        return np.column_stack([self.f(tau), np.imag(r * self.f(t) + self.g(t)) / h])


def check_settling(case, ledger):
    curve, how = Curve(case), case["how"]
    n, share = len(curve.t), case["common_share"]
    independent = 1.0 if share is None else 1.0 - share
    r, s = curve.search()
    tau = math.exp(s)
    chi = curve.chi((r, s))
    flat_r, flat = curve.flat()
    straight = curve.straight()
    least = min(chi, flat, straight)
    seen = COVERAGE**2 * independent

    def combined(a, b):
        if share is None:
            return max(a, b)
        return math.sqrt(independent * a * a + share * b * b)

    # The decision, unless it hangs by a thread.
    threads = [
        abs(straight - least - seen) / seen,
        abs(flat - least - seen) / seen,
        abs(flat - chi - 1e-6) / 1e-6 if abs(flat - chi) < 1e-3 else 1.0,
    ]
    if min(threads) < 1e-3:
        expected = how
    elif straight - least < seen:
        expected = "StillClimbing" if flat - least >= seen else "TooUncertain"
    elif flat <= chi + 1e-6:
        w = curve.u**-2.0
        shh = float(np.sum(w * curve.heat**2))
        a, b = shh**-0.5, float(np.sum(w * curve.heat * curve.u)) / shh
        u = combined(a, b)
        limit = stats.chi2.isf(0.001, n - 1)
        scatters = flat / independent > limit
        # Ours approximates that point, up to 3 % high.
        if abs(flat / independent / limit - 1.0) < 0.035:
            scatters = how == "Contradictory"
        expected = "Contradictory" if scatters or flat_r + 2 * u < 0 else "Plateau"
        if how == "Plateau":
            ledger.relative(case, "plateau", case["rise_k"], flat_r, 1e-10)
            ledger.relative(case, "plateau, u", case["u_rise_k"], u, 1e-10)
    else:
        jacobian = curve.jacobian(r, tau) / curve.u[:, None]
        covariance = np.linalg.inv(jacobian.T @ jacobian)
        spare = n - 2
        reduced = chi / independent
        birge = max(1.0, reduced / spare) if spare else 1.0
        sensitivity = covariance @ jacobian.T / curve.u
        common = abs(float(sensitivity[0] @ curve.u))
        covariance = covariance * birge
        u_r, u_tau = np.sqrt(np.diag(covariance))
        moment = 0.0
        if np.any(np.abs(np.diff(curve.heat)) > 0.01 * np.maximum(curve.heat[1:], curve.heat[:-1])):
            moment = 2.0 / math.sqrt(3.0) * abs(Curve(case, halfway=True).search()[0] - r)
        u = math.hypot(combined(u_r, common), moment)
        limit = stats.chi2.isf(0.001, spare) if spare else COVERAGE**2
        scatters = reduced > limit
        if abs(reduced / limit - 1.0) < 0.035:
            scatters = how == "Contradictory"
        vague = COVERAGE * u > 0.5 * r and u > 1.5 * curve.u[-1] / curve.heat[-1]
        near = abs(COVERAGE * u / (0.5 * r) - 1) < 1e-3 or abs(
            u / (1.5 * curve.u[-1] / curve.heat[-1]) - 1
        ) < 1e-3
        if scatters or r <= 0:
            expected = "Contradictory"
        elif near:
            expected = how
        elif vague:
            expected = "StillClimbing" if flat - least >= seen else "TooUncertain"
        else:
            expected = "Solved" if n == 2 else "Fitted"
        if how in ("Solved", "Fitted"):
            ledger.relative(case, "settled rise", case["rise_k"], r, 1e-10)
            ledger.relative(case, "time constant", case["tau_min"], tau, 1e-10)
            ledger.relative(case, "rise, u independent", case["u_independent_k"], u_r, 1e-8)
            ledger.same(case, "rise, u common", case["u_common_k"], common, 1e-9, u_r)
            ledger.same(case, "rise, u moment", case["u_current_k"], moment, 1e-9, max(r, 1.0))
            ledger.relative(case, "rise, u", case["u_rise_k"], u, 1e-8)
            ledger.relative(case, "time constant, u", case["u_tau_min"], u_tau, 1e-8)
            ledger.same(
                case, "covariance", case["covariance"], covariance[0][1], 1e-8, u_r * u_tau
            )
            ledger.same(case, "χ²", case["chi_squared"], reduced, 1e-9, 1.0 + reduced)
            to_go = r * curve.heat[-1] - (r * curve.f(tau)[-1] + curve.g(tau)[-1])
            ledger.same(case, "still to go, K", case["to_go_k"], to_go, 1e-9)
            wait = tau * math.log(abs(to_go)) if abs(to_go) > 1.0 else 0.0
            ledger.same(case, "still to wait, min", case["wait_min"], wait, 1e-8)
    ledger.same(case, "decision", 0.0 if how == expected else 1.0, 0.0, 0.0)
    if how != expected:
        print(f"line {case['line']}: {how}, peers say {expected}", file=sys.stderr)


def check_budget(case, ledger):
    parts = [ufloat(0.0, u) for _, u, _ in case["parts"]]
    total = sum(c * x for (c, _, _), x in zip(case["parts"], parts))
    ledger.relative(case, "combined u", case["standard"], total.std_dev, 1e-12)
    components = total.error_components()
    for ours, x in zip(case["shares"], parts):
        theirs = components.get(x, 0.0) ** 2 / total.std_dev**2
        ledger.same(case, "share", ours, theirs, 1e-12)
    finite = [
        (abs(c) * u, v) for c, u, v in case["parts"] if v is not None and c * u != 0.0
    ]
    welch = total.std_dev**4 / sum(x**4 / v for x, v in finite) if finite else None
    if welch is None:
        ledger.same(case, "degrees", case["degrees"], None, 0.0)
        factor = COVERAGE
    else:
        ledger.relative(case, "degrees", case["degrees"], welch, 1e-12)
        whole = math.floor(max(case["degrees"], 1.0))
        factor = stats.t.ppf(stats.norm.cdf(COVERAGE), whole) if whole < 2_000 else COVERAGE
    ledger.relative(case, "coverage factor", case["coverage"], factor, 1e-9)


def check_pair(case, ledger):
    u1, u2, common = case["first"], case["second"], case["common"]
    cov = [[u1 * u1, common * common], [common * common, u2 * u2]]
    a, b = correlated_values([0.0, 0.0], cov)
    ledger.same(case, "difference", case["difference"], (a - b).std_dev, 1e-12, u1 + u2)


DRAWS = 40_000
RANDOM = np.random.default_rng(20261006)


def check_legs(case, ledger):
    """Monte Carlo (JCGM 101:2008): one bias for both readings, everything else drawn for each."""
    bias = RANDOM.uniform(-math.sqrt(3), math.sqrt(3), DRAWS)

    def read(half_width, scatter, emissivity):
        size = math.sqrt(half_width**2 / 3 - scatter**2)
        own = RANDOM.normal(0, scatter, DRAWS)
        surface = RANDOM.uniform(-math.sqrt(3), math.sqrt(3), DRAWS) * emissivity
        return size * bias + own + surface

    difference = read(*case["hot"]) - read(*case["cool"])
    # 40,000 draws know a standard deviation to 0.35 %.
    ledger.relative(case, "difference", case["difference"], difference.std(), 0.02)


def check_scaling(case, ledger):
    rise, current = (ufloat(*case[k]) for k in ("rise", "current"))
    low, high = case["exponents"]
    q = case["rated"] / current.n

    def mean(f):
        return integrate.quad(f, low, high, epsabs=0, epsrel=1e-13)[0] / (high - low)

    factor = mean(lambda n: q**n)
    spread = math.sqrt(mean(lambda n: (q**n - factor) ** 2))
    by_current = mean(lambda n: n * q**n) / current.n
    scaled = ufloat(rise.n * factor, math.sqrt(
        (rise.s * factor) ** 2 + (rise.n * spread) ** 2 + (rise.n * by_current * current.s) ** 2))
    ledger.relative(case, "scaled rise", case["scaled"], scaled.n, 1e-12)
    ledger.relative(case, "scaled rise, u", case["u_scaled"], scaled.s, 1e-10)
    margin = case["limit_c"] - case["air_c"] - scaled
    ledger.same(case, "margin, K", case["margin"], margin.n, 1e-9)
    ledger.same(case, "over", case["over"], stats.norm.sf(margin.n / margin.s), 1e-10)


def check_drop(case, ledger):
    def of(d):
        v, i = ufloat(d[0], d[1]), ufloat(d[2], d[3])
        return v / i, v * i

    (r, p), (sister, _) = of(case["this"]), of(case["sister"])
    for name, ours, theirs in (
        ("resistance", case["ohm"], r),
        ("power", case["watt"], p),
        ("ratio", case["ratio"], r / sister),
    ):
        ledger.relative(case, name, ours[0], theirs.n, 1e-13)
        ledger.same(case, f"{name}, u", ours[1], theirs.s, 1e-12, theirs.n)


def check_probability(case, ledger):
    theirs = stats.norm.sf((case["limit"] - case["value"]) / case["u"])
    ledger.relative(case, "probability over", case["over"], theirs, 1e-11)
    factor = stats.t.ppf(0.5 + 0.5 * case["p"], case["degrees"])
    ledger.relative(case, "Student factor", case["factor"], factor, 1e-9)


def check_readings(case, ledger):
    x = np.array(case["list"])
    ledger.same(case, "mean", case["mean"], float(np.mean(x)), 1e-12, 1.0 + abs(np.mean(x)))
    ledger.relative(case, "u of the mean", case["standard"], float(stats.sem(x)), 1e-10)
    half = max(case["at_least_k"], case["of_reading"] * abs(case["shown_c"]))
    theirs = stats.uniform(-half, 2 * half).std() if half > 0 else 0.0
    ledger.same(case, "u of a reading", case["u"], float(theirs), 1e-12, 1.0 + half)


def check_visits(case, ledger):
    day, y, u = np.array(case["list"]).T
    years = day / 365.25
    found = stats.theilslopes(y, years, 0.95, method="joint")
    ledger.same(case, "slope", case["slope"], float(found.slope), 1e-9)
    centre = years - years.mean()
    _, cov = np.polyfit(centre, y, 1, w=1.0 / u, cov="unscaled")
    reach = COVERAGE * math.sqrt(cov[0][0]) / math.sqrt(3.0 / math.pi)
    low = min(float(found.low_slope), found.slope - reach)
    high = max(float(found.high_slope), found.slope + reach)
    ledger.same(case, "slope, low", case["low"], low, 1e-8)
    ledger.same(case, "slope, high", case["high"], high, 1e-8)
    level = COVERAGE / math.sqrt(float(np.sum(u**-2.0)))

    def at(slope, aim):
        if slope <= 0.0:
            return None
        middle = float(np.median(y - slope * (years - years[-1])))
        return max(day[-1] + 365.25 * (aim - middle) / slope, day[-1])

    there = at(found.slope, case["limit"])
    ledger.same(case, "day reached", case["day"], there, 1e-6, 365.25 * 100)
    if there is not None and there < 1e9:
        early = at(high, case["limit"] - level)
        late = at(low, case["limit"] + level)
        ledger.same(case, "earliest", case["earliest"], min(early, there), 1e-6, 365.25 * 100)
        if late is None or late < 1e7:
            late = None if late is None else max(late, there)
            ledger.same(case, "latest", case["latest"], late, 1e-6, 365.25 * 100)
    change = ufloat(y[-1], u[-1]) - ufloat(y[0], u[0])
    ledger.same(case, "change", case["change"], change.n, 1e-12)
    ledger.relative(case, "change, u", case["u_change"], change.s, 1e-12)
    ledger.same(case, "hotter", case["hotter"], stats.norm.cdf(change.n / change.s), 1e-12)


CHECKS = {
    "radiance": check_radiance,
    "correction": check_correction,
    "settling": check_settling,
    "budget": check_budget,
    "pair": check_pair,
    "legs": check_legs,
    "scaling": check_scaling,
    "drop": check_drop,
    "probability": check_probability,
    "readings": check_readings,
    "visits": check_visits,
}


# Inputs of the cases kept, and how many of each sort.
KEPT_INPUTS = {
    "settling": ("rounds", "exponent", "start_rise_k", "start_air_c", "common_share", "how"),
    "visits": ("list", "limit"),
}
KEPT = defaultdict(lambda: 10, {("settling", "Fitted"): 60, ("visits", ""): 30})


def keep(cases, path):
    count = defaultdict(int)
    with open(path, "w", encoding="utf-8") as file:
        for case in cases:
            sort = (case["kind"], case.get("how", ""))
            if case["kind"] not in KEPT_INPUTS or count[sort] == KEPT[sort]:
                continue
            count[sort] += 1
            kept = {key: case[key] for key in ("kind", *KEPT_INPUTS[case["kind"]], "peers")}
            file.write(json.dumps(kept, ensure_ascii=False) + "\n")


def main():
    here = pathlib.Path(__file__).resolve().parents[3]
    given = [a for a in sys.argv[1:] if a != "--keep"]
    path = given[0] if given else here / "target/tmp/thermal_cases.jsonl"
    done = []
    ledger = Ledger()
    kinds = defaultdict(lambda: defaultdict(int))
    with open(path, encoding="utf-8") as file:
        for number, line in enumerate(file, 1):
            case = json.loads(line)
            case["line"] = number
            ledger.cases[case["kind"]] += 1
            kinds[case["kind"]][case.get("how", "")] += 1
            CHECKS[case["kind"]](case, ledger)
            done.append(case)
    print(f"{'kind':12} {'number':22} {'worst':>9}  {'allowed':>9}")
    for (kind, name), (off, tolerance) in ledger.worst.items():
        mark = "" if off <= tolerance else "  <-- " + str(ledger.failures[kind, name][0])
        print(f"{kind:12} {name:22} {off:9.1e}  {tolerance:9.1e}{mark}")
    print("settling decisions:", dict(sorted(kinds["settling"].items())))
    short = [k for k in CHECKS if ledger.cases[k] < CASES_OF_EACH_KIND]
    for kind in short:
        print(f"{kind}: only {ledger.cases[kind]} cases")
    total = sum(ledger.cases.values())
    print(f"{total - len(ledger.bad)} passed, {len(ledger.bad)} failed")
    if ledger.bad or short:
        return 1
    if "--keep" in sys.argv:
        keep(done, pathlib.Path(__file__).with_name("kept.jsonl"))
    return 0


if __name__ == "__main__":
    sys.exit(main())
