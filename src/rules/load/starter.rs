//! Reads the usual values of a starter visit.

use crate::quantity::{System, Temperature, Voltage};
use crate::rules::number::Kind;
use crate::rules::starter_values::Starter;
use crate::rules::typed_values::At;
use crate::visit::{Earthing, Paper, Supply};

pub(super) fn read(at: At) -> Option<Starter> {
    let m = at.map()?;
    let temperature = |a: At| a.number(Kind::TEMPERATURE).map(Temperature::from_kelvin);
    let units = m.read("units", |a| {
        a.word(&[("us", System::Us), ("si", System::Si)])
    });
    let paper = m.read("paper", |a| {
        a.word(&[("letter", Paper::Letter), ("a4", Paper::A4)])
    });
    let legs = m.read("legs", |a| a.text());
    let rated = m.read("rated", |a| a.text());
    let breaker = m.read("breaker", |a| a.text());
    let conductor = m.read("conductor", |a| a.text());
    let insulation = m.read("insulation", temperature);
    let terminal_rating = m.optional("terminal_rating", temperature);
    let hottest_air = m.read("hottest_air", temperature);
    let receptacle = m.read("receptacle", |a| a.text());
    let supplies = m.read("supplies", |a| {
        a.map()?.each(|name, a| Some((name.to_owned(), supply(a)?)))
    });
    if let (Some(legs), Some(supplies)) = (&legs, &supplies)
        && !supplies.iter().any(|(name, _)| name == legs)
    {
        m.tell_of(
            "legs",
            "is not one of the supplies",
            "write one of their keys",
        );
    }
    let provenance = m.provenance();
    m.finish();
    Some(Starter {
        provenance: provenance?,
        units: units?,
        paper: paper?,
        legs: legs?,
        rated: rated?,
        breaker: breaker?,
        conductor: conductor?,
        insulation: insulation?,
        terminal_rating,
        hottest_air: hottest_air?,
        receptacle: receptacle?,
        supplies: supplies?,
    })
}

fn supply(at: At) -> Option<Supply> {
    let m = at.map()?;
    let phases = m.read("phases", |a| a.whole(Kind::COUNT));
    let legs = m.read("legs", |a| a.list(|a| a.text()));
    let voltage = m.read("voltage", |a| a.number(Kind::VOLT).map(Voltage::from_volt));
    let earthing = m.optional("earthing", |a| {
        a.word(&[("tn", Earthing::Tn), ("tt", Earthing::Tt)])
    });
    m.finish();
    Some(Supply {
        phases: u8::try_from(phases?).ok()?,
        legs: legs?,
        voltage: voltage?,
        system: None,
        pen_protected: None,
        earth_resistance: None,
        earthing,
    })
}
