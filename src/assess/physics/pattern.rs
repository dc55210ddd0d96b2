//! Patterns in the heat of a circuit: which of the usual causes the distribution of rises
//! resembles.
//!
//! A hint, never a verdict: a pattern carries the comparisons it is based on, each with its
//! uncertainty, and several can apply at once. The interpretation of the patterns is common
//! practice in thermography, no source: a bad joint is hot by itself and its heat decreases along
//! the conductor; too much current or too little copper heats the legs equally at every place; warm
//! air also heats parts that carry no current.
//!
//! Not decided here: the names for people, which round is examined, which thresholds apply.

use super::uncertainty::COVERAGE;
use std::collections::BTreeMap;

/// The part of a connection that was aimed at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// The conductor beside the joint, or its insulation.
    Conductor,
    /// The joint itself: terminal, lug, splice.
    Joint,
    /// The device behind the joint: its case, its plug-on contact, a receptacle's face.
    Device,
}

/// One connection's rise in the examined round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Number of its place, in order from the supply.
    pub place: usize,
    /// Number of its leg.
    pub leg: usize,
    /// Whether it carries the charger's current; `false` for an unused neutral, a grounding
    /// terminal, or a neighbouring circuit at rest.
    pub carries: bool,
    /// The part that was aimed at.
    pub side: Side,
    /// Rise over air under load, less what it keeps without load, kelvin.
    pub rise_k: f64,
    /// What it keeps without load, kelvin; 0 if nothing was taken off.
    pub kept_k: f64,
    /// Its standard uncertainty, kelvin.
    pub u_k: f64,
    /// Part of it that is the same error in every rise of the round: the bias of the thermometer, and
    /// the air.
    pub common_k: f64,
    /// By how much what was read grows until it is settled; at least 1.
    pub growth: f64,
    /// Rise over air before charging with its standard uncertainty, if there is a no-load round.
    pub no_load: Option<(f64, f64)>,
}

/// Thresholds above which a value is worth a hint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Least difference between legs or sides, kelvin.
    pub difference_k: f64,
    /// Least rise over air that counts as hot, kelvin.
    pub rise_k: f64,
}

/// What a distribution of heat resembles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// One leg is hotter than every other in one place and not everywhere: a loose or damaged
    /// joint there.
    OneLegHot,
    /// The same leg is hotter in every place with readings of several legs: more current on it,
    /// or something common to its readings, rather than one joint.
    SameLegEverywhere,
    /// The legs are equally hot in every place read: more current than assumed, or small
    /// conductors.
    LegsHotAlike,
    /// The legs are equally hot in one place and cooler elsewhere: a cause common to that place,
    /// such as its device, its enclosure or the make of its terminals.
    PlaceHotAlike,
    /// On one leg in one place the joint is hotter than the conductor next to it, and not cooler
    /// than the device: the joint generates the heat.
    JointHottest,
    /// On one leg in one place the device is hotter than the joint: its inside generates the heat.
    DeviceHotter,
    /// On one leg in one place the conductor is hotter than the joint: the heat arrives along it,
    /// or the conductor generates it.
    ConductorHotter,
    /// Parts that carry no current, or none yet, are hot too: because of the air in the enclosure,
    /// the sun, or a neighbouring circuit.
    AirHot,
}

/// One comparison that a pattern is based on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evidence {
    /// Index of the hotter connection.
    pub hot: usize,
    /// Index of the connection it is compared with; `None` for its own rise over air, or before
    /// charging.
    pub against: Option<usize>,
    /// The difference, kelvin.
    pub difference_k: f64,
    /// Its standard uncertainty, kelvin.
    pub standard_k: f64,
}

impl Evidence {
    /// Whether the difference exceeds its expanded uncertainty (k = 2).
    pub fn seen(&self) -> bool {
        self.difference_k > COVERAGE * self.standard_k
    }
}

/// A pattern and the comparisons it is based on.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// What the distribution resembles.
    pub kind: Kind,
    /// Its place; `None` when it is about the whole circuit.
    pub place: Option<usize>,
    /// Its leg, if it is about one.
    pub leg: Option<usize>,
    /// The comparisons, as indices into the given connections.
    pub evidence: Vec<Evidence>,
}

/// Patterns in one round's rises, by place and then in the order of [`Kind`].
///
/// Connections whose rise or uncertainty is not a finite number are left out.
pub fn patterns(seen: &[Seen], worth: &Worth) -> Vec<Pattern> {
    let view = View::new(seen, worth);
    let places: Vec<usize> = view.by_place.keys().copied().collect();
    let mut found = Vec::new();
    legs(&view, &places, &mut found);
    for &place in &places {
        sides(&view, place, &mut found);
        found.extend(air(&view, place));
    }
    found.sort_by_key(|p| (p.place, p.kind as u8));
    found
}

/// The connections and the thresholds.
struct View<'a> {
    seen: &'a [Seen],
    worth: &'a Worth,
    /// Indices of the usable connections of each place.
    by_place: BTreeMap<usize, Vec<usize>>,
}

impl<'a> View<'a> {
    fn new(seen: &'a [Seen], worth: &'a Worth) -> Self {
        let mut by_place: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (i, s) in seen.iter().enumerate() {
            if s.rise_k.is_finite() && s.u_k.is_finite() && s.u_k >= 0.0 {
                by_place.entry(s.place).or_default().push(i);
            }
        }
        Self {
            seen,
            worth,
            by_place,
        }
    }

    /// Indices of the usable connections of a place.
    fn at(&self, place: usize) -> impl Iterator<Item = usize> + '_ {
        self.by_place.get(&place).into_iter().flatten().copied()
    }

    fn compare(&self, hot: usize, against: usize) -> Evidence {
        let (a, b) = (&self.seen[hot], &self.seen[against]);
        let own = |s: &Seen| ((s.u_k - s.common_k) * (s.u_k + s.common_k)).max(0.0);
        let common = a.common_k - b.common_k;
        Evidence {
            hot,
            against: Some(against),
            // As for the leg difference, the hotter one's curve serves both.
            difference_k: a.growth * (a.rise_k - b.rise_k),
            standard_k: a.growth * (own(a) + own(b) + common * common).sqrt(),
        }
    }

    /// The rise over air with what it keeps without load.
    fn whole(&self, i: usize) -> f64 {
        self.seen[i].rise_k + self.seen[i].kept_k
    }

    fn over_air(&self, hot: usize) -> Evidence {
        Evidence {
            hot,
            against: None,
            difference_k: self.seen[hot].rise_k,
            standard_k: self.seen[hot].u_k,
        }
    }

    /// Whether a difference is both significant and large enough to report.
    fn counts(&self, e: &Evidence) -> bool {
        e.seen() && e.difference_k >= self.worth.difference_k
    }

    fn hottest(&self, of: impl Iterator<Item = usize>) -> Option<usize> {
        of.max_by(|&a, &b| self.seen[a].rise_k.total_cmp(&self.seen[b].rise_k))
    }

    /// The hottest loaded connection of each leg in a place, hottest leg first.
    fn legs_of(&self, place: usize) -> Vec<usize> {
        let here = || self.at(place).filter(move |&i| self.seen[i].carries);
        let mut legs: Vec<usize> = here().map(|i| self.seen[i].leg).collect();
        legs.sort_unstable();
        legs.dedup();
        let mut hottest: Vec<usize> = legs
            .into_iter()
            .filter_map(|leg| self.hottest(here().filter(|&i| self.seen[i].leg == leg)))
            .collect();
        hottest.sort_by(|&a, &b| self.seen[b].rise_k.total_cmp(&self.seen[a].rise_k));
        hottest
    }
}

/// Comparison of one place's legs.
enum Legs {
    /// One leg is hotter than every other.
    One(usize, Vec<Evidence>),
    /// All are hot, none significantly hotter than the others.
    Alike(Vec<Evidence>),
    /// Neither.
    Neither,
}

fn legs_in(view: &View, place: usize) -> Option<Legs> {
    let legs = view.legs_of(place);
    let (&hot, rest) = legs.split_first()?;
    let coolest = *rest.last()?;
    let against: Vec<Evidence> = rest.iter().map(|&i| view.compare(hot, i)).collect();
    Some(if against.iter().all(|e| view.counts(e)) {
        Legs::One(hot, against)
    } else if !view.counts(&view.compare(hot, coolest))
        && view.seen[coolest].rise_k >= view.worth.rise_k
        && legs.iter().all(|&i| view.over_air(i).seen())
    {
        Legs::Alike(
            legs.iter()
                .map(|&i| view.over_air(i))
                .chain(against)
                .collect(),
        )
    } else {
        Legs::Neither
    })
}

fn legs(view: &View, places: &[usize], found: &mut Vec<Pattern>) {
    let compared: Vec<(usize, Legs)> = places
        .iter()
        .filter_map(|&p| Some((p, legs_in(view, p)?)))
        .collect();
    let hot_leg = |l: &Legs| match l {
        Legs::One(i, _) => Some(view.seen[*i].leg),
        _ => None,
    };
    let first_leg = compared.first().and_then(|(_, l)| hot_leg(l));
    let everywhere = compared.len() > 1
        && first_leg.is_some()
        && compared.iter().all(|(_, l)| hot_leg(l) == first_leg);
    let alike_everywhere =
        compared.len() > 1 && compared.iter().all(|(_, l)| matches!(l, Legs::Alike(_)));
    let gathered = |kind, leg| Pattern {
        kind,
        place: None,
        leg,
        evidence: compared
            .iter()
            .flat_map(|(_, l)| match l {
                Legs::One(_, e) | Legs::Alike(e) => e.clone(),
                Legs::Neither => Vec::new(),
            })
            .collect(),
    };
    if everywhere {
        found.push(gathered(Kind::SameLegEverywhere, first_leg));
        return;
    }
    if alike_everywhere {
        found.push(gathered(Kind::LegsHotAlike, None));
        return;
    }
    for (place, l) in &compared {
        match l {
            Legs::One(hot, evidence) => found.push(Pattern {
                kind: Kind::OneLegHot,
                place: Some(*place),
                leg: Some(view.seen[*hot].leg),
                evidence: evidence.clone(),
            }),
            Legs::Alike(evidence) => found.push(Pattern {
                // With a single place it cannot be distinguished from the whole circuit.
                kind: if compared.len() > 1 {
                    Kind::PlaceHotAlike
                } else {
                    Kind::LegsHotAlike
                },
                place: Some(*place),
                leg: None,
                evidence: evidence.clone(),
            }),
            Legs::Neither => {}
        }
    }
}

fn sides(view: &View, place: usize, found: &mut Vec<Pattern>) {
    for leg in view.legs_of(place).iter().map(|&i| view.seen[i].leg) {
        let side = |side| {
            view.hottest(view.at(place).filter(|&i| {
                let s = &view.seen[i];
                s.leg == leg && s.carries && s.side == side
            }))
        };
        let Some(joint) = side(Side::Joint) else {
            continue;
        };
        let (conductor, device) = (side(Side::Conductor), side(Side::Device));
        let hotter =
            |hot: usize, than: usize| Some(view.compare(hot, than)).filter(|e| view.counts(e));
        let mut push = |kind, evidence| {
            found.push(Pattern {
                kind,
                place: Some(place),
                leg: Some(leg),
                evidence,
            });
        };
        let device_hotter = device.and_then(|d| hotter(d, joint));
        if let Some(e) = device_hotter {
            push(Kind::DeviceHotter, vec![e]);
        }
        let Some(conductor) = conductor else {
            continue;
        };
        if let Some(e) = hotter(conductor, joint) {
            push(Kind::ConductorHotter, vec![e]);
        } else if let Some(e) = hotter(joint, conductor).filter(|_| device_hotter.is_none()) {
            let device = device.map(|d| view.compare(joint, d));
            push(Kind::JointHottest, [e].into_iter().chain(device).collect());
        }
    }
}

/// Fraction of the hottest rise that a part without current must reach for the air to be named as
/// the cause: half (our choice, no source).
const ALIKE_SHARE: f64 = 0.5;

fn air(view: &View, place: usize) -> Option<Pattern> {
    let hot = *view.legs_of(place).first()?;
    let hottest = view.whole(hot);
    if hottest < view.worth.rise_k {
        return None;
    }
    let enough = |e: &Evidence| {
        e.seen() && e.difference_k >= view.worth.difference_k.max(ALIKE_SHARE * hottest)
    };
    let here = || view.at(place);
    let at_rest = here().filter(|&i| !view.seen[i].carries).map(|i| Evidence {
        difference_k: view.whole(i),
        ..view.over_air(i)
    });
    let before = here().filter(|&i| view.seen[i].carries).filter_map(|i| {
        let (difference_k, standard_k) = view.seen[i].no_load?;
        Some(Evidence {
            hot: i,
            against: None,
            difference_k,
            standard_k,
        })
    });
    let evidence: Vec<Evidence> = at_rest.chain(before).filter(enough).collect();
    (!evidence.is_empty()).then_some(Pattern {
        kind: Kind::AirHot,
        place: Some(place),
        leg: None,
        evidence,
    })
}
