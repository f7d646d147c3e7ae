//! The choice of one spot for every tag.
//!
//! - In: candidates of each tag, cheapest first. Out: which one each tag takes; `None` for a tag
//!   without candidates.
//! - Objective: the sum of the spots' own prices and of the prices of pairs ([`pair_price`]).
//! - Method: a greedy start, the most confined tag first; descent (every tag in turn takes its
//!   cheapest spot until nothing improves or [`ROUNDS`] are over). Where some tags are to be moved
//!   about, simulated annealing goes on with a fixed seed and [`MOVES_PER_TAG`] moves for each of
//!   them, at most [`MOST_MOVES`], and descent again from the best state seen.
//! - A state keeps, for every cell, the tags whose spots touch it; a move asks only neighbours.

use super::cells::{Cells, Seen};
use super::{Spot, price, touch};

/// Rounds of a descent.
const ROUNDS: usize = 8;

/// Moves of the annealing for each tag.
const MOVES_PER_TAG: usize = 800;

/// Most moves of the annealing.
const MOST_MOVES: usize = 40_000;

/// Part of the moves in which a tag may push another one on.
const PUSHES: f64 = 0.1;

/// Temperature at the start and at the end. [mm of leader]
const HOT: f64 = 40.0;
const COLD: f64 = 0.5;

/// Beginning of the sequence of random numbers; any number will do, but always the same.
const SEED: u64 = 0x6C61_6265_6C73;

/// Chooses a spot for every tag that has candidates.
///
/// # Arguments
/// - `restless`: tags that are moved about by annealing; they may push others.
pub fn choose(candidates: &[Vec<Spot>], cells: &Cells, restless: &[usize]) -> Vec<Option<usize>> {
    let mut state = State::new(candidates, cells.count());
    state.start();
    state.descend();
    if !restless.is_empty() {
        state.anneal(restless);
        state.descend();
    }
    state.choice
}

/// Price of two spots beside each other. [mm of leader]
pub fn pair_price(a: &Spot, b: &Spot) -> f64 {
    if !touch::boxes_meet(a.bounds, b.bounds) {
        return 0.0;
    }
    let mut sum = 0.0;
    let clearance = price::CLEARANCE_MM;
    if touch::shared_area(a.tag.inflate(clearance, clearance), b.tag) > 0.0 {
        let shared = touch::shared_area(a.tag, b.tag);
        sum += if shared > 0.0 {
            price::TAG_ON_TAG + price::TAG_ON_TAG_AREA * shared
        } else {
            price::TAGS_CLOSE
        };
    }
    if touch::leaders_cross(&a.leader, &b.leader) {
        sum += price::LEADERS_CROSS;
    }
    for (leader, tag) in [(&a.leader, b.tag), (&b.leader, a.tag)] {
        if touch::leader_through(leader, tag) {
            sum += price::LEADER_THROUGH_TAG;
        }
    }
    sum
}

struct State<'a> {
    candidates: &'a [Vec<Spot>],
    choice: Vec<Option<usize>>,
    /// Tags whose spots touch each cell.
    by_cell: Vec<Vec<u32>>,
    seen: Seen,
}

impl<'a> State<'a> {
    fn new(candidates: &'a [Vec<Spot>], cells: usize) -> Self {
        Self {
            candidates,
            choice: vec![None; candidates.len()],
            by_cell: vec![Vec::new(); cells],
            seen: Seen::of(candidates.len()),
        }
    }

    fn put(&mut self, tag: usize, spot: usize) {
        self.take_away(tag);
        for cell in &self.candidates[tag][spot].cells {
            self.by_cell[*cell as usize].push(tag as u32);
        }
        self.choice[tag] = Some(spot);
    }

    fn take_away(&mut self, tag: usize) {
        if let Some(old) = self.choice[tag].take() {
            for cell in &self.candidates[tag][old].cells {
                let list = &mut self.by_cell[*cell as usize];
                if let Some(i) = list.iter().position(|other| *other == tag as u32) {
                    list.swap_remove(i);
                }
            }
        }
    }

    /// What a tag would cost at a spot, given where the others are now. [mm of leader]
    ///
    /// Gives up as soon as the sum passes `limit`.
    fn cost(&mut self, tag: usize, spot: usize, limit: f64) -> f64 {
        let candidates = self.candidates;
        let own = &candidates[tag][spot];
        let mut sum = own.price;
        self.seen.forget();
        self.seen.first_time(tag as u32);
        for cell in &own.cells {
            for other in &self.by_cell[*cell as usize] {
                if sum > limit {
                    return sum;
                }
                if self.seen.first_time(*other)
                    && let Some(theirs) = self.choice[*other as usize]
                {
                    sum += pair_price(own, &candidates[*other as usize][theirs]);
                }
            }
        }
        sum
    }

    /// The cheapest spot of a tag, given where the others are now.
    fn cheapest(&mut self, tag: usize) -> Option<(usize, f64)> {
        let mut best: Option<(usize, f64)> = None;
        for spot in 0..self.candidates[tag].len() {
            let limit = best.map_or(f64::INFINITY, |(_, cost)| cost);
            // Candidates are sorted by their own price, which is the least that they can cost.
            if self.candidates[tag][spot].price >= limit {
                break;
            }
            let cost = self.cost(tag, spot, limit);
            if cost < limit {
                best = Some((spot, cost));
            }
        }
        best
    }

    /// Greedy start: tags whose cheapest spots are dear go first, because they have least choice.
    fn start(&mut self) {
        let mut order: Vec<usize> = (0..self.candidates.len()).collect();
        let confined = |tag: &usize| {
            let of = &self.candidates[*tag];
            of.get(of.len() / 3).map_or(0.0, |spot| spot.price)
        };
        order.sort_by(|a, b| confined(b).total_cmp(&confined(a)));
        for tag in order {
            if let Some((spot, _)) = self.cheapest(tag) {
                self.put(tag, spot);
            }
        }
    }

    fn descend(&mut self) {
        for _ in 0..ROUNDS {
            let mut better = false;
            for tag in 0..self.candidates.len() {
                let Some(now) = self.choice[tag] else { continue };
                let cost = self.cost(tag, now, f64::INFINITY);
                if let Some((spot, least)) = self.cheapest(tag)
                    && least < cost - 1e-9
                {
                    self.put(tag, spot);
                    better = true;
                }
            }
            if !better {
                return;
            }
        }
    }

    /// Moves a tag when the sum rises by no more than `may_rise`, and says by how much it rose.
    ///
    /// With `pushes`, the tag it disturbs most moves on to its own cheapest spot in the same move;
    /// otherwise two tags that must change places would first have to overlap.
    fn try_move(&mut self, tag: usize, now: usize, spot: usize, may_rise: f64, pushes: bool) -> Option<f64> {
        let old = self.cost(tag, now, f64::INFINITY);
        let bound = if pushes { f64::INFINITY } else { old + may_rise };
        let rise = self.cost(tag, spot, bound) - old;
        if rise <= may_rise {
            self.put(tag, spot);
            return Some(rise);
        }
        let other = if pushes { self.most_disturbed(tag, spot) } else { None }?;
        let theirs = self.choice[other]?;
        self.put(tag, spot);
        let before = self.cost(other, theirs, f64::INFINITY);
        if let Some((elsewhere, after)) = self.cheapest(other)
            && rise + after - before <= may_rise
        {
            self.put(other, elsewhere);
            return Some(rise + after - before);
        }
        self.put(tag, now);
        None
    }

    /// The tag that a tag at a spot would disturb most.
    fn most_disturbed(&mut self, tag: usize, spot: usize) -> Option<usize> {
        let candidates = self.candidates;
        let own = &candidates[tag][spot];
        let mut most: Option<(f64, usize)> = None;
        self.seen.forget();
        self.seen.first_time(tag as u32);
        for cell in &own.cells {
            for other in &self.by_cell[*cell as usize] {
                if self.seen.first_time(*other)
                    && let Some(theirs) = self.choice[*other as usize]
                {
                    let price = pair_price(own, &candidates[*other as usize][theirs]);
                    if price > most.map_or(0.0, |(so_far, _)| so_far) {
                        most = Some((price, *other as usize));
                    }
                }
            }
        }
        most.map(|(_, other)| other)
    }

    fn anneal(&mut self, restless: &[usize]) {
        let tags: Vec<usize> =
            restless.iter().copied().filter(|tag| self.candidates[*tag].len() > 1).collect();
        if tags.is_empty() {
            return;
        }
        let moves = (tags.len() * MOVES_PER_TAG).min(MOST_MOVES);
        let cooling = (COLD / HOT).powf(1.0 / moves as f64);
        let mut random = SplitMix(SEED);
        let (mut temperature, mut above, mut least) = (HOT, 0.0, 0.0);
        let mut best = self.choice.clone();
        for _ in 0..moves {
            temperature *= cooling;
            let tag = tags[random.below(tags.len())];
            let Some(now) = self.choice[tag] else { continue };
            // Squaring prefers the cheaper candidates, which stand first.
            let spot = (random.unit().powi(2) * self.candidates[tag].len() as f64) as usize;
            if spot == now {
                continue;
            }
            // What the sum may rise by, after Metropolis.
            let may_rise = -temperature * random.unit().max(1e-12).ln();
            let pushes = random.unit() < PUSHES;
            if let Some(rise) = self.try_move(tag, now, spot, may_rise, pushes) {
                above += rise;
                if above < least - 1e-9 {
                    least = above;
                    best.clone_from(&self.choice);
                }
            }
        }
        for (tag, spot) in best.into_iter().enumerate() {
            if let Some(spot) = spot {
                self.put(tag, spot);
            }
        }
    }
}

/// The generator SplitMix64 of Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", 2014 (from memory).
struct SplitMix(u64);

impl SplitMix {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Below one. The upper 53 bits fill a float exactly.
    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Point, Rect};

    fn spot(x: f64, price: f64, cells: &Cells) -> Spot {
        let tag = Rect::new(x, 10.0, x + 20.0, 16.0);
        let leader = vec![Point::new(x + 10.0, 16.0), Point::new(x + 10.0, 30.0)];
        let mut spot = Spot::new(tag, leader, price);
        spot.cells = cells.of_spot(tag, &spot.leader);
        spot
    }

    /// The greedy start takes the free place first; only moving both tags is cheapest.
    #[test]
    fn the_search_finds_the_least_sum_of_all_choices() {
        let cells = Cells::over(Rect::new(0.0, 0.0, 200.0, 60.0));
        let candidates: Vec<Vec<Spot>> = (0..4)
            .map(|i| {
                (0..4)
                    .map(|j| spot(f64::from(i + j) * 15.0, f64::from(j) * (5.0 + f64::from(i)), &cells))
                    .collect()
            })
            .collect();
        let choice = choose(&candidates, &cells, &[0, 1, 2, 3]);
        let sum = |choice: &[usize]| {
            let spots: Vec<&Spot> = choice.iter().zip(&candidates).map(|(i, of)| &of[*i]).collect();
            let pairs = (0..4).flat_map(|i| (i + 1..4).map(move |j| (i, j)));
            spots.iter().map(|spot| spot.price).sum::<f64>()
                + pairs.map(|(i, j)| pair_price(spots[i], spots[j])).sum::<f64>()
        };
        let found = sum(&choice.iter().map(|c| c.unwrap()).collect::<Vec<_>>());
        let every = (0..256_usize).map(|n| sum(&[n % 4, n / 4 % 4, n / 16 % 4, n / 64]));
        let least = every.fold(f64::INFINITY, f64::min);
        assert!((found - least).abs() < 1e-9, "{found} against {least}");
    }

    #[test]
    fn a_tag_without_candidates_takes_no_place() {
        let cells = Cells::over(Rect::new(0.0, 0.0, 200.0, 60.0));
        let candidates = vec![Vec::new(), vec![spot(10.0, 1.0, &cells)]];
        assert_eq!(choose(&candidates, &cells, &[0, 1]), vec![None, Some(0)]);
    }
}
