//! From checks to findings: several failed checks of one connection, device or circuit usually have
//! one cause, which is reported once.
//!
//! A connection that is hotter than its sister, drops more voltage or has become worse is a poor
//! joint; its loose screw, its rise over air and a hint at it are evidence for that. If all
//! connections of a place are hot, the cause is the place; if several places are hot, it is the
//! circuit, or the conductors if they are too thin. A poor joint is also the cause of the heat of
//! other connections in the same box, unless these are graded worse.

use super::assessment::{CheckResult, CircuitAssessment, ConnectionAssessment};
use super::finding::{Charging, Finding};
use super::heat::places::carrying;
use super::parts;
use crate::rules::Rules;
use crate::visit::{Circuit, Condition, Grade, MarkedFor, Material, Part};
use crate::vocabulary::{Cause, CauseId, CheckId, Topic, ValueName, Variant};

/// The findings that follow from the checks of a visit, without charging advice and deadlines:
/// worst first, then in the order of their worst checks. `checks` must be sorted, worst first.
pub(super) fn diagnose(
    checks: &[CheckResult],
    circuits: &[Circuit],
    assessed: &[CircuitAssessment],
    rules: &Rules,
) -> Vec<Finding> {
    let of_circuits = circuits
        .iter()
        .map(|circuit| Some(circuit.id.as_str()))
        .chain([None]);
    let mut findings: Vec<Finding> = of_circuits
        .flat_map(|circuit| {
            let own = |c: &CheckResult| c.circuit.as_deref() == circuit;
            let failed = |c: &CheckResult| c.grade.max(c.effective_grade()) > Grade::Pass;
            let indices = checks.iter().enumerate();
            let concerned = indices
                .filter(|(_, c)| own(c) && failed(c))
                .map(|(i, _)| i)
                .collect();
            let described = circuits.iter().find(|c| Some(c.id.as_str()) == circuit);
            let found = assessed.iter().find(|c| Some(c.id.as_str()) == circuit);
            let found = found.map_or(&[][..], |c| &c.connections);
            Diagnosis::of(checks, concerned, described, found, rules).findings()
        })
        .collect();
    findings.sort_by_key(|f| {
        (
            std::cmp::Reverse(f.grade),
            f.evidence.first().copied().unwrap_or(usize::MAX),
        )
    });
    findings
}

/// A connection in the box of a poor joint is warmed by it to at most this share of its rise; a
/// warmer one has a cause of its own. Authors' choice, no source.
const WARMED: f64 = 0.8;

/// The same for the change since an earlier visit. Authors' choice, no source.
const CHANGED: f64 = 0.5;

/// Checks that have one cause.
struct Group {
    cause: Cause,
    checks: Vec<usize>,
    /// The connection that warms the others, if it is not that of the worst check.
    source: Option<String>,
    /// The connections that are equally hot, at both ends of a device.
    ends: Vec<String>,
}

/// The checks of one circuit while they are sorted into groups.
struct Diagnosis<'a> {
    all: &'a [CheckResult],
    circuit: Option<&'a Circuit>,
    found: &'a [ConnectionAssessment],
    rules: &'a Rules,
    /// Not in any group yet.
    open: Vec<usize>,
    groups: Vec<Group>,
}

/// Whether a check shows that a joint has more resistance than it should.
pub(super) fn shows_poor_joint(check: &CheckResult) -> bool {
    matches!(
        check.id,
        CheckId::LegDifference
            | CheckId::ContactResistance
            | CheckId::ContactDrop
            | CheckId::WorseThanBefore
    )
}

/// Whether a check shows a screw that is or was loose.
fn shows_loose_screw(check: &CheckResult) -> bool {
    check.id == CheckId::TorqueMoved
        || (check.id == CheckId::TorqueNoValue && check.grade >= Grade::Watch)
        || (check.id == CheckId::TorqueLeftWrong && check.variant == Some(Variant::Low))
}

/// Whether a check grades the heat of a connection by itself, whatever warms it.
pub(super) fn shows_heat(check: &CheckResult) -> bool {
    matches!(
        check.id,
        CheckId::Rise | CheckId::BreakerRise | CheckId::ProjectedHeat | CheckId::OverRating
    )
}

/// Whether a check shows a part that is spoilt.
fn shows_damage(check: &CheckResult) -> bool {
    check.id == CheckId::Condition
        && matches!(check.variant, Some(Variant::Seen(seen)) if seen.spoils())
}

/// Whether conductors that are too small are the cause.
fn of_load(group: &Group) -> bool {
    matches!(
        group.cause,
        Cause::Known(
            CauseId::UndersizedConductor | CauseId::UndersizedCircuit | CauseId::UndersizedBreaker
        )
    )
}

/// Whether the evidence for a poor joint is only that it is warm, or warmer than before, without a
/// comparison with another joint.
fn only_warmer(group: &Group, all: &[CheckResult]) -> bool {
    group.cause == Cause::Known(CauseId::PoorJoint)
        && group.checks.iter().all(|i| {
            let check = &all[*i];
            check.id == CheckId::WorseThanBefore || shows_heat(check)
        })
}

/// Length of conductor along which a joint still warms the next one, m. The excess temperature
/// decays along a wire with the characteristic length of a fin, √(k·A/(h·P)): 0.15 m for 6 AWG
/// copper (k = 400 W/(m·K), A = 13.3 mm², h = 10 W/(m²·K), P = π·8 mm). About seven times that.
const WARMED_RUN_M: f64 = 1.0;

/// Whether the heat of a joint at one of two places next to each other in the circuit reaches the
/// other: both are ends of one device, or of a short conductor.
fn heat_reaches(circuit: &Circuit, a: usize, b: usize) -> bool {
    let run = circuit.conductors.length;
    let short = run.is_some_and(|run| run.metre() <= WARMED_RUN_M);
    a.abs_diff(b) == 1 && (short || one_device(circuit, a, b))
}

/// Whether two places are ends of one device.
fn one_device(circuit: &Circuit, a: usize, b: usize) -> bool {
    const DEVICES: [[Part; 2]; 3] = [
        [Part::Breaker, Part::Busbar],
        [Part::Receptacle, Part::Plug],
        [Part::DisconnectLine, Part::DisconnectLoad],
    ];
    let part = |i: usize| circuit.places.get(i).and_then(parts::of);
    let pair = [part(a.min(b)), part(a.max(b))];
    DEVICES
        .iter()
        .any(|[x, y]| pair == [Some(*x), Some(*y)] || pair == [Some(*y), Some(*x)])
}

fn same_place(a: &CheckResult, b: &CheckResult) -> bool {
    a.place.is_some() && a.place == b.place
}

impl<'a> Diagnosis<'a> {
    fn of(
        all: &'a [CheckResult],
        open: Vec<usize>,
        circuit: Option<&'a Circuit>,
        found: &'a [ConnectionAssessment],
        rules: &'a Rules,
    ) -> Self {
        let mut diagnosis = Diagnosis {
            all,
            circuit,
            found,
            rules,
            open,
            groups: Vec::new(),
        };
        diagnosis.joints();
        diagnosis.worse_alike();
        diagnosis.neighbours();
        diagnosis.along_the_leg();
        diagnosis.one_leg();
        diagnosis.both_ends();
        diagnosis.one_device_spoilt();
        diagnosis.load();
        diagnosis.shared_heat();
        diagnosis.alike();
        diagnosis.hints();
        diagnosis.single();
        diagnosis
    }

    /// Removes the checks that fulfil a condition from `open` and returns them.
    fn take(&mut self, wanted: impl Fn(&CheckResult) -> bool) -> Vec<usize> {
        let all = self.all;
        let (taken, open) = std::mem::take(&mut self.open)
            .into_iter()
            .partition(|i| wanted(&all[*i]));
        self.open = open;
        taken
    }

    fn push(&mut self, cause: CauseId, checks: Vec<usize>) {
        if !checks.is_empty() {
            self.groups.push(Group {
                cause: Cause::Known(cause),
                checks,
                source: None,
                ends: Vec::new(),
            });
        }
    }

    /// The grade that counts of a group's worst check.
    fn worst(&self, checks: &[usize]) -> Grade {
        let grades = checks.iter().map(|i| self.all[*i].effective_grade());
        grades.max().unwrap_or(Grade::Pass)
    }

    /// Groups the checks of each connection: a poor joint, a loose screw, a damaged part.
    fn joints(&mut self) {
        let all = self.all;
        let subject = |check: &CheckResult| {
            let about_joint =
                shows_poor_joint(check) || shows_loose_screw(check) || shows_damage(check);
            about_joint
                .then(|| check.connections.first().cloned())
                .flatten()
        };
        let mut connections: Vec<String> = Vec::new();
        for i in &self.open {
            if let Some(connection) = subject(&all[*i])
                && !connections.contains(&connection)
            {
                connections.push(connection);
            }
        }
        for connection in connections {
            let first = |c: &CheckResult| c.connections.first() == Some(&connection);
            let mut checks = self.take(|c| first(c) && subject(c).is_some());
            // Heat graded for this connection alone; milder results are shared by several
            // connections. The rise of a breaker is graded by its hottest terminal, named first.
            let alone = |c: &CheckResult| c.connections.len() == 1 || c.id == CheckId::BreakerRise;
            let heat = self.take(|c| first(c) && alone(c) && shows_heat(c));
            let any = |test: fn(&CheckResult) -> bool, checks: &[usize]| {
                checks.iter().any(|i| test(&all[*i]))
            };
            let hot = heat
                .iter()
                .any(|i| all[*i].effective_grade() >= Grade::Watch);
            // Next to visible damage, a slight difference does not decide the cause.
            let slight = |i: &usize| {
                let check = &all[*i];
                shows_damage(check) || check.effective_grade() < Grade::Watch
            };
            let cause = if any(shows_damage, &checks) && !hot && checks.iter().all(slight) {
                CauseId::DamagedPart
            } else if any(shows_poor_joint, &checks) || hot {
                CauseId::PoorJoint
            } else {
                CauseId::LooseScrew
            };
            checks.extend(heat);
            self.push(cause, checks);
        }
    }

    /// If all connections of a place are warmer than at an earlier visit, but not warmer than each
    /// other, they are not all poor joints: something that they share has changed.
    fn worse_alike(&mut self) {
        let all = self.all;
        let only_worse = |group: &Group| only_warmer(group, all);
        let place = |group: &Group| group.checks.first().and_then(|i| all[*i].place.clone());
        let read = |at: &String| {
            let carrying = self.circuit.map(carrying).unwrap_or_default();
            let here = self.found.iter();
            let here = here.filter(|c| carrying.contains(&c.leg.as_str()));
            here.filter(|c| c.place == *at && c.rise_at_rated.is_some())
                .count()
        };
        let alike: Vec<String> = self
            .groups
            .iter()
            .filter(|g| only_worse(g))
            .filter_map(&place)
            .filter(|at| {
                let groups = self.groups.iter().filter(|g| only_worse(g));
                let here = groups.filter(|g| place(g).as_ref() == Some(at)).count();
                here > 1 && here == read(at)
            })
            .collect();
        let (shared, kept): (Vec<Group>, Vec<Group>) = std::mem::take(&mut self.groups)
            .into_iter()
            .partition(|g| only_worse(g) && place(g).is_some_and(|at| alike.contains(&at)));
        self.groups = kept;
        self.open.extend(shared.into_iter().flat_map(|g| g.checks));
        self.open.sort_unstable();
    }

    /// Joins what a poor joint explains in its place: damage seen there without naming a
    /// connection, and other connections that are warm, or warmer than before, but not worse.
    fn neighbours(&mut self) {
        let all = self.all;
        let mut joints: Vec<usize> = (0..self.groups.len())
            .filter(|g| self.groups[*g].cause == Cause::Known(CauseId::PoorJoint))
            .collect();
        joints.sort_by_key(|g| std::cmp::Reverse(self.worst(&self.groups[*g].checks)));
        for joint in joints {
            let Some(lead) = self.groups[joint].checks.first().map(|i| &all[*i]) else {
                continue;
            };
            let grade = self.worst(&self.groups[joint].checks);
            let found = self.found;
            let rise = |id: Option<&String>| {
                let found = found.iter().find(|c| Some(&c.id) == id)?;
                Some(found.rise_at_rated?.value.kelvin())
            };
            let hottest = rise(lead.connections.first());
            let warmed = |c: &CheckResult| {
                let own = rise(c.connections.first()).zip(hottest);
                own.is_none_or(|(own, hottest)| own <= WARMED * hottest)
            };
            let explained = |c: &CheckResult| {
                same_place(c, lead)
                    && ((shows_damage(c) && c.connections.is_empty() && grade >= Grade::Watch)
                        || (shows_heat(c) && c.effective_grade() <= grade && warmed(c)))
            };
            let mut checks = self.take(explained);
            // A sister that is only warmer than before, next to a hotter one.
            let compared = |group: &Group| {
                group.checks.iter().any(|i| {
                    let check = &all[*i];
                    matches!(
                        check.id,
                        CheckId::LegDifference | CheckId::ContactResistance | CheckId::ContactDrop
                    )
                })
            };
            let change = |group: &Group| {
                let of = group.checks.iter().map(|i| &all[*i]);
                let worse = of.filter(|c| c.id == CheckId::WorseThanBefore);
                worse.filter_map(|c| c.value).fold(0.0, f64::max)
            };
            if compared(&self.groups[joint]) {
                for g in 0..self.groups.len() {
                    let group = &self.groups[g];
                    let warmed_by_it = g != joint
                        && only_warmer(group, all)
                        && group.checks.iter().all(|i| same_place(&all[*i], lead))
                        && self.worst(&group.checks) <= grade
                        && change(group) <= CHANGED * change(&self.groups[joint]);
                    if warmed_by_it {
                        checks.append(&mut self.groups[g].checks);
                    }
                }
            }
            self.groups[joint].checks.extend(checks);
        }
        self.groups.retain(|g| !g.checks.is_empty());
        // Damage at a place with no poor joint: one finding for the place.
        while let Some(first) = self.open.iter().copied().find(|i| shows_damage(&all[*i])) {
            let lead = &all[first];
            let together =
                self.take(|c| shows_damage(c) && (std::ptr::eq(c, lead) || same_place(c, lead)));
            self.push(CauseId::DamagedPart, together);
        }
    }

    /// Joins connections on the same leg in the next place that a poor joint warms: its heat
    /// reaches the other end of the device or of a short conductor. Slight warmth there always
    /// counts as caused by the joint; stronger warmth does if it is graded no worse, is clearly
    /// less, and nothing else is wrong there.
    fn along_the_leg(&mut self) {
        let Some(circuit) = self.circuit else {
            return;
        };
        let all = self.all;
        let at = |group: &Group| {
            let id = all[*group.checks.first()?].connections.first()?;
            circuit.places.iter().enumerate().find_map(|(i, p)| {
                let own = p.connections.iter().find(|c| c.id == *id)?;
                Some((i, &own.leg, id))
            })
        };
        let rise = |id: &String| {
            let found = self.found.iter().find(|c| c.id == *id)?;
            Some(found.rise_at_rated?.value.kelvin())
        };
        let mut joined: Vec<(usize, usize)> = Vec::new();
        for (warmed, group) in self.groups.iter().enumerate() {
            let its_own = |i: &usize| shows_loose_screw(&all[*i]) || shows_damage(&all[*i]);
            if group.cause != Cause::Known(CauseId::PoorJoint) || group.checks.iter().any(its_own) {
                continue;
            }
            let Some((place, leg, id)) = at(group) else {
                continue;
            };
            let worst = self.worst(&group.checks);
            let clearly_less = |other: &String| {
                let rises = rise(id).zip(rise(other));
                rises.is_some_and(|(own, other)| own <= WARMED * other)
            };
            let sources = self.groups.iter().enumerate().filter(|(_, other)| {
                other.cause == Cause::Known(CauseId::PoorJoint)
                    && self.worst(&other.checks) >= worst.max(Grade::Watch)
                    && at(other).is_some_and(|(p, l, joint)| {
                        l == leg
                            && heat_reaches(circuit, p, place)
                            && (worst <= Grade::Note
                                || clearly_less(joint)
                                // Damage at one end of a device is damage to the device.
                                || (one_device(circuit, p, place)
                                    && other.checks.iter().any(|i| shows_damage(&all[*i]))))
                    })
            });
            joined.extend(sources.map(|(source, _)| (warmed, source)).next());
        }
        for (warmed, source) in &joined {
            // The source may itself be warmed by the next one.
            let mut source = *source;
            while let Some((_, next)) = joined.iter().find(|(warmed, _)| *warmed == source) {
                source = *next;
            }
            let joint = at(&self.groups[source]).map(|(_, _, id)| id.clone());
            let checks = std::mem::take(&mut self.groups[*warmed].checks);
            let group = &mut self.groups[source];
            group.checks.extend(checks);
            group.source = group.source.take().or(joint);
        }
        self.groups.retain(|g| !g.checks.is_empty());
    }

    /// A poor joint whose screw had not moved and that is not damaged, so that it may have a cause in
    /// common with others: place, leg, connection and rise.
    fn common(&self, group: &Group) -> Option<(usize, &'a str, &'a String, f64)> {
        let all = self.all;
        let its_own = |i: &usize| shows_loose_screw(&all[*i]) || shows_damage(&all[*i]);
        if group.cause != Cause::Known(CauseId::PoorJoint) || group.checks.iter().any(its_own) {
            return None;
        }
        let id = all[*group.checks.first()?].connections.first()?;
        let rise = self.found.iter().find(|c| c.id == *id)?.rise_at_rated?;
        let places = self.circuit?.places.iter().enumerate();
        places.into_iter().find_map(|(i, p)| {
            let own = p.connections.iter().find(|c| c.id == *id)?;
            Some((i, own.leg.as_str(), id, rise.value.kelvin()))
        })
    }

    /// Makes one group of all groups at these indices; the first of them stays.
    fn join(&mut self, cause: CauseId, groups: &[usize], ends: Vec<String>) {
        let Some((first, rest)) = groups.split_first() else {
            return;
        };
        let mut checks = Vec::new();
        for group in rest {
            checks.append(&mut self.groups[*group].checks);
        }
        let group = &mut self.groups[*first];
        group.checks.extend(checks);
        (group.cause, group.ends) = (Cause::Known(cause), ends);
    }

    /// Joins poor joints of one leg that is hotter than the others at every place, if they are equally
    /// hot: independent faults would not be alike everywhere, while more current in this leg, or a
    /// thinner conductor, heats all of them.
    fn one_leg(&mut self) {
        let everywhere = self
            .open
            .iter()
            .any(|i| self.all[*i].id == CheckId::PatternSameLegEverywhere);
        if !everywhere {
            return;
        }
        let joints: Vec<_> = self.groups.iter().map(|g| self.common(g)).collect();
        let alike: Vec<usize> = (0..joints.len()).filter(|g| joints[*g].is_some()).collect();
        let of = |g: &usize| joints[*g];
        let rises = || alike.iter().filter_map(of).map(|(.., rise)| rise);
        let (least, most) = (
            rises().fold(f64::INFINITY, f64::min),
            rises().fold(0.0, f64::max),
        );
        let leg = alike.first().and_then(of).map(|(_, leg, ..)| leg);
        let one_leg = alike
            .iter()
            .filter_map(of)
            .all(|(_, own, ..)| Some(own) == leg);
        if alike.len() > 1 && one_leg && least > WARMED * most {
            let ends = alike.iter().filter_map(of).map(|(_, _, id, _)| id.clone());
            let ends = ends.collect();
            self.join(CauseId::HotLeg, &alike, ends);
            self.groups.retain(|g| !g.checks.is_empty());
        }
    }

    /// Joins poor joints on one leg, at both ends of a device or of a short conductor, that are equally
    /// hot: of two independent faults one would be clearly hotter, while a contact inside, or a
    /// conductor that carries the heat, warms both ends alike. A joint whose screw had moved, or that
    /// is damaged, has its own cause.
    fn both_ends(&mut self) {
        let Some(circuit) = self.circuit else {
            return;
        };
        let joints: Vec<_> = self.groups.iter().map(|g| self.common(g)).collect();
        // Sets of joints of which each is next to one before it.
        let mut sets: Vec<Vec<usize>> = Vec::new();
        for (g, joint) in joints.iter().enumerate() {
            let Some((p, leg, _, rise)) = *joint else {
                continue;
            };
            let alike = |other: &usize| {
                joints[*other].is_some_and(|(other_p, other_leg, _, other_rise)| {
                    leg == other_leg
                        && (p == other_p || heat_reaches(circuit, p, other_p))
                        && rise.min(other_rise) > WARMED * rise.max(other_rise)
                })
            };
            match sets.iter_mut().find(|set| set.iter().any(alike)) {
                Some(set) => set.push(g),
                None => sets.push(vec![g]),
            }
        }
        for set in sets.into_iter().filter(|set| set.len() > 1) {
            let ends = set.iter().filter_map(|g| joints[*g]);
            let ends = ends.map(|(_, _, id, _)| id.clone()).collect();
            self.join(CauseId::HotDevice, &set, ends);
        }
        self.groups.retain(|g| !g.checks.is_empty());
    }

    /// Joins damage that one joint did: at both ends of a device on one leg, such as a contact of a
    /// receptacle and the blade in it, and seen at a place without naming the connection.
    fn one_device_spoilt(&mut self) {
        let Some(circuit) = self.circuit else {
            return;
        };
        let all = self.all;
        // Where the damage is: place, and leg if the connection was named.
        let spots = |group: &Group| -> Vec<(usize, Option<&str>)> {
            let damage = group.checks.iter().map(|i| &all[*i]);
            let damage = damage.filter(|c| shows_damage(c));
            damage
                .filter_map(|c| {
                    let place = c.place.as_ref()?;
                    let at = circuit.places.iter().position(|p| p.id == *place)?;
                    let named = c.connections.first();
                    let leg = named.and_then(|id| {
                        let mut here = circuit.places.get(at)?.connections.iter();
                        here.find(|own| own.id == *id)
                    });
                    Some((at, leg.map(|own| own.leg.as_str())))
                })
                .collect()
        };
        let together = |a: &Group, b: &Group| {
            let of_b = spots(b);
            spots(a).iter().any(|(at, leg)| {
                of_b.iter().any(|(other_at, other)| {
                    let unnamed = leg.is_none() || other.is_none();
                    let device = one_device(circuit, *at, *other_at);
                    (device && (unnamed || leg == other)) || (at == other_at && unnamed)
                })
            })
        };
        let spoilt = |group: &Group| {
            matches!(
                group.cause,
                Cause::Known(CauseId::DamagedPart | CauseId::PoorJoint)
            )
        };
        let mut joined: Vec<Group> = Vec::new();
        // A poor joint keeps its name: the damage is what its heat did.
        let (joints, others): (Vec<Group>, Vec<Group>) = std::mem::take(&mut self.groups)
            .into_iter()
            .partition(|g| g.cause != Cause::Known(CauseId::DamagedPart));
        joined.extend(joints);
        for group in others {
            match joined.iter_mut().find(|g| spoilt(g) && together(g, &group)) {
                Some(with) => with.checks.extend(group.checks),
                None => joined.push(group),
            }
        }
        self.groups = joined;
    }

    /// Conductors and overcurrent device compared with the load.
    fn load(&mut self) {
        let thin = self.take(|c| {
            matches!(
                c.id,
                CheckId::ConductorContinuous | CheckId::ConductorAmpacity
            )
        });
        let mut small = self.take(|c| c.id == CheckId::ContinuousLoad);
        // A charger that draws its rated current, which is too much for its breaker, fails these
        // checks too.
        let rated = self.circuit.map(|c| c.charger.load().ampere());
        if !small.is_empty()
            && let Some(rated) = rated
        {
            let least = |c: &CheckResult| Some(c.value? - c.uncertainty.unwrap_or(0.0));
            small.extend(self.take(|c| {
                c.id == CheckId::ChargingCurrent
                    && c.variant == Some(Variant::Breaker)
                    && least(c).is_some_and(|least| least <= rated)
            }));
        }
        let too_large = self.take(|c| {
            matches!(
                c.id,
                CheckId::ConductorProtection
                    | CheckId::OverloadProtection
                    | CheckId::SmallConductor
            )
        });
        let drop = self.take(|c| {
            matches!(
                c.id,
                CheckId::VoltageDrop | CheckId::VoltageDropFeeder | CheckId::VoltageDropTotal
            )
        });
        if thin.is_empty() {
            self.push(CauseId::UndersizedBreaker, small);
            self.push(CauseId::OversizedBreaker, too_large);
            self.push(CauseId::LongRun, drop);
        } else {
            let cause = if small.is_empty() {
                CauseId::UndersizedConductor
            } else {
                CauseId::UndersizedCircuit
            };
            let all = [thin, small, too_large, drop].concat();
            self.push(cause, all);
        }
    }

    /// Heat that no single joint explains.
    fn shared_heat(&mut self) {
        let all = self.all;
        let lone: Vec<String> = self
            .open
            .iter()
            .filter(|i| shows_heat(&all[**i]))
            .filter_map(|i| self.lone(&all[*i]))
            .collect();
        for connection in lone {
            let own = |c: &CheckResult| c.connections.first() == Some(&connection);
            let heat = self.take(|c| own(c) && shows_heat(c));
            self.push(CauseId::PoorJoint, heat);
        }
        let heat = self.take(|c| shows_heat(c) || c.id == CheckId::WorseThanBefore);
        let Some(first) = heat.first().map(|i| &all[*i]) else {
            return;
        };
        // Conductors have the same size at both ends, so heat at only one place comes from that
        // place.
        let local = heat.iter().all(|i| same_place(&all[*i], first)) && self.cool_elsewhere(first);
        if let Some(group) = self.groups.iter_mut().find(|g| of_load(g) && !local) {
            group.checks.extend(heat);
        } else if heat.iter().all(|i| same_place(&all[*i], first)) {
            // Dust keeps the heat of an enclosure in.
            let dust = self.take(|c| {
                c.id == CheckId::Condition
                    && c.variant == Some(Variant::Seen(Condition::Dust))
                    && same_place(c, first)
            });
            self.push(CauseId::HotPlace, [heat, dust].concat());
        } else {
            self.push(CauseId::HotCircuit, heat);
        }
    }

    /// Whether the circuit is cooler elsewhere: at other places, connections that carry the current
    /// were read, and each of them rises clearly less than those at the place of this check.
    fn cool_elsewhere(&self, check: &CheckResult) -> bool {
        let Some(circuit) = self.circuit else {
            return false;
        };
        let carrying = carrying(circuit);
        let rise = |c: &ConnectionAssessment| Some(c.rise_at_rated?.value.kelvin());
        let of = |here: bool| {
            self.found
                .iter()
                .filter(|c| carrying.contains(&c.leg.as_str()))
                .filter(move |c| (check.place.as_ref() == Some(&c.place)) == here)
                .filter_map(rise)
        };
        let coolest_here = of(true).fold(f64::INFINITY, f64::min);
        let warmest = of(false).reduce(f64::max);
        warmest.is_some_and(|warmest| warmest <= WARMED * coolest_here)
    }

    /// The connection of a check on heat, if no other connection at its place is hot except those
    /// with a cause of their own, and at least one that carries the current is not hot.
    fn lone(&self, check: &CheckResult) -> Option<String> {
        let own = check.connections.first()?;
        let place = check.place.as_ref()?;
        let circuit = self.circuit?;
        let hot = |id: &String| {
            self.open.iter().any(|i| {
                let c = &self.all[*i];
                shows_heat(c) && c.connections.contains(id)
            })
        };
        let grouped = |id: &String| {
            self.groups.iter().any(|g| {
                g.checks
                    .iter()
                    .any(|i| self.all[*i].connections.first() == Some(id))
            })
        };
        let carrying = carrying(circuit);
        let mut others = self.found.iter().filter(|c| {
            c.place == *place
                && c.id != *own
                && c.rise_at_rated.is_some()
                && carrying.contains(&c.leg.as_str())
        });
        let alone = !others.clone().any(|c| hot(&c.id));
        (alone && others.any(|c| !grouped(&c.id))).then(|| own.clone())
    }

    /// Groups checks by their subject.
    fn alike(&mut self) {
        let overtight = self.take(|c| {
            c.id == CheckId::TorqueTight
                || (c.id == CheckId::TorqueLeftWrong && c.variant == Some(Variant::High))
        });
        let hot = self.take(|c| c.id == CheckId::TorqueHot);
        let all = self.all;
        for i in hot {
            let own = |g: &usize| all[*g].connections.first() == all[i].connections.first();
            let remade = (0..self.groups.len()).find(|g| {
                let group = &self.groups[*g];
                let remade = group.cause == Cause::Known(CauseId::PoorJoint)
                    && self.worst(&group.checks) >= Grade::Repair;
                let checked_again = group.cause == Cause::Known(CauseId::LooseScrew);
                (remade || checked_again) && group.checks.iter().any(own)
            });
            // A joint that must be repaired before the circuit is used is then tightened cold
            // anyway, and a screw that moved is checked again cold.
            match remade {
                Some(joint) => self.groups[joint].checks.push(i),
                None => self.open.push(i),
            }
        }
        for i in overtight {
            let own = |g: &usize| all[*g].connections.first() == all[i].connections.first();
            let joint = self.groups.iter_mut().find(|group| {
                group.cause == Cause::Known(CauseId::PoorJoint) && group.checks.iter().any(own)
            });
            // An overtightened screw can be the reason for a poor joint.
            match joint {
                Some(joint) => joint.checks.push(i),
                None => self.push(CauseId::OvertightenedScrew, vec![i]),
            }
        }
        for (cause, ids) in [
            (
                CauseId::TorqueNotKnown,
                &[CheckId::TorqueNoValue] as &[CheckId],
            ),
            (
                CauseId::WarmSurroundings,
                &[CheckId::HotWithoutLoad, CheckId::PatternAirHot],
            ),
            (
                CauseId::UnsuitableReceptacle,
                &[
                    CheckId::ReceptacleConfiguration,
                    CheckId::ReceptacleRating,
                    CheckId::ReceptacleGrade,
                ],
            ),
            (
                CauseId::UnsuitableTerminals,
                &[CheckId::AluminiumTermination, CheckId::CopperTermination],
            ),
            (
                CauseId::ShockProtection,
                &[
                    CheckId::GroundFault,
                    CheckId::ResidualCurrent,
                    CheckId::DisconnectionTime,
                    CheckId::EarthElectrode,
                    CheckId::PenLoss,
                ],
            ),
        ] {
            let mut checks = self.take(|c| ids.contains(&c.id));
            if cause == CauseId::UnsuitableTerminals && !checks.is_empty() {
                checks.extend(self.joints_of_the_wrong_metal());
            }
            self.push(cause, checks);
        }
    }

    /// Removes the groups of poor joints whose terminals are not made for the metal of the
    /// conductors, and returns their checks: aluminium creeps under a terminal for copper, so the
    /// terminal is the cause.
    fn joints_of_the_wrong_metal(&mut self) -> Vec<usize> {
        let all = self.all;
        let Some(circuit) = self.circuit else {
            return Vec::new();
        };
        let wrong = match circuit.conductors.material {
            Material::Copper => MarkedFor::Aluminium,
            Material::Aluminium | Material::CopperCladAluminium => MarkedFor::Copper,
        };
        let of_wrong_metal = |group: &Group| {
            let own = |id: &String| {
                circuit
                    .connections()
                    .any(|(_, c)| c.id == *id && c.marked == Some(wrong))
            };
            group.cause == Cause::Known(CauseId::PoorJoint)
                && group
                    .checks
                    .iter()
                    .any(|i| all[*i].connections.first().is_some_and(own))
        };
        let (taken, kept) = std::mem::take(&mut self.groups)
            .into_iter()
            .partition::<Vec<Group>, _>(of_wrong_metal);
        self.groups = kept;
        taken.into_iter().flat_map(|group| group.checks).collect()
    }

    /// Adds each hint at a pattern of heat to a finding on heat as evidence, preferably to that of
    /// its own connection or place. Without such a finding it remains a hint.
    fn hints(&mut self) {
        let all = self.all;
        for hint in self.take(|c| c.id.about() == Topic::Hint) {
            let check = &all[hint];
            let connection = check.connections.first();
            let heat = |i: &usize| {
                let c = &all[*i];
                shows_heat(c) || shows_poor_joint(c) || c.id == CheckId::HotWithoutLoad
            };
            let nearness = |group: &Group| {
                if check.id == CheckId::PatternLegsHotAlike && of_load(group) {
                    return 4;
                }
                if !group.checks.iter().any(heat) {
                    return 0;
                }
                let own = |i: &usize| all[*i].connections.first() == connection;
                let here = |i: &usize| same_place(&all[*i], check);
                if connection.is_some() && group.checks.iter().any(own) {
                    3
                } else if group.checks.iter().any(here) {
                    2
                } else {
                    1
                }
            };
            // The first of the nearest, as the groups are ordered.
            let nearest = (0..self.groups.len())
                .map(|g| (nearness(&self.groups[g]), g))
                .filter(|(near, _)| *near > 0)
                .min_by_key(|(near, g)| (std::cmp::Reverse(*near), *g));
            match nearest {
                Some((_, g)) => self.groups[g].checks.push(hint),
                None => self.open.push(hint),
            }
        }
    }

    /// Makes a finding of each remaining check; equal checks of one circuit share one.
    fn single(&mut self) {
        let all = self.all;
        while let Some(first) = self.open.first().copied() {
            let lead = &all[first];
            let whose = |c: &CheckResult| c.values.get(&ValueName::Instrument).cloned();
            let mut checks = self
                .take(|c| c.id == lead.id && c.variant == lead.variant && whose(c) == whose(lead));
            checks.sort_unstable();
            self.groups.push(Group {
                cause: Cause::Check(lead.id),
                checks,
                source: None,
                ends: Vec::new(),
            });
        }
    }

    fn findings(self) -> Vec<Finding> {
        self.groups
            .iter()
            .map(|group| self.finding(group))
            .collect()
    }

    fn finding(&self, group: &Group) -> Finding {
        let mut evidence = group.checks.clone();
        // Hints come last, because they are not evidence by themselves.
        evidence.sort_by_key(|i| {
            let check = &self.all[*i];
            (
                check.id.about() == Topic::Hint,
                std::cmp::Reverse(check.effective_grade()),
                std::cmp::Reverse(check.grade),
                group.source.is_some() && check.connections.first() != group.source.as_ref(),
                *i,
            )
        });
        let of = |f: fn(&CheckResult) -> Grade| {
            let grades = evidence.iter().map(|i| f(&self.all[*i]));
            grades.max().unwrap_or(Grade::Pass)
        };
        let (mut rule_grade, mut grade) = (of(|c| c.grade), of(CheckResult::effective_grade));
        let mut source = None;
        if let Some(rule) = self.combined(group, |c| c.grade)
            && rule.value > rule_grade
        {
            rule_grade = rule.value;
        }
        if let Some(rule) = self.combined(group, CheckResult::effective_grade)
            && rule.value > grade
        {
            grade = rule.value;
            source = Some(rule.source.clone());
        }
        let mut connections: Vec<String> = Vec::new();
        for i in &evidence {
            let check = &self.all[*i];
            // A leg difference is about the hotter connection; a hint names all connections that it
            // compares.
            let most = match (check.id, check.id.about()) {
                (CheckId::LegDifference, _) => 1,
                (_, Topic::Hint) if !connections.is_empty() => 0,
                _ => usize::MAX,
            };
            for connection in check.connections.iter().take(most) {
                if !connections.contains(connection) {
                    connections.push(connection.clone());
                }
            }
        }
        // A joint is one connection. Those that it warms, or is compared with, are in the evidence.
        if matches!(
            group.cause,
            Cause::Known(CauseId::PoorJoint | CauseId::LooseScrew | CauseId::OvertightenedScrew)
        ) {
            connections.truncate(1);
        }
        if !group.ends.is_empty() {
            connections.clone_from(&group.ends);
        }
        let lead = evidence.first().map(|i| &self.all[*i]);
        // A finding about several places has no place; a joint has its own, wherever its heat
        // shows.
        let joint = group.cause == Cause::Known(CauseId::PoorJoint);
        let place = lead.and_then(|c| c.place.clone()).filter(|place| {
            let elsewhere = |c: &CheckResult| {
                c.place.as_ref().is_some_and(|p| p != place) && c.id.about() != Topic::Hint
            };
            joint || !evidence.iter().any(|i| elsewhere(&self.all[*i]))
        });
        Finding {
            cause: group.cause,
            rule_grade,
            grade,
            circuit: lead.and_then(|c| c.circuit.clone()),
            place,
            connections,
            evidence,
            charging: Charging::AsUsual,
            deadline: None,
            combined: source,
            judgement: None,
        }
    }

    /// The rule that grades a joint worse than each of its checks, if its screw had moved, it is
    /// hot, and it has become worse. `grade` returns the grade of the rule set or the one that
    /// counts.
    fn combined(
        &self,
        group: &Group,
        grade: fn(&CheckResult) -> Grade,
    ) -> Option<&crate::rules::Sourced<Grade>> {
        if group.cause != Cause::Known(CauseId::PoorJoint) {
            return None;
        }
        let shown = |test: fn(&CheckResult) -> bool, least: Grade| {
            group.checks.iter().any(|i| {
                let check = &self.all[*i];
                test(check) && grade(check) >= least
            })
        };
        let moved = shown(shows_loose_screw, Grade::Note);
        let hot = shown(
            |c| shows_heat(c) || c.id == CheckId::LegDifference,
            Grade::Watch,
        );
        let worse = shown(|c| c.id == CheckId::WorseThanBefore, Grade::Watch);
        (moved && hot && worse).then_some(&self.rules.torque.moved_hot_and_worse)
    }
}
