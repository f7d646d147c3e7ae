//! Laws of parsing and printing that hold for every input.

use groundwright_units::constants::{
    CUBIC_YARD, DEGREE, FOOT, GALLON, GALLON_PER_MINUTE, INCH, KILOPASCAL, LITRE, LITRE_PER_MINUTE,
    MILLIMETRE, POUND, PSI, SQUARE_FOOT,
};
use groundwright_units::{
    AngleUnit, InchFraction, LengthUnit, ParseError, Parsed, Reader, System, nearest_name,
    parse_amount, parse_angle, parse_area, parse_flow, parse_length, parse_mass,
    parse_mass_per_area, parse_pressure, parse_speed, parse_temperature, parse_volume, thousands,
};
use proptest::prelude::*;

const US: Reader = Reader::new(System::Us);
const METRIC: Reader = Reader::new(System::Metric);

/// Signs of the trade in any order: most texts a parser meets are nearly right.
const NEARLY_RIGHT: &str = "[0-9 .,/'\"′″½¼±+%:°²³−a-z-]{0,16}";

fn metres(text: &str) -> f64 {
    parse_length(text, None)
        .unwrap_or_else(|error| panic!("{error}"))
        .value
        .metres()
}

/// Half a printed step, with a hair for the last bit of the division.
fn within_half(step: f64, ours: f64, value: f64) -> bool {
    (ours - value).abs() <= step * 0.5 * (1.0 + 1e-9) + value.abs() * 1e-14
}

/// The step of the policy for areas, volumes and the like, taken from the printed text itself.
fn printed_step(text: &str) -> f64 {
    let number: String = text.chars().take_while(|c| !c.is_alphabetic()).collect();
    match number.trim().split_once('.') {
        Some((_, decimals)) => 10_f64.powi(-(decimals.trim().len() as i32)),
        None => 1.0,
    }
}

fn every_parser(text: &str, visit: &mut impl FnMut(Option<f64>, Option<f64>)) {
    fn both<T>(
        parsed: Result<Parsed<T>, ParseError>,
        si: impl Fn(T) -> f64,
    ) -> (Option<f64>, Option<f64>) {
        match parsed.map(|parsed| parsed.map(&si)) {
            Ok(parsed) => (Some(parsed.value), parsed.approximate),
            Err(error) => {
                assert!(!error.to_string().is_empty());
                (None, None)
            }
        }
    }
    let units = [
        None,
        Some(LengthUnit::Foot),
        Some(LengthUnit::Inch),
        Some(LengthUnit::Metre),
    ];
    for unit in units {
        let (value, spread) = both(parse_length(text, unit), |length| length.metres());
        visit(value, spread);
    }
    for (value, spread) in [
        both(parse_area(text, None), |area| area.square_metres()),
        both(parse_volume(text, None), |volume| volume.cubic_metres()),
        both(parse_mass(text, None), |mass| mass.kilograms()),
        both(parse_angle(text, None), |angle| angle.radians()),
        both(parse_angle(text, Some(AngleUnit::Degree)), |angle| {
            angle.radians()
        }),
        both(parse_flow(text, None), |flow| {
            flow.cubic_metres_per_second()
        }),
        both(parse_pressure(text, None), |pressure| pressure.pascals()),
        both(parse_speed(text, None), |speed| speed.metres_per_second()),
        both(parse_mass_per_area(text), |rate| {
            rate.kilograms_per_square_metre()
        }),
    ] {
        visit(value, spread);
    }
    visit(
        parse_temperature(text, None)
            .ok()
            .map(|temperature| temperature.kelvin()),
        None,
    );
    let _ = parse_amount(text);
}

proptest! {
    /// No text makes a parser panic, and what it accepts is finite with a spread of zero or more.
    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        every_parser(&text, &mut |value, spread| {
            assert!(value.is_none_or(f64::is_finite));
            assert!(spread.is_none_or(|spread| spread.is_finite() && spread >= 0.0));
        });
    }

    /// The same for texts made of the signs of the trade.
    #[test]
    fn any_text_of_trade_signs_is_read_or_refused(text in NEARLY_RIGHT) {
        every_parser(&text, &mut |value, spread| {
            assert!(value.is_none_or(f64::is_finite));
            assert!(spread.is_none_or(|spread| spread.is_finite() && spread >= 0.0));
        });
    }

    /// All notations of one length in feet, inches and sixteenths agree with each other.
    #[test]
    fn notations_of_feet_and_inches_agree(
        feet in 0_u64..5000, inches in 0_u32..12, sixteenths in 1_u32..16, below in any::<bool>(),
    ) {
        let sign = if below { "-" } else { "" };
        let part = format!("{sixteenths}/16");
        let size = feet as f64 * FOOT
            + (f64::from(inches) + f64::from(sixteenths) / 16.0) * INCH;
        let expected = if below { -size } else { size };
        for text in [
            format!("{sign}{feet}' {inches} {part}\""),
            format!("{sign}{feet}'{inches} {part}\""),
            format!("{sign}{feet}'-{inches} {part}\""),
            format!("{sign}{feet}'-{inches}-{part}\""),
            format!("{sign}{feet}-{inches} {part}"),
            format!("{sign}{feet} ft {inches} {part} in"),
            format!("{sign}{feet}ft{inches} {part}in"),
            format!("{sign}{feet}′ {inches} {part}″"),
            format!("{sign}{}' {inches} {part}\"", thousands(feet)),
        ] {
            prop_assert!((metres(&text) - expected).abs() < 1e-9, "{}", text);
        }
    }

    /// What is printed as a length reads back to within half of the printed step.
    #[test]
    fn printed_lengths_read_back(length in -2000.0..2000.0_f64, finer in 0..5_usize) {
        let inches = [
            InchFraction::Whole, InchFraction::Half, InchFraction::Quarter,
            InchFraction::Eighth, InchFraction::Sixteenth,
        ][finer];
        let reader = US.with_inches(inches);
        let step = INCH / f64::from(inches.per_inch());
        prop_assert!(within_half(step, metres(&reader.length(length)), length));
        prop_assert!(within_half(step, metres(&reader.dimension(length)), length));
        prop_assert!(within_half(step, metres(&reader.depth(length)), length));
        prop_assert!(within_half(0.01 * FOOT, metres(&reader.level(length)), length));
        prop_assert!(within_half(0.01, metres(&METRIC.length(length)), length));
        prop_assert!(within_half(0.01, metres(&METRIC.level(length)), length));
        prop_assert!(within_half(MILLIMETRE, metres(&METRIC.depth(length)), length));
    }

    /// A length printed with its spread reads back as both.
    #[test]
    fn printed_spreads_read_back(length in -500.0..500.0_f64, spread in 0.0..50.0_f64) {
        for (reader, step) in [(US, INCH / 2.0), (METRIC, 0.01)] {
            let text = reader.length_with_spread(length, spread);
            let parsed = parse_length(&text, None).unwrap();
            prop_assert!(within_half(step, parsed.value.metres(), length));
            prop_assert!(within_half(step, parsed.approximate.unwrap().metres(), spread));
        }
    }

    /// The same for every quantity with steps by size, from spoonfuls to lorry loads.
    #[test]
    fn printed_quantities_read_back(mantissa in -1.0..1.0_f64, power in -3..6_i32) {
        type Case<'a> = (&'a str, String, f64, f64);
        let v = mantissa * 10_f64.powi(power);
        let area = |text: &str| parse_area(text, None).unwrap().value.square_metres();
        let volume = |text: &str| parse_volume(text, None).unwrap().value.cubic_metres();
        let mass = |text: &str| parse_mass(text, None).unwrap().value.kilograms();
        let flow = |text: &str| parse_flow(text, None).unwrap().value.cubic_metres_per_second();
        let pressure = |text: &str| parse_pressure(text, None).unwrap().value.pascals();
        let rate =
            |text: &str| parse_mass_per_area(text).unwrap().value.kilograms_per_square_metre();
        let case = |name, text: String, read: &dyn Fn(&str) -> f64, unit| -> Case<'_> {
            let ours = read(&text) / unit;
            (name, text, ours, unit)
        };
        for (name, text, ours, unit) in [
            case("sq ft", US.area(v * SQUARE_FOOT), &area, SQUARE_FOOT),
            case("m²", METRIC.area(v), &area, 1.0),
            case("cu yd", US.volume(v * CUBIC_YARD), &volume, CUBIC_YARD),
            case("m³", METRIC.volume(v), &volume, 1.0),
            case("gal", US.water(v * GALLON), &volume, GALLON),
            case("l", METRIC.water(v * LITRE), &volume, LITRE),
            case("lb", US.mass(v * POUND), &mass, POUND),
            case("kg", METRIC.mass(v), &mass, 1.0),
            case("gpm", US.flow(v * GALLON_PER_MINUTE), &flow, GALLON_PER_MINUTE),
            case("l/min", METRIC.flow(v * LITRE_PER_MINUTE), &flow, LITRE_PER_MINUTE),
            case("psi", US.pressure(v * PSI), &pressure, PSI),
            case("kPa", METRIC.pressure(v * KILOPASCAL), &pressure, KILOPASCAL),
            case("g/m²", METRIC.mass_per_area(v * 0.001), &rate, 0.001),
            case(
                "lb per 1000 sq ft",
                US.mass_per_area(v * POUND / (1000.0 * SQUARE_FOOT)),
                &rate,
                POUND / (1000.0 * SQUARE_FOOT),
            ),
        ] {
            prop_assert!(unit > 0.0 && text.ends_with(name), "{}", text);
            prop_assert!(within_half(printed_step(&text), ours, v), "{}: {} for {}", text, ours, v);
        }
    }

    /// Angles, temperatures and rain rates have one step each.
    #[test]
    fn printed_angles_and_temperatures_read_back(
        degrees in -180.0..180.0_f64, kelvin in 200.0..330.0_f64,
    ) {
        let angle = parse_angle(&US.angle(degrees * DEGREE), None).unwrap().value.degrees();
        prop_assert!(within_half(0.1, angle, degrees));
        let read = |text: &str| parse_temperature(text, None).unwrap().kelvin();
        prop_assert!(within_half(5.0 / 9.0, read(&US.temperature(kelvin)), kelvin));
        prop_assert!(within_half(1.0, read(&METRIC.temperature(kelvin)), kelvin));
    }

    /// A swap of neighbours, a missing or a doubled letter still finds a name of four or more.
    #[test]
    fn one_slip_finds_the_name(name in "[a-z]{4,12}", at in 0..11_usize) {
        let at = at % (name.len() - 1);
        let mut swapped: Vec<char> = name.chars().collect();
        swapped.swap(at, at + 1);
        let swapped: String = swapped.into_iter().collect();
        let missing = format!("{}{}", &name[..at], &name[at + 1..]);
        let doubled = format!("{}{}", &name[..=at], &name[at..]);
        for slip in [swapped, missing, doubled] {
            prop_assert_eq!(nearest_name(&slip, [name.as_str()]), Some(name.as_str()));
        }
    }
}
