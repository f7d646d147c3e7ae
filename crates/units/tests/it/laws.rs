//! Laws of parsing and printing that hold for every input.

use groundwright_units::constants::{
    ACRE, CUBIC_YARD, DEGREE, FOOT, GALLON, GALLON_PER_MINUTE, GRAM, HECTARE, HOUR, INCH, KILOPASCAL, LITRE,
    LITRE_PER_MINUTE, MILLIMETRE, POUND, PSI, SQUARE_FOOT,
};
use groundwright_units::{
    Angle, AngleUnit, Area, Flow, InchFraction, Length, LengthUnit, Mass, MassPerArea, ParseError, Parsed,
    Pressure, Reader, Speed, System, Temperature, Volume, nearest_name, parse_amount, parse_angle,
    parse_area, parse_flow, parse_length, parse_mass, parse_mass_per_area, parse_pressure, parse_spacing,
    parse_speed, parse_temperature, parse_volume, thousands,
};
use proptest::prelude::*;

const US: Reader = Reader::new(System::Us);
const METRIC: Reader = Reader::new(System::Metric);

/// Signs of the trade in any order: most texts a parser meets are nearly right.
const NEARLY_RIGHT: &str = "[0-9 .,/'\"′″½¼±+%:°²³−a-z-]{0,16}";

fn metres(text: &str) -> f64 {
    parse_length(text, None).unwrap_or_else(|error| panic!("{error}")).value.metres()
}

/// Reads a printed text back to SI.
type Read<'a> = &'a dyn Fn(&str) -> f64;

/// Half a printed step, with a hair for the last bit of the division.
fn within_half(step: f64, ours: f64, value: f64) -> bool {
    (ours - value).abs() <= step * 0.5 * (1.0 + 1e-9) + value.abs() * 1e-14
}

/// The step of the policy for areas, volumes and the like, taken from the printed text itself.
fn printed_step(text: &str) -> f64 {
    let number: String = text.chars().take_while(|c| !c.is_alphabetic()).collect();
    match number.trim().split_once('.') {
        Some((_, decimals)) => decimals.trim().chars().fold(1.0, |step, _| step / 10.0),
        None => 1.0,
    }
}

fn every_parser(text: &str, visit: &mut impl FnMut(Option<f64>, Option<f64>)) {
    fn both<T>(parsed: Result<Parsed<T>, ParseError>, si: impl Fn(T) -> f64) -> (Option<f64>, Option<f64>) {
        match parsed.map(|parsed| parsed.map(&si)) {
            Ok(parsed) => (Some(parsed.value), parsed.approximate),
            Err(error) => {
                assert!(!error.to_string().is_empty());
                (None, None)
            }
        }
    }
    let units = [None, Some(LengthUnit::Foot), Some(LengthUnit::Inch), Some(LengthUnit::Metre)];
    for unit in units {
        let (value, spread) = both(parse_length(text, unit), Length::metres);
        visit(value, spread);
    }
    for (value, spread) in [
        both(parse_area(text, None), Area::square_metres),
        both(parse_volume(text, None), Volume::cubic_metres),
        both(parse_mass(text, None), Mass::kilograms),
        both(parse_angle(text, None), Angle::radians),
        both(parse_angle(text, Some(AngleUnit::Degree)), Angle::radians),
        both(parse_flow(text, None), Flow::cubic_metres_per_second),
        both(parse_pressure(text, None), Pressure::pascals),
        both(parse_speed(text, None), Speed::metres_per_second),
        both(parse_mass_per_area(text), MassPerArea::kilograms_per_square_metre),
    ] {
        visit(value, spread);
    }
    visit(parse_temperature(text, None).ok().map(Temperature::kelvin), None);
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
        let v = mantissa * 10_f64.powi(power);
        let per_thousand = POUND / (1000.0 * SQUARE_FOOT);
        let area = |text: &str| parse_area(text, None).unwrap().value.square_metres();
        let volume = |text: &str| parse_volume(text, None).unwrap().value.cubic_metres();
        let mass = |text: &str| parse_mass(text, None).unwrap().value.kilograms();
        let flow = |text: &str| parse_flow(text, None).unwrap().value.cubic_metres_per_second();
        let pressure = |text: &str| parse_pressure(text, None).unwrap().value.pascals();
        let rate =
            |text: &str| parse_mass_per_area(text).unwrap().value.kilograms_per_square_metre();
        // Each: the unit printed, its size, the text of v units, and how the text is read.
        let cases: [(&str, f64, String, Read<'_>); 14] = [
            (" sq ft", SQUARE_FOOT, US.area(v * SQUARE_FOOT), &area),
            (" m²", 1.0, METRIC.area(v), &area),
            (" cu yd", CUBIC_YARD, US.volume(v * CUBIC_YARD), &volume),
            (" m³", 1.0, METRIC.volume(v), &volume),
            (" gal", GALLON, US.water(v * GALLON), &volume),
            (" l", LITRE, METRIC.water(v * LITRE), &volume),
            (" lb", POUND, US.mass(v * POUND), &mass),
            (" kg", 1.0, METRIC.mass(v), &mass),
            (" gpm", GALLON_PER_MINUTE, US.flow(v * GALLON_PER_MINUTE), &flow),
            (" l/min", LITRE_PER_MINUTE, METRIC.flow(v * LITRE_PER_MINUTE), &flow),
            (" psi", PSI, US.pressure(v * PSI), &pressure),
            (" kPa", KILOPASCAL, METRIC.pressure(v * KILOPASCAL), &pressure),
            (" lb per 1000 sq ft", per_thousand, US.mass_per_area(v * per_thousand), &rate),
            (" g/m²", GRAM, METRIC.mass_per_area(v * GRAM), &rate),
        ];
        for (unit, size, text, read) in cases {
            prop_assert!(text.ends_with(unit), "{}", text);
            let ours = read(&text) / size;
            prop_assert!(within_half(printed_step(&text), ours, v), "{}: {} for {}", text, ours, v);
        }
    }

    /// What has one step at any size reads back too.
    #[test]
    fn printed_rates_angles_and_temperatures_read_back(
        degrees in -180.0..180.0_f64, kelvin in 200.0..330.0_f64, rise in -2.0..2.0_f64,
        millimetres_per_hour in 0.0..200.0_f64, speed in 0.0..40.0_f64, land in 10.0..1e6_f64,
    ) {
        let angle = |text: &str| parse_angle(text, None).unwrap().value;
        prop_assert!(within_half(0.1, angle(&US.angle(degrees * DEGREE)).degrees(), degrees));
        prop_assert!(within_half(0.001, angle(&US.grade(rise)).slope(), rise));
        let bank = US.bank(rise);
        if bank != "level" {
            prop_assert!(within_half(0.1, 1.0 / angle(&bank).slope(), 1.0 / rise.abs()), "{}", bank);
        }
        let temperature = |text: &str| parse_temperature(text, None).unwrap().kelvin();
        prop_assert!(within_half(5.0 / 9.0, temperature(&US.temperature(kelvin)), kelvin));
        prop_assert!(within_half(1.0, temperature(&METRIC.temperature(kelvin)), kelvin));
        let metres_per_second =
            |text: &str| parse_speed(text, None).unwrap().value.metres_per_second();
        let rain = millimetres_per_hour * MILLIMETRE / HOUR;
        prop_assert!(within_half(0.01 * INCH / HOUR, metres_per_second(&US.rain_rate(rain)), rain));
        let metric_rain = metres_per_second(&METRIC.rain_rate(rain));
        prop_assert!(within_half(0.1 * MILLIMETRE / HOUR, metric_rain, rain));
        prop_assert!(within_half(0.1 * FOOT, metres_per_second(&US.speed(speed)), speed));
        prop_assert!(within_half(0.1, metres_per_second(&METRIC.speed(speed)), speed));
        let area = |text: &str| parse_area(text, None).unwrap().value.square_metres();
        prop_assert!(within_half(0.01 * ACRE, area(&US.land(land)), land));
        prop_assert!(within_half(0.01 * HECTARE, area(&METRIC.land(land)), land));
    }

    /// A spacing printed on centre reads back as a spacing.
    #[test]
    fn printed_spacings_read_back(spacing in 0.05..5.0_f64) {
        let metres = |text: &str| parse_spacing(text, None).unwrap().value.metres();
        prop_assert!(within_half(INCH / 2.0, metres(&US.spacing(spacing)), spacing));
        prop_assert!(within_half(MILLIMETRE, metres(&METRIC.spacing(spacing)), spacing));
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
