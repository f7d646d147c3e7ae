//! 200 random yards: against SciPy, and how many gross errors are found.
//!
//! - Coordinates and weighted sums come from `tests/scipy_networks.py`, which makes the same yards
//!   number for number; its output, with versions and date, is `tests/data/scipy-networks.txt`.
//! - `docs/survey-accuracy.md` carries the rates; the test keeps them true, and writes them when
//!   `GROUNDWRIGHT_UPDATE` is set.

use groundwright_geometry::Point;
use groundwright_survey::{Network, Reading, adjust, snoop};

const YARDS: u64 = 200;
const SCIPY: &str = include_str!("../data/scipy-networks.txt");

struct Random(u64);

impl Random {
    fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(1))
    }

    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / 9_007_199_254_740_992.0
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

/// A yard of 6 to 12 points, three of them held, each other one on three tapes or more; and its
/// blunder: which tape, and by how much. [m]
fn yard(number: u64) -> (Network, (usize, f64)) {
    let mut random = Random::new(number);
    let count = 6 + (random.uniform() * 7.0) as usize;
    let mut places: Vec<Point> = Vec::new();
    while places.len() < count {
        let at = Point::new(random.uniform() * 30.0, random.uniform() * 20.0);
        if places.iter().all(|place| (at - *place).hypot() > 2.0) {
            places.push(at);
        }
    }
    let mut network = Network::default();
    for (i, place) in places.iter().enumerate() {
        network.point(&format!("p{i}"), (i < 3).then_some(*place), None);
    }
    for j in 0..count {
        let mut tied = 0;
        for i in 0..j {
            let length = (places[i] - places[j]).hypot();
            let wanted = random.uniform() < 0.6 || tied < 3;
            if j > 2 && wanted {
                let sigma = 0.004 + 0.0004 * length;
                network.readings.push(Reading::distance(i, j, length + sigma * random.normal(), sigma));
                tied += 1;
            }
        }
    }
    let bad = (random.uniform() * network.readings.len() as f64) as usize;
    let size = (0.1 + 0.9 * random.uniform()) * if random.uniform() < 0.5 { 1.0 } else { -1.0 };
    (network, (bad, size))
}

fn spoiled(network: &Network, (bad, size): (usize, f64)) -> Network {
    let mut network = network.clone();
    network.readings[bad].value += size;
    network
}

#[test]
fn places_agree_with_scipy() {
    let mut compared = 0;
    let mut elsewhere: Vec<String> = Vec::new();
    for line in SCIPY.lines().filter(|line| !line.starts_with('#')) {
        let mut words = line.split(' ');
        let kind = words.next().unwrap();
        let number: u64 = words.next().unwrap().parse().unwrap();
        let numbers: Vec<f64> = words.map(|word| word.parse().unwrap()).collect();
        let (clean, blunder) = yard(number);
        let network = if kind == "clean" { clean } else { spoiled(&clean, blunder) };
        let adjustment = adjust(&network).unwrap_or_else(|why| panic!("{kind} {number}: {why}"));
        let (ours, theirs) = (adjustment.weighted_sum, numbers[0]);
        if (ours - theirs).abs() > 1e-5 * theirs.max(1.0) {
            // A large blunder can leave several minima: then ours has to be the least that SciPy finds.
            elsewhere.push(format!("{kind} {number}: {ours:.1} against {theirs:.1}"));
            continue;
        }
        for (point, at) in adjustment.points[3..].iter().zip(numbers[1..].chunks(2)) {
            let off = (point.at - Point::new(at[0], at[1])).hypot();
            assert!(off < 2e-6, "{kind} {number}: {off}");
            compared += 1;
        }
    }
    assert!(elsewhere.is_empty(), "{elsewhere:?}");
    assert!(compared > 2000, "{compared}");
}

/// Rates over the 200 yards, as the table of the document.
fn rates() -> String {
    let (mut readings, mut false_readings, mut false_yards) = (0, 0, 0);
    let (mut found, mut named, mut detectable, mut found_of_detectable, mut wrong) = (0, 0, 0, 0, 0);
    for number in 0..YARDS {
        let (network, blunder) = yard(number);
        let clean = snoop(&network).unwrap();
        readings += network.readings.len();
        false_readings += clean.suspects.len();
        false_yards += usize::from(!clean.suspects.is_empty());
        let smallest = clean.all.readings[blunder.0].detectable;
        let snooped = snoop(&spoiled(&network, blunder)).unwrap();
        let hit = |s: &groundwright_survey::Suspect| s.reading == blunder.0;
        let alone = snooped.suspects.len() == 1 && hit(&snooped.suspects[0]);
        let among = snooped.suspects.iter().any(|s| hit(s) || s.alike.contains(&blunder.0));
        found += usize::from(among);
        named += usize::from(alone);
        wrong += usize::from(!among && !snooped.suspects.is_empty());
        if smallest.is_some_and(|smallest| smallest < blunder.1.abs()) {
            detectable += 1;
            found_of_detectable += usize::from(among);
        }
    }
    let share = |n: usize, of: usize| format!("{n} of {of} ({:.1} %)", 100.0 * n as f64 / of as f64);
    let yards = YARDS as usize;
    format!(
        "| over 200 random yards | |\n| --- | ---: |\n\
         | without a blunder: yards with a false alarm | {} |\n\
         | without a blunder: readings called bad | {} |\n\
         | with one blunder of 0.1 to 1.0 m: it is named, or among those that cannot be told apart | {} |\n\
         | of these, it is the only reading set aside | {} |\n\
         | another reading is named instead | {} |\n\
         | blunders larger than the smallest that should be found: found | {} |\n",
        share(false_yards, yards),
        share(false_readings, readings),
        share(found, yards),
        share(named, yards),
        share(wrong, yards),
        share(found_of_detectable, detectable),
    )
}

#[test]
fn the_document_carries_the_rates() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/survey-accuracy.md");
    let text = std::fs::read_to_string(&path).unwrap();
    let (begin, end) = ("<!-- rates -->\n", "<!-- end of rates -->");
    let (head, rest) = text.split_once(begin).unwrap();
    let (told, tail) = rest.split_once(end).unwrap();
    let measured = rates();
    if std::env::var_os("GROUNDWRIGHT_UPDATE").is_some() {
        std::fs::write(&path, format!("{head}{begin}{measured}{end}{tail}")).unwrap();
    } else {
        assert_eq!(told, measured, "set GROUNDWRIGHT_UPDATE to write what is measured");
    }
}
