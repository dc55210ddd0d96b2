//! Patterns: each of the trade's usual causes, and what must not be named (common practice, no source).

use warmlug::assess::physics::pattern::{Kind, Pattern, Seen, Side, Worth, patterns};

const WORTH: Worth = Worth {
    difference_k: 4.0,
    rise_k: 10.0,
};

fn joint(place: usize, leg: usize, rise_k: f64) -> Seen {
    Seen {
        place,
        leg,
        carries: true,
        side: Side::Joint,
        rise_k,
        u_k: 1.0,
        common_k: 0.0,
        growth: 1.0,
        kept_k: 0.0,
        no_load: None,
    }
}

fn kinds(seen: &[Seen]) -> Vec<(Kind, Option<usize>, Option<usize>)> {
    patterns(seen, &WORTH)
        .iter()
        .map(|p| (p.kind, p.place, p.leg))
        .collect()
}

#[test]
fn one_leg_hot_in_one_place() {
    let seen = [
        joint(0, 0, 20.0),
        joint(0, 1, 9.0),
        joint(1, 0, 8.0),
        joint(1, 1, 8.5),
    ];
    let found = patterns(&seen, &WORTH);
    assert_eq!(kinds(&seen), [(Kind::OneLegHot, Some(0), Some(0))]);
    let Pattern { evidence, .. } = &found[0];
    assert_eq!((evidence[0].hot, evidence[0].against), (0, Some(1)));
    assert!((evidence[0].difference_k - 11.0).abs() < 1e-12);
    assert!((evidence[0].standard_k - 2f64.sqrt()).abs() < 1e-12);
}

#[test]
fn a_difference_within_uncertainty_or_worth_is_none() {
    // 3 K differs beyond 2·√2 K but is not worth a hint; 5 K with u = 2 K each is not seen.
    assert_eq!(kinds(&[joint(0, 0, 9.0), joint(0, 1, 6.0)]), []);
    let coarse = |leg, rise_k| Seen {
        u_k: 2.0,
        ..joint(0, leg, rise_k)
    };
    assert_eq!(kinds(&[coarse(0, 9.0), coarse(1, 4.0)]), []);
}

#[test]
fn what_all_rises_have_in_common_cancels_and_the_hotter_one_still_grows() {
    // u = 2 K each, 1.9 K of it common: √(2·(2² − 1.9²)) = 0.8832 K (JCGM 100:2008, 5.2.2, r = 1 for
    // the common part). What is read still grows by 1.1: 5.5 ± 1.94 K.
    let one = |leg, rise_k| Seen {
        u_k: 2.0,
        common_k: 1.9,
        growth: 1.1,
        ..joint(0, leg, rise_k)
    };
    let found = patterns(&[one(0, 9.0), one(1, 4.0)], &WORTH);
    let evidence = &found[0].evidence[0];
    assert_eq!(found[0].kind, Kind::OneLegHot);
    assert!((evidence.difference_k - 5.5).abs() < 1e-12);
    assert!((evidence.standard_k - 1.1 * 0.883_176).abs() < 1e-6);
}

#[test]
fn the_same_leg_hot_everywhere() {
    let seen = [
        joint(0, 0, 20.0),
        joint(0, 1, 9.0),
        joint(1, 0, 18.0),
        joint(1, 1, 8.5),
    ];
    assert_eq!(kinds(&seen), [(Kind::SameLegEverywhere, None, Some(0))]);
    // Different legs are two joints.
    let seen = [
        joint(0, 0, 20.0),
        joint(0, 1, 9.0),
        joint(1, 0, 8.0),
        joint(1, 1, 18.5),
    ];
    assert_eq!(
        kinds(&seen),
        [
            (Kind::OneLegHot, Some(0), Some(0)),
            (Kind::OneLegHot, Some(1), Some(1))
        ]
    );
}

#[test]
fn legs_hot_alike() {
    let seen = [
        joint(0, 0, 22.0),
        joint(0, 1, 21.0),
        joint(1, 0, 19.0),
        joint(1, 1, 20.0),
    ];
    assert_eq!(kinds(&seen), [(Kind::LegsHotAlike, None, None)]);
    // In one of two places only.
    let seen = [
        joint(0, 0, 22.0),
        joint(0, 1, 21.0),
        joint(1, 0, 5.0),
        joint(1, 1, 6.0),
    ];
    assert_eq!(kinds(&seen), [(Kind::PlaceHotAlike, Some(0), None)]);
    // With a single place nothing sets it apart from the circuit.
    assert_eq!(
        kinds(&[joint(0, 0, 22.0), joint(0, 1, 21.0)]),
        [(Kind::LegsHotAlike, Some(0), None)]
    );
    // Alike and cool is nothing.
    assert_eq!(kinds(&[joint(0, 0, 6.0), joint(0, 1, 6.0)]), []);
}

#[test]
fn three_legs() {
    let hot = [joint(0, 0, 9.0), joint(0, 1, 20.0), joint(0, 2, 9.5)];
    assert_eq!(kinds(&hot), [(Kind::OneLegHot, Some(0), Some(1))]);
    // Two hot and one cool is neither one leg nor all alike.
    let two = [joint(0, 0, 20.0), joint(0, 1, 20.0), joint(0, 2, 9.5)];
    assert_eq!(kinds(&two), []);
}

#[test]
fn heat_of_the_joint_falls_off() {
    let on = |side, rise_k| Seen {
        side,
        ..joint(0, 0, rise_k)
    };
    let seen = [
        on(Side::Conductor, 9.0),
        on(Side::Joint, 25.0),
        on(Side::Device, 15.0),
    ];
    assert_eq!(kinds(&seen), [(Kind::JointHottest, Some(0), Some(0))]);
    let grows = [
        on(Side::Conductor, 9.0),
        on(Side::Joint, 15.0),
        on(Side::Device, 25.0),
    ];
    assert_eq!(kinds(&grows), [(Kind::DeviceHotter, Some(0), Some(0))]);
    let along = [on(Side::Conductor, 25.0), on(Side::Joint, 15.0)];
    assert_eq!(kinds(&along), [(Kind::ConductorHotter, Some(0), Some(0))]);
    // Without the joint itself nothing is compared.
    assert_eq!(
        kinds(&[on(Side::Conductor, 9.0), on(Side::Device, 25.0)]),
        []
    );
}

#[test]
fn warm_air_heats_what_carries_nothing() {
    let ground = Seen {
        carries: false,
        ..joint(0, 9, 14.0)
    };
    let seen = [joint(0, 0, 20.0), joint(0, 1, 19.0), ground];
    assert_eq!(
        kinds(&seen),
        [
            (Kind::LegsHotAlike, Some(0), None),
            (Kind::AirHot, Some(0), None)
        ]
    );
    // A ground terminal that keeps under half of the hottest names nothing.
    let cool = Seen {
        rise_k: 9.0,
        ..ground
    };
    assert_eq!(
        kinds(&[joint(0, 0, 20.0), joint(0, 1, 19.0), cool]),
        [(Kind::LegsHotAlike, Some(0), None)]
    );
    // Where nothing is hot under load nothing is named; from the edge on it is.
    let at = |hot| {
        let ground = Seen {
            carries: false,
            ..joint(0, 9, 9.0)
        };
        kinds(&[joint(0, 0, hot), joint(0, 1, hot), ground])
            .iter()
            .any(|k| k.0 == Kind::AirHot)
    };
    assert_eq!([at(9.99), at(10.0)], [false, true]);
    // Hot before charging began.
    let before = Seen {
        no_load: Some((12.0, 1.0)),
        ..joint(0, 0, 20.0)
    };
    assert_eq!(
        kinds(&[before, joint(0, 1, 19.0)]),
        [
            (Kind::LegsHotAlike, Some(0), None),
            (Kind::AirHot, Some(0), None)
        ]
    );
}

#[test]
fn numbers_that_are_none_are_left_out() {
    let none = Seen {
        rise_k: f64::NAN,
        ..joint(0, 1, 0.0)
    };
    assert_eq!(kinds(&[joint(0, 0, 20.0), none]), []);
    for wrong in [f64::NAN, f64::INFINITY, -1.0] {
        let none = Seen {
            u_k: wrong,
            ..joint(0, 1, 9.0)
        };
        assert_eq!(kinds(&[joint(0, 0, 20.0), none]), [], "{wrong}");
    }
    assert_eq!(kinds(&[]), []);
}
