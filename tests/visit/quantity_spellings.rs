//! Every common spelling of every quantity, and the words for what is no quantity.

use warmlug::quantity::{
    ConductorSize, Current, Duration, Length, Percentage, Power, Quantity, QuantityError, Ratio,
    Temperature, TemperatureDifference, TimeOfDay, Torque, Unit, Voltage, parse, plausible,
};

/// All texts parse to the same value.
fn same<T: std::str::FromStr<Err = QuantityError> + PartialEq + std::fmt::Debug>(
    expected: T,
    texts: &[&str],
) {
    for text in texts {
        assert_eq!(text.parse::<T>().as_ref(), Ok(&expected), "{text}");
    }
}

#[test]
fn temperatures() {
    same(
        Temperature::from_fahrenheit(91.0),
        &[
            "91 °F",
            "91°F",
            "91 F",
            "91F",
            "91 f",
            "91 degF",
            "91 deg F",
            "91 ° F",
            "91 ºF",
            "91 ˚F",
            "91 ℉",
            "91.0 °F",
            "+91 °F",
            "91\u{a0}°F",
            "91\u{202f}°F",
            "  91 °F ",
            "91 degrees Fahrenheit",
        ],
    );
    same(
        Temperature::from_celsius(-6.5),
        &["-6.5 °C", "−6.5 °C", "–6.5C", "- 6.5 degC"],
    );
    same(
        Temperature::from_kelvin(306.0),
        &["306 K", "306K", "306 kelvin"],
    );
}

#[test]
fn differences_convert_as_differences() {
    let twenty: TemperatureDifference = "20 °F".parse().unwrap();
    assert!((twenty.kelvin() - 11.111_111_111_111_11).abs() < 1e-12);
    let air: Temperature = "20 °F".parse().unwrap();
    assert!((air.celsius() + 6.666_666_666_666_667).abs() < 1e-12);
    same(
        TemperatureDifference::from_kelvin(2.0),
        &["2 °C", "2 K", "2C"],
    );
}

#[test]
fn torques() {
    same(
        Torque::from_pound_force_inch(45.0),
        &[
            "45 in·lb",
            "45 in-lb",
            "45 in lb",
            "45in-lb",
            "45 in.lb",
            "45 in. lb.",
            "45 inlb",
            "45 in-lbs",
            "45 in·lbf",
            "45 lbf·in",
            "45 lb-in",
            "45 lb·in",
            "45 in⋅lb",
            "45 IN-LB",
            "45 inch-pounds",
            "45 lbs-in",
        ],
    );
    same(
        Torque::from_newton_metre(5.0),
        &["5 N·m", "5 Nm", "5 N-m", "5 N⋅m", "5 N m", "5 N*m", "5.0nm"],
    );
    same(Torque::from_newton_metre(1.2), &["120 cN·m", "120 cNm"]);
    let foot: Torque = "4 ft-lb".parse().unwrap();
    same(
        foot,
        &[
            "4 ft·lb",
            "4 lbf·ft",
            "4 lb-ft",
            "4 ft lbs",
            "4 foot-pounds",
        ],
    );
    assert!((foot.pound_force_inch() - 48.0).abs() < 1e-12);
}

#[test]
fn lengths() {
    same(
        Length::from_foot(55.0),
        &["55 ft", "55ft", "55'", "55 feet", "55 ft."],
    );
    same(
        Length::from_inch(6.0),
        &["6 in", "6\"", "6 inches", "6 in."],
    );
    same(Length::from_inch(0.375), &["3/8 in", "0.375 in", ".375 in"]);
    same(Length::from_inch(1.5), &["1 1/2 in", "1-1/2 in", "1.5\""]);
    let both = Length::from_metre(Length::from_foot(5.0).metre() + Length::from_inch(6.0).metre());
    same(both, &["5 ft 6 in", "5' 6\"", "5'6\""]);
    same(Length::from_metre(0.01), &["10 mm", "1 cm", "0.01 m"]);
    same(
        Length::from_metre(16.8),
        &["16.8 m", "16.8 metres", "16.8 meters", "1680 cm"],
    );
}

#[test]
fn electrical() {
    same(
        Current::from_ampere(40.0),
        &["40 A", "40A", "40 amps", "40 Amp", "40000 mA"],
    );
    same(
        Voltage::from_volt(240.0),
        &["240 V", "240V", "240 VAC", "0.24 kV", "240000 mV"],
    );
    same(Voltage::from_volt(0.012), &["12 mV", "12mv", "0.012 V"]);
    same(Power::from_watt(9600.0), &["9600 W", "9.6 kW", "9.6KW"]);
    same(
        Percentage::from_fraction(0.02),
        &["2 %", "2%", "2 percent", "2.0 %"],
    );
    same(Ratio::from_value(12.0), &["12:1", "12 : 1", "12"]);
    same(Ratio::from_value(0.95), &["0.95", ".95"]);
    same(
        Duration::from_minute(65.0),
        &["65 min", "1 h 5 min", "1h 5min", "3900 s"],
    );
}

#[test]
fn conductor_sizes() {
    same(
        ConductorSize::Awg(6),
        &[
            "6 AWG",
            "6AWG",
            "#6 AWG",
            "#6",
            "# 6 AWG",
            "No. 6 AWG",
            "AWG 6",
            "AWG #6",
            "6 awg",
        ],
    );
    same(
        ConductorSize::Awg(0),
        &["1/0 AWG", "1/0", "0 AWG", "#1/0", "AWG 1/0"],
    );
    same(ConductorSize::Awg(-1), &["2/0 AWG", "2/0", "00 AWG"]);
    same(ConductorSize::Awg(-2), &["3/0 AWG", "3/0", "000 AWG"]);
    same(ConductorSize::Awg(-3), &["4/0 AWG", "4/0", "0000 AWG"]);
    same(
        ConductorSize::Kcmil(250),
        &["250 kcmil", "250 MCM", "250kcmil"],
    );
    same(
        ConductorSize::Mm2(16.0),
        &[
            "16 mm²",
            "16 mm2",
            "16mm²",
            "16 mm^2",
            "16 sq mm",
            "16 sq. mm",
        ],
    );
    same(ConductorSize::Mm2(2.5), &["2.5 mm²"]);
    assert_eq!(
        ConductorSize::parse("6", Some(Unit::Awg)),
        Ok(ConductorSize::Awg(6))
    );
}

#[test]
fn gauges_have_the_area_of_the_standard() {
    // NFPA 70 (2023), Chapter 9, Table 8, circular mils (from memory); 1 kcmil = 0.5067075 mm².
    for (gauge, kcmil) in [
        (14, 4.110),
        (12, 6.530),
        (10, 10.380),
        (8, 16.510),
        (6, 26.240),
        (4, 41.740),
        (1, 83.690),
        (0, 105.600),
        (-3, 211.600),
    ] {
        let area = ConductorSize::Awg(gauge).square_millimetres();
        assert!(
            (area / (kcmil * 0.506_707_5) - 1.0).abs() < 1e-3,
            "{gauge}: {area}"
        );
    }
    assert!((ConductorSize::Kcmil(250).square_millimetres() - 126.677).abs() < 1e-3);
}

#[test]
fn times_of_day() {
    let time = |h, m, s| TimeOfDay::from_hms(h, m, s).unwrap();
    same(
        time(9, 50, 0),
        &["09:50", "9:50", "09:50:00", "9:50 am", "9:50 A.M."],
    );
    same(time(9, 50, 30), &["09:50:30"]);
    same(time(14, 5, 0), &["14:05", "2:05 pm", "2:05PM", "2:05 p.m."]);
    same(time(0, 10, 0), &["0:10", "12:10 am"]);
    same(time(12, 10, 0), &["12:10", "12:10 pm"]);
    for wrong in [
        "24:00", "9:60", "9", "9.50", "09:50:60", "13:00 pm", "", "9:5:1:1", "-1:00", "009:50",
    ] {
        assert!(wrong.parse::<TimeOfDay>().is_err(), "{wrong}");
    }
}

/// What is wrong and what to write, word for word.
#[track_caller]
fn says<T: std::fmt::Debug>(result: Result<T, QuantityError>, wrong: &str, write: &str) {
    let error = result.unwrap_err();
    assert_eq!(
        (error.to_string().as_str(), error.advice().as_str()),
        (wrong, write)
    );
}

#[test]
fn words_for_what_is_wrong() {
    says(
        "26".parse::<Duration>(),
        "`26` has no unit",
        "write 26 ms, 26 s or 26 min",
    );
    let torque = |t: &str| t.parse::<Torque>();
    let example = "write a torque with its unit, such as 45 in·lb or 5 N·m";
    says(torque(""), "a torque is missing here", example);
    says(torque("tight"), "`tight` is not a torque", example);
    says(
        torque("45"),
        "`45` has no unit",
        "write 45 in·lb, 45 ft·lb or 45 N·m, or name the unit of every bare torque once, at the \
         top of the file: `units: { torque: in·lb }`",
    );
    says(
        torque("45 lb"),
        "`lb` is not a unit of torque",
        "write 45 in·lb, 45 ft·lb or 45 N·m",
    );
    says(
        torque("45 °F"),
        "`45 °F` is a temperature, but a torque belongs here",
        example,
    );
    says(
        torque("5,5 N·m"),
        "`5,5 N·m` has a comma in its number",
        "write a decimal point: 5.5 N·m",
    );
    says(
        "1,000 W".parse::<Power>(),
        "`1,000 W` has a comma in its number",
        "write 1000 W if the comma separates thousands, 1.000 W if it is a decimal comma",
    );
    says(
        "-300 °C".parse::<Temperature>(),
        "`-300 °C` is below absolute zero (−273.15 °C, −459.67 °F), colder than anything can be",
        "read the instrument's display again, and check the sign and the unit",
    );
    says(
        "300 MA".parse::<Current>(),
        "`MA` is not a unit of current",
        "write 300 mA or 300 A, whichever the instrument shows",
    );
    says(
        "300 MV".parse::<Current>(),
        "`MV` is not a unit of current",
        "write 300 A",
    );
    says(
        "2".parse::<TemperatureDifference>(),
        "`2` has no unit",
        "write 2 °F or 2 °C",
    );
    says(
        "0.95 %".parse::<Ratio>(),
        "`0.95 %` is a percentage, but a ratio belongs here",
        "write a ratio, such as 0.95 or \"12:1\"",
    );
    says(
        "5 AWG".parse::<ConductorSize>(),
        "`5 AWG` is not a conductor size that is made for power circuits",
        "write the size printed on the conductor; the nearest: 6 AWG, 4 AWG",
    );
    says(
        "15 mm²".parse::<ConductorSize>(),
        "`15 mm²` is not a conductor size that is made for power circuits",
        "write the size printed on the conductor; the nearest: 10 mm², 16 mm²",
    );
    says(
        "6".parse::<ConductorSize>(),
        "`6` has no unit",
        "write 6 AWG, 6 kcmil or 6 mm², or name the unit of every bare conductor size once, at \
         the top of the file: `units: { conductor: AWG }`",
    );
    says(
        "quarter past".parse::<TimeOfDay>(),
        "`quarter past` is not a time of day",
        "write hours and minutes on the 24-hour clock, such as \"09:50\", or \"9:50 am\"",
    );
    says(
        format!("{} m", "9".repeat(400)).parse::<Length>(),
        "`9999999999999999999999999999999999999999…` is too large a number",
        "write the number as the instrument shows it",
    );
}

#[test]
fn no_value_is_proposed_where_none_can_be_told() {
    let fahrenheit = Some(Unit::Fahrenheit);
    let look = "look at the instrument or your notes, and write one number with its unit";
    for (text, meant) in [
        ("6 2", "it may mean 62 or 6.2; "),
        ("6_2", "it may mean 62 or 6.2; "),
        ("6 2 °F", "it may mean 62 or 6.2; "),
        ("6.2e1", "it may mean 62; "),
        ("62 1/2", "it may mean 62.5; "),
        ("72-75", "it may mean one of several readings, 72 and 75; "),
        ("62.5.1", ""),
        ("6 two", ""),
        ("62 +", ""),
        ("123456 7", ""),
        ("12345 7", "it may mean 123457 or 12345.7; "),
        ("6.5 2", ""),
        ("6 2.5", ""),
        ("6_2.5", ""),
        ("1e9", ""),
        ("1e6", ""),
        ("62 1/0", ""),
        ("62 to 3/4", ""),
        ("6.5 1/2", ""),
        ("6e2.5", ""),
    ] {
        for bare in [None, fahrenheit] {
            let error = parse::<Temperature>(text, bare).unwrap_err();
            let said = format!("`{text}` is not one number with its unit");
            assert_eq!(error.to_string(), said);
            assert_eq!(error.advice(), format!("{meant}{look}"), "{text}");
        }
    }
    // A unit that is plainly misspelt or cut short leaves the number as it is.
    for text in [
        "62 °",
        "62 deg",
        "62 celcius",
        "62 Farenheit",
        "62 degreecelcuis",
        "62 fahr",
        "62 x",
    ] {
        let advice = text.parse::<Temperature>().unwrap_err().advice();
        assert_eq!(advice, "write 62 °F or 62 °C", "{text}");
    }
    for text in ["6 2 AWG", "12-2", "12 3/4 mm²"] {
        let error = text.parse::<ConductorSize>().unwrap_err();
        assert!(
            matches!(error, QuantityError::NotOneNumber { .. }),
            "{text}: {error}"
        );
    }
    assert!(matches!(
        "5 ft 6".parse::<Length>(),
        Err(QuantityError::NotOneNumber { meant: None, .. })
    ));
}

#[test]
fn nonsense_after_a_value_is_not_ignored() {
    for text in [
        "45 in·lb 3",
        "5 ft 6",
        "5 ft 6 ft",
        "91 °F 3 °F",
        "40 A 2",
        "5 N·m2",
        "1 h 5",
        "--5 A",
        "5..5 A",
        "1/0 m",
        "3/ in",
        "0x5 A",
        "1e5 A",
        "∞ A",
        "NaN A",
        "0/0 AWG",
    ] {
        assert!(text.parse::<ConductorSize>().is_err(), "{text}");
        assert!(text.parse::<Torque>().is_err(), "{text}");
        assert!(text.parse::<Temperature>().is_err(), "{text}");
        assert!(text.parse::<Current>().is_err(), "{text}");
        assert!(text.parse::<Length>().is_err(), "{text}");
        assert!(text.parse::<Duration>().is_err(), "{text}");
    }
}

#[test]
fn a_bare_number_takes_the_declared_unit_of_its_kind_only() {
    assert_eq!(
        parse::<Torque>("45", Some(Unit::PoundForceInch)),
        "45 in·lb".parse()
    );
    assert_eq!(
        parse::<Torque>("5 N·m", Some(Unit::PoundForceInch)),
        "5 N·m".parse()
    );
    assert!(parse::<Torque>("45", Some(Unit::Fahrenheit)).is_err());
    assert_eq!(
        parse::<Temperature>("45", Some(Unit::Fahrenheit)),
        "45 °F".parse()
    );
}

#[test]
fn printing_for_people() {
    use warmlug::quantity::System::{Si, Us};
    let t = Temperature::from_celsius(-6.5);
    assert_eq!(t.print(Us, 1), "20.3\u{a0}°F");
    assert_eq!(t.print(Si, 1), "−6.5\u{a0}°C");
    assert_eq!(
        TemperatureDifference::from_kelvin(11.11).print(Us, 0),
        "20\u{a0}°F"
    );
    assert_eq!(
        TemperatureDifference::from_kelvin(11.11).print(Si, 1),
        "11.1\u{a0}K"
    );
    assert_eq!(
        Torque::from_newton_metre(5.084_317).print(Us, 0),
        "45\u{a0}in·lb"
    );
    assert_eq!(
        Torque::from_newton_metre(5.084_317).print(Si, 2),
        "5.08\u{a0}N·m"
    );
    assert_eq!(Length::from_inch(6.0).print_in(Unit::Inch, 0), "6\u{a0}in");
    assert_eq!(Percentage::from_fraction(0.0118).print(Us, 1), "1.2\u{a0}%");
    assert_eq!(Ratio::from_value(0.95).print(Us, 2), "0.95");
    assert_eq!(
        TemperatureDifference::from_kelvin(-0.04).print(Si, 1),
        "0.0\u{a0}K"
    );
    assert_eq!(ConductorSize::Awg(-1).print(), "2/0\u{a0}AWG");
}

#[test]
fn a_minus_before_nothing_is_no_value_of_its_own() {
    for text in ["-0 %", "−0.0%"] {
        let zero: Percentage = text.parse().unwrap();
        assert_eq!(zero.fraction().to_bits(), 0.0_f64.to_bits(), "{text}");
        assert_eq!(zero.to_string(), "0 %");
    }
    let none: TemperatureDifference = "-0 K".parse().unwrap();
    assert_eq!(none.to_string(), "0 K");
}

#[test]
fn decimal_prefixes_shift_the_digits_and_round_nothing() {
    // 9 × 0.001 is 0.009000000000000001 in binary; 9 / 1000 is the double nearest 0.009.
    assert_eq!(Voltage::of(9.0, Unit::Millivolt).volt(), 0.009);
    assert_eq!("9 mV".parse::<Voltage>().unwrap().volt(), 0.009);
    assert_eq!(Power::of(11.52, Unit::Kilowatt).watt(), 11520.0);
    // 0.043 / 0.001 is 42.99999999999999.
    assert_eq!(
        Current::from_ampere(0.043).value_in(Unit::Milliampere),
        43.0
    );
    assert_eq!(Power::from_watt(9.0).value_in(Unit::Kilowatt), 0.009);
    assert_eq!(Power::of(0.043, Unit::Kilowatt).watt(), 43.0);
    assert_eq!(Current::from_ampere(0.03).value_in(Unit::Milliampere), 30.0);
    assert_eq!(Power::from_watt(11520.0).value_in(Unit::Kilowatt), 11.52);
    assert_eq!(Voltage::from_volt(-0.005).exact(Unit::Millivolt), "-5 mV");
    assert_eq!(
        Voltage::from_volt(-0.0005).exact(Unit::Millivolt),
        "-0.5 mV"
    );
    assert_eq!(
        Power::from_watt(-11520.0).exact(Unit::Kilowatt),
        "-11.52 kW"
    );
    assert_eq!(Percentage::from_fraction(-0.0125).to_string(), "-1.25 %");
}

#[test]
fn compound_values_keep_their_sign_and_their_order() {
    let down: Length = "-5 ft 6 in".parse().unwrap();
    assert!((down.inch() + 66.0).abs() < 1e-9, "{down}");
    same(Duration::from_second(330.0), &["5 min 30 s"]);
    same(Duration::from_second(3930.0), &["1 h 5 min 30 s"]);
    for text in ["30 s 5 min", "5 min 1 h", "6 in 5 ft", "1 h 30 s"] {
        assert!(
            text.parse::<Duration>().is_err() && text.parse::<Length>().is_err(),
            "{text}"
        );
    }
}

#[test]
fn fractions_are_lengths_only() {
    same(Length::from_inch(1.5), &["1 1/2 in", "1-1/2 in", "1.5 in"]);
    assert!("1/2 A".parse::<Current>().is_err());
    assert!("1 1/2 A".parse::<Current>().is_err());
    assert!("1.5/2 in".parse::<Length>().is_err());
    let divided = "1/0 in".parse::<Length>().unwrap_err();
    assert!(
        !matches!(divided, QuantityError::TooLarge { .. }),
        "{divided}"
    );
}

#[test]
fn sizes_that_no_conductor_has_are_refused() {
    for text in [
        "-6 AWG",
        "−6 AWG",
        "-6 mm²",
        "AWG",
        "#",
        "#6 mm²",
        "1/0 mm²",
        "#250 kcmil",
    ] {
        assert!(
            matches!(
                text.parse::<ConductorSize>(),
                Err(QuantityError::NotANumber { .. })
            ),
            "{text}: {:?}",
            text.parse::<ConductorSize>()
        );
    }
    says(
        "260 kcmil".parse::<ConductorSize>(),
        "`260 kcmil` is not a conductor size that is made for power circuits",
        "write the size printed on the conductor; the nearest: 250 kcmil, 300 kcmil",
    );
    assert_eq!("3/0".parse(), Ok(ConductorSize::Awg(-2)));
    assert!("0/0 AWG".parse::<ConductorSize>().is_err());
}

#[test]
fn a_unit_spread_over_a_line_is_no_unit() {
    let dots = ".".repeat(39);
    assert!(format!("5 {dots}W").parse::<Power>().is_ok());
    assert!(format!("5 {dots}.W").parse::<Power>().is_err());
    assert!(format!("5 {dots}.....W").parse::<Power>().is_err());
}

#[test]
fn differences_add_and_take_away() {
    let (ten, four) = (
        TemperatureDifference::from_kelvin(10.0),
        TemperatureDifference::from_kelvin(4.0),
    );
    assert_eq!((ten - four).kelvin(), 6.0);
    let air = Temperature::from_celsius(20.0);
    assert_eq!((air + ten).celsius(), 30.0);
    assert_eq!((air + ten - air).kelvin(), 10.0);
}

#[test]
fn a_value_out_of_range_is_told_with_the_digits_that_matter() {
    use warmlug::quantity::plausible::Range;
    let range = Range {
        name: "a drop",
        least: Voltage::from_volt(0.0005),
        most: Voltage::from_volt(2.0),
        why: "for this test",
        firm: true,
    };
    assert!(range.check(Voltage::from_volt(0.0005), Unit::Volt).is_ok());
    assert!(range.check(Voltage::from_volt(2.0), Unit::Volt).is_ok());
    let low = range
        .check(Voltage::from_volt(0.0004), Unit::Volt)
        .unwrap_err();
    assert_eq!(
        (low.value.as_str(), low.least.as_str(), low.most.as_str()),
        ("0.0004 V", "0.0005 V", "2 V")
    );
    let high = range
        .check(Voltage::from_volt(12.346), Unit::Volt)
        .unwrap_err();
    assert_eq!(high.value, "12.3 V");
    let one = range
        .check(Voltage::from_volt(-1.26), Unit::Volt)
        .unwrap_err();
    assert_eq!(one.value, "\u{2212}1.3 V");
}

/// The ends of the believable ranges, typed a second time.
#[test]
fn every_range_takes_its_ends_and_nothing_beyond() {
    fn ends<Q>(range: &plausible::Range<Q>, least: &str, most: &str)
    where
        Q: Quantity + std::fmt::Display,
    {
        for (end, text) in [(range.least, least), (range.most, most)] {
            let wanted: Q = parse(text, None).unwrap();
            let (end, wanted) = (end.si(), wanted.si());
            assert!(
                (end - wanted).abs() <= 1e-12 * wanted.abs(),
                "{}: {end} in place of {text}",
                range.name
            );
        }
        assert!(range.holds(range.least) && range.holds(range.most));
        for beyond in [range.least.si().next_down(), range.most.si().next_up()] {
            assert!(!range.holds(Q::from_si(beyond)), "{}: {beyond}", range.name);
        }
    }
    ends(&plausible::READING, "-40 °C", "250 °C");
    ends(&plausible::AIR, "-50 °C", "70 °C");
    ends(&plausible::HOTTEST_AIR, "-10 °C", "90 °C");
    ends(&plausible::REFLECTED, "-80 °C", "250 °C");
    ends(&plausible::RATING, "40 °C", "250 °C");
    ends(&plausible::ACCURACY_TEMPERATURE, "0.01 K", "20 K");
    ends(&plausible::REPEATABILITY, "0.01 K", "10 K");
    ends(&plausible::ACCURACY_SHARE, "0.01 %", "30 %");
    ends(&plausible::ACCURACY_TORQUE, "0.001 Nm", "30 Nm");
    ends(&plausible::ACCURACY_VOLTAGE, "0.001 mV", "50 V");
    ends(&plausible::ACCURACY_CURRENT, "1 mA", "50 A");
    ends(&plausible::RATED_CURRENT, "1 A", "6000 A");
    ends(&plausible::LOAD_CURRENT, "0 A", "6000 A");
    ends(&plausible::SUPPLY_VOLTAGE, "50 V", "1 kV");
    ends(&plausible::RESIDUAL_CURRENT, "5 mA", "30 A");
    ends(&plausible::TRIP_TIME, "1 ms", "10 s");
    ends(&plausible::TESTED_VOLTAGE, "0 V", "1.1 kV");
    ends(&plausible::DROP, "0 mV", "10 V");
    ends(&plausible::TORQUE, "0.1 Nm", "100 Nm");
    ends(&plausible::RUN, "10 cm", "2000 m");
    ends(&plausible::DISTANCE, "1 mm", "30 m");
    ends(&plausible::TARGET, "0.5 mm", "1 m");
    ends(&plausible::EMISSIVITY, "0.01", "1");
    ends(&plausible::DISTANCE_TO_SPOT, "1:1", "1000:1");
}
