//! parse ∘ print is the identity for every quantity, and no text makes a parser panic.

use proptest::prelude::*;
use warmlug::quantity::{
    ConductorSize, Current, Duration, Length, Percentage, Power, Quantity, Ratio, Temperature,
    TemperatureDifference, TimeOfDay, Torque, Unit, Voltage, parse,
};

/// Any double of a size that a quantity may have, with all its digits.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        -1e6..1e6f64,
        -1.0..1.0f64,
        0.0..1e-12f64,
        Just(0.0),
        (0..2000i32).prop_map(f64::from)
    ]
}

/// The canonical form and the form in each unit of the kind come back as the identical double.
fn comes_back<Q>(value: Q) -> Result<(), TestCaseError>
where
    Q: Quantity + PartialEq + std::fmt::Display,
{
    prop_assert_eq!(parse::<Q>(&value.to_string(), None), Ok(value));
    for unit in Q::KIND.units() {
        let text = value.exact(*unit);
        prop_assert_eq!(parse::<Q>(&text, None), Ok(value), "{}", text);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn one_number_quantities(x in number()) {
        comes_back(Temperature::from_kelvin(x.abs()))?;
        comes_back(TemperatureDifference::from_kelvin(x))?;
        comes_back(Current::from_ampere(x))?;
        comes_back(Voltage::from_volt(x))?;
        comes_back(Power::from_watt(x))?;
        comes_back(Torque::from_newton_metre(x))?;
        comes_back(Length::from_metre(x))?;
        comes_back(Percentage::from_fraction(x))?;
        comes_back(Ratio::from_value(x))?;
        comes_back(Duration::from_second(x))?;
    }

    #[test]
    fn written_values_keep_their_writing(whole in 0..500i32, tenth in 0..10i32) {
        // What people write comes back as they wrote it, not as 0.30000000000000004.
        let text = if tenth == 0 { format!("{whole}") } else { format!("{whole}.{tenth}") };
        for unit in [Unit::Fahrenheit, Unit::Celsius] {
            let written = format!("{text} {}", unit.symbol());
            prop_assert_eq!(written.parse::<Temperature>().unwrap().exact(unit), written);
        }
        for unit in [Unit::PoundForceInch, Unit::PoundForceFoot, Unit::NewtonMetre] {
            let written = format!("{text} {}", unit.symbol());
            prop_assert_eq!(written.parse::<Torque>().unwrap().exact(unit), written);
        }
        for unit in [Unit::Foot, Unit::Inch, Unit::Metre, Unit::Millimetre] {
            let written = format!("{text} {}", unit.symbol());
            prop_assert_eq!(written.parse::<Length>().unwrap().exact(unit), written);
        }
        let written = format!("{text} %");
        prop_assert_eq!(written.parse::<Percentage>().unwrap().to_string(), written);
    }

    #[test]
    fn times(h in 0..24u32, m in 0..60u32, s in 0..60u32) {
        let time = TimeOfDay::from_hms(h, m, s).unwrap();
        prop_assert_eq!(time.to_string().parse(), Ok(time));
    }

    #[test]
    fn no_text_panics(
        text in "\\PC{0,40}",
        number in "[-−+]?[0-9]{0,5}[.,/: ]?[0-9]{0,3} ?[a-zA-Z°·²'\"%:#/-]{0,8}[0-9]{0,2} ?[a-z]{0,3}",
    ) {
        for text in [&text, &number] {
            let _ = text.parse::<Temperature>();
            let _ = text.parse::<TemperatureDifference>();
            let _ = text.parse::<Torque>();
            let _ = text.parse::<Length>();
            let _ = text.parse::<Ratio>();
            let _ = text.parse::<Duration>();
            let _ = text.parse::<ConductorSize>().map_err(|e| e.advice());
            let _ = text.parse::<TimeOfDay>();
            if let Err(e) = text.parse::<Current>() {
                prop_assert!(!e.to_string().is_empty() && !e.advice().is_empty());
            }
        }
    }
}

#[test]
fn sizes() {
    let all = ConductorSize::AWG
        .into_iter()
        .map(ConductorSize::Awg)
        .chain(ConductorSize::KCMIL.into_iter().map(ConductorSize::Kcmil))
        .chain(ConductorSize::MM2.into_iter().map(ConductorSize::Mm2));
    for size in all {
        assert_eq!(size.to_string().parse(), Ok(size));
        assert_eq!(size.print().parse(), Ok(size));
    }
}
