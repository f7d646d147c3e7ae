//! What the sun does on a day of the calendar: civil dawn, rise, transit, set, civil dusk.
//!
//! - In: a place, a date, a time zone. Out: the instants within that date's hours, in order.
//! - Method: the sun's height is sampled over the hours that the date really has (23 to 25, clock
//!   changes included), crossings are bracketed and bisected to a hundredth of a second. Between
//!   samples the highest and lowest points are looked for too, so that a sun that only grazes the
//!   horizon is not missed.
//! - Sunrise is the upper edge on a level horizon with usual refraction: middle at −0.8333°.
//! - A date may have no rise, or none of anything, or a set before its rise: polar places do.

use std::f64::consts::PI;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan, ZonedDateTime};

use crate::spa::{DELTA_T, Geocentric, Observer, geocentric, julian_day, position, seen_from};

/// Height of the sun's middle at sunrise and sunset: radius and usual refraction below. [rad]
pub const RISE: f64 = -0.8333 / 180.0 * PI;
/// Height of the sun's middle at civil dawn and dusk. [rad]
pub const CIVIL: f64 = -6.0 / 180.0 * PI;
/// Distance of samples. [s]
const STEP: f64 = 1200.0;
/// To how near an instant is found. [s]
const FINE: f64 = 0.01;

/// What happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Event {
    /// The sky begins to light up enough to see by: the sun's middle rises past −6°.
    CivilDawn,
    /// The upper edge rises.
    Sunrise,
    /// The sun crosses the meridian on its upper way.
    Transit,
    /// The upper edge sets.
    Sunset,
    /// The sun's middle sinks past −6°.
    CivilDusk,
}

/// What the sky is like all day where nothing rises or sets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DayState {
    /// The sun rises or sets.
    Normal,
    /// It stays up.
    UpAllDay,
    /// It stays down.
    DownAllDay,
}

/// A day of the calendar.
#[derive(Debug, Clone, PartialEq)]
pub struct SunDay {
    /// Its events in order, each with its instant and its clock.
    pub events: Vec<(Event, ZonedDateTime)>,
    /// How long the date is by the clock's rules. [s]
    pub length: f64,
    /// Whether the sun rises and sets at all.
    pub state: DayState,
}

impl SunDay {
    /// The first event of a sort.
    pub fn first(&self, event: Event) -> Option<&ZonedDateTime> {
        self.events.iter().find(|(e, _)| *e == event).map(|(_, at)| at)
    }
}

/// Why a day has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DayFault {
    /// A time zone that is not in the data base.
    #[error("no time zone `{0}`; expected a name of the open time zone data base, such as `America/Denver`")]
    Zone(String),
    /// A date at the end of the calendar.
    #[error("{0} lies at the end of the calendar; expected a date between the years -9998 and 9998")]
    Date(Date),
    /// A place that is none.
    #[error(transparent)]
    Observer(#[from] crate::spa::ObserverFault),
}

/// A time zone by its name, from the data that the program carries.
///
/// # Errors
/// [`DayFault::Zone`] with the name.
pub fn time_zone(name: &str) -> Result<TimeZone, DayFault> {
    jiff::tz::TimeZoneDatabase::bundled().get(name).map_err(|_| DayFault::Zone(name.to_owned()))
}

/// What the sun does on a date.
///
/// # Errors
/// A place that is none, a date at the end of the calendar.
///
/// # Source
/// Positions by [`crate::spa`]; heights of the events as the almanacs define them.
pub fn sun_day(observer: &Observer, date: Date, zone: &TimeZone) -> Result<SunDay, DayFault> {
    let observer = observer.checked()?;
    let begin = |date: Date| date.to_zoned_datetime(zone.clone()).map_err(|_| DayFault::Date(date));
    // Where midnight does not exist the date begins when the clock comes back into being.
    let start = begin(date)?;
    let end = begin(date.checked_add(1.day()).map_err(|_| DayFault::Date(date))?)?;
    let (from, to) = (seconds(start.timestamp()), seconds(end.timestamp()));

    let sky = Sky::new(observer, from, to);
    let samples = sky.samples();
    let mut found = Vec::new();
    for (level, up, down) in
        [(CIVIL, Event::CivilDawn, Event::CivilDusk), (RISE, Event::Sunrise, Event::Sunset)]
    {
        for pair in samples.windows(2) {
            let ((t0, h0), (t1, h1)) = (pair[0], pair[1]);
            if (h0 < level) == (h1 < level) {
                continue;
            }
            let at = bisect(t0, t1, |t| (sky.elevation(t) < level) == (h0 < level));
            found.push((if h0 < level { up } else { down }, at));
        }
    }
    found.extend(sky.transits().map(|at| (Event::Transit, at)));
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    let rises = found.iter().any(|(event, _)| matches!(event, Event::Sunrise | Event::Sunset));
    let state = match (rises, samples.first()) {
        (true, _) => DayState::Normal,
        (false, Some((_, height))) if *height > RISE => DayState::UpAllDay,
        (false, _) => DayState::DownAllDay,
    };
    let events = found
        .into_iter()
        .filter_map(|(event, at)| Some((event, instant(at)?.to_zoned_datetime(zone.clone()))))
        .collect();
    Ok(SunDay { events, length: to - from, state })
}

/// The sun over one date. What changes slowly is taken from three instants and a parabola through
/// them, which is within 0.00001° over a day and saves nine tenths of the work.
struct Sky {
    observer: Observer,
    from: f64,
    to: f64,
    at: [Geocentric; 3],
}

impl Sky {
    fn new(observer: Observer, from: f64, to: f64) -> Self {
        let middle = 0.5 * (from + to);
        let at = [from, middle, to].map(|t| geocentric(julian_day(t), DELTA_T));
        Self { observer, from, to, at }
    }

    fn sun(&self, t: f64) -> Geocentric {
        let u = 2.0 * (t - self.from) / (self.to - self.from) - 1.0;
        let through = |values: [f64; 3]| {
            let [a, b, c] = values;
            b + u * 0.5 * (c - a) + u * u * 0.5 * (a - 2.0 * b + c)
        };
        let unwound = |values: [f64; 3]| {
            let near = |x: f64| x - ((x - values[1]) / (2.0 * PI)).round() * 2.0 * PI;
            through([near(values[0]), values[1], near(values[2])])
        };
        let [a, b, c] = &self.at;
        let right_ascension = unwound([a.right_ascension, b.right_ascension, c.right_ascension]);
        // Sidereal time runs evenly but for nutation, which is as good as still over a day.
        let turns = 360.985_647_366_29_f64.to_radians() / 86_400.0;
        let middle = 0.5 * (self.from + self.to);
        Geocentric {
            declination: through([a.declination, b.declination, c.declination]),
            distance: through([a.distance, b.distance, c.distance]),
            right_ascension,
            sidereal_time: b.sidereal_time + turns * (t - middle),
            ..*b
        }
    }

    fn elevation(&self, t: f64) -> f64 {
        seen_from(&self.observer, &self.sun(t)).elevation()
    }

    /// Heights at even steps, with the highest and lowest places between them.
    fn samples(&self) -> Vec<(f64, f64)> {
        let count = ((self.to - self.from) / STEP).ceil().max(1.0) as usize;
        let step = (self.to - self.from) / count as f64;
        let even: Vec<(f64, f64)> =
            (0..=count).map(|i| self.from + step * i as f64).map(|t| (t, self.elevation(t))).collect();
        let mut all = even.clone();
        for three in even.windows(3) {
            let [(t0, h0), (_, h1), (t2, h2)] = [three[0], three[1], three[2]];
            if (h1 >= h0) == (h1 >= h2) {
                let sign = if h1 >= h0 { 1.0 } else { -1.0 };
                let at = extreme(t0, t2, |t| sign * self.elevation(t));
                all.push((at, self.elevation(at)));
            }
        }
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    }

    fn transits(&self) -> impl Iterator<Item = f64> + '_ {
        let hour = |t: f64| {
            let angle = seen_from(&self.observer, &self.sun(t)).hour_angle;
            if angle > PI { angle - 2.0 * PI } else { angle }
        };
        let count = ((self.to - self.from) / STEP).ceil().max(1.0) as usize;
        let step = (self.to - self.from) / count as f64;
        (0..count).filter_map(move |i| {
            let (t0, t1) = (self.from + step * i as f64, self.from + step * (i + 1) as f64);
            let (h0, h1) = (hour(t0), hour(t1));
            (h0 < 0.0 && h1 >= 0.0 && h1 - h0 < PI).then(|| bisect(t0, t1, |t| hour(t) < 0.0))
        })
    }
}

/// The instant up to which `before` holds.
fn bisect(mut low: f64, mut high: f64, before: impl Fn(f64) -> bool) -> f64 {
    while high - low > FINE {
        let middle = 0.5 * (low + high);
        if before(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The instant between two at which a smooth height is greatest, by golden section.
fn extreme(mut low: f64, mut high: f64, height: impl Fn(f64) -> f64) -> f64 {
    let share = 0.5 * (5.0_f64.sqrt() - 1.0);
    while high - low > 1.0 {
        let (a, b) = (high - share * (high - low), low + share * (high - low));
        if height(a) < height(b) {
            low = a;
        } else {
            high = b;
        }
    }
    0.5 * (low + high)
}

/// Seconds since 1970-01-01 00:00 UTC. [s]
pub fn seconds(at: Timestamp) -> f64 {
    at.as_nanosecond() as f64 / 1e9
}

/// An instant from seconds since 1970; `None` beyond the calendar.
fn instant(unix: f64) -> Option<Timestamp> {
    Timestamp::from_nanosecond((unix * 1e9).round() as i128).ok()
}

/// The sun's position at an instant of the clock.
pub fn position_at(observer: &Observer, at: Timestamp) -> crate::spa::SunPosition {
    position(observer, julian_day(seconds(at)), DELTA_T)
}
