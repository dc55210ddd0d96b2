//! Unit conversions against an independent library (`uom`, whose factors come from the NIST
//! Guide to the SI, SP 811), and the relations that follow from definitions.
//!
//! The definitions are those of the international inch and pound (1959) and of the SI brochure, 9th edition.

use uom::si::f64::{
    ElectricCurrent, ElectricPotential, Length as UomLength, Power as UomPower,
    TemperatureInterval, ThermodynamicTemperature, Time, Torque as UomTorque,
};
use uom::si::{
    electric_current, electric_potential, length, power, temperature_interval,
    thermodynamic_temperature, time, torque,
};
use warmlug::quantity::{
    Current, Duration, Length, Power, Quantity, Temperature, TemperatureDifference, Torque, Unit,
    Voltage,
};

/// Two doubles agree within a few units in the last place: both libraries round each step.
#[track_caller]
fn agree(ours: f64, theirs: f64) {
    let tolerance = 8.0 * f64::EPSILON * ours.abs().max(theirs.abs()).max(1e-300);
    assert!((ours - theirs).abs() <= tolerance, "{ours} and {theirs}");
}

const VALUES: [f64; 9] = [0.1, 1.0, 2.0, 7.0, 45.0, 55.0, 97.3, 240.0, 825.0];

#[test]
fn torques() {
    for v in VALUES {
        let theirs = UomTorque::new::<torque::pound_force_inch>(v).get::<torque::newton_meter>();
        // SP 811 rounds the inch-pound to seven digits; uom follows it.
        let ours = Torque::of(v, Unit::PoundForceInch).newton_metre();
        assert!((ours / theirs - 1.0).abs() < 1e-6, "{ours} and {theirs}");
        let theirs = UomTorque::new::<torque::pound_force_foot>(v).get::<torque::newton_meter>();
        let ours = Torque::of(v, Unit::PoundForceFoot).newton_metre();
        assert!((ours / theirs - 1.0).abs() < 1e-6, "{ours} and {theirs}");
        let theirs = UomTorque::new::<torque::centinewton_meter>(v).get::<torque::newton_meter>();
        agree(Torque::of(v, Unit::CentinewtonMetre).newton_metre(), theirs);
    }
}

#[test]
fn the_inch_pound_is_the_product_of_its_definitions() {
    // International yard and pound agreement (1959): 1 lb = 0.45359237 kg, 1 in = 25.4 mm;
    // 3rd CGPM (1901): standard gravity 9.80665 m/s².
    assert_eq!(
        Torque::of(1.0, Unit::PoundForceInch).newton_metre(),
        0.1129848290276167
    );
    agree(Unit::POUND_FORCE_INCH_NM, 0.45359237 * 9.80665 * 0.0254);
    agree(Unit::POUND_FORCE_FOOT_NM, 0.45359237 * 9.80665 * 0.3048);
    // Worked: 45 in·lb is 5.08 N·m; ±6 % of it 42.3 to 47.7 in·lb.
    assert_eq!(
        Torque::of(45.0, Unit::PoundForceInch).print_in(Unit::NewtonMetre, 2),
        "5.08\u{a0}N·m"
    );
}

#[test]
fn temperatures() {
    for v in VALUES.into_iter().chain([-459.0, -40.0, 0.0, 32.0, 212.0]) {
        let theirs =
            ThermodynamicTemperature::new::<thermodynamic_temperature::degree_fahrenheit>(v);
        // Near absolute zero the last place of the large numbers subtracted remains.
        let kelvin = Temperature::of(v, Unit::Fahrenheit).kelvin();
        let difference = kelvin - theirs.get::<thermodynamic_temperature::kelvin>();
        assert!(difference.abs() < 2e-13, "{v} °F differs by {difference} K");
        let theirs = ThermodynamicTemperature::new::<thermodynamic_temperature::degree_celsius>(v);
        agree(
            Temperature::of(v, Unit::Celsius).kelvin(),
            theirs.get::<thermodynamic_temperature::kelvin>(),
        );
    }
    // Fixed points of the scales.
    for (f, c) in [
        (-40.0, -40.0),
        (32.0, 0.0),
        (212.0, 100.0),
        (-459.67, -273.15),
    ] {
        let t = Temperature::of(f, Unit::Fahrenheit);
        assert!(
            (t.celsius() - c).abs() < 1e-12,
            "{f} °F is {} °C",
            t.celsius()
        );
        assert!((Temperature::of(c, Unit::Celsius).fahrenheit() - f).abs() < 1e-12);
    }
}

#[test]
fn temperature_differences() {
    for v in VALUES.into_iter().chain([-18.0, 0.0]) {
        let theirs = TemperatureInterval::new::<temperature_interval::degree_fahrenheit>(v);
        agree(
            TemperatureDifference::of(v, Unit::Fahrenheit).kelvin(),
            theirs.get::<temperature_interval::kelvin>(),
        );
        assert_eq!(TemperatureDifference::of(v, Unit::Celsius).kelvin(), v);
    }
}

#[test]
fn lengths() {
    for v in VALUES {
        agree(
            Length::of(v, Unit::Foot).metre(),
            UomLength::new::<length::foot>(v).get::<length::meter>(),
        );
        agree(
            Length::of(v, Unit::Inch).metre(),
            UomLength::new::<length::inch>(v).get::<length::meter>(),
        );
        agree(
            Length::of(v, Unit::Millimetre).metre(),
            UomLength::new::<length::millimeter>(v).get::<length::meter>(),
        );
        agree(
            Length::of(v, Unit::Centimetre).metre(),
            UomLength::new::<length::centimeter>(v).get::<length::meter>(),
        );
        agree(
            Length::of(v, Unit::Micrometre).metre(),
            UomLength::new::<length::micrometer>(v).get::<length::meter>(),
        );
    }
}

#[test]
fn electrical_units_and_time() {
    for v in VALUES {
        agree(
            Current::of(v, Unit::Milliampere).ampere(),
            ElectricCurrent::new::<electric_current::milliampere>(v)
                .get::<electric_current::ampere>(),
        );
        agree(
            Voltage::of(v, Unit::Millivolt).volt(),
            ElectricPotential::new::<electric_potential::millivolt>(v)
                .get::<electric_potential::volt>(),
        );
        agree(
            Voltage::of(v, Unit::Kilovolt).volt(),
            ElectricPotential::new::<electric_potential::kilovolt>(v)
                .get::<electric_potential::volt>(),
        );
        agree(
            Power::of(v, Unit::Kilowatt).watt(),
            UomPower::new::<power::kilowatt>(v).get::<power::watt>(),
        );
        agree(
            Duration::of(v, Unit::Minute).second(),
            Time::new::<time::minute>(v).get::<time::second>(),
        );
        agree(
            Duration::of(v, Unit::Hour).second(),
            Time::new::<time::hour>(v).get::<time::second>(),
        );
    }
}
