//! The checks of a circuit: the same inputs, formulas and sources as the assessment's.

use super::model::{Explanation, Input, Step, input};
use crate::assess::assessment::{Check, Value};
use crate::assess::circuit::checks;
use crate::rules::Rules;
use crate::visit::Visit;

/// Explains the checks of one circuit; `None` for one that the visit does not have.
pub fn explain_circuit(visit: &Visit, rules: &Rules, circuit: &str) -> Option<Explanation> {
    let circuit = visit.circuits.iter().find(|c| c.id == circuit)?;
    Some(Explanation {
        circuit: circuit.id.clone(),
        place: String::new(),
        connection: String::new(),
        steps: checks(circuit, rules).iter().map(step).collect(),
    })
}

fn step(check: &Check) -> Step {
    let (name, formula) = formula(check.rule);
    let mut inputs = Vec::new();
    let mut told = Vec::new();
    for (key, value) in &check.values {
        match number(value) {
            Some((value, unit)) => inputs.push(input(*key, meaning(key), value, unit)),
            None => {
                if let Value::Text(text) = value {
                    told.push(format!("{}: {text}.", meaning(key)));
                }
            }
        }
    }
    let result = |symbol: &str, name: &str, value: Option<f64>| -> Option<Input> {
        Some(input(symbol, name, value?, check.unit))
    };
    told.push(match check.holds {
        Some(true) if check.limit.is_none() && !judged(check.rule) => {
            "It informs; nothing is asked of it.".to_owned()
        }
        Some(true) => "It holds.".to_owned(),
        Some(false) => "It does not hold.".to_owned(),
        None => format!(
            "It cannot be told; missing in the visit file: {}.",
            check.missing.join(", ")
        ),
    });
    Step {
        id: check.rule,
        name: name.to_owned(),
        round: None,
        formula: formula.to_owned(),
        inputs,
        results: [
            result("value", "value found", check.value),
            result("limit", "limit", check.limit),
        ]
        .into_iter()
        .flatten()
        .collect(),
        uncertainty: None,
        source: format!("{} ({})", check.source, check.checked.words()),
        note: Some(told.join(" ")),
    }
}

/// Whether a check without a limit is one all the same.
fn judged(rule: &str) -> bool {
    !matches!(rule, "charging-power" | "run-loss")
}

/// Name of a check and what it computes and asks.
fn formula(rule: &str) -> (&'static str, &'static str) {
    match rule {
        "charging-power" => (
            "Charging power",
            "P = voltage·load; √3·voltage·load for three phases, line to line",
        ),
        "continuous-load" => (
            "Overcurrent device for a continuous load",
            "needed = factor·load; holds when rating ≥ needed",
        ),
        "standard-rating" => (
            "Standard rating",
            "holds when the rating is a standard one; limit: the smallest standard rating ≥ factor·load",
        ),
        "breaker-poles" => (
            "Poles of the overcurrent device",
            "does not hold when the device has fewer poles than the supply has lines",
        ),
        "conductor-continuous" => (
            "Conductors for a continuous load",
            "needed = factor·load; before: ampacity in the column allowed, without correction; holds when before ≥ needed",
        ),
        "conductor-ampacity" => (
            "Ampacity of the conductors",
            "after = from·ambient_factor·grouping_factor, in tables by temperature rating not over before; holds when after ≥ load",
        ),
        "conductor-protection" => (
            "Conductors protected by their device",
            "allowed: the ampacity after correction, or the next standard rating where the rule lets it; holds when rating ≤ allowed",
        ),
        "overload-protection" => (
            "Conductors protected against overload",
            "value: multiple·rating, the current at which the device surely trips; limit: factor·after; holds when value ≤ limit",
        ),
        "residual-current" => (
            "Residual-current protection",
            "holds when rated for no more than the limit, and of a type that smooth direct current does not blind, by itself or because 6 mA are disconnected",
        ),
        "disconnection-time" => (
            "Disconnection time",
            "holds when the tripping time measured is no more than the earthing of the supply allows",
        ),
        "small-conductor" => (
            "Limit of a small conductor",
            "holds when rating ≤ allowed for the size",
        ),
        "voltage-drop" | "voltage-drop-feeder" => (
            if rule == "voltage-drop" {
                "Voltage drop in the branch circuit"
            } else {
                "Voltage drop in the feeder"
            },
            "drop = ways·length·load·resistance; share = drop/voltage; ways: 2, or √3 for three phases; conductor: air (or ground) along the run + rise at the table’s ampacity·(load/ampacity)², with the 75 °C column where there is one; resistance a metre: the table’s, brought to that temperature by the metal’s coefficient; holds when share ≤ limit",
        ),
        "voltage-drop-total" => (
            "Voltage drop in feeder and branch circuit",
            "drop = sum of both; share = drop/voltage; holds when share ≤ limit",
        ),
        "run-loss" => (
            "Energy lost in the run in a year",
            "loss = conductors·load²·resistance·length; share = loss/power; energy = charged·share",
        ),
        "aluminium-termination" => (
            "Terminals for aluminium",
            "holds when every terminal that takes a conductor is marked for aluminium",
        ),
        "copper-termination" => (
            "Terminals for copper",
            "does not hold when a terminal that takes a conductor is marked for aluminium alone",
        ),
        "splices" => (
            "Splices in one leg",
            "holds when the leg that has most has no more than the rule set calls ordinary",
        ),
        "receptacle-configuration" => (
            "Configuration of the receptacle",
            "holds when it is one for charging, made for the supply’s voltage",
        ),
        "receptacle-rating" => (
            "Rating of the receptacle",
            "holds when receptacle ≥ rating of the circuit",
        ),
        "receptacle-grade" => (
            "Grade of the receptacle",
            "asked above a load; holds when the grade is one made for long loads",
        ),
        "ground-fault" => (
            "Ground-fault protection",
            "holds when people at the receptacle are protected by a Class A device",
        ),
        "individual-circuit" => (
            "Individual branch circuit",
            "holds when it serves nothing else",
        ),
        "disconnect" => (
            "Disconnecting means",
            "holds when it can be locked open and is in sight, or a plaque tells where it is",
        ),
        // A test holds that there is no rule without a formula.
        _ => ("", ""),
    }
}

/// What a value of a check is.
fn meaning(key: &str) -> &'static str {
    match key {
        "load" => "rated current of the charger",
        "rating" => "rating of the overcurrent device",
        "factor" => "factor for a continuous load",
        "needed" => "current asked for",
        "smallest" => "smallest standard rating that suffices",
        "before" => "ampacity in the column allowed",
        "after" => "ampacity after correction",
        "column" => "column allowed",
        "column_by" => "Column allowed by",
        "from" => "ampacity that correction begins from",
        "from_column" => "its column",
        "ambient" => "hottest air along the run",
        "ambient_factor" => "correction for the air",
        "grouping" => "current-carrying conductors together",
        "grouping_factor" => "adjustment for them",
        "method" => "Reference method",
        "multiple" => "current at which the device surely trips, over its rating",
        "rcd" => "Type",
        "permitted" => "largest rated residual current",
        "earthing" => "Earthing",
        "allowed" => "largest rating allowed",
        "size" => "Size",
        "drop" => "voltage lost at rated load",
        "share" => "share lost",
        "limit" => "share that is accepted",
        "conductor" => "temperature of the loaded conductor",
        "length" => "length of the run, one way",
        "ways" => "lengths of conductor that drop, a length of run",
        "resistance" => "resistance at that temperature, Ω/m",
        "voltage" => "voltage of the supply",
        "power" => "power at rated current",
        "loss" => "power lost at rated load",
        "energy" => "energy lost in a year, kWh",
        "charged" => "energy charged in a year, kWh, assumed",
        "conductors" => "conductors that carry the load",
        "splices" => "splices in the leg that has most",
        "most" => "most that count as ordinary",
        "configuration" => "Configuration",
        "receptacle" => "rating of the receptacle",
        "above" => "load above which it is asked",
        "grade" => "Grade",
        "in_sight" => "In sight",
        _ => "",
    }
}

/// A value as a number with its unit.
fn number(value: &Value) -> Option<(f64, &'static str)> {
    Some(match value {
        Value::Temperature(t) => (t.celsius(), "°C"),
        Value::Difference(d) => (d.kelvin(), "K"),
        Value::Current(c) => (c.ampere(), "A"),
        Value::Voltage(v) => (v.volt(), "V"),
        Value::Torque(t) => (t.newton_metre(), "N·m"),
        Value::Length(l) => (l.metre(), "m"),
        Value::Power(p) => (p.watt(), "W"),
        Value::Duration(d) => (d.minute(), "min"),
        Value::Percentage(p) => (100.0 * p, "%"),
        Value::Number(n) => (*n, "1"),
        Value::Count(n) => (*n as f64, "1"),
        Value::Date(_) | Value::Text(_) => return None,
    })
}
