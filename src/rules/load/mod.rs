//! From the tree to [`Rules`]: the keys of a rule set, and the form of their values.

mod circuit;
mod needed;
mod starter;
mod torque_rules;
mod values;

use self::values::{number, words};
use super::rule_set::{
    AssumedAccuracy, BreakerRise, Code, Emissivity, IsolationRules, NextDueRules, QuestionRules,
    Rules, Span, Thermal,
};
use super::sourced::Sourced;
use crate::lookalike::folded;
use crate::quantity::{Duration, Ratio, Temperature, TemperatureDifference};
use crate::rules::number::Kind;
use crate::rules::positioned::{Node, Origin};
use crate::rules::typed_values::{At, Path, Problems};
use crate::rules::{built_in_trees, editions, listing};
use crate::vocabulary::{CheckId, Topic, Word};
use crate::yaml::{self, Diagnostics, Source};

/// Reads a rules file of the reader's own. `name` is the file's name for messages.
///
/// A file with `extends: us` changes only what it names; every value that differs is listed in
/// [`Rules::changes`].
///
/// # Errors
/// All problems of the file at once, each with its position and advice.
pub fn load(source: &str, name: &str) -> Result<Rules, Diagnostics> {
    load_edition(source, name, None)
}

/// [`load`], in an edition of the code: that of the set it extends, or one of its own.
///
/// # Errors
/// As [`load`]; also, the rules do not have the edition.
pub fn load_edition(source: &str, name: &str, edition: Option<&str>) -> Result<Rules, Diagnostics> {
    let source = Source::new(source);
    merged(&source, Title::OfItsOwn, edition).map_err(|problems| problems.finish(name, &source))
}

/// Reads the rules file inside a certificate. Title and id may read as those of a built-in set: earlier
/// versions signed such certificates, and their findings must still be computed again.
///
/// # Errors
/// As [`load_edition`], except for the title.
pub fn load_recorded(
    source: &str,
    name: &str,
    edition: Option<&str>,
) -> Result<Rules, Diagnostics> {
    let source = Source::new(source);
    merged(&source, Title::Any, edition).map_err(|problems| problems.finish(name, &source))
}

/// Which titles and ids a rules file may have.
#[derive(Clone, Copy, PartialEq)]
enum Title {
    Any,
    /// Any title that a reader could not confuse with that of a built-in set.
    OfItsOwn,
}

fn merged(
    source: &Source<'_>,
    titles: Title,
    edition: Option<&str>,
) -> Result<Rules, yaml::Problems> {
    let mut problems = yaml::Problems::default();
    let own = Node::read(source, Origin::Firm, &mut problems);
    let Some(mut tree) = own.filter(|_| problems.is_empty()) else {
        return Err(problems);
    };
    let imitated = |key: &str, built_in: fn(&str) -> Option<&'static str>| {
        let node = tree.get(key)?;
        Some((node.mark.span, node.text().and_then(built_in)?))
    };
    let keys = [
        ("id", "a short name", imitated("id", built_in_like), true),
        (
            "id",
            "a short name",
            imitated("id", built_in_of_a_year),
            false,
        ),
        (
            "title",
            "a title",
            imitated("title", built_in_titled),
            false,
        ),
    ];
    for (key, own, imitated, always) in keys {
        if let Some((at, taken)) = imitated
            && (always || titles == Title::OfItsOwn)
        {
            problems.push(
                at,
                format!("{key} is, or looks like, that of the built-in set `{taken}`"),
                format!(
                    "write {own} of your own: certificates must show that these rules are yours"
                ),
            );
            return Err(problems);
        }
    }
    let own_title = tree.get("title").is_some();
    let mut changes = Vec::new();
    if let Some(extends) = tree.get("extends") {
        let at = extends.mark.span;
        if tree.get("id").is_none() {
            problems.push(
                at,
                "id is missing",
                "write id: with a short name of your own, printed on the certificate",
            );
            return Err(problems);
        }
        for key in [editions::CODE, editions::EDITIONS] {
            if let Some(own) = tree.get(key) {
                problems.push(
                    own.mark.span,
                    format!("{key} belongs to the set that these rules extend"),
                    "remove it; the visit file chooses an edition at edition:",
                );
                return Err(problems);
            }
        }
        let Some(base) = extends.text().and_then(built_in_trees::tree) else {
            let ids: Vec<_> = built_in_trees::ids().collect();
            problems.push(
                at,
                "extends names no built-in set",
                format!("write one of: {}", ids.join(", ")),
            );
            return Err(problems);
        };
        let base = chosen(&base, edition)?;
        let mut merged = base.clone();
        merged.overlay(tree);
        changes = listing::differences(&base, &merged);
        tree = merged;
    } else {
        tree = chosen(&tree, edition)?;
    }
    let mut rules = typed(&tree)?;
    if !own_title {
        // With the title of the built-in set alone, it would look like the set itself.
        rules.title = format!("{}, changed by {}", rules.title, rules.id);
    }
    Ok(Rules { changes, ..rules })
}

/// A tree in an edition.
fn chosen(tree: &Node, edition: Option<&str>) -> Result<Node, yaml::Problems> {
    editions::in_edition(tree, edition).map_err(|why| {
        let why = why.to_string();
        let (message, help) = why.split_once('\n').unwrap_or((&why, "remove `edition:`"));
        let mut problems = yaml::Problems::default();
        problems.push(None, message, help);
        problems
    })
}

/// The built-in set with whose title a reader could confuse this one.
const STANDARDS: [(&str, &str); 4] = [
    ("us", "NFPA 70"),
    ("us", "NEC 20"),
    ("us", "National Electrical Code"),
    ("iec", "IEC 60364"),
];

fn built_in_titled(title: &str) -> Option<&'static str> {
    let title = folded(title);
    let mut standards = STANDARDS.iter();
    if let Some((id, _)) = standards.find(|(_, name)| title.starts_with(&folded(name))) {
        return Some(id);
    }
    built_in_trees::ids().find(|id| {
        let known = built_in_trees::tree(id);
        let mut titles = known.iter().flat_map(editions::titles);
        titles.any(|known| {
            let known = folded(known.trim_end_matches(|c: char| c.is_ascii_digit()));
            title.contains(&known)
        })
    })
}

/// The built-in set with whose id a reader could confuse this one. No list of lookalike letters is
/// complete, so a character that is not ASCII after folding counts as looking like any letter.
fn built_in_like(id: &str) -> Option<&'static str> {
    let id = folded(id);
    built_in_trees::ids().find(|known| {
        let known = folded(known);
        known.chars().count() == id.chars().count()
            && known
                .chars()
                .zip(id.chars())
                .all(|(k, c)| k == c || !c.is_ascii())
    })
}

/// Converts a tree to [`Rules`]; [`Rules::changes`] is left empty.
fn built_in_of_a_year(id: &str) -> Option<&'static str> {
    built_in_like(id.trim_end_matches(|c: char| !c.is_alphabetic()))
}

pub(in crate::rules) fn typed(tree: &Node) -> Result<Rules, yaml::Problems> {
    let problems = Problems::new(yaml::Problems::default());
    let rules = rules(At {
        node: tree,
        path: Path::Root,
        problems: &problems,
    });
    let problems = problems.take();
    match rules {
        Some(rules) if problems.is_empty() => Ok(Rules {
            tree: tree.clone(),
            ..rules
        }),
        _ => Err(problems),
    }
}

fn rules(at: At) -> Option<Rules> {
    let known = editions::known(at.node);
    let m = at.map()?;
    let id = m.read("id", id);
    let edition = m.read("edition", |a| name(a, MAX_EDITION));
    let title = m.read("title", |a| name(a, MAX_TITLE));
    let code = m.optional(editions::CODE, |a| self::code(a, known));
    m.optional(editions::EDITIONS, |a| {
        a.map()?.each(|_, a| self::edition(a))
    });
    let prevailing = m
        .optional("prevailing", |a| a.list(|a| a.text()))
        .unwrap_or_default();
    let extends = m.optional("extends", |a| a.text());
    let thermal = m.read("thermal", thermal);
    let conditions = m.read("conditions", |a| {
        let m = a.map()?;
        let all = words(&m, |a| a.sourced(|a| a.grade()));
        m.finish();
        all
    });
    let torque = m.read("torque", torque_rules::read);
    let isolation = m.read("isolation", isolation);
    let questions = m.read("questions", questions);
    let next_due = m.read("next_due", next_due);
    let circuit = m.read("circuit", circuit::read);
    let needed = m.optional("needed", needed::read);
    let starter = m.optional("starter", starter::read);
    m.finish();
    Some(Rules {
        id: id?,
        edition: edition?,
        code,
        title: title?,
        prevailing,
        extends,
        changes: Vec::new(),
        thermal: thermal?,
        conditions: conditions?,
        torque: torque?,
        isolation: isolation?,
        questions: questions?,
        next_due: next_due?,
        circuit: circuit?,
        needed: needed.unwrap_or_default(),
        starter,
        tree: Node::default(),
    })
}

fn code(at: At, known: Vec<String>) -> Option<Code> {
    let m = at.map()?;
    let name = m.read("name", |a| name(a, MAX_EDITION));
    let edition = m.read("edition", |a| self::name(a, MAX_EDITION));
    m.finish();
    Some(Code {
        name: name?,
        edition: edition?,
        known,
    })
}

/// Checks another edition: its title, how far the unchanged values were compared with it, and its
/// changes, which are converted when it is in force.
fn edition(at: At) -> Option<()> {
    let m = at.map()?;
    let title = m.read("title", |a| name(a, MAX_TITLE));
    let unchanged = m.read("unchanged", |a| {
        a.word(&[("confirmed", ()), ("from-memory", ())])
    });
    let changes = m.read("changes", |a| a.map()?.each(|_, _| Some(())));
    m.finish();
    title.and(unchanged).and(changes.map(|_| ()))
}

/// Longest id, edition and title, in characters. They are printed inside sentences of certificates.
const MAX_ID: usize = 32;
const MAX_EDITION: usize = 32;
const MAX_TITLE: usize = 100;

/// An id, which is printed as a separate word, so it must not read like a sentence or another id.
fn id(a: At) -> Option<String> {
    let id = name(a, MAX_ID)?;
    let fine = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
    if id.chars().all(fine) {
        return Some(id);
    }
    a.report(
        "has other characters than letters, digits, `-`, `_` and `.`",
        "write a short name such as `acme-2026`",
    );
    None
}

/// A name that is printed between quotation marks.
fn name(a: At, most: usize) -> Option<String> {
    let text = a.text()?;
    let quotes = |c: char| matches!(c, '"' | '«' | '»' | '‹' | '›' | '\u{2018}'..='\u{201F}' | '\u{275B}'..='\u{2760}');
    if text.chars().count() > most {
        a.report(
            format!("has more than {most} characters"),
            "write a shorter one: it is printed on every certificate",
        );
    } else if text.chars().any(|c| quotes(c) || c.is_control()) {
        a.report(
            "has a quotation mark or a control character",
            "leave these out: the name is printed between quotation marks",
        );
    } else {
        return Some(text);
    }
    None
}

fn celsius(a: At) -> Option<Sourced<f64>> {
    a.sourced(|a| Some(Temperature::from_kelvin(a.number(Kind::TEMPERATURE)?).celsius()))
}

fn minutes(a: At) -> Option<Sourced<f64>> {
    a.sourced(|a| Some(Duration::from_second(a.number(Kind::DURATION)?).minute()))
}

fn thermal(at: At) -> Option<Thermal> {
    let m = at.map()?;
    let exponent = m.read("exponent", number(Kind::EXPONENT));
    let exponent_range = m.read("exponent_range", |a| a.sourced(exponents));
    let least_load_fraction = m.read("least_load_fraction", number(Kind::SHARE));
    let full_load_fraction = m.read("full_load_fraction", number(Kind::SHARE));
    let long_round_min = m.read("long_round", minutes);
    let coverage_factor = m.read("coverage_factor", number(Kind::COVERAGE));
    let assumed_accuracy = m.read("assumed_accuracy", |a| {
        a.sourced(|a| {
            let m = a.map()?;
            let of_reading = m.read("of_reading", |a| a.number(Kind::SHARE));
            let at_least = m.read("at_least", |a| a.number(Kind::DIFFERENCE));
            m.finish();
            Some(AssumedAccuracy {
                of_reading: of_reading?,
                at_least: TemperatureDifference::from_kelvin(at_least?),
            })
        })
    });
    let assumed_current_accuracy = m.read("assumed_current_accuracy", number(Kind::SHARE));
    let assumed_repeatability_k = m.read("assumed_repeatability", number(Kind::DIFFERENCE));
    let leg_difference = m.read("leg_difference", |a| a.bands(Kind::DIFFERENCE));
    let rise = m.read("rise", |a| a.bands(Kind::DIFFERENCE));
    let projected_margin = m.read("projected_margin", |a| a.bands(Kind::DIFFERENCE));
    let over_rating = m.read("over_rating", |a| a.sourced(|a| a.grade()));
    let over_rating_certain = m.read("over_rating_certain", number(Kind::SHARE));
    let worse_than_before = m.read("worse_than_before", |a| a.bands(Kind::DIFFERENCE));
    let contact_resistance = m.read("contact_resistance", |a| a.bands(Kind::FACTOR));
    let contact_drop = m.read("contact_drop", |a| a.bands(Kind::DROP));
    let pattern = m.read("pattern", |a| a.sourced(|a| a.grade()));
    let still_climbing_k_per_h = m.read("still_climbing", number(Kind::RATE));
    let longest_time_constant_min = m.read("longest_time_constant", minutes);
    let slow_share = m.read("slow_share", number(Kind::SHARE));
    let slow_time_constant_min = m.read("slow_time_constant", minutes);
    let spot_share = m.read("spot_share", number(Kind::SPOT_SHARE));
    let hottest_air_c = m.read("hottest_air", celsius);
    let least_emissivity = m.read("least_emissivity", number(Kind::EMISSIVITY));
    let surfaces = m.read("surfaces", |a| {
        let m = a.map()?;
        let all = words(&m, |a| a.sourced(emissivity));
        m.finish();
        all
    });
    let unmarked_terminal_c = m.read("unmarked_terminal", celsius);
    let breaker_rise = m.optional("breaker_rise", |a| {
        a.sourced(|a| {
            let m = a.map()?;
            let most_k = m.read("most", |a| a.number(Kind::DIFFERENCE));
            let full_rated_k = m.read("full_rated", |a| a.number(Kind::DIFFERENCE));
            let grade = m.read("grade", |a| a.grade());
            m.finish();
            Some(BreakerRise {
                most_k: most_k?,
                full_rated_k: full_rated_k?,
                grade: grade?,
            })
        })
    });
    let cover_rise_k = m.read("cover_rise", number(Kind::DIFFERENCE));
    let terminal_rises_k = m.optional("terminal_rises", |a| {
        let m = a.map()?;
        let all = words(&m, number(Kind::DIFFERENCE));
        m.finish();
        all
    });
    let grade = |key| m.read(key, |a| a.sourced(|a| a.grade()));
    let shiny_target = grade("shiny_target");
    let spot_too_wide = grade("spot_too_wide");
    let hot_without_load = grade("hot_without_load");
    let still_climbing = grade("still_climbing_grade");
    let current_over_charger = grade("current_over_charger");
    let current_over_breaker = grade("current_over_breaker");
    let load_too_low = grade("load_too_low");
    let calibration_overdue = grade("calibration_overdue");
    let (least, full) = (least_load_fraction?, full_load_fraction?);
    if least.value >= full.value {
        m.tell_of(
            "least_load_fraction",
            "is not below full_load_fraction",
            "write a load that can judge, but less than the full load",
        );
    }
    m.finish();
    Some(Thermal {
        exponent: exponent?,
        exponent_range: exponent_range?,
        least_load_fraction: least,
        full_load_fraction: full,
        long_round_min: long_round_min?,
        coverage_factor: coverage_factor?,
        assumed_accuracy: assumed_accuracy?,
        assumed_current_accuracy: assumed_current_accuracy?,
        assumed_repeatability_k: assumed_repeatability_k?,
        leg_difference: leg_difference?,
        rise: rise?,
        projected_margin: projected_margin?,
        over_rating: over_rating?,
        over_rating_certain: over_rating_certain?,
        worse_than_before: worse_than_before?,
        contact_resistance: contact_resistance?,
        contact_drop: contact_drop?,
        pattern: pattern?,
        still_climbing_k_per_h: still_climbing_k_per_h?,
        longest_time_constant_min: longest_time_constant_min?,
        slow_share: slow_share?,
        slow_time_constant_min: slow_time_constant_min?,
        spot_share: spot_share?,
        hottest_air_c: hottest_air_c?,
        surfaces: surfaces?,
        least_emissivity: least_emissivity?,
        unmarked_terminal_c: unmarked_terminal_c?,
        breaker_rise,
        cover_rise_k: cover_rise_k?,
        terminal_rises_k: terminal_rises_k.unwrap_or_default(),
        shiny_target: shiny_target?,
        spot_too_wide: spot_too_wide?,
        hot_without_load: hot_without_load?,
        still_climbing: still_climbing?,
        current_over_charger: current_over_charger?,
        current_over_breaker: current_over_breaker?,
        load_too_low: load_too_low?,
        calibration_overdue: calibration_overdue?,
    })
}

fn emissivity(a: At) -> Option<Emissivity> {
    let span = span(a, Kind::EMISSIVITY)?;
    Some(Emissivity {
        low: Ratio::from_value(span.low),
        high: Ratio::from_value(span.high),
    })
}

fn exponents(a: At) -> Option<Span> {
    span(a, Kind::EXPONENT)
}

fn span(a: At, kind: Kind) -> Option<Span> {
    let m = a.map()?;
    let low = m.read("low", |a| a.number(kind));
    let high = m.read("high", |a| a.number(kind));
    m.finish();
    let (low, high) = (low?, high?);
    if low > high {
        a.report("has its low end above its high end", "swap low and high");
        return None;
    }
    Some(Span { low, high })
}

fn isolation(at: At) -> Option<IsolationRules> {
    let m = at.map()?;
    let dead_v = m.read("dead", number(Kind::VOLT));
    let live_v = m.read("live", number(Kind::VOLT));
    let not_dead = m.read("not_dead", |a| a.sourced(|a| a.grade()));
    m.finish();
    Some(IsolationRules {
        dead_v: dead_v?,
        live_v: live_v?,
        not_dead: not_dead?,
    })
}

fn questions(at: At) -> Option<QuestionRules> {
    let m = at.map()?;
    let colder_than_air_k = m.read("colder_than_air", number(Kind::DIFFERENCE));
    let torque_in_other_unit = m.read("torque_in_other_unit", number(Kind::SHARE));
    let emissivity_apart = m.read("emissivity_apart", number(Kind::EMISSIVITY));
    m.finish();
    Some(QuestionRules {
        colder_than_air_k: colder_than_air_k?,
        torque_in_other_unit: torque_in_other_unit?,
        emissivity_apart: emissivity_apart?,
    })
}

fn next_due(at: At) -> Option<NextDueRules> {
    let m = at.map()?;
    let months = |key| m.read(key, |a| a.sourced(|a| a.whole(Kind::MONTHS)));
    let first = months("first");
    let clean = months("clean");
    let watch = months("watch");
    let repair = months("repair");
    let hot_after_torque = months("hot_after_torque");
    let at_once = m.read("at_once", |a| {
        a.sourced(|a| {
            let of_heat = <CheckId as Word>::choices().filter(|(_, id)| id.about() == Topic::Heat);
            let of_heat: Vec<_> = of_heat.collect();
            a.list(|a| a.word(&of_heat))
        })
    });
    let incomplete = months("incomplete");
    m.finish();
    Some(NextDueRules {
        first: first?,
        clean: clean?,
        watch: watch?,
        repair: repair?,
        hot_after_torque: hot_after_torque?,
        at_once: at_once?,
        incomplete: incomplete?,
    })
}
